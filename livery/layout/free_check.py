"""Lines along points measured as laid: both edges of every strand are where they are to be.

The places are worked out from the line by itself, cross-section by cross-section, and looked
for on the edge of what was laid; then that edge is measured back to the line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from livery.findings import Finding
from livery.geometry.evenness import WITHIN_MM
from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.outline import Contour, Point
from livery.geometry.segments import direction, segment_length
from livery.geometry.shapes import turn_between
from livery.geometry.sweep import MITRE_LIMIT
from livery.layout.as_laid import AsLaid, at_place, lining_fault
from livery.layout.course import Course, FreeCourse
from livery.layout.cross_sections import Sections, StrandLine, strand_lines

if TYPE_CHECKING:
    import shapely
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry as Region

    Numbers = NDArray[np.float64]
    Flags = NDArray[np.bool_]

ALONGSIDE = 12.0
"""A line may run over itself for this many of its widths (chosen: as where it crosses itself
aslant, at 5 degrees). Larger, and a line led back on itself passes."""
BEND = 4.0
"""Places along the line no further apart than this many half widths belong to the same bend
(chosen: a half turn at the least radius is 3.1). Larger, and a crossing is taken for a bend and
refused."""
LEAST_TURN = 1e-4
"""A turn less than this, in radians, moves nothing (chosen: 0.001 mm at a radius of 10 mm). Larger,
and a slight corner is measured as if it were straight."""
REMEDY = "Draw it in a wider bend, not back on itself, or make it narrower."


class _Laid(NamedTuple):
    """What was laid of one strand along one line; ``within`` is the gore that is measured."""

    course: FreeCourse
    region: Region
    within: Region | None


class _Corners(NamedTuple):
    """How far along a line it turns, and by how much, anticlockwise positive."""

    run: Numbers
    turn: Numbers


def free_line_faults(laid: AsLaid) -> Iterator[Finding]:
    """Yield the fault of the first strand along points that does not keep its width."""
    depths = [0.0, *accumulate(laid.widths)]
    painted = [i for i, s in enumerate(laid.strands) if s.paint is not None]
    for n, course in enumerate(laid.courses):
        if not course.along_points:
            continue
        for i, regions in zip(painted, laid.whole, strict=True):
            for one in _parts(course, to_shapely(regions[n])):
                at = _wrong_place(one, depths[i], depths[i + 1])
                if at is not None:
                    words = (
                        f"the {laid.strands[i].paint} strand does not keep its width{at_place(at)}"
                    )
                    words += ": the line bends too tightly there, or comes back on itself"
                    yield lining_fault(laid, "band-uneven", words, at, REMEDY)
                    return


def _parts(course: Course, region: Region) -> Iterator[_Laid]:
    """Yield what was laid, part by part; each part of the panel is drawn about its own middle."""
    import shapely
    import shapely.affinity

    within = {}
    for one in course.along_points:
        if one.within is None:
            yield _Laid(one.course, region, None)
            continue
        if one.within not in within:
            within[one.within] = to_shapely(one.within).buffer(-2.0 * WITHIN_MM)
            shapely.prepare(within[one.within])
        moved = shapely.affinity.translate(region, -one.middle)
        yield _Laid(one.course, moved, within[one.within])


def _wrong_place(one: _Laid, outer: float, inner: float) -> Point | None:
    """Return a place where a strand is not as wide as asked, if there is one."""
    import shapely

    edge = one.region.boundary
    shapely.prepare(edge)
    lines = list(strand_lines(one.course, outer, inner))
    for strand_line in lines:
        sections, line = strand_line.sections, to_line_string(strand_line.line)
        corners = _corners_of(strand_line.line)
        offsets = strand_line.offsets(sections.run)
        for places, offset in zip(sections.edges, offsets, strict=True):
            at = _missing(one, edge, sections, places, np.broadcast_to(offset, len(places)))
            at = at & ~_in_corner(sections, np.asarray(offset), corners)
            at = at & ~_crossed(line, sections, places, np.abs(offset), inner - outer, at=at)
            if at.any():
                return Point(*map(float, places[at][0]))
    return _strays(one, edge, lines[0]) if len(lines) == 1 else None


def _missing(
    one: _Laid, edge: Region, sections: Sections, places: Numbers, offset: Numbers
) -> Flags:
    """Return which places are not on the edge of what was laid."""
    import shapely

    points: Any = shapely.points(places)
    away: Flags = ~shapely.dwithin(edge, points, WITHIN_MM)
    if one.within is not None and away.any():
        away &= shapely.contains_xy(one.within, places)
    return away


def _in_corner(sections: Sections, offset: Numbers, corners: _Corners) -> Flags:
    """Return which places lie on the inside of a corner, beyond its mitre."""
    inside = np.zeros(len(sections.run), dtype=bool)
    for run, turn in zip(*corners, strict=True):
        reach = np.abs(offset) * math.tan(min(abs(turn) / 2.0, 1.57)) + WITHIN_MM
        inside |= (np.sign(offset) == np.sign(turn)) & (np.abs(sections.run - run) <= reach)
    return inside


def _crossed(
    line: shapely.LineString,
    sections: Sections,
    places: Numbers,
    away: Numbers,
    width: float,
    *,
    at: Flags,
) -> Flags:
    """Return which places are covered where the line crosses itself, but not where it runs along."""
    import shapely

    found = np.zeros(len(at), dtype=bool)
    away = np.broadcast_to(away, at.shape)
    if not at.any():
        return found
    points: Any = shapely.points(places[at])
    far = np.abs(shapely.line_locate_point(line, points) - sections.run[at]) > BEND * away[at]
    found[at] = far & (shapely.distance(line, points) < away[at])
    starts = np.flatnonzero(np.diff(found.astype(int), prepend=0, append=0))
    for first, last in zip(starts[::2], starts[1::2], strict=True):
        if sections.step[first:last].sum() > ALONGSIDE * max(width, 2.0 * float(away.max())):
            found[first:last] = False
    return found


def _strays(one: _Laid, edge: Region, strand_line: StrandLine) -> Point | None:
    """Return a place on the edge of a strand that is not as far from its line as asked."""
    import shapely

    line = to_line_string(strand_line.line)
    if one.region.is_empty or not line.is_simple:
        return None
    places = shapely.get_coordinates(shapely.segmentize(edge, 4.0))
    if one.within is not None:
        places = places[shapely.contains_xy(one.within, places)]
    points: Any = shapely.points(places)
    away, run = shapely.distance(line, points), shapely.line_locate_point(line, points)
    offsets = np.array([np.broadcast_to(np.abs(o), run.shape) for o in strand_line.offsets(run)])
    right = (np.abs(offsets - away) <= WITHIN_MM).any(axis=0)
    longest = offsets.max(axis=0)
    ends = (run <= WITHIN_MM) | (run >= line.length - WITHIN_MM)
    # On a gore what is further away is the line's next turn round, measured by itself.
    right |= ends & (away <= 1.5 * longest + WITHIN_MM) if one.within is None else ends
    if one.within is not None:
        right |= away > 2.0 * longest
    for corner in _corners_of(strand_line.line).run:
        at_corner = np.abs(run - corner) <= 2.0 * WITHIN_MM
        right |= at_corner & (away <= MITRE_LIMIT * longest + WITHIN_MM)
    if right.all():
        return None
    return Point(*map(float, places[~right][0]))


def _corners_of(line: Contour) -> _Corners:
    segments = [s for s in line.segments if segment_length(s) > 0.0]
    runs = np.cumsum([segment_length(s) for s in segments])[:-1]
    turns = np.array(
        [turn_between(direction(a, 1.0), direction(b, 0.0)) for a, b in pairwise(segments)]
    ).reshape(-1)
    real = np.abs(turns) > LEAST_TURN
    return _Corners(runs[real], turns[real])
