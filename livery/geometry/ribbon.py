"""Lines whose width changes along them: speed lines, tapered ends."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, NamedTuple

from livery.findings import fault
from livery.geometry.fitting import SmoothCurve, fitted
from livery.geometry.measure import length, split_at
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, Segment
from livery.geometry.recover import winding_region
from livery.geometry.segments import (
    acceleration,
    direction,
    point_on,
    segment_length,
    velocity,
)
from livery.geometry.sweep import (
    FIT_MM,
    SAME_MM,
    Ends,
    Join,
    Swept,
    beside,
    capped,
    joined,
    swept_by,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

Change = Literal["even", "smooth"]


class Station(NamedTuple):
    """The width a ribbon has at a distance along its line, both in millimetres."""

    along: float
    width: float


def ribbon(
    contour: Contour,
    stations: Sequence[Station],
    change: Change = "even",
    ends: Ends = "butt",
    join: Join = "mitre",
) -> Outline:
    """Return the region of a line whose width is given at stations along it.

    Between stations the width changes evenly, or with ``smooth`` eases in and out;
    before the first and after the last it stays.  Sides that are straight or
    concentric are so exactly, others are cubics within 0.005 mm.  Raises a
    ``LiveryError`` for widths below zero or stations out of order.
    """
    stations = [Station(*s) for s in stations]
    _check(stations)
    total = length(contour)
    if total <= SAME_MM:
        return Outline(())
    line = contour if not contour.closed else Contour(contour.segments, closed=False)
    cuts = sorted({0.0, total, *(s.along for s in stations if 0.0 < s.along < total)})
    left = _side(line, cuts, stations, change, join)
    turned = [Station(total - s.along, s.width) for s in reversed(stations)]
    right = _side(line.reversed(), [total - c for c in reversed(cuts)], turned, change, join)
    there = [s.reversed() for s in reversed(right)]
    back = [s.reversed() for s in reversed(left)]
    half_far, half_near = (_half_width(stations, change, s)[0] for s in (total, 0.0))
    return winding_region([capped(there, back, ends, max(half_far, half_near))])


def tapered(
    contour: Contour,
    width_mm: float,
    start_mm: float = 0.0,
    end_mm: float = 0.0,
    change: Change = "even",
) -> Outline:
    """Return a line of one width that narrows to a point over ``start_mm`` and ``end_mm`` at its ends."""
    total = length(contour)
    if start_mm + end_mm > total:
        raise fault(
            "taper-too-long",
            f"tapers of {start_mm:g} and {end_mm:g} mm do not fit on a line of {total:.1f} mm",
            "Make the tapers shorter.",
        )
    stations = [Station(start_mm, width_mm), Station(total - end_mm, width_mm)]
    if start_mm > 0.0:
        stations.insert(0, Station(0.0, 0.0))
    if end_mm > 0.0:
        stations.append(Station(total, 0.0))
    return ribbon(contour, stations, change)


def _check(stations: Sequence[Station]) -> None:
    """Refuse stations that say nothing or contradict each other."""
    if not stations or all(s.width == 0.0 for s in stations):
        raise fault(
            "no-width", "the line has no width anywhere", "Give a station with a width above 0 mm."
        )
    if any(not s.width >= 0.0 for s in stations):
        raise fault(
            "width-negative",
            "a width along the line is below 0 mm",
            "Give widths of 0 mm or more.",
        )
    if any(b.along < a.along for a, b in pairwise(stations)):
        raise fault(
            "stations-order",
            "the stations along the line are out of order",
            "Sort them by distance.",
        )


def _half_width(stations: Sequence[Station], change: Change, along: float) -> tuple[float, float]:
    """Return half the width at a distance along the line, and how fast it changes there."""
    i = bisect_right([s.along for s in stations], along)
    if i == 0 or i == len(stations):
        return stations[max(i - 1, 0)].width / 2.0, 0.0
    a, b = stations[i - 1], stations[i]
    span, rise = b.along - a.along, (b.width - a.width) / 2.0
    u = (along - a.along) / span
    if change == "even":
        return a.width / 2.0 + rise * u, rise / span
    return a.width / 2.0 + rise * u * u * (3 - 2 * u), rise * 6 * u * (1 - u) / span


def _side(
    line: Contour, cuts: Sequence[float], stations: Sequence[Station], change: Change, join: Join
) -> list[Segment]:
    """Return the left side of a ribbon as a raw parallel."""
    real: list[Segment] = []
    swept: list[Swept] = []
    reaches: list[float] = []
    for begin, end in pairwise(cuts):
        at = begin
        for segment in split_at(line, begin, end).segments:
            size = segment_length(segment)
            if size <= SAME_MM:
                continue
            real.append(segment)
            swept.append(_swept_widening(segment, at, size, stations, change))
            at += size
            reaches.append(_half_width(stations, change, at)[0])
    return joined(real, swept, reaches, join, closed=False)


def _swept_widening(
    segment: Segment, at: float, size: float, stations: Sequence[Station], change: Change
) -> Swept:
    """Return the left side along one segment that lies between two stations."""
    # Taken just inside: at a station the width may change at once.
    inside = 1e-9 * size
    h0, h1 = (_half_width(stations, change, s)[0] for s in (at + inside, at + size - inside))
    if h0 == h1:
        return swept_by(segment, h0)
    leaving, arriving = direction(segment, 0.0), direction(segment, 1.0)
    start, end = beside(segment.start, leaving, h0), beside(segment.end, arriving, h1)
    if isinstance(segment, Line) and change == "even":
        return Swept(leaving, arriving, start, end, [Line(start, end)])
    curve = _widening_curve(segment, at, size, stations, change)
    pieces: list[Segment] = [*fitted(curve, inside / size, 1.0 - inside / size, FIT_MM)]
    return Swept(leaving, arriving, pieces[0].start, pieces[-1].end, pieces)


def _widening_curve(
    segment: Segment, at: float, size: float, stations: Sequence[Station], change: Change
) -> SmoothCurve:
    """Return the left side along a segment as places and directions by the segment's parameter."""
    import numpy as np

    # Lengths along a cubic are read off a fine table; the width hangs on them only gently.
    grid = np.linspace(0.0, 1.0, 1025)
    speeds = np.array([math.hypot(*velocity(segment, float(t))) for t in grid])
    table = np.concatenate(([0.0], np.cumsum((speeds[1:] + speeds[:-1]) / 2)))
    table *= size / table[-1]

    def half(t: float) -> tuple[float, float]:
        return _half_width(stations, change, at + float(np.interp(t, grid, table)))

    def places(ts: Numbers) -> Numbers:
        return np.array(
            [beside(point_on(segment, t), direction(segment, t), half(t)[0]) for t in ts.tolist()]
        )

    def heading(t: float) -> Point:
        h, rate = half(t)
        along = direction(segment, t)
        forward = 1.0 - h * _bend(segment, t)
        x, y = forward * along.x - rate * along.y, forward * along.y + rate * along.x
        long = math.hypot(x, y)
        return Point(x / long, y / long) if long else along

    return SmoothCurve(places, heading)


def _bend(segment: Segment, t: float) -> float:
    """Return the curvature of a segment, positive where it bends left."""
    if isinstance(segment, Line):
        return 0.0
    if isinstance(segment, Arc):
        return math.copysign(1.0 / segment.radius, segment.bulge)
    v, a = velocity(segment, t), acceleration(segment, t)
    speed = math.hypot(*v)
    return (v.x * a.y - v.y * a.x) / speed**3 if speed else 0.0
