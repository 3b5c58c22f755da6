"""Panels that stand where none can are said, and what stands well is not."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.geometry.outline import Point
from livery.layout.compose import lay_out
from livery.pipeline import examine
from livery.vehicles.standing_check import _in_steps, standing_findings
from livery.vehicles.survey import survey_vehicles

SAID = ("same-place", "beyond-headstock", "beyond-side", "below-rail", "wheel-place", "no-width")


@pytest.fixture()
def said(tmp_path: Path, van_text: str) -> Callable[[str, str], list[tuple[str, str]]]:
    """What is said of how panels stand, after some words of the van's description are changed."""

    def codes(old: str, new: str) -> list[tuple[str, str]]:
        assert old in van_text
        file = tmp_path / "job.toml"
        file.write_text(van_text.replace(old, new), encoding="utf-8")
        found = examine(file).findings
        return [(f.code, f.message) for f in found if f.code in SAID]

    return codes


STEP = '[panel.step]\noutline = { rectangle = ["1000 mm", "200 mm"] }\n'
OTHER = '[panel.other]\nmirror_of = "side"\n'


@pytest.mark.parametrize(
    ("more", "is_same"),
    [
        ('[panel.again]\nsame_as = "side"\nplace = { face = "right", height = "1200 mm", lean = "30 deg" }\n', True),
        ('[panel.again]\nsame_as = "side"\nplace = { face = "right", height = "1200 mm", lean = "25 deg" }\n', False),
        ('[panel.again]\nsame_as = "side"\nplace = { face = "right", height = "1200 mm", lean = "30 deg", out = "1020 mm" }\n', False),
        ('[panel.again]\nsame_as = "side"\nplace = { face = "right", height = "1200 mm", lean = "30 deg", station = "2400 mm" }\n', True),
        ('[panel.again]\nsame_as = "side"\nplace = { face = "right", height = "1200 mm", lean = "30 deg", station = "2600 mm" }\n', False),
    ],
    ids=["the same", "leans otherwise", "20 mm further out", "more than half", "less than half"],
)  # fmt: skip
def test_two_panels_in_one_place_are_said(
    said: Callable[[str, str], list[tuple[str, str]]], more: str, is_same: bool
) -> None:
    found = [one for one in said(OTHER, OTHER + more) if one[0] == "same-place"]
    message = "again is at the same place as other, on the right"
    assert found == ([("same-place", message)] if is_same else [])


def test_a_panel_far_past_a_headstock_is_said(
    said: Callable[[str, str], list[tuple[str, str]]],
) -> None:
    assert said("[panel.other]", "[panel.other]") == []
    # The sides are 500 mm long on the model: 65 of 435 mm may stand out, 66 of 434 mm not.
    assert said('length = "5000 mm"\nwidth', 'length = "4350 mm"\nwidth') == []
    short = said('length = "5000 mm"\nwidth', 'length = "4340 mm"\nwidth')
    assert [message.split(": ")[-1] for _, message in short] == [
        "side reaches 66.0 mm past the rear headstock of a vehicle 434.0 mm long",
        "other reaches 66.0 mm past the rear headstock of a vehicle 434.0 mm long",
    ]
    place = 'place = { face = "left", station = "2000 mm"'
    ahead = said(place, 'place = { face = "left", station = "-1300 mm"')
    assert ahead == [
        (
            "beyond-headstock",
            "step reaches 130.0 mm past the front headstock of a vehicle 500.0 mm long",
        )
    ]


ROOF = """[surface.roof]
paint = "grey"
rectangle = ["5000 mm", "2000 mm"]
place = { face = "top", height = "3200 mm" }
"""
WIDTH = 'width = "2000 mm"\nwheels'


def test_sides_on_the_centre_line_without_a_width_are_said(
    said: Callable[[str, str], list[tuple[str, str]]],
) -> None:
    words = "the width of van is not given, so what is on its sides is on its centre line: "
    assert said(WIDTH, "wheels") == [("no-width", words + "side, other")]


