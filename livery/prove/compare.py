"""Where a panel as made differs from its elevation, window by window, in millimetres.

Both are sampled at the same points and without anti-aliasing.  Edges written to 0.001 mm
may fall either side of a sample, so what differs by a single row of samples is let pass; a
difference is counted where two by two neighbours all differ.  Whatever is two and a half
samples wide, at any slope, holds such a square; what is narrower than one never does.  Samples
lie ``PITCH_MM`` apart, so that ``SHOWS_MM`` shows, and closer on a panel with finer lines.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from livery.prove.colours import Codes
from livery.prove.contour import BoundingBox
from livery.prove.raster import Mask, Window

PITCH_MM = 0.1
"""The distance of samples, in millimetres (chosen: two and more across what shows). Larger, and a
thin fault lies between samples."""

SHOWS_MM = 0.25
"""What shows beside its surroundings, in millimetres (chosen: about 1 minute of arc from 0.8 m).
Larger, and faults that are seen pass."""

FINEST_MM = 0.02
"""The least distance of samples, in millimetres (chosen: bounds time and memory). Larger, and
faults of the finest lining pass."""

_CELL = 10
"""Samples along a cell; differences in touching cells are one (chosen: a millimetre). Larger, and
two faults are reported as one."""

_TILE = 100 * _CELL
"""Samples along a tile (chosen: bounds the memory whatever the panel's size). Larger takes more
memory."""


class Difference(NamedTuple):
    """One place where made and meant differ.

    ``where`` is a point in it and ``box`` its bounds, in the panel's millimetres, x from its
    left and y from its foot.
    """

    where: tuple[float, float]
    box: BoundingBox
    area_mm2: float
    made: int
    meant: int


class _DifferingCell(NamedTuple):
    """The differing samples of one cell: their number, bounds in samples, and first pair."""

    row: int
    column: int
    samples: int
    x0: int
    y0: int
    x1: int
    y1: int
    pair: tuple[int, int]


Sampled = Callable[[Window], tuple[Codes, Codes]]
"""Gives a window's samples as made and as meant."""

OnSheet = Callable[[Window], Mask]
"""Gives which samples of a window lie on the panel."""


def pitch_for(narrowest_mm: float) -> float:
    """Return how far apart to sample so that a part as narrow as this shows, if it can be."""
    return min(PITCH_MM, max(FINEST_MM, narrowest_mm * PITCH_MM / SHOWS_MM))


def differences(
    size: BoundingBox, sampled: Sampled, on_sheet: OnSheet, pitch: float = PITCH_MM
) -> tuple[Difference, ...]:
    """Return every difference on a panel of a size, sampled at a pitch, the largest first."""
    cells = [
        cell for tile, at in _tiles(size, pitch) for cell in _cells(tile, at, sampled, on_sheet)
    ]
    groups: dict[int, list[_DifferingCell]] = {}
    for cell, group in zip(cells, _grouped(cells), strict=True):
        groups.setdefault(group, []).append(cell)
    found = [_difference(group, size, pitch) for group in groups.values()]
    return tuple(sorted(found, key=lambda d: (-d.area_mm2, d.where)))


def _tiles(size: BoundingBox, pitch: float) -> Iterator[tuple[Window, tuple[int, int]]]:
    """Yield windows that overlap by a sample, and the row and column each begins at."""
    columns, rows = (int(np.ceil(v / pitch)) for v in (size.width, size.height))
    for row in range(0, rows, _TILE):
        for column in range(0, columns, _TILE):
            yield (
                Window(
                    size.left + column * pitch,
                    size.top - row * pitch,
                    pitch,
                    min(_TILE, columns - column) + 1,
                    min(_TILE, rows - row) + 1,
                ),
                (row, column),
            )


def _cells(
    tile: Window, at: tuple[int, int], sampled: Sampled, on_sheet: OnSheet
) -> Iterator[_DifferingCell]:
    made, meant = sampled(tile)
    core = _squares(made != meant)
    if core.any():
        core = _squares((made != meant) & on_sheet(tile))
    if not core.any():
        return
    high, wide = (-(-n // _CELL) * _CELL for n in core.shape)
    padded = np.zeros((high, wide), bool)
    padded[: core.shape[0], : core.shape[1]] = core
    blocks = padded.reshape(high // _CELL, _CELL, wide // _CELL, _CELL).swapaxes(1, 2)
    for row, column in np.argwhere(blocks.any(axis=(2, 3))):
        ys, xs = np.nonzero(blocks[row, column])
        y, x = int(row) * _CELL + ys, int(column) * _CELL + xs
        yield _DifferingCell(
            at[0] // _CELL + int(row),
            at[1] // _CELL + int(column),
            len(ys),
            at[1] + int(x.min()),
            at[0] + int(y.min()),
            x1=at[1] + int(x.max()),
            y1=at[0] + int(y.max()),
            pair=(int(made[y[0], x[0]]), int(meant[y[0], x[0]])),
        )


def _squares(wrong: Mask) -> Mask:
    """Return the upper left samples of all two by two squares that are wrong throughout."""
    found: Mask = wrong[:-1, :-1] & wrong[1:, :-1] & wrong[:-1, 1:] & wrong[1:, 1:]
    return found


def _grouped(cells: list[_DifferingCell]) -> NDArray[np.int64]:
    """Return the group of each cell: cells that touch, even by a corner, are of one."""
    from scipy.ndimage import label

    if not cells:
        return np.zeros(0, np.int64)
    rows, columns = (np.array([getattr(c, k) for c in cells]) for k in ("row", "column"))
    grid = np.zeros((rows.max() + 1, columns.max() + 1), bool)
    grid[rows, columns] = True
    groups, _ = label(grid, structure=np.ones((3, 3)))
    found: NDArray[np.int64] = groups[rows, columns]
    return found


def _fullest(cells: list[_DifferingCell]) -> _DifferingCell:
    """Return the cell with the most differing samples; of several, that nearest the middle."""
    rows, columns = [c.row for c in cells], [c.column for c in cells]
    y, x = (min(rows) + max(rows)) / 2.0, (min(columns) + max(columns)) / 2.0
    return max(cells, key=lambda c: (c.samples, -((c.row - y) ** 2) - (c.column - x) ** 2))


def _difference(cells: list[_DifferingCell], size: BoundingBox, pitch: float) -> Difference:
    fullest = _fullest(cells)
    pairs: dict[tuple[int, int], int] = {}
    for cell in cells:
        pairs[cell.pair] = pairs.get(cell.pair, 0) + cell.samples
    made, meant = max(pairs, key=pairs.__getitem__)

    def box(x0: int, y0: int, x1: int, y1: int) -> BoundingBox:
        # A square reaches over its sample and the next.
        return BoundingBox(
            size.left + x0 * pitch,
            size.top - (y1 + 2) * pitch,
            size.left + (x1 + 2) * pitch,
            size.top - y0 * pitch,
        )

    best = box(fullest.x0, fullest.y0, fullest.x1, fullest.y1)
    return Difference(
        (round((best.left + best.right) / 2.0, 2), round((best.bottom + best.top) / 2.0, 2)),
        box(
            min(c.x0 for c in cells),
            min(c.y0 for c in cells),
            max(c.x1 for c in cells),
            max(c.y1 for c in cells),
        ),
        sum(c.samples for c in cells) * pitch**2,
        made,
        meant,
    )
