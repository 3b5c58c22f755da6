"""Which corners a setting-out sheet lists, and what it checks from corner to corner."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import count
from pathlib import Path
from types import SimpleNamespace

import pytest

from livery.geometry.outline import Arc, Contour, Outline, Point, chain, translated
from livery.layout.piece import PieceKind
from livery.make.sheets.corner_places import (
    END,
    _lettered,
    corner_groups,
    corners_round,
    line_corners,
)
from livery.make.sheets.marked_sizes import (
    _corners,
    _diagonals,
    _extremes,
    corner_lines,
    diagonal_checks,
    sizes_of,
)
from livery.write.tiles import in_letters
from tests.make.sheets.test_odd_panels import OUT_OF_SQUARE, panel_of


def ring(sides: int, radius: float = 30.0) -> Outline:
    """Return a polygon of so many equal sides, none of them level or upright."""
    turns = [(i + 0.2) * math.tau / sides for i in range(sides)]
    return Outline((chain([Point(radius * math.cos(t), radius * math.sin(t)) for t in turns]),))


@pytest.mark.parametrize(("degrees", "corners"), [(0.95, 4), (1.05, 5)])
def test_a_side_that_bends_by_less_than_a_degree_has_no_corner(
    degrees: float, corners: int
) -> None:
    dip = 50.0 * math.tan(math.radians(degrees) / 2.0)
    bent = [(0, 0), (50, -dip), (100, 0), (100, 60), (0, 60)]
    assert len(corners_round(Outline((chain([Point(*p) for p in bent]),)))) == corners


@pytest.mark.parametrize(("radius", "is_run_on"), [(9.8, True), (10.2, False)])
def test_an_arc_of_more_than_half_its_shape_is_no_rounded_corner(
    radius: float, *, is_run_on: bool
) -> None:
    """A rectangle of 30 by 20 mm with its upper right corner rounded."""
    corners = [(30 - radius, 20), (0, 20), (0, 0), (30, 0), (30, 20 - radius)]
    sides = chain([Point(*p) for p in corners], closed=False).segments
    arc = Arc(sides[-1].end, sides[0].start, math.tan(math.pi / 8))
    found = corners_round(Outline((Contour((*sides, arc)),)))
    assert any(math.dist(c.at, (30.0, 20.0)) < 1e-9 for c in found) is is_run_on


@pytest.mark.parametrize(("slant", "ends"), [(1.25, 2), (1.35, 0)])
def test_an_end_is_slanted_by_little_or_is_a_side(slant: float, ends: int) -> None:
    """A line 2 mm wide and 400 mm long."""
    over = 2.0 * math.sqrt(slant**2 - 1.0)
    strip = chain([Point(0, 0), Point(400, 0), Point(400 + over, 2), Point(over, 2)])
    assert [c.worked for c in line_corners(Outline((strip,)))].count(END) == ends


def test_a_pointed_end_of_a_line_stands_between_its_outer_corners() -> None:
    strip = chain([Point(*p) for p in ((0, 0), (400, 0), (400, 2), (0, 2), (-0.5, 1))])
    found = line_corners(Outline((strip,)))
    assert sorted((tuple(c.at), c.worked) for c in found) == [((0, 1), END), ((400, 1), END)]


@pytest.mark.parametrize(
    ("line", "outer", "ends"),
    [
        ("0 0, 100 0, 100 80, 98 80, 98 2, 0 2", [(100, 0)], [(0, 1), (99, 80)]),
        ("0 0, 100 0, 100 2, 2 2, 2 80, 0 80", [(0, 0)], [(1, 80), (100, 1)]),
        (
            "0 0, 52 0, 52 80, 102 80, 102 82, 50 82, 50 2, 0 2",
            [(50, 2), (50, 82), (52, 0), (52, 80)],
            [(0, 1), (102, 81)],
        ),
    ],
    ids=["last side up", "first side up", "both edges as long"],
)
def test_a_bent_line_has_the_corners_of_its_longer_edge_between_its_two_ends(
    line: str, outer: list[tuple[float, float]], ends: list[tuple[float, float]]
) -> None:
    nodes = [Point(*map(float, p.split())) for p in line.split(", ")]
    found = line_corners(Outline((chain(nodes),)))
    assert sorted(tuple(c.at) for c in found if not c.worked) == outer
    assert sorted(tuple(c.at) for c in found if c.worked == END) == ends


def test_the_first_64_corners_are_listed_and_the_others_counted() -> None:
    group = _lettered("panel", ring(66), corners_round(ring(66)), map(in_letters, count()))
    assert len(group.corners) == 64
    assert corner_lines([group])[-1] == "panel: 2 more, see the template"


def test_of_shapes_too_many_for_the_sheet_the_corners_are_counted() -> None:
    """The panel has 60 of the 64: a ring of five has no room, one of three still has."""
    fittings = [
        SimpleNamespace(name=f"hatch {n}", outline=ring(n, 10.0), is_slight=False)
        for n in (5, 3, 4)
    ]
    frame = SimpleNamespace(outline=ring(60), parts_alike=False)
    panel = SimpleNamespace(frame=frame, pieces=(), keep_outs=fittings)
    groups = corner_groups(panel)  # type: ignore[arg-type]
    assert [(g.what, len(g.corners), g.not_listed) for g in groups] == [
        ("panel", 60, 0), ("hatch 5", 0, 5), ("hatch 3", 3, 0), ("hatch 4", 0, 4),
    ]  # fmt: skip
    twice = [*groups, replace(groups[1], not_listed=2)]
    assert corner_lines(twice)[-2:] == (
        "hatch 5: 7 more, see the template",
        "hatch 4: 4 more, see the template",
    )


def test_a_lining_in_parts_has_the_corners_of_each() -> None:
    first, second = ring(3, 9.0), ring(3, 4.0)
    frame = SimpleNamespace(outline=ring(8), parts_alike=False)
    both = Outline((*first.contours, *translated(second, 20.0, 0.0).contours))
    for outline, expected in (
        (both, ["panel", "lining 1, part 1", "lining 1, part 2"]),
        (first, ["panel", "lining 1"]),
    ):
        piece = SimpleNamespace(
            kind=PieceKind.LINING, key="panel.side.lining.0", outline=outline, name="line"
        )
        panel = SimpleNamespace(frame=frame, pieces=(piece,), keep_outs=())
        assert [g.what for g in corner_groups(panel)] == expected  # type: ignore[arg-type]


def test_of_many_corners_those_farthest_askew_are_checked() -> None:
    """Of a ring of 16 stretched across, in each quarter the corner that reaches farthest."""
    nodes = [(3.0 * c.at.x, c.at.y) for c in corners_round(ring(16))]
    corners = corners_round(Outline((chain([Point(*p) for p in nodes]),)))
    farthest = {max(nodes, key=lambda p: sx * p[0] + sy * p[1]) for sx in (1, -1) for sy in (1, -1)}
    assert len(farthest) == 4
    assert {tuple(c.at) for c in _extremes(corners)} == farthest


@pytest.mark.parametrize(("sides", "given"), [(8, 8), (9, 0)])
def test_a_shape_of_more_than_eight_corners_has_no_running_sizes(sides: int, given: int) -> None:
    assert len(_corners(ring(sides))) == given


def test_the_six_longest_diagonals_are_given() -> None:
    lines = list(_diagonals(corners_round(ring(8))))
    assert len(lines) == 6
    assert {line.rsplit("  ", 1)[1] for line in lines} == {"60.0", "55.4"}


OPENING = """\
[[panel.side.keep_out]]
called = "hatch"
rectangle = ["%s mm", "60 mm"]
at = ["600 mm", "600 mm"]
"""


@pytest.mark.parametrize(("wide", "is_checked"), [(148, False), (152, True)])
def test_an_opening_under_15_mm_is_not_checked_across(
    tmp_path: Path, wide: int, *, is_checked: bool
) -> None:
    panel = panel_of(tmp_path, OUT_OF_SQUARE, OPENING % wide)
    assert any(line.startswith("hatch  ") for line in diagonal_checks(panel)[1]) is is_checked
    assert len(sizes_of(panel).panel_x) > 2
