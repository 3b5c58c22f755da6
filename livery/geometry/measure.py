"""Sizes of contours and outlines: bounds, area, length, places along them, distance to them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.segments import (
    direction,
    nearest_parameter,
    parameter_at,
    point_on,
    quadratic_roots,
    segment_length,
    trimmed,
)

_CLEAR_MM = 1e-6
"""Millimetres beyond its box within which a curve is looked at closely (chosen: above rounding). Larger
only takes time."""


class Bounds(NamedTuple):
    """The upright rectangle that just holds a shape, in millimetres."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Size across."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Size up."""
        return self.top - self.bottom

    @property
    def centre(self) -> Point:
        """The middle."""
        return Point((self.left + self.right) / 2, (self.bottom + self.top) / 2)


def boxes_overlap(one: Bounds, other: Bounds) -> bool:
    """Return whether two boxes share more than an edge.

    >>> boxes_overlap(Bounds(0, 0, 2, 2), Bounds(1, 1, 3, 3))
    True
    >>> boxes_overlap(Bounds(0, 0, 2, 2), Bounds(2, 0, 3, 2))
    False
    """
    across = min(one.right, other.right) - max(one.left, other.left)
    up = min(one.top, other.top) - max(one.bottom, other.bottom)
    return across > 0.0 and up > 0.0


class Foot(NamedTuple):
    """The nearest place on a shape: where it is and how far away."""

    point: Point
    distance: float


def contours_of(shape: Outline | Contour) -> tuple[Contour, ...]:
    """Return a shape's contours, a lone contour being its own."""
    return (shape,) if isinstance(shape, Contour) else shape.contours


def segments_of(shape: Outline | Contour) -> Iterator[Segment]:
    """Run through a shape's segments in order."""
    for contour in contours_of(shape):
        yield from contour.segments


def bounds(shape: Outline | Contour) -> Bounds:
    """Return the exact bounds; raises ``ValueError`` for a shape without segments.

    >>> from livery.geometry.shapes import rectangle
    >>> bounds(rectangle(120, 40)).width
    120.0
    """
    boxes = [_contour_bounds(contour) for contour in contours_of(shape) if contour.segments]
    if not boxes:
        raise ValueError("an empty shape has no bounds")
    if len(boxes) == 1:
        return boxes[0]
    left, bottom, right, top = zip(*boxes, strict=True)
    return Bounds(min(left), min(bottom), max(right), max(top))


@lru_cache(maxsize=2048)
def _contour_bounds(contour: Contour) -> Bounds:
    segments = contour.segments
    xs = [p[0] for s in segments for p in (s.start, s.end)]
    ys = [p[1] for s in segments for p in (s.start, s.end)]
    ends = Bounds(min(xs), min(ys), max(xs), max(ys))
    for segment in segments:
        if isinstance(segment, Line) or _is_well_within(segment, ends):
            continue
        for t in (*turning_points(segment, 0), *turning_points(segment, 1)):
            p = point_on(segment, t)
            xs.append(p.x)
            ys.append(p.y)
    return Bounds(min(xs), min(ys), max(xs), max(ys))


def _is_well_within(curve: Arc | Cubic, box: Bounds) -> bool:
    """Return whether a curve is sure to be inside a box, so that it cannot widen it."""
    if isinstance(curve, Cubic):
        points, out = (curve.control1, curve.control2), 0.0
    else:
        # No place of an arc is further from the box of its ends than its middle from the chord.
        points = (curve.start, curve.end)
        out = math.dist(curve.start, curve.end) * abs(curve.bulge) / 2.0
    return all(
        box.left + out < x < box.right - out and box.bottom + out < y < box.top - out
        for x, y in points
    )


def lies_within(shape: Outline | Contour, reach_mm: float) -> bool:
    """Return whether no point that makes a shape is further than ``reach_mm`` off either axis.

    False for a shape with a coordinate that is no number, which bounds cannot show.
    """
    return all(abs(v) <= reach_mm for s in segments_of(shape) for p in _made_of(s) for v in p)


def _made_of(segment: Segment) -> tuple[Point, ...]:
    """Return points that a segment does not reach much beyond."""
    if isinstance(segment, Cubic):
        return segment.start, segment.control1, segment.control2, segment.end
    return segment.start, point_on(segment, 0.5), segment.end


