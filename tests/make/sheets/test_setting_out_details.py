"""A fitter can rule from the sheets of details: sections, arcs, curves, letters, strips."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from livery.describe.load import load_description
from livery.drawing import Label, Stroke
from livery.geometry.boolean import difference
from livery.geometry.flatten import to_line_string
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.shapes import circle, rectangle
from livery.layout.compose import lay_out
from livery.layout.piece import PieceKind
from livery.layout.plan import Baseline
from livery.make.drawings.template import named_lines, template
from livery.make.sheets.arc_table import OFF_MM, arcs_of, curved_runs, is_curved, offsets_of
from livery.make.sheets.curve_tables import _left_off, _row, gores_of
from livery.make.sheets.datum_chain import datum_gaps, figure_places
from livery.make.sheets.guide_strips import CLEAR_MM, LAP_MM, strip_cuts
from livery.make.sheets.letter_places import LetteredLine, LetterPlace, lettered_lines
from livery.make.sheets.lining_details import lining_section
from livery.make.sheets.lining_reference import side_words
from livery.make.sheets.marked_sizes import sizes_of
from livery.make.sheets.page_flow import PageFlow
from livery.make.sheets.panel_title import panel_digest, title_block
from livery.make.sheets.setting_out import in_columns, setting_out
from livery.make.sheets.setting_out_details import _edges_of
from livery.make.sheets.title_block import TitleBlock
from livery.pipeline import examine, make_files
from livery.write.label_face import label_width
from livery.write.pdf import pdf_bytes
from livery.write.tiled_pdf import tiled_pdf
from livery.write.tiles import page_marks, plan_tiles
from tests.page_text import pages_of, text_faults, words_over_lines

JOB = """\
[job]
title = "Marram van, a trial"
scale = "1:10"

[paint.green]
lab = [30, -20, 10]

[paint.cream]
lab = [88, 1, 14]

[band.double]
strands = [ { paint = "cream", width = "10 mm" }, { gap = "20 mm" }, { paint = "green", width = "5 mm" } ]

[vehicle.van]
length = "6 m"
width = "2.4 m"

[panel.side]
title = "Side of the van"
outline = { rectangle = ["4 m", "1.2 m"] }
as_built = { polygon = [["0 mm", "0 mm"], ["402 mm", "1 mm"], ["400 mm", "121 mm"], ["1 mm", "119 mm"]] }
place = { face = "left", station = "1 m", height = "1 m" }

[[panel.side.field]]
paint = "green"

[[panel.side.lining]]
band = "double"
inset = "100 mm"
corner = { round = "80 mm" }
process = "bow pen"

[[panel.side.lettering]]
text = "VAN"
alphabet = "plain block"
cap_height = "300 mm"
paint = "cream"
at = ["centre", "middle"]

