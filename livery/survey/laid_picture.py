"""A photograph with a drawing laid over it, as a picture file."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray

from livery.colour.photo.picture import Pixels
from livery.write.png import NoCairoError

_ROWS = 256
"""Rows encoded at once (chosen: bounds the memory). Only the time changes with it."""


def shown_pixels(picture: Pixels) -> NDArray[np.uint8]:
    """Return a picture as encoded sRGB (height, width, 3), every pixel where it was."""
    rows = range(0, picture.height, _ROWS)
    return np.concatenate([_encoded(picture.rows(i, i + _ROWS).linear) for i in rows])


def _encoded(linear: NDArray[np.float32]) -> NDArray[np.uint8]:
    from livery.colour.conversion import encode

    return np.round(255.0 * encode(np.clip(linear, 0.0, 1.0))).astype(np.uint8)


def with_overlay(picture: Pixels, svg: str) -> bytes:
    """Return a PNG of a picture with an SVG of the same size in pixels laid over it.

    Raises:
        NoCairoError: the system's Cairo library is missing.
    """
    from PIL import Image

    try:
        import cairosvg
    except OSError as missing:
        raise NoCairoError from missing
    drawn = cairosvg.svg2png(
        bytestring=svg.encode(), output_width=picture.width, output_height=picture.height
    )
    below = Image.fromarray(shown_pixels(picture)).convert("RGBA")
    laid = Image.alpha_composite(below, Image.open(io.BytesIO(drawn)).convert("RGBA"))
    file = io.BytesIO()
    laid.convert("RGB").save(file, "PNG")
    return file.getvalue()
