"""A picture as the light it holds, and the parts of it that are marked out.

Places are in pixels of the upright picture: x runs right and y *down* from its top
left corner, and the pixel in column i and row j has its middle at (i + 0.5, j + 0.5).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from livery.colour.science import FloatArray
from livery.findings import fault

FEWEST_PIXELS = 16
"""The fewest pixels of a colour (chosen: fewer do not show their noise). Fewer, and a speck is a
colour."""

BAND_PIXELS = 1_000_000
"""Pixels looked at at once (chosen: a large region is gone through band by band). Only the time
changes with it."""


class PixelLight(NamedTuple):
    """Light of n pixels: linear-light RGB (n, 3), and (n,) where it is unusable or cut."""

    linear: NDArray[np.float32]
    unusable: NDArray[np.bool_]
    cut: NDArray[np.bool_]


class Pixels(Protocol):
    """A picture whose light can be taken pixel by pixel, wherever the pixels are kept."""

    @property
    def width(self) -> int:
        """Width in pixels."""

    @property
    def height(self) -> int:
        """Height in pixels."""

    @property
    def diagonal(self) -> float:
        """Diagonal in pixels, the unit in which places are set against each other."""

    @property
    def levels(self) -> int:
        """Steps from black to white in each channel of the file: 255 or 65535."""

    def at(self, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> PixelLight:
        """Return the light of the pixels in these rows and columns (n,)."""

    def rows(self, top: int, bottom: int) -> Picture:
        """Return the rows from top up to bottom."""


def every(picture: Pixels, down: int, across: int) -> NDArray[np.float32]:
    """Return the linear light (rows, columns, 3) of every so many rows and columns."""
    rows, columns = np.meshgrid(
        np.arange(0, picture.height, down), np.arange(0, picture.width, across), indexing="ij"
    )
    return picture.at(rows.ravel(), columns.ravel()).linear.reshape(*rows.shape, 3)


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """Light, pixel by pixel.

    Attributes:
        linear: Linear-light RGB (height, width, 3) with the primaries and white of sRGB;
            1 is the white of the file.  Values outside 0 to 1 are colours outside sRGB.
        unusable: (height, width); true where a channel is burnt out at the top of the file,
            or the picture is transparent, so that the light there is not known.
        cut: (height, width); true where a channel stands at the bottom of the file: the
            colour is at least as strong as it reads, and may be stronger.
        levels: Steps from black to white in each channel of the file: 255 or 65535.
    """

    linear: NDArray[np.float32]
    unusable: NDArray[np.bool_]
    cut: NDArray[np.bool_]
    levels: int

    @property
    def width(self) -> int:
        """Width in pixels."""
        return int(self.linear.shape[1])

    @property
    def height(self) -> int:
        """Height in pixels."""
        return int(self.linear.shape[0])

    @property
    def diagonal(self) -> float:
        """Diagonal in pixels, the unit in which places are set against each other."""
        return float(np.hypot(self.width, self.height))

    def at(self, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> PixelLight:
        """Return the light of the pixels in these rows and columns (n,)."""
        here = rows, columns
        return PixelLight(self.linear[here], self.unusable[here], self.cut[here])

    def rows(self, top: int, bottom: int) -> Picture:
        """Return the rows from top up to bottom."""
        here = slice(top, bottom)
        return Picture(self.linear[here], self.unusable[here], self.cut[here], self.levels)


@dataclass(frozen=True, slots=True)
class Rectangle:
    """An upright rectangle between two opposite corners."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """The four corners in order."""
        return ((self.x0, self.y0), (self.x1, self.y0), (self.x1, self.y1), (self.x0, self.y1))


@dataclass(frozen=True, slots=True)
class Polygon:
    """A region within three or more corners."""

    corners: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """A round region about a point."""

    x: float
    y: float
    radius: float


Region: TypeAlias = Rectangle | Polygon | Spot


def pixels_in(
    region: Region, picture: Pixels, most: int | None = None
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the rows and columns of the pixels whose middles lie in the region.

    Of a region that holds more than ``most``, those of every so many rows and columns.

    Raises LiveryError if the region leaves the picture or holds too few pixels.
    """
    left, top, right, bottom = _box(region)
    if left < 0 or top < 0 or right > picture.width or bottom > picture.height:
        raise fault(
            "region-outside",
            f"the region from {left:g},{top:g} to {right:g},{bottom:g} leaves the picture, "
            f"which is {picture.width} x {picture.height} pixels",
            "Places are in pixels from the top left corner of the upright picture.",
        )
    bands = _bands(int(top), int(np.ceil(bottom)), int(np.ceil(right)) - int(left))
    first = _pixels_between(region, *bands[0])
    count = len(first[0]) + sum(len(_pixels_between(region, *band)[0]) for band in bands[1:])
    if count < FEWEST_PIXELS:
        raise fault(
            "region-tiny",
            f"the region holds {count} {'pixel' if count == 1 else 'pixels'}; "
            f"a colour needs at least {FEWEST_PIXELS}",
            "Mark a larger part of the paint, or take a closer photograph.",
        )
    step = 1 if most is None else int(np.ceil(np.sqrt(count / most)))
    if len(bands) == 1:
        return _thinned(*first, step)
    kept = [_thinned(*_pixels_between(region, *band), step) for band in bands]
    return np.concatenate([k[0] for k in kept]), np.concatenate([k[1] for k in kept])


def _bands(top: int, bottom: int, width: int) -> list[tuple[int, int]]:
    """Return rows from each to each, so that few pixels lie between."""
    tall = max(1, BAND_PIXELS // max(1, width))
    return [(row, min(row + tall, bottom)) for row in range(top, bottom, tall)] or [(top, bottom)]


def _pixels_between(
    region: Region, top: int, bottom: int
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    left, _, right, _ = _box(region)
    columns, rows = np.meshgrid(np.arange(int(left), int(np.ceil(right))), np.arange(top, bottom))
    inside = _inside(region, np.asarray(columns + 0.5), np.asarray(rows + 0.5))
    return rows[inside], columns[inside]


def _thinned(
    rows: NDArray[np.intp], columns: NDArray[np.intp], step: int
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the pixels of every so many rows and columns."""
    if step <= 1:
        return rows, columns
    taken = (rows % step == 0) & (columns % step == 0)
    return rows[taken], columns[taken]


def _box(region: Region) -> tuple[float, float, float, float]:
    if isinstance(region, Spot):
        x, y, r = region.x, region.y, region.radius
        return x - r, y - r, x + r, y + r
    xs, ys = zip(*region.corners, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _inside(region: Region, x: FloatArray, y: FloatArray) -> NDArray[np.bool_]:
    if isinstance(region, Spot):
        return np.asarray((x - region.x) ** 2 + (y - region.y) ** 2 <= region.radius**2)
    if isinstance(region, Rectangle):
        left, top, right, bottom = _box(region)
        return np.asarray((x >= left) & (x <= right) & (y >= top) & (y <= bottom))
    import shapely

    polygon = shapely.Polygon(region.corners)
    if not polygon.is_valid or polygon.area == 0:
        raise fault(
            "region-crossed",
            "the sides of the region cross each other, so it is not clear what is inside",
            "Give the corners in order round the region.",
        )
    return np.asarray(shapely.contains_xy(polygon, x, y))
