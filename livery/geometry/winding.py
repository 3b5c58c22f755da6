"""How often closed rings wind round each place: the topology behind every operation.

Rings of points may cross, overlap and run along each other.  Shapely finds where
they meet and the faces between them; the winding number of each face decides
whether it belongs to the region.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from livery.geometry.rings import ring_area

if TYPE_CHECKING:
    import numpy as np
    import shapely
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

SLIVER_MM = 1e-7
"""Millimetres: a face thinner than this on average is rounding, not shape (chosen: a tenth of the weld).
Larger, and thin true faces are lost."""
_ZERO_MM = 1e-150
"""Millimetres: less than this is no coordinate but what a subtraction left (chosen: its square is still
a float). Slopes by smaller numbers overflow."""
_CLEAR_AREA = 1e-9
"""Share of its square below which a ring's area does not say which way it runs (chosen: above rounding).
Larger, and more rings take the slower way; smaller, and rounding may turn one."""
_AT_ONCE = 2000
"""Rays dropped at a time (chosen, to bound the memory). Only time and memory change with it."""


class Faces(NamedTuple):
    """The faces rings divide the plane into: Shapely's polygons, a place in each, its winding."""

    polygons: Any
    places: Numbers
    winding: NDArray[np.int64]


def bounded_faces(rings: Sequence[Any]) -> Faces:
    """Return the bounded faces between rings of points, slivers of rounding left out.

    ``rings`` are sequences of points, not closed by a repeat.
    """
    import numpy as np
    import shapely

    none = np.empty((0, 2))
    closed = [_settled(np.asarray(r, dtype=float)) for r in rings]
    closed = [np.vstack((r, r[:1])) for r in closed if len(r) > 2]
    if not closed:
        return Faces(np.empty(0, dtype=object), none, np.empty(0, dtype=np.int64))
    noded = shapely.node(shapely.MultiLineString(closed))
    polygons = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    polygons = polygons[shapely.area(polygons) > SLIVER_MM * shapely.length(polygons) / 2]
    places = shapely.get_coordinates(shapely.point_on_surface(polygons))
    if len(places) == 0:
        return Faces(polygons, places, np.empty(0, dtype=np.int64))
    starts = np.vstack([r[:-1] for r in closed])
    ends = np.vstack([r[1:] for r in closed])
    return Faces(polygons, places, winding_numbers(places, starts, ends))


def _settled(ring: Numbers) -> Numbers:
    """Return a ring with numbers too small to be sizes made zero: slopes by them overflow."""
    import numpy as np

    return np.where(np.abs(ring) < _ZERO_MM, 0.0, ring)


def region(
    rings: Sequence[Any], keep: Callable[[NDArray[np.int64]], NDArray[np.bool_]]
) -> shapely.Polygon | shapely.MultiPolygon:
    """Return the faces whose winding number ``keep`` accepts, as one valid region.

    ``keep`` is given an array of winding numbers, anticlockwise positive.
    """
    import shapely

    faces = bounded_faces(rings)
    kept = faces.polygons[keep(faces.winding)]
    return _joined(kept) if len(kept) else shapely.Polygon()


def covered_region(
    rings: Sequence[Numbers],
) -> shapely.Polygon | shapely.MultiPolygon | None:
    """Return the region that rings wind round once or more, anticlockwise; quicker than ``region``.

    A buffer of no width settles the winding depth on both sides of every edge, and takes
    a shell to be anticlockwise, as its signed area says, and a hole clockwise.  None where
    the area is too near nothing to say.
    """
    import numpy as np
    import shapely

    shells: list[Numbers] = []
    holes: list[Numbers] = []
    for ring in rings:
        if len(ring) < 3:
            continue
        signed = ring_area(ring)
        if abs(signed) <= _CLEAR_AREA * float(np.ptp(ring, axis=0).max()) ** 2:
            return None
        (shells if signed > 0.0 else holes).append(ring)
    if not shells:
        return shapely.Polygon() if not holes else None
    polygons = [shapely.Polygon(shells[0], holes), *(shapely.Polygon(s) for s in shells[1:])]
    found: shapely.Polygon | shapely.MultiPolygon = shapely.MultiPolygon(polygons).buffer(0.0)
    return found


def _joined(faces: Any) -> shapely.Polygon | shapely.MultiPolygon:
    """Return faces that meet edge to edge as one region, without slivers."""
    import shapely

    parts = list(shapely.get_parts(shapely.coverage_union_all(faces)))
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)


def winding_numbers(points: Numbers, starts: Numbers, ends: Numbers) -> NDArray[np.int64]:
    """Return how often the directed edges wind round each point.

    ``points`` is (n, 2), ``starts`` and ``ends`` (m, 2).  A level ray to the nearer
    side is dropped on an index of the edges, so the cost goes with the crossings.
    """
    import numpy as np
    import shapely

    edges: Any = shapely.linestrings(np.stack((starts, ends), axis=1))
    tree = shapely.STRtree(edges)
    left, right = starts[:, 0].min() - 1.0, starts[:, 0].max() + 1.0
    tips = points.copy()
    tips[:, 0] = np.where(points[:, 0] - left < right - points[:, 0], left, right)
    winding = np.zeros(len(points), dtype=np.int64)
    for first in range(0, len(points), _AT_ONCE):
        part = slice(first, first + _AT_ONCE)
        rays, hit = tree.query(shapely.linestrings(np.stack((points[part], tips[part]), axis=1)))
        winding[part] = _crossings(points[part], tips[part], rays, starts[hit], ends[hit])
    return winding


def _crossings(
    points: Numbers, tips: Numbers, rays: NDArray[np.int64], starts: Numbers, ends: Numbers
) -> NDArray[np.int64]:
    """Add up the edges each ray crosses, one way less the other."""
    import numpy as np

    x, y = points[rays, 0], points[rays, 1]
    way = np.where(tips[:, 0] > points[:, 0], 1, -1)
    below, above = starts[:, 1] <= y, ends[:, 1] <= y
    rise, run = ends[:, 1] - starts[:, 1], ends[:, 0] - starts[:, 0]
    side = run * (y - starts[:, 1]) - (x - starts[:, 0]) * rise
    # Positive where the point lies to the left of the edge.
    ahead = np.where(rise > 0, side, -side) * way[rays] > 0
    crossing = (below != above) & ahead
    signs = np.where(below, 1, -1)[crossing]
    counts = np.bincount(rays[crossing], weights=signs, minlength=len(points))
    winding: NDArray[np.int64] = (counts * way).round().astype(np.int64)
    return winding
