"""The picture of lines that run on, read back mark by mark."""

from __future__ import annotations

from itertools import pairwise

import pytest
from shapely import box

from livery.describe.entries.vehicle import Face
from livery.drawing import Anchor, Drawing, Label, Stroke
from livery.make.sheets.level_line_picture import level_line_drawing, level_line_pages
from livery.vehicles.consist import InTrain
from livery.vehicles.level_lines import End, FollowedLine, Reach, Step
from livery.vehicles.survey import Vehicles
from livery.write.label_face import label_width
from livery.write.pdf import pdf_bytes


def reach(vehicle: str, face: Face, left: float, right: float) -> Reach:
    return Reach(vehicle, f"{vehicle}-side", face, End(0.0, left, 0.0), End(500.0, right, 0.0), "")


def line_of(count: int) -> FollowedLine:
    reaches = [reach(f"coach-{i}", "left", 200.0 + 0.3 * i, 200.0 + 0.3 * i) for i in range(count)]
    steps = [Step(a, b, 0.3, "vehicles, left") for a, b in pairwise(reaches)]
    return FollowedLine("waist", tuple(reaches), tuple(steps), 0.25)


def picture(line: FollowedLine, van: Vehicles) -> Drawing:
    names = {r.vehicle for r in line.reaches}
    train = [
        InTrain(_named(van, name), 1000.0 * i, turned=False) for i, name in enumerate(sorted(names))
    ]
    drawing = level_line_drawing([line], train, "Trial")
    assert drawing is not None
    pages = level_line_pages([line], train, "Trial", "A4")
    assert pages and all("page" in str(m.layer) for page in pages for m in page.marks)
    return drawing


def _named(van: Vehicles, name: str):  # type: ignore[no-untyped-def]
    from dataclasses import replace

    return replace(van.placed[0], name=name)


def words(drawing: Drawing) -> list[str]:
    return [m.text for m in drawing.marks if isinstance(m, Label)]


def test_every_step_and_every_vehicle_has_its_figure(van: Vehicles) -> None:
    drawing = picture(line_of(20), van)
    text = words(drawing)
    assert text.count("+0.30") == 19
    for i in range(20):
        assert f"coach-{i}: side" in text
    assert "202.85 mm" in text  # half way between 200.0 and 205.7


def test_no_two_figures_meet(van: Vehicles) -> None:
    boxes = []
    for mark in picture(line_of(20), van).marks:
        if isinstance(mark, Label):
            wide = label_width(mark.text, mark.height_mm)
            left = (
                mark.at.x - wide * {Anchor.START: 0, Anchor.MIDDLE: 0.5, Anchor.END: 1}[mark.anchor]
            )
            boxes.append(box(left, mark.at.y, left + wide, mark.at.y + mark.height_mm))
    for i, one in enumerate(boxes):
        assert not any(one.intersects(other) for other in boxes[:i])


def test_heights_are_drawn_as_many_times_larger_as_it_says(van: Vehicles) -> None:
    drawing = picture(line_of(2), van)
    assert any("heights drawn 50 times as large" in w for w in words(drawing))
    jump = next(m for m in drawing.marks if isinstance(m, Stroke) and m.colour == "#b3261e")
    assert jump.contour.end.y - jump.contour.start.y == pytest.approx(0.3 * 50.0)


@pytest.mark.parametrize(
    ("apart", "times"), [(0.87, "50"), (0.89, "25"), (430, "0.1"), (600, "0.1")]
)
def test_heights_are_enlarged_as_far_as_the_chart_has_room(
    apart: float, times: str, van: Vehicles
) -> None:
    """It is 48 mm high, 2 of them clear above and below."""
    line = FollowedLine(
        "waist",
        (reach("a", "left", 200.0, 200.0), reach("b", "left", 200.0 + apart, 200.0 + apart)),
        (),
        1.0,
    )
    assert any(f"drawn {times} times as large" in w for w in words(picture(line, van)))


def test_a_step_is_drawn_from_the_end_of_one_panel_to_the_next(van: Vehicles) -> None:
    reaches = (
        reach("a", "left", 200.0, 200.1), reach("b", "left", 200.3, 200.2), reach("c", "left", 199.9, 200.7),
    )  # fmt: skip
    steps = tuple(Step(a, b, 0.3, "vehicles, left") for a, b in pairwise(reaches))
    marks = picture(FollowedLine("waist", reaches, steps, 9.0), van).marks
    _, *runs = (m.contour for m in marks if isinstance(m, Stroke))  # the first is the level
    (first, second, third), jumps = runs[:3], runs[3:]
    assert [(j.start, j.end) for j in jumps] == [
        (first.end, second.start),
        (second.end, third.start),
    ]


def test_a_name_too_long_for_its_column_is_set_smaller(van: Vehicles) -> None:
    name = "carriage-with-a-name-longer-than-a-column-is-wide"
    line = FollowedLine("waist", (reach(name, "left", 200.0, 200.0),), (), 1.0)
    (label,) = (
        m for m in picture(line, van).marks if isinstance(m, Label) and m.text == f"{name}: side"
    )
    assert label_width(label.text, label.height_mm) == pytest.approx(56.0 - 2.0)


def test_the_right_side_is_drawn_as_it_is_seen(van: Vehicles) -> None:
    front, rear = reach("a", "right", 200.0, 200.0), reach("b", "right", 201.0, 201.0)
    line = FollowedLine("waist", (front, rear), (Step(front, rear, 1.0, "vehicles, right"),), 0.5)
    drawing = picture(line, van)
    places = {m.text: m.at.x for m in drawing.marks if isinstance(m, Label)}
    assert places["b: side"] < places["a: side"]
    assert "-1.00" in places


def test_panels_that_meet_level_have_a_figure_and_no_jump(van: Vehicles) -> None:
    first, second = reach("a", "left", 200.0, 200.0), reach("b", "left", 200.0, 200.0)
    line = FollowedLine("waist", (first, second), (Step(first, second, 0.0, "vehicles"),), 0.5)
    drawing = picture(line, van)
    assert "+0.00" in words(drawing)
    strokes = [m for m in drawing.marks if isinstance(m, Stroke)]
    assert len(strokes) == 3  # the level, and one run for each panel
    assert pdf_bytes([drawing]).startswith(b"%PDF")
