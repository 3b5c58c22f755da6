"""Filling of sheets against a plain search through all places, cell by cell."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from functools import cache
from math import ceil

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from livery.make.nest.cell_mask import CellShape, cells_of
from livery.make.nest.nest_fill import Filler, GridSpot, _Filling, kinds_of

CELL = 1.0
WEDGE = shapely.Polygon([(0, 0), (9, 0), (0, 5)])
ELL = shapely.Polygon([(0, 0), (7, 0), (7, 2), (2, 2), (2, 6), (0, 6)])
BODIES = [
    [WEDGE, affinity.rotate(WEDGE, 180, origin=(4.5, 2.5))],
    [ELL],
    [shapely.box(0, 0, 4, 3), shapely.box(0, 0, 3, 4)],
    [shapely.box(0, 0, 2.5, 11.2)],
    [ELL],
]


@cache
def cells(body: int, turn: int, off: float) -> list[tuple[int, int]]:
    """The cells within a distance of a body in a turn, by their places from its corner."""
    pad = round(-(-off // CELL))
    shape = BODIES[body][turn]
    wide = shape.buffer(off, quad_segs=32) if off else shape
    runs = cells_of(affinity.translate(wide, pad * CELL, pad * CELL), CELL).runs
    return [(c - pad, r + i - pad) for c, r, count in runs for i in range(count)]


def first_free(
    body: int, turn: int, taken: set[tuple[int, int]], width: float, length: float
) -> tuple[int, int, int, int] | None:
    """The place of a body furthest left, then lowest: its end, column, row and turn."""
    wide, high = BODIES[body][turn].bounds[2:]
    for column in range(int((length - wide) / CELL) + 1):
        for row in range(int((width - high) / CELL) + 1):
            if all((c + column, r + row) not in taken for c, r in cells(body, turn, 0.0)):
                return column + ceil(wide / CELL), column, row, turn
    return None


def plain_fill(
    order: Sequence[int], width: float, length: float | None, spacing: float
) -> list[GridSpot]:
    """Each body in turn on the first sheet that takes it, where it ends first."""
    sheets: list[set[tuple[int, int]]] = []
    found = []
    for body in order:
        for sheet in itertools.count():
            if sheet == len(sheets):
                sheets.append(set())
            turns = range(len(BODIES[body]))
            tried = [first_free(body, t, sheets[sheet], width, length or 99.0) for t in turns]
            if places := [place for place in tried if place is not None]:
                _, column, row, turn = min(places)
                found.append(GridSpot(sheet, body, turn, column, row))
                sheets[sheet] |= {(c + column, r + row) for c, r in cells(body, turn, spacing)}
                break
    return sorted(found, key=lambda spot: spot.sheet)


@settings(max_examples=12, deadline=None)
@given(
    st.lists(st.sampled_from(range(len(BODIES))), min_size=1, max_size=12),
    st.sampled_from([11.2, 14.0, 17.5]),
    st.sampled_from([None, 19.0, 9.0]),
    st.sampled_from([1.0, 1.6]),
)
def test_each_body_lies_where_a_plain_search_puts_it(
    order: list[int], width: float, length: float | None, spacing: float
) -> None:
    filler = Filler(BODIES, width, length, spacing, CELL)
    plain = plain_fill(order, width, length, spacing)
    assert filler.fill(order) == plain
    changed = [*order[:-2], *reversed(order[-2:])]
    most = filler.measure(plain)
    ends = [s.column + filler.shapes[s.body][s.turn].columns for s in plain]
    last = plain[-1].sheet
    assert most[0] == last
    assert most[1] == max(e for e, s in zip(ends, plain, strict=True) if s.sheet == last)
    assert most[2] == sum(ends)
    other = plain_fill(changed, width, length, spacing)
    is_more = (other[-1].sheet, filler.measure(other)[1]) > most[:2]
    assert filler.fill(changed, most) == ([] if is_more else other)
    # From any stage of an order that begins alike it goes on as if filled anew.
    stages = [_Filling()]
    filler.fill(order, None, stages)
    begun = [one for one in stages if one.tried <= max(0, len(order) - 2)]
    assert filler.fill(changed, None, begun) == other


def size(body: int) -> tuple[int, int]:
    shape = cells_of(BODIES[body][0], CELL)
    return shape.columns, shape.rows


RANKS: tuple[Callable[[int], float], ...] = (
    lambda body: BODIES[body][0].area,
    lambda body: max(size(body)),
    lambda body: size(body)[0] * size(body)[1],
    lambda body: sum(size(body)),
    lambda body: size(body)[1],
)


@settings(max_examples=20, deadline=None)
@given(
    st.lists(st.sampled_from(range(len(BODIES))), min_size=4, max_size=10),
    st.sampled_from([11.2, 14.0, 17.5]),
    st.sampled_from([None, 19.0]),
)
def test_the_search_begins_with_the_best_of_five_orders(
    order: list[int], width: float, length: float | None
) -> None:
    filler = Filler(BODIES, width, length, 1.0, CELL)
    ranked = [sorted(order, key=lambda b, r=rank: (-r(b), b)) for rank in RANKS]
    best = min(filler.measure(filler.fill(own))[:2] for own in ranked)
    found = filler.search(order, 12)
    assert filler.measure(found)[:2] <= best
    assert sorted(spot.body for spot in found) == sorted(order)
    assert filler.search(order, 0) == filler.fill(ranked[0])  # with no tries, the largest first


def test_a_body_just_as_long_and_wide_as_the_media_has_room_on_it() -> None:
    """Also where the last bits of a difference make it a little less than whole cells."""
    one = shapely.box(0.0, 0.0, 0.1, 0.1)
    assert 0.3 - 0.1 < 0.2
    for wide, long, room in ((0.3, 0.1, (1, 3)), (0.1, 0.3, (3, 1)), (0.3, None, (None, 3))):
        assert Filler([[one]], wide, long, 0.0, 0.1)._room_for(one) == room


def test_exchanging_bodies_makes_a_filling_shorter() -> None:
    order = [0, 1, 2, 3] * 3
    filler = Filler(BODIES, 14.0, None, 1.0, CELL)
    ends = [filler.measure(filler.search(order, tries))[1] for tries in (1, 60)]
    assert ends[1] < ends[0]


def test_bodies_are_first_ranked_by_five_sizes() -> None:
    ranks = [rank(CellShape(5, 3, ()), 7.0) for rank in Filler._keys()]
    assert ranks == [7.0, 5, 15, 8, 3]


def test_bodies_of_one_shape_are_one_kind() -> None:
    assert kinds_of(BODIES) == [0, 1, 2, 3, 1]
