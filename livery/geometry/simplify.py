"""Fewer nodes for the same shape, and lines and arcs for runs of points."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from livery.geometry.flatten import numbers_of
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.segments import point_on, segment_length, with_ends

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

SAME_MM = 1e-6
"""Millimetres a segment that stands for two may stray from them (chosen: as ``WELD_MM``). Larger, and
nodes go that carry shape."""
CORNER = math.radians(35.0)
"""Radians: a sharper turn between two chords of a run of points is a corner to be kept (chosen; tracings
of smooth curves turn less). Larger, and corners of a tracing are rounded."""
MANY = 100
"""Segments from which it pays to look at them all at once (measured). Only the time changes with it."""


def simplified(outline: Outline, tolerance_mm: float) -> Outline:
    """Return an outline with fewer nodes, its edge moved by no more than ``tolerance_mm``.

    Segments shorter than half the tolerance are taken out; runs of straight lines become
    the longest lines and arcs that keep within it (see ``fitted_contour``); neighbours
    that make one line, arc or cubic are joined.  Contours that come to nothing go.
    """
    done = []
    for contour in outline:
        kept = _without_tiny(contour, tolerance_mm / 2.0)
        if len(kept.segments) > 1 or any(not isinstance(s, Line) for s in kept.segments):
            done.append(merged(_runs_fitted(kept, tolerance_mm / 2.0)))
    return Outline(tuple(c for c in done if len(c.segments) > 1 or _is_curve(c.segments[0])))


def _is_curve(segment: Segment) -> bool:
    """Return whether a segment is no straight line."""
    return not isinstance(segment, Line)


def _without_tiny(contour: Contour, least_mm: float) -> Contour:
    """Return a contour without segments shorter than ``least_mm``, their neighbours drawn to meet."""
    kept: list[Segment] = []
    for segment in contour.segments:
        if segment_length(segment) < least_mm:
            continue
        start = kept[-1].end if kept else segment.start
        kept.append(with_ends(segment, start, segment.end))
    if contour.closed and kept:
        kept[-1] = with_ends(kept[-1], kept[-1].start, kept[0].start)
    return Contour(tuple(kept), contour.closed)


def _runs_fitted(contour: Contour, tolerance_mm: float) -> Contour:
    """Fit lines and arcs to each run of straight lines in a contour; curves stay."""
    segments = contour.segments
    curves = [i for i, s in enumerate(segments) if not isinstance(s, Line)]
    if not curves:
        return fitted_contour(contour, tolerance_mm)
    if contour.closed:
        segments = segments[curves[0] :] + segments[: curves[0]]
    done: list[Segment] = []
    run: list[Segment] = []
    for segment in (*segments, None):
        if isinstance(segment, Line):
            run.append(segment)
            continue
        if run:
            done += fitted_contour(Contour(tuple(run), closed=False), tolerance_mm).segments
            run = []
        if segment is not None:
            done.append(segment)
    return Contour(tuple(done), contour.closed)


def fitted_contour(polyline: Contour, tolerance_mm: float) -> Contour:
    """Return the lines and arcs that a contour of many short straight lines stands for.

    Every point, and the middle of every chord, keeps within ``tolerance_mm``; corners
    sharper than 35 degrees stay.  Each segment reaches as far as it can from the one
    before; its ends are points of the polyline.
    """
    import numpy as np

    points = np.array(polyline.nodes, dtype=float)
    if len(points) < 3:
        return polyline
    if polyline.closed:
        first = _sharpest(points)
        points = np.roll(points, -first, axis=0)
        points = np.vstack((points, points[:1]))
    segments: list[Segment] = []
    stops = [0, *_corners(points), len(points) - 1]
    for a, b in pairwise(stops):
        begin = a
        while begin < b:
            end, segment = _longest(points, begin, b, tolerance_mm)
            segments.append(segment)
            begin = end
    return Contour(tuple(segments), polyline.closed)


def _turns(points: Numbers) -> Numbers:
    """Return the angle turned at each inner point."""
    import numpy as np

    d = np.diff(points, axis=0)
    a, b = d[:-1], d[1:]
    turns: Numbers = np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1))
    return turns


def _sharpest(ring: Numbers) -> int:
    """Return the point of a closed run at which it turns most."""
    import numpy as np

    return int(np.argmax(np.abs(_turns(np.vstack((ring[-1:], ring, ring[:1]))))))


def _corners(points: Numbers) -> list[int]:
    """Return the inner points that are corners."""
    import numpy as np

    found: list[int] = (np.flatnonzero(np.abs(_turns(points)) > CORNER) + 1).tolist()
    return found


def _longest(points: Numbers, begin: int, last: int, tolerance_mm: float) -> tuple[int, Segment]:
    """Return the segment that reaches farthest from a point, and how far: by doubling, then halving."""
    good, best = begin + 1, _through(points, begin, begin + 1, tolerance_mm)
    assert best is not None
    step, bad = 1, last + 1
    while good < last:
        trial = min(good + step, last) if bad > last else (good + bad) // 2
        if trial in (good, bad):
            break
        segment = _through(points, begin, trial, tolerance_mm)
        if segment is None:
            bad = trial
        else:
            good, best, step = trial, segment, step * 2
    return good, best


def _through(points: Numbers, begin: int, end: int, tolerance_mm: float) -> Segment | None:
    """Return the line, or else the arc, between two points that keeps near all between."""
    import numpy as np

    start, stop = points[begin], points[end]
    p, q = Point(*start.tolist()), Point(*stop.tolist())
    if end == begin + 1:
        return Line(p, q)
    inner = points[begin + 1 : end]
    ring = points[begin : end + 1]
    near = np.vstack((inner, (ring[1:] + ring[:-1]) / 2))
    chord = stop - start
    size = float(np.hypot(*chord))
    if size > 0.0:
        off = ((near - start) @ np.array((-chord[1], chord[0]))) / size
        along = ((near - start) @ chord) / size
        if np.abs(off).max() <= tolerance_mm and along.min() >= 0 and along.max() <= size:
            return Line(p, q)
    return _arc_through(p, q, inner, near, tolerance_mm) if size > 0.0 else None


def _arc_through(
    p: Point, q: Point, inner: Numbers, near: Numbers, tolerance_mm: float
) -> Arc | None:
    """Return the arc between two points that keeps near the places between them."""
    import numpy as np

    a, b = inner - np.array(p), inner - np.array(q)
    # By the inscribed angle: the chord seen from the arc subtends half a turn less half the sweep.
    seen = np.arctan2(b[:, 0] * a[:, 1] - b[:, 1] * a[:, 0], (a * b).sum(axis=1))
    half = np.where(seen > 0, np.pi - seen, -np.pi - seen)
    bulge = math.tan(float(np.median(half)) / 2.0)
    if abs(bulge) < 1e-6 or abs(bulge) > 1.6:
        return None
    arc = Arc(p, q, bulge)
    c, r = np.array(arc.centre), arc.radius
    if np.abs(np.hypot(*(near - c).T) - r).max() > tolerance_mm:
        return None
    # The points must run along the arc one after another, not to and fro.
    out = inner - c
    first = np.array(p) - c
    turned = np.arctan2(first[0] * out[:, 1] - first[1] * out[:, 0], out @ first)
    turned = np.mod(turned * np.sign(bulge), math.tau)
    ordered = bool(np.all(np.diff(turned) > 0)) and turned[-1] < abs(arc.sweep)
    return arc if ordered else None


def merged(contour: Contour, tolerance_mm: float = SAME_MM) -> Contour:
    """Return a contour with neighbours that are one line, circle or cubic made one segment.

    The result stays within ``tolerance_mm``.  Arcs are not joined beyond three
    quarters of a turn.
    """
    done: list[Segment] = []
    before: Segment | None = None
    apart = _turn_clearly(contour.segments, tolerance_mm)
    for segment, turns in zip(contour.segments, apart, strict=True):
        # What has been joined already is no longer the segment that was looked at.
        may_join = done and not (turns and done[-1] is before)
        joined = as_one(done[-1], segment, tolerance_mm) if may_join else None
        before = segment
        if joined is None:
            done.append(segment)
        else:
            done[-1] = joined
    while contour.closed and len(done) > 2:
        joined = as_one(done[-1], done[0], tolerance_mm)
        if joined is None:
            break
        done = [joined, *done[1:-1]]
    return Contour(tuple(done), contour.closed)


def _turn_clearly(segments: Sequence[Segment], tolerance_mm: float) -> list[bool]:
    """Return for each segment whether the one before it and it are two lines that never join."""
    if len(segments) < MANY:
        return [False] * len(segments)
    import numpy as np

    p, q = numbers_of([s.start for s in segments]), numbers_of([s.end for s in segments])
    straight = np.array([isinstance(s, Line) for s in segments])
    whole, first = q - np.roll(p, 1, axis=0), np.roll(q - p, 1, axis=0)
    off = np.abs(whole[:, 0] * first[:, 1] - whole[:, 1] * first[:, 0])
    clear = off > 2.0 * tolerance_mm * np.hypot(*whole.T)
    found: list[bool] = (clear & straight & np.roll(straight, 1)).tolist()
    return found


def as_one(one: Segment, other: Segment, tolerance_mm: float = SAME_MM) -> Segment | None:
    """Return the one segment that two neighbours make together, or None."""
    if isinstance(one, Line) and isinstance(other, Line):
        return _one_line(one, other, tolerance_mm)
    if isinstance(one, Arc) and isinstance(other, Arc):
        return _one_arc(one, other, tolerance_mm)
    if isinstance(one, Cubic) and isinstance(other, Cubic):
        return _one_cubic(one, other, tolerance_mm)
    return None


def _one_line(one: Line, other: Line, tolerance_mm: float) -> Line | None:
    """Join two lines when the joint lies on the line between their far ends, and between them."""
    dx, dy = other.end.x - one.start.x, other.end.y - one.start.y
    size = math.hypot(dx, dy)
    if size == 0.0:
        return None
    jx, jy = one.end.x - one.start.x, one.end.y - one.start.y
    off = abs(dx * jy - dy * jx) / size
    along = (dx * jx + dy * jy) / size
    return Line(one.start, other.end) if off <= tolerance_mm and 0.0 < along < size else None


def _one_arc(one: Arc, other: Arc, tolerance_mm: float) -> Arc | None:
    """Join two arcs when the arc over both passes through the joint and both middles."""
    sweep = one.sweep + other.sweep
    if one.bulge * other.bulge < 0.0 or abs(sweep) > 1.5 * math.pi + 1e-9:
        return None
    if one.start == other.end:
        return None
    whole = Arc(one.start, other.end, math.tan(sweep / 4.0))
    share = one.sweep / sweep
    there = ((share / 2, one.middle), (share, one.end), ((1 + share) / 2, other.middle))
    if all(math.dist(point_on(whole, t), p) <= tolerance_mm for t, p in there):
        return whole
    return None


def _one_cubic(one: Cubic, other: Cubic, tolerance_mm: float) -> Cubic | None:
    """Join two cubics when they are the two pieces of one, split where their handles say."""
    before, after = math.dist(one.control2, one.end), math.dist(other.start, other.control1)
    if before <= 0.0 or after <= 0.0:
        return None
    share = before / (before + after)
    p, q = one.start, other.end
    a = Point(p.x + (one.control1.x - p.x) / share, p.y + (one.control1.y - p.y) / share)
    rest = 1.0 - share
    b = Point(q.x + (other.control2.x - q.x) / rest, q.y + (other.control2.y - q.y) / rest)
    whole = Cubic(p, a, b, q)
    pairs = [(share * t, point_on(one, t)) for t in (0.25, 0.5, 0.75, 1.0)]
    pairs += [(share + rest * t, point_on(other, t)) for t in (0.25, 0.5, 0.75)]
    if all(math.dist(point_on(whole, t), p) <= tolerance_mm for t, p in pairs):
        return whole
    return None