def turning_points(segment: Segment, axis: int) -> list[float]:
    """Return the parameters inside a segment where x (axis 0) or y (axis 1) turns back."""
    if isinstance(segment, Line):
        return []
    if isinstance(segment, Arc):
        c, sweep = segment.centre, segment.sweep
        first = math.atan2(segment.start.y - c.y, segment.start.x - c.x) - axis * math.pi / 2
        last = first + sweep
        low, high = min(first, last) / math.pi, max(first, last) / math.pi
        turns = [(k * math.pi - first) / sweep for k in range(math.ceil(low), math.floor(high) + 1)]
    else:
        p, a, b, q = (
            v[axis] for v in (segment.start, segment.control1, segment.control2, segment.end)
        )
        turns = quadratic_roots(q - 3 * b + 3 * a - p, 2 * (b - 2 * a + p), a - p)
    return sorted(t for t in turns if 0.0 < t < 1.0)


def area(shape: Outline | Contour) -> float:
    """Return the area in square millimetres, positive for anticlockwise, holes taken off.

    Exact for every kind of segment, by Green's theorem; an open contour is closed
    by a straight line.

    >>> from livery.geometry.shapes import rectangle
    >>> area(rectangle(120, 40))
    4800.0
    """
    return sum(_contour_area(c) for c in contours_of(shape))


@lru_cache(maxsize=2048)
def _contour_area(contour: Contour) -> float:
    """Return the signed area of a contour, taken from its own start to keep figures small."""
    if not contour.segments:
        return 0.0
    origin = contour.start
    return sum(_swept_area(s, origin) for s in contour.segments)


def _swept_area(segment: Segment, o: Point) -> float:
    """Return the signed area swept by the line from ``o`` to a point run along a segment."""
    (px, py), (qx, qy), (ox, oy) = segment.start, segment.end, o
    px, py, qx, qy = px - ox, py - oy, qx - ox, qy - oy
    chord = (px * qy - py * qx) / 2.0
    if isinstance(segment, Line):
        return chord
    if isinstance(segment, Arc):
        sweep = segment.sweep
        return chord + segment.radius**2 * (sweep - math.sin(sweep)) / 2.0
    ax, ay = segment.control1.x - o.x, segment.control1.y - o.y
    bx, by = segment.control2.x - o.x, segment.control2.y - o.y
    # The integral of (x dy - y dx)/2 over Bernstein polynomials of degree 3.
    return (
        6 * (px * ay - py * ax)
        + 3 * (px * by - py * bx)
        + (px * qy - py * qx)
        + 3 * (ax * by - ay * bx)
        + 3 * (ax * qy - ay * qx)
        + 6 * (bx * qy - by * qx)
    ) / 20.0


def length(shape: Outline | Contour) -> float:
    """Return the length of a contour, or of all of an outline's, in millimetres."""
    return sum(segment_length(s) for s in segments_of(shape))


def point_at(contour: Contour, distance: float) -> tuple[Point, Point]:
    """Return the point ``distance`` along a contour and the unit direction of travel there.

    On a closed contour the distance runs round and round; on an open one it is held to
    the ends.
    """
    index, t = _place_at(contour, _held(contour, distance))
    segment = contour.segments[index]
    return point_on(segment, t), direction(segment, t)


def _held(contour: Contour, distance: float) -> float:
    """Return a distance brought into the contour's length."""
    total = length(contour)
    if contour.closed and not 0.0 <= distance <= total:
        return distance % total
    return min(max(distance, 0.0), total)


def _place_at(contour: Contour, distance: float) -> tuple[int, float]:
    """Return the segment and the parameter a distance along a contour comes to."""
    for i, segment in enumerate(contour.segments):
        size = segment_length(segment)
        if distance <= size or i == len(contour.segments) - 1:
            return i, parameter_at(segment, distance)
        distance -= size
    raise ValueError("a contour without segments has no places along it")


def split_at(contour: Contour, s0: float, s1: float) -> Contour:
    """Return the open piece of a contour from ``s0`` to ``s1`` millimetres along it.

    On a closed contour ``s1`` may pass the start: the piece runs on round.
    """
    total = length(contour)
    if contour.closed:
        span = s1 - s0 if 0.0 < s1 - s0 <= total else (s1 - s0) % total
        s0 %= total
    else:
        s0 = min(max(s0, 0.0), total)
        span = min(s1, total) - s0
    pieces: list[Segment] = []
    reached = 0.0
    for segment in contour.segments * (2 if contour.closed else 1):
        size = segment_length(segment)
        begin, end = max(s0 - reached, 0.0), min(s0 + span - reached, size)
        reached += size
        if end - begin > 1e-9:
            whole = begin == 0.0 and end == size
            t0, t1 = parameter_at(segment, begin), parameter_at(segment, end)
            pieces.append(segment if whole else trimmed(segment, t0, t1))
    return Contour(tuple(pieces), closed=False)


