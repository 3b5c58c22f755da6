"""Regions as bit masks on a square grid, for finding where one shape clears others.

A mask is one Python integer: cell (column i, row j) is bit ``i * stride + j``.
Shifting, joining and testing whole sheets are then single operations on long
integers, and the lowest free bit is the place furthest left, then lowest.
A cell counts as filled if the shape touches it at all, so masks that do not
meet stand for shapes that do not meet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from livery.make.nest.edged_shape import Numbers

    Indices = NDArray[np.intp]

SAME = 1e-9
"""What lies nearer to the side of a cell than this part of a cell is on it (chosen: rounding).
Larger, and parts lie nearer than the spacing; smaller, and a side on the grid takes another cell."""

Run = tuple[int, int, int]
"""A column, its first filled row and how many follow, itself counted."""
Block = tuple[int, int, int, int]
"""A column, how many follow, itself counted, the first filled row and how many follow, in the same way."""
Squares = tuple[int, int, tuple[tuple[int, int], ...]]
"""Blocks of 2^k rows and 2^n columns: k, n and the column and row of each one's corner."""


@dataclass(frozen=True)
class CellShape:
    """The cells a shape touches, its lower left corner at the origin: size and runs by column."""

    columns: int
    rows: int
    runs: tuple[Run, ...]

    def bits(self, stride: int) -> int:
        """Return the mask of the shape on a grid of ``stride`` rows, which are whole bytes."""
        return _set_out(self._packed, self.columns, stride)

    @cached_property
    def _packed(self) -> bytes:
        """The columns one after another, each in as many whole bytes as its rows take."""
        columns = [0] * self.columns
        for column, row, count in self.runs:
            columns[column] |= ((1 << count) - 1) << row
        high = whole_bytes(self.rows) // 8
        return b"".join(column.to_bytes(high, "little") for column in columns)

    @cached_property
    def blocks(self) -> tuple[Block, ...]:
        """The same cells as the fewest blocks, each a run that columns side by side share."""
        found: list[Block] = []
        open_at: dict[tuple[int, int], int] = {}  # where the block of a run stands in ``found``
        for column, row, count in self.runs:
            at = open_at.get((row, count))
            if at is not None and found[at][0] + found[at][1] == column:
                first, wide, _, _ = found[at]
                found[at] = first, wide + 1, row, count
            else:
                open_at[row, count] = len(found)
                found.append((column, 1, row, count))
        return tuple(found)

    @cached_property
    def squares(self) -> tuple[Squares, ...]:
        """The blocks by blocks of 2^k rows and 2^n columns, which may share cells; k, n ascend."""
        found: dict[tuple[int, int], set[tuple[int, int]]] = {}
        for column, wide, row, count in self.blocks:
            k, n = count.bit_length() - 1, wide.bit_length() - 1
            found.setdefault((k, n), set()).update(
                (right, up)
                for right in (column, column + wide - (1 << n))
                for up in (row, row + count - (1 << k))
            )
        return tuple((k, n, tuple(sorted(found[k, n]))) for k, n in sorted(found))


