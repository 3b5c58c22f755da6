"""How far a thing may be out before it is reported: just below, and just above."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.findings import LiveryError, Severity
from livery.geometry.measure import bounds
from livery.layout.compose import lay_out
from livery.layout.plan import Plan

HEAD = """\
[job]
title = "Trial"
scale = "1:1"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [90, 0, 10]
[panel.side]
"""
SIDE = 'outline = { rectangle = ["400 mm", "200 mm"] }\n'


def plan_of(folder: Path, body: str, panel: str = SIDE) -> Plan:
    file = folder / "job.toml"
    file.write_text(HEAD + panel + body, encoding="utf-8")
    description = load_description(file)
    assert description.faults == ()
    return lay_out(description)


def codes(folder: Path, body: str, panel: str = SIDE) -> list[str]:
    return [f.code for f in plan_of(folder, body, panel).findings]


@pytest.mark.parametrize(("over", "found"), [(0.04, []), (0.06, ["off-panel"])])
def test_a_keep_out_or_a_line_may_hang_off_by_a_twentieth_of_a_millimetre(
    tmp_path: Path, over: float, found: list[str]
) -> None:
    window = '[[panel.side.keep_out]]\nrectangle = ["30 mm", "20 mm"]\nat = ["%s mm", "50 mm"]\n'
    assert codes(tmp_path, window % (370 + over)) == found
    level = '[[panel.side.lining]]\npaint = "cream"\nwidth = "4 mm"\nlevel = "%s mm"\n'
    assert codes(tmp_path, level % (2 - over)) == (["off-metal"] if found else [])


@pytest.mark.parametrize(("end", "found"), [(404, []), (406, ["off-panel"])])
def test_a_twentieth_of_a_line_along_points_may_run_over_the_edge(
    tmp_path: Path, end: float, found: list[str]
) -> None:
    line = f'along = [["{end - 100} mm", "50 mm"], ["{end} mm", "50 mm"]]\n'
    body = '[[panel.side.lining]]\npaint = "cream"\nwidth = "4 mm"\n' + line
    assert codes(tmp_path, body) == found


@pytest.mark.parametrize(("widths", "found"), [(11.5, []), (12.5, ["off-metal"])])
def test_a_line_is_cut_aslant_along_twelve_of_its_widths_at_most(
    tmp_path: Path, widths: float, found: list[str]
) -> None:
    # It meets the top edge at 300, 200 mm, and rises by 1 mm in so many.
    points = f'["100 mm", "{200 - 200 / widths} mm"], ["330 mm", "{200 + 30 / widths} mm"]'
    line = f'[[panel.side.lining]]\npaint = "cream"\nwidth = "4 mm"\nalong = [{points}]\n'
    assert codes(tmp_path, line) == found


@pytest.mark.parametrize(("long", "found"), [(8, ["hidden-field"]), (12, [])])
def test_a_field_of_which_a_hundredth_of_a_square_millimetre_is_seen_is_not_hidden(
    tmp_path: Path, long: float, found: list[str]
) -> None:
    # A strip 0.001 mm wide is left of the field beneath.
    fields = ""
    for paint, width in (("green", 20.001), ("cream", 20)):
        shape = f'rectangle = ["{width} mm", "{long} mm"], at = ["50 mm", "50 mm"]'
        fields += f'[[panel.side.field]]\npaint = "{paint}"\narea = {{ {shape} }}\n'
    assert codes(tmp_path, fields) == found


@pytest.mark.parametrize(("long", "code"), [(29, None), (31, "too-large")])
def test_no_panel_is_longer_than_thirty_metres(
    tmp_path: Path, long: float, code: str | None
) -> None:
    panel = f'outline = {{ rectangle = ["{long} m", "2 m"] }}\n'
    assert _refusal(tmp_path, panel) == code


@pytest.mark.parametrize(("long", "code"), [(0.9, "too-small"), (1.1, None)])
def test_no_panel_is_shorter_than_a_millimetre(
    tmp_path: Path, long: float, code: str | None
) -> None:
    panel = f'outline = {{ rectangle = ["{long} mm", "0.5 mm"] }}\n'
    assert _refusal(tmp_path, panel) == code


def _refusal(folder: Path, panel: str) -> str | None:
    try:
        plan = plan_of(folder, "", panel)
    except LiveryError as error:
        return error.findings[0].code
    return next((f.code for f in plan.findings if f.severity is Severity.ERROR), None)


@pytest.mark.parametrize(
    ("width", "severity"),
    [
        (416, None),
        (384, None),
        (424, Severity.WARNING),
        (376, Severity.WARNING),
        (580, Severity.WARNING),
        (620, Severity.ERROR),
        (250, Severity.ERROR),
    ],
)
def test_a_panel_as_built_may_differ_by_a_twentieth_and_never_by_half(
    tmp_path: Path, width: float, severity: Severity | None
) -> None:
    built = f'{SIDE}as_built = {{ width = "{width} mm" }}\n'
    try:
        found = plan_of(tmp_path, "", built).findings
    except LiveryError as error:
        found = tuple(error.findings)
    assert {f.severity for f in found if f.code == "misfit"} == ({severity} - {None})


def test_a_band_that_passes_round_keeps_a_tenth_of_a_millimetre_off(tmp_path: Path) -> None:
    window = '[[panel.side.keep_out]]\nrectangle = ["30 mm", "20 mm"]\nat = ["50 mm", "92 mm"]\n'
    line = '[[panel.side.lining]]\npaint = "cream"\nwidth = "4 mm"\nlevel = "100 mm"\n'
    plan = plan_of(tmp_path, window + line + 'at_keep_outs = "pass round"\n')
    (piece,) = plan.panels[0].pieces
    box = bounds(piece.outline)
    # It stands at 98 to 102 and passes below 92 or above 112, by the gap.
    off = 92.0 - (box.bottom + 4.0) if box.bottom < 98.0 else box.top - 4.0 - 112.0
    assert off == pytest.approx(0.1, abs=0.01)
