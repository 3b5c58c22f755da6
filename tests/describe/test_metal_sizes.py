"""Sizes as built are the model's own: with or without "on model", in any unit."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.examined import Examined
from livery.geometry.measure import bounds
from livery.geometry.outline import Arc
from livery.pipeline import examine

HEAD = """\
[job]
title = "Trial"
scale = "1:8"
[paint.green]
lab = [30, -20, 10]
[panel.side]
outline = { rectangle = ["3200 mm", "1600 mm"] }
"""  # 400 x 200 mm at scale


def examined(folder: Path, text: str) -> Examined:
    file = folder / "job.toml"
    file.write_text(HEAD + text, encoding="utf-8")
    return examine(file)


SAME = [
    'polygon = [["0 mm", "0 mm"], ["402 mm", "0 mm"], ["402 mm", "201 mm"], ["0 mm", "201 mm"]]',
    'polygon = [["0 mm on model", "0 mm"], ["402 mm on model", "0 mm"], '
    '["402 mm", "201 mm on model"], ["0 mm", "201 mm"]]',
    'rectangle = ["402 mm", "201 mm"]',
    'rectangle = ["15 105/127 in", "7 116/127 in"]',  # inches of the rule on the model
    'rectangle = ["1 ft 3 105/127 in", "20.1 cm"]',
    'path = "M 0 0 H 402 V 201 H 0 Z", unit = "mm"',
    'path = "M 0 0 H 40.2 V 20.1 H 0 Z", unit = "cm"',
    'file = "side.svg", name = "side"',
    'width = "402 mm", height = "7 116/127 in"',
]


@pytest.mark.parametrize("as_built", SAME)
def test_a_panel_as_built_is_of_the_models_own_size(tmp_path: Path, as_built: str) -> None:
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="402mm" height="201mm" '
        'viewBox="0 0 402 201"><path id="side" d="M0 0H402V201H0Z"/></svg>'
    )
    (tmp_path / "side.svg").write_text(svg, encoding="utf-8")
    job = examined(tmp_path, f"as_built = {{ {as_built} }}\n")
    assert job.findings == ()
    (panel,) = job.plan.panels
    assert bounds(panel.frame.outline) == pytest.approx((0.0, 0.0, 402.0, 201.0), abs=1e-3)


@pytest.mark.parametrize("corner", ['"12 mm"', '"12 mm on model"', '{ round = "12 mm" }'])
def test_a_corner_as_built_is_of_the_models_own_size(tmp_path: Path, corner: str) -> None:
    corners = f'{{ top_left = "8 mm", others = {corner} }}'
    shape = f'rectangle = ["402 mm", "201 mm"], corner = {corners}'
    job = examined(tmp_path, f"as_built = {{ {shape} }}\n")
    (contour,) = job.plan.panels[0].frame.outline.contours
    radii = sorted(s.radius for s in contour.segments if isinstance(s, Arc))
    assert radii == pytest.approx([8.0, 12.0, 12.0, 12.0])


@pytest.mark.parametrize("built", ['"99 mm"', '"99 mm on model"', '"3 114/127 in"'])
def test_a_datum_as_built_is_of_the_models_own_size(tmp_path: Path, built: str) -> None:
    job = examined(tmp_path, f'datum = {{ waist = {{ height = "800 mm", built = {built} }} }}\n')
    assert job.findings == ()
    assert job.plan.panels[0].frame.heights["waist"] == pytest.approx(99.0)


BARE = {
    "a width": ("as_built = { width = 402 }\n", "402 mm"),
    "a width in quotes": ('as_built = { width = "402" }\n', "402 mm"),
    "a point": ('as_built = { polygon = [[0, 0], ["402 mm", 0], ["0 mm", "9 mm"]] }\n', "0 mm"),
    "a corner": ('as_built = { rectangle = ["9 mm", "9 mm"], corner = 4.5 }\n', "4.5 mm"),
    "a corner of its own": (
        'as_built = { rectangle = ["9 mm", "9 mm"], corner = { top_left = "4" } }\n',
        "4 mm",
    ),
    "a circle": (
        'as_built = { circle = { centre = ["9 mm", "9 mm"], diameter = 8 } }\n',
        "8 mm",
    ),
    "a datum": ('datum = { waist = { height = "800 mm", built = 99 } }\n', "99 mm"),
    "a face": (
        '[panel.end.sheet]\nacross = "900 mm"\nfaces = [{ flat = "900 mm", built = 112 }]\n',
        "112 mm",
    ),
}


@pytest.mark.parametrize(("text", "answer"), BARE.values(), ids=BARE)
def test_a_bare_number_as_built_is_answered_with_millimetres(
    tmp_path: Path, text: str, answer: str
) -> None:
    (finding,) = examined(tmp_path, text).findings
    assert finding.code == "missing-unit"
    assert f'Write "{answer}"' in finding.remedy
    assert ' in"' not in finding.remedy and " ft" not in finding.remedy


ODD = {
    "an outline and a size": 'rectangle = ["402 mm", "201 mm"], width = "402 mm"',
    "a corner alone": 'corner = "9 mm"',
    "edges": 'left = "9 mm", width = "402 mm"',
    "a file at the prototype's size": 'file = "side.svg", name = "side", drawn = "prototype"',
}


@pytest.mark.parametrize("as_built", ODD.values(), ids=ODD)
def test_what_is_no_panel_as_built_is_refused(tmp_path: Path, as_built: str) -> None:
    job = examined(tmp_path, f"as_built = {{ {as_built} }}\n")
    assert {f.code for f in job.findings} <= {"shape", "missing-file"}
    assert job.exit_status == 2 and job.findings[0].remedy
