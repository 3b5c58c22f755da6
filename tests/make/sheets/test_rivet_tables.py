"""Rivets and handrails in tables by their middles, and the names of all keep-outs on the plan."""

from __future__ import annotations

import math
from types import SimpleNamespace

import pytest
from fontTools.misc.transform import Scale

from livery.drawing import Label, Stroke
from livery.geometry.measure import Bounds, bounds
from livery.geometry.offset import stroke
from livery.geometry.outline import Arc, Contour, Outline, Point, chain
from livery.geometry.shapes import circle, rectangle
from livery.layout.plan import Obstacle, PlacedKeepOut
from livery.make.sheets.free_places import FreePlaces
from livery.make.sheets.opening_names import name_marks
from livery.make.sheets.page_flow import PageFlow
from livery.make.sheets.rivet_tables import rail_lines, rail_points, rivet_lines
from livery.make.sheets.setting_out import _block, _cells
from livery.make.sheets.written_columns import cell_stops, written_columns


def keep_out(name: str, outline: Outline, kind: Obstacle, key: str = "a.0") -> PlacedKeepOut:
    return PlacedKeepOut(name, outline, kind, key)


def panel_of(*keep_outs: PlacedKeepOut) -> SimpleNamespace:
    return SimpleNamespace(keep_outs=keep_outs)


def rail(*points: tuple[float, float], name: str = "rail") -> PlacedKeepOut:
    line = chain((Point(*p) for p in points), closed=False)
    return keep_out(name, stroke(line, 3.0, "round", "round"), Obstacle.RAIL, name)


def test_rivets_are_listed_row_by_row() -> None:
    row = [
        keep_out("side", circle(Point(5.0 + 9.5 * i, 4.0), 1.0), Obstacle.RIVET) for i in range(5)
    ]
    single = keep_out("", circle(Point(7.0, 8.0), 1.25), Obstacle.RIVET, "a.1")
    lines = rivet_lines(panel_of(*row, single, rail((0, 0), (9, 0))))
    assert [line.split("\t") for line in lines] == [
        ["row", "rivets", "diameter", "first, across", "up", "last, across", "up", "space"],
        ["side", "5", "2.00", "5.00", "4.00", "43.00", "4.00", "9.50"],
        ["rivets", "1", "2.50", "7.00", "8.00", "7.00", "8.00", ""],
    ]
    assert rivet_lines(panel_of(rail((0, 0), (9, 0)))) == ()


def test_rails_are_listed_by_their_ends_and_bends() -> None:
    straight = rail((60, 20), (10, 20.5), name="upper")
    lines = rail_lines(panel_of(straight))
    assert [line.split("\t") for line in lines] == [
        ["rail", "diameter", "from, across", "up", "to, across", "up"],
        ["upper", "3.00", "10.00", "20.50", "60.00", "20.00"],
    ]
    bent = rail((10, 20), (40, 20), (40, 60), (70, 60))
    assert rail_lines(panel_of(bent))[1].split("\t")[-1] == "40.00, 20.00; 40.00, 60.00"
    ends, bends, radius = rail_points(bent)
    assert [*map(round, [*ends[0], *ends[1]])] == [10, 20, 70, 60] and radius == pytest.approx(1.5)
    assert [*map(round, [*bends[0], *bends[1]])] == [40, 20, 40, 60]


@pytest.mark.parametrize(("apart", "ends"), [(0.018, 1), (0.022, 2)])
def test_the_two_arcs_of_a_round_end_may_have_centres_a_fiftieth_of_a_millimetre_apart(
    apart: float, ends: int
) -> None:
    """Each of the quarters turns by half of what an end does; apart, they are two bends."""
    arcs = [
        Arc(Point(x + 3.0 * a, 3.0 * b), Point(x + 3.0 * c, 3.0 * d), math.tan(math.pi / 8.0))
        for x, (a, b, c, d) in ((9.0, (1, 0, 0, 1)), (9.0 + apart, (0, 1, -1, 0)))
    ]
    outlines = Outline(tuple(Contour((arc,), closed=False) for arc in arcs))
    found, bends, radius = rail_points(keep_out("rail", outlines, Obstacle.RAIL))
    assert (len(found), len(bends)) == ((1, 0) if ends == 1 else (0, 2))
    assert radius == pytest.approx(3.0)


