"""Corners that cannot be worked are told of, and never left sharp without a word."""

from __future__ import annotations

import math

import pytest

from livery.pipeline import examine

NOSE = """
[job]
title = "Nose"
scale = "1:10"
[paint.cream]
lab = [86, 1, 19]
[panel.nose]
outline = {{ unit = "mm", path = "M 0 0 H 2000 V 500 C 1700 900 900 1000 0 1000 Z" }}
[[panel.nose.lining]]
paint = "cream"
width = "20 mm"
inset = "80 mm"
{corner}
"""
CONE = """
[job]
title = "Taper"
scale = "1:10"
[paint.cream]
lab = [86, 1, 19]
[panel.taper.sheet]
thickness = "0.5 mm on model"
cone = {{ left = "1500 mm", right = "1800 mm", length = "2700 mm" }}
[[panel.taper.field]]
paint = "cream"
[[panel.taper.keep_out]]
left = "900 mm"
right = "1200 mm"
{box}
"""


def examined(folder, text: str):
    (folder / "job.toml").write_text(text, encoding="utf-8")
    return examine(folder / "job.toml")


@pytest.mark.parametrize(
    ("corner", "told"), [("", 0), ('corner = "square"', 0), ('corner = "100 mm"', 1)]
)
def test_a_corner_of_lining_beside_a_free_curve_stays_sharp_and_says_so(
    tmp_path, corner, told
) -> None:
    """The nose's curve meets its front above the line, and its rear edge at the top left."""
    found = [
        f
        for f in examined(tmp_path, NOSE.format(corner=corner)).findings
        if f.code == "corner-sharp"
    ]
    assert len(found) == told
    for finding in found:
        x, y = finding.where_mm
        assert min(abs(x - 192.0), abs(x - 8.0)) < 0.5 and y > 40.0


ROUND = """
[job]
title = "Round"
scale = "1:10"
[paint.cream]
lab = [86, 1, 19]
[panel.side]
outline = {{ rectangle = ["2000 mm", "1000 mm"], corner = "100 mm" }}
[[panel.side.lining]]
paint = "cream"
width = "20 mm"
inset = "{inset} mm"
corner = "square"
"""


@pytest.mark.parametrize(("nearer", "told"), [(0.095, 0), (0.105, 1)])
def test_lining_that_comes_a_tenth_nearer_to_a_round_corner_than_its_inset_is_warned_of(
    tmp_path, nearer, told
) -> None:
    """A square corner is nearer to an arc of 10 mm by √2 - 1 of what its inset is below 10 mm."""
    inset = 10.0 - nearer / (math.sqrt(2.0) - 1.0)
    found = examined(tmp_path, ROUND.format(inset=10.0 * inset)).findings
    assert len([f for f in found if f.code == "near-edge"]) == told


@pytest.mark.parametrize(
    ("box", "faults"),
    [
        ('bottom = "crown"\ntop = "crown + 300 mm"\ncorner = "60 mm"', []),
        (
            'bottom = "600 mm"\ntop = "900 mm"\ncorner = "60 mm"',
            ["corner cannot be made on this part of a cone"],
        ),
        (
            'bottom = "crown"\ntop = "crown + 300 mm"\ncrown = "60 mm"',
            ["crown cannot be made on this part of a cone"],
        ),
    ],
)
def test_a_box_on_a_cone_has_its_corners_or_is_refused(tmp_path, box, faults) -> None:
    assert [f.message for f in examined(tmp_path, CONE.format(box=box)).findings] == faults
