"""Ready-made outlines: rectangles, polygons with worked corners, rounds and rings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

from fontTools.misc.transform import Transform

from livery.findings import fault
from livery.geometry.measure import area
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, Segment, chain

CornerKind = Literal["square", "round", "incurved", "chamfered", "notched"]


class Corner(NamedTuple):
    """How a corner is worked, and its size in millimetres.

    * ``square``: left sharp; the size is not used.
    * ``round``: a fillet of radius ``size`` tangent to both sides.
    * ``incurved``: an arc of radius ``size`` centred on the corner itself.
    * ``chamfered``: cut straight across, ``size`` back along each side.
    * ``notched``: a step inward with sides of ``size``, parallel to the two sides.
    """

    kind: CornerKind
    size: float = 0.0

    def setback(self, turn: float) -> float:
        """Return how far back along each side the corner begins.

        ``turn`` is the signed angle in radians by which the direction changes.
        """
        if self.kind == "square":
            return 0.0
        return self.size * math.tan(abs(turn) / 2.0) if self.kind == "round" else self.size


SQUARE = Corner("square")
ORIGIN = Point(0.0, 0.0)


def polygon(points: Sequence[Point], corners: Corner | Sequence[Corner] = SQUARE) -> Outline:
    """Return the polygon through ``points``, each corner worked as asked.

    ``corners`` is one treatment for all, or one per point in order.  Points given
    clockwise are turned round.  Raises a ``LiveryError`` when there are fewer than
    three points or a corner does not fit its sides.
    """
    if len(points) < 3:
        raise fault("too-few-points", "a polygon needs three points or more", "Add points.")
    worked = [corners] * len(points) if isinstance(corners, Corner) else list(corners)
    if len(worked) != len(points):
        raise fault(
            "corner-count",
            f"there are {len(points)} points but {len(worked)} corners",
            "Give one corner for all, or one for each point.",
        )
    places = [Point(*p) for p in points]
    if area(chain(places)) < 0.0:
        places.reverse()
        worked.reverse()
    return Outline((Contour(worked_corners(places, worked)),))


def worked_corners(points: Sequence[Point], corners: Sequence[Corner]) -> tuple[Segment, ...]:
    """Return the segments of a closed run of straight sides with its corners worked."""
    count = len(points)
    lengths = [math.dist(points[i], points[(i + 1) % count]) for i in range(count)]
    if min(lengths) == 0.0:
        raise fault("repeated-point", "two points of the polygon are the same", "Leave one out.")
    along = [
        Point((q.x - p.x) / size, (q.y - p.y) / size)
        for p, q, size in zip(points, [*points[1:], points[0]], lengths, strict=True)
    ]
    turns = [turn_between(along[i - 1], along[i]) for i in range(count)]
    backs = [c.setback(t) for c, t in zip(corners, turns, strict=True)]
    for i in range(count):
        need = backs[i] + backs[(i + 1) % count]
        # Two notches that meet leave a side of no width, running there and back.
        notched = corners[i].kind == corners[(i + 1) % count].kind == "notched"
        if need > lengths[i] * (1 + 1e-12) + (-1e-9 if notched else 1e-9):
            raise fault(
                "corner-too-large",
                f"corners that take {need:.3f} mm do not fit on a side of {lengths[i]:.3f} mm",
                "Make the corners smaller.",
            )
    segments: list[Segment] = []
    for i, (point, corner) in enumerate(zip(points, corners, strict=True)):
        worked = corner_segments(point, along[i - 1], along[i], corner)
        first = worked[0].start if worked else point
        if segments:
            _append_side(segments, segments[-1].end, first)
        elif i:
            _append_side(segments, points[i - 1], first)
        segments.extend(worked)
    opening = corner_segments(points[0], along[-1], along[0], corners[0])
    _append_side(segments, segments[-1].end, opening[0].start if opening else points[0])
    segments[-1] = _ending_at(segments[-1], segments[0].start)
    return tuple(segments)


def _append_side(segments: list[Segment], start: Point, end: Point) -> None:
    """Add the straight side between two corners, unless they meet."""
    if math.dist(start, end) > 1e-9:
        segments.append(Line(start, end))
    elif segments and start != end:
        segments[-1] = _ending_at(segments[-1], end)


def _ending_at(segment: Segment, end: Point) -> Segment:
    """Return a line or an arc with its end moved by a rounding error."""
    return (
        Arc(segment.start, end, segment.bulge)
        if isinstance(segment, Arc)
        else Line(segment.start, end)
    )


def corner_segments(point: Point, into: Point, out: Point, corner: Corner) -> tuple[Segment, ...]:
    """Return the segments that work one corner; none when it stays square.

    ``into`` and ``out`` are the unit directions of travel before and after ``point``.
    """
    turn = turn_between(into, out)
    back = corner.setback(turn)
    if back <= 0.0 or abs(turn) < 1e-12:
        return ()
    start = Point(point.x - back * into.x, point.y - back * into.y)
    end = Point(point.x + back * out.x, point.y + back * out.y)
    if corner.kind == "round":
        return (Arc(start, end, math.tan(turn / 4.0)),)
    if corner.kind == "incurved":
        return (Arc(start, end, -math.tan((math.pi - abs(turn)) / 4.0) * math.copysign(1, turn)),)
    if corner.kind == "notched":
        inner = Point(start.x + back * out.x, start.y + back * out.y)
        return (Line(start, inner), Line(inner, end))
    return (Line(start, end),)


def turn_between(into: Point, out: Point) -> float:
    """Return the signed angle in radians from one direction to another, left positive.

    >>> round(turn_between(Point(1, 0), Point(0, 1)), 6)
    1.570796
    """
    return math.atan2(into.x * out.y - into.y * out.x, into.x * out.x + into.y * out.y)


def rectangle(
    width: float,
    height: float,
    at: Point = ORIGIN,
    corners: Corner | Sequence[Corner] = SQUARE,
) -> Outline:
    """Return a rectangle with its bottom left at ``at``.

    Separate corners run bottom left, bottom right, top right, top left.

    >>> len(next(iter(rectangle(120, 40, corners=Corner("round", 5)))).segments)
    8
    """
    _positive("width", width)
    _positive("height", height)
    x, y = at
    points = (at, Point(x + width, y), Point(x + width, y + height), Point(x, y + height))
    return polygon(points, corners)


def circle(centre: Point, radius: float) -> Outline:
    """Return a circle, as two half circles."""
    _positive("radius", radius)
    return Outline((_circle(centre, radius),))


def ring(centre: Point, outer: float, inner: float) -> Outline:
    """Return the ring between two concentric circles, given by their radii."""
    _positive("inner radius", inner)
    _positive("width of the ring", outer - inner)
    return Outline((_circle(centre, outer), _circle(centre, inner).reversed()))


def ellipse(centre: Point, across: float, up: float) -> Outline:
    """Return an ellipse with half axes ``across`` and ``up``; cubics within 4e-6 of the larger."""
    _positive("half axis", min(across, up))
    unit = Outline((_circle(Point(0.0, 0.0), 1.0),))
    if across == up:
        return circle(centre, across)
    return unit.transformed(Transform(across, 0, 0, up, *centre))


def oval(width: float, height: float, at: Point = ORIGIN) -> Outline:
    """Return a rectangle whose shorter ends are half circles, bottom left at ``at``."""
    _positive("width", width)
    _positive("height", height)
    if width == height:
        return circle(Point(at.x + width / 2, at.y + height / 2), width / 2)
    x, y = at
    r = min(width, height) / 2.0
    if width > height:
        a, b = Point(x + r, y), Point(x + width - r, y)
        c, d = Point(x + width - r, y + height), Point(x + r, y + height)
        return Outline((Contour((Line(a, b), Arc(b, c, 1.0), Line(c, d), Arc(d, a, 1.0))),))
    a, b = Point(x + width, y + r), Point(x + width, y + height - r)
    c, d = Point(x, y + height - r), Point(x, y + r)
    return Outline((Contour((Line(a, b), Arc(b, c, 1.0), Line(c, d), Arc(d, a, 1.0))),))


def _circle(centre: Point, radius: float) -> Contour:
    """Return an anticlockwise circle that begins at its right-hand side."""
    right, left = Point(centre.x + radius, centre.y), Point(centre.x - radius, centre.y)
    return Contour((Arc(right, left, 1.0), Arc(left, right, 1.0)))


def _positive(name: str, value: float) -> None:
    """Refuse a size that is not above zero."""
    if not value > 0.0 or math.isinf(value):
        raise fault("size-not-positive", f"the {name} is {value:g} mm", "Give a size above 0 mm.")
