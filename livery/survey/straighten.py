"""A picture of a flat thing, turned square: as if taken from straight in front.

Pixels are taken by linear interpolation in linear light; where the straightened picture is
coarser than the photograph, the photograph is blurred first so that nothing flickers.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from livery.colour.photo.perspective import carry_points
from livery.colour.photo.picture import Pixels
from livery.colour.science import FloatArray
from livery.findings import fault
from livery.survey.lens import Lens
from livery.survey.plane import KnownRectangle, Pick, densities

if TYPE_CHECKING:
    from livery.survey.survey_file import PictureEntry

LARGEST = 6000
"""Pixels that the longer side of a straightened picture never exceeds unless asked to (chosen).
Larger takes memory and time."""

_MOST_PIXELS = 200_000_000
"""The most pixels of a straightened picture (chosen: 5 GB as light). Larger, and memory runs
out."""


@dataclass(frozen=True, slots=True, eq=False)
class Straightened:
    """A square view.

    Attributes:
        rgba: Encoded sRGB with coverage (height, width, 4), 8 bits; clear beyond the picture.
        pixels_per_mm: Its scale, the same everywhere.
        left_mm: Where its left edge lies on the plane.
        top_mm: Where its top edge lies on the plane.
    """

    rgba: NDArray[np.uint8]
    pixels_per_mm: float
    left_mm: float
    top_mm: float


def straightening_rectangle(entry: PictureEntry, lens: Lens) -> KnownRectangle:
    """Return the rectangle that a survey's picture is straightened by: its own, or round its points.

    Its corners are as picked, the bend of the lens in them.  Raises LiveryError where nothing is
    known that could turn the picture square.
    """
    from livery.survey.known_points import KnownPoints
    from livery.survey.places import read_known_point, read_known_rectangle

    if entry.rectangle:
        return read_known_rectangle(entry.rectangle, entry.pick_error)
    if not entry.points:
        raise fault(
            "straight-known",
            "known lengths say how large a thing is, not how it is turned",
            "Pick the four corners of a known rectangle, or four known points.",
        )
    points = KnownPoints(tuple(map(read_known_point, entry.points)), entry.pick_error)
    straight = points.moved(lens.pick)
    across = [p.across_mm for p in straight.used]
    up = [p.up_mm for p in straight.used]
    left, right, bottom, top = min(across), max(across), min(up), max(up)
    around = np.array([(left, top), (right, top), (right, bottom), (left, bottom)])
    seen = lens.bent(carry_points(straight.to_picture, around))
    a, b, c, d = (Pick(float(x), float(y)) for x, y in seen)
    return KnownRectangle((a, b, c, d), right - left, top - bottom, entry.pick_error)


def straighten(
    picture: Pixels,
    rectangle: KnownRectangle,
    margin_mm: float = 0.0,
    pixels_per_mm: float | None = None,
    lens: Lens | None = None,
) -> Straightened:
    """Return the rectangle and a margin about it as seen from straight in front.

    Args:
        picture: The photograph.
        rectangle: The known rectangle in it.
        margin_mm: How much beyond the rectangle to show, on every side.
        pixels_per_mm: Scale wanted; by default the finest the photograph has anywhere in
            the rectangle, with at most :data:`LARGEST` pixels to a side.
        lens: What bends the picture, to be taken out.
    """
    if lens is not None:
        rectangle = rectangle.moved(lens.pick)
    width = rectangle.width_mm + 2 * margin_mm
    height = rectangle.height_mm + 2 * margin_mm
    to_plane = rectangle.matrix(rectangle.numbers)
    finest = max(densities(to_plane, corner)[0] for corner in rectangle.corners)
    scale = pixels_per_mm or min(finest, LARGEST / max(width, height))
    columns, rows = round(width * scale), round(height * scale)
    if columns * rows > _MOST_PIXELS or min(columns, rows) < 1:
        raise fault(
            "straight-size",
            f"the straightened picture would be {columns} x {rows} pixels",
            "Ask for another scale, or leave it to the photograph.",
            exit_status=1,
        )
    x = np.asarray(-margin_mm + (np.arange(columns) + 0.5) / scale)
    y = np.asarray(rectangle.height_mm + margin_mm - (np.arange(rows) + 0.5) / scale)
    rgba = np.empty((rows, columns, 4), dtype=np.uint8)
    from_plane = np.asarray(np.linalg.inv(to_plane))
    _refuse_beyond_horizon(from_plane, x[[0, -1]], y[[0, -1]])
    source = _blurred(picture.rows(0, picture.height).linear, finest / scale)
    for start in range(0, rows, 256):
        band = slice(start, start + 256)
        places = np.stack(np.meshgrid(x, y[band]), axis=-1).astype(np.float64)
        seen = carry_points(from_plane, places)
        rgba[band] = _taken(source, seen if lens is None else lens.bent(seen))
    return Straightened(rgba, scale, -margin_mm, rectangle.height_mm + margin_mm)


def _refuse_beyond_horizon(from_plane: FloatArray, x: FloatArray, y: FloatArray) -> None:
    """Refuse a margin so wide that part of it would lie behind the camera."""
    corners = np.array([(cx, cy, 1.0) for cx in x for cy in y])
    depth = corners @ from_plane[2]
    if depth.min() * depth.max() <= 0:
        raise fault(
            "straight-horizon",
            "the margin reaches beyond where this view can see",
            "Ask for a smaller margin.",
            exit_status=1,
        )


def _blurred(linear: NDArray[np.float32], ratio: float) -> NDArray[np.float32]:
    """Return the picture blurred for a coarser one; ``ratio`` is its pixels to one of those."""
    from scipy.ndimage import gaussian_filter

    if ratio <= 1.2:
        return linear
    sigma = 0.5 * np.sqrt(ratio**2 - 1)
    return np.asarray(gaussian_filter(linear, (sigma, sigma, 0)))


def _taken(linear: NDArray[np.float32], places: FloatArray) -> NDArray[np.uint8]:
    """Return encoded sRGB with coverage of the picture at places (rows, columns, 2)."""
    from scipy.ndimage import map_coordinates

    from livery.colour.conversion import encode

    places = np.nan_to_num(places, nan=-1.0)  # beyond all that the lens shows
    at = (places[..., 1] - 0.5, places[..., 0] - 0.5)
    result = np.zeros((*places.shape[:2], 4), dtype=np.uint8)
    for channel in range(3):
        light = map_coordinates(linear[..., channel], at, order=1, mode="nearest")
        result[..., channel] = np.round(255 * np.clip(encode(np.clip(light, 0, 1)), 0, 1))
    tall, wide = linear.shape[:2]
    within = (places >= 0).all(axis=-1) & (places[..., 0] <= wide) & (places[..., 1] <= tall)
    result[..., 3] = np.where(within, 255, 0)
    return result


def straightened_png(straightened: Straightened) -> bytes:
    """Return a PNG that says it is sRGB and, by its resolution, how large the thing itself is."""
    from PIL import Image, PngImagePlugin

    chunks = PngImagePlugin.PngInfo()
    chunks.add(b"sRGB", b"\0")
    dots_per_inch = straightened.pixels_per_mm * 25.4
    image = Image.fromarray(straightened.rgba)
    file = io.BytesIO()
    image.save(file, "PNG", dpi=(dots_per_inch, dots_per_inch), pnginfo=chunks)
    return file.getvalue()
