"""What is settled unseen has its row of the size table, and its figure on the setting-out sheet."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from pathlib import Path

import pytest

from livery.findings import Severity
from livery.layout.plan import PanelPlan
from livery.make.sheets.marked_sizes import sizes_of
from livery.make.sheets.setting_out_details import short_tables
from livery.pipeline import examine

JOB = """
[job]
title = "Tender"
scale = "1:8"

[paint.red]
screen = "#a01818"

[paint.cream]
screen = "#f0e0b0"

[band.waist]
strands = [
    { paint = "red", width = "24 mm" }, { paint = "cream", width = "8 mm" }, { paint = "red", width = "16 mm" }
]

[panel.side]
outline = { rectangle = ["2400 mm", "960 mm"], corner = { top_right = "160 mm" } }
as_built = { polygon = [["0 mm", "0 mm"], ["299 mm", "0 mm"], ["299 mm", "121 mm", "19 mm"], ["0 mm", "121 mm"]] }

[[panel.side.keep_out]]
called = "rivets"
rivets = { start = ["80 mm", "40 mm"], end = ["2280 mm", "40 mm"], pitch = "200 mm", diameter = "16 mm" }

[[panel.side.keep_out]]
rivets = { start = ["80 mm", "40 mm"], end = ["80 mm", "840 mm"], pitch = "410 mm", diameter = "16 mm" }

[[panel.side.keep_out]]
called = "handrail"
rail = { along = [["8 mm", "56 mm"], ["2240 mm", "56 mm"]], diameter = "16 mm" }

[[panel.side.keep_out]]
rail = { along = [["80 mm", "120 mm"], ["800 mm", "120 mm"], ["2240 mm", "120 mm"]], diameter = "24 mm" }

[[panel.side.lining]]
band = "waist"
level = "800 mm"

[[panel.side.lining]]
band = "waist"
upright = "2000 mm"
end = "700 mm"

[[panel.side.ornament]]
called = "crest"
file = "crest.svg"
paints = [{ fill = "#c01020", paint = "red" }, { fill = "#f0e0b0", paint = "cream" }]
at = ["480 mm", "400 mm"]
height = "320 mm"

[panel.other]
mirror_of = "side"
as_built = { width = "300 mm", height = "120 mm" }
"""
CREST = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">
<path fill="#c01020" d="M0 0H6V9H0Z"/><path fill="#f0e0b0" d="M6 3H9V9H6Z"/></svg>"""


@pytest.fixture(scope="module")
def panels(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, PanelPlan]:
    folder = tmp_path_factory.mktemp("tender")
    (folder / "crest.svg").write_text(CREST, encoding="utf-8")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    examined = examine(folder / "job.toml")
    assert not examined.exit_status, examined.findings
    return {panel.name: panel for panel in examined.plan.panels}


def rows_of(panel: PanelPlan) -> dict[str, tuple[str, float, float]]:
    return {r.what: (r.prototype, r.at_scale, r.as_fitted) for r in panel.sizes}


def test_a_pitch_that_is_spaced_evenly_says_so(panels: Mapping[str, PanelPlan]) -> None:
    rows = rows_of(panels["side"])
    # 2200 mm are 11 spaces of 200; as built the panel is 299 mm wide, and not 300.
    of_11 = pytest.approx(275.0 * 299.0 / 300.0 / 11.0)
    assert rows['"rivets", pitch of 11 spaces'] == ("200 mm", 25.0, of_11)
    assert rows['"rivets", diameter'] == ("16 mm", 2.0, 2.0)
    of_2 = pytest.approx(100.0 * 121.0 / 120.0 / 2.0)
    assert rows["rivets, keep-out 2, pitch of 2 spaces"] == ("410 mm", 51.25, of_2)


