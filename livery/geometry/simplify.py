"""Fewer nodes for the same shape."""

from __future__ import annotations

import math

from livery.geometry.outline import Arc, Contour, Cubic, Line, Point, Segment
from livery.geometry.segments import point_on

#: How far a segment that stands for two may stray from them.
SAME_MM = 1e-6


def merged(contour: Contour, tolerance_mm: float = SAME_MM) -> Contour:
    """Return a contour with neighbours that are one line, circle or cubic made one segment.

    The result stays within ``tolerance_mm``.  Arcs are not joined beyond three
    quarters of a turn.
    """
    done: list[Segment] = []
    for segment in contour.segments:
        joined = as_one(done[-1], segment, tolerance_mm) if done else None
        if joined is None:
            done.append(segment)
        else:
            done[-1] = joined
    while contour.closed and len(done) > 2:
        joined = as_one(done[-1], done[0], tolerance_mm)
        if joined is None:
            break
        done = [joined, *done[1:-1]]
    return Contour(tuple(done), contour.closed)


def as_one(one: Segment, other: Segment, tolerance_mm: float = SAME_MM) -> Segment | None:
    """Return the one segment that two neighbours make together, or None."""
    if isinstance(one, Line) and isinstance(other, Line):
        return _one_line(one, other, tolerance_mm)
    if isinstance(one, Arc) and isinstance(other, Arc):
        return _one_arc(one, other, tolerance_mm)
    if isinstance(one, Cubic) and isinstance(other, Cubic):
        return _one_cubic(one, other, tolerance_mm)
    return None


def _one_line(one: Line, other: Line, tolerance_mm: float) -> Line | None:
    """Join two lines when the joint lies on the line between their far ends, and between them."""
    dx, dy = other.end.x - one.start.x, other.end.y - one.start.y
    size = math.hypot(dx, dy)
    if size == 0.0:
        return None
    jx, jy = one.end.x - one.start.x, one.end.y - one.start.y
    off = abs(dx * jy - dy * jx) / size
    along = (dx * jx + dy * jy) / size
    return Line(one.start, other.end) if off <= tolerance_mm and 0.0 < along < size else None


def _one_arc(one: Arc, other: Arc, tolerance_mm: float) -> Arc | None:
    """Join two arcs when the arc over both passes through the joint and both middles."""
    sweep = one.sweep + other.sweep
    if one.bulge * other.bulge < 0.0 or abs(sweep) > 1.5 * math.pi + 1e-9:
        return None
    if one.start == other.end:
        return None
    whole = Arc(one.start, other.end, math.tan(sweep / 4.0))
    share = one.sweep / sweep
    there = ((share / 2, one.middle), (share, one.end), ((1 + share) / 2, other.middle))
    if all(math.dist(point_on(whole, t), p) <= tolerance_mm for t, p in there):
        return whole
    return None


def _one_cubic(one: Cubic, other: Cubic, tolerance_mm: float) -> Cubic | None:
    """Join two cubics when they are the two pieces of one, split where their handles say."""
    before, after = math.dist(one.control2, one.end), math.dist(other.start, other.control1)
    if before <= 0.0 or after <= 0.0:
        return None
    share = before / (before + after)
    p, q = one.start, other.end
    a = Point(p.x + (one.control1.x - p.x) / share, p.y + (one.control1.y - p.y) / share)
    rest = 1.0 - share
    b = Point(q.x + (other.control2.x - q.x) / rest, q.y + (other.control2.y - q.y) / rest)
    whole = Cubic(p, a, b, q)
    pairs = [(share * t, point_on(one, t)) for t in (0.25, 0.5, 0.75, 1.0)]
    pairs += [(share + rest * t, point_on(other, t)) for t in (0.25, 0.5, 0.75)]
    if all(math.dist(point_on(whole, t), p) <= tolerance_mm for t, p in pairs):
        return whole
    return None
