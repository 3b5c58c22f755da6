"""A drawing lies its margin within its page, wherever the panel or plate has its origin."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from livery.drawing import Area, Label, Stroke
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.make.drawings.artwork import _artwork
from livery.make.drawings.elevation import elevation_transform
from livery.make.drawings.plate_cutting import _to_page
from livery.make.drawings.plate_section import _written, section_drawing, section_of
from livery.make.drawings.stencil_sheet import _sheet
from livery.make.drawings.template import _onto_sheet
from livery.mesh import Mesh
from livery.process import Process
from livery.write.label_face import CAPTION_LEADING, LEAST_CAP_MM, label_width

CORNER = Point(50.0, 30.0)
OUTLINE = rectangle(100.0, 40.0, CORNER)


def test_the_corner_of_a_panel_or_plate_is_its_margin_within_the_page() -> None:
    frame = SimpleNamespace(outline=OUTLINE, extent=bounds(OUTLINE))
    panel: Any = SimpleNamespace(frame=frame, pieces=(), name="side")
    plate: Any = SimpleNamespace(plate=SimpleNamespace(outline=OUTLINE), cutter_mm=1.0)
    artwork = _artwork(panel, Process.BOW_PEN, "Trial").from_panel
    assert artwork.transformPoint(CORNER) == (12.0, 24.0)
    assert elevation_transform(panel).transformPoint(CORNER) == (12.0, 24.0)
    assert _onto_sheet(panel).transformPoint(CORNER) == (12.0, 12.0)
    assert _to_page(plate).transformPoint(CORNER) == (7.0, 7.0)


def test_a_stencil_is_its_margin_larger_and_its_words_stay_on_it() -> None:
    words = "side: stencil, word, cream"
    wide = label_width(words, LEAST_CAP_MM) - 7.0  # with margins 1 mm more than the words
    layer: Any = SimpleNamespace(outline=rectangle(wide, 9.0, CORNER), name="word", paint="cream")
    panel: Any = SimpleNamespace(name="side")
    sheet = _sheet("stencil", panel, [layer], layer, 4.0, title="Trial")
    assert sheet.sheet == pytest.approx(Bounds(46.0, 26.0, 54.0 + wide, 43.0))
    assert len([m for m in sheet.drawing.marks if isinstance(m, Label)]) == 2


def wedge(bottom: float) -> Mesh:
    """Return a solid as wide at every y as y, from y 0 to 60, from a height to 5 mm."""
    foot = [(0.0, 0.0), (60.0, 60.0), (0.0, 60.0)]
    points = np.array([(x, y, z) for z in (bottom, 5.0) for x, y in foot])
    sides = [(i, j, j + 3, i + 3) for i, j in ((0, 1), (1, 2), (2, 0))]
    faces = [(2, 1, 0), (3, 4, 5)]
    faces += [three for a, b, c, d in sides for three in ((a, b, c), (a, c, d))]
    return Mesh(points, np.array(faces))


def cast(middle: float, contraction: float) -> Any:
    """Return a plate with studs and letters whose middle is at a height."""
    letters = rectangle(10.0, 4.0, Point(0.0, middle - 2.0))
    return SimpleNamespace(
        plate=SimpleNamespace(letters=letters, studs=letters, hollow=()),
        allowance=SimpleNamespace(contraction=contraction),
        name="cast",
        title="Cast",
    )


def test_a_section_is_taken_just_above_the_middle_of_the_letters_of_the_pattern() -> None:
    section = bounds(section_of(cast(20.0, 0.05), wedge(0.0)))
    assert section.width == pytest.approx(21.00137, abs=1e-5)


def test_words_of_a_section_stand_line_by_line_clear_of_it() -> None:
    over = "this half of the mould lifts"
    room = label_width(f"{over} off", LEAST_CAP_MM) - 0.5
    drawing = section_drawing(cast(room - 14.0, 0.0), wedge(-2.0))
    metal = next(bounds(m.outline) for m in drawing.marks if isinstance(m, Area))
    labels = [m for m in drawing.marks if isinstance(m, Label)]
    above = [m for m in labels if m.at.y > metal.top]
    below = [m for m in labels if m.at.y < metal.bottom]
    assert {m.text for m in above} == {over, "off upward"} and len(below) > 1
    assert metal.bottom - max(m.at.y for m in below) == pytest.approx(11.2)
    parting = next(m.contour for m in drawing.marks if isinstance(m, Stroke))
    assert parting.start.y == pytest.approx(metal.bottom + 2.0)
    assert [(m.text, m.at.x, m.at.y) for m in _written(["a", "b"], 40.0, 3.0)] == [
        ("a", 20.0, 3.0 + CAPTION_LEADING * LEAST_CAP_MM),
        ("b", 20.0, 3.0),
    ]


def test_a_page_is_as_wide_as_the_longest_words_of_its_section() -> None:
    drawing = section_drawing(cast(2.5, 0.0), wedge(-2.0))
    words = max(label_width(m.text, LEAST_CAP_MM) for m in drawing.marks if isinstance(m, Label))
    assert drawing.width_mm == pytest.approx(words + 2.0)
