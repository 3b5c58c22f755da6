"""Corners that cannot be worked are told of, and never left sharp without a word."""

from __future__ import annotations

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
