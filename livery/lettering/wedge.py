"""Letters made wider at their feet or their heads, as on an arc their sides point to its centre."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.segments import point_on, trimmed

_STRAY_MM = 0.001
"""How far a drawn curve may be off the widened one, in millimetres (chosen: a tenth of what a
written line may be). Larger, and letters have fewer nodes and are further off."""
_TRIED = (0.25, 0.5, 0.75)
"""Where along a curve that is tried (chosen: between its ends, where it is furthest off). Fewer,
and a curve that is off passes."""
_MOST_HALVINGS = 8
"""How often a curve is halved for that (chosen: each halving takes a sixteenth of the error).
Fewer, and a curve may stay off."""


@dataclass(frozen=True, slots=True)
class Wedge:
    """Widens about an upright line: by nothing at ``level``, by ``per_mm`` for each mm above it.

    Heights stay.  What is level or upright through the line stays straight.
    """

    about: float
    level: float
    per_mm: float

    def widening(self, y: float) -> float:
        """Return how many times wider a height becomes."""
        return 1.0 + self.per_mm * (y - self.level)

    def of(self, outline: Outline) -> Outline:
        """Return an outline widened, within a micrometre."""
        return Outline(tuple(self._contour(c) for c in outline))

    def _contour(self, contour: Contour) -> Contour:
        segments = [w for s in contour.segments for w in self._segments(s)]
        return Contour(tuple(segments), contour.closed)

    def _segments(self, segment: Segment) -> Iterator[Segment]:
        if isinstance(segment, Arc):
            for part in segment.as_cubics():
                yield from self._curve(part, _MOST_HALVINGS)
        elif isinstance(segment, Cubic):
            yield from self._curve(segment, _MOST_HALVINGS)
        else:
            yield self._line(segment)

    def _line(self, line: Line) -> Segment:
        """Return a line widened: a parabola unless it is level or upright, and so exactly a cubic."""
        a, b = line.start, line.end
        bow = abs(self.per_mm * (b.x - a.x) * (b.y - a.y)) / 4.0
        if bow <= _STRAY_MM / 10.0:
            return Line(self._point(a), self._point(b))
        step = Point((b.x - a.x) / 3.0, (b.y - a.y) / 3.0)
        return self._hermite(
            Cubic(a, Point(a.x + step.x, a.y + step.y), Point(b.x - step.x, b.y - step.y), b)
        )

    def _curve(self, curve: Cubic, halvings: int) -> Iterator[Cubic]:
        widened = self._hermite(curve)
        off = max(math.dist(self._point(point_on(curve, t)), point_on(widened, t)) for t in _TRIED)
        if off <= _STRAY_MM or not halvings:
            yield widened
            return
        for half in (trimmed(curve, 0.0, 0.5), trimmed(curve, 0.5, 1.0)):
            assert isinstance(half, Cubic)
            yield from self._curve(half, halvings - 1)

    def _hermite(self, curve: Cubic) -> Cubic:
        """Return the cubic that begins and ends as the widened curve does."""
        a, b = curve.start, curve.end
        return Cubic(
            self._point(a),
            self._moved(a, curve.control1),
            self._moved(b, curve.control2),
            self._point(b),
        )

    def _point(self, p: Point) -> Point:
        return Point(self.about + (p.x - self.about) * self.widening(p.y), p.y)

    def _moved(self, p: Point, control: Point) -> Point:
        """Return where a control goes: the step to it as the widening has it at p."""
        dx, dy = control.x - p.x, control.y - p.y
        at = self._point(p)
        across = dx * self.widening(p.y) + (p.x - self.about) * self.per_mm * dy
        return Point(at.x + across, at.y + dy)
