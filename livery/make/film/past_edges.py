"""Film carried past the edges of the metal, to be trimmed or wrapped: cut to the edge, it lifts.

Only the cut part grows.  What shows is the piece, since there is no metal beyond.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from livery.geometry.boolean import union
from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.outline import Outline, Point, chain
from livery.layout.plan import PlacedEdge
from livery.rounding import on_grid

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

TOUCHES_MM = 0.01
"""A part this near to an edge of the metal, in millimetres, ends on it (chosen). Larger, and film
that is to stop short runs past."""

LEAST_MM2 = 0.01
"""Less than this past an edge, in square millimetres, is rounding (chosen). Larger, and a narrow
strand is not run past."""

SLIT_MM = 0.1
"""Slits narrower than twice this, in millimetres, are closed in what runs past (chosen: a knife
cannot cut them). Larger, and small notches are filled."""


class MetalEdges:
    """The edges of a panel's metal: its outline, and the openings in it.

    ``said`` are the runs of them of which the description says something: film ends on those
    that butt, and runs past others as far as they say.
    """

    def __init__(
        self, sheet: Outline, openings: Sequence[Outline], said: Sequence[PlacedEdge] = ()
    ) -> None:
        self._sheet, self._openings = sheet, tuple(openings)
        self._said = tuple(e for e in said if e.kind == "butted" or e.by_mm is not None)

    @cached_property
    def _metal(self) -> BaseGeometry:
        import shapely

        openings = shapely.union_all([to_shapely(o) for o in self._openings])
        return to_shapely(self._sheet).difference(openings)

    @cached_property
    def _runs(self) -> tuple[tuple[BaseGeometry, float | None], ...]:
        """The edges in runs, and how far film runs past each; None as far as its film says."""
        left = self._metal.boundary
        runs: list[tuple[BaseGeometry, float | None]] = []
        for edge in self._said:
            near = to_line_string(edge.run).buffer(TOUCHES_MM, cap_style="flat")
            by = edge.by_mm if edge.kind == "free" else 0.0
            runs.append((left.intersection(near), by))
            left = left.difference(near)
        return (*runs, (left, None))

    def run_past(self, part: Outline, by_mm: float) -> tuple[Outline, float]:
        """Return a part carried past each edge of the metal that it ends on, and how far at most.

        It is carried on square to the edge, by ``by_mm`` where the edge itself says nothing.
        """
        import shapely

        shape = to_shapely(part)
        if not shapely.dwithin(self._metal.boundary, shape, TOUCHES_MM):
            return part, 0.0
        near: list[BaseGeometry] = []
        reach = 0.0
        for run, own in self._runs:
            by = by_mm if own is None else own
            lines = _touched(run, shape) if by > 0.0 else []
            near += [p.buffer(by, cap_style="flat", join_style="mitre") for p in lines]
            reach = max(reach, by) if lines else reach
        if not near:
            return part, 0.0
        # Beyond the metal, and a little within it, so that no seam of rounding is left.
        past = shapely.union_all(near)
        if self._said:  # runs that follow each other leave a slit of rounding between them
            past = past.buffer(SLIT_MM, join_style="mitre").buffer(-SLIT_MM, join_style="mitre")
        beyond = past.difference(self._metal.buffer(-2.0 * TOUCHES_MM))
        kept = beyond.difference(self._metal.difference(shape))
        return union(part, *_outlines(kept)), reach


def _touched(run: BaseGeometry, shape: BaseGeometry) -> list[BaseGeometry]:
    """Return the lines of a run of edge that a shape ends on, a little shorter than they are."""
    import shapely
    from shapely.ops import substring

    along = shapely.line_merge(run.intersection(shape.buffer(TOUCHES_MM)))
    return [
        substring(p, TOUCHES_MM, p.length - TOUCHES_MM) if not p.is_closed else p
        for p in shapely.get_parts(along)
        if p.length > 4.0 * TOUCHES_MM
    ]


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
