"""The fold lines of a mock-up in card, and their notes."""

from types import SimpleNamespace

import pytest

from livery.drawing import Label, Stroke
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.layout.sheet import straight_guide
from livery.make.drawings.mock_up import mock_up
from livery.surfaces.surface import FLAT


def test_folds_are_dashed_and_their_notes_stand_in_rows_beyond_the_tabs() -> None:
    ends = [((x, 0.0), (x, 40.0)) for x in (50.0, 55.0)]
    ends += [((0.0, y), (100.0, y)) for y in (20.0, 18.0)]
    guides = [straight_guide("90 degrees", Point(*a), Point(*b), firm=False) for a, b in ends]
    frame = SimpleNamespace(outline=rectangle(100.0, 40.0), guides=guides, surface=FLAT)
    plan = SimpleNamespace(frame=frame, pieces=(), keep_outs=(), name="side")
    drawing = mock_up(plan, {}, "Trial")  # type: ignore[arg-type]
    folds = [m for m in drawing.marks if isinstance(m, Stroke)]
    assert {(m.dashes, m.width_mm) for m in folds} == {((3.0, 1.5), 0.15)}
    labels = [m for m in drawing.marks if isinstance(m, Label)]
    assert {m.height_mm for m in labels} == {2.5}
    foot = folds[0].contour.start.y
    over = sorted(m.at.y - foot for m in labels if m.at.y - foot > 40.0)
    assert over == pytest.approx([52.0, 57.0])
    beside = sorted(m.at.y - foot for m in labels if m.at.y - foot < 40.0)
    assert beside == pytest.approx([20.0 - 1.25 - 5.0, 20.0 - 1.25])
