"""How steps of laying share pages: as few pages as may be, then pictures as large as may be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from types import SimpleNamespace

import pytest

from livery.drawing import Label, Stroke
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.make.making import Making
from livery.make.sheets import film_page_search, film_pages, film_steps, film_tables
from livery.make.sheets.film_steps import LayingStep, StepSetting
from livery.make.sheets.film_tables import StepTable, TableRow
from livery.make.sheets.laying_steps import Numbered, laying_steps
from livery.make.sheets.page_flow import HEADING_MM, HEADING_UNDER_MM, MARGIN_MM, TEXT_MM, PageFlow
from livery.make.sheets.pointed_numbers import margin_mm
from livery.write.label_face import label_width
from tests.make.sheets.test_room_on_pages import blank

TABLE = StepTable((), (), 0.0)
SCALES = (0.5, 0.4, 0.3, 0.25, 0.2)
HIGH_MM = 210.0 - 2 * MARGIN_MM - 6.0


def step_of(tall: float, wide: float = 100.0) -> LayingStep:
    """Return a step whose picture is so high and wide at 1:1, its table 30 mm lower beside it."""
    whole = [StepSetting(s, s < 0.4, tall * s + (0.0 if s < 0.4 else 30.0), TABLE) for s in SCALES]
    half = [one._replace(height=one.height + 8.0) for one in whole if one.scale <= 0.3]
    return LayingStep(blank(wide, tall), (), whole, half, SCALES[0])  # type: ignore[arg-type]


def begun(used: float = 0.0, paper: str = "A4") -> PageFlow:
    book = PageFlow("film", "Film", paper, sideways=True)
    book.start_page()
    book.gap(used)
    return book


def divisions(steps: Sequence[LayingStep]) -> Iterator[tuple[tuple[int, int], ...]]:
    """Yield every way to divide steps into pages."""
    for cuts in range(2 ** (len(steps) - 1)):
        ends = [0, *(i for i in range(1, len(steps)) if cuts >> (i - 1) & 1), len(steps)]
        yield tuple(pairwise(ends))


@pytest.mark.parametrize("end_mm", [0.0, 60.0, 170.0])
@pytest.mark.parametrize("used", [30.0, 120.0])
def test_steps_take_the_fewest_pages_with_the_largest_pictures(used: float, end_mm: float) -> None:
    book = begun(used)
    steps = [step_of(tall) for tall in (130.0, 180.0, 90.0, 240.0, 100.0, 150.0, 120.0)]
    found = film_page_search.pages_of_steps(book, steps, end_mm)
    ways = {}
    for division in divisions(steps):
        pages = []
        for begin, end in division:
            high = HIGH_MM - used * (begin == 0) - end_mm * (end == len(steps))
            pages.append(
                film_page_search._page(steps[begin:end], high) if end - begin <= 6 else None
            )
        if all(pages):
            ways[division] = (len(pages), -sum(p.shares for p in pages if p))
    assert bool(found) is bool(ways)
    if found:
        assert [s for page in found for row in page.rows for s in row] == steps
        fewest = min(ways.values())
        assert (len(found), -sum(page.shares for page in found)) == pytest.approx(fewest)
        for i, page in enumerate(found):
            left = HIGH_MM - used * (i == 0) - end_mm * (i == len(found) - 1)
            assert film_page_search._height(page.rows, page.settings) <= left


def test_a_step_alone_may_be_small_and_one_that_shares_a_page_is_two_thirds_of_its_largest() -> (
    None
):
    step = step_of(150.0)
    alone = film_page_search._page([step], 33.0)
    assert alone is not None and alone.settings[0].scale == 0.2
    assert film_page_search._page([step, step], 80.0) is None
    # At 0.4 of 0.5, with 30 mm of table under each.
    assert film_page_search._page([step, step], 2.0 * (150.0 * 0.4 + 30.0) + 3.0) is not None
    assert film_page_search._page([step, step], 2.0 * (150.0 * 0.4 + 30.0) + 2.9) is None
    # At 0.3, where that is 115 mm of paper or more.
    for wide, is_large in ((384.0, True), (383.0, False)):
        large = step_of(150.0, wide)
        assert (film_page_search._page([large, large], 95.0) is not None) is is_large


def test_of_two_pictures_the_smaller_share_is_enlarged_first_while_there_is_room() -> None:
    low, high = step_of(100.0), step_of(200.0)
    rows = ((low,), (high,))
    ways = [list(low.whole), list(high.whole)]
    chosen = [low.whole[2], high.whole[3]]  # at 0.3 and 0.25
    height = film_page_search._height(rows, chosen)
    assert height == pytest.approx(30.0 + 50.0 + 3.0)
    enlarged = film_page_search._enlarged(rows, ways, chosen, height + 10.0)
    assert enlarged is not None and [one.scale for one in enlarged] == [0.3, 0.3]
    # From 0.25 to 0.3 the one needs 10 mm more, from 0.3 to 0.4 the other 40.
    assert film_page_search._enlarged(rows, ways, chosen, height + 9.0) is None
    even = [low.whole[2], high.whole[2]]
    once = film_page_search._enlarged(rows, ways, even, film_page_search._height(rows, even) + 49.0)
    assert once is not None and [one.scale for one in once] == [0.4, 0.3]
    page = film_page_search._set(rows, 200.0)
    assert page is not None and film_page_search._enlarged(rows, ways, page.settings, 200.0) is None
    assert page.shares == pytest.approx(sum(one.scale / 0.5 for one in page.settings))


def test_rows_of_one_or_two_steps_keep_their_order() -> None:
    steps = tuple(step_of(tall) for tall in (100.0, 110.0, 120.0))
    found = [[len(row) for row in rows] for rows in film_page_search._in_rows(steps)]
    assert sorted(found) == [[1, 1, 1], [1, 2], [2, 1]]
    for rows in film_page_search._in_rows(steps):
        assert tuple(step for row in rows for step in row) == steps


def test_two_steps_side_by_side_have_half_the_page_each_and_8_mm_between(
    wagon_making: Making, monkeypatch: pytest.MonkeyPatch
) -> None:
    panel = wagon_making.plan.panels[0]
    (parts, *_) = laying_steps("side", wagon_making.sheets, 24)
    book, rooms = begun(paper="A3"), []
    monkeypatch.setattr(
        film_steps, "_settings", lambda _panel, _parts, *room: rooms.append(room) or ()
    )
    step = film_steps._step(book, panel, parts)
    wide = (book.room - 8.0) / 2.0
    assert rooms == [(book.room, HIGH_MM + 297.0 - 210.0), (wide, HIGH_MM + 297.0 - 210.0)]
    *_, table = film_tables.step_tables(panel, parts)
    low, tall = (StepSetting(0.2, True, high, table) for high in (70.0, 90.0))
    page = film_page_search.PageOfSteps(((step, step), (step,)), (low, tall, low), 1.0)
    film_pages._fill(book, page, wagon_making.colours)
    rules = [m.contour for m in book.pages[0] if isinstance(m, Stroke) and m.width_mm == 0.25]
    heads = [m.at for m in book.pages[0] if isinstance(m, Label) and m.text == panel.title]
    right, left = MARGIN_MM + book.room, MARGIN_MM
    assert [(r.start.x, r.end.x) for r in rules] == [
        pytest.approx(ends)
        for ends in ((left, left + wide), (left + wide + 8.0, right), (left, right))
    ]
    assert heads[0].y == heads[1].y == 297.0 - MARGIN_MM - HEADING_MM
    said = next(m.at for m in book.pages[0] if isinstance(m, Label) and m.text.startswith("Part"))
    assert said.y == pytest.approx(rules[0].start.y - HEADING_UNDER_MM - TEXT_MM)
    assert heads[1].y - heads[2].y == pytest.approx(tall.height + 3.0)
    assert book.y == pytest.approx(297.0 - MARGIN_MM - tall.height - 3.0 - low.height)


def test_as_large_pictures_in_as_few_steps_are_taken_of_even_length(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Steps by their most parts, and the scale of a picture by its step's length."""

    def lengths(divided: dict[int, list[int]], scales: dict[int, float]) -> list[int]:
        monkeypatch.setattr(
            film_steps, "laying_steps", lambda _panel, _sheets, most: [
                range(n) for n in divided.get(most, divided[16])
            ],
        )  # fmt: skip
        monkeypatch.setattr(
            film_steps, "_step", lambda _book, panel, parts: LayingStep(
                panel, parts, (TABLE,) if scales[len(parts)] > 0.1 else (), (), scales[len(parts)]
            ),
        )  # fmt: skip
        found = film_steps.steps_of_panel(begun(), blank(137.0, 57.0), [])  # type: ignore[arg-type]
        return [len(step.parts) for step in found]

    large = dict.fromkeys(range(1, 25), 0.5)
    assert lengths({24: [20, 4], 20: [12, 12], 16: [13, 11]}, large) == [12, 12]
    assert lengths({24: [24], 20: [12, 12], 16: [12, 12]}, {**large, 24: 0.2}) == [24]
    assert lengths({24: [24], 20: [12, 12], 16: [12, 12]}, {**large, 24: 0.1}) == [12, 12]
    assert lengths({24: [20, 2, 2], 20: [9, 9, 6], 16: [8, 8, 8]}, {**large, 20: 0.2, 9: 0.4}) == [
        8,
        8,
        8,
    ]


