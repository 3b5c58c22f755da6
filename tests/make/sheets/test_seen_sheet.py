"""How a sheet of colours seen in several ways is laid out."""

from __future__ import annotations

from itertools import pairwise

import pytest

from livery.drawing import Area, Label
from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.make.sheets.seen_sheet import (
    BETWEEN_MM,
    MARGIN_MM,
    TEXT_MM,
    TITLE_MM,
    SeenRow,
    _stacked,
    seen_sheet,
)

OFF = Point(-7.0, 3.0)


def plain(wide: float, high: float, at: Point = OFF) -> tuple[Area, ...]:
    return (Area(rectangle(wide, high, at), "#284e37"),)


def test_pictures_of_panels_stand_one_under_the_other_from_one_left_end() -> None:
    marks = _stacked([plain(40.0, 20.0), plain(30.0, 10.0, Point(5.0, -8.0)), plain(10.0, 5.0)])
    boxes = [bounds(mark.outline) for mark in marks]
    assert [box.left for box in boxes] == pytest.approx([0.0, 0.0, 0.0])
    assert [box.top for box in boxes] == pytest.approx([0.0, -22.0, -33.0])


@pytest.mark.parametrize("count", [1, 3])
@pytest.mark.parametrize(("wide", "high"), [(700.0, 60.0), (90.0, 400.0), (20.0, 8.0)])
def test_rows_are_reduced_alike_to_the_width_or_the_height_of_the_page(
    wide: float, high: float, count: int
) -> None:
    rows = [SeenRow(("By day", "and lamps"), (plain(wide, high),) * count) for _ in range(3)]
    sheet = seen_sheet("seen", "Trial", rows)
    pictures = [
        bounds(m.outline) for m in sheet.marks if isinstance(m, Area) and m.fill == "#284e37"
    ]
    boxes = pictures[::count]
    assert len(pictures) == 3 * count
    right = max(box.right for box in pictures)
    scale = boxes[0].width / wide
    words = 2.0 * 1.7 * TEXT_MM
    top = 297.0 - MARGIN_MM - TITLE_MM - BETWEEN_MM - words
    for box in boxes:
        assert (box.left, box.top) == pytest.approx((MARGIN_MM, top))
        assert (box.width, box.height) == pytest.approx((scale * wide, scale * high))
        top = box.bottom - BETWEEN_MM - words
    for one, other in pairwise(pictures[:count]):
        assert other.left - one.right == pytest.approx(BETWEEN_MM)
    lines = [m.at.y for m in sheet.marks if isinstance(m, Label) and m.text == "and lamps"]
    assert lines == pytest.approx([box.top + 0.7 * TEXT_MM for box in boxes])
    in_all = 3.0 * (words + BETWEEN_MM + scale * high)
    is_full_across = right == pytest.approx(210.0 - MARGIN_MM)
    is_full_down = in_all == pytest.approx(297.0 - 4.0 * MARGIN_MM)
    assert right <= 210.0 - MARGIN_MM + 1e-6 and in_all <= 297.0 - 4.0 * MARGIN_MM + 1e-6
    assert scale == pytest.approx(1.0) or is_full_across or is_full_down
