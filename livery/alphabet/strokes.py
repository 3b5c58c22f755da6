"""The strokes letters are built from, as closed contours.

A bent stroke is a skeleton of nodes, each with the heading of the stroke there
and its thickness.  Both edges of the stroke run through points half a thickness
to either side of the nodes, with the node's heading; a node where the skeleton
turns level or upright therefore puts an extreme point on each edge.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

from livery.geometry.outline import Contour, Cubic, Line, Point, Segment, chain

BRACKET = 0.62
"""The fullness of a serif's bracket: handle over radius (chosen: by eye, a little above a
circle's). Larger fills it more."""

OVERHANG = 0.3
"""How far a stem leans over a bracket, across for each unit up (chosen: more has no room for one).
Larger brackets the acute side too."""

QUARTER = 4.0 / 3.0 * math.tan(math.pi / 8.0)
"""Handle over radius of a quarter circle as a cubic (by definition: it meets the circle at its
middle). Another is no circle."""


class Node(NamedTuple):
    """One node of a skeleton.

    ``heading`` in degrees anticlockwise from east; ``cut`` the angle of the line a
    stroke's end is cut along (square across the stroke when None); ``fullness``
    how far handles reach towards the corner of a quarter turn (0.5523 for a circle).
    """

    x: float
    y: float
    heading: float
    thickness: float
    cut: float | None = None
    fullness: float = QUARTER


class EdgePoint(NamedTuple):
    """A point of an edge: the headings it is reached and left by; None means straight."""

    at: Point
    arrive: float | None = None
    leave: float | None = None
    fullness: float = QUARTER


def box(x0: float, y0: float, x1: float, y1: float) -> Contour:
    """Return an upright rectangle."""
    return chain([Point(x0, y0), Point(x1, y0), Point(x1, y1), Point(x0, y1)])


def slant(x0: float, y0: float, x1: float, y1: float, across: float) -> Contour:
    """Return a sloping stroke, cut level, whose left edge runs from (x0, y0) to (x1, y1)."""
    return chain([Point(x0, y0), Point(x0 + across, y0), Point(x1 + across, y1), Point(x1, y1)])


def ring_stroke(nodes: Sequence[Node]) -> list[Contour]:
    """Return the two edges of a closed stroke; together they fill as a ring."""
    sides = []
    for side in (1.0, -1.0):
        points = _edge([*nodes, nodes[0]], side)
        # A corner that took the place of the last node took that of the first too.
        points = points[1:] if points[-1].at != points[0].at else points[:-1]
        sides.append(Contour(tuple(_joined([*points, points[0]]))))
    return [sides[0], sides[1].reversed()]


def pen(nodes: Sequence[Node]) -> Contour:
    """Return a stroke along an open skeleton."""
    left, right = _joined(_edge(nodes, 1.0)), _joined(_edge(nodes, -1.0))
    back = [s.reversed() for s in reversed(right)]
    ends = (Line(left[-1].end, back[0].start), Line(back[-1].end, left[0].start))
    return Contour((*left, ends[0], *back, ends[1]))


def form(points: Sequence[EdgePoint]) -> Contour:
    """Return the closed contour through ``points``."""
    return Contour(tuple(_joined([*points, points[0]])))


def serif(
    x0: float,
    x1: float,
    y: float,
    left: float,
    right: float,
    *,
    slope: float = 0.0,
    up: float,
    thickness: float,
    bracket: float,
) -> Contour:
    """Return a serif across a stem's foot (``up`` 1) or head (``up`` -1), bracketed into it.

    x0 and x1 are the stem's edges at the level y; the serif reaches ``left`` and
    ``right`` beyond them.  A side that reaches no way has no bracket.
    """
    lie = math.degrees(math.atan2(up, slope * up))
    top = y + up * thickness
    lean = slope * up
    brackets = [_room(left, lean, thickness, bracket), _room(right, -lean, thickness, bracket)]

    def edge(x: float, level: float) -> Point:
        return Point(x + slope * (level - y), level)

    points = [EdgePoint(Point(x0 - left, y)), EdgePoint(Point(x1 + right, y))]
    if brackets[1]:
        points.append(EdgePoint(Point(x1 + right, top), None, 180.0, BRACKET))
        points.append(EdgePoint(edge(x1, top + up * brackets[1]), lie))
    else:
        points += [EdgePoint(Point(x1 + right, top)), EdgePoint(edge(x1, top))]
    if brackets[0]:
        points.append(EdgePoint(edge(x0, top + up * brackets[0]), None, lie + 180.0, BRACKET))
        points.append(EdgePoint(Point(x0 - left, top), 180.0))
    else:
        points += [EdgePoint(edge(x0, top)), EdgePoint(Point(x0 - left, top))]
    return form(points)


