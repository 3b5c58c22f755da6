"""The path of a drag knife's pivot, so that its trailing tip cuts the line wanted.

The tip trails the pivot by the knife's offset.  Along a straight the pivot runs
ahead on the same line; on an arc it runs on a wider arc with the same centre; at
a corner it swings round the tip in an arc, or, in thick film, runs on past an
outer corner and comes back in a loop over the waste.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass

from livery.geometry.flatten import points_along
from livery.geometry.measure import length, split_at
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point, Segment
from livery.geometry.segments import direction

SMOOTH_RADIANS = 1e-6
"""A turn below this, in radians, is none at all (chosen: rounding). Larger, and the knife is
dragged round slight corners."""

LOOP_FROM_RADIANS = math.radians(45.0)
"""A loop at a blunter corner, in radians, would be wide; it gets a swivel (chosen: 45 degrees).
Larger, and more corners get a swivel in the film itself."""


@dataclass(frozen=True, slots=True)
class Knife:
    """A drag knife: how far its tip trails, and how it is taken round corners.

    ``swivel_degrees``: corners at least as sharp get a swivel (or a loop), lesser
    ones a plain turn.  ``overcut_mm``: how far a closed cut runs on past its start.
    ``loop_mm``: how far past a sharp outer corner the knife runs before it comes
    back; 0 for a swivel there too.  ``chord_mm``: how closely curves that are neither
    lines nor arcs are followed.
    """

    offset_mm: float
    swivel_degrees: float = 15.0
    overcut_mm: float = 0.5
    loop_mm: float = 0.0
    chord_mm: float = 0.005


def pivot_path(contour: Contour, knife: Knife) -> Contour:
    """Return the open path of the pivot that cuts a contour.

    The piece must lie on the left of closed contours (outer ones anticlockwise,
    holes clockwise): loops are made only at corners that turn left.
    """
    cut = list(_simple(contour.segments, knife.chord_mm))
    if contour.closed and knife.overcut_mm > 0.0:
        run_on = split_at(contour, 0.0, min(knife.overcut_mm, length(contour)))
        cut += _simple(run_on.segments, knife.chord_mm)
    path: list[Segment] = []
    for i, segment in enumerate(cut):
        ahead = _ahead(segment, knife.offset_mm)
        if i > 0:
            path += _turned(cut[i - 1], segment, path[-1].end, ahead.start, knife)
        path.append(ahead)
    return Contour(tuple(path), closed=False)


def _simple(segments: Iterable[Segment], chord: float) -> Iterable[Line | Arc]:
    """Return lines and arcs, cubics as the chords that follow them."""
    for segment in segments:
        if isinstance(segment, Cubic):
            points = points_along(segment, chord)
            yield from (Line(a, b) for a, b in itertools.pairwise(points) if a != b)
        else:
            yield segment


def _ahead(segment: Line | Arc, offset: float) -> Line | Arc:
    """Return where the pivot runs while the tip cuts a segment."""
    start = _beyond(segment.start, direction(segment, 0.0), offset)
    end = _beyond(segment.end, direction(segment, 1.0), offset)
    if isinstance(segment, Line):
        return Line(start, end)
    return Arc(start, end, segment.bulge)


def _beyond(point: Point, heading: Point, by: float) -> Point:
    return Point(point.x + heading.x * by, point.y + heading.y * by)


def _turned(
    last: Line | Arc, coming: Line | Arc, here: Point, there: Point, knife: Knife
) -> list[Segment]:
    """Return the pivot's path from the end of one segment to the start of the next."""
    u, v = direction(last, 1.0), direction(coming, 0.0)
    turn = math.atan2(u.x * v.y - u.y * v.x, u.x * v.x + u.y * v.y)
    if abs(turn) <= SMOOTH_RADIANS:
        return [] if here == there else [Line(here, there)]
    if abs(turn) < math.radians(knife.swivel_degrees):
        return [] if knife.offset_mm == 0.0 else [Line(here, there)]
    if knife.loop_mm > 0.0 and turn > LOOP_FROM_RADIANS:
        return _loop(coming.start, u, v, turn, knife)
    if knife.offset_mm == 0.0:
        return []
    return [Arc(here, there, math.tan(turn / 4.0))]


def _loop(corner: Point, u: Point, v: Point, turn: float, knife: Knife) -> list[Segment]:
    """Run on past the corner, turn right round over the waste, and come back to it along ``v``."""
    d = knife.offset_mm
    over, back = _beyond(corner, u, knife.loop_mm), _beyond(corner, v, -knife.loop_mm)
    tip = Arc(over, back, -math.tan((2.0 * math.pi - turn) / 4.0))
    if math.dist(over, back) < 1e-6:
        # The cut comes back the way it went: a swing at the far end is all the loop there is.
        round_end: Segment = Arc(_beyond(over, u, d), _beyond(back, v, d), 1.0)
    else:
        round_end = _ahead(tip, d)
    path = (
        Line(_beyond(corner, u, d), round_end.start),
        round_end,
        Line(round_end.end, _beyond(corner, v, d)),
    )
    return [s for s in path if math.dist(s.start, s.end) > 1e-9]
