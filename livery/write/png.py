"""Pictures of drawings: SVG turned to PNG where the system's Cairo library is there."""

from __future__ import annotations

import math
import re

from livery.work_cache import kept

MOST_DOTS = 32_000
"""Cairo draws no picture with a side of 32768 dots or more."""

_SIZE_MM = re.compile(r'\b(?:width|height)="([\d.]+)mm"')


class NoCairoError(Exception):
    """No PNG was written because the system has no Cairo library; the text is the one line to show."""

    def __init__(self) -> None:
        super().__init__(
            "no PNG was written: the Cairo library is missing; install it with "
            "'apt install libcairo2' (Debian, Ubuntu) or 'brew install cairo' (macOS)"
        )


def png_bytes(
    svg: str, *, dpi: float = 96.0, width_px: int | None = None, most_dots: float | None = None
) -> bytes:
    """Return a PNG of the SVG text on white, at ``dpi`` dots to the inch or ``width_px`` wide.

    What would have more than ``most_dots``, or be larger than Cairo can draw, is drawn at
    fewer dots to the inch.

    Raises:
        NoCairoError: the system's Cairo library is missing.
    """
    try:
        import cairocffi
    except OSError as missing:
        raise NoCairoError from missing
    sides_mm = [float(size) for size in _SIZE_MM.findall(svg)[:2]] or [1.0]
    dpi = min(dpi, MOST_DOTS / max(sides_mm) * 25.4)
    if most_dots is not None:
        dpi = min(dpi, math.sqrt(most_dots / math.prod(sides_mm)) * 25.4)
    return _drawn(svg, dpi, width_px, cairocffi.cairo_version())


@kept
def _drawn(svg: str, dpi: float, width_px: int | None, cairo: int) -> bytes:
    """Return the PNG as the system's Cairo draws it, whose version is no package's."""
    import cairosvg

    picture: bytes = cairosvg.svg2png(
        bytestring=svg.encode(), dpi=dpi, output_width=width_px, background_color="#ffffff"
    )
    return picture
