"""Loose lines and curves, as drawing files hold them, joined end to end into an outline."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from livery.findings import fault
from livery.geometry.outline import Contour, Outline, Point, Segment
from livery.geometry.path_text import orient
from livery.geometry.segments import point_on, with_ends
from livery.geometry.validity import faults

JOIN_MM = 0.02
"""Ends no farther apart than this are drawn as one point."""


def closed_outline(contours: Iterable[Contour], what: str) -> Outline:
    """Return the outline that contours and loose runs enclose, holes told by nesting.

    Runs may come in any order and direction; ends within ``JOIN_MM`` are brought
    together.  ``what`` names the outline in a fault.

    Raises:
        LiveryError: an end meets nothing or more than one other, or the contours
            cross.
    """
    drawn = [c for c in contours if _length(c) > JOIN_MM]
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
            "mend the drawing there",
        )
    return outline


class _Next(NamedTuple):
    """A run that may follow: its place in the list, whether to reverse it, and the gap."""

    place: int
    backward: bool
    gap: float


def _joined(runs: list[Contour], what: str) -> list[Contour]:
    """Return closed contours made of runs laid end to end."""
    rings = []
    while runs:
        segments = list(runs.pop(0).segments)
        while math.dist(segments[-1].end, segments[0].start) > JOIN_MM:
            end = segments[-1].end
            following = _following(runs, end, what)
            run = runs.pop(following.place)
            run = run.reversed() if following.backward else run
            segments += (with_ends(run.segments[0], end, run.segments[0].end), *run.segments[1:])
        segments[-1] = with_ends(segments[-1], segments[-1].start, segments[0].start)
        rings.append(Contour(tuple(segments)))
    return rings


def _following(runs: list[Contour], end: Point, what: str) -> _Next:
    """Return the only run that has an end at ``end``."""
    ends = [_Next(i, False, math.dist(run.start, end)) for i, run in enumerate(runs)]
    ends += [_Next(i, True, math.dist(run.end, end)) for i, run in enumerate(runs)]
    meeting = [e for e in ends if e.gap <= JOIN_MM]
    at = f"x {end.x:.2f}, y {end.y:.2f} mm"
    if not meeting:
        gap = min((e.gap for e in ends), default=math.inf)
        near = f"; the nearest end is {gap:.3f} mm away" if ends else ""
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
