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

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Run = tuple[int, int, int]
"""A column, its first filled row and how many follow, itself counted."""
Block = tuple[int, int, int, int]
"""A column, how many follow, itself counted, the first filled row and how many follow, in the same way."""


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


def cells_of(shape: BaseGeometry, cell_mm: float) -> CellShape:
    """Return the cells touched by ``shape``, whose bounds must begin at the origin."""
    import numpy as np
    import shapely

    width, height = shape.bounds[2:]
    columns = max(1, math.ceil(width / cell_mm - 1e-9))
    rows = max(1, math.ceil(height / cell_mm - 1e-9))
    lefts = np.arange(columns) * cell_mm
    floors, tops = np.full(columns, -1.0), np.full(columns, height + 1.0)
    boxes = shapely.box(lefts, floors, lefts + cell_mm, tops)
    # Clipping is quick, but leaves out what only touches a box: there the sides need an overlay.
    corners = np.sort(shapely.get_coordinates(shape)[:, 0])
    sides = np.arange(columns + 1) * cell_mm
    on_side = np.diff(np.searchsorted(corners, [sides - 1e-9, sides + 1e-9]), axis=0)[0] > 0
    touched = on_side[:-1] | on_side[1:]
    slices = np.empty(columns, object)
    slices[touched] = shapely.intersection(boxes[touched], shape)
    for i in np.flatnonzero(~touched):
        slices[i] = shapely.clip_by_rect(shape, *boxes[i].bounds)
    parts, owners = shapely.get_parts(slices, return_index=True)
    parts, owners = parts[~shapely.is_empty(parts)], owners[~shapely.is_empty(parts)]
    bounds = shapely.bounds(parts)
    firsts = np.clip(np.floor(bounds[:, 1] / cell_mm + 1e-9), 0, rows - 1).astype(int)
    lasts = np.clip(np.ceil(bounds[:, 3] / cell_mm - 1e-9), firsts + 1, rows).astype(int)
    filled: list[Run] = []
    for column, first, last in sorted(
        zip(owners.tolist(), firsts.tolist(), lasts.tolist(), strict=True)
    ):
        if filled and filled[-1][0] == column and first <= filled[-1][1] + filled[-1][2]:
            _, start, count = filled.pop()
            filled.append((column, start, max(start + count, last) - start))
        else:
            filled.append((column, first, last - first))
    return CellShape(columns, rows, tuple(filled))


def meeting_places(fixed: CellShape, moving: CellShape, stride: int) -> tuple[int, int]:
    """Return the offsets at which ``moving`` would meet ``fixed``, as a mask and its origin.

    Bit ``origin + i * stride + j`` of the mask is set where moving the second shape
    by i columns and j rows from the first's corner makes them share a cell.
    ``stride`` is whole bytes and takes the rows of both shapes together.
    """
    # Worked out on a grid just high enough for both, then set out on the wide one.
    narrow = whole_bytes(fixed.rows + moving.rows + 1)
    blocks = moving.blocks
    # reach[k] holds the cells from which a run of 2^k cells upward meets the fixed shape.
    reach = [fixed.bits(narrow) << (moving.columns * narrow + moving.rows)]
    _double(reach, max((count for _, _, _, count in blocks), default=1), 1)
    mask = 0
    across: dict[int, list[int]] = {}
    for column, wide, row, count in blocks:
        k = count.bit_length() - 1
        for up in {row, row + count - (1 << k)}:
            # The same once more to the side: from how many columns, 2^n of them, it is met.
            levels = across.setdefault(k, [reach[k]])
            _double(levels, wide, narrow)
            n = wide.bit_length() - 1
            for right in {column, column + wide - (1 << n)}:
                mask |= levels[n] >> (right * narrow + up)
    columns = fixed.columns + moving.columns
    packed = mask.to_bytes(columns * narrow // 8, "little")
    return _set_out(packed, columns, stride), moving.columns * stride + moving.rows


def _double(levels: list[int], longest: int, places: int) -> None:
    """Add to ``levels``, each joined with itself moved, until one of them stands for ``longest``."""
    while 1 << len(levels) <= longest:
        levels.append(levels[-1] | levels[-1] >> (places << (len(levels) - 1)))


def _set_out(packed: bytes, columns: int, stride: int) -> int:
    """Return a mask of packed columns, set out on a grid of ``stride`` rows."""
    import numpy as np

    high = len(packed) // columns
    wide = np.zeros((columns, stride // 8), np.uint8)
    wide[:, :high] = np.frombuffer(packed, np.uint8).reshape(columns, high)
    return int.from_bytes(wide.tobytes(), "little")


def whole_bytes(bits: int) -> int:
    """Return a number of bits rounded up to whole bytes."""
    return -(-bits // 8) * 8
