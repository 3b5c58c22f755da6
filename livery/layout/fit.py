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

from livery.geometry.corners import SQUARE, recornered, taken_off
from livery.geometry.outline import Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.segments import arc_through

SAME_MM = 1e-6
"""Less than this, in millimetres, has no length (chosen: rounding). Larger, and short segments are
dropped as a panel is fitted."""


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

    def turned(self, drawn: float, built: float) -> AxisFit:
        """Return the map as seen from the other end; two places change over on each side.

        ``drawn`` and ``built`` are the sums of their two ends.
        """
        return AxisFit(tuple((drawn - d, built - b) for d, b in reversed(self.knots)))

    def stretch(self, start: float, end: float) -> float:
        """Return how much longer, as a ratio, a drawn stretch is as built; 1 for none."""
        return 1.0 if abs(end - start) < SAME_MM else (self(end) - self(start)) / (end - start)


@dataclass(frozen=True, slots=True)
class PanelFit:
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
    """Return the map that takes the whole difference of two datums between two drawn places."""
    (d0, b0), (d1, b1) = sorted(knots)
    return AxisFit(((d0, b0), (start, b0 + start - d0), (end, b1 - (d1 - end)), (d1, b1)))


def is_rising(fit: AxisFit) -> bool:
    """Return whether the map keeps every place in its order."""
    pairs = pairwise(fit.knots)
    return all(d1 > d0 and b1 > b0 for (d0, b0), (d1, b1) in pairs)


def fit_outline(outline: Outline, fit: PanelFit) -> Outline:
    """Carry an outline at scale onto the panel as built.

    Straight lines stay straight and arcs stay arcs; an arc that rounds off a corner, or is
    centred on it, keeps its radius, whether the corner's sides are straight or curved.
    """
    sharp, corners = taken_off(outline)
    as_built = {fit(place): corner for place, corner in corners.items()}
    carried = Outline(tuple(_carried(c, fit) for c in sharp))
    return recornered(carried, lambda place: as_built.get(place, SQUARE)) if corners else carried


def _carried(contour: Contour, fit: PanelFit) -> Contour:
    """Carry a contour without worked corners onto the panel as built."""
    carried: list[Segment] = []
    for segment in contour.segments:
        start, end = fit(segment.start), fit(segment.end)
        if isinstance(segment, Cubic):
            carried.append(_fit_cubic(segment, fit))
        elif math.dist(start, end) <= SAME_MM:
            continue
        elif isinstance(segment, Line):
            carried.append(Line(start, end))
        else:
            carried.append(arc_through(start, fit(segment.middle), end))
    return Contour(tuple(carried), contour.closed)


def _fit_cubic(cubic: Cubic, fit: PanelFit) -> Cubic:
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