def _room(reach: float, away: float, thickness: float, bracket: float) -> float:
    """Return how high a bracket may be where the stem leans ``away`` (or, negative, over it).

    Under a stem that leans far over it there is none: it would fill the corner as a nub.
    """
    over = max(0.0, -away)
    if not bracket or not reach or over > OVERHANG:
        return 0.0
    return max(0.0, (reach - over * thickness) / (reach / bracket + over))


def beak(
    x: float, y: float, reach: float, drop: float, *, arm: float, tip: float, bracket: float
) -> Contour:
    """Return the serif at the end of a level arm, standing across it.

    (x, y) is the outer corner of the arm's end; the arm, ``arm`` thick, lies towards
    ``reach`` (negative when it lies to the left) and the serif stands ``drop`` from y
    (negative downwards), ``tip`` wide at its point.
    """
    aside, along = math.copysign(1.0, reach), math.copysign(1.0, drop)
    point = Point(x + aside * tip, y + drop)
    points = [EdgePoint(Point(x, y)), EdgePoint(Point(x, y + drop))]
    if bracket:
        points.append(EdgePoint(point, None, 180.0 + 90.0 * along, BRACKET))
        points.append(EdgePoint(Point(x + reach, y + along * arm), 90.0 - 90.0 * aside))
        points.append(EdgePoint(Point(x + reach, y)))
    else:
        points += [EdgePoint(point), EdgePoint(Point(point.x, y))]
    return form(points)


def dot(x: float, y: float, across: float, up: float) -> Contour:
    """Return an ellipse about (x, y), ``across`` and ``up`` its half measures."""
    around = [(x + across, y, 90.0), (x, y + up, 180.0), (x - across, y, 270.0), (x, y - up, 0.0)]
    return form([EdgePoint(Point(px, py), h, h) for px, py, h in around])


def zigzag(thicknesses: Sequence[float], flat: float, points: Sequence[Point]) -> Contour:
    """Return a stroke of straight arms between levels, as in V, A, W and M.

    ``points`` alternate between two levels.  The first and last are where the
    outside edges of the outer arms end; those between are the middles of the
    vertices, each cut level to the width ``flat``.  One thickness for each arm.
    """
    arms = [
        _arm(points[i], points[i + 1], t, flat, first=i == 0, last=i == len(points) - 2)
        for i, t in enumerate(thicknesses)
    ]
    under: list[Point] = [arms[0][0][0]]
    over: list[Point] = [arms[0][1][0]]
    for i, (before, after) in enumerate(itertools.pairwise(arms), start=1):
        vertex = points[i]
        outer = [Point(vertex.x - flat / 2, vertex.y), Point(vertex.x + flat / 2, vertex.y)]
        foot = vertex.y < points[i - 1].y
        side = 1 if foot else 0
        crotch = _meeting(before[side], after[side])
        (under if foot else over).extend(outer)
        (over if foot else under).append(crotch)
    under.append(arms[-1][0][1])
    over.append(arms[-1][1][1])
    return chain([*under, *reversed(over)])


def _arm(
    p: Point, q: Point, t: float, flat: float, *, first: bool, last: bool
) -> tuple[tuple[Point, Point], tuple[Point, Point]]:
    """Return the lower and the upper edge of an arm, each from left to right."""
    falls, rise = q.y < p.y, q.y - p.y
    across = t
    for _ in range(60):  # the slope depends on the width across and that on the slope
        if falls:
            low0 = p.x if first else p.x + flat / 2 - across
            low1 = q.x - across if last else q.x - flat / 2
        else:
            low0 = p.x + across if first else p.x + flat / 2
            low1 = q.x if last else q.x - flat / 2 + across
        across = t * math.hypot(low1 - low0, rise) / abs(rise)
    shift = across if falls else -across
    lower = (Point(low0, p.y), Point(low1, q.y))
    return lower, (Point(low0 + shift, p.y), Point(low1 + shift, q.y))


