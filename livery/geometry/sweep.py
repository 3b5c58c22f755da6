"""The region beside a line: the raw parallels from which insets and strokes are made.

What a contour covers out to a distance on its left is the sum of what each of
its segments sweeps, and of what the outside of each corner needs.  The edge of
that sum is the contour itself less one *raw parallel*: each segment's own
parallel, joined across a corner's outside by a mitre or an arc and across its
inside by way of the corner.  A place is left over exactly where the raw
parallels wind round it, so self-crossings, vanished features and split regions
all come out right (compare X. Chen and S. McMains, "Polygon offsetting by
computing winding numbers", ASME DETC2005-85513).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import compress, islice, pairwise
from typing import Literal, NamedTuple, TypeGuard

from livery.geometry.fitting import SmoothCurve, Stretch, fitted_each
from livery.geometry.meeting import meeting
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point, Segment
from livery.geometry.reaching import sides_round, useful_reaches
from livery.geometry.segments import (
    acceleration,
    arc_parameter,
    direction,
    point_on,
    segment_length,
    velocity,
    with_ends,
)
from livery.geometry.shapes import turn_between

Join = Literal["mitre", "round", "carried"]
"""How an outward corner of the sweep is joined.

``mitre``: sharp, and even: joins at two distances are as far apart as the distances are.
``carried``: sharp, and parallels of arcs carried on to meet wherever they do, as the outset of
an incurved corner is incurved again.  ``round``: by an arc about the corner.
"""
Ends = Literal["butt", "round", "square", "pointed"]

MITRE_LIMIT = 4.0
"""Times the distance: a longer mitre is rounded instead (as in SVG 1.1, 11.4, stroke-miterlimit). Larger,
and sharp corners run out to spikes."""
FIT_MM = 0.003
"""Millimetres within which fitted cubics keep to the true parallel of a cubic (chosen: with the 0.002 of
the topology within the 0.005 that is promised). Smaller, and a parallel has more cubics."""
TIGHT_CHORDS = 24
"""Chords that stand for a bend too tight to have a parallel (chosen). Fewer, and its swept edge is coarser."""
SAME_MM = 1e-7
"""Millimetres: two points this near are the same; a segment this short is none (chosen: a tenth of
``WELD_MM``). Larger, and short segments are lost."""
MANY = 100
"""Segments from which it pays to find out how far each need sweep (measured). Only the time changes
with it."""


def raw_parallel(
    contour: Contour, distance_mm: float, join: Join, *, with_gaps: bool = False
) -> list[Segment]:
    """Return the raw parallel of a contour, left of it for a positive distance.

    With ``with_gaps`` it is quicker to settle, but leaves gaps in what is swept, all nearer to
    the contour than ``reaching.GAP_SHARE`` of the distance.
    """
    return raw_parallel_each([contour], distance_mm, join, with_gaps=with_gaps)[0]


def raw_parallel_each(
    contours: Sequence[Contour], distance_mm: float, join: Join, *, with_gaps: bool = False
) -> list[list[Segment]]:
    """Return the raw parallel of each contour: quicker together than one by one."""
    if distance_mm > 0:
        return _raw_left(contours, distance_mm, join, with_gaps=with_gaps)
    outward: Join = "carried" if join == "mitre" else join
    turned = [contour.reversed() for contour in contours]
    back = _raw_left(turned, -distance_mm, outward, with_gaps=with_gaps)
    return [[s.reversed() for s in reversed(own)] for own in back]


class Swept(NamedTuple):
    """One segment's own raw parallel: the segment's directions at its ends, and the pieces between."""

    leaving: Point
    arriving: Point
    start: Point
    end: Point
    pieces: list[Segment]


def _raw_left(
    contours: Sequence[Contour], distance_mm: float, join: Join, *, with_gaps: bool
) -> list[list[Segment]]:
    """Return the raw parallel on the left of each contour."""
    runs = [[s for s in contour.segments if _is_real(s)] for contour in contours]
    sides: list[float] = []
    corners: list[list[float]] = []
    for contour, real in zip(contours, runs, strict=True):
        own = own_corners = [distance_mm] * len(real)
        if contour.closed and len(real) >= MANY:
            found = useful_reaches(sides_round(real), distance_mm, all_or_none=with_gaps)
            own, own_corners = found[0].tolist(), found[1].tolist()
        sides += own
        corners.append(own_corners)
    swept = iter(_swept_by_each([s for real in runs for s in real], sides))
    return [
        joined(real, list(islice(swept, len(real))), own, join, closed=contour.closed)
        for contour, real, own in zip(contours, runs, corners, strict=True)
    ]


def _is_real(segment: Segment) -> bool:
    """Return whether a segment has a length to speak of."""
    return math.dist(segment.start, segment.end) > SAME_MM or segment_length(segment) > SAME_MM


def joined(
    real: Sequence[Segment],
    swept: Sequence[Swept],
    reaches_mm: Sequence[float],
    join: Join,
    *,
    closed: bool,
) -> list[Segment]:
    """Return the raw parallels of segments joined at their corners.

    ``reaches_mm`` is the distance to sweep at each segment's last corner.
    """
    path: list[Segment] = []
    for i, one in enumerate(swept):
        path += one.pieces
        if closed or i < len(real) - 1:
            other = swept[(i + 1) % len(real)]
            path += _corner(real[i].end, one, other, reaches_mm[i], join)
    return _chained(path, closed)


def _chained(path: Sequence[Segment], closed: bool) -> list[Segment]:
    """Return a path whose pieces begin exactly where the ones before them end."""
    done: list[Segment] = []
    for segment in path:
        if done and segment.start != done[-1].end:
            segment = with_ends(segment, done[-1].end, segment.end)
        done.append(segment)
    if closed and done and done[-1].end != done[0].start:
        done[-1] = with_ends(done[-1], done[-1].start, done[0].start)
    return [s for s in done if s.start != s.end]


def beside(point: Point, along: Point, distance_mm: float) -> Point:
    """Return the point a distance to the left of another, given the direction of travel."""
    return Point(point.x - distance_mm * along.y, point.y + distance_mm * along.x)


def swept_by(segment: Segment, distance_mm: float) -> Swept:
    """Return the raw parallel of one segment."""
    return _swept_by_each([segment], [distance_mm])[0]


def _swept_by_each(segments: Sequence[Segment], distances_mm: Sequence[float]) -> list[Swept]:
    """Return the raw parallels of segments, each by its own distance."""
    pairs = list(zip(segments, distances_mm, strict=True))
    beside_cubics = iter(_beside_cubics([(s, d) for s, d in pairs if isinstance(s, Cubic)]))
    return [
        _swept_by_line(s, d)
        if isinstance(s, Line)
        else _swept_by_arc(s, d)
        if isinstance(s, Arc)
        else _swept(s, next(beside_cubics))
        for s, d in pairs
    ]


def _swept(cubic: Cubic, pieces: list[Segment]) -> Swept:
    """Return what runs beside a cubic; that of a tight bend may begin or end nearer in."""
    leaving, arriving = direction(cubic, 0.0), direction(cubic, 1.0)
    return Swept(leaving, arriving, pieces[0].start, pieces[-1].end, pieces)


def _swept_by_arc(arc: Arc, distance_mm: float) -> Swept:
    """Return the parallel of an arc; the sweep goes no further than the centre."""
    leaving, arriving = direction(arc, 0.0), direction(arc, 1.0)
    start = beside(arc.start, leaving, distance_mm)
    end = beside(arc.end, arriving, distance_mm)
    if arc.radius - math.copysign(distance_mm, arc.bulge) > SAME_MM:
        return Swept(leaving, arriving, start, end, [Arc(start, end, arc.bulge)])
    c = arc.centre
    pieces: list[Segment] = [Line(p, q) for p, q in ((start, c), (c, end)) if p != q]
    return Swept(leaving, arriving, start, end, pieces)


def _swept_by_line(line: Line, distance_mm: float) -> Swept:
    """Return the parallel of a line."""
    (px, py), (qx, qy) = line.start, line.end
    dx, dy = qx - px, qy - py
    size = math.hypot(dx, dy)
    along = Point(dx / size, dy / size)
    x, y = -distance_mm * along.y, distance_mm * along.x
    start, end = Point(px + x, py + y), Point(qx + x, qy + y)
    return Swept(along, along, start, end, [Line(start, end)])


def _beside_cubics(pairs: Sequence[tuple[Cubic, float]]) -> list[list[Segment]]:
    """Return cubics beside each cubic; where one bends too tightly for that, its chords' parallels."""
    parts: list[list[Stretch]] = []
    for cubic, distance_mm in pairs:
        curve = _parallel_curve(cubic, distance_mm)
        cuts = [0.0, *_tight_spots(cubic, distance_mm), 1.0]
        parts.append([Stretch(curve, t0, t1) for t0, t1 in pairwise(cuts)])
    easy = [
        [_slack(cubic, (one.t0 + one.t1) / 2, distance_mm) > 0.0 for one in own]
        for (cubic, distance_mm), own in zip(pairs, parts, strict=True)
    ]
    each = [one for own, can in zip(parts, easy, strict=True) for one in compress(own, can)]
    fits = iter(fitted_each(each, FIT_MM) if each else ())
    return [
        _beside_cubic(
            cubic, distance_mm, own, [next(fits) if each_can else None for each_can in can]
        )
        for (cubic, distance_mm), own, can in zip(pairs, parts, easy, strict=True)
    ]


