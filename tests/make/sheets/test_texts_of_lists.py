"""The figures of lists in words: film, sizes, lines along a train, offsets of curves."""

from __future__ import annotations

import re
from dataclasses import replace
from types import SimpleNamespace

import pytest

from livery.drawing import Label
from livery.geometry.outline import Contour, Cubic, Line, Outline, Point
from livery.geometry.shapes import rectangle
from livery.layout.plan import SizeRow
from livery.make.coats.coat_schedule import coat_schedule
from livery.make.film.knife import Knife
from livery.make.making import Making
from livery.make.sheets.coat_sheet import coat_text
from livery.make.sheets.curve_tables import _run, curve_tables
from livery.make.sheets.film_list import _kinds, _sheet_lines
from livery.make.sheets.level_line_table import level_line_csv, level_line_text
from livery.make.sheets.page_flow import PageFlow
from livery.make.sheets.size_table import size_text
from livery.vehicles.level_lines import End, FollowedLine, Reach


def test_the_coats_of_a_panel_stand_under_its_name_ruled_as_long(wagon_making: Making) -> None:
    schedule = coat_schedule(wagon_making.coats, wagon_making.model)
    lines = coat_text(schedule, "Trial", ()).split("\n")
    (at,) = (i for i, line in enumerate(lines) if line.startswith("side: "))
    assert lines[at + 1] == "-" * len(lines[at])


@pytest.mark.parametrize(
    ("spares", "words"), [(0, "5 parts"), (1, "4 parts and 1 spare"), (4, "1 part and 4 spares")]
)
def test_spares_are_counted_apart(spares: int, words: str) -> None:
    laid = [SimpleNamespace(is_spare=i < spares) for i in range(5)]
    assert _kinds(laid) == words  # type: ignore[arg-type]


def test_a_sheet_for_a_knife_says_how_it_is_set(wagon_making: Making) -> None:
    (sheet, *_) = wagon_making.sheets
    for loop, words in ((0.0, ""), (2.0, ", loops of 2 mm at sharp corners")):
        knife = Knife(offset_mm=0.25, overcut_mm=0.5, loop_mm=loop)
        *_, last = _sheet_lines(replace(sheet, film=replace(sheet.film, knife=knife)))  # type: ignore[arg-type]
        assert last.strip() == f"knife path for an offset of 0.25 mm, overcut 0.5 mm{words}"


def test_a_line_along_a_train_says_how_far_each_panel_is_below_one_height() -> None:
    reaches = tuple(
        Reach("van", name, "left", End(0.0, high, 0.0), End(500.0, high, 0.0), "")
        for name, high in (("first", 200.0), ("second", 201.0))
    )
    line = FollowedLine("waist", reaches, (), 0.25)
    moves = re.findall(r"first .*?(\S+)$|second .*?(\S+)$", level_line_text([line]), re.M)
    assert moves == [("+0.50", ""), ("", "-0.50")]
    assert [row.split(",")[-1] for row in level_line_csv([line]).split()[-2:]] == ["0.5", "-0.5"]


def test_sizes_end_in_one_line_under_each_other() -> None:
    rows = [
        SizeRow(
            panel=panel,
            what="line",
            prototype="1/2 in",
            at_scale=size,
            as_fitted=size + 0.25,
            key="k",
        )
        for panel, size in (("side", 1.5875), ("end", 12.7))
    ]
    text = size_text(rows)
    lines = text.split("\n")
    assert text.endswith("+0.25\n") and lines[3] == "" and len(lines) == 6
    assert len(lines[2]) == len(lines[4]) == len(lines[0])


def test_a_lining_in_parts_has_the_offsets_of_each_by_strand() -> None:
    def bent(x: float) -> Outline:
        side = Cubic(
            Point(x, 0.0), Point(x + 5.0, 10.0), Point(x + 15.0, 10.0), Point(x + 20.0, 0.0)
        )
        return Outline((Contour((side, Line(side.end, side.start))).reversed(),))

    both = Outline((*bent(0.0).contours, *bent(30.0).contours))
    frame = SimpleNamespace(outline=rectangle(60.0, 20.0), parts_alike=False)
    panel = SimpleNamespace(frame=frame, keep_outs=(), pieces=())
    one, two = (SimpleNamespace(paint=paint, outline=both) for paint in ("cream", "red"))
    whole = SimpleNamespace(paint="cream", outline=bent(0.0))
    for pieces, expected in (
        ([one, two], ["Lining 1, part 1, cream", "Lining 1, part 2, cream"]),
        ([whole], ["Lining 1"]),
    ):
        flow = PageFlow("a", "A", "A4", sideways=True)
        curve_tables(flow, panel, {"panel.side.lining.0": pieces})  # type: ignore[arg-type, dict-item]
        words = [m.text for page in flow.pages for m in page if isinstance(m, Label)]
        headed = [w.partition(": offsets")[0] for w in words if ": offsets of its edges" in w]
        assert headed == expected


def test_gores_that_follow_one_another_are_said_from_the_first_to_the_last() -> None:
    assert [_run(numbers) for numbers in ([3, 4], [3, 4, 5, 6])] == ["3 and 4", "3 to 6"]