@pytest.mark.parametrize(
    ("side", "also", "found"),
    [
        ('"left", height = "1200 mm", out = "1000 mm"', OTHER, []),
        ('"left", height = "1200 mm", built = { out = "99 mm" }', OTHER, []),
        ('"front", height = "1200 mm"', '[panel.other]\nsame_as = "side"\n', []),
        ('"left", height = "1200 mm"', "", []),
        ('"left", height = "1200 mm"', ROOF, ["no-width"]),
    ],
    ids=["out", "out as built", "an end", "one side alone", "a side and a roof"],
)
def test_a_width_is_asked_for_only_where_it_is_used(
    tmp_path: Path, van_text: str, side: str, also: str, found: list[str]
) -> None:
    old = '"left", height = "1200 mm", lean = "30 deg"'
    text = van_text.replace(WIDTH, "wheels").replace(ROOF, "").replace(old, side)
    text = text[: text.index("[panel.step]")].replace(OTHER, also)
    file = tmp_path / "job.toml"
    file.write_text(text, encoding="utf-8")
    assert [f.code for f in examine(file).findings if f.code in SAID] == found


# At 1:10 a barrel of 60 mm radius, 180 mm long, on a vehicle 200 mm long and 80.2 mm wide.
BARREL = """
[job]
title = "Tank 9"
scale = "1:10"
[vehicle.tank]
length = "2000 mm"
width = "802 mm"
settles = "10 mm"
wheels = [{ station = "500 mm", diameter = "900 mm" }]
[panel.barrel]
place = { face = "left", station = "0 mm", axis = "700 mm" }
sheet = { cylinder = { diameter = "1200 mm", length = "1800 mm" } }
"""
LONG = "of a vehicle 200.0 mm long"


@pytest.mark.parametrize(
    ("changes", "messages"),
    [
        ({}, []),
        ({'station = "0 mm"': 'station = "490 mm"'}, []),
        (
            {'station = "0 mm"': 'station = "510 mm"'},
            [f"barrel reaches 31.0 mm past the rear headstock {LONG}"],
        ),
        # Its lowest is 60 mm below its axis; that it settles by 1 mm is not its place's fault.
        ({'axis = "700 mm"': 'axis = "596 mm"'}, []),
        ({'axis = "700 mm"': 'axis = "594 mm"'}, ["barrel reaches 0.6 mm below the rail"]),
        # It is 60 mm aside; a quarter of 80.2 mm is let pass.
        ({"802 mm": "780 mm"}, ["barrel reaches 21.0 mm past the side of a vehicle 78.0 mm wide"]),
        ({'[{ station = "500 mm"': '[{ station = "2010 mm"'}, []),
        (
            {'[{ station = "500 mm"': '[{ station = "2011 mm"'},
            [f"the axle of wheel 1 of tank is 1.1 mm past the rear headstock {LONG}"],
        ),
        (
            {'[{ station = "500 mm"': '[{ station = "-11 mm"'},
            [f"the axle of wheel 1 of tank is 1.1 mm past the front headstock {LONG}"],
        ),
    ],
)
def test_a_barrel_or_a_wheel_where_none_can_be_is_said(
    tmp_path: Path, changes: dict[str, str], messages: list[str]
) -> None:
    text = BARREL
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    file = tmp_path / "job.toml"
    file.write_text(text, encoding="utf-8")
    description = load_description(file)
    model = description.model
    assert model is not None
    placed = survey_vehicles(model, lay_out(description).panels).placed
    assert [finding.message for finding in standing_findings(placed)] == messages


def test_the_round_of_a_barrel_is_followed_in_64_steps() -> None:
    ring = (Point(0.0, 0.0), Point(16.0, 0.0), Point(16.0, 48.0))
    assert [p.x for p in _in_steps(ring, 1.0)][:17] == pytest.approx(list(range(17)))
