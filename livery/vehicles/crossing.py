"""Where panels pass through each other, such as a dome and its boiler: what each hides there.

Of two that cross, neither can be drawn whole before the other.  So what lies behind is cut off,
along the line where both are equally near.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from livery.vehicles.hiding import Shown

if TYPE_CHECKING:
    import numpy as np
    import shapely
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

LEAST_DEPTH_MM = 0.2
"""Of two surfaces that are nearer to each other than this along the line of sight, in millimetres,
neither hides the other (chosen: four times what facets stray). Smaller, and panels that touch are
cut; larger, and a rim shows through."""

LEAST_HIDDEN_MM2 = 1.0
"""The least that each of two panels hides of the other, in square millimetres, for them to cross
(chosen: less is not seen). Larger, and shallow crossings are drawn in one order throughout;
smaller only takes time."""

JOINT_MM = 0.02
"""Facets nearer to each other than twice this in a view are joined, in millimetres (chosen: what
flattening leaves apart). Larger, and true gaps close; smaller, and joints show."""


def hidden_parts(shown: Sequence[Shown]) -> dict[int, BaseGeometry]:
    """Return what to cut off panels that cross others, by their indices, as regions of the view."""
    import shapely

    hidden: dict[int, list[BaseGeometry]] = {}
    tree = shapely.STRtree([one.region for one in shown])
    for i, one in enumerate(shown):
        for j in sorted(int(k) for k in tree.query(one.region)):
            if j <= i or not (one.parts or shown[j].parts):
                continue  # flat panels in real places do not cross
            of_i, of_j = _hidden_of_both(one, shown[j])
            if min(of_i.area, of_j.area) > LEAST_HIDDEN_MM2:
                cut, lost = (i, of_i) if of_i.area <= of_j.area else (j, of_j)
                hidden.setdefault(cut, []).append(lost)
    return {i: shapely.union_all(lost) for i, lost in hidden.items()}


def joined_regions(regions: Sequence[BaseGeometry]) -> BaseGeometry:
    """Return regions of facets that meet as one, without the gaps of rounding between them."""
    import shapely

    if not regions:
        return shapely.Polygon()
    wider = [region.buffer(JOINT_MM, join_style="mitre") for region in regions]
    return shapely.union_all(wider).buffer(-JOINT_MM, join_style="mitre")


def left_of(region: BaseGeometry, hidden: BaseGeometry) -> BaseGeometry:
    """Return what is left of a region where part of it is hidden: areas, without stray lines.

    Where an edge runs back on itself within rounding, a line is left beside the areas.
    """
    import shapely

    parts = shapely.get_parts(region.difference(hidden))
    return shapely.MultiPolygon([p for p in parts if isinstance(p, shapely.Polygon)])


def _hidden_of_both(one: Shown, other: Shown) -> tuple[BaseGeometry, BaseGeometry]:
    """Return what the second hides of the first, and the first of the second."""
    behind: list[BaseGeometry] = []
    before: list[BaseGeometry] = []
    for shared, plane in _shared(one.parts or (one,), other.parts or (other,)):
        behind += _where_above(shared, plane)
        before += _where_above(shared, -plane)
    return joined_regions(behind), joined_regions(before)


def _shared(
    first: Sequence[Shown], second: Sequence[Shown]
) -> Iterator[tuple[shapely.Polygon, NDArray[np.float64]]]:
    """Yield what facets share in the view, and how much nearer the second is there, as a plane."""
    import numpy as np
    import shapely

    own, others = np.array([p.region for p in first]), np.array([p.region for p in second])
    pairs = shapely.STRtree(others).query(own, predicate="intersects")
    meet = shapely.intersection(own[pairs[0]], others[pairs[1]])
    for i, j, region in zip(*pairs.tolist(), meet, strict=True):
        plane = np.subtract(second[j].plane, first[i].plane)
        for part in shapely.get_parts(region):
            if isinstance(part, shapely.Polygon) and part.area > 0.0:
                yield part, plane


def _where_above(region: shapely.Polygon, plane: NDArray[np.float64]) -> Iterator[BaseGeometry]:
    """Yield the part of a region where a plane is higher than ``LEAST_DEPTH_MM``."""
    import numpy as np
    import shapely

    corners = shapely.get_coordinates(region)
    over = corners @ plane[:2] + plane[2] - LEAST_DEPTH_MM
    if over.max() <= 0.0:
        return
    if over.min() >= 0.0:
        yield region
        return
    # The half plane beyond the line where both are equally near, larger than the region it crosses.
    slope = plane[:2] / np.hypot(*plane[:2])
    middle = corners.mean(axis=0)
    level = middle @ plane[:2] + plane[2] - LEAST_DEPTH_MM
    on = middle - slope * level / np.hypot(*plane[:2])
    along = np.array((-slope[1], slope[0]))
    far = region.length
    half = shapely.Polygon(
        [on - far * along, on + far * along, on + far * (along + slope), on + far * (slope - along)]
    )
    yield region.intersection(half)
