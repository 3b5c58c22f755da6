"""A line is followed along a vehicle, round its corners and over the gap to the next."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.pipeline import examine
from livery.vehicles.level_lines import FollowedLine, line_findings
from livery.vehicles.survey import survey_vehicles

JOB = """
[job]
title = "Two vans"
scale = "1:10"
[vehicle.first]
length = "5000 mm"
width = "2000 mm"
[vehicle.second]
length = "5000 mm"
width = "2000 mm"
[line.waist]
datum = "waist"
"""


def side(name: str, vehicle: str, face: str, waist: float, height: str = '"100 mm"') -> str:
    return f"""
[panel.{name}]
outline = {{ rectangle = ["{"2000" if face in ("front", "rear") else "5000"} mm", "2000 mm"] }}
place = {{ vehicle = "{vehicle}", face = "{face}", built = {{ height = {height} }} }}
[panel.{name}.datum.waist]
height = "1000 mm"
built = "{waist} mm on model"
"""


def followed(tmp_path: Path, *panels: str, line: str = "") -> FollowedLine:
    file = tmp_path / "job.toml"
    file.write_text(JOB + line + "".join(panels), encoding="utf-8")
    examined = examine(file)
    assert not examined.exit_status, examined.findings
    model = examined.description.model
    assert model is not None
    return survey_vehicles(model, examined.plan.panels).lines[0]


def test_a_step_put_in_is_the_step_found(tmp_path: Path) -> None:
    line = followed(tmp_path, side("a", "first", "left", 100.0), side("b", "second", "left", 102.5))
    (step,) = line.steps
    assert step.step_mm == pytest.approx(2.5)
    assert step.between == "vehicles, left"
    assert line.level_height == pytest.approx(201.25)


def test_the_warning_says_what_would_level_it(tmp_path: Path) -> None:
    line = followed(tmp_path, side("a", "first", "left", 100.0), side("b", "second", "left", 102.4))
    (finding,) = line_findings(line, "line.waist")
    assert "steps by more than 0.5 mm at one place; the largest is 2.4 mm up" in finding.message
    assert "201.2 mm above rail" in finding.remedy
    assert "first by up to +1.2 mm, second by up to -1.2 mm" in finding.remedy


def test_a_line_keeps_to_the_vehicles_it_names(tmp_path: Path) -> None:
    panels = [side("a", "first", "left", 100.0), side("b", "second", "left", 102.5)]
    line = followed(tmp_path, *panels, line='vehicles = ["second"]\n')
    assert [reach.vehicle for reach in line.reaches] == ["second"]


def test_what_is_within_the_tolerance_passes(tmp_path: Path) -> None:
    line = followed(tmp_path, side("a", "first", "left", 100.0), side("b", "second", "left", 100.5))
    assert not line.too_large
    assert list(line_findings(line, "line.waist")) == []


def test_a_line_goes_round_all_four_corners(tmp_path: Path) -> None:
    line = followed(
        tmp_path,
        *(
            side(f, "first", f, w)
            for f, w in zip(
                ("left", "rear", "right", "front"), (100.0, 101.0, 103.0, 106.0), strict=True
            )
        ),
    )
    assert [r.face for r in line.reaches] == ["left", "rear", "right", "front"]
    assert [s.step_mm for s in line.steps] == pytest.approx([1.0, 2.0, 3.0, -6.0])


def test_a_side_that_is_not_level_slopes_and_meets_by_its_ends(tmp_path: Path) -> None:
    """Heights above rail are given at the leading end first, on either side."""
    sloping = '["100 mm", "104 mm"]'
    line = followed(
        tmp_path,
        side("a", "first", "left", 100.0, sloping),
        side("b", "second", "left", 100.0),
        side("c", "first", "right", 100.0, sloping),
        side("d", "second", "right", 100.0),
    )
    a, c = line.reaches[0], line.reaches[1]
    assert (a.panel, c.panel) == ("a", "c")
    assert a.slope == pytest.approx(4.0, abs=0.01)
    assert c.slope == pytest.approx(-4.0, abs=0.01)
    assert [s.step_mm for s in line.steps] == pytest.approx([-4.0, -4.0], abs=0.05)


def test_the_edges_of_a_lining_are_followed_too(tmp_path: Path) -> None:
    file_line = "\n[paint.red]\nlab = [40, 50, 30]\n"
    lining = """
[[panel.a.lining]]
called = "belt"
paint = "red"
width = "20 mm"
along = [["0 mm", "900 mm"], ["5000 mm", "900 mm"]]
"""
    job = (JOB + file_line).replace('datum = "waist"', 'lining = "belt"\nedge = "top"')
    file = tmp_path / "job.toml"
    file.write_text(job + side("a", "first", "left", 100.0) + lining, encoding="utf-8")
    examined = examine(file)
    assert not examined.exit_status, [f.as_text() for f in examined.findings]
    model = examined.description.model
    assert model is not None
    line = survey_vehicles(model, examined.plan.panels).lines[0]
    assert line.reaches[0].height == pytest.approx(100.0 + 90.0 + 1.0)


def test_a_line_on_no_panel_is_said(tmp_path: Path) -> None:
    line = followed(tmp_path, side("a", "first", "left", 100.0).replace("waist", "sill"))
    (finding,) = line_findings(line, "line.waist")
    assert "no panel" in finding.message


def test_a_vehicle_that_is_named_and_has_no_such_line_is_reported(tmp_path: Path) -> None:
    panels = side("a", "first", "left", 100.0), side("b", "second", "left", 100.0)
    line = followed(tmp_path, panels[0], line='vehicles = ["first", "second"]\n')
    (finding,) = line_findings(line, "line.waist")
    assert finding.message == 'no panel with a place on second has the datum "waist"'
    line = followed(tmp_path, *panels, line='vehicles = ["first", "second"]\n')
    assert list(line_findings(line, "line.waist")) == []
