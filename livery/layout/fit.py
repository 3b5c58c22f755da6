"""Fit: how the prototype's drawing, brought to scale, is carried onto the panel as built.

Heights and stations are mapped one axis at a time, piecewise: between two datums
in proportion, or with the difference taken in a stated stretch; outside the
outermost datums at scale.  Corner radii, line widths and letters are never
stretched.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment

SAME_MM = 1e-6
TANGENT_RAD = 2e-3


@dataclass(frozen=True, slots=True)
class AxisFit:
    """One axis's map: pairs of (drawn at scale, as built), in millimetres, rising in both."""

    knots: tuple[tuple[float, float], ...]

    def __call__(self, drawn: float) -> float:
        """Return where a drawn place, at scale, falls on the panel as built."""
        first, last = self.knots[0], self.knots[-1]
        if drawn <= first[0]:
            return first[1] + drawn - first[0]
        if drawn >= last[0]:
            return last[1] + drawn - last[0]
        for (d0, b0), (d1, b1) in pairwise(self.knots):
            if drawn <= d1:
                return b0 + (drawn - d0) * (b1 - b0) / (d1 - d0)
        raise AssertionError("a place between the knots lies on one of their stretches")

    def drawn(self, built: float) -> float:
        """Return the drawn place, at scale, that falls on a place as built."""
        return AxisFit(tuple((b, d) for d, b in self.knots))(built)

    def stretch(self, start: float, end: float) -> float:
        """Return how much longer, as a ratio, a drawn stretch is as built; 1 for none."""
        return 1.0 if abs(end - start) < SAME_MM else (self(end) - self(start)) / (end - start)


@dataclass(frozen=True, slots=True)
class Fit:
    """The map of a panel: across and up."""

    x: AxisFit
    y: AxisFit

    def __call__(self, point: Point) -> Point:
        """Return where a drawn point, at scale, falls on the panel as built."""
        return Point(self.x(point.x), self.y(point.y))


def take_in_proportion(knots: list[tuple[float, float]]) -> AxisFit:
    """Return the map that spreads each difference evenly between its two datums."""
    return AxisFit(tuple(sorted(knots)))


def take_in_the_middle(knots: list[tuple[float, float]]) -> AxisFit:
    """Return the map that takes each difference in the middle third between its two datums."""
    spread: list[tuple[float, float]] = []
    ordered = sorted(knots)
    for (d0, b0), (d1, b1) in pairwise(ordered):
        third = (d1 - d0) / 3.0
        spread += [(d0, b0), (d0 + third, b0 + third), (d1 - third, b1 - third)]
    return AxisFit((*spread, ordered[-1]))


def take_between(knots: list[tuple[float, float]], start: float, end: float) -> AxisFit:
    """Return the map that takes the whole difference between two drawn places."""
    ordered = sorted(knots)
    (d0, b0), (d1, b1) = ordered[0], ordered[-1]
    inner = [(start, b0 + start - d0), (end, b1 - (d1 - end))]
    return AxisFit((ordered[0], *inner, ordered[-1]))


def is_rising(fit: AxisFit) -> bool:
    """Return whether the map keeps every place in its order."""
    pairs = pairwise(fit.knots)
    return all(d1 > d0 and b1 > b0 for (d0, b0), (d1, b1) in pairs)


def fit_outline(outline: Outline, fit: Fit) -> Outline:
    """Carry an outline at scale onto the panel as built.

    Straight lines stay straight and arcs stay arcs; an arc that rounds off the
    corner of two straight lines keeps its radius.
    """
    return Outline(tuple(fit_contour(c, fit) for c in outline))


def fit_contour(contour: Contour, fit: Fit) -> Contour:
    """Carry one contour onto the panel as built; see :func:`fit_outline`."""
    segments = contour.segments
    count = len(segments)
    fillets: dict[int, Point] = {}
    for i, segment in enumerate(segments):
        before = segments[i - 1] if contour.closed or i else None
        after = segments[(i + 1) % count] if contour.closed or i + 1 < count else None
        if isinstance(segment, Arc) and isinstance(before, Line) and isinstance(after, Line):
            corner = rounded_corner(before, segment, after)
            if corner is not None:
                fillets[i] = corner
    return Contour(tuple(_carried(segments, fillets, contour.closed, fit)), contour.closed)


