"""Separate lines and curves of drawing files, joined end to end into an outline."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from livery.findings import fault
from livery.geometry.measure import lies_within
from livery.geometry.outline import Contour, Outline, Point, Segment
from livery.geometry.path_text import orient
from livery.geometry.segments import point_on, with_ends
from livery.geometry.validity import faults
from livery.input_limits import FARTHEST_MM, MOST_NODES, SIMPLER, require_at_most

JOIN_MM = 0.02
"""Ends no further apart than this are drawn as one point, in millimetres (chosen: what snapping
leaves in drawings). Larger, and small gaps meant as gaps close; smaller, and outlines stay
open."""


def closed_outline(contours: Iterable[Contour], what: str) -> Outline:
    """Return the outline that contours and loose runs enclose, holes known by nesting.

    Runs may come in any order and direction; ends within ``JOIN_MM`` are brought
    together.  ``what`` names the outline in a fault.

    Raises:
        LiveryError: an end meets nothing or more than one other, or the contours
            cross.
    """
    drawn = _within_limits(contours, what)
    if not drawn:
        raise fault("outline-empty", f"{what} has no lines or curves in it", "draw its outline")
    rings = [c for c in drawn if c.closed]
    rings += _joined([c for c in drawn if not c.closed], what)
    outline = orient(Outline(tuple(rings)))
    wrong = faults(outline)
    if wrong:
        raise fault(
            "outline-improper",
            f"{what} is not a proper outline: {wrong[0].words}",
            "correct the drawing there",
        )
    return outline


def _within_limits(contours: Iterable[Contour], what: str) -> list[Contour]:
    """Return the contours that are no mere points; raise LiveryError where one is beyond a limit."""
    drawn: list[Contour] = []
    nodes = 0
    for contour in contours:
        nodes += len(contour.segments)
        require_at_most(nodes, MOST_NODES, f"nodes in {what}", SIMPLER)
        if not lies_within(contour, FARTHEST_MM):
            raise fault(
                "outline-too-large",
                f"{what} reaches beyond any vehicle: further than {FARTHEST_MM / 1e6:g} km",
                "Check its numbers and its unit.",
            )
        if _length(contour) > JOIN_MM:
            drawn.append(contour)
    return drawn


class _End(NamedTuple):
    """An end of a run: the run's place in the list, whether it is its last end, and where."""

    place: int
    last: bool
    at: Point


class _LooseEnds:
    """The ends of the runs not yet laid, found by where they are."""

    def __init__(self, runs: list[Contour]) -> None:
        self.left = dict.fromkeys(range(len(runs)))
        self._cells: dict[tuple[int, int], list[_End]] = {}
        for place, run in enumerate(runs):
            for end in (_End(place, False, run.start), _End(place, True, run.end)):
                self._cells.setdefault(_cell(end.at), []).append(end)

    def meeting(self, at: Point) -> list[_End]:
        """Return the ends that meet a point."""
        x, y = _cell(at)
        near = (self._cells.get((x + i, y + j), ()) for i in (-1, 0, 1) for j in (-1, 0, 1))
        return [
            e
            for ends in near
            for e in ends
            if e.place in self.left and math.dist(e.at, at) <= JOIN_MM
        ]

    def nearest_gap(self, at: Point) -> float:
        """Return the distance from a point to the nearest end; infinite without ends."""
        ends = (e for cell in self._cells.values() for e in cell if e.place in self.left)
        return min((math.dist(e.at, at) for e in ends), default=math.inf)


def _cell(at: Point) -> tuple[int, int]:
    return math.floor(at.x / JOIN_MM), math.floor(at.y / JOIN_MM)


def _joined(runs: list[Contour], what: str) -> list[Contour]:
    """Return closed contours made of runs laid end to end."""
    rings = []
    ends = _LooseEnds(runs)
    for first in range(len(runs)):
        if first not in ends.left:
            continue
        del ends.left[first]
        segments = list(runs[first].segments)
        while math.dist(segments[-1].end, segments[0].start) > JOIN_MM:
            end = segments[-1].end
            following = _following(ends, end, what)
            del ends.left[following.place]
            run = runs[following.place]
            run = run.reversed() if following.last else run
            segments += (with_ends(run.segments[0], end, run.segments[0].end), *run.segments[1:])
        segments[-1] = with_ends(segments[-1], segments[-1].start, segments[0].start)
        rings.append(Contour(tuple(segments)))
    return rings


def _following(ends: _LooseEnds, end: Point, what: str) -> _End:
    """Return the only loose end at ``end``."""
    meeting = ends.meeting(end)
    at = f"x {end.x:.2f}, y {end.y:.2f} mm"
    if not meeting:
        gap = ends.nearest_gap(end)
        near = f"; the nearest end is {gap:.3f} mm away" if math.isfinite(gap) else ""
        raise fault(
            "outline-open",
            f"{what} is not closed: it ends at {at}{near}",
            "close the gap in the drawing",
        )
    if len(meeting) > 1:
        raise fault(
            "outline-branches",
            f"{what} branches at {at}, where more than two ends meet",
            "delete lines drawn twice, or put the branch on another layer",
        )
    return meeting[0]


def _length(contour: Contour) -> float:
    """Return a length no greater than the contour's, and nothing only where it is a point."""
    return sum(_reach(s) for s in contour.segments)


def _reach(segment: Segment) -> float:
    middle = point_on(segment, 0.5)
    return math.dist(segment.start, middle) + math.dist(middle, segment.end)
