"""Corners eased to a radius: an arc that touches the segments on both sides of each."""

from __future__ import annotations

import math
from typing import NamedTuple

from livery.geometry.outline import Arc, Contour, Point, Segment
from livery.geometry.segments import direction, point_on, segment_length, trimmed
from livery.geometry.shapes import turn_between

CORNER = math.radians(6.0)
"""A node that turns less than this, in radians, is no corner to a knife (chosen: 6 degrees).
Larger, and corners are left sharp that the film is torn at."""


class _Fillet(NamedTuple):
    """Where the arc leaves the segment before a corner and joins the one after it."""

    leaves: float
    joins: float
    arc: Arc


def eased_corners(contour: Contour, left_mm: float, right_mm: float) -> tuple[Contour, list[Point]]:
    """Return a closed contour with its corners eased, and the corners that had no room.

    ``left_mm`` is the radius for corners that turn left (the outside corners of a
    region on the contour's left) and ``right_mm`` for those that turn right; 0 leaves
    them alone.  An arc may take up at most half of a segment that has an eased corner
    at its other end.
    """
    segments = contour.segments
    count = len(segments)
    radii = [
        _radius(segments[i], segments[(i + 1) % count], left_mm, right_mm) for i in range(count)
    ]
    fillets: list[_Fillet | None] = []
    sharp = []
    for i, radius in enumerate(radii):
        before, after = segments[i], segments[(i + 1) % count]
        found = _fillet(before, after, radius) if radius else None
        if found is not None:
            low = 0.5 if radii[i - 1] else 0.0
            high = 0.5 if radii[(i + 1) % count] else 1.0
            found = found if found.leaves > low - 1e-9 and found.joins < high + 1e-9 else None
        if radius and found is None:
            sharp.append(before.end)
        fillets.append(found)
    return Contour(tuple(_with_fillets(segments, fillets))), sharp


def _radius(before: Segment, after: Segment, left_mm: float, right_mm: float) -> float:
    turn = turn_between(direction(before, 1.0), direction(after, 0.0))
    return 0.0 if abs(turn) < CORNER else left_mm if turn > 0.0 else right_mm


def _with_fillets(segments: tuple[Segment, ...], fillets: list[_Fillet | None]) -> list[Segment]:
    done: list[Segment] = []
    for i, segment in enumerate(segments):
        into, out = fillets[i - 1], fillets[i]
        t0, t1 = into.joins if into else 0.0, out.leaves if out else 1.0
        if t1 - t0 > 1e-9:
            piece = segment if (t0, t1) == (0.0, 1.0) else trimmed(segment, t0, t1)
            done.append(piece)
        if out:
            done.append(out.arc)
    return _chained(done)


def _chained(segments: list[Segment]) -> list[Segment]:
    """Return the segments with arcs moved to begin and end exactly at their neighbours."""
    count = len(segments)
    for i, s in enumerate(segments):
        if isinstance(s, Arc):
            before, after = segments[i - 1], segments[(i + 1) % count]
            start = s.start if isinstance(before, Arc) else before.end
            end = s.end if isinstance(after, Arc) else after.start
            segments[i] = Arc(start, end, s.bulge)
    return segments


def _fillet(before: Segment, after: Segment, radius: float) -> _Fillet | None:
    """Find the arc of a radius that touches both segments, by Newton's method from their tangents.

    Letters have cubics, whose parallels are only fitted: so not as ``geometry.corners`` does.
    """
    into, out = direction(before, 1.0), direction(after, 0.0)
    turn = turn_between(into, out)
    if abs(turn) > math.pi - 0.05:
        return None
    side = math.copysign(radius, turn)
    trim = radius * math.tan(abs(turn) / 2.0)
    t = 1.0 - trim / segment_length(before)
    u = trim / segment_length(after)
    for _ in range(30):
        if not (-0.2 < t < 1.2 and -0.2 < u < 1.2):
            return None
        gap = _apart(before, after, t, u, side)
        if math.hypot(*gap) < 1e-10:
            break
        step = _newton(before, after, t, u, side, gap=gap)
        if step is None:
            return None
        t, u = t + step[0], u + step[1]
    else:
        return None
    swept = turn_between(direction(before, t), direction(after, u))
    if not (0.0 <= t < 1.0 and 0.0 < u <= 1.0) or swept * turn <= 0.0:
        return None
    return _Fillet(t, u, Arc(point_on(before, t), point_on(after, u), math.tan(swept / 4.0)))


def _apart(before: Segment, after: Segment, t: float, u: float, side: float) -> Point:
    """Return the step between the two centres that touch at ``t`` and at ``u``."""
    one, other = _centre(before, t, side), _centre(after, u, side)
    return Point(other.x - one.x, other.y - one.y)


def _centre(segment: Segment, t: float, side: float) -> Point:
    p, along = point_on(segment, t), direction(segment, t)
    return Point(p.x - side * along.y, p.y + side * along.x)


def _newton(
    before: Segment, after: Segment, t: float, u: float, side: float, *, gap: Point
) -> tuple[float, float] | None:
    nudge = 1e-6
    by_t = _apart(before, after, t - nudge, u, side)
    by_u = _apart(before, after, t, u + nudge, side)
    a, c = (gap.x - by_t.x) / nudge, (gap.y - by_t.y) / nudge
    b, d = (by_u.x - gap.x) / nudge, (by_u.y - gap.y) / nudge
    determinant = a * d - b * c
    if abs(determinant) < 1e-15:
        return None
    return (b * gap.y - d * gap.x) / determinant, (c * gap.x - a * gap.y) / determinant
