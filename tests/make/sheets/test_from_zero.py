"""Sheets count from the 0, 0 of an outline as built, as it was measured."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from livery.drawing import Area, Drawing, Label
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.layout.other_hand import other_hand
from livery.layout.plan import PanelPlan
from livery.make.leaf.tracing import place_on_metal
from livery.make.sheets.from_zero import counted_from_zero, has_own_zero
from livery.make.sheets.setting_out import setting_out
from livery.make.sheets.title_block import TitleBlock
from livery.pipeline import examine

JOB = """
[job]
title = "Trial"
scale = "1:10"
[paint]
green = { lab = [30, -20, 10] }
cream = { lab = [86, 1, 19] }
gold = { lab = [72, 8, 45], kind = "leaf" }
[panel.side]
outline = { rectangle = ["2000 mm", "1000 mm"] }
as_built = { polygon = POLYGON }
datum = { waist = { height = "500 mm", built = "BUILT" }, pillar = { station = "1500 mm" } }
keep_out = [
    { called = "window", rectangle = ["400 mm", "300 mm"], at = ["300 mm", "600 mm"], as_built = WINDOW },
    { called = "rail", rail = { along = [["300 mm", "200 mm"], ["900 mm", "200 mm"]], diameter = "20 mm" } },
]
field = [{ paint = "green" }]
lining = [{ paint = "cream", width = "10 mm", level = "waist", process = "bow pen" }]
lettering = [{ text = "12", alphabet = "plain block", cap_height = "100 mm", paint = "gold", process = "leaf", at = ["1400 mm", "200 mm"] }]
"""
CORNERS = ((0.0, 0.0), (201.0, 0.6), (201.4, 99.0), (-1.2, 98.0))
"""The lower left corner is 1.2 mm right of the leftmost point."""


def laid(folder: Path, x: float = 0.0, y: float = 0.0) -> PanelPlan:
    """Return the panel measured from a place so far left of and below its lower left corner."""
    corners = [[f"{a + x:g} mm", f"{b + y:g} mm"] for a, b in CORNERS]
    window = f'{{ left = "{31 + x:g} mm", bottom = "{59 + y:g} mm", tolerance = "9 mm" }}'
    text = JOB.replace("POLYGON", str(corners)).replace("WINDOW", window)
    file = folder / "job.toml"
    file.write_text(text.replace("BUILT", f"{49 + y:g} mm"), encoding="utf-8")
    job = examine(file)
    assert [f.code for f in job.findings if f.code != "origin"] == []
    (panel,) = job.plan.panels
    return panel


@pytest.fixture(scope="module")
def panel(tmp_path_factory: pytest.TempPathFactory) -> PanelPlan:
    return laid(tmp_path_factory.mktemp("zero"))


def test_all_that_sheets_draw_and_list_counts_from_the_corner_measured_from(
    panel: PanelPlan,
) -> None:
    counted = counted_from_zero(panel)
    assert panel.frame.zero == pytest.approx((1.2, 0.0))
    assert panel.frame.extent.left == pytest.approx(0.0)
    assert counted.frame.extent[:2] == pytest.approx((-1.2, 0.0)) and has_own_zero(counted)
    window, _ = counted.keep_outs
    assert bounds(window.outline)[:2] == pytest.approx((31.0, 59.0))
    assert counted.frame.heights["waist"] == pytest.approx(49.0)
    moved = [
        *((k.outline, n.outline) for k, n in zip(panel.keep_outs, counted.keep_outs, strict=True)),
        *((p.outline, n.outline) for p, n in zip(panel.pieces, counted.pieces, strict=True)),
        (panel.frame.outline, counted.frame.outline),
    ]
    for own, now in moved:
        assert bounds(now).left == pytest.approx(bounds(own).left - 1.2)
        assert bounds(now).bottom == pytest.approx(bounds(own).bottom)
    (own,), (now,) = panel.baselines, counted.baselines
    assert (own.start.x - now.start.x, own.end.x - now.end.x) == pytest.approx((1.2, 1.2))
    for name in ("stations", "opening_stations"):
        own_marks, now_marks = getattr(panel.frame, name), getattr(counted.frame, name)
        assert now_marks == pytest.approx({n: at - 1.2 for n, at in own_marks.items()})


def test_the_sheet_says_and_shows_where_0_0_is(panel: PanelPlan) -> None:
    plan, *details = setting_out(panel, TitleBlock("Trial", "Side"), "A4")
    words = [m.text for m in plan.marks if isinstance(m, Label)]
    assert (
        "Millimetres on the model as built, across and up from 0, 0 as measured, corner A." in words
    )
    assert {"A  0.0, 0.0", "B  201.0, 0.6", "D  -1.2, 98.0", "-1.2", "31.0"} <= {*words}
    corner = next(m.at.x for m in plan.marks if isinstance(m, Label) and m.text == "0" and m.angle)
    left = next(m.at.x for m in plan.marks if isinstance(m, Label) and m.text == "-1.2")
    assert corner > left
    said = [m.text for sheet in details for m in sheet.marks if isinstance(m, Label)]
    assert any(w.endswith("letter, across from 0, 0:") for w in said)
    assert "from 0, 0" in said


def test_the_table_of_sizes_and_a_tracing_count_from_it_too(panel: PanelPlan) -> None:
    rows = {row.what: row.as_fitted for row in panel.sizes}
    assert rows['"window", left edge across from 0, 0'] == pytest.approx(31.0)
    assert rows['"window", lower edge from the bottom'] == pytest.approx(59.0)
    assert rows["height of waist"] == pytest.approx(49.0)
    assert rows["station of pillar"] == pytest.approx(panel.frame.stations["pillar"] - 1.2)
    said = place_on_metal(panel, Point(32.2, 59.0))
    assert said == "31.0 mm across and 59.0 mm up from 0, 0 of side"


def test_a_0_0_within_the_panel_counts_both_ways(tmp_path: Path) -> None:
    within = laid(tmp_path, -100.0, -50.0)
    assert within.frame.zero == pytest.approx((101.2, 50.0))
    counted = counted_from_zero(within)
    assert bounds(counted.keep_outs[0].outline)[:2] == pytest.approx((-69.0, 9.0))
    assert counted.frame.extent[:2] == pytest.approx((-101.2, -50.0))
    rows = {row.what: row.as_fitted for row in within.sizes}
    assert rows['"window", lower edge up from 0, 0'] == pytest.approx(9.0)
    assert rows["height of waist"] == pytest.approx(-1.0)
    plan, *_ = setting_out(within, TitleBlock("Trial", "Side"), "A4")
    words = [m.text for m in plan.marks if isinstance(m, Label)]
    assert "Millimetres on the model as built, across and up from 0, 0 as measured." in words
    assert words.count("0") == 2
    # It is drawn in the middle of its sheet as a panel without a 0, 0 of its own is.
    without = replace(within, frame=replace(within.frame, origin=Point(0.0, 0.0)))
    other, *_ = setting_out(without, TitleBlock("Trial", "Side"), "A4")
    assert edge_on(plan) == pytest.approx(edge_on(other), abs=5.0)


def edge_on(plan: Drawing) -> Bounds:
    """Return where the panel's edge is drawn on its plan."""
    (edge,) = (m.outline for m in plan.marks if isinstance(m, Area) and m.layer == "edge")
    return bounds(edge)


