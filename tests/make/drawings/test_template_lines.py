"""A template has one line at each place, and its words one size."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.drawing import Stroke
from livery.layout.compose import lay_out
from livery.make.drawings.template import _names_along, template
from livery.write.label_face import label_width
from livery.write.tiles import NAME_MM

JOB = """\
[job]
title = "Trial"
scale = "1:1"
[panel.side]
outline = {{ rectangle = ["400 mm", "200 mm"] }}
[panel.side.datum]
door = {{ station = "100 mm" }}
pillar = {{ station = "{} mm" }}
"""


@pytest.mark.parametrize(("apart", "lines"), [(0.04, 2), (0.06, 3)])
def test_places_less_than_a_twentieth_of_a_millimetre_apart_have_one_line(
    tmp_path: Path, apart: float, lines: int
) -> None:
    file = tmp_path / "job.toml"
    file.write_text(JOB.format(100 + apart), encoding="utf-8")
    (panel,) = lay_out(load_description(file)).panels
    upright = [
        mark
        for mark in template(panel).marks
        if isinstance(mark, Stroke)
        and mark.contour.start.x == mark.contour.end.x
        and abs(mark.contour.start.y - mark.contour.end.y) > 150.0
    ]
    assert len(upright) == lines  # the panel's middle has one too


@pytest.mark.parametrize(("longer", "parts"), [(1.98, 2), (2.02, 1)])
def test_a_name_that_would_cross_the_middle_of_its_line_is_divided(
    longer: float, parts: int
) -> None:
    name = "corner: 90 deg away, inside radius 31.49 mm"
    names = list(_names_along(name, longer * label_width(name, NAME_MM)))
    assert len(names) == parts and ", ".join(names) == name
