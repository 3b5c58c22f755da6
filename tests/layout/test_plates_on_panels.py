"""Plates on their panels: their place, what they may not cover, and how the elevation shows them."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.describe.references import check_references
from livery.drawing import Area, Stroke
from livery.findings import Finding
from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.layout.compose import lay_out
from livery.layout.plan import Plan, PlateStanding
from livery.make.drawings.elevation import elevation
from livery.make.drawings.template import template, template_lines

JOB = """
[job]
title = "Trial"
scale = "1:8"
[paint.red]
lab = [30, 40, 20]
[panel.cab]
outline = { rectangle = ["1600 mm", "1200 mm"] }
datum = { waist = { height = "600 mm" } }
[[panel.cab.keep_out]]
called = "window"
rectangle = ["240 mm", "160 mm"]
at = ["80 mm", "960 mm"]
[[panel.cab.lining]]
paint = "red"
width = "16 mm"
inset = "40 mm"
[panel.cab-right]
mirror_of = "cab"
[plate.one]
panel = "cab"
at = ["centre", "waist"]
outline = { oval = ["480 mm", "240 mm"] }
border = { width = "16 mm" }
[[plate.one.lettering]]
text = "318"
alphabet = "plain block"
cap_height = "120 mm"
at = ["centre", "middle"]
stand = "middle"
"""


def laid(folder: Path, job: str) -> tuple[Plan, list[Finding]]:
    file = folder / "job.toml"
    file.write_text(job, encoding="utf-8")
    description = load_description(file)
    plan = lay_out(description)
    return plan, [*description.faults, *check_references(description), *plan.findings]


def test_a_plate_stands_at_its_place_and_is_drawn_there(tmp_path: Path) -> None:
    plan, found = laid(tmp_path, JOB)
    assert found == []
    (plate,) = plan.plates
    assert plate.stands == PlateStanding("cab", Point(100.0, 75.0))
    rows = {r.what: r.as_fitted for r in plate.sizes if "middle" in r.what}
    assert rows == {"middle from the left of cab": 100.0, "middle from the bottom of cab": 75.0}
    assert plan.sizes == (*(r for p in plan.panels for r in p.sizes), *plate.sizes)
    shown = {
        panel.name: [
            m
            for m in elevation(panel, {"red": "#ff0000"}, plan.plates).marks
            if isinstance(m, Area) and m.layer == "plates"
        ]
        for panel in plan.panels
    }
    assert [m.name for m in shown["cab"]] == ["plate-one", "plate-one-border", "plate-one-letters"]
    assert shown["cab-right"] == []
    box, page = bounds(shown["cab"][0].outline), bounds(plan.panels[0].frame.outline)
    assert (box.width, box.height) == pytest.approx((60.0, 30.0))
    assert box.centre.x == pytest.approx(100.0 + 12.0 - page.left)  # the margin of an elevation


def test_the_template_of_the_panel_shows_where_to_drill(tmp_path: Path) -> None:
    drilled = JOB.replace(
        "border = {",
        'holes = { diameter = "16 mm", at = [["40 mm", "middle"]] }\n'
        'studs = { diameter = "16 mm", length = "40 mm", at = [["440 mm", "middle"]] }\nborder = {',
    )
    plan, _ = laid(tmp_path, drilled)
    marks = template(plan.panels[0], plates=plan.plates).marks
    lines = [m.contour for m in marks if isinstance(m, Stroke) and m.layer == "plates"]
    assert [c.closed for c in lines].count(True) == 3  # the edge, the hole and the stud
    crosses = [c for c in lines if not c.closed]
    middles = {(c.start.x + c.end.x, c.start.y + c.end.y) for c in crosses}
    edge = bounds(plan.panels[0].frame.outline)
    # 1600 mm at 1:8: the plate's middle is at 100 mm, its hole 25 mm left of it, its stud right.
    assert sorted(x / 2.0 - 12.0 + edge.left for x, _ in middles) == pytest.approx([75.0, 125.0])
    assert [c.closed for c in template_lines(plan.panels[0], plates=plan.plates)].count(True) == 3
    assert not [
        m for m in template(plan.panels[1], plates=plan.plates).marks if m.layer == "plates"
    ]


def test_the_place_is_that_of_the_other_hand_as_it_is_seen(tmp_path: Path) -> None:
    right = JOB.replace('panel = "cab"\nat = ["centre"', 'panel = "cab-right"\nat = ["640 mm"')
    plan, found = laid(tmp_path, right)
    assert found == [] and plan.plates[0].stands == PlateStanding("cab-right", Point(80.0, 75.0))


COVERS = {
    '["280 mm", "waist"]': "covers part of lining 1 on cab",
    '["80 mm", "waist"]': "reaches over the edge on cab",
    '["360 mm", "960 mm"]': 'lies over the keep-out "window" on cab',
}


@pytest.mark.parametrize("at", COVERS)
def test_what_would_lie_under_a_plate_is_reported(tmp_path: Path, at: str) -> None:
    _, found = laid(tmp_path, JOB.replace('["centre", "waist"]', at))
    assert any(COVERS[at] in f.message and f.key == "plate.one.at" for f in found), found
    assert {f.code for f in found} == {"plate-place"} and all(f.remedy for f in found)


WRONG = {
    'panel = "cap"\nat = ["centre", "waist"]': ("undeclared-panel", "plate.one.panel"),
    'panel = "cab"\nat = ["centre", "wast"]': ("undeclared-datum", "plate.one.at.1"),
    'panel = "cab"': ("missing-key", "plate.one"),
}


@pytest.mark.parametrize("written", WRONG)
def test_a_panel_or_a_datum_that_is_not_there_is_refused(tmp_path: Path, written: str) -> None:
    _, found = laid(tmp_path, JOB.replace('panel = "cab"\nat = ["centre", "waist"]', written))
    assert WRONG[written] in {(f.code, f.key) for f in found}, found
