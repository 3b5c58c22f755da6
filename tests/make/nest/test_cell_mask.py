"""Masks of cells against plain sets of cells."""

from __future__ import annotations

from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from livery.make.nest.cell_mask import CellShape, Run, meeting_places, whole_bytes


@st.composite
def shapes(draw: st.DrawFn) -> CellShape:
    """Shapes with runs of any length, some columns of which are alike and some of which are empty."""
    rows = draw(st.integers(1, 12))
    runs: list[Run] = []
    columns = 0
    for _ in range(draw(st.integers(1, 4))):
        wide = draw(st.integers(1, 9))
        kind = []
        at = draw(st.integers(0, rows - 1))
        while at < rows:
            count = draw(st.integers(1, rows - at))
            kind.append((at, count))
            at += count + draw(st.integers(1, 6))
        runs += [(columns + i, row, count) for i in range(wide) for row, count in kind]
        columns += wide
    return CellShape(columns, rows, tuple(runs))


def cells(shape: CellShape) -> set[tuple[int, int]]:
    return {(c, row + i) for c, row, count in shape.runs for i in range(count)}


@settings(max_examples=40, deadline=None)
@given(shapes(), shapes())
def test_two_shapes_meet_where_they_share_a_cell(fixed: CellShape, moving: CellShape) -> None:
    stride = whole_bytes(fixed.rows + 2 * moving.rows + 3)
    mask, origin = meeting_places(fixed, moving, stride)
    there, own = cells(fixed), cells(moving)
    expected = {(x - u, y - v) for (x, y), (u, v) in product(there, own)}
    found = {
        (i, j)
        for i in range(-moving.columns, fixed.columns + 1)
        for j in range(-moving.rows, fixed.rows + 1)
        if mask >> (origin + i * stride + j) & 1
    }
    assert found == expected
    assert mask.bit_count() == len(expected)


@given(shapes())
def test_blocks_are_the_same_cells(shape: CellShape) -> None:
    held = [
        (x, y)
        for c, wide, r, high in shape.blocks
        for x in range(c, c + wide)
        for y in range(r, r + high)
    ]
    assert len(held) == len(set(held))
    assert set(held) == cells(shape)
    assert sum((1 << (c * 16 + r)) for c, r in held) == shape.bits(16)