[panel.other]
mirror_of = "side"
as_built = { width = "401 mm", height = "120 mm" }
"""


@pytest.fixture(scope="module")
def van(tmp_path_factory):
    job = tmp_path_factory.mktemp("van") / "van.toml"
    job.write_text(JOB, encoding="utf-8")
    examined = examine(job)
    assert not examined.exit_status, [f.as_text() for f in examined.findings]
    return examined


@pytest.fixture(scope="module")
def made(van) -> dict[str, bytes]:
    return make_files(van)[0]


def said(van, name: str) -> list[str]:
    panel = next(p for p in van.plan.panels if p.name == name)
    block = title_block(panel, van.description.model, van.description.data)
    return [m.text for s in setting_out(panel, block, "A4") for m in s.marks if hasattr(m, "text")]


def test_a_section_runs_from_the_outside_edge_strand_by_strand(van) -> None:
    panel = van.plan.panels[0]
    key = "panel.side.lining.0"
    parts = lining_section(panel, key, [p for p in panel.pieces if p.key == key])
    found = [(p.paint, p.process, round(p.begins, 6), round(p.ends, 6)) for p in parts]
    # 10, 20 and 5 mm at 1:10.
    assert found == [
        ("cream", "bow pen", 0.0, 1.0),
        ("", "", 1.0, 3.0),
        ("green", "bow pen", 3.0, 3.5),
    ]


def test_the_sheets_say_strands_widths_and_how_they_are_ruled(van) -> None:
    words = said(van, "side")
    for expected in (
        "Lining 1: section, 20:1",
        "from outside edge",
        "3.00 to 3.50, centre 3.25",
        "from panel's edge",
        "13.00 to 13.50, centre 13.25",
        "bow pen",
        "Order: cream, then green.",
    ):
        assert expected in words, expected
    assert any(w.startswith("Bow pen: Set the pen to the width of the strand.") for w in words)


def test_the_title_block_names_job_vehicle_panel_hand_scale_sheet_and_source(van) -> None:
    words = said(van, "other")
    for expected in ("Marram van, a trial", "van", "right, other hand of side", "1:2 on A4"):
        assert expected in words, expected
    assert f"1 of {sum(w == 'sheet' for w in words)}" in words
    side = van.plan.panels[0]
    digest = panel_digest(side, van.description.model, van.description.data)
    assert digest in said(van, "side") and digest not in words
    assert len(digest) == 12


def test_a_change_of_a_band_changes_the_digest_of_its_panels(van) -> None:
    side, model = van.plan.panels[0], van.description.model
    data = van.description.data
    band = {"double": {"strands": [{"paint": "cream", "width": "11 mm"}]}}
    assert panel_digest(side, model, {**data, "band": band}) != panel_digest(side, model, data)


def test_arcs_are_gathered_by_centre_with_their_radii() -> None:
    about = Point(30.0, 40.0)
    found = arcs_of([circle(about, 5.0), circle(about, 7.25), circle(Point(0.0, 0.0), 2.0)])
    assert [(a.centre, a.radii) for a in found] == [
        (Point(0.0, 0.0), (2.0,)),
        (about, (5.0, 7.25)),
    ]


def test_a_long_radius_is_set_out_by_offsets() -> None:
    """A segment of a circle of 500 mm radius over a chord of 600 mm rises 100 mm."""
    arc = Arc(Point(600.0, 0.0), Point(0.0, 0.0), 1.0 / 3.0)  # tan(sweep / 4): 3-4-5
    assert arc.radius == pytest.approx(500.0)
    shape = Outline((Contour((Line(arc.end, arc.start), arc)),))
    assert is_curved(shape) and not arcs_of([shape])
    offsets = offsets_of(shape)
    assert offsets.across
    rise = {x: ys[-1] for x, ys in offsets.rows}
    assert rise[300.0] == pytest.approx(100.0, abs=0.005)
    # y = sqrt(500^2 - 200^2) - 400 at 200 mm from the middle.
    assert rise[100.0] == pytest.approx((500.0**2 - 200.0**2) ** 0.5 - 400.0, abs=0.005)
    assert [x for x, _ in offsets.rows] == [25.0 * i for i in range(1, 24)]


def test_a_station_with_two_edges_gives_the_middle_between_them() -> None:
    assert _row(10.0, (1.0, 4.0)) == "10:  1.00 and 4.00, middle 2.50"
    assert _row(2.5, (1.0,)) == "2.50:  1.00"
    assert _row(2.5, (1.0, 2.0, 3.0)) == "2.50:  1.00  2.00  3.00"


def test_a_cubic_upright_has_stations_up_it() -> None:
    curve = Cubic(Point(0.0, 0.0), Point(9.0, 30.0), Point(9.0, 70.0), Point(0.0, 100.0))
    shape = Outline((Contour((curve, Line(curve.end, curve.start))),))
    offsets = offsets_of(shape)
    assert not offsets.across
    # At half way a cubic is (p0 + 3 p1 + 3 p2 + p3) / 8: x = 54 / 8.
    assert dict(offsets.rows)[50.0] == pytest.approx((0.0, 6.75), abs=0.005)


def test_letters_have_their_edges_and_strips_part_between_them(van) -> None:
    (line,) = lettered_lines(van.plan.panels[0])
    assert [p.letter for p in line.letters] == ["V", "A", "N"]
    lefts = [p.box.left for p in line.letters]
    assert lefts == sorted(lefts)
    assert line.baseline.cap_height == pytest.approx(30.0, abs=0.3)
    cuts = strip_cuts(line, 70.0)
    assert len(cuts) >= 3
    for cut in cuts[1:-1]:
        assert cut.in_word
        assert not any(p.box.left < cut.at < p.box.right for p in line.letters)


def line_of(text: str, boxes: list[tuple[float, float]]) -> LetteredLine:
    """Return a line of rectangles, each from its left to its right edge."""
    letters = Outline(
        tuple(c for a, b in boxes for c in rectangle(b - a, 10, Point(a, 0.0)).contours)
    )
    piece = SimpleNamespace(kind=PieceKind.LETTERING, key="a", outline=letters)
    base = Baseline(text, Point(0, 0), Point(boxes[-1][1], 0), 10.0, "a")
    (line,) = lettered_lines(SimpleNamespace(pieces=(piece,), baselines=(base,)))
    return line


AB_CD = [(0.0, 30.0), (40.0, 70.0), (90.0, 120.0), (130.0, 160.0)]


@pytest.mark.parametrize("text", ["AB CD", "joined up"], ids=["by letters", "by gaps"])
def test_strips_are_cut_between_words_where_these_fit(text) -> None:
    line = line_of(text, AB_CD)
    assert [p.begins_word for p in line.letters] == [True, False, True, False]
    assert strip_cuts(line, 160.0 + 2 * CLEAR_MM) == [(-CLEAR_MM, False), (160 + CLEAR_MM, False)]
    # From -6 to 125 there is room for a third letter: it is left to the next strip.
    assert [tuple(c) for c in strip_cuts(line, 140.0)] == [
        (-CLEAR_MM, False),
        (80.0, False),
        (160.0 + CLEAR_MM, False),
    ]


def test_a_word_longer_than_a_strip_is_cut_between_letters_with_an_overlap() -> None:
    line = line_of("ABCD", AB_CD)
    room = CLEAR_MM + 80.0 + LAP_MM
    assert strip_cuts(line, room) == [(-CLEAR_MM, False), (80.0, True), (160 + CLEAR_MM, False)]
    # A little less, and the lap has no room: it is cut a letter sooner.
    cuts = strip_cuts(line, room - 0.1)
    assert [(c.at, c.in_word) for c in cuts[:2]] == [(-CLEAR_MM, False), (35.0, True)]
    one = line_of("A", [(0.0, 100.0)])
    through = strip_cuts(one, 60.0)
    assert through[1].at == -6.0 + 60.0 - 5.0  # the lap is on the strip
    assert [c.in_word for c in through] == [False, True, True, False]
    assert all(b.at - a.at + LAP_MM * (a.in_word + b.in_word) <= 60.0 for a, b in pairwise(through))


def test_no_words_collide_run_off_or_are_too_small(made: dict[str, bytes]) -> None:
    """On every sheet of a job with an out-of-square panel and its other hand."""
    sheets = [n for n in made if n.endswith(".pdf")]
    found = [f"{name}: {fault}" for name in sheets for fault in text_faults(made[name])]
    assert found == []


def test_no_line_runs_through_words_of_a_setting_out_sheet(made: dict[str, bytes]) -> None:
    sheets = [n for n in made if "setting-out" in n]
    assert len(sheets) == 2
    assert [f"{n}: {fault}" for n in sheets for fault in words_over_lines(made[n])] == []


def test_the_plan_gives_the_edges_of_the_letters_not_the_room_round_them(van) -> None:
    for panel in van.plan.panels:
        (ink,) = (p.outline for p in panel.pieces if p.kind is PieceKind.LETTERING)
        box = bounds(ink)
        given = [size.mm for size in sizes_of(panel).letters_x]
        assert given == pytest.approx([box.left, box.right], abs=0.06)
        (base,) = panel.baselines
        assert abs(box.right - max(base.start.x, base.end.x)) > 0.1


def test_a_line_of_letters_has_each_letter_whole() -> None:
    # The foot of a tall letter lies off the line: its counter, on it, is no letter of the line.
    tall = difference(rectangle(10, 60, Point(0, -50)), rectangle(6, 6, Point(2, 2)))
    own = difference(rectangle(10, 10, Point(20, 0)), rectangle(4, 4, Point(23, 3)))
    letters = Outline((*tall.contours, *own.contours))
    piece = SimpleNamespace(kind=PieceKind.LETTERING, key="a", outline=letters)
    line = Baseline("O", Point(0, 0), Point(30, 0), 10.0, "a")
    panel = SimpleNamespace(pieces=(piece,), baselines=(line,))
    (found,) = lettered_lines(panel)
    assert found.outline.contours == own.contours


def test_letters_stacked_close_are_each_of_their_own_line_alone() -> None:
    squares = [rectangle(8, 10, Point(0, y)) for y in (0.0, 14.0, 28.0)]
    contours = tuple(c for one in squares for c in one.contours)
    piece = SimpleNamespace(kind=PieceKind.LETTERING, key="a", outline=Outline(contours))
    lines = [Baseline("O", Point(0, y), Point(8, y), 10.0, "a") for y in (0.0, 14.0, 28.0)]
    panel = SimpleNamespace(pieces=(piece,), baselines=tuple(lines))
    found = list(lettered_lines(panel))
    assert [line.outline.contours for line in found] == [one.contours for one in squares]


def test_figures_that_would_lean_far_stand_in_a_table_instead(tmp_path):
    """Thirty lines close together: their sizes are on the second sheet, and it is said where."""
    rows = "".join(
        f'[[panel.side.lining]]\npaint = "cream"\nwidth = "10 mm"\nlevel = "{150 + 28 * i} mm"\n'
        for i in range(30)
    )
    job = tmp_path / "lines.toml"
    job.write_text(JOB.partition("[[panel.side.lining]]")[0] + rows, encoding="utf-8")
    examined = examine(job)
    panel = examined.plan.panels[0]
    block = title_block(panel, examined.description.model, examined.description.data)
    plan, details, *_ = setting_out(panel, block, "A4")
    on_plan, on_details = ({m.text for m in s.marks if hasattr(m, "text")} for s in (plan, details))
    assert "Too close for the plan; in tables on the next sheet:" in on_plan
    assert "Running sizes of lining and lettering, up" in on_plan
    rows = sizes_of(panel).lining_y
    sizes = {f"{z.mm:.1f}" for z in rows}
    # No line leads from a table to the drawing: each figure says whose it is.
    named = {f"{z.mm:.1f}  {z.of}" for z in rows}
    assert len(sizes) > 25 and named <= on_details and not sizes & on_plan
    assert {z.of for z in rows} == {f"lining {i}" for i in range(1, 31)}
    # A straight line has its place and width: its diagonals would show nothing.
    assert not any("diagonals" in words for words in on_plan)


ODD = (
    JOB.partition("[vehicle.van]")[0]
    + """\
