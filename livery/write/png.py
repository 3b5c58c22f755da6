"""Pictures of drawings: SVG turned to PNG where the system's Cairo library is there."""

from __future__ import annotations

import math
import re
import struct
import sys
import zlib
from io import BytesIO
from typing import TYPE_CHECKING, Any

from livery.work_cache import is_known, kept

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_DOTS = 32_000
"""The most dots of a side (chosen: Cairo draws no picture of 32,768 or more). Larger, and a long
drawing has no picture."""

MM_PER_INCH = 25.4
"""Millimetres in an inch (by definition). Another gives pictures of another size."""

WHITE = "#ffffff"
_SIGNATURE_BYTES, _HEADER_BYTES = 8, 25
"""The bytes before a PNG file's first chunk ends: signature, and header (by definition, ISO/IEC
15948). Another puts the density where no reader looks."""

_ALPHA_ONE = 1 << 24
"""Opaque, in the fixed point of the sum (chosen: 24 bits hold an 8-bit value exactly). Fewer bits
round it."""

_SIZE_MM = re.compile(r'\b(?:width|height)="([\d.]+)mm"')


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
    """Return a PNG of the SVG text on white, at ``dpi`` dots to the inch or ``width_px`` wide.

    Without ``ground`` it is clear where nothing is drawn, and says its dots to the inch.  What would have more than ``most_dots``, or be larger than Cairo can draw, is drawn at
    fewer dots to the inch.

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
    """Return how many dots the PNG of an SVG text has at ``dpi`` dots to the inch."""
    return math.prod(side / MM_PER_INCH * drawn_dpi(svg, dpi) for side in _sides_mm(svg))


def drawn_dpi(svg: str, dpi: float, most_dots: float | None = None) -> float:
    """Return ``dpi``, or what gives ``most_dots`` in all and as many on a side as Cairo can draw."""
    sides = _sides_mm(svg)
    dpi = min(dpi, MOST_DOTS / max(sides) * MM_PER_INCH)
    if most_dots is not None:
        dpi = min(dpi, math.sqrt(most_dots / math.prod(sides)) * MM_PER_INCH)
    return dpi


def _sides_mm(svg: str) -> list[float]:
    return [float(size) for size in _SIZE_MM.findall(svg)[:2]] or [1.0]


def _cairo_version() -> int:
    try:
        import cairocffi
    except OSError as missing:
        raise NoCairoError from missing
    return int(cairocffi.cairo_version())


@kept
def _drawn(svg: str, dpi: float, width_px: int | None, cairo: int, ground: str | None) -> bytes:
    """Return the PNG as the system's Cairo draws it, whose version is no package's."""
    from cairosvg.parser import Tree
    from cairosvg.surface import PNGSurface

    surface = PNGSurface(
        Tree(bytestring=svg.encode()),
        output=None,
        dpi=dpi,
        output_width=width_px,
        background_color=ground,
    )
    return _encoded(surface.cairo, is_opaque=ground is not None)


def _encoded(drawn: Any, *, is_opaque: bool) -> bytes:
    """Return a Cairo surface as PNG, its colours as Cairo's own writer has them.

    That writer takes three times as long; runs of like dots alone, as most of a drawing is, make
    files as small as a search for all that repeats does.
    """
    import numpy as np
    from PIL import Image

    drawn.flush()
    size, stride = (drawn.get_width(), drawn.get_height()), drawn.get_stride()
    # Cairo holds a dot as a native 32-bit number: alpha in its highest byte, then red, green, blue.
    dots = np.frombuffer(drawn.get_data(), dtype=np.uint32)
    if not is_opaque:
        _divide_by_alpha(dots)
    mode, order = ("RGB", "BGRX") if is_opaque else ("RGBA", "BGRA")
    if sys.byteorder == "big":
        order = order[::-1]
    picture = Image.frombuffer(mode, size, dots.view(np.uint8), "raw", order, stride, 1)
    file = BytesIO()
    picture.save(file, "png", compress_type=zlib.Z_RLE)
    return file.getvalue()


def _divide_by_alpha(dots: NDArray[np.uint32]) -> None:
    """Give dots that show through, in place, their full colours: Cairo's are multiplied by alpha."""
    import numpy as np

    # One more in the alpha of 0 to 255 gives 1 to 255, and then 0: those between show through.
    places = np.flatnonzero(dots + _ALPHA_ONE >= 2 * _ALPHA_ONE)
    through = dots[places]
    alpha = through >> 24
    whole = alpha << 24
    for place in (0, 8, 16):
        part = (through >> place) & 255
        whole |= (part * 255 + alpha // 2) // alpha << place
    dots[places] = whole


def _of_size(picture: bytes, dpi: float) -> bytes:
    """Return a PNG with its dots to the metre, so that it is printed at its size (PNG, pHYs)."""
    dots = round(dpi / MM_PER_INCH * 1000.0)
    body = b"pHYs" + struct.pack(">IIB", dots, dots, 1)
    chunk = struct.pack(">I", len(body) - 4) + body + struct.pack(">I", zlib.crc32(body))
    # After the signature and the first chunk, the header.
    head = _SIGNATURE_BYTES + _HEADER_BYTES
    return picture[:head] + chunk + picture[head:]
