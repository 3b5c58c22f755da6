"""Flat things seen at an angle: the projective map of a plane onto a picture.

Source: Hartley and Zisserman, "Multiple View Geometry in Computer Vision" (2nd ed., 2003),
section 2.3 and algorithm 4.1 (the direct linear transformation; four points are exact).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.science import FloatArray
from livery.findings import fault


def perspective(source: ArrayLike, target: ArrayLike) -> FloatArray:
    """Return the 3 x 3 map that carries four source points (4, 2) onto four target points.

    Raises LiveryError if three of either lie nearly on a line or they are out of order.
    """
    start, end = _checked(source), _checked(target)
    rows = []
    for (x, y), (u, v) in zip(start, end, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y])
    solved = np.linalg.solve(np.array(rows, dtype=np.float64), end.reshape(-1))
    return np.append(solved, 1.0).reshape(3, 3)


def carry_points(matrix: FloatArray, points: ArrayLike) -> FloatArray:
    """Return points (..., 2) carried by a projective map."""
    given = np.asarray(points, dtype=np.float64)
    carried = given @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(carried[..., :2] / carried[..., 2:])


def _checked(points: ArrayLike) -> FloatArray:
    """Return four corners as an array, refusing any that do not go round a convex shape."""
    corners = np.asarray(points, dtype=np.float64)
    sides = np.roll(corners, -1, axis=0) - corners
    following = np.roll(sides, -1, axis=0)
    turns = sides[:, 0] * following[:, 1] - sides[:, 1] * following[:, 0]
    least = 1e-3 * float(np.abs(turns).max())
    if not (np.all(turns > least) or np.all(turns < -least)):
        raise fault(
            "corners-crossed",
            "the four corners do not go round a shape with four corners",
            "Give them in order round it, none of them on the line between its neighbours.",
        )
    return corners
