"""A band along some edges of a panel or an area only."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from livery.geometry.boolean import difference, intersection, union
from livery.geometry.measure import nearest
from livery.geometry.offset import band, inset, parallel, swept_beside
from livery.geometry.outline import Contour, Line, Outline, Point, Segment
from livery.geometry.segments import direction, point_on
from livery.geometry.shapes import turn_between

BEYOND_MM = 40.0
"""How far a line that is to run off its panel is carried, in millimetres, before it is cut to
the edge (chosen: further than any edge leans away). Smaller, and a line ends short of a
slanting edge."""
SPARE_MM = 1.0
"""How far it is carried at least beyond what the edge's lean asks for, in millimetres (chosen).
Smaller, and rounding could leave a gap at the edge."""
ON_MM = 1e-4
"""A side this near another, in millimetres, lies on it (chosen: rounding). Larger, and a side close
by is taken for one without lining."""


@dataclass(frozen=True)
class EdgeCourse:
    """A band along some edges only, cut to a window where it would run on.

    ``unlined`` are the sides of ``edge`` that the band does not run along.  Where it comes to
    an outward corner with one of them it runs off the metal; at an inward one it stops square.
    """

    edge: Outline
    unlined: tuple[Segment, ...]
    width: float
    window: Outline

    def region(self, outer: float, inner: float) -> Outline:
        """Return the region from one depth to another."""
        return intersection(self.whole(outer, inner), self.window)

    def whole(self, outer: float, inner: float) -> Outline:
        """Return the region from one depth to another, before it is cut to its window."""
        return union(*(_between(run, outer, inner) for run in self.runs))

    def lines(self, depth: float) -> tuple[Contour, ...]:
        """Return the lines at a depth from the outside edge."""
        return tuple(line for run in self.runs for line in _beside(run, depth))

    @property
    def along_points(self) -> tuple[()]:
        """None: it follows an edge."""
        return ()

    @property
    def may_cross_notches(self) -> bool:
        """It may not: it follows the edge into a notch."""
        return False

    @cached_property
    def runs(self) -> tuple[Contour, ...]:
        """The runs of the edge that the band follows, each carried on where it runs off."""
        return tuple(
            run
            for c in self.edge
            for run in _runs(c, Outline((Contour(self.unlined),)), self.width)
        )


def _between(run: Contour, outer: float, inner: float) -> Outline:
    if run.closed:
        return band(Outline((run,)), outer, inner)
    return difference(swept_beside(run, inner), swept_beside(run, outer))


def _beside(run: Contour, depth: float) -> tuple[Contour, ...]:
    return inset(Outline((run,)), depth).contours if run.closed else parallel(run, depth)


def _runs(contour: Contour, unlined: Outline, width: float) -> list[Contour]:
    segments = contour.segments
    count = len(segments)
    lined = [nearest(unlined, point_on(s, 0.5)).distance > ON_MM for s in segments]
    if all(lined):
        return [contour]
    runs = []
    for first in (i for i in range(count) if lined[i] and not lined[i - 1]):
        last = first
        while lined[(last + 1) % count]:
            last += 1
        inner = [segments[i % count] for i in range(first, last + 1)]
        back = _carried(inner[0].reversed(), segments[first - 1].reversed(), width, -1.0)
        on = _carried(inner[-1], segments[(last + 1) % count], width, 1.0)
        start = [] if back is None else [Line(back, inner[0].start)]
        end = [] if on is None else [Line(inner[-1].end, on)]
        runs.append(Contour((*start, *inner, *end), closed=False))
    return runs


def _carried(run: Segment, side: Segment, width: float, way: float) -> Point | None:
    """Return where a run is carried to past the side it ends at; None where it stops there.

    ``way`` is 1 with the band on the left of the run, -1 with it on the right.
    """
    along = direction(run, 1.0)
    turn = way * turn_between(along, direction(side, 0.0))
    if turn < 0.0:
        return None
    leans = width / math.tan(turn) if turn > 1e-6 else math.inf
    far = BEYOND_MM + 2.0 * width
    if isinstance(side, Line):
        far = min(far, max(leans, 0.0) + SPARE_MM)
    return Point(run.end.x + far * along.x, run.end.y + far * along.y)
