"""Values as TOML writes them."""

from __future__ import annotations

import re
from collections.abc import Sequence


def toml_value(value: object) -> str:
    """Return a text, a number, true or false, or a sequence of them as TOML.

    What no TOML file can hold, half of a surrogate pair from an odd file name, becomes ``?``.
    """
    if isinstance(value, str):
        whole = value.encode("utf-8", "replace").decode("utf-8")
        escaped = whole.replace("\\", "\\\\").replace('"', '\\"')
        return '"' + re.sub(r"[\x00-\x1f\x7f]", lambda c: f"\\u{ord(c[0]):04x}", escaped) + '"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Sequence):
        return f"[{', '.join(map(toml_value, value))}]"
    return repr(value)


def toml_key(key: str) -> str:
    """Return a key as TOML, in quotes where it needs them."""
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else toml_value(key)