def test_the_advice_ends_on_the_last_page_of_steps_where_that_takes_no_page_more(
    wagon_making: Making, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is asked how high the advice is, from the margin at the head of a page."""
    asked = []

    def pages(_book: PageFlow, steps: Sequence[LayingStep], end_mm: float) -> Sequence[int]:
        asked.append(end_mm)
        return [1, 2]

    monkeypatch.setattr(film_pages, "pages_of_steps", pages)
    monkeypatch.setattr(film_pages, "_end", lambda book, _advice: book.gap(41.5))
    film_pages._pages_with_end(begun(), [], ())
    assert asked == pytest.approx([0.0, 41.5])


@pytest.mark.parametrize(("left", "bottom"), [(0.0, 0.0), (40.0, -25.0)])
def test_a_picture_stands_beside_its_table_or_over_it_wherever_its_panel_begins(
    left: float, bottom: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    panel = blank(500.0, 200.0)
    panel.frame.extent = Bounds(left, bottom, left + 500.0, bottom + 200.0)
    piece = SimpleNamespace(paint="red", level=1)
    parts = [
        Numbered(SimpleNamespace(number=n, past_edges_mm=3.0 * (n == 88), piece=piece), "a")  # type: ignore[arg-type]
        for n in (7, 88)
    ]
    side, above = margin_mm(["7", "88"])
    shown = []
    monkeypatch.setattr(film_pages, "_picture", lambda *told: shown.append(told[-1]) or ())
    rows = tuple(TableRow(str(n), ("roof",), ("top",)) for n in (7, 88))
    table = StepTable(rows, (0.0, 10.0, 30.0, 50.0), 60.0)
    step = LayingStep(panel, parts, (), (), 0.2)  # type: ignore[arg-type]
    for is_beside in (True, False):
        setting = StepSetting(0.2, is_beside, 90.0, table)
        labels = [
            mark
            for mark in film_pages._block(step, setting, {}, Point(20.0, 190.0), 250.0)
            if isinstance(mark, Label)
        ]
        heads = film_steps._heads_mm(panel, parts, 0.2, 250.0)  # type: ignore[arg-type]
        foot = 190.0 - heads - above - 0.2 * 206.0  # one part runs 3 mm past the panel's edges
        onto = shown.pop()
        assert onto.transformPoint((left - 3.0, bottom - 3.0)) == pytest.approx((20.0 + side, foot))
        assert onto.transformPoint((left + 500.0, bottom))[0] == pytest.approx(120.6 + side)
        names = [mark.at for mark in labels if mark.text == "roof"]
        if is_beside:
            across = 20.0 + 2.0 * side + 101.2 + 5.0 + 10.0
            assert [at.x for at in names] == pytest.approx([across, across])
            assert names[0].y == pytest.approx(190.0 - heads - TEXT_MM)
        else:
            assert [at.x for at in names] == pytest.approx([30.0, 30.0 + 60.0 + 5.0])
            assert names[0].y == names[1].y == pytest.approx(foot - above - 5.0 - TEXT_MM)


def test_pictures_are_at_round_scales_and_halves_of_them() -> None:
    """The reductions of ISO 5455, 1:2.5 and the like, and what halves their steps."""
    reductions = [0.1, 0.2, 0.5, 1, 2, 2.5, 4, 5, 8, 10, 20, 25, 40, 50, 80, 100, 200, 400, 1000]
    assert [1.0 / scale for scale in film_steps.SCALES] == pytest.approx(reductions)


def test_cells_of_a_table_are_4_mm_apart() -> None:
    table = film_tables._table([TableRow("1", ("roof",), ("top",), "a")])
    widths = [label_width(words, TEXT_MM) for words in ("1", "roof", "top")]
    assert [b - a for a, b in pairwise(table.stops)] == pytest.approx([w + 4.0 for w in widths])


@pytest.mark.parametrize(("sheets", "tables"), [("aaabbbbb", 1), ("aabbbccc", 2)])
def test_with_more_than_a_sheet_for_four_parts_each_part_may_have_its_own_beside_it(
    sheets: str, tables: int
) -> None:
    part = SimpleNamespace(number=3, name="roof", outline=rectangle(10.0, 5.0))
    step = [Numbered(part, f"cut-{sheet}-cut-film") for sheet in sheets]  # type: ignore[arg-type]
    found = film_tables.step_tables(blank(100.0, 50.0), step)  # type: ignore[arg-type]
    assert len(list(found)) == tables
