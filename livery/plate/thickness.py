"""How thick a solid is, measured in its triangles: the metal under every level place, and its walls."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from livery.geometry.outline import Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_LEVEL = 0.999
"""A surface that looks up or down by more than this lies level (chosen: within 2.6 degrees).
Larger, and a face that is a little rough is not measured."""
_FACING = 0.5
"""How far a surface must look up or down to be met (chosen: the walls of a plate are no side of its
thickness). Larger, and a sloping back is not met."""
_LEAST_MM2 = 1e-4
"""A smaller facet, in square millimetres, is not measured from (chosen). Larger, and thin places at
fine letters are missed."""
_APART_MM = 1e-6
"""What is met nearer than this, in millimetres, is the surface itself (chosen: rounding). Larger,
and a plate as thin is not measured."""


class ThinnestPlace(NamedTuple):
    """The least thickness found, and where, as seen from the front; millimetres."""

    size_mm: float
    at: Point


def thinnest_section(corners: NDArray[np.float64]) -> ThinnestPlace:
    """Return the least metal above or under the middle of any level triangle of a closed solid.

    ``corners`` (n, 3, 3) are those of its triangles, anticlockwise from outside.  Upright from each
    middle the surface is met again at once on the other side of the metal.
    """
    import numpy as np

    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    twice = np.linalg.norm(normals, axis=1)
    large = twice > 2.0 * _LEAST_MM2
    upward = np.divide(normals[:, 2], twice, out=np.zeros(len(twice)), where=twice > 0.0)
    level = large & (np.abs(upward) > _LEVEL)
    middles = corners[level].mean(axis=1)
    other = _opposite_heights(middles, upward[level] > 0.0, corners, upward)
    apart = np.abs(middles[:, 2] - other)
    least = int(np.argmin(apart))
    return ThinnestPlace(float(apart[least]), Point(*map(float, middles[least, :2])))


def _opposite_heights(
    places: NDArray[np.float64],
    looks_up: NDArray[np.bool_],
    corners: NDArray[np.float64],
    upward: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return the height of the surface that faces each place through the metal."""
    import numpy as np
    import shapely

    facing = np.abs(upward) > _FACING
    triangles, faces_up = corners[facing], upward[facing] > 0.0
    tree = shapely.STRtree([shapely.Polygon(t) for t in triangles[:, :, :2]])
    place, met = tree.query(shapely.points(places[:, :2]), predicate="intersects")
    meet = _heights_in(triangles[met], places[place, :2])
    # Downward from a place that looks up, to a surface that looks down; and the other way about.
    ahead = np.where(looks_up[place], places[place, 2] - meet, meet - places[place, 2])
    through = (ahead > _APART_MM) & (faces_up[met] != looks_up[place])
    nearest = np.full(len(places), np.inf)
    np.minimum.at(nearest, place[through], ahead[through])
    heights = places[:, 2] + np.where(looks_up, -nearest, nearest)
    return np.asarray(heights, np.float64)


def _heights_in(triangles: NDArray[np.float64], at: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the height of each triangle's plane at a place (n, 2)."""
    import numpy as np

    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    normal = np.cross(b - a, c - a)
    along: NDArray[np.float64] = normal[:, 0] * (at[:, 0] - a[:, 0])
    along += normal[:, 1] * (at[:, 1] - a[:, 1])
    heights: NDArray[np.float64] = a[:, 2] - along / normal[:, 2]
    return heights


def thinnest_wall(corners: NDArray[np.float64], height: float) -> ThinnestPlace | None:
    """Return the least metal between two edges of the solid's section at a height; None without two.

    Where nothing is hollow at that height the section has one edge, and no wall.
    """
    import shapely

    section = section_at(corners, height)
    rings = [r for part in shapely.get_parts(section) for r in (part.exterior, *part.interiors)]
    least: ThinnestPlace | None = None
    for number, ring in enumerate(rings):
        for other in rings[number + 1 :]:
            line = shapely.shortest_line(ring, other)
            if least is None or line.length < least.size_mm:
                middle = line.interpolate(0.5, normalized=True)
                least = ThinnestPlace(float(line.length), Point(middle.x, middle.y))
    return least


def section_at(corners: NDArray[np.float64], height: float) -> Any:
    """Return the solid's section at a height (z) that no corner lies at, as a Shapely region.

    With the corners' coordinates in another order it is the section across another axis.
    """
    import numpy as np
    import shapely

    above = corners[:, :, 2] > height
    cut = corners[above.any(axis=1) & ~above.all(axis=1)]
    ends = []
    for i in range(3):
        one, two = cut[:, i], cut[:, (i + 1) % 3]
        crosses = (one[:, 2] > height) != (two[:, 2] > height)
        # The same sum for an edge whichever way it runs, so that neighbours meet to the bit.
        low = np.where((one[:, 2] < two[:, 2])[:, np.newaxis], one, two)
        top = np.where((one[:, 2] < two[:, 2])[:, np.newaxis], two, one)
        rise = np.where(crosses, top[:, 2] - low[:, 2], 1.0)
        share = (height - low[:, 2]) / rise
        meet = low[:, :2] + share[:, np.newaxis] * (top[:, :2] - low[:, :2])
        ends.append(np.where(crosses[:, np.newaxis], meet, np.nan))
    points = np.stack(ends, axis=1)
    lines = points[~np.isnan(points[:, :, 0])].reshape(-1, 2, 2)
    lines = lines[(lines[:, 0] != lines[:, 1]).any(axis=1)]
    return shapely.build_area(shapely.union_all(shapely.linestrings(lines)))
