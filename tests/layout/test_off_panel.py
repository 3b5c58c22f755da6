"""Keep-outs, areas and lines that hang off their panel, and fields that others hide."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.layout.off_panel import overhang
from livery.pipeline import Examined, examine

HEAD = """\
[job]
title = "Trial"
scale = "1:8"
[paint.green]
lab = [30, -20, 10]
[paint.cream]
lab = [90, 0, 10]
[panel.side]
outline = { polygon = [["0 mm", "0 mm"], ["3200 mm", "0 mm"], ["3200 mm", "800 mm"], ["1600 mm", "800 mm"], ["1600 mm", "1600 mm"], ["0 mm", "1600 mm"]] }
"""  # 400 x 200 mm at scale, an L


def examined(folder: Path, text: str) -> Examined:
    file = folder / "job.toml"
    file.write_text(HEAD + text, encoding="utf-8")
    return examine(file)


def warned(folder: Path, text: str) -> tuple[Finding, ...]:
    job = examined(folder, text)
    assert job.exit_status == 0
    assert all(f.severity is Severity.WARNING and f.remedy and f.where_mm for f in job.findings)
    return job.findings


def window(left: int, bottom: int, more: str = "") -> str:
    shape = f'rectangle = ["400 mm", "240 mm"]\nat = ["{left} mm", "{bottom} mm"]\n'
    return f"[[panel.side.keep_out]]\n{shape}{more}"


@pytest.mark.parametrize(
    ("left", "bottom", "by"),
    [(2800, 400, ""), (2820, 400, "2.5 mm"), (1400, 1000, "25.0 mm"), (100, -16, "2.0 mm")],
)
def test_a_keep_out_that_hangs_off_its_panel_is_told_by_how_much(
    tmp_path: Path, left: int, bottom: int, by: str
) -> None:
    found = warned(tmp_path, window(left, bottom))
    assert [f.code for f in found] == ["off-panel"] * bool(by)
    assert all(f"hangs off the panel, by {by}" in f.message for f in found)


def test_a_twentieth_of_a_millimetre_off_the_panel_is_rounding() -> None:
    panel = to_shapely(rectangle(100.0, 50.0))
    assert overhang(rectangle(10.0, 10.0, Point(90.049, 20.0)), panel) is None
    found = overhang(rectangle(10.0, 10.0, Point(90.051, 20.0)), panel)
    assert found is not None and found.by_mm == pytest.approx(0.051)


def test_repeats_off_their_panel_are_counted_apart_from_those_that_hang(tmp_path: Path) -> None:
    repeat = 'repeat = { count = 4, pitch = "1000 mm" }\n'
    found = warned(tmp_path, window(100, 400, repeat))
    assert [f.message.split(" off")[0] for f in found] == [
        "1 of these 4 keep-outs hangs",
    ]
    off, hanging = warned(tmp_path, window(500, 400, repeat.replace("1000", "1200")))
    assert off.message == "1 of these 4 keep-outs lies off the panel"
    assert hanging.message.startswith("1 of these 4 keep-outs hangs off the panel, by 12.5 mm")


def test_a_repeated_area_that_hangs_off_its_panel_is_told(tmp_path: Path) -> None:
    stripes = (
        '[panel.side.area.stripe]\nrectangle = ["200 mm", "400 mm"]\nat = ["2100 mm", "0 mm"]\n'
        'repeat = { count = 4, pitch = "320 mm" }\n'
    )
    (found,) = warned(tmp_path, stripes)
    assert found.message.startswith("1 of these 4 areas hangs off the panel, by 7.5 mm")


LINES = (
    '[[panel.side.lining]]\npaint = "cream"\nwidth = "16 mm"\n'
    'along = [["200 mm", "%s"], ["2400 mm", "%s"]]\ncount = 3\nspacing = "80 mm"\n'
)


def test_repeated_lines_off_their_panel_are_told(tmp_path: Path) -> None:
    low, high = LINES % ("100 mm", "100 mm"), LINES % ("840 mm", "840 mm")
    (found,) = examined(tmp_path, low).findings
    assert found.message == "1 of these 3 lines runs off the panel, wholly"
    (found,) = examined(tmp_path, high).findings
    assert found.message == "1 of these 3 lines runs off the panel, up to 36% of its length"
    assert examined(tmp_path, LINES % ("600 mm", "600 mm")).findings == ()


FIELD = '[[panel.side.field]]\npaint = "%s"\n'


def test_a_field_that_others_hide_is_told_at_its_line(tmp_path: Path) -> None:
    half = 'area = { right = "1600 mm" }\n', 'area = { left = "1600 mm" }\n'
    hidden = FIELD % "green" + FIELD % "cream" + half[0] + FIELD % "cream" + half[1]
    (found,) = examined(tmp_path, hidden).findings
    assert found.code == "hidden-field" and found.severity is Severity.WARNING
    assert found.key == "panel.side.field.0" and found.place is not None
    assert "field 2 (cream) and field 3 (cream) lie over all of it" in found.message
    assert examined(tmp_path, FIELD % "green" + FIELD % "cream" + half[0]).findings == ()


def test_a_clear_coat_hides_nothing(tmp_path: Path) -> None:
    varnish = '[paint.varnish]\nlab = [90, 0, 10]\nkind = "clear"\n'
    assert examined(tmp_path, varnish + FIELD % "green" + FIELD % "varnish").findings == ()


@pytest.mark.parametrize(
    ("at", "corner"),
    [
        ('["800 mm", "400 mm"]', (100.0, 50.0)),
        ('["centre", "middle - 400 mm"]', (175.0, 35.0)),
        ('["right - 80 mm", "bottom + 80 mm"]', (340.0, 10.0)),
        ('["left + 80 mm", "top - 80 mm"]', (10.0, 160.0)),
    ],
)
def test_a_rectangle_stands_where_its_place_says(
    tmp_path: Path, at: str, corner: tuple[float, float]
) -> None:
    text = f'[[panel.side.keep_out]]\nrectangle = ["400 mm", "240 mm"]\nat = {at}\n'
    (keep_out,) = examined(tmp_path, text).plan.panels[0].keep_outs
    assert bounds(keep_out.outline)[:2] == pytest.approx(corner)


@pytest.mark.parametrize(
    ("at", "left"), [('"800 mm"', 100.0), ('"left + 800 mm"', 100.0), ('"centre"', 195.0)]
)
def test_an_ornament_stands_where_its_place_says(tmp_path: Path, at: str, left: float) -> None:
    text = (
        '[[panel.side.ornament]]\npaint = "cream"\npath = "M 0 0 H 80 V 80 H 0 Z"\n'
        f'unit = "mm"\nat = [{at}, "400 mm"]\n'
    )
    (piece,) = examined(tmp_path, text).plan.panels[0].pieces
    assert bounds(piece.outline)[:2] == pytest.approx((left, 50.0))
