"""Pictures of drawings: the same as another renderer draws of the same SVG."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from PIL.Image import Image

_DPI = 200
"""Dots to the inch by which millimetres are read (chosen: any; the width decides). Another changes
nothing."""

_UNLIKE = 48
"""How much of 255 a channel may differ by (chosen: edges are smoothed differently). Larger, and
another colour passes."""

_REDUCED = 2
"""Pictures are compared at this part of their size (chosen: a half, a quarter of a millimetre to a
pixel). Larger, and small faults pass."""

_BLOCK = 3
"""So many pixels each way must differ together (chosen: edges fall a pixel apart at most). Larger,
and small faults pass."""


def png_faults(png: Path, svg: Path) -> Iterator[str]:
    """Yield where a picture is not what its SVG shows."""
    ours = _opened(png)
    theirs = _drawn(svg, ours.width, _dots_to_the_inch(png))
    # A pixel of its width, rounded, is so much more of a tall picture's height.
    if abs(theirs.height - ours.height) > 1.0 + theirs.height / theirs.width:
        yield f"it is {ours.width} x {ours.height} pixels, which is not the shape of {svg.name}"
        return
    # A renderer rounds the last row its own way: it leaves the row, or stretches all to fill it.
    found = [_first_unlike(ours, fitted) for fitted in _fitted(theirs, ours.size)]
    if None not in found:
        x, y = next(at for at in found if at)
        yield f"it is not what {svg.name} shows, {x} pixels from its left and {y} from its top"


def _fitted(picture: Image, size: tuple[int, int]) -> Iterator[Image]:
    """Yield a picture with a row cut or added at its foot, then stretched, to be of a size."""
    yield picture.crop((0, 0, *size))
    if picture.size != size:
        yield picture.resize(size)


def _first_unlike(ours: Image, theirs: Image) -> tuple[int, int] | None:
    """Return the first pixel, from the left and the top, where two pictures of one size differ."""
    one, other = _samples(ours), _samples(theirs)
    core: NDArray[np.bool_] = np.max(np.abs(one - other), axis=2) > _UNLIKE
    for _ in range(_BLOCK - 1):
        core = core[:-1, :-1] & core[1:, :-1] & core[:-1, 1:] & core[1:, 1:]
    if not core.any():
        return None
    y, x = (_REDUCED * int(v) for v in np.argwhere(core)[0])
    return x, y


def _samples(picture: Image) -> NDArray[np.int16]:
    return np.asarray(picture.reduce(_REDUCED)).astype(np.int16)


def _opened(file: Path) -> Image:
    from PIL import Image

    with Image.open(file) as picture:
        if picture.mode != "RGBA":
            return picture.convert("RGB")
        ground = Image.new("RGBA", picture.size, "#ffffff")
        return Image.alpha_composite(ground, picture).convert("RGB")


def _dots_to_the_inch(file: Path) -> int | None:
    """Return what a picture says of its size; it is drawn so, and not only as wide."""
    from PIL import Image

    with Image.open(file) as picture:
        said = picture.info.get("dpi")
    return None if said is None else round(said[0])


def _drawn(file: Path, wide: int, dpi: int | None = None) -> Image:
    import resvg_py
    from PIL import Image

    drawn: Any = resvg_py.svg_to_bytes(
        svg_string=file.read_text(encoding="utf-8"),
        width=wide if dpi is None else None,
        dpi=dpi or _DPI,
        background="#ffffff",
        skip_system_fonts=True,
    )
    return Image.open(io.BytesIO(bytes(drawn))).convert("RGB")
