"""Circular arcs instead of a cubic, for writers and cutters that know no other curve.

A pair of arcs meets both ends of a stretch of the cubic and both its tangents;
where the pair strays too far the stretch is halved.  Source of the construction:
K. M. Bolton, "Biarc curves", Computer-Aided Design 7 (1975) 89-92, from memory,
with the free choice made so that both tangents are equally long.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

from livery.geometry.outline import Arc, Cubic, Line, Point
from livery.geometry.segments import direction, point_on, trimmed

_CHECKS = 9
"""Places at which an arc is held against its cubic (chosen: the worst lies between the ends and
the middle). Fewer, and an arc may leave its cubic between them; more only take time."""

_HALVINGS = 16
"""How many times a cubic is halved at the most (chosen: 65,536 arcs, far more than any needs).
Fewer, and a wild cubic leaves the tolerance."""


def arcs_of_cubic(cubic: Cubic, within_mm: float) -> tuple[Line | Arc, ...]:
    """Return arcs, and lines where it is straight, that stay ``within_mm`` of the cubic.

    They run end to end, tangent to each other wherever the cubic has a tangent.
    """
    return tuple(_arcs(cubic, within_mm, _HALVINGS))


def _arcs(cubic: Cubic, within: float, halvings: int) -> list[Line | Arc]:
    if halvings == 0:
        return [Line(cubic.start, cubic.end)] if cubic.start != cubic.end else []
    if _advances(cubic):
        pair = _pair(cubic)
        if all(_gentle(s) for s in pair) and _stray(cubic, pair) <= within:
            return pair
    first, second = trimmed(cubic, 0.0, 0.5), trimmed(cubic, 0.5, 1.0)
    assert isinstance(first, Cubic)
    assert isinstance(second, Cubic)
    return _arcs(first, within, halvings - 1) + _arcs(second, within, halvings - 1)


def _advances(cubic: Cubic) -> bool:
    """Return whether the control points move on along the chord, so that the curve has no loop."""
    points = (cubic.start, cubic.control1, cubic.control2, cubic.end)
    chord = (cubic.end.x - cubic.start.x, cubic.end.y - cubic.start.y)
    steps = ((q.x - p.x, q.y - p.y) for p, q in pairwise(points))
    return any(chord) and all(x * chord[0] + y * chord[1] >= 0.0 for x, y in steps)


def _pair(cubic: Cubic) -> list[Line | Arc]:
    """Return the two arcs through both ends along both tangents."""
    p, q = cubic.start, cubic.end
    (ax, ay), (bx, by) = direction(cubic, 0.0), direction(cubic, 1.0)
    vx, vy = q.x - p.x, q.y - p.y
    along = vx * (ax + bx) + vy * (ay + by)
    turn = 2.0 * (1.0 - ax * bx - ay * by)
    square = vx * vx + vy * vy
    reach = math.sqrt(along * along + turn * square)
    # The root of turn d^2 + 2 along d - square = 0 that does not cancel.
    tangent = square / (along + reach) if along + reach > 0.0 else 0.0
    if tangent <= 0.0:
        return [Line(p, q)]
    meet = Point(
        (p.x + q.x + tangent * (ax - bx)) / 2.0,
        (p.y + q.y + tangent * (ay - by)) / 2.0,
    )
    first = _arc(p, meet, _between((ax, ay), (meet.x - p.x, meet.y - p.y)))
    return [first, _arc(meet, q, _between((q.x - meet.x, q.y - meet.y), (bx, by)))]


def _arc(start: Point, end: Point, lean: float) -> Line | Arc:
    """Return the arc that leaves ``start`` at ``lean`` radians to the right of its chord."""
    bulge = math.tan(lean / 2.0)
    flat = abs(bulge) * math.dist(start, end) < 1e-7
    return Line(start, end) if flat else Arc(start, end, bulge)


def _between(a: tuple[float, float], b: tuple[float, float]) -> float:
    return math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])


def _gentle(segment: Line | Arc) -> bool:
    """Return whether a segment turns by less than a right angle, so that it cannot loop."""
    return isinstance(segment, Line) or abs(segment.bulge) < math.tan(math.pi / 8.0)


def _stray(cubic: Cubic, pair: list[Line | Arc]) -> float:
    """Return how far places along the cubic lie from the pair.

    A place is held against the piece on its own side of the joint.
    """
    first, last = pair[0], pair[-1]
    (jx, jy), (ax, ay) = first.end, direction(first, 1.0)
    away_from_first, away_from_last = _distance_to(first), _distance_to(last)
    worst = 0.0
    for i in range(1, _CHECKS + 1):
        place = point_on(cubic, i / (_CHECKS + 1))
        before = (place.x - jx) * ax + (place.y - jy) * ay <= 0.0
        worst = max(worst, (away_from_first if before else away_from_last)(place))
    return worst


def _distance_to(segment: Line | Arc) -> Callable[[Point], float]:
    """Return what measures the distance of a place beside a segment from it."""
    if isinstance(segment, Arc):
        centre, radius = segment.centre, segment.radius
        return lambda place: abs(math.dist(place, centre) - radius)
    (px, py), (ux, uy) = segment.start, direction(segment, 0.0)
    return lambda place: abs((place.y - py) * ux - (place.x - px) * uy)