def _beside_cubic(
    cubic: Cubic, distance_mm: float, parts: Sequence[Stretch], fits: Sequence[list[Cubic] | None]
) -> list[Segment]:
    """Return what runs beside a cubic, given the fit of each part that does not bend too tightly."""
    pieces: list[Segment] = []
    for (_, t0, t1), fit in zip(parts, fits, strict=True):
        part: list[Segment] = _beside_chords(cubic, t0, t1, distance_mm) if fit is None else [*fit]
        if pieces and math.dist(pieces[-1].end, part[0].start) > SAME_MM:
            corner = point_on(cubic, t0)
            pieces += [Line(pieces[-1].end, corner), Line(corner, part[0].start)]
        pieces += part
    return pieces


def _parallel_curve(cubic: Cubic, distance_mm: float) -> SmoothCurve:
    """Return the parallel of a cubic as places and directions by its own parameter."""
    import numpy as np
    from numpy.typing import NDArray

    control = np.array((cubic.start, cubic.control1, cubic.control2, cubic.end))
    legs = 3.0 * np.diff(control, axis=0)

    def places(t: NDArray[np.float64]) -> NDArray[np.float64]:
        s = 1.0 - t
        on = np.stack((s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t), axis=1) @ control
        along = np.stack((s * s, 2 * s * t, t * t), axis=1) @ legs
        speed = np.hypot(*along.T)
        still = speed <= 1e-9 * np.abs(legs).max()
        for i in np.flatnonzero(still):
            along[i] = direction(cubic, float(t[i]))
        speed[still] = 1.0
        beside: NDArray[np.float64] = (
            on + distance_mm * np.stack((-along[:, 1], along[:, 0]), axis=1) / speed[:, None]
        )
        return beside

    return SmoothCurve(places, lambda t: direction(cubic, t))