[panel.cab]
outline = { rectangle = ["2 m", "2 m"] }
datum = { waist = { height = "800 mm" }, door = { station = "1200 mm" } }

[[panel.cab.keep_out]]
called = "window"
rectangle = ["600 mm", "500 mm"]
at = ["200 mm", "1200 mm"]
corner = "100 mm"

[[panel.cab.lining]]
band = "double"
round = "window"
inset = "30 mm"
process = "tape"

[[panel.cab.lining]]
called = "waist-band"
paint = "cream"
width = "40 mm"
level = "600 mm"

[panel.banded]
outline = { rectangle = ["2 m", "2 m"] }
datum = { waist = { height = "800 mm" } }
lining = [{ band = "double", level = "waist" }]

[panel.dome]
sheet = { gores = { count = 8, profile = [["300 mm", "0 mm"], ["0 mm", "300 mm"]] } }
lining = [{ paint = "cream", width = "20 mm", level = "100 mm" }]

[panel.folded]
sheet = { across = "1 m", faces = [{ flat = "1 m" }, { bend = "90 deg", radius = "100 mm" }, { flat = "1 m" }] }
field = [{ paint = "green" }]
"""
)


@pytest.fixture(scope="module")
def odd(tmp_path_factory):
    job = tmp_path_factory.mktemp("odd") / "odd.toml"
    job.write_text(ODD, encoding="utf-8")
    examined = examine(job)
    assert not examined.exit_status, [f.as_text() for f in examined.findings]
    return examined


def test_a_lining_round_a_window_is_measured_out_from_the_window(odd) -> None:
    words = said(odd, "cab")
    # 3 mm clear of the window, the band 3.5 mm wide: its outside edge lies 6.5 mm off.
    assert {"from edge of window", "6.50 to 5.50, centre 6.00", "3.50 to 3.00, centre 3.25"} <= {
        *words
    }
    # The window's corner is 10 mm: 16.5 and 15.5 mm round it, and 13.5 and 13.
    strands = "cream R 15.50, 16.50, centre line R 16.00; green R 13.00, 13.50, centre line R 13.25"
    assert f"{strands}; about these centres:" in words
    assert {"30.00, 130.00", "70.00, 160.00"} <= {*words}  # the window's own, 10 mm in
    assert {"R 16.50", "R 15.50", "R 13.50", "R 13.00"} <= {*words}  # on the corner drawn large
    assert not any("panel's edge" in w for w in words)


def test_a_level_line_and_letters_are_measured_from_the_nearest_datum(odd, van) -> None:
    words = said(odd, "cab")
    assert "Lining 2, waist-band: section, 20:1" in words
    # Its middle at 60 mm, 4 mm wide, 20 mm below the waist at 80.
    assert {"from panel's lowest point", "62.00 to 58.00, centre 60.00"} <= {*words}
    assert {"from waist, down", "18.00 to 22.00, centre 20.00"} <= {*words}
    assert not any(" below " in w or " above " in w for w in said(van, "side"))  # it has no datum


def test_datums_are_chained_beside_the_panel_or_in_a_table(odd) -> None:
    words = said(odd, "cab")
    assert {"80.0", "120.0"} <= {*words}  # from the bottom to the waist, and on to the top
    assert {"waist  80.0", "door  120.0"} <= {*words}  # and run from the panel's corner
    panel = next(p for p in odd.plan.panels if p.name == "cab")
    gaps = datum_gaps(sizes_of(panel).panel_x, ("left end", "right end"))
    assert [g.words for g in gaps] == ["left end to door  120.0", "door to right end  80.0"]
    assert figure_places(gaps, sizes_of(panel).panel_x, 0.5, 1.9) is not None
    assert figure_places(gaps, sizes_of(panel).panel_x, 0.05, 1.9) is None


def test_gores_and_folds_are_numbered_with_their_lines(odd) -> None:
    words = said(odd, "dome")
    assert {str(i) for i in range(1, 9)} <= {*words}
    lines = [w for w in words if w.startswith("gore") and "left" in w]
    assert [w.partition(",")[0] for w in lines] == ["gores 1 to 8"]  # a level line: all alike
    assert len(gores_of(next(p for p in odd.plan.panels if p.name == "dome"))) == 8
    folded = said(odd, "folded")
    numbered = [w for w in folded if w[:3] in ("1  ", "2  ", "3  ")]
    assert len(numbered) == 3 and {"1", "2", "3"} <= {*folded}


def test_no_line_runs_through_words_of_these_sheets_either(odd) -> None:
    for panel in odd.plan.panels:
        block = title_block(panel, odd.description.model, odd.description.data)
        pdf = pdf_bytes(setting_out(panel, block, "A4"))
        assert [*text_faults(pdf), *words_over_lines(pdf)] == [], panel.name


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter", "Tabloid", "roll"])
def test_every_tile_names_vehicle_panel_hand_and_the_datums_on_it(van, paper: str) -> None:
    job = van.description.model.job
    sheet = {"template_roll": "600 mm"} if paper == "roll" else {"paper": paper}
    chosen = type(job).model_validate({**van.description.data["job"], **sheet})
    panel = next(p for p in van.plan.panels if p.name == "other")
    title = title_block(panel, van.description.model, van.description.data).in_a_line
    page = replace(template(panel), title=f"{title}: template, full size")
    pdf = tiled_pdf(page, chosen.template_paper, lines=named_lines(panel))
    assert list(text_faults(pdf)) == []
    pages = list(pages_of(pdf))
    tiles = pages if len(pages) == 1 else pages[1:]
    for tile in tiles:
        words = [w.text for w in tile.words]
        named = " ".join(words)
        assert "van, Other hand of Side of the van, right hand" in named
        assert "middle" in words  # the level line that crosses every tile
    assert {"centre"} <= {w.text for tile in tiles for w in tile.words}


def test_the_name_of_a_datum_stands_clear_of_the_lining_that_runs_along_it(odd) -> None:
    """A line of lining lies on the datum from end to end: its name stands beside the lining."""
    plan = next(p for p in odd.plan.panels if p.name == "banded")
    tiled = plan_tiles(template(plan), "A4", 10.0, 10.0, named_lines(plan))
    assert tiled.count == 2
    for tile in tiled.tiles():
        moved = (tiled.window_at.x - tile.left_mm, tiled.window_at.y - tile.bottom_mm)
        drawn = shapely.transform(tiled.drawn, lambda at, by=moved: at + by)
        marks = page_marks(tiled, tile)
        joins = [to_line_string(m.contour) for m in marks if isinstance(m, Stroke)]
        (name,) = (m for m in marks if isinstance(m, Label) and m.text == "waist")
        (x, y), wide = name.at, label_width("waist", name.height_mm)
        box = shapely.box(x, y, x + wide, y + name.height_mm)
        assert not any(box.intersects(line) for line in (*drawn, *joins))


def test_a_section_that_runs_on_repeats_its_heading() -> None:
    flow = PageFlow("details", "details", "A4", sideways=True, repeats_heading=True)
    flow.heading("Arcs")
    for i in range(60):
        flow.text(f"row {i}")
    flow.heading("Letters", follows=100.0)
    flow.text("last")
    firsts = [next(m.text for m in page if isinstance(m, Label)) for page in flow.pages]
    assert firsts == ["Arcs", "Arcs, continued", "Letters"]
    panel = PageFlow("coats", "coats", "A4", continued="Side")
    panel.text("title")
    panel.heading("1. green", follows=150.0)
    panel.gap(150.0)
    panel.heading("2. black", follows=150.0)
    said = [[m.text for m in page if isinstance(m, Label)] for page in panel.pages]
    assert said[-1] == ["Side, continued", "2. black"] and said[0] == ["title", "1. green"]


@pytest.mark.parametrize(
    ("runs", "sides"),
    [
        ('level = "2 ft"', ("top", "bottom")),
        ('upright = "2 ft"', ("left", "right")),
        ('along = [["1 ft", "1 ft"], ["3 ft", "2 ft"]]', ("one side", "other side")),
        ('along = [["1 ft", "1 ft"], ["3 ft", "1 ft"]]\nband = "double"', ("top", "bottom")),
        ('inset = "3 in"', ("outside", "inside")),
    ],
)
def test_a_section_names_the_sides_of_its_lining(tmp_path, runs: str, sides) -> None:
    job = tmp_path / "job.toml"
    end = '[panel.end]\noutline = { rectangle = ["8 ft", "7 ft"] }\n'
    line = "" if "band" in runs else 'paint = "cream"\nwidth = "1/2 in"\n'
    job.write_text(JOB.partition("[vehicle.")[0] + end + f"[[panel.end.lining]]\n{line}{runs}\n")
    panel = lay_out(load_description(job)).panels[0]
    assert side_words(panel, "panel.end.lining.0", panel.pieces) == sides
    first, last = (bounds(panel.pieces[i].outline) for i in (0, -1))
    assert sides[0] != "top" or first.top >= last.top


@pytest.mark.parametrize("is_lined", [False, True])
def test_short_tables_stand_under_the_plan_where_they_are_the_only_details(
    tmp_path, is_lined: bool
) -> None:
    job = tmp_path / "job.toml"
    end = '[panel.end]\noutline = { rectangle = ["8 ft", "7 ft"], crown = "9 in" }\n'
    field = '[[panel.end.field]]\npaint = "green"\n'
    lined = '[[panel.end.lining]]\npaint = "cream"\nwidth = "1/2 in"\ninset = "3 in"\n'
    job.write_text(JOB.partition("[panel.")[0] + end + field + lined * is_lined)
    sheets = setting_out(examine(job).plan.panels[0], TitleBlock("Trial", "end"), "A4")
    assert (len(sheets) > 1) is is_lined
    said = [[m.text for m in sheet.marks if isinstance(m, Label)] for sheet in sheets]
    (stands,) = (i for i, words in enumerate(said) if any("edge: arcs" in w for w in words))
    assert stands == len(sheets) - 1
    # 8 ft at 1:10 is 243.84 mm; a rise of 22.86 mm over it: r = c^2 / (8 h) + h / 2.
    radius = 243.84**2 / (8 * 22.86) + 22.86 / 2
    assert any(f"R {radius:.2f}" in words for words in said[stands])


def test_a_rule_between_stations_is_no_further_from_the_curve_than_is_said() -> None:
    """A speed line: nearly straight, then tightly bent; its offsets checked by the cubic itself."""
    p = [(0.0, 0.0), (400.0, 10.0), (560.0, 20.0), (600.0, 150.0)]
    line = Contour((Cubic(*(Point(*one) for one in p)),), closed=False)
    offsets = offsets_of(Outline((line,)))
    assert offsets.across
    t = np.linspace(0.0, 1.0, 4001)[:, None]
    weights = [(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3]
    true = sum(w * np.array(one) for w, one in zip(weights, p, strict=True))
    ruled = shapely.LineString([(at, *edges) for at, edges in offsets.rows])
    off = shapely.distance(shapely.points(true), ruled).max()
    assert off == pytest.approx(offsets.off_mm, abs=0.005)
    assert 0.1 < off <= OFF_MM
    gaps = np.diff([at for at, _ in offsets.rows][1:-1])
    assert set(np.round(gaps, 6)) > {25.0} and gaps[0] == 25.0  # close only where it bends
    assert _left_off(0.201) == "0.25" and _left_off(0.0) == "0.05"


def test_the_steep_edges_of_a_gore_are_measured_at_heights() -> None:
    """Both edges rise to one tip: across they never turn back, but stations across hardly cut them."""
    left = Cubic(Point(0.0, 20.0), Point(0.2, 32.0), Point(1.5, 45.0), Point(3.5, 55.0))
    right = Cubic(Point(3.5, 55.0), Point(5.5, 45.0), Point(6.8, 32.0), Point(7.0, 20.0))
    offsets = offsets_of(Outline((Contour((left, right), closed=False),)))
    assert not offsets.across and offsets.off_mm <= OFF_MM
    for at, edges in offsets.rows[1:-1]:
        assert len(edges) == 2 and sum(edges) == pytest.approx(7.0, abs=0.01), at
    # An arch that is as steep at its feet alone keeps its stations across.
    rise = Cubic(Point(0.0, 0.0), Point(0.0, 30.0), Point(20.0, 35.0), Point(50.0, 35.0))
    fall = Cubic(Point(50.0, 35.0), Point(80.0, 35.0), Point(100.0, 30.0), Point(100.0, 0.0))
    assert offsets_of(Outline((Contour((rise, fall), closed=False),))).across


def test_a_curved_edge_has_its_own_stations_the_way_it_does_not_turn_back() -> None:
    """A nose: from the bottom left out and up and over to the right."""
    nose = Cubic(Point(20.0, 0.0), Point(-20.0, 40.0), Point(20.0, 100.0), Point(200.0, 100.0))
    corners = [(200.0, 100.0), (600.0, 100.0), (600.0, 0.0), (20.0, 0.0)]
    sides = [Line(Point(*a), Point(*b)) for a, b in pairwise(corners)]
    shape = Outline((Contour((nose, *sides)),))
    (run,) = curved_runs(shape)
    assert run.segments == (nose,)
    offsets = offsets_of(Outline((run,)))
    assert not offsets.across  # it turns back across, and only rises
    places = [at for at, _ in offsets.rows]
    assert places[0] == pytest.approx(0.0, abs=0.002)
    assert places[-1] == pytest.approx(100.0, abs=0.002)
    assert all(len(across) == 1 for _, across in offsets.rows)


@pytest.mark.parametrize(
    ("lines", "most", "columns"),
    [
        ("p: A B l: E F", 2, [["p:", "A", "B"], ["l:", "E", "F"]]),
        ("p: A l: E F", 2, [["p:", "A"], ["l:", "E", "F"]]),  # not ended with "l:"
        ("A B C D E", 2, [["A", "B", "C"], ["D", "E"]]),
        ("A B l: E", 1, [["A", "B", "l:", "E"]]),
        ("a: A b: B c: C", 3, [["a:", "A"], ["b:", "B"], ["c:", "C"]]),
    ],
)
def test_no_column_of_corners_ends_with_the_name_of_what_follows(
    lines: str, most: int, columns: list[list[str]]
) -> None:
    assert [list(column) for column in in_columns(lines.split(), most)] == columns


@pytest.mark.parametrize(
    ("text", "words"),
    [("AB", "Left and right edge of each letter"), ("ABC", "Letters touch or are divided: ")],
)
def test_parts_of_letters_are_not_called_letters(text: str, words: str) -> None:
    """Two letters that touch are one part, and a stencil's bridges divide one."""
    places = tuple(LetterPlace(n, Bounds(0, 0, 1, 1), begins_word=False) for n in "12")
    base = Baseline(text, Point(0, 0), Point(9, 0), 9.0, "a")
    assert _edges_of(LetteredLine(base, places, Outline(()))).startswith(words)
