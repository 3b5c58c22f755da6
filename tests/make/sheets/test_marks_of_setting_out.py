"""Corners, chains of datums, tables of gores and the key of coats, each by hand from a small shape."""

from __future__ import annotations

import math
from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

import pytest
import shapely
from fontTools.misc.transform import Identity

from livery.drawing import Area, Label, Stroke
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, chain
from livery.make.sheets.arc_table import _plain_runs, offsets_of
from livery.make.sheets.coat_sheet import _key
from livery.make.sheets.corner_letters import corner_marks
from livery.make.sheets.corner_places import (
    END,
    CornerGroup,
    CornerPlace,
    _end_of,
    _inward,
    corners_round,
)
from livery.make.sheets.curve_tables import _on_gores
from livery.make.sheets.datum_chain import datum_gaps, figure_places


def size(mm: float, name: str = "") -> Any:
    return SimpleNamespace(mm=mm, name=name)


def test_a_chain_goes_from_end_to_end_by_the_named_datums() -> None:
    sizes = [size(5.0), size(25.0, "waist"), size(60.0), size(105.0)]
    gaps = datum_gaps(sizes, ("left end", "right end"))
    assert [gap.words for gap in gaps] == [
        "left end to waist  20.0",
        "waist to right end  80.0",
    ]
    # A figure stands in the widest part that no size parts.
    assert figure_places(gaps, sizes, 1.0, 1.9) == [15.0, 82.5]
    assert datum_gaps([size(5.0), size(25.0), size(60.0, "end")], ("a", "b")) == ()


def test_letters_of_the_panels_own_corners_stand_outside_it() -> None:
    ways = []

    class Free:
        def pointed(
            self, words: str, high: float, at: Point, way: float, ink: str
        ) -> Iterator[Any]:
            ways.append((words, at, way))
            yield from ()

    corner = CornerPlace("A", Point(3.0, 4.0), Point(1.0, 2.0))
    groups = [
        CornerGroup("panel", (corner,), is_rectangle=True, not_listed=0),
        CornerGroup("line", (CornerPlace("B", *corner_of(corner)),), False, 0),
    ]
    assert not list(corner_marks(groups, Identity, Free()))  # type: ignore[arg-type]
    assert ways == [
        ("A", Point(3.0, 4.0), math.atan2(-2.0, -1.0)),
        ("B", Point(3.0, 4.0), math.atan2(2.0, 1.0)),
    ]


def corner_of(corner: CornerPlace) -> tuple[Point, Point]:
    return corner.at, corner.inward


def test_only_the_corner_that_is_rounded_is_said_to_be() -> None:
    sides = chain([Point(*p) for p in ((25, 20), (0, 20), (0, 0), (30, 0), (30, 15))], closed=False)
    arc = Arc(Point(30.0, 15.0), Point(25.0, 20.0), math.tan(math.pi / 8))
    found = corners_round(Outline((Contour((*sides.segments, arc)),)))
    assert [bool(corner.worked) for corner in found] == [
        math.dist(corner.at, (30.0, 20.0)) < 1e-9 for corner in found
    ]
    assert len(found) == 4 and sum(corner.worked.endswith(" 5.0") for corner in found) == 1


def test_a_way_into_a_corner_is_half_way_between_its_sides() -> None:
    into = _inward(Line(Point(0, 0), Point(3, 4)), Line(Point(3, 4), Point(-1, 7)))
    assert into == pytest.approx((-1.4, -0.2))
    cusp = _inward(Line(Point(0, 0), Point(5, 0)), Line(Point(5, 0), Point(2, 4)))
    assert cusp == pytest.approx((-1.6, 0.8))
    end = _end_of(
        CornerPlace("", Point(0, 0), Point(1, 2)), CornerPlace("", Point(4, 6), Point(3, 5))
    )
    assert end == CornerPlace("", Point(2.0, 3.0), Point(4, 7), END)


def test_a_line_crosses_the_edges_and_the_middle_of_its_gore() -> None:
    slanted = Outline((chain([Point(*p) for p in ((1, 0), (11, 2), (11, 5), (1, 4))]),))
    gores = [Bounds(-20, 0, -9, 9), Bounds(0, 0, 12, 9)]
    found = list(_on_gores(SimpleNamespace(outline=slanted), gores))  # type: ignore[arg-type]
    assert found == [(2, "left 0.00 to 4.00, middle 1.00 to 4.50, right 2.00 to 5.00")]
    short = Outline((chain([Point(*p) for p in ((7, 0), (11, 2), (11, 5), (7, 4))]),))
    found = list(_on_gores(SimpleNamespace(outline=short), gores))  # type: ignore[arg-type]
    assert found == [(2, "left 0.00 to 4.00, right 2.00 to 5.00")]  # it ends beside the middle


def test_the_words_of_the_key_stand_beside_what_they_name() -> None:
    marks = list(_key())
    lefts = [
        box.left
        for mark in marks
        if isinstance(mark, Area)
        for box in [bounds(mark.outline)]
        if box.width == pytest.approx(7.0) and box.bottom == 0.0
    ]
    line = next(m.contour for m in reversed(marks) if isinstance(m, Stroke))
    assert line.end.x - line.start.x == pytest.approx(7.0) and line.start.x > lefts[-1]
    words = [mark.at.x for mark in marks if isinstance(mark, Label)]
    assert words == pytest.approx([left + 8.4 for left in (*lefts, line.start.x)])


def test_a_curve_has_the_same_stations_wherever_it_lies() -> None:
    def rows(at: float) -> list[float]:
        line = Line(Point(at, 0.0), Point(at + 230.0, 0.5))
        return [s - at for s, _ in offsets_of(Outline((Contour((line,), closed=False),))).rows]

    assert rows(1000.0) == pytest.approx(rows(0.0))


@pytest.mark.parametrize("across", [True, False])
def test_an_edge_is_parted_at_corners_and_where_it_turns_back(*, across: bool) -> None:
    def runs(*steps: tuple[float, float]) -> list[list[list[float]]]:
        x, y, places = 0.0, 0.0, [(0.0, 0.0)]
        for dx, dy in steps:
            x, y = x + dx, y + dy
            places.append((x, y))
        line = shapely.LineString([p if across else p[::-1] for p in places])
        return [run.tolist() for run in _plain_runs(line, across=across)]

    assert runs((10, 1), (10, -1), (-5, -8), (-10, -1)) == [
        [[0, 0], [10, 1], [20, 0]],
        [[15, -8], [20, 0]],
        [[5, -9], [15, -8]],
    ]
    assert runs((1, 10), (-1, 10), (-2, 10), (-3, 10)) == [
        [[0, 0], [1, 10]],
        [[-5, 40], [-2, 30], [0, 20], [1, 10]],
    ]
    assert runs((0, 10), (-1, 10)) == [[[-1, 20], [0, 10], [0, 0]]]
