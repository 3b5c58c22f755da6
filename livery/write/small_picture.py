"""A small picture in pixels of what a file shows, for the front page of a build."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import TYPE_CHECKING

from livery.work_cache import kept
from livery.write.png import sides_mm

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
    from PIL import Image

    text = svg.decode()
    wide, high = sides_mm(text)
    drawn = resvg_py.svg_to_bytes(
        svg_string=text,
        width=PICTURE_PX if wide >= high else None,
        height=PICTURE_PX if wide < high else None,
        dpi=_ANY_DPI,
        background="#ffffff",
        skip_system_fonts=True,
    )
    with Image.open(io.BytesIO(bytes(drawn))) as picture:
        return _png(picture)


def _png(picture: Image.Image) -> bytes:
    from PIL import Image

    # By the octree a picture takes a sixth of the time that dividing at medians takes.
    few = picture.convert("RGB").quantize(_COLOURS, method=Image.Quantize.FASTOCTREE)
    out = io.BytesIO()
    few.save(out, "PNG")
    return out.getvalue()
