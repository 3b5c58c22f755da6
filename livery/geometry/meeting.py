"""Where two segments meet, exactly, given roughly where."""

from __future__ import annotations

import math

from livery.geometry.outline import Arc, Cubic, Line, Point, Segment
from livery.geometry.segments import point_on, velocity


def meeting(
    one: Segment, other: Segment, near: Point, t: float = 0.5, u: float = 0.5
) -> Point | None:
    """Return where two segments, carried on if need be, meet nearest to ``near``.

    ``t`` and ``u`` are the rough parameters, used for cubics.  None when they run
    side by side or do not meet.
    """
    if isinstance(one, Cubic) or isinstance(other, Cubic):
        return _by_newton(one, other, t, u)
    if isinstance(one, Line):
        points = _lines(one, other) if isinstance(other, Line) else line_and_circle(one, other)
    elif isinstance(other, Line):
        points = line_and_circle(other, one)
    else:
        points = circles(one, other)
    if len(points) < 2:
        return points[0] if points else None
    return min(points, key=lambda p: math.dist(p, near))


def _lines(one: Line, other: Line) -> list[Point]:
    """Return the meeting of two endless lines."""
    (px, py), (qx, qy) = one.start, one.end
    (rx, ry), (sx, sy) = other.start, other.end
    ax, ay, bx, by = qx - px, qy - py, sx - rx, sy - ry
    cross = ax * by - ay * bx
    if abs(cross) <= 1e-12 * math.hypot(ax, ay) * math.hypot(bx, by):
        return []
    t = ((rx - px) * by - (ry - py) * bx) / cross
    return [Point(px + t * ax, py + t * ay)]


def line_and_circle(line: Line, arc: Arc) -> list[Point]:
    """Return the meetings of an endless line and an arc's whole circle; a near touch is one."""
    c, r = arc.centre, arc.radius
    dx, dy = line.end.x - line.start.x, line.end.y - line.start.y
    size = math.hypot(dx, dy)
    dx, dy = dx / size, dy / size
    along = (c.x - line.start.x) * dx + (c.y - line.start.y) * dy
    foot = Point(line.start.x + along * dx, line.start.y + along * dy)
    away = (c.x - line.start.x) * dy - (c.y - line.start.y) * dx
    return _either_side(foot, Point(dx, dy), (r - abs(away)) * (r + abs(away)), r)


def circles(one: Arc, other: Arc) -> list[Point]:
    """Return the meetings of two arcs' whole circles; a near touch is one."""
    c, d = one.centre, other.centre
    r, s = one.radius, other.radius
    between = math.dist(c, d)
    if between <= 1e-9 * max(r, s):
        return []
    ux, uy = (d.x - c.x) / between, (d.y - c.y) / between
    along = (between + (r - s) * (r + s) / between) / 2.0
    foot = Point(c.x + along * ux, c.y + along * uy)
    return _either_side(foot, Point(-uy, ux), (r - along) * (r + along), r)


def _either_side(foot: Point, along: Point, square: float, radius: float) -> list[Point]:
    """Return the points a chord's half length either side of its middle."""
    if square < -1e-6 * radius:
        return []
    if square <= 0.0:
        return [foot]
    half = math.sqrt(square)
    return [Point(foot.x + k * half * along.x, foot.y + k * half * along.y) for k in (-1.0, 1.0)]


def _by_newton(one: Segment, other: Segment, t: float, u: float) -> Point | None:
    """Close in on a meeting from rough parameters; None where it does not settle."""
    for _ in range(30):
        p, q = point_on(one, t), point_on(other, u)
        v, w = velocity(one, t), velocity(other, u)
        cross = v.x * w.y - v.y * w.x
        if abs(cross) <= 1e-10 * math.hypot(*v) * math.hypot(*w):
            return None
        dx, dy = q.x - p.x, q.y - p.y
        t += (dx * w.y - dy * w.x) / cross
        u += (dx * v.y - dy * v.x) / cross
        if not (-1.0 < t < 2.0 and -1.0 < u < 2.0):
            return None
        if math.hypot(dx, dy) < 1e-11:
            return point_on(one, t)
    p, q = point_on(one, t), point_on(other, u)
    return p if math.dist(p, q) < 1e-8 else None
