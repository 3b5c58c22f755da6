"""A fitter can rule from the sheets of details: sections, arcs, curves, letters, strips."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from livery.geometry.boolean import difference
from livery.geometry.measure import bounds
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.shapes import circle, rectangle
from livery.layout.piece import PieceKind
from livery.layout.plan import Baseline
from livery.make.sheets.arc_table import arcs_of, is_curved, offsets_of
from livery.make.sheets.letter_places import lettered_lines
from livery.make.sheets.marked_sizes import sizes_of
from livery.make.sheets.panel_title import panel_digest, title_block
from livery.make.sheets.setting_out import setting_out
from livery.make.sheets.setting_out_details import section_of, strip_ends
from livery.pipeline import examine, make_files
from tests.page_text import text_faults, words_over_lines

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
    parts = section_of(panel, key, [p for p in panel.pieces if p.key == key])
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
        "3.00 to 3.50",
        "3.25",
        "bow pen",
        "Order: cream, then green.",
    ):
        assert expected in words, expected
    assert any(w.startswith("Bow pen: Set the pen to the width.") for w in words)


def test_the_title_block_names_job_vehicle_panel_hand_scale_sheet_and_source(van) -> None:
    words = said(van, "other")
    for expected in ("Marram van, a trial", "van", "right, other hand of side", "1:2 on A4"):
        assert expected in words, expected
    assert f"1 of {sum(w == 'sheet' for w in words)}" in words
    side = van.plan.panels[0]
    digest = panel_digest(side, van.description.model, van.description.data)
    assert digest in said(van, "side") and digest not in words


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
    ends = strip_ends(line, 70.0)
    assert len(ends) >= 3
    for end in ends[1:-1]:
        assert not any(p.box.left < end < p.box.right for p in line.letters)


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
    assert "Too many for the plan; in tables on the next sheet:" in on_plan
    assert "Lining and lettering, up" in on_plan
    sizes = {f"{z.mm:.1f}" for z in sizes_of(panel).lining_y}
    assert len(sizes) > 25 and sizes <= on_details and not sizes & on_plan
