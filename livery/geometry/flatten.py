"""Curves turned into points to a stated chord error, and into Shapely's values."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import chain
from typing import TYPE_CHECKING, Any, cast

from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.rings import ring_area

if TYPE_CHECKING:
    import numpy as np
    import shapely
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

CHORD_MM = 0.002
"""Millimetres a flattened edge may be off its chords (chosen: with the fit of parallels, within the
0.005 that is promised). Larger, and topology settles what the curves do not do; smaller is slower."""

_MOST_AT_HAND = 512
"""How many shapes are kept at hand (chosen: those of a vehicle; like vehicles have the same). Fewer,
and they are made again; more only takes memory."""


def steps(segment: Segment, chord_mm: float) -> int:
    """Return how many equal steps of the parameter keep chords within ``chord_mm`` of a segment.

    >>> steps(Line(Point(0, 0), Point(100, 0)), 0.002)
    1
    >>> steps(Arc(Point(0, 0), Point(20, 0), 1.0), 0.002)  # a half circle of 10 mm radius
    79
    """
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
    return [segment.start, *map(Point._make, inner_points(segment, chord_mm).tolist()), segment.end]


def inner_points(segment: Segment, chord_mm: float = CHORD_MM) -> Numbers:
    """Return the points (n, 2) between a segment's ends; none for a line."""
    count = steps(segment, chord_mm)
    if isinstance(segment, Arc) and count > 1:
        return _arc_points(segment, count)
    if isinstance(segment, Cubic) and count > 1:
        return _cubic_points(segment, count)
    return _none()


@lru_cache(maxsize=1)
def _none() -> Numbers:
    import numpy as np

    return np.empty((0, 2))


def _arc_points(arc: Arc, count: int) -> Numbers:
    """Return equally spaced points on an arc, its centre found only once."""
    import numpy as np

    c = arc.centre
    dx, dy = arc.start.x - c.x, arc.start.y - c.y
    cos, sin = _turns(arc.sweep / count, count)
    points = np.empty((count - 1, 2))
    points[:, 0] = c.x + dx * cos - dy * sin
    points[:, 1] = c.y + dx * sin + dy * cos
    return points


@lru_cache(maxsize=256)
def _turns(step: float, count: int) -> tuple[Numbers, Numbers]:
    """Return the cosine and sine of each step on an arc: the same for every corner of a kind.

    By the standard library, as NumPy's differ in the last bit from one processor to another.
    """
    import numpy as np

    turns = [i * step for i in range(1, count)]
    return np.array([math.cos(t) for t in turns]), np.array([math.sin(t) for t in turns])


def _cubic_points(cubic: Cubic, count: int) -> Numbers:
    """Return points on a cubic at equal steps of the parameter."""
    k0, k1, k2, k3 = _weights(count)
    points: Numbers = k0 * cubic.start + k1 * cubic.control1 + k2 * cubic.control2 + k3 * cubic.end
    return points


@lru_cache(maxsize=256)
def _weights(count: int) -> tuple[Numbers, Numbers, Numbers, Numbers]:
    """Return how much each control point of a cubic weighs at each step, each (steps - 1, 1)."""
    import numpy as np

    t = (np.arange(1, count) / count)[:, None]
    u = 1.0 - t
    return u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t


def flatten(contour: Contour, chord_mm: float = CHORD_MM) -> list[Point]:
    """Return points along a contour whose chords stay within ``chord_mm`` of it.

    Every point lies on the contour.  A closed contour's first point is not repeated.
    """
    return list(map(Point._make, flat_numbers(contour, chord_mm).tolist()))


def flat_numbers(contour: Contour, chord_mm: float = CHORD_MM) -> Numbers:
    """Return what :func:`flatten` does, as an array (n, 2)."""
    import numpy as np

    flat: list[float] = []
    for segment in contour.segments:
        flat += segment.start
        if not isinstance(segment, Line):
            flat += inner_points(segment, chord_mm).ravel().tolist()
    if not contour.closed and contour.segments:
        flat += contour.end
    return np.array(flat, dtype=float).reshape(-1, 2)


def numbers_of(points: Sequence[Point]) -> Numbers:
    """Return points as an array (n, 2); much quicker than NumPy reads a list of tuples."""
    import numpy as np

    flat = np.fromiter(chain.from_iterable(points), dtype=float, count=2 * len(points))
    return flat.reshape(-1, 2)


@lru_cache(maxsize=_MOST_AT_HAND)
def to_line_string(contour: Contour, chord_mm: float = CHORD_MM) -> shapely.LineString:
    """Return a contour as Shapely's line string, closed when the contour is."""
    points = flat_numbers(contour, chord_mm)
    return _line_string(points, is_closed=contour.closed)


def _line_string(points: Numbers, *, is_closed: bool = True) -> shapely.LineString:
    """Return points as a line string, quicker than Shapely's class reads a list of them."""
    import numpy as np
    import shapely

    line: Any = shapely.linestrings(np.vstack((points, points[:1])) if is_closed else points)
    return cast("shapely.LineString", line)


def to_shapely(
    outline: Outline | Iterable[Contour], chord_mm: float = CHORD_MM
) -> shapely.Polygon | shapely.MultiPolygon:
    """Return the region of an outline, or of closed contours, as Shapely's valid polygons.

    The fill is nonzero: a place is inside when the contours wind round it at all,
    so crossing and overlapping contours are allowed.

    >>> from livery.geometry.shapes import rectangle
    >>> to_shapely(rectangle(10, 4)).bounds
    (0.0, 0.0, 10.0, 4.0)
    """
    return _region(tuple(outline), chord_mm)


@lru_cache(maxsize=_MOST_AT_HAND)
def _region(
    contours: tuple[Contour, ...], chord_mm: float
) -> shapely.Polygon | shapely.MultiPolygon:
    import shapely

    rings = [flat_numbers(c, chord_mm) for c in contours if c.segments]
    rings = [r for r in rings if len(r) > 2]
    if not rings:
        return shapely.Polygon()
    signed = sum(ring_area(r) for r in rings)
    lines = shapely.multilinestrings([_line_string(r) for r in rings])
    if lines.is_simple:
        area: Any = shapely.build_area(lines)
        # Even-odd and nonzero agree wherever the winding is nothing or one.
        if abs(area.area - abs(signed)) <= 1e-9 * max(1.0, abs(signed)):
            return cast("shapely.Polygon | shapely.MultiPolygon", area)
    from livery.geometry.winding import region

    return region(rings, keep=lambda winding: winding != 0)
