"""Pages of HTML out of a template, with everything they need inside and nothing let in.

All text from elsewhere reaches a page through :func:`html_text` and :func:`script_data`; the
policy of a page (W3C Content Security Policy, level 3) lets its own style and script run alone.
"""

from __future__ import annotations

import base64
import hashlib
import html
import json
from collections.abc import Iterable, Mapping

from livery.plain_text import without_controls


def filled(template: str, parts: Mapping[str, str]) -> str:
    """Return the template with each ``{{name}}`` of it put in, once: what is put in is not looked at."""
    first, *pieces = template.split("{{")
    made = [first]
    for piece in pieces:
        name, rest = piece.split("}}", 1)
        made += [parts[name], rest]
    return "".join(made)


def html_text(text: str) -> str:
    """Return text as it stands in an element or in a quoted attribute of a page."""
    return html.escape(without_controls(text))


def script_data(data: object) -> str:
    """Return data as an expression of a page's script; no name in it can end the script."""
    return json.dumps(data).replace("<", "\\u003c")


def content_policy(styles: Iterable[str], scripts: Iterable[str], nonce: str = "") -> str:
    """Return the policy of a page: its own styles and scripts, pictures within it, nothing else.

    Args:
        styles: What stands between each ``<style>`` and its end, to the letter.
        scripts: The same of each ``<script>``.
        nonce: What a script loaded from beside the page carries, if there is any.
    """
    run = [_hashed(script) for script in scripts] + ([f"'nonce-{nonce}'"] if nonce else [])
    rules = {
        "default-src": ["'none'"],
        "img-src": ["data:"],
        "style-src": [_hashed(style) for style in styles] or ["'none'"],
        "script-src": run or ["'none'"],
        "base-uri": ["'none'"],
        "form-action": ["'none'"],
    }
    return "; ".join(f"{name} {' '.join(sources)}" for name, sources in rules.items())


def nonce_of(*texts: str) -> str:
    """Return a nonce computed from texts, so that the same page has the same bytes."""
    return base64.b64encode(hashlib.sha256("\0".join(texts).encode()).digest()[:18]).decode()


def _hashed(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
