"""Masks of cells against plain sets of cells."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from livery.make.nest.cell_mask import CellShape, Run, cells_of, meeting_places, whole_bytes


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


@st.composite
def plates(draw: st.DrawFn) -> shapely.Geometry:
    """Boxes and discs joined, or with one cut out: sides on the grid, holes and parts apart."""
    tenths = st.integers(0, 60)
    boxes = [
        shapely.box(x, y, x + w, y + h)
        for x, y, w, h in draw(
            st.lists(st.tuples(*[tenths.map(lambda n: n / 10 + 0.1)] * 4), min_size=1, max_size=4)
        )
    ]
    disc = shapely.Point(draw(tenths) / 10, draw(tenths) / 10).buffer(draw(tenths) / 15, 8)
    whole = shapely.union_all(boxes)
    cut = whole.difference(disc) if draw(st.booleans()) else whole.union(disc)
    plate = whole if cut.is_empty else cut
    return affinity.translate(plate, -plate.bounds[0], -plate.bounds[1])


@settings(max_examples=60, deadline=None)
@given(plates(), st.sampled_from([0.5, 0.3, 1.1]))
def test_cells_are_those_a_shape_touches(plate: shapely.Geometry, cell: float) -> None:
    found = cells_of(plate, cell)
    across, up = (grid.ravel() for grid in np.mgrid[0 : found.columns, 0 : found.rows])
    boxes = shapely.box(across * cell, up * cell, (across + 1) * cell, (up + 1) * cell)
    filled = np.array([c in cells(found) for c in zip(across.tolist(), up.tolist(), strict=True)])
    # What a shape is inside of is filled; what is filled, it is at least on the side of.
    assert filled[shapely.area(shapely.intersection(plate, boxes)) > 1e-6].all()
    assert shapely.dwithin(plate, boxes[filled], 1e-6).all()
    assert (found.columns, found.rows) == pytest.approx(
        np.ceil(np.array(plate.bounds[2:]) / cell - 1e-6)
    )


def test_a_side_on_the_grid_is_in_the_column_on_both_sides_of_it_and_in_no_row_beyond() -> None:
    ell = shapely.Polygon([(0, 0), (3, 0), (3, 1), (1, 1), (1, 3), (0, 3)])
    assert (cells_of(ell, 1.0).columns, cells_of(ell, 1.0).rows) == (3, 3)
    assert cells_of(ell, 1.0).runs == ((0, 0, 3), (1, 0, 3), (2, 0, 1))
    hook = shapely.Polygon([(0, 0), (1, 0), (1, 2), (3, 2), (3, 3), (0, 3)])
    assert cells_of(hook, 1.0).runs == ((0, 0, 3), (1, 0, 3), (2, 2, 1))
    for by in (1e-12, -1e-12):
        nudged = shapely.transform(ell, lambda corners, by=by: corners + by * (corners == 1))
        assert cells_of(nudged, 1.0) == cells_of(ell, 1.0)


def test_columns_alike_side_by_side_are_one_block() -> None:
    shape = CellShape(5, 4, tuple((column, 1, 2) for column in (0, 1, 2, 4)))
    assert shape.blocks == ((0, 3, 1, 2), (4, 1, 1, 2))


def test_the_column_that_a_point_at_the_top_touches_is_filled_there() -> None:
    spike = shapely.Polygon([(0, 0), (3, 0), (3, 1), (0.4, 1), (1, 3)])
    assert (1, 2, 1) in cells_of(spike, 1.0).runs
