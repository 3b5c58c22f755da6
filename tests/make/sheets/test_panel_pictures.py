"""Pictures stand side by side in rows as long as the page, their words beneath them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import pytest

from livery.drawing import Area, Label, Mark
from livery.geometry.measure import Bounds, bounds
from livery.geometry.shapes import rectangle
from livery.make.sheets.page_flow import LEADING, SMALL_MM
from livery.make.sheets.panel_pictures import WORDS_UNDER_MM, _rows, _Shown


class Page:
    """Keeps the pictures that are put on it."""

    room = 180.0

    def __init__(self) -> None:
        self.rows: list[tuple[Sequence[Mark], float]] = []

    def picture(self, marks: Sequence[Mark], high: float) -> None:
        self.rows.append((marks, high))

    def gap(self, high: float) -> None:
        assert high == 4.0


def shown(title: str, width: float, height: float) -> _Shown:
    def marks(scale: float) -> Iterator[Area]:
        yield Area(rectangle(width * scale, height * scale), "#00ff00")

    return _Shown(title, Bounds(0.0, 0.0, width, height), marks)


def areas(marks: Iterable[Mark]) -> list[tuple[float, ...]]:
    return [tuple(bounds(mark.outline)) for mark in marks if isinstance(mark, Area)]


def test_pictures_fill_a_row_and_go_on_in_the_next() -> None:
    page = Page()
    # At a tenth 100, 70 and 60 mm wide, with 8 mm between them: the first two take 178 of 180 mm.
    every = (shown("a", 1000.0, 340.0), shown("b", 700.0, 200.0), shown("c", 600.0, 340.0))
    _rows(page, every)  # type: ignore[arg-type]
    assert [high for _, high in page.rows] == [34.0 + WORDS_UNDER_MM] * 2
    low = WORDS_UNDER_MM
    assert areas(page.rows[0][0]) == [
        pytest.approx((0.0, low, 100.0, low + 34.0)),
        pytest.approx((108.0, low, 178.0, low + 20.0)),
    ]
    assert areas(page.rows[1][0]) == [pytest.approx((0.0, low, 60.0, low + 34.0))]
    words = [mark for mark in page.rows[0][0] if isinstance(mark, Label)]
    assert [(mark.at.x, mark.text.split(",")[0]) for mark in words] == [
        (0.0, "a"),
        (0.0, "1000.0 x 340.0 mm"),
        (108.0, "b"),
        (108.0, "700.0 x 200.0 mm"),
    ]
    line = SMALL_MM * LEADING
    assert [mark.at.y for mark in words[:2]] == pytest.approx([low - line, low - 2.0 * line])
