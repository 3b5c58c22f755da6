"""A page that shows a job at a glance: what is wrong, every panel in colour, the paints."""

from __future__ import annotations

import base64
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from livery.drawing import Drawing
from livery.findings import Finding
from livery.page_template import content_policy, filled, html_text, nonce_of, script_data
from livery.write.svg import svg_text

_PARTS = Path(__file__).with_name("page")


@dataclass(frozen=True)
class Preview:
    """What a page shows; ``paints`` gives each one's ``#rrggbb``, ``notice`` stands under the title."""

    title: str
    notice: str
    pictures: tuple[Drawing, ...]
    findings: tuple[Finding, ...]
    paints: Mapping[str, str]


def preview_page(preview: Preview, stamp_file: str = "", stamp: str = "") -> str:
    """Return the page as HTML, with everything in it.

    With a ``stamp_file`` beside it, which :func:`stamp_text` writes, the page shows itself
    again whenever the stamp there is no longer its own.
    """
    style = (_PARTS / "preview.css").read_text(encoding="utf-8").strip()
    nonce = nonce_of(stamp_file, stamp) if stamp_file else ""
    script = _script(stamp_file, stamp, nonce) if stamp_file else ""
    return filled(
        (_PARTS / "preview.html").read_text(encoding="utf-8"),
        {
            "policy": content_policy([style], [script] if script else [], nonce),
            "title": html_text(preview.title),
            "style": style,
            "notice": html_text(preview.notice),
            "findings": _findings(preview.findings),
            "pictures": "\n".join(map(_picture, preview.pictures)),
            "paints": _paints(preview.paints),
            "script": f"<script>{script}</script>" if script else "",
        },
    )


def stamp_text(stamp: str) -> str:
    """Return the script by which a page learns which stamp is the last."""
    return (
        f'// Read by the page beside it while "livery preview --follow" runs.\nseen("{stamp}");\n'
    )


def _findings(findings: Sequence[Finding]) -> str:
    if not findings:
        return ""
    notice = "\n".join(
        f'<div class="finding {f.severity.value}"><pre>{html_text(f.as_text())}</pre></div>'
        for f in findings
    )
    return f"<h2>Faults and warnings</h2>\n{notice}"


def _picture(drawing: Drawing) -> str:
    # As a picture and not as part of the page, so that names in one stay its own.
    data = base64.b64encode(svg_text(drawing).encode()).decode()
    title = html_text(drawing.title)
    return f'<figure><img alt="{title}" src="data:image/svg+xml;base64,{data}"></figure>'


def _paints(paints: Mapping[str, str]) -> str:
    if not paints:
        return ""
    items = "\n".join(
        f'<li><svg><rect fill="{html_text(colour)}"></rect></svg>{html_text(name)}</li>'
        for name, colour in paints.items()
    )
    return f'<h2>Paints</h2>\n<ul class="paints">\n{items}\n</ul>'


def _script(stamp_file: str, stamp: str, nonce: str) -> str:
    # A page opened from a folder may fetch nothing, but it may run a script that lies beside it.
    address = script_data(f"./{quote(os.fsencode(stamp_file))}?")
    return f"""
function seen(stamp) {{ if (stamp !== {script_data(stamp)}) location.reload(); }}
setInterval(() => {{
  const look = document.createElement("script");
  look.nonce = {script_data(nonce)};
  look.src = {address} + Date.now();
  look.onload = look.onerror = () => look.remove();
  document.head.append(look);
}}, 700);
"""
