"""How large pictures are, what stands beside them, and when the rest of a page is too little."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from livery.drawing import Label, Mark, Stroke
from livery.geometry.measure import Bounds
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import rectangle
from livery.layout.piece import PieceKind
from livery.layout.plan import Baseline
from livery.make.making import Making
from livery.make.sheets import coat_sheet, colour_card, job_book_pages
from livery.make.sheets.film_pages import film_pages
from livery.make.sheets.free_places import FreePlaces
from livery.make.sheets.front_page import _pictures
from livery.make.sheets.guide_strips import CLEAR_MM, draw_strips
from livery.make.sheets.letter_places import lettered_lines
from livery.make.sheets.page_flow import (
    LEADING,
    MARGIN_MM,
    TEXT_MM,
    TITLE_MM,
    PageFlow,
    with_no_short_page,
)
from livery.make.sheets.setting_out_details import detail_sheets
from livery.make.sheets.title_block import TitleBlock
from livery.make.sheets.written_columns import written_columns

ROOM_MM = 180.0


def words_of(marks: list[Mark] | tuple[Mark, ...]) -> list[str]:
    return [m.text for m in marks if isinstance(m, Label)]


def blank(wide: float, high: float) -> SimpleNamespace:
    """Return a panel with nothing on it."""
    frame = SimpleNamespace(
        extent=Bounds(0.0, 0.0, wide, high), outline=rectangle(wide, high), scale="1:8"
    )
    return SimpleNamespace(frame=frame, pieces=(), keep_outs=(), name="side", title="Side")


@pytest.mark.parametrize(("high", "drawn"), [(42.0, 42.0), (42.1, 21.05)])
def test_a_coats_picture_is_at_most_so_high(high: float, drawn: float) -> None:
    own = SimpleNamespace(panel=blank(50.0, high))
    assert coat_sheet._scale(own, ROOM_MM)[1] == pytest.approx(drawn)  # type: ignore[arg-type]


def test_words_stand_beside_a_picture_of_half_the_page_and_below_a_wider_one() -> None:
    widths = (ROOM_MM / 2.0, ROOM_MM / 2.0 + 0.1)
    owns = [SimpleNamespace(panel=blank(wide, 30.0)) for wide in widths]
    assert [coat_sheet._beside(own, ROOM_MM) for own in owns] == [True, False]  # type: ignore[arg-type]


@pytest.mark.parametrize(("high", "scale"), [(34.0, "full size"), (34.1, "1:2")])
def test_a_panel_in_the_job_book_and_on_the_front_page_is_at_most_so_high(
    high: float, scale: str
) -> None:
    panel = blank(50.0, high)
    making = SimpleNamespace(colours={}, plan=SimpleNamespace(plates=(), panels=(panel,)))
    book, front = PageFlow("a", "A", "A4"), PageFlow("b", "B", "A4")
    job_book_pages._panel(book, panel, making)  # type: ignore[arg-type]
    _pictures(front, making)  # type: ignore[arg-type]
    for flow in (book, front):
        assert any(scale in words for words in words_of(flow.pages[0]))


@pytest.mark.parametrize(("rest", "pages"), [(11.4, 1), (11.3, 2)])
def test_a_section_of_a_card_begins_where_two_lines_have_room_under_its_heading(
    rest: float, pages: int
) -> None:
    card = colour_card._Card((210.0, 297.0), ("green", ""), colour_card.LEADING)
    card.y = colour_card.MARGIN_MM + colour_card.FOOT_MM + rest
    card.section(colour_card._CardSection("Notes", ()))
    assert len(card.pages) == pages


@pytest.mark.parametrize(
    ("lines", "pages", "tightness"), [(71, 1, 1.0), (74, 1, 0.95), (78, 1, 0.9), (81, 2, 1.0)]
)
def test_a_page_of_a_few_lines_is_saved_by_tighter_lines(
    lines: int, pages: int, tightness: float
) -> None:
    def filled(tightness: float) -> PageFlow:
        book = PageFlow("a", "A", "A4", tightness=tightness)
        for i in range(lines):
            book.text(f"line {i}")
        return book

    book = with_no_short_page(filled)
    assert (len(book.pages), book.tightness) == (pages, tightness)
    heights = [m.at.y for m in book.pages[0] if isinstance(m, Label)]
    assert heights[0] - heights[1] == pytest.approx(LEADING * TEXT_MM * tightness)


@pytest.mark.parametrize(("used", "short"), [(49.9, True), (50.1, False)])
def test_a_last_page_is_short_under_50_mm(used: float, short: bool) -> None:
    flow = PageFlow("a", "A", "A4")
    card = colour_card._Card((210.0, 297.0), ("green", ""), colour_card.LEADING)
    flow.start_page()
    assert not flow.is_last_page_short and not card.is_last_page_short
    flow.start_page()
    card.pages.append([])
    flow.gap(used)
    card.y = card.top - used
    assert flow.is_last_page_short is card.is_last_page_short is short


def test_details_end_just_above_the_title_block_of_their_sheet(wagon_making: Making) -> None:
    """Each heading more moves the lines by a fifth of their distance: one of five ends near the rest."""
    panel, block = wagon_making.plan.panels[0], TitleBlock("Trial", "Side")
    flow = PageFlow("a", "A", "A4", sideways=True)
    top = MARGIN_MM + 5.0 + block.height(flow.room)  # of the block, which stands over the bar
    rests = []
    for more in range(5):
        lists = {f"List {i}": ["at 1"] for i in range(more)} | {"Sizes": ["at 2" + " " * 40] * 600}
        marks = detail_sheets(panel, block, "A4", lists, {})[0].marks
        ends = min(m.at.y for m in marks if isinstance(m, Label) and m.text.startswith("at "))
        rests.append(ends - (LEADING - 1.0) * TEXT_MM - top)
    assert 3.0 - 1e-6 <= min(rests) < 3.8


@pytest.mark.parametrize(("more", "fits"), [(0.0, True), (0.1, False)])
def test_letters_have_a_strip_that_leaves_75_mm_of_the_pages_height(
    more: float, fits: bool
) -> None:
    flow = PageFlow("a", "A", "A4", sideways=True)
    high = flow.size[1] - 75.0 - 2.0 * CLEAR_MM + more
    letters = Outline(rectangle(60.0, high).contours)
    piece = SimpleNamespace(kind=PieceKind.LETTERING, key="a", outline=letters)
    base = Baseline("I", Point(0, 0), Point(60, 0), high, "a")
    (line,) = lettered_lines(SimpleNamespace(pieces=(piece,), baselines=(base,)))  # type: ignore[arg-type]
    draw_strips(flow, line)
    said = [w for page in flow.pages for w in words_of(page)]
    assert any("Guide strip" in w for w in said) is fits
    assert any("Too high for a strip" in w for w in said) is not fits


def test_words_in_a_crowd_are_led_away_as_far_as_38_mm() -> None:
    at = Point(0.0, 0.0)
    grid = [Stroke(chain([(x, -90.0), (x, 90.0)], closed=False)) for x in range(-90, 36)]
    places = FreePlaces(grid, Bounds(-90.0, -90.0, 90.0, 90.0))
    box, off = places.beside("A", 2.0, at, 0.0)
    assert off == 38.0 and places.is_free(box) and (box.left + box.right) / 2.0 == 38.0


def test_two_panels_on_a_page_of_film_stand_apart(wagon_making: Making) -> None:
    wagon = wagon_making
    side = wagon.plan.panels[0]
    twice = replace(wagon.plan, panels=(side, side))
    (page,) = film_pages(wagon.sheets, twice, wagon.colours, "T", "A1", advice=())
    labels = [m for m in page.marks if isinstance(m, Label)]
    second = [m.at.y + TITLE_MM for m in labels if m.text == f"T: {side.title}"][1]
    above = [m.at.y for m in labels if m.at.y >= second]
    assert min(above) - second == pytest.approx(3.0)


def test_a_table_over_two_pages_is_read_column_by_column_on_each() -> None:
    flow = PageFlow("a", "A", "A4", sideways=True)
    flow.repeats_heading = True
    flow.heading("Offsets")
    flow.gap(flow.y - 60.0)
    lines = [f"{i:03d} and some words to fill it" for i in range(90)]
    written_columns(flow, lines)
    read = []
    for page in flow.pages:
        rows = [m for m in page if isinstance(m, Label) and m.text in lines]
        read += [m.text for m in sorted(rows, key=lambda m: (m.at.x, -m.at.y))]
    assert len(flow.pages) == 2 and read == lines
