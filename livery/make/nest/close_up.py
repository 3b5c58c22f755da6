"""Closing up pieces laid on a grid: each slid left and down until the spacing is used up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

STEP_MM = 0.001
"""Slides are whole numbers of this, in millimetres (chosen: finer than a cutter). Larger, and some
film is lost."""

LEAST_MM = 1e-9
"""Shapes this much nearer than the spacing, in millimetres, are as far apart as it (chosen:
rounding). Larger, and parts lie nearer than the spacing."""


def closing_moves(
    shapes: Sequence[BaseGeometry], spacing_mm: float, reach_mm: float
) -> list[tuple[float, float]]:
    """Return how far to move each shape, no further than ``reach_mm`` a slide.

    The shapes clear each other by ``spacing_mm`` and lie right of x = 0 and above
    y = 0; both stay so.
    """
    now: list[Any] = list(shapes)
    for axis in (0, 1, 0):
        for i in sorted(range(len(now)), key=lambda n: (now[n].bounds[axis], n)):
            now[i] = _moved(now[i], axis, _slide(now, i, axis, spacing_mm, reach_mm))
    return [
        (n.bounds[0] - s.bounds[0], n.bounds[1] - s.bounds[1])
        for n, s in zip(now, shapes, strict=True)
    ]


def _moved(shape: BaseGeometry, axis: int, slide: float) -> BaseGeometry:
    import numpy as np
    import shapely

    move = np.array((-slide, 0.0) if axis == 0 else (0.0, -slide))
    return shapely.transform(shape, lambda corners: corners + move)


def _slide(
    shapes: Sequence[BaseGeometry], i: int, axis: int, spacing: float, reach: float
) -> float:
    """Return the longest slide found for one shape: halving between what clears and what does not."""
    import shapely

    shape = shapes[i]
    most = int(min(reach, shape.bounds[axis]) / STEP_MM)
    if most <= 0:
        return 0.0
    x0, y0, x1, y1 = shape.bounds
    grown = spacing + reach
    room = shapely.box(x0 - grown, y0 - grown, x1 + grown, y1 + grown)
    near = [s for n, s in enumerate(shapes) if n != i and s.intersects(room)]
    for other in near:
        shapely.prepare(other)  # makes each of many measurements a search

    def clears(steps: int) -> bool:
        there = _moved(shape, axis, steps * STEP_MM)
        if spacing == 0.0:
            return not any(shapely.intersection(there, near_).area > 1e-6 for near_ in near)
        return not near or not shapely.dwithin(near, there, spacing - LEAST_MM).any()

    if clears(most):
        return most * STEP_MM
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if clears(middle) else (low, middle)
    return low * STEP_MM
