"""A page that shows a job at a glance: what is wrong, every panel in colour, the paints."""

from __future__ import annotations

import base64
import html
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from livery.drawing import Drawing
from livery.findings import Finding
from livery.page_template import filled
from livery.write.svg import svg_text

_TEMPLATE = Path(__file__).with_name("page") / "preview.html"


@dataclass(frozen=True)
class Preview:
    """What a page shows; ``paints`` gives each one's ``#rrggbb``, ``told`` stands under the title."""

    title: str
    told: str
    pictures: tuple[Drawing, ...]
    findings: tuple[Finding, ...]
    paints: Mapping[str, str]


def preview_page(preview: Preview, stamp_file: str = "", stamp: str = "") -> str:
    """Return the page as HTML, with everything in it.

    With a ``stamp_file`` beside it, which :func:`stamp_text` writes, the page shows itself
    anew whenever the stamp there is no longer its own.
    """
    return filled(
        _TEMPLATE.read_text(encoding="utf-8"),
        {
            "title": html.escape(preview.title),
            "told": html.escape(preview.told),
            "findings": _findings(preview.findings),
            "pictures": "\n".join(map(_picture, preview.pictures)),
            "paints": _paints(preview.paints),
            "script": _script(stamp_file, stamp) if stamp_file else "",
        },
    )


def stamp_text(stamp: str) -> str:
    """Return the script by which a page learns which stamp is the last."""
    return f'seen("{stamp}");\n'


def _findings(findings: Sequence[Finding]) -> str:
    if not findings:
        return ""
    told = "\n".join(
        f'<div class="finding {f.severity.value}"><pre>{html.escape(f.as_text())}</pre></div>'
        for f in findings
    )
    return f"<h2>What there is to mend or to mind</h2>\n{told}"


def _picture(drawing: Drawing) -> str:
    # As a picture and not as part of the page, so that names in one stay its own.
    data = base64.b64encode(svg_text(drawing).encode()).decode()
    title = html.escape(drawing.title)
    return f'<figure><img alt="{title}" src="data:image/svg+xml;base64,{data}"></figure>'


def _paints(paints: Mapping[str, str]) -> str:
    if not paints:
        return ""
    items = "\n".join(
        f'<li><span style="background: {colour}"></span>{html.escape(name)}</li>'
        for name, colour in paints.items()
    )
    return f'<h2>Paints</h2>\n<ul class="paints">\n{items}\n</ul>'


def _script(stamp_file: str, stamp: str) -> str:
    # A page opened from a folder may fetch nothing, but it may run a script that lies beside it.
    return f"""<script>
function seen(stamp) {{ if (stamp !== "{stamp}") location.reload(); }}
setInterval(() => {{
  const look = document.createElement("script");
  look.src = "{html.escape(stamp_file)}?" + Date.now();
  look.onload = look.onerror = () => look.remove();
  document.head.append(look);
}}, 700);
</script>"""