def test_a_rail_bent_back_on_itself_has_two_ends() -> None:
    """It turns by 160 degrees, nearly as far as its round ends do."""
    ends, bends, _ = rail_points(rail((0, 0), (60, 0), (9, 18.6)))
    assert [*map(round, [*ends[0], *ends[1]])] == [0, 0, 9, 19]
    assert [(round(p.x), round(p.y)) for p in bends] == [(60, 0)]


def test_the_cells_of_a_table_stand_below_each_other_flush_right() -> None:
    flow = PageFlow("page", "Page", "A4")
    lines = ("row\tfirst\tlast", "long name\t3.73\t139.48")
    written_columns(flow, lines)
    stops = cell_stops(lines, 2.1)
    labels = [m for m in flow.pages[0] if isinstance(m, Label)]
    xs = [label.at.x for label in labels]
    assert xs[:3] == xs[3:] and xs == sorted(xs[:3]) * 2
    assert [label.anchor.value for label in labels] == ["start", "end", "end"] * 2
    assert stops[0] == 0.0 and xs[1] == pytest.approx(xs[0] - stops[1])


def names_of(*keep_outs: PlacedKeepOut, page: float = 200.0) -> list[Label | Stroke]:
    free = FreePlaces((), Bounds(0.0, 0.0, page, page))
    return list(name_marks(panel_of(*keep_outs), Scale(1.0), free))  # type: ignore[arg-type]


def test_a_name_stands_in_its_opening_or_beside_it_with_a_leader() -> None:
    large = keep_out("window", rectangle(40.0, 30.0, Point(20.0, 20.0)), Obstacle.OPENING)
    (label,) = names_of(large)
    assert isinstance(label, Label) and label.text == "window"
    assert label.at == pytest.approx((40.0, 35.0 - label.height_mm / 2.0))
    rows = (chain((Point(20.0, y), Point(60.0, y)), closed=False) for y in (26, 30.5, 35, 39.5, 44))
    free = FreePlaces([Stroke(row) for row in rows], Bounds(0.0, 0.0, 200.0, 200.0))
    name, line = name_marks(panel_of(large), Scale(1.0), free)  # type: ignore[arg-type]
    assert isinstance(line, Stroke) and isinstance(name, Label)
    assert bounds(Outline((line.contour,))).bottom == pytest.approx(35.0)
    assert names_of(large, page=10.0) == []


@pytest.mark.parametrize("tried", [1, 2, 3, 4])
def test_a_name_is_tried_at_shares_of_its_openings_height_the_middle_first(tried: int) -> None:
    """Lines pass through all places that are tried before, 15 mm apart at least."""
    shares = (0.5, 0.35, 0.65, 0.2, 0.8)
    opening = keep_out("window", rectangle(40.0, 100.0, Point(20.0, 20.0)), Obstacle.OPENING)
    passing = [chain((Point(20.0, y), Point(60.0, y)), closed=False) for y in
               (20.0 + 100.0 * share for share in shares[:tried])]  # fmt: skip
    free = FreePlaces(map(Stroke, passing), Bounds(0.0, 0.0, 200.0, 200.0))
    (name,) = name_marks(panel_of(opening), Scale(1.0), free)  # type: ignore[arg-type]
    assert isinstance(name, Label)
    middle = name.at.y + name.height_mm / 2.0
    assert (name.at.x, middle) == pytest.approx((40.0, 20.0 + 100.0 * shares[tried]))


def test_a_row_of_rivets_is_named_once_at_its_middle_and_what_has_no_name_by_its_kind() -> None:
    row = [keep_out("", circle(Point(30.0 * i, 40.0), 12.0), Obstacle.RIVET) for i in range(1, 6)]
    fitting = keep_out("", rectangle(30.0, 9.0, Point(90.0, 90.0)), Obstacle.FITTING, "a.1")
    labels = [m for m in names_of(*row, fitting) if isinstance(m, Label)]
    assert [label.text for label in labels] == ["fitting", "rivet"]
    assert labels[1].at.x == pytest.approx(90.0)


def test_a_table_under_the_plan_is_one_column_of_rows_in_small_print() -> None:
    lines = ("row\tfirst", "upper\t3.73")
    block = _block("Rivets:", lines, 400.0)
    assert (block.columns, block.most) == ((lines,), 1)
    stops = cell_stops(lines, 1.9)
    first, last = _cells(lines[1].split("\t"), stops, Point(10.0, 50.0))
    assert isinstance(first, Label) and isinstance(last, Label)
    assert (first.at, first.anchor.value) == (Point(10.0, 50.0), "start")
    assert (last.at, last.anchor.value) == (Point(10.0 - stops[1], 50.0), "end")
