"""Film carried past the edges of the metal, to be trimmed or wrapped: cut to the edge, it lifts.

Only the cut part grows.  What shows is the piece, since there is no metal beyond.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from livery.geometry.boolean import union
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline, Point, chain
from livery.rounding import on_grid

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

TOUCHES_MM = 0.01
"""A part this near to an edge of the metal ends on it."""

LEAST_MM2 = 0.01
"""Less than this past an edge is rounding."""


class MetalEdges:
    """The edges of a panel's metal: its outline, and the openings in it."""

    def __init__(self, sheet: Outline, openings: Sequence[Outline]) -> None:
        self._sheet, self._openings = sheet, tuple(openings)

    @cached_property
    def _metal(self) -> BaseGeometry:
        import shapely

        openings = shapely.union_all([to_shapely(o) for o in self._openings])
        return to_shapely(self._sheet).difference(openings)

    def run_past(self, part: Outline, by_mm: float) -> Outline:
        """Return a part carried past each edge of the metal that it ends on, square to the edge."""
        import shapely
        from shapely.ops import substring

        shape, edge = to_shapely(part), self._metal.boundary
        if by_mm <= 0.0 or not shapely.dwithin(edge, shape, TOUCHES_MM):
            return part
        along = shapely.line_merge(edge.intersection(shape.buffer(TOUCHES_MM)))
        lines = [
            substring(p, TOUCHES_MM, p.length - TOUCHES_MM) if not p.is_closed else p
            for p in shapely.get_parts(along)
            if p.length > 4.0 * TOUCHES_MM
        ]
        near = [p.buffer(by_mm, cap_style="flat", join_style="mitre") for p in lines]
        # Beyond the metal, and a little within it, so that no seam of rounding is left.
        beyond = shapely.union_all(near).difference(self._metal.buffer(-2.0 * TOUCHES_MM))
        kept = beyond.difference(self._metal.difference(shape))
        return union(part, *_outlines(kept))


def _outlines(region: BaseGeometry) -> list[Outline]:
    """Return the polygons of a region as outlines of straight sides."""
    import shapely

    found = []
    for part in shapely.get_parts(shapely.transform(region, on_grid)):
        if part.geom_type != "Polygon" or part.area < LEAST_MM2:
            continue
        whole = shapely.orient_polygons(part)
        rings = [whole.exterior, *whole.interiors]
        points = [[Point(float(x), float(y)) for x, y in ring.coords[:-1]] for ring in rings]
        found.append(Outline(tuple(chain(ring) for ring in points)))
    return found