def cells_of(shape: BaseGeometry, cell_mm: float) -> CellShape:
    """Return the cells touched by ``shape``, whose bounds must begin at the origin."""
    width, height = shape.bounds[2:]
    columns = max(1, math.ceil(width / cell_mm - SAME))
    rows = max(1, math.ceil(height / cell_mm - SAME))
    edges = _edges(shape) / cell_mm
    # The last bits must not decide whether a corner lies on the side of a cell.
    x, whole = edges[:, ::2], np.round(edges[:, ::2])
    edges[:, ::2] = np.where(np.abs(x - whole) < SAME, whole, x)
    found = zip(_along_edges(edges, columns), _inside(edges), strict=True)
    column, low, high = (np.concatenate(each) for each in found)
    firsts = np.clip(np.floor(low + SAME), 0, rows - 1).astype(int)
    lasts = np.clip(np.ceil(high - SAME), firsts, rows).astype(int)
    # An edge along the side of a cell is in neither; the shape beside it is.
    column, firsts, lasts = (each[lasts > firsts] for each in (column, firsts, lasts))
    # Each column's rows numbered on from those of the column before, with one between them.
    own = column * (rows + 1)
    order = np.argsort(own + firsts, kind="stable")
    own, firsts, lasts = own[order], (own + firsts)[order], (own + lasts)[order]
    reached = np.maximum.accumulate(lasts)
    starts = np.flatnonzero(np.append(True, firsts[1:] > reached[:-1]))
    ends = np.append(starts[1:], len(order)) - 1
    own, firsts = own[starts], firsts[starts]
    runs = zip((own // (rows + 1)).tolist(), (firsts - own).tolist(),
               (reached[ends] - firsts).tolist(), strict=True)  # fmt: skip
    return CellShape(columns, rows, tuple(runs))


def _edges(shape: BaseGeometry) -> Numbers:
    """Return the edges of a shape by their ends, x0, y0, x1 and y1 (n, 4)."""
    import shapely

    corners, ring = shapely.get_coordinates(
        shapely.get_rings(shapely.get_parts(shape)), return_index=True
    )
    edges: Numbers = np.hstack([corners[:-1], corners[1:]])[ring[:-1] == ring[1:]]
    return edges


def _along_edges(edges: Numbers, columns: int) -> tuple[Indices, Numbers, Numbers]:
    """Return each column that an edge touches, and from where to where up the edge is in it."""
    x0, y0, x1, _ = edges.T
    left, right = np.minimum(x0, x1), np.maximum(x0, x1)
    first = np.clip(np.ceil(left) - 1, 0, columns - 1).astype(int)
    last = np.clip(np.floor(right), 0, columns - 1).astype(int)
    edge, column = _every(first, last)
    one, other = (
        _height_at(edges[edge], np.clip(x, left[edge], right[edge])) for x in (column, column + 1)
    )
    one = np.where(x0[edge] == x1[edge], y0[edge], one)  # upright: all of it
    return column, np.minimum(one, other), np.maximum(one, other)


def _inside(edges: Numbers) -> tuple[Indices, Numbers, Numbers]:
    """Return where the middle lines of columns run inside the shape: column, from and to."""
    x = edges[:, ::2]
    first, last = (np.ceil(side - 0.5).astype(int) for side in (x.min(axis=1), x.max(axis=1)))
    edge, column = _every(first, last - 1)
    height = _height_at(edges[edge], column.astype(float) + 0.5)
    order = np.lexsort((height, column))
    return column[order][::2], height[order][::2], height[order][1::2]


def _every(first: Indices, last: Indices) -> tuple[Indices, Indices]:
    """Return each whole number from each first to its last, and before it whose it is."""
    counts = np.maximum(last - first + 1, 0)
    owner = np.repeat(np.arange(len(counts)), counts)
    return owner, np.arange(len(owner)) + (first - np.cumsum(counts) + counts)[owner]


def _height_at(edges: Numbers, x: Numbers) -> Numbers:
    """Return how high each edge is at its x, which is between its ends."""
    x0, y0, x1, y1 = edges.T
    along = (x - x0) / np.where(x1 == x0, 1.0, x1 - x0)
    height: Numbers = np.where(x == x1, y1, y0 + along * (y1 - y0))
    return height


def meeting_places(fixed: CellShape, moving: CellShape, stride: int) -> tuple[int, int]:
    """Return the offsets at which ``moving`` would meet ``fixed``, as a mask and its origin.

    Bit ``origin + i * stride + j`` of the mask is set where moving the second shape
    by i columns and j rows from the first's corner makes them share a cell.
    ``stride`` is whole bytes and takes the rows of both shapes together.
    """
    # Worked out on a grid just high enough for both, then set out on the wide one.
    narrow = whole_bytes(fixed.rows + moving.rows + 1)
    # The cells from which a run of 2^k cells upward meets the fixed shape, at first of one.
    upward = _Reach(fixed.bits(narrow) << (moving.columns * narrow + moving.rows), 1)
    across: dict[int, _Reach] = {}  # the same once more to the side, by k
    mask = 0
    for k, n, corners in moving.squares:
        if k not in across:
            across[k] = _Reach(upward.over(k), narrow)
        met = across[k].over(n)
        for column, row in corners:
            mask |= met >> (column * narrow + row)
    columns = fixed.columns + moving.columns
    packed = mask.to_bytes(columns * narrow // 8, "little")
    return _set_out(packed, columns, stride), moving.columns * stride + moving.rows


class _Reach:
    """A mask, and the places from which it is met within 2^n steps of so many bits."""

    def __init__(self, mask: int, step: int) -> None:
        self._mask, self._step, self._doubled = mask, step, 0

    def over(self, n: int) -> int:
        """Return from where one of 2^n steps meets the mask; n never gets less."""
        while self._doubled < n:
            self._mask |= self._mask >> (self._step << self._doubled)
            self._doubled += 1
        return self._mask


def _set_out(packed: bytes, columns: int, stride: int) -> int:
    """Return a mask of packed columns, set out on a grid of ``stride`` rows."""
    high = len(packed) // columns
    wide = np.zeros((columns, stride // 8), np.uint8)
    wide[:, :high] = np.frombuffer(packed, np.uint8).reshape(columns, high)
    return int.from_bytes(wide.tobytes(), "little")


def whole_bytes(bits: int) -> int:
    """Return a number of bits rounded up to whole bytes."""
    return -(-bits // 8) * 8
