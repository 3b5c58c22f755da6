"""A smooth curve given by its places alone, as a line or as few cubics."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

from livery.geometry.fitting import SmoothCurve, fitted
from livery.geometry.outline import Line, Point, Segment

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

FITTED_MM = 0.002
"""Millimetres within which the cubics along a curve keep to it (chosen: as the topology's chords).
Smaller, and a curve has more cubics."""
STRAIGHT_MM = 1e-6
"""Millimetres: a curve whose points are nearer than this to its chord is a line (chosen: as the weld).
Larger, and flat curves become lines."""
STEP = 1e-6
"""Share of a curve over which its direction is taken (chosen: between rounding and bend). Larger, and
ends turn with the bend; smaller, and rounding turns them."""


def traced_segments(place: Callable[[float], Point], start: float, end: float) -> list[Segment]:
    """Return segments along ``place`` from ``start`` up to ``end``, within 0.002 mm of it.

    A straight curve gives one line.  ``place`` is asked for nothing outside that stretch.
    """
    import numpy as np

    step = (end - start) * STEP

    def heading(t: float) -> Point:
        a, b = place(max(t - step, start)), place(min(t + step, end))
        size = math.dist(a, b)
        return Point((b.x - a.x) / size, (b.y - a.y) / size)

    def places(ts: Numbers) -> Numbers:
        return np.array([place(float(t)) for t in ts])

    chord = Line(place(start), place(end))
    between = (place(start + (end - start) * i / 8) for i in range(1, 8))
    if all(_away(chord, p) < STRAIGHT_MM for p in between):
        return [chord]
    return list(fitted(SmoothCurve(places, heading), start, end, FITTED_MM))


def _away(chord: Line, point: Point) -> float:
    """Return how far a point is off the line through a chord's ends."""
    dx, dy = chord.end.x - chord.start.x, chord.end.y - chord.start.y
    size = math.hypot(dx, dy)
    if size == 0.0:
        return math.dist(point, chord.start)
    return abs((point.x - chord.start.x) * dy - (point.y - chord.start.y) * dx) / size
