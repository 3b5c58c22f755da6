"""The front page of a build as HTML: one file, with a small picture of every file that has one."""

from __future__ import annotations

import base64
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from livery.build_folder import Use
from livery.page_template import content_policy, filled, html_text
from livery.work_cache import kept

if TYPE_CHECKING:
    from PIL import Image

_PARTS = Path(__file__).with_name("page")
PICTURE_PX = 360
LARGEST_SVG = 60_000
"""A larger SVG is shown by a picture in pixels, so that the page stays light."""


@dataclass(frozen=True, slots=True)
class FileGroup:
    """Files that are one thing in several formats: its name, its endings and what it is."""

    use: Use
    name: str
    endings: tuple[str, ...]
    words: str

    @property
    def places(self) -> tuple[str, ...]:
        """Return the place of each file in the build folder."""
        return tuple(f"{self.use}/{self.name}.{ending}" for ending in self.endings)


@dataclass(frozen=True, slots=True)
class FrontPage:
    """What the page says; ``first`` is what to open, in order, each with the reason."""

    title: str
    about: str
    first: tuple[tuple[str, str], ...]
    warnings: tuple[str, ...]
    groups: tuple[FileGroup, ...]


def index_page(index: FrontPage, prove: str, files: Mapping[str, bytes]) -> str:
    """Return the page; ``files`` are those of the build by place, for their pictures."""
    style = (_PARTS / "index.css").read_text(encoding="utf-8").strip()
    first = "\n".join(f"<li>{_link(place)}<br>{html_text(why)}</li>" for place, why in index.first)
    warnings = "\n".join(f'<div class="warning">{html_text(w)}</div>' for w in index.warnings)
    return filled(
        (_PARTS / "index.html").read_text(encoding="utf-8"),
        {
            "policy": content_policy([style], []),
            "title": html_text(index.title),
            "style": style,
            "about": html_text(index.about),
            "first": first,
            "prove": html_text(prove),
            "warnings": warnings or "<p>Nothing.</p>",
            "uses": "\n".join(_use(use, index.groups, files) for use in Use),
        },
    )


def _use(use: Use, groups: Sequence[FileGroup], files: Mapping[str, bytes]) -> str:
    own = [group for group in groups if group.use is use]
    if not own:
        return ""
    items = "\n".join(_item(group, files) for group in own)
    return (
        f'<h2>{html_text(use)}</h2>\n<p class="use">{html_text(use.words)}</p>\n'
        f'<ul class="files">\n{items}\n</ul>'
    )


def _item(group: FileGroup, files: Mapping[str, bytes]) -> str:
    source = _picture(group, files)
    shown = f'<img alt="" src="{source}">' if source else ""
    links = " ".join(_link(place, place.rsplit(".", 1)[1]) for place in group.places)
    name = html_text(group.name)
    return f"<li>{shown}<p><b>{name}</b> {links}</p><p>{html_text(group.words)}</p></li>"


def _link(place: str, words: str = "") -> str:
    return f'<a href="{html_text(quote(place))}">{html_text(words or place)}</a>'


def _picture(group: FileGroup, files: Mapping[str, bytes]) -> str:
    """Return the address of a small picture of the files; empty where none of them shows any."""
    by_ending = {place.rsplit(".", 1)[1]: files[place] for place in group.places if place in files}
    svg = by_ending.get("svg", b"")
    if svg and len(svg) <= LARGEST_SVG:
        return _data("image/svg+xml", svg)
    if "pdf" in by_ending:
        return _data("image/png", _first_page(by_ending["pdf"]))
    if "png" in by_ending:
        return _data("image/png", _smaller(by_ending["png"]))
    return _data("image/svg+xml", svg) if svg else ""


@kept
def _first_page(pdf: bytes) -> bytes:
    """Return the first page of a PDF as a small PNG."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    picture = page.render(scale=PICTURE_PX / max(page.get_size())).to_pil()
    document.close()
    return _png(picture.convert("RGB").quantize(32))


@kept
def _smaller(png: bytes) -> bytes:
    from PIL import Image

    with Image.open(io.BytesIO(png)) as picture:
        small = picture.convert("RGB")
        small.thumbnail((PICTURE_PX, PICTURE_PX))
        return _png(small)


def _png(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "PNG", optimize=True)
    return out.getvalue()


def _data(kind: str, content: bytes) -> str:
    return f"data:{kind};base64,{base64.b64encode(content).decode()}"