def _slack(cubic: Cubic, t: float, distance_mm: float) -> float:
    """Return a value that is negative where a cubic bends left tighter than the distance."""
    v, a = velocity(cubic, t), acceleration(cubic, t)
    return float(math.hypot(*v) ** 3 - distance_mm * (v.x * a.y - v.y * a.x))


def _tight_spots(cubic: Cubic, distance_mm: float, samples: int = 48) -> list[float]:
    """Return the parameters where a cubic's radius, bending left, passes the distance."""
    import numpy as np

    grid = np.linspace(0.0, 1.0, samples + 1)
    d1 = 3.0 * np.diff(
        [complex(*p) for p in (cubic.start, cubic.control1, cubic.control2, cubic.end)]
    )
    d2 = 2.0 * np.diff(d1)
    s = 1.0 - grid
    v = s * s * d1[0] + 2 * s * grid * d1[1] + grid * grid * d1[2]
    a = s * d2[0] + grid * d2[1]
    easy = np.abs(v) ** 3 - distance_mm * (v.conj() * a).imag > 0.0
    spots = []
    for i in np.flatnonzero(easy[:-1] != easy[1:]).tolist():
        low, high = float(grid[i]), float(grid[i + 1])
        for _ in range(50):
            middle = (low + high) / 2
            same = (_slack(cubic, middle, distance_mm) > 0.0) == bool(easy[i])
            low, high = (middle, high) if same else (low, middle)
        spots.append((low + high) / 2)
    return [t for t in spots if 1e-6 < t < 1 - 1e-6]


