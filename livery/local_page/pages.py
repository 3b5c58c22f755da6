"""The pages by their addresses; those of pictures share their head, their board and their keys."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from livery.page_template import filled, html_text

PARTS = Path(__file__).with_name("parts")
JOB_PAGE = "/"
_BETWEEN = "<!-- and beside the picture -->"
_INDENT = " " * 6


class PicturePage(NamedTuple):
    """A page of pictures: its title, what it calls a picture, and its own parts' name."""

    title: str
    picture: str
    parts: str


PICTURE_PAGES = {
    "/drawings": PicturePage("Drawings", "Picture", "drawings"),
    "/photograph": PicturePage("On a photograph", "Photograph", "photograph"),
}
ADDRESSES = (JOB_PAGE, *PICTURE_PAGES)


def page_text(address: str) -> str:
    """Return the page at an address; raises KeyError if there is no such page."""
    if address == JOB_PAGE:
        return (PARTS / "index.html").read_text(encoding="utf-8")
    page = PICTURE_PAGES[address]
    own = (PARTS / f"{page.parts}.html").read_text(encoding="utf-8")
    tools, beside = own.split(_BETWEEN)
    return filled(
        (PARTS / "picture_page.html").read_text(encoding="utf-8"),
        {
            "title": html_text(page.title),
            "picture": html_text(page.picture),
            "script": f"{page.parts}.js",
            "pages": "\n".join(_link(to, to == address) for to in ADDRESSES),
            "tools": tools.strip("\n"),
            "beside": beside.strip("\n"),
        },
    )


def _link(address: str, is_here: bool) -> str:
    title = "The livery" if address == JOB_PAGE else PICTURE_PAGES[address].title
    here = ' aria-current="page"' if is_here else ""
    return f'{_INDENT}<a href="{address}"{here}>{html_text(title)}</a>'
