"""A path that runs smoothly through points, and the way along a path to a place on it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from livery.geometry.outline import Contour, Cubic, Point
from livery.geometry.segments import length_to, nearest_parameter, point_on, segment_length


def smooth_path(points: Sequence[Point], leave: float | None, arrive: float | None) -> Contour:
    """Return the curve through points whose bend changes without a jump.

    A cubic spline over the chords' running length; an end without a direction of its
    own runs out straight.
    """
    import numpy as np
    from scipy.interpolate import CubicSpline

    places = np.array(points, dtype=float)
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))))
    ends = [(2, np.zeros(2)) if angle is None else (1, _unit(angle)) for angle in (leave, arrive)]
    spline = CubicSpline(run, places, bc_type=(ends[0], ends[1]))
    slopes = spline(run, 1)
    cubics = []
    for i in range(len(points) - 1):
        third = (run[i + 1] - run[i]) / 3.0
        c1, c2 = places[i] + slopes[i] * third, places[i + 1] - slopes[i + 1] * third
        cubics.append(
            Cubic(points[i], Point(*map(float, c1)), Point(*map(float, c2)), points[i + 1])
        )
    return Contour(tuple(cubics), closed=False)


def _unit(angle_deg: float) -> tuple[float, float]:
    return (math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg)))


def way_along(path: Contour, point: Point) -> float:
    """Return how far along a path its nearest place to a point is."""
    found: list[tuple[float, float]] = []
    run = 0.0
    for segment in path.segments:
        t = nearest_parameter(segment, point)
        found.append((math.dist(point_on(segment, t), point), run + length_to(segment, t)))
        run += segment_length(segment)
    return min(found)[1]
