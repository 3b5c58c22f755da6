"""A small picture in pixels of what a file shows, for the front page of a build."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import TYPE_CHECKING

from livery.work_cache import kept

if TYPE_CHECKING:
    from PIL import Image

PICTURE_PX = 360
"""Pixels of the longer side (chosen: sharp at the size it is printed at). Larger, and the front
page is a larger file."""

_COLOURS = 32
"""Colours of a small picture (chosen: a livery has fewer). Fewer, and edges are rough; more, and
the file is larger."""

_ANY_DPI = 96
"""Dots to the inch by which millimetres are read (chosen: any; the width in pixels decides).
Another changes nothing that is seen."""


def small_picture(by_ending: Mapping[str, bytes]) -> bytes | None:
    """Return a small PNG of one thing written in several formats, given by their endings.

    The first page of its PDF is taken, else its SVG, else its PNG: the PDF shows what is printed,
    and an SVG is drawn small in a tenth of the time that a large PNG takes to be read.
    There is none where none of the three is among them.
    """
    for ending, picture_of in (("pdf", _first_page), ("svg", _drawn), ("png", _smaller)):
        if ending in by_ending:
            return picture_of(by_ending[ending])
    return None


@kept
def _first_page(pdf: bytes) -> bytes:
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    picture = page.render(scale=PICTURE_PX / max(page.get_size())).to_pil()
    document.close()
    return _png(picture)


@kept
def _smaller(png: bytes) -> bytes:
    from PIL import Image

    with Image.open(io.BytesIO(png)) as picture:
        small = picture.convert("RGBA")
        # What is clear shows white paper, not the colour that stands under it unseen.
        small = Image.alpha_composite(Image.new("RGBA", small.size, "white"), small)
        small.thumbnail((PICTURE_PX, PICTURE_PX))
        return _png(small)


@kept
def _drawn(svg: bytes) -> bytes:
    """Return an SVG drawn by resvg, which needs no library of the system."""
    import resvg_py

    drawn = resvg_py.svg_to_bytes(
        svg_string=svg.decode(),
        width=2 * PICTURE_PX,
        dpi=_ANY_DPI,
        background="#ffffff",
        skip_system_fonts=True,
    )
    return _smaller(bytes(drawn))


def _png(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.convert("RGB").quantize(_COLOURS).save(out, "PNG", optimize=True)
    return out.getvalue()