def _beside_chords(cubic: Cubic, t0: float, t1: float, distance_mm: float) -> list[Segment]:
    """Return the parallels of a tight bend's chords, joined by way of the points between them.

    Nothing beyond the centre of the bend has its nearest place there, so a chord
    sweeps little further than that.  The chords are shortest at the ends, where
    alone the sweep reaches the full distance.
    """
    ts = [
        t0 + (t1 - t0) * (1.0 - math.cos(math.pi * i / TIGHT_CHORDS)) / 2.0
        for i in range(TIGHT_CHORDS + 1)
    ]
    pieces: list[Segment] = []
    for a, b in pairwise(ts):
        chord = Line(point_on(cubic, a), point_on(cubic, b))
        radius = max(_bend_radius(cubic, t) for t in (a, (a + b) / 2, b))
        depth = min(distance_mm, 1.05 * radius + 0.01)
        along = direction(chord, 0.0)
        start, end = beside(chord.start, along, depth), beside(chord.end, along, depth)
        if pieces:
            pieces += [Line(pieces[-1].end, chord.start), Line(chord.start, start)]
        pieces.append(Line(start, end))
    return pieces


def _bend_radius(cubic: Cubic, t: float) -> float:
    """Return a cubic's radius of curvature."""
    v, a = velocity(cubic, t), acceleration(cubic, t)
    turning = abs(v.x * a.y - v.y * a.x)
    return float(math.hypot(*v) ** 3 / turning) if turning else math.inf


def _corner(
    corner: Point, one: Swept, other: Swept, distance_mm: float, join: Join
) -> list[Segment]:
    """Return what joins two raw parallels at the corner between their segments."""
    # Two sides that need not sweep touch at the corner, which itself may have to.
    unswept = math.dist(one.end, corner) <= SAME_MM < distance_mm
    if math.dist(one.end, other.start) <= SAME_MM and not unswept:
        return []
    if distance_mm == 0.0:
        return [Line(one.end, corner), Line(corner, other.start)]
    turn = turn_between(one.arriving, other.leaving)
    back = abs(turn) > math.pi - 1e-9
    if turn >= 0.0 and not back:
        return [Line(one.end, corner), Line(corner, other.start)]
    start = beside(corner, one.arriving, distance_mm)
    end = beside(corner, other.leaving, distance_mm)
    rounded = join == "round" or back or 1.0 / math.cos(turn / 2.0) > MITRE_LIMIT
    bend: list[Segment] = [_round(start, end, -math.pi if back else turn)] if rounded else []
    if math.dist(start, one.end) + math.dist(end, other.start) > SAME_MM:
        # One of the three is cut short: along the spokes it all comes to the same.
        if not bend:
            tip = _tangent_tip(start, one.arriving, turn, distance_mm)
            bend = [Line(start, tip), Line(tip, end)]
        return [Line(one.end, start), *bend, Line(end, other.start)]
    return bend or _mitre(one, other, corner, turn, distance_mm, join=join)


