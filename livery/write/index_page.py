"""The front page of a build as HTML: one file, with a small picture of every file that has one."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from livery.build_folder import FirstStep, Use
from livery.page_template import content_policy, filled, html_text

_PARTS = Path(__file__).with_name("page")
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

    def among(self, files: Mapping[str, bytes]) -> dict[str, bytes]:
        """Return its own of the files of a build, by their endings."""
        places = zip(self.endings, self.places, strict=True)
        return {ending: files[place] for ending, place in places if place in files}


@dataclass(frozen=True, slots=True)
class FrontPage:
    """What the page says; ``first`` is what to open and to do, in order."""

    title: str
    about: str
    first: tuple[FirstStep, ...]
    warnings: tuple[str, ...]
    groups: tuple[FileGroup, ...]


FilePictures = Mapping[FileGroup, bytes]
"""A small PNG of each thing that has a picture."""


def index_page(index: FrontPage, files: Mapping[str, bytes], pictures: FilePictures) -> str:
    """Return the page; ``files`` are those of the build by place, to show the small ones."""
    style = (_PARTS / "index.css").read_text(encoding="utf-8").strip()
    first = "\n".join(map(_step, index.first))
    warnings = "\n".join(f'<div class="warning">{html_text(w)}</div>' for w in index.warnings)
    return filled(
        (_PARTS / "index.html").read_text(encoding="utf-8"),
        {
            "policy": content_policy([style], []),
            "title": html_text(index.title),
            "style": style,
            "about": html_text(index.about),
            "first": first,
            "warnings": warnings or "<p>Nothing.</p>",
            "uses": "\n".join(_use(use, index.groups, files, pictures) for use in Use),
        },
    )


def _step(step: FirstStep) -> str:
    links = ", ".join(_link(place) for place in step.places)
    more = f" {html_text(step.more_words)}" if step.more else ""
    opened = f"{links}{more}<br>" if links else ""
    return f"<li>{opened}{html_text(step.why)}</li>"


def _use(
    use: Use, groups: Sequence[FileGroup], files: Mapping[str, bytes], pictures: FilePictures
) -> str:
    own = [group for group in groups if group.use is use]
    if not own:
        return ""
    items = "\n".join(_item(group, files, pictures) for group in own)
    return (
        f'<h2>{html_text(use)}</h2>\n<p class="use">{html_text(use.words)}</p>\n'
        f'<ul class="files">\n{items}\n</ul>'
    )


def _item(group: FileGroup, files: Mapping[str, bytes], pictures: FilePictures) -> str:
    source = _picture(group, files, pictures)
    shown = f'<img alt="" src="{source}">' if source else ""
    links = " ".join(_link(place, place.rsplit(".", 1)[1]) for place in group.places)
    name = html_text(group.name)
    return f"<li>{shown}<p><b>{name}</b> {links}</p><p>{html_text(group.words)}</p></li>"


def _link(place: str, words: str = "") -> str:
    return f'<a href="{html_text(quote(place))}">{html_text(words or place)}</a>'


def _picture(group: FileGroup, files: Mapping[str, bytes], pictures: FilePictures) -> str:
    """Return the address of a small picture of the files; empty where none of them shows any.

    What is to look at is shown by its lines; a hairline to cut would be too thin to be seen.
    """
    svg = files.get(f"{group.use}/{group.name}.svg", b"")
    if svg and len(svg) <= LARGEST_SVG and group.use is Use.SEE:
        return _data("image/svg+xml", svg)
    return _data("image/png", pictures[group]) if group in pictures else ""


def _data(kind: str, content: bytes) -> str:
    return f"data:{kind};base64,{base64.b64encode(content).decode()}"
