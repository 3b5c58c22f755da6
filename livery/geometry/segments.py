"""One segment at a time: points along it, its direction, pieces of it, its length.

A parameter runs from 0 at a segment's start to 1 at its end; along a line or an
arc it runs in proportion to the length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from itertools import pairwise

from livery.geometry.outline import Arc, Cubic, Line, Point, Segment


def point_on(segment: Segment, t: float) -> Point:
    """Return the point at parameter ``t``; beyond 0 to 1 the segment is carried on."""
    if t == 0.0:
        return segment.start
    if t == 1.0:
        return segment.end
    p, q = segment.start, segment.end
    if isinstance(segment, Line):
        return Point(p.x + t * (q.x - p.x), p.y + t * (q.y - p.y))
    if isinstance(segment, Arc):
        c, turn = segment.centre, segment.sweep * t
        cos, sin = math.cos(turn), math.sin(turn)
        dx, dy = p.x - c.x, p.y - c.y
        return Point(c.x + dx * cos - dy * sin, c.y + dx * sin + dy * cos)
    a, b = segment.control1, segment.control2
    u = 1.0 - t
    k0, k1, k2, k3 = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
    return Point(
        k0 * p.x + k1 * a.x + k2 * b.x + k3 * q.x, k0 * p.y + k1 * a.y + k2 * b.y + k3 * q.y
    )


def velocity(segment: Segment, t: float) -> Point:
    """Return the derivative of the point with respect to the parameter."""
    p, q = segment.start, segment.end
    if isinstance(segment, Line):
        return Point(q.x - p.x, q.y - p.y)
    if isinstance(segment, Arc):
        c, here, sweep = segment.centre, point_on(segment, t), segment.sweep
        return Point(-(here.y - c.y) * sweep, (here.x - c.x) * sweep)
    a, b = segment.control1, segment.control2
    u = 1.0 - t
    k0, k1, k2 = 3 * u * u, 6 * u * t, 3 * t * t
    return Point(
        k0 * (a.x - p.x) + k1 * (b.x - a.x) + k2 * (q.x - b.x),
        k0 * (a.y - p.y) + k1 * (b.y - a.y) + k2 * (q.y - b.y),
    )


def acceleration(cubic: Cubic, t: float) -> Point:
    """Return the second derivative of a cubic with respect to the parameter."""
    p, a, b, q = cubic.start, cubic.control1, cubic.control2, cubic.end
    return Point(
        6 * ((1 - t) * (p.x - 2 * a.x + b.x) + t * (a.x - 2 * b.x + q.x)),
        6 * ((1 - t) * (p.y - 2 * a.y + b.y) + t * (a.y - 2 * b.y + q.y)),
    )


def direction(segment: Segment, t: float) -> Point:
    """Return the unit direction of travel; where a cubic stands still, the way it leaves."""
    v = velocity(segment, t)
    size = math.hypot(*v)
    if isinstance(segment, Cubic) and size <= 1e-9 * _reach(segment):
        nudge = 1e-4 if t < 0.5 else -1e-4
        v = velocity(segment, t + nudge)
        size = math.hypot(*v)
    return Point(v.x / size, v.y / size) if size else Point(1.0, 0.0)


def _reach(cubic: Cubic) -> float:
    """Return the length of a cubic's control polygon."""
    return (
        math.dist(cubic.start, cubic.control1)
        + math.dist(cubic.control1, cubic.control2)
        + math.dist(cubic.control2, cubic.end)
    )


def trimmed(segment: Segment, t0: float, t1: float) -> Segment:
    """Return the piece from ``t0`` to ``t1``, run backwards when ``t1`` is the smaller."""
    start, end = point_on(segment, t0), point_on(segment, t1)
    if isinstance(segment, Line):
        return Line(start, end)
    if isinstance(segment, Arc):
        return Arc(start, end, math.tan(segment.sweep * (t1 - t0) / 4.0))
    third = (t1 - t0) / 3.0
    v0, v1 = velocity(segment, t0), velocity(segment, t1)
    return Cubic(
        start,
        Point(start.x + third * v0.x, start.y + third * v0.y),
        Point(end.x - third * v1.x, end.y - third * v1.y),
        end,
    )


