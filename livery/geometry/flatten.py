"""Curves turned into points to a stated chord error, and into Shapely's values."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import chain
from typing import TYPE_CHECKING, Any, cast

from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment

if TYPE_CHECKING:
    import numpy as np
    import shapely
    from numpy.typing import NDArray

CHORD_MM = 0.002


def steps(segment: Segment, chord_mm: float) -> int:
    """Return how many equal steps of the parameter keep chords within ``chord_mm`` of a segment."""
    if isinstance(segment, Line):
        return 1
    if isinstance(segment, Arc):
        radius = segment.radius
        if radius <= chord_mm:
            return max(2, math.ceil(abs(segment.sweep) / math.pi * 2))
        # The sagitta of a chord that spans the angle a is r(1 - cos(a/2)).
        return max(1, math.ceil(abs(segment.sweep) / (2 * math.acos(1 - chord_mm / radius)) - 1e-9))
    p, a, b, q = segment.start, segment.control1, segment.control2, segment.end
    # A chord over the step h is within h*h*max|B''|/8, and |B''| <= 6 max of second differences.
    bend = max(
        math.hypot(p.x - 2 * a.x + b.x, p.y - 2 * a.y + b.y),
        math.hypot(a.x - 2 * b.x + q.x, a.y - 2 * b.y + q.y),
    )
    return max(1, math.ceil(math.sqrt(0.75 * bend / chord_mm)))


def points_along(segment: Segment, chord_mm: float = CHORD_MM) -> list[Point]:
    """Return points from a segment's start to its end, both included."""
    count = steps(segment, chord_mm)
    if isinstance(segment, Arc) and count > 1:
        return _arc_points(segment, count)
    if isinstance(segment, Cubic) and count > 1:
        return _cubic_points(segment, count)
    return [segment.start, segment.end]


def _arc_points(arc: Arc, count: int) -> list[Point]:
    """Return equally spaced points on an arc, its centre found only once."""
    c = arc.centre
    dx, dy = arc.start.x - c.x, arc.start.y - c.y
    inner = [
        Point(c.x + dx * cos - dy * sin, c.y + dx * sin + dy * cos)
        for cos, sin in _turns(arc.sweep / count, count)
    ]
    return [arc.start, *inner, arc.end]


@lru_cache(maxsize=256)
def _turns(step: float, count: int) -> tuple[tuple[float, float], ...]:
    """Return the cosine and sine of each step on an arc: the same for every corner of a kind."""
    return tuple((math.cos(i * step), math.sin(i * step)) for i in range(1, count))


def _cubic_points(cubic: Cubic, count: int) -> list[Point]:
    """Return points on a cubic at equal steps of the parameter."""
    (px, py), (ax, ay), (bx, by), (qx, qy) = cubic.start, cubic.control1, cubic.control2, cubic.end
    inner = []
    for i in range(1, count):
        t = i / count
        u = 1.0 - t
        k0, k1, k2, k3 = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        inner.append(
            Point(k0 * px + k1 * ax + k2 * bx + k3 * qx, k0 * py + k1 * ay + k2 * by + k3 * qy)
        )
    return [cubic.start, *inner, cubic.end]


def flatten(contour: Contour, chord_mm: float = CHORD_MM) -> list[Point]:
    """Return points along a contour whose chords stay within ``chord_mm`` of it.

    Every point lies on the contour.  A closed contour's first point is not repeated.
    """
    points: list[Point] = []
    for segment in contour.segments:
        points.extend(points_along(segment, chord_mm)[:-1])
    if not contour.closed and contour.segments:
        points.append(contour.end)
    return points


def numbers_of(points: Sequence[Point]) -> NDArray[np.float64]:
    """Return points as an array (n, 2); much quicker than NumPy reads a list of tuples."""
    import numpy as np

    flat = np.fromiter(chain.from_iterable(points), dtype=float, count=2 * len(points))
    return flat.reshape(-1, 2)


def to_line_string(contour: Contour, chord_mm: float = CHORD_MM) -> shapely.LineString:
    """Return a contour as Shapely's line string, closed when the contour is."""
    import shapely

    points = flatten(contour, chord_mm)
    return shapely.LineString([*points, points[0]] if contour.closed else points)


def to_shapely(
    outline: Outline | Iterable[Contour], chord_mm: float = CHORD_MM
) -> shapely.Polygon | shapely.MultiPolygon:
    """Return the region of an outline, or of closed contours, as Shapely's valid polygons.

    The fill is nonzero: a place is inside when the contours wind round it at all,
    so crossing and overlapping contours are allowed.
    """
    import shapely

    rings = [flatten(c, chord_mm) for c in outline if c.segments]
    rings = [r for r in rings if len(r) > 2]
    if not rings:
        return shapely.Polygon()
    signed = sum(_signed_area(r) for r in rings)
    lines = shapely.MultiLineString([[*r, r[0]] for r in rings])
    if lines.is_simple:
        area: Any = shapely.build_area(lines)
        # Even-odd and nonzero agree wherever the winding is nothing or one.
        if abs(area.area - abs(signed)) <= 1e-9 * max(1.0, abs(signed)):
            return cast("shapely.Polygon | shapely.MultiPolygon", area)
    from livery.geometry.winding import region

    return region(rings, keep=lambda winding: winding != 0)


def _signed_area(ring: list[Point]) -> float:
    """Return the signed area of a ring of points."""
    total = 0.0
    last = ring[-1]
    for p in ring:
        total += last.x * p.y - last.y * p.x
        last = p
    return total / 2.0
