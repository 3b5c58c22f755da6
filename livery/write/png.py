"""Pictures of drawings: SVG turned to PNG where the system's Cairo library is there."""

from __future__ import annotations

import math
import re
import struct
from itertools import islice
from typing import Any

from livery.work_cache import is_known, kept
from livery.write.plain_path import PLAIN_PATH, draw_plain_path, is_plain
from livery.write.png_bands import PngBand, bands_of
from livery.write.png_rows import PackedRows, chunk, png_of_rows, rows_of_surface

MOST_DOTS = 32_000
"""The most dots of a side (chosen: Cairo draws no picture of 32,768 or more). Larger, and a long
drawing has no picture."""

MM_PER_INCH = 25.4
"""Millimetres in an inch (by definition). Another gives pictures of another size."""

WHITE = "#ffffff"
_SIGNATURE_BYTES, _HEADER_BYTES = 8, 25
"""The bytes before a PNG file's first chunk ends: signature, and header (by definition, ISO/IEC
15948). Another puts the density where no reader looks."""

_SIZE_MM = re.compile(r'\b(width|height)="([\d.]+)mm"')


class NoCairoError(Exception):
    """No PNG was written because the system has no Cairo library; the text is the one line to show."""

    def __init__(self) -> None:
        super().__init__(
            "no PNG was written: the Cairo library is missing; install it with "
            "'apt install libcairo2' (Debian, Ubuntu) or 'brew install cairo' (macOS)"
        )


def png_bytes(
    svg: str,
    *,
    dpi: float = 96.0,
    width_px: int | None = None,
    most_dots: float | None = None,
    ground: str | None = WHITE,
) -> bytes:
    """Return a PNG of the SVG text on white, at ``dpi`` dots per inch or ``width_px`` wide.

    Without ``ground`` it is clear where nothing is drawn, and says its dots per inch.  What would
    have more than ``most_dots``, or be larger than Cairo can draw, is drawn at fewer dots per inch.

    Raises:
        NoCairoError: the system's Cairo library is missing.
    """
    drawn_at = drawn_dpi(svg, dpi, most_dots)
    picture = _drawn(svg, drawn_at, width_px, _cairo_version(), ground)
    return picture if ground else _of_size(picture, drawn_at)


def is_drawn(svg: str, *, dpi: float, ground: str | None = WHITE) -> bool:
    """Return whether the PNG of an SVG text at ``dpi`` is kept, and need not be drawn.

    Raises:
        NoCairoError: the system's Cairo library is missing.
    """
    return is_known(_drawn, svg, drawn_dpi(svg, dpi), None, _cairo_version(), ground)


def dots_of(svg: str, dpi: float) -> float:
    """Return how many dots the PNG of an SVG text has at ``dpi`` dots per inch."""
    return math.prod(side / MM_PER_INCH * drawn_dpi(svg, dpi) for side in sides_mm(svg))


def drawn_dpi(svg: str, dpi: float, most_dots: float | None = None) -> float:
    """Return ``dpi``, or what gives ``most_dots`` in all and as many on a side as Cairo can draw."""
    sides = sides_mm(svg)
    dpi = min(dpi, MOST_DOTS / max(sides) * MM_PER_INCH)
    if most_dots is not None:
        dpi = min(dpi, math.sqrt(most_dots / math.prod(sides)) * MM_PER_INCH)
    return dpi


def sides_mm(svg: str) -> tuple[float, float]:
    """Return the width and height that an SVG text of ours gives itself, in millimetres."""
    # Searched no further than the first of each: a text may be long.
    found = {each[1]: each[2] for each in islice(_SIZE_MM.finditer(svg), 2)}
    return float(found.get("width", 1.0)), float(found.get("height", 1.0))


def _cairo_version() -> int:
    try:
        import cairocffi
    except OSError as missing:
        raise NoCairoError from missing
    return int(cairocffi.cairo_version())


@kept
def _drawn(svg: str, dpi: float, width_px: int | None, cairo: int, ground: str | None) -> bytes:
    """Return the PNG as the system's Cairo draws it, whose version is no package's."""
    sides = sides_mm(svg)
    to_mm = dpi / MM_PER_INCH if width_px is None else width_px / sides[0]
    wide, high = (round(side * to_mm) for side in sides)
    packed = [
        _drawn_band(band, to_mm, wide, cairo=cairo, ground=ground)
        for band in bands_of(svg, high, to_mm)
    ]
    return png_of_rows(wide, high, packed, is_opaque=ground is not None)


@kept
def _drawn_band(
    band: PngBand, to_mm: float, wide: int, *, cairo: int, ground: str | None
) -> PackedRows:
    """Return some rows of a picture, which has so many dots to the millimetre and is so wide."""
    import cairocffi
    from cairosvg.parser import Tree
    from cairosvg.surface import TAGS, PNGSurface

    TAGS[PLAIN_PATH] = draw_plain_path

    class _Rows(PNGSurface):  # type: ignore[misc]
        """Draws only the rows of the band."""

        def draw(self, node: Any) -> None:
            if node.tag == "path" and is_plain(node.get("d", "")):
                node.tag = PLAIN_PATH
            super().draw(node)

        def _create_surface(self, width: float, height: float) -> tuple[Any, float, float]:
            rows = cairocffi.ImageSurface(cairocffi.FORMAT_ARGB32, wide, band.rows)
            if ground is not None:
                _paint_all(rows, ground)
            rows.set_device_offset(0, -band.top)
            return rows, width, height

    tree = Tree(bytestring=band.svg.encode())
    surface = _Rows(tree, output=None, dpi=to_mm * MM_PER_INCH, background_color=ground)
    return rows_of_surface(surface.cairo, is_opaque=ground is not None)


def _paint_all(surface: Any, ground: str) -> None:
    """Paint a surface in one colour, also the dots that the drawing covers only in part."""
    import cairocffi
    from cairosvg.colors import color

    context = cairocffi.Context(surface)
    context.set_source_rgba(*color(ground))
    context.paint()


def _of_size(picture: bytes, dpi: float) -> bytes:
    """Return a PNG with its dots to the metre, so that it is printed at its size (PNG, pHYs)."""
    dots = round(dpi / MM_PER_INCH * 1000.0)
    size = chunk(b"pHYs", struct.pack(">IIB", dots, dots, 1))
    # After the signature and the first chunk, the header.
    head = _SIGNATURE_BYTES + _HEADER_BYTES
    return picture[:head] + size + picture[head:]