@pytest.mark.parametrize(("x", "y"), [(0.0, 0.0), (-1.0, 0.0), (0.0, -1.0), (-1.0, -1.0)])
def test_a_panel_has_its_own_0_0_if_any_of_it_is_left_of_it_or_below(
    x: float, y: float, panel: PanelPlan
) -> None:
    outline = rectangle(10.0, 5.0, Point(x, y))
    moved = replace(panel, frame=replace(panel.frame, outline=outline))
    assert has_own_zero(moved) is ((x, y) != (0.0, 0.0))


def test_a_0_0_beside_the_panel_is_not_counted_from(tmp_path: Path) -> None:
    beside = laid(tmp_path, 5.0)
    assert beside.frame.zero == (0.0, 0.0) and counted_from_zero(beside) is beside
    rows = {row.what: row.as_fitted for row in beside.sizes}
    assert rows['"window", left edge from the left'] == pytest.approx(32.2)
    said = place_on_metal(beside, Point(32.2, 59.0))
    assert (
        said == "32.2 mm across from the leftmost point of side, 59.0 mm up from its lowest point"
    )


def test_the_other_hand_counts_from_its_own_0_0(tmp_path: Path) -> None:
    own = [[f"{201 - x:g} mm", f"{y - 0.5:g} mm"] for x, y in reversed(CORNERS)]
    file = tmp_path / "job.toml"
    laid(tmp_path)
    other = f'[panel.far]\nmirror_of = "side"\nas_built = {{ polygon = {own} }}\n'
    file.write_text(file.read_text(encoding="utf-8") + other, encoding="utf-8")
    first, far = examine(file).plan.panels
    assert first.frame.zero == pytest.approx((1.2, 0.0))
    assert far.frame.zero == pytest.approx((0.4, 0.5))
    rows = {row.what: row.as_fitted for row in far.sizes}
    assert rows["height of waist"] == pytest.approx(far.frame.heights["waist"] - 0.5)
    low = bounds(far.keep_outs[0].outline).bottom
    assert rows['"window", lower edge up from 0, 0'] == pytest.approx(low - 0.5)
    right = far.frame.extent.right - bounds(far.keep_outs[0].outline).right
    assert rows['"window", right edge from the right'] == pytest.approx(right)


def test_a_panel_taken_over_from_the_first_hand_counts_from_its_edges(panel: PanelPlan) -> None:
    turned = other_hand(panel)
    assert turned.frame.zero == (0.0, 0.0) and counted_from_zero(turned) is turned


def test_a_sheet_that_nobody_measured_counts_from_its_own_lowest_point(tmp_path: Path) -> None:
    """Its developed outline begins left of 0, 0 by the last bits of its arcs."""
    (tmp_path / "job.toml").write_text(
        '[job]\ntitle = "Cone"\nscale = "1:8"\n[panel.ring.sheet]\n'
        'cone = { left = "2 ft", right = "1 ft 6 in", length = "4 ft", seam_slope = "20 deg" }\n',
        encoding="utf-8",
    )
    (panel,) = examine(tmp_path / "job.toml").plan.panels
    texts = _texts(setting_out(panel, TitleBlock("Trial", "ring"), "A4"))
    assert not any("as measured" in text for text in texts)
    assert "leftmost" in " ".join(texts)


def _texts(sheets: tuple[Drawing, ...]) -> list[str]:
    return [m.text for sheet in sheets for m in sheet.marks if isinstance(m, Label)]