def _carried(
    segments: tuple[Segment, ...], fillets: dict[int, Point], closed: bool, fit: Fit
) -> list[Segment]:
    count = len(segments)
    rounds = {i: _refilleted(segments, i, fillets, closed, fit) for i in fillets}
    carried: list[Segment] = []
    for i, segment in enumerate(segments):
        before, after = (i - 1) % count, (i + 1) % count
        if i in rounds:
            carried.append(rounds[i])
            continue
        start = rounds[before].end if before in rounds else fit(segment.start)
        end = rounds[after].start if after in rounds else fit(segment.end)
        if isinstance(segment, Line):
            if math.dist(start, end) > SAME_MM:
                carried.append(Line(start, end))
        elif isinstance(segment, Arc):
            carried.append(arc_through(start, fit(segment.middle), end))
        else:
            carried.append(_fit_cubic(segment, fit))
    return carried


def _refilleted(
    segments: tuple[Segment, ...], i: int, fillets: dict[int, Point], closed: bool, fit: Fit
) -> Arc:
    """Return the fillet ``i`` put back, at its own radius, into the corner as built."""
    count = len(segments)
    arc = segments[i]
    assert isinstance(arc, Arc)
    corner = fit(fillets[i])
    behind = fit(fillets.get((i - 2) % count, segments[i - 1].start))
    ahead = fit(fillets.get((i + 2) % count, segments[(i + 1) % count].end))
    return _fillet(behind, corner, ahead, arc.radius)


def _fillet(behind: Point, corner: Point, ahead: Point, radius: float) -> Arc:
    a = math.atan2(behind.y - corner.y, behind.x - corner.x)
    b = math.atan2(ahead.y - corner.y, ahead.x - corner.x)
    turn = math.remainder(a + math.pi - b, math.tau)  # how far the path turns left, negated
    run = radius * math.tan(abs(turn) / 2.0)
    start = Point(corner.x + run * math.cos(a), corner.y + run * math.sin(a))
    end = Point(corner.x + run * math.cos(b), corner.y + run * math.sin(b))
    return Arc(start, end, -math.copysign(math.tan(abs(turn) / 4.0), turn))


def rounded_corner(before: Line, arc: Arc, after: Line) -> Point | None:
    """Return the sharp corner an arc rounds off, or None where it is not tangent to both lines."""
    into = math.atan2(before.end.y - before.start.y, before.end.x - before.start.x)
    out = math.atan2(after.end.y - after.start.y, after.end.x - after.start.x)
    chord = math.atan2(arc.end.y - arc.start.y, arc.end.x - arc.start.x)
    half = arc.sweep / 2.0
    tangent = (
        abs(math.remainder(chord - half - into, math.tau)) < TANGENT_RAD
        and abs(math.remainder(chord + half - out, math.tau)) < TANGENT_RAD
    )
    if not tangent or abs(arc.sweep) > math.pi * 0.95:
        return None
    run = arc.radius * math.tan(abs(half))
    return Point(arc.start.x + run * math.cos(into), arc.start.y + run * math.sin(into))


def arc_through(start: Point, middle: Point, end: Point) -> Arc | Line:
    """Return the arc through three points, or the line where they are in line."""
    dx, dy = end.x - start.x, end.y - start.y
    chord = math.hypot(dx, dy)
    # How far the middle stands to the right of the chord, and how far along it.
    rise = ((middle.x - start.x) * dy - (middle.y - start.y) * dx) / chord
    along = ((middle.x - start.x) * dx + (middle.y - start.y) * dy) / chord
    if abs(rise) < SAME_MM:
        return Line(start, end)
    # The angle the chord is seen under from the middle gives the sweep.
    seen = math.atan2(chord * abs(rise), rise * rise - along * (chord - along))
    return Arc(start, end, math.tan((math.pi - seen) / 2.0) * math.copysign(1.0, rise))


def _fit_cubic(cubic: Cubic, fit: Fit) -> Cubic:
    start, end = fit(cubic.start), fit(cubic.end)
    sx = fit.x.stretch(cubic.start.x, cubic.end.x)
    sy = fit.y.stretch(cubic.start.y, cubic.end.y)
    c1, c2 = cubic.control1, cubic.control2
    return Cubic(
        start,
        Point(start.x + (c1.x - cubic.start.x) * sx, start.y + (c1.y - cubic.start.y) * sy),
        Point(end.x + (c2.x - cubic.end.x) * sx, end.y + (c2.y - cubic.end.y) * sy),
        end,
    )
