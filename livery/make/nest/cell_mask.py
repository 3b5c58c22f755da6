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
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Run = tuple[int, int, int]
"""A column, its first filled row and how many follow, itself counted."""


@dataclass(frozen=True, slots=True)
class CellShape:
    """The cells a shape touches, its lower left corner at the origin: size and runs by column."""

    columns: int
    rows: int
    runs: tuple[Run, ...]

    def bits(self, stride: int) -> int:
        """Return the mask of the shape on a grid of ``stride`` rows."""
        mask = 0
        for column, row, count in self.runs:
            mask |= ((1 << count) - 1) << (column * stride + row)
        return mask


def cells_of(shape: BaseGeometry, cell_mm: float) -> CellShape:
    """Return the cells touched by ``shape``, whose bounds must begin at the origin."""
    import numpy as np
    import shapely

    width, height = shape.bounds[2:]
    columns = max(1, math.ceil(width / cell_mm - 1e-9))
    rows = max(1, math.ceil(height / cell_mm - 1e-9))
    lefts = np.arange(columns) * cell_mm
    floors, tops = np.full(columns, -1.0), np.full(columns, height + 1.0)
    slices = shapely.intersection(shapely.box(lefts, floors, lefts + cell_mm, tops), shape)
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
    longest = max((count for _, _, count in moving.runs), default=1)
    # reach[k] holds the cells from which a run of 2^k cells upward meets the fixed shape.
    reach = [fixed.bits(narrow) << (moving.columns * narrow + moving.rows)]
    while 2 << (len(reach) - 1) <= longest:
        k = len(reach) - 1
        reach.append(reach[k] | reach[k] >> (1 << k))
    mask = 0
    for column, row, count in moving.runs:
        k = count.bit_length() - 1
        at = column * narrow + row
        mask |= reach[k] >> at
        if count > 1 << k:
            mask |= reach[k] >> (at + count - (1 << k))
    wide = _set_out(mask, fixed.columns + moving.columns, narrow // 8, stride // 8)
    return wide, moving.columns * stride + moving.rows


def _set_out(mask: int, columns: int, narrow: int, wide: int) -> int:
    """Return a mask with its columns, ``narrow`` bytes each, set out ``wide`` bytes apart."""
    packed = mask.to_bytes(columns * narrow, "little")
    pad = bytes(wide - narrow)
    return int.from_bytes(
        b"".join(packed[i : i + narrow] + pad for i in range(0, len(packed), narrow)), "little"
    )


def whole_bytes(bits: int) -> int:
    """Return a number of bits rounded up to whole bytes."""
    return -(-bits // 8) * 8


def shifted(mask: int, places: int) -> int:
    """Return a mask moved up by ``places`` bits, down if negative; what falls below 0 is lost."""
    return mask << places if places >= 0 else mask >> -places
