"""The fold lines of a mock-up in card, and their notes."""

from types import SimpleNamespace

import pytest

from livery.drawing import Area, Drawing, Label, Stroke
from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.layout.sheet import straight_guide
from livery.make.drawings.mock_up import HOW_BENT, mock_up
from livery.surfaces.surface import FLAT
from livery.write.label_face import label_width


def folded_panel(folds: list[tuple[str, tuple[float, float], tuple[float, float]]]) -> Drawing:
    """Return the mock-up of a panel of 100 by 40 mm: what each fold is named, and its ends."""
    guides = [straight_guide(name, Point(*a), Point(*b), firm=False) for name, a, b in folds]
    frame = SimpleNamespace(outline=rectangle(100.0, 40.0), guides=guides, surface=FLAT)
    plan = SimpleNamespace(frame=frame, pieces=(), keep_outs=(), name="side")
    return mock_up(plan, {}, "Trial")  # type: ignore[arg-type]


def test_folds_are_dashed_and_their_notes_stand_in_rows_beyond_the_tabs() -> None:
    ends = [((x, 0.0), (x, 40.0)) for x in (50.0, 55.0)]
    ends += [((0.0, y), (100.0, y)) for y in (20.0, 18.0)]
    drawing = folded_panel([("90 degrees", *both) for both in ends])
    folds = [m for m in drawing.marks if isinstance(m, Stroke)]
    assert {(m.dashes, m.width_mm) for m in folds} == {((3.0, 1.5), 0.15)}
    labels = [m for m in drawing.marks if isinstance(m, Label)]
    assert {m.height_mm for m in labels} == {2.5}
    foot = folds[0].contour.start.y
    over = sorted(m.at.y - foot for m in labels if m.at.y - foot > 40.0)
    assert over == pytest.approx([52.0, 57.0])
    beside = sorted(m.at.y - foot for m in labels if m.at.y - foot < 40.0)
    assert beside == pytest.approx([20.0 - 1.25 - 5.0, 20.0 - 1.25])


def test_the_drawing_reaches_round_the_notes_of_all_folds() -> None:
    """Notes stand in the middle of upright folds, in rows where they are near, and beside level ones."""
    wide = label_width("A" * 30 + HOW_BENT, 2.5)
    stations = (10.0, 15.0, 20.0, 10.0 + wide + 1.0)
    upright = [("A" * 30, (x, 10.0), (x, 40.0)) for x in stations]
    level = [("B", (90.0, y), (100.0, y)) for y in (9.0, 0.0, 0.0, 0.0)]
    drawing = folded_panel(upright + level)
    edge = next(m for m in drawing.marks if isinstance(m, Area) and m.layer == "edge")
    left, bottom, right, top = bounds(edge.outline)
    labels = [m for m in drawing.marks if isinstance(m, Label)]
    over = [(m.at.x - left, m.at.y - top) for m in labels if not m.text.startswith("B")]
    assert sorted(over) == [
        (pytest.approx(x - wide / 2.0), pytest.approx(12.0 + 5.0 * row))
        for row, x in enumerate(stations)
    ]
    beside = [m.at for m in labels if m.text == f"B{HOW_BENT}"]
    assert [at.x - right for at in beside] == pytest.approx(4 * [12.0])
    assert [at.y - bottom for at in beside] == pytest.approx([7.75, -1.25, -6.25, -11.25])
    assert (min(m.at.x for m in labels), min(m.at.y for m in labels)) == pytest.approx((2.0, 2.0))
    ends = [m.at.x + label_width(m.text, 2.5) for m in labels]
    assert drawing.width_mm == pytest.approx(max(ends) + 2.0)
    assert drawing.height_mm == pytest.approx(max(m.at.y for m in labels) + 5.0)