def with_ends(segment: Segment, start: Point, end: Point) -> Segment:
    """Return the segment with its ends moved a little, the rest carried with them.

    An arc whose new ends are on its own circle stays on it, however far they move.
    """
    if isinstance(segment, Line):
        return Line(start, end)
    if isinstance(segment, Arc):
        return Arc(start, end, _bulge_between(segment, start, end))
    p, a, b, q = segment.start, segment.control1, segment.control2, segment.end
    return Cubic(
        start,
        Point(a.x + start.x - p.x, a.y + start.y - p.y),
        Point(b.x + end.x - q.x, b.y + end.y - q.y),
        end,
    )


def _bulge_between(arc: Arc, start: Point, end: Point) -> float:
    """Return the bulge that keeps an arc on its circle between other ends, else its own."""
    c, r = arc.centre, arc.radius
    if max(abs(math.dist(start, c) - r), abs(math.dist(end, c) - r)) > 1e-9 * (1.0 + r):
        return arc.bulge
    sweep = arc.sweep + _turned(c, arc.end, end) - _turned(c, arc.start, start)
    keeps = 0.0 < sweep * math.copysign(1.0, arc.bulge) < math.tau
    return math.tan(sweep / 4.0) if keeps else arc.bulge


def _turned(centre: Point, one: Point, other: Point) -> float:
    """Return the signed angle under which two points are seen from a centre."""
    ax, ay = one.x - centre.x, one.y - centre.y
    bx, by = other.x - centre.x, other.y - centre.y
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def segment_length(segment: Segment) -> float:
    """Return the length in millimetres; a cubic's within about 1e-9 of itself."""
    if isinstance(segment, Line):
        return math.dist(segment.start, segment.end)
    if isinstance(segment, Arc):
        return segment.radius * abs(segment.sweep)
    return _cubic_length(segment, 0.0, 1.0, _gauss(segment, 0.0, 1.0), 12)


def length_to(segment: Segment, t: float) -> float:
    """Return the length from the start to parameter ``t``."""
    if isinstance(segment, Cubic):
        return _cubic_length(segment, 0.0, t, _gauss(segment, 0.0, t), 12)
    return segment_length(segment) * t


def parameter_at(segment: Segment, distance: float) -> float:
    """Return the parameter that lies ``distance`` along the segment from its start."""
    total = segment_length(segment)
    if total == 0.0:
        return 0.0
    t = min(max(distance / total, 0.0), 1.0)
    if not isinstance(segment, Cubic) or t in (0.0, 1.0):
        return t
    low, high = 0.0, 1.0
    for _ in range(60):
        error = length_to(segment, t) - distance
        if abs(error) <= 1e-12 * total + 1e-12:
            break
        low, high = (low, t) if error > 0 else (t, high)
        speed = math.hypot(*velocity(segment, t))
        t = t - error / speed if speed else (low + high) / 2
        if not low < t < high:
            t = (low + high) / 2
    return t


def nearest_parameter(segment: Segment, point: Point) -> float:
    """Return the parameter, 0 to 1, of the segment's point nearest to ``point``."""
    p, q = segment.start, segment.end
    if isinstance(segment, Line):
        dx, dy = q.x - p.x, q.y - p.y
        square = dx * dx + dy * dy
        t = ((point.x - p.x) * dx + (point.y - p.y) * dy) / square if square else 0.0
        return min(max(t, 0.0), 1.0)
    if isinstance(segment, Arc):
        t = arc_parameter(segment, point)
        if 0.0 <= t <= 1.0:
            return t
        return 0.0 if math.dist(point, p) <= math.dist(point, q) else 1.0
    return _nearest_on_cubic(segment, point)


