"""A picture as the light it holds, and the parts of it that are marked out.

Places are in pixels of the upright picture: x runs right and y *down* from its top
left corner, and the pixel in column i and row j has its middle at (i + 0.5, j + 0.5).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from livery.colour.science import FloatArray
from livery.findings import fault

FEWEST_PIXELS = 16


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


def pixels_in(region: Region, picture: Picture) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the rows and columns of the pixels whose middles lie in the region.

    Raises LiveryError if the region leaves the picture or holds too few pixels.
    """
    left, top, right, bottom = _box(region)
    if left < 0 or top < 0 or right > picture.width or bottom > picture.height:
        raise fault(
            "region-outside",
            f"The region from {left:g},{top:g} to {right:g},{bottom:g} leaves the picture, "
            f"which is {picture.width} x {picture.height} pixels.",
            "Places are in pixels from the top left corner of the upright picture.",
        )
    columns, rows = np.meshgrid(
        np.arange(int(left), int(np.ceil(right))), np.arange(int(top), int(np.ceil(bottom)))
    )
    inside = _inside(region, np.asarray(columns + 0.5), np.asarray(rows + 0.5))
    count = int(inside.sum())
    if count < FEWEST_PIXELS:
        raise fault(
            "region-tiny",
            f"The region holds {count} {'pixel' if count == 1 else 'pixels'}; "
            f"a colour needs at least {FEWEST_PIXELS}.",
            "Mark a larger part of the paint, or take a closer photograph.",
        )
    return rows[inside], columns[inside]


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
            "The sides of the region cross each other, so it is not clear what is inside.",
            "Give the corners in order round the region.",
        )
    return np.asarray(shapely.contains_xy(polygon, x, y))