@pytest.mark.parametrize(("pitch", "told"), [("204 mm", 0), ("205 mm", 1), ("196 mm", 0)])
def test_a_row_that_its_pitch_divides_badly_is_noted(tmp_path: Path, pitch: str, told: int) -> None:
    """As built the row is 274.08 mm long: 11 spaces of 24.92 mm, 2.3 and 2.8 % less than 25.5 and
    25.63 mm; and 1.7 % more than 24.5 mm."""
    (tmp_path / "crest.svg").write_text(CREST, encoding="utf-8")
    (tmp_path / "job.toml").write_text(JOB.replace('"200 mm"', f'"{pitch}"'), encoding="utf-8")
    found = [f for f in examine(tmp_path / "job.toml").findings if f.code == "rivet-pitch"]
    assert len(found) == told
    assert all(
        f.severity is Severity.NOTE
        and f.message.startswith("spaced evenly, these 12 rivets are 24.92 mm apart; their pitch")
        for f in found
    )


def test_a_rail_has_its_diameter_and_its_ends_where_the_fit_moves_them(
    panels: Mapping[str, PanelPlan],
) -> None:
    rows = rows_of(panels["side"])
    assert rows['"handrail", diameter'] == ("16 mm", 2.0, 2.0)
    at = pytest.approx(280.0 * 299.0 / 300.0)
    assert rows['place of the last end of "handrail" from the left'] == ("2240 mm", 280.0, at)
    assert rows["rail, keep-out 4, diameter"] == ("24 mm", 3.0, 3.0)
    assert rows["place of the last end of the rail, keep-out 4 from the left"] == (
        "2240 mm",
        280.0,
        at,
    )
    # Its first end is 1 mm in: the fit moves it by too little to say.
    assert 'place of the first end of "handrail" from the left' not in rows
    turned = rows_of(panels["other"])
    assert turned['"handrail", diameter'][2] == 2.0


def test_a_corner_as_built_has_its_row(panels: Mapping[str, PanelPlan]) -> None:
    assert rows_of(panels["side"])["round corner, top right"] == (
        "160 mm",
        pytest.approx(20.0),
        19.0,
    )
    # The other hand is built as drawn: nothing is said of its corners.
    assert not any("corner" in what for what in rows_of(panels["other"]))


def test_a_drawing_has_its_height_and_its_place(panels: Mapping[str, PanelPlan]) -> None:
    rows = rows_of(panels["side"])
    assert rows['height of ornament 1 "crest"'] == ("320 mm", 40.0, 40.0)
    assert rows["place of ornament 1 from the left"][1:] == (60.0, pytest.approx(59.8))
    assert rows["place of ornament 1 from the bottom"][1:] == (
        50.0,
        pytest.approx(50.0 * 121 / 120),
    )


def test_both_edges_of_a_band_and_the_box_of_a_drawing_are_on_the_plan(
    panels: Mapping[str, PanelPlan],
) -> None:
    sizes = sizes_of(panels["other"])  # its crest is on the right, and its upright band left
    up = {round(s.mm, 3): s.of for s in sizes.lining_y}
    across = {round(s.mm, 3): s.of for s in sizes.above_x}
    assert up[97.0] == up[103.0] == "lining 1" and 100.0 not in up
    assert across[47.0] == across[53.0] == "lining 2"
    assert up[30.0] == up[70.0] == across[220.0] == across[260.0] == "ornament 1"


def test_where_rivets_are_stands_in_a_table(panels: Mapping[str, PanelPlan]) -> None:
    (lines,) = (v for k, v in short_tables(panels["other"]).items() if k.startswith("Rivets"))
    assert [line.split("\t") for line in lines[1:]] == [
        ["rivets", "12", "2.00", "290.00", "5.00", "15.00", "5.00", "25.00"],
        ["rivets", "3", "2.00", "290.00", "5.00", "290.00", "105.00", "50.00"],
    ]
    one = panels["other"].keep_outs[0]
    alone = dataclasses.replace(panels["other"], keep_outs=(one,))
    assert "rivets\t1\t2.00\t290.00\t5.00\t290.00\t5.00" in [
        x for v in short_tables(alone).values() for x in v
    ]