def arc_parameter(arc: Arc, point: Point) -> float:
    """Return the parameter at which an arc's circle passes ``point``'s bearing.

    It is within 0 to 1 on the arc; outside, the nearer way round is taken.
    """
    c, sweep = arc.centre, arc.sweep
    fx, fy = arc.start.x - c.x, arc.start.y - c.y
    gx, gy = point.x - c.x, point.y - c.y
    turned = math.atan2(fx * gy - fy * gx, fx * gx + fy * gy)
    middle = sweep / 2.0
    turned += math.tau * round((middle - turned) / math.tau)
    return turned / sweep


#: The terms of a cubic's place times its velocity.
_PRODUCTS = tuple((i, j) for i in range(4) for j in (1, 2, 3))


def _nearest_on_cubic(cubic: Cubic, point: Point) -> float:
    """Return the foot of the nearest of all perpendiculars from a point, or the nearer end.

    The perpendiculars' feet are the roots of a polynomial of degree 5, and all are found.
    """
    p, a, b, q = cubic.start, cubic.control1, cubic.control2, cubic.end
    x, y = (
        (s - o, 3 * (u - s), 3 * (s - 2 * u + v), w - s + 3 * (u - v))
        for s, u, v, w, o in zip(p, a, b, q, point, strict=True)
    )
    slope = [0.0] * 6
    for i, j in _PRODUCTS:
        slope[i + j - 1] += j * (x[i] * x[j] + y[i] * y[j])
    feet = [0.0, *roots_within(slope), 1.0]
    t = min(feet, key=lambda foot: math.dist(point_on(cubic, foot), point))
    if t in (0.0, 1.0):
        return t
    better = refined_foot(cubic, point, t, max(t - 1e-6, 0.0), min(t + 1e-6, 1.0))
    away, was = (math.dist(point_on(cubic, v), point) for v in (better, t))
    return better if away < was else t


def roots_within(polynomial: Sequence[float]) -> list[float]:
    """Return where a polynomial, constant first, changes sign between 0 and 1, in order.

    Between the roots of its derivative it only rises or only falls; by Descartes' rule of
    signs there is mostly none or one root, and no need to look so far.
    """
    signs = _sign_changes(polynomial)
    if signs == 0:
        return []
    derivative = [i * c for i, c in enumerate(polynomial)][1:]
    if signs == 1:
        rises = next(c for c in polynomial if c) < 0.0
        return [_root(polynomial, derivative, 0.0, 1.0, rises)]
    cuts = [0.0, *roots_within(derivative), 1.0]
    values = [_value(polynomial, t) for t in cuts]
    return [
        _root(polynomial, derivative, cuts[i - 1], cuts[i], values[i] >= 0.0)
        for i in range(1, len(cuts))
        if (values[i - 1] < 0.0) != (values[i] < 0.0)
    ]


def _sign_changes(polynomial: Sequence[float]) -> int:
    """Return the most roots a polynomial can have between 0 and 1, too many by an even number."""
    c = list(reversed(polynomial))
    for done in range(len(c)):
        for j in range(len(c) - 2, done - 1, -1):
            c[j] += c[j + 1]
    signs = [v > 0.0 for v in c if v]
    return sum(a != b for a, b in pairwise(signs))


def _root(
    polynomial: Sequence[float], derivative: Sequence[float], low: float, high: float, rises: bool
) -> float:
    """Close in on the only root between two parameters, by Newton steps held between them."""
    t = (low + high) / 2
    for _ in range(60):
        value, slope = _value(polynomial, t), _value(derivative, t)
        low, high = (low, t) if (value > 0.0) == rises else (t, high)
        after = t - value / slope if slope else low
        if not low < after < high:
            after = (low + high) / 2
        if abs(after - t) < 1e-9:
            return after
        t = after
    return t


def _value(polynomial: Sequence[float], t: float) -> float:
    """Return a polynomial's value, its constant given first."""
    value = 0.0
    for coefficient in reversed(polynomial):
        value = value * t + coefficient
    return value