def _meeting(a: tuple[Point, Point], b: tuple[Point, Point]) -> Point:
    """Return where the lines through two pairs of points cross."""
    (ax, ay), (bx, by) = a
    (cx, cy), (dx, dy) = b
    turn = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    along = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / turn
    return Point(ax + along * (bx - ax), ay + along * (by - ay))


def _edge(nodes: Sequence[Node], side: float) -> list[EdgePoint]:
    """Return the points of the left (side 1) or right (side -1) edge of a stroke.

    Where an inner edge has no room for its curve, the corner being sharper than the
    stroke is thick, its two points give way to the corner itself.
    """
    points: list[EdgePoint] = []
    for i, n in enumerate(nodes):
        cut = n.heading + 90.0 if n.cut is None else n.cut
        reach = side * n.thickness / 2.0 / math.sin(math.radians(cut - n.heading))
        point = EdgePoint(_along(Point(n.x, n.y), cut, reach), n.heading, n.heading, n.fullness)
        if points and _crowded(nodes[i - 1], n, points[-1], point):
            before = points.pop()
            turn_in = nodes[i - 1].heading
            ahead, _ = _reaches(before.at, turn_in, point.at, n.heading)
            corner = _along(before.at, turn_in, ahead)
            point = EdgePoint(corner, before.arrive, n.heading, n.fullness)
        points.append(point)
    return points


def _crowded(a: Node, b: Node, p: EdgePoint, q: EdgePoint) -> bool:
    """Return whether the bend from a to b has no room on the edge through p and q."""
    if _parallel(a.heading, b.heading):
        return False
    room = _reaches(p.at, a.heading, q.at, b.heading)
    bends = min(_reaches(Point(a.x, a.y), a.heading, Point(b.x, b.y), b.heading)) >= -1e-6
    return max(room) < 1e-6 or (bends and min(room) < 1e-6)


def _joined(points: Sequence[EdgePoint]) -> list[Segment]:
    """Return the segments through the points of an edge."""
    segments: list[Segment] = []
    for p, q in itertools.pairwise(points):
        if math.dist(p.at, q.at) < 1e-6:
            continue
        if p.leave is None or q.arrive is None:
            segments.append(Line(p.at, q.at))
        else:
            segments.append(_curve(p.at, p.leave, q.at, q.arrive, p.fullness))
    return segments


def _along(p: Point, heading: float, reach: float) -> Point:
    return Point(
        p.x + reach * math.cos(math.radians(heading)), p.y + reach * math.sin(math.radians(heading))
    )


def _parallel(a: float, b: float) -> bool:
    return min(_apart(a, b), 180.0 - _apart(a, b)) < 1e-4


def _reaches(p: Point, hp: float, q: Point, hq: float) -> tuple[float, float]:
    """Return how far ahead of p and behind q their tangents, not parallel, cross."""
    ax, ay = math.cos(math.radians(hp)), math.sin(math.radians(hp))
    bx, by = math.cos(math.radians(hq)), math.sin(math.radians(hq))
    turn = ax * by - ay * bx
    dx, dy = q.x - p.x, q.y - p.y
    return (dx * by - dy * bx) / turn, (ax * dy - ay * dx) / turn


def _curve(p: Point, hp: float, q: Point, hq: float, fullness: float) -> Segment:
    """Return the line or the cubic from p to q with the given headings."""
    chord = math.dist(p, q)
    lie = math.degrees(math.atan2(q.y - p.y, q.x - p.x))
    if _apart(lie, hp) < 0.05 and _apart(lie, hq) < 0.05:
        return Line(p, q)
    turn = math.radians(_apart(hp, hq))
    reaches = (0.0, 0.0) if _parallel(hp, hq) else _reaches(p, hp, q, hq)
    if min(reaches) > 0.0:
        share = 4.0 / 3.0 * math.tan(turn / 4.0) / math.tan(turn / 2.0)
        share = min(0.92, share * fullness / QUARTER)
        a, b = share * reaches[0], share * reaches[1]
    else:  # the curve changes its bend or turns half round
        a = b = chord / 3.0 / math.cos(turn / 4.0) ** 2
    return Cubic(p, _along(p, hp, a), _along(q, hq, -b), q)


def _apart(a: float, b: float) -> float:
    """Return the angle between two headings, 0 to 180 degrees."""
    return abs((a - b + 180.0) % 360.0 - 180.0)
