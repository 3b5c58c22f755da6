"""A shape by its corners and edges, as arrays, for finding what is near what."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from livery.rounding import on_grid

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    Numbers = NDArray[np.float64]


class EdgedShape:
    """The edges of a shape about its origin, n of them, the solid on the left of each.

    They may lie ``outside_mm`` outside it: fewer corners, and no less spacing.

    ``starts`` are their first corners, ``along`` and ``outward`` their directions and those away
    from the solid (n, 2), ``lengths`` (n), ``low`` and ``high`` the corners of their boxes, and
    ``box`` the left, bottom, right and top of the whole.
    """

    def __init__(self, shape: BaseGeometry, outside_mm: float) -> None:
        import shapely

        wider = shape.buffer(outside_mm, quad_segs=4).simplify(outside_mm)
        self.shape: BaseGeometry = shapely.transform(wider, on_grid).buffer(0)
        rings = [shapely.get_coordinates(r) for r in _rings(shapely.orient_polygons(self.shape))]
        self.starts: Numbers = np.concatenate([ring[:-1] for ring in rings])
        ends = np.concatenate([ring[1:] for ring in rings])
        step = ends - self.starts
        # No hypot: its last bits differ from one library of mathematics to another.
        self.lengths: Numbers = np.sqrt(step[:, 0] * step[:, 0] + step[:, 1] * step[:, 1])
        self.along: Numbers = step / self.lengths[:, None]
        self.outward: Numbers = np.stack([self.along[:, 1], -self.along[:, 0]], axis=1)
        self.low: Numbers = np.minimum(self.starts, ends)
        self.high: Numbers = np.maximum(self.starts, ends)
        self.box: Numbers = np.concatenate([self.low.min(axis=0), self.high.max(axis=0)])


def _rings(shape: BaseGeometry) -> list[Any]:
    import shapely

    parts: Any = shapely.get_parts(shape)
    return [ring for part in parts for ring in (part.exterior, *part.interiors)]