def refined_foot(cubic: Cubic, point: Point, t: float, low: float, high: float) -> float:
    """Return the foot of the perpendicular from ``point`` near ``t``, kept in ``low`` to ``high``."""
    for _ in range(40):
        here, v, a = point_on(cubic, t), velocity(cubic, t), acceleration(cubic, t)
        ex, ey = here.x - point.x, here.y - point.y
        slope = ex * v.x + ey * v.y
        bend = v.x * v.x + v.y * v.y + ex * a.x + ey * a.y
        low, high = (low, t) if slope > 0 else (t, high)
        after = t - slope / bend if bend > 0 else math.inf
        if not low <= after <= high:
            after = (low + high) / 2
        if abs(after - t) < 1e-14:
            return after
        t = after
    return t


@cache
def _rule() -> tuple[tuple[float, float], ...]:
    """Return the 16-point Gauss-Legendre rule on -1 to 1."""
    from numpy.polynomial.legendre import leggauss

    nodes, weights = leggauss(16)
    return tuple(zip(nodes.tolist(), weights.tolist(), strict=True))


def _gauss(cubic: Cubic, t0: float, t1: float) -> float:
    """Return the quadrature of a cubic's speed over one interval."""
    half, mid = (t1 - t0) / 2, (t1 + t0) / 2
    p, a, b, q = cubic.start, cubic.control1, cubic.control2, cubic.end
    # The velocity by powers of the parameter.
    x0, y0 = 3 * (a.x - p.x), 3 * (a.y - p.y)
    x1, y1 = 6 * (p.x - 2 * a.x + b.x), 6 * (p.y - 2 * a.y + b.y)
    x2, y2 = 3 * (q.x - p.x + 3 * (a.x - b.x)), 3 * (q.y - p.y + 3 * (a.y - b.y))
    total = 0.0
    for node, weight in _rule():
        t = mid + half * node
        total += weight * math.hypot(x0 + t * (x1 + t * x2), y0 + t * (y1 + t * y2))
    return half * total


def _cubic_length(cubic: Cubic, t0: float, t1: float, whole: float, depth: int) -> float:
    """Halve the interval until the quadrature settles."""
    mid = (t0 + t1) / 2
    left, right = _gauss(cubic, t0, mid), _gauss(cubic, mid, t1)
    if depth == 0 or abs(left + right - whole) <= 1e-11 * (1.0 + whole):
        return left + right
    return _cubic_length(cubic, t0, mid, left, depth - 1) + _cubic_length(
        cubic, mid, t1, right, depth - 1
    )


def quadratic_roots(a: float, b: float, c: float) -> list[float]:
    """Return the real roots of ``a t*t + b t + c``, without loss by cancellation."""
    if abs(a) <= 1e-14 * (abs(b) + abs(c)):
        return [-c / b] if b else []
    inside = b * b - 4 * a * c
    if inside < 0:
        return []
    q = -(b + math.copysign(math.sqrt(inside), b)) / 2
    return [q / a, c / q] if q else [0.0]


_IN_LINE_MM = 1e-6
"""Millimetres: three points are in line where the middle one is nearer than this to the chord (chosen).
Larger, and flat arcs become lines; smaller, and lines become arcs of enormous radius."""


def arc_through(start: Point, middle: Point, end: Point) -> Arc | Line:
    """Return the arc through three points, or the line where they are in line."""
    dx, dy = end.x - start.x, end.y - start.y
    chord = math.hypot(dx, dy)
    # How far the middle stands to the right of the chord, and how far along it.
    rise = ((middle.x - start.x) * dy - (middle.y - start.y) * dx) / chord
    along = ((middle.x - start.x) * dx + (middle.y - start.y) * dy) / chord
    if abs(rise) < _IN_LINE_MM:
        return Line(start, end)
    # The angle the chord is seen under from the middle gives the sweep.
    seen = math.atan2(chord * abs(rise), rise * rise - along * (chord - along))
    return Arc(start, end, math.tan((math.pi - seen) / 2.0) * math.copysign(1.0, rise))
