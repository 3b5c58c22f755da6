"""What is still free on a crowded sheet, kept cell by cell, so that words find room anywhere on it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from livery.geometry.measure import Bounds
from livery.make.nest.cell_mask import cells_of
from livery.rounding import on_grid

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

CELL_MM = 0.5
"""The side of a cell, in millimetres (chosen: a quarter of the least height of words). Larger, and
narrow room is not found; smaller only takes time."""

FARTHEST_MM = 150.0
"""How far off a shape room is looked for, in millimetres (chosen: a line so long is still
followed). Smaller, and words on a full sheet find none."""

MOST_TRIED = 200
"""How many of the nearest rooms are given (chosen: the lines to some run through other words). More
only take time."""


class FreeRoom:
    """The cells of a sheet ``within`` some bounds, and which of them are taken."""

    def __init__(self, within: Bounds) -> None:
        import numpy as np

        self._left, self._bottom = within.left, within.bottom
        columns = max(0, math.floor(within.width / CELL_MM + 1e-6))
        rows = max(0, math.floor(within.height / CELL_MM + 1e-6))
        self._taken: Any = np.zeros((columns, rows), bool)

    def take(self, shape: BaseGeometry, clear_mm: float) -> None:
        """Take every cell that is nearer to a shape than ``clear_mm``."""
        from shapely import affinity

        wide = shape.buffer(clear_mm)
        left, bottom = wide.bounds[0] - self._left, wide.bounds[1] - self._bottom
        column, row = math.floor(left / CELL_MM), math.floor(bottom / CELL_MM)
        x, y = self._left + column * CELL_MM, self._bottom + row * CELL_MM
        for i, first, count in cells_of(affinity.translate(wide, -x, -y), CELL_MM).runs:
            if 0 <= column + i < len(self._taken):
                low = max(0, row + first)
                self._taken[column + i, low : max(low, row + first + count)] = True

    def nearest(self, wide: float, high: float, to: BaseGeometry) -> Iterator[Polygon]:
        """Yield boxes of this size that are free, those nearest to the box round a shape first."""
        import numpy as np
        import shapely

        across, up = math.ceil(wide / CELL_MM - 1e-6), math.ceil(high / CELL_MM - 1e-6)
        columns, rows = self._taken.shape
        if across > columns or up > rows:
            return
        sums = np.pad(self._taken.cumsum(axis=0, dtype=np.int64).cumsum(axis=1), ((1, 0), (1, 0)))
        taken = (
            sums[across:, up:] - sums[:-across, up:] - sums[across:, :-up] + sums[:-across, :-up]
        )
        i, j = np.nonzero(taken == 0)
        x, y = self._left + i * CELL_MM, self._bottom + j * CELL_MM
        x0, y0, x1, y1 = to.bounds
        right = np.maximum(np.maximum(x0 - x - wide, x - x1), 0.0)
        over = np.maximum(np.maximum(y0 - y - high, y - y1), 0.0)
        away = on_grid(right * right + over * over)
        for n in np.argsort(away, kind="stable")[:MOST_TRIED].tolist():
            if away[n] <= FARTHEST_MM * FARTHEST_MM:
                yield shapely.box(x[n], y[n], x[n] + wide, y[n] + high)