def nearest(shape: Outline | Contour, point: Point) -> Foot:
    """Return the point of a shape's edge nearest to ``point`` and the distance to it.

    Raises ``ValueError`` for a shape without segments.
    """
    best: Foot | None = None
    for segment in segments_of(shape):
        if best and isinstance(segment, Cubic) and _away_from_box(segment, point) >= best.distance:
            continue
        foot = point_on(segment, nearest_parameter(segment, point))
        away = math.dist(foot, point)
        if best is None or away < best.distance:
            best = Foot(foot, away)
    if best is None:
        raise ValueError("an empty shape has no nearest point")
    return best


def _away_from_box(cubic: Cubic, point: Point) -> float:
    """Return how far a point is from the upright box round a cubic's control points."""
    xs, ys = zip(cubic.start, cubic.control1, cubic.control2, cubic.end, strict=True)
    across = max(min(xs) - point.x, point.x - max(xs), 0.0)
    up = max(min(ys) - point.y, point.y - max(ys), 0.0)
    return math.hypot(across, up)


def distance(outline: Outline, point: Point, *, signed: bool = False) -> float:
    """Return how far ``point`` is from an outline's edge; signed, it is negative inside."""
    away = nearest(outline, point).distance
    return -away if signed and contains(outline, point) else away


def contains(outline: Outline, point: Point) -> bool:
    """Return whether an outline's contours wind round ``point``; on the edge, either may be said.

    >>> from livery.geometry.shapes import rectangle
    >>> contains(rectangle(120, 40), Point(10, 50))
    False
    """
    return turns_round(outline, point) != 0


def turns_round(shape: Outline | Contour, point: Point) -> int:
    """Return how often closed contours wind round a point off their edge, anticlockwise positive."""
    return sum(_crossings(s, point) for s in segments_of(shape))


def _crossings(segment: Segment, point: Point) -> int:
    """Return how often a segment crosses the ray to the right of a point, upward counted positive."""
    if isinstance(segment, Line):
        return _rising(segment, 0.0, 1.0, point)
    left, low, right, high = _roughly(segment)
    if not low <= point.y <= high or point.x > right:
        return 0
    if point.x < left:  # every crossing is to the right, and all but one undo each other
        return int(segment.start.y <= point.y) - int(segment.end.y <= point.y)
    cuts = [0.0, *turning_points(segment, 1), 1.0]
    return sum(_rising(segment, a, b, point) for a, b in pairwise(cuts))


def _level_with(arc: Arc, t: float, y: float) -> float:
    """Return where an arc's circle is at a height, on the side on which the arc is at ``t``."""
    c = arc.centre
    away = math.sqrt(max(arc.radius**2 - (y - c.y) ** 2, 0.0))
    return c.x + math.copysign(away, point_on(arc, t).x - c.x)


def _roughly(curve: Arc | Cubic) -> Bounds:
    """Return an upright box that a curve keeps clear of the edges of."""
    xs, ys = zip(*(curve if isinstance(curve, Cubic) else curve[:2]), strict=True)
    out = _CLEAR_MM
    if isinstance(curve, Arc):  # as in ``_is_well_within``
        out += math.dist(curve.start, curve.end) * abs(curve.bulge) / 2.0
    return Bounds(min(xs) - out, min(ys) - out, max(xs) + out, max(ys) + out)


def _rising(segment: Segment, t0: float, t1: float, point: Point) -> int:
    """Count the crossing of a piece along which y only rises or only falls."""
    p, q = point_on(segment, t0), point_on(segment, t1)
    if (p.y <= point.y) == (q.y <= point.y):
        return 0
    rises = q.y > p.y
    low, high = t0, t1
    if isinstance(segment, Line):
        x = p.x + (q.x - p.x) * (point.y - p.y) / (q.y - p.y)
        return 0 if x <= point.x else (1 if rises else -1)
    if isinstance(segment, Arc):
        x = _level_with(segment, (t0 + t1) / 2, point.y)
        if abs(x - point.x) > _CLEAR_MM:
            return 0 if x < point.x else (1 if rises else -1)
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (
            (middle, high) if (point_on(segment, middle).y <= point.y) == rises else (low, middle)
        )
    return 0 if point_on(segment, (low + high) / 2).x <= point.x else (1 if rises else -1)