def _round(start: Point, end: Point, turn: float) -> Arc:
    """Return the arc round the outside of a corner."""
    return Arc(start, end, math.tan(turn / 4.0))


def _tangent_tip(start: Point, along: Point, turn: float, distance_mm: float) -> Point:
    """Return where the tangents of two parallels meet outside a corner."""
    reach = distance_mm * math.tan(-turn / 2.0)
    return Point(start.x + reach * along.x, start.y + reach * along.y)


def _mitre(
    one: Swept, other: Swept, corner: Point, turn: float, distance_mm: float, *, join: Join
) -> list[Segment]:
    """Return a sharp join: the two parallels carried on to meet, else their tangents."""
    tip = _tangent_tip(one.end, one.arriving, turn, distance_mm)
    last = one.pieces[-1] if one.pieces else None
    first = other.pieces[0] if other.pieces else None
    if _may_be_carried(last, join) and _may_be_carried(first, join):
        met = meeting(last, first, tip)
        if (
            met is not None
            and math.dist(met, corner) <= MITRE_LIMIT * distance_mm
            and _carries_on(last, met)
            and _carries_on(first.reversed(), met)
        ):
            return [_extension(last, met), _extension(first.reversed(), met).reversed()]
    return [Line(one.end, tip), Line(tip, other.start)]


def _may_be_carried(segment: Segment | None, join: Join) -> TypeGuard[Line | Arc]:
    """Return whether a parallel may be carried on past its end.

    That of an arc which bends round to this side gets tighter with the distance, so that
    joins at two distances would come nearer to each other than the distances are.
    """
    bends_round = isinstance(segment, Arc) and segment.bulge > 0.0
    return isinstance(segment, Line | Arc) and not (join == "mitre" and bends_round)


def _carries_on(segment: Line | Arc, point: Point) -> bool:
    """Return whether a segment comes to a point within a quarter turn after its end."""
    if isinstance(segment, Line):
        along = direction(segment, 1.0)
        return (point.x - segment.end.x) * along.x + (point.y - segment.end.y) * along.y > 0.0
    after = (arc_parameter(segment, point) - 1.0) * abs(segment.sweep)
    return 0.0 < after % math.tau < math.pi / 2


def _extension(segment: Line | Arc, point: Point) -> Segment:
    """Return the piece by which a segment is carried on to a point."""
    if isinstance(segment, Line):
        return Line(segment.end, point)
    after = ((arc_parameter(segment, point) - 1.0) * abs(segment.sweep)) % math.tau
    return Arc(segment.end, point, math.copysign(math.tan(after / 4.0), segment.bulge))


def capped(there: Sequence[Segment], back: Sequence[Segment], ends: Ends, reach: float) -> Contour:
    """Join the two sides of a stroke by its ends."""
    far = _cap(there[-1].end, back[0].start, ends, reach)
    near = _cap(back[-1].end, there[0].start, ends, reach)
    return Contour((*there, *far, *back, *near))


def _cap(start: Point, end: Point, ends: Ends, reach: float) -> list[Segment]:
    """Return the end of a stroke, run from one side to the other with the line behind on the left."""
    size = math.dist(start, end)
    if size <= SAME_MM:
        return []
    if ends == "round":
        return [Arc(start, end, 1.0)]
    out = Point((end.y - start.y) / size, -(end.x - start.x) / size)
    if ends == "square":
        a = Point(start.x + out.x * size / 2, start.y + out.y * size / 2)
        b = Point(end.x + out.x * size / 2, end.y + out.y * size / 2)
        return [Line(start, a), Line(a, b), Line(b, end)]
    if ends == "pointed":
        tip = Point((start.x + end.x) / 2 + reach * out.x, (start.y + end.y) / 2 + reach * out.y)
        return [Line(start, tip), Line(tip, end)]
    return [Line(start, end)]
