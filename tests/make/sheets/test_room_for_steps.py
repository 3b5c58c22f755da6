"""What is kept for a step of laying or a coat on a page is what it takes, pictures as large as fit."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from livery.drawing import Anchor, Area, Label, Mark
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.make.coats.coat_schedule import coat_schedule
from livery.make.making import Making
from livery.make.sheets import coat_sheet, film_pages, film_steps, film_tables
from livery.make.sheets.film_tables import CELLS_APART_MM, LINE_MM
from livery.make.sheets.laying_steps import Numbered, laying_steps
from livery.make.sheets.page_flow import LEADING, MARGIN_MM, TEXT_MM, TITLE_MM, PageFlow
from livery.make.sheets.pointed_numbers import margin_mm
from livery.write.label_face import label_width
from tests.make.sheets.test_room_on_pages import blank


@pytest.mark.parametrize("wide", [277.0, 134.5])
@pytest.mark.parametrize("size", [(137.0, 57.0), (30.0, 160.0), (420.0, 95.0)])
def test_a_step_takes_the_room_that_is_kept_for_it(
    wide: float, size: tuple[float, float], wagon_making: Making
) -> None:
    """Set in every way that fits: its words, picture and table end where its height does."""
    panel, high = blank(*size), 174.0
    (parts, *_) = laying_steps("side", wagon_making.sheets, 24)
    step = film_steps.LayingStep(panel, parts, (), (), 1.0)  # type: ignore[arg-type]
    found = list(film_steps._settings(panel, parts, wide, high))  # type: ignore[arg-type]
    for setting in found:
        marks = list(film_pages._block(step, setting, wagon_making.colours, Point(0.0, high), wide))
        labels = [m for m in marks if isinstance(m, Label)]
        ends = [
            m.at.x + label_width(m.text, m.height_mm) for m in labels if m.anchor is Anchor.START
        ]
        assert max(ends) <= wide + 1e-6
        (picture, *_) = (bounds(m.outline) for m in marks if isinstance(m, Area))
        side, above = margin_mm([str(one.part.number) for one in parts])
        assert picture.left == pytest.approx(side) and picture.right + side <= wide + 1e-6
        foot = min(m.at.y for m in labels if m.anchor is Anchor.START) - LINE_MM + TEXT_MM
        low = min(foot, picture.bottom - above) if setting.is_beside else foot
        assert high - low == pytest.approx(setting.height)
    # No larger picture leaves room for the table, neither beside it nor under it.
    larger = [s for s in film_steps.SCALES if s > max((one.scale for one in found), default=0.0)]
    for scale in larger[-1:]:
        heads = film_steps._heads_mm(panel, parts, scale, wide)  # type: ignore[arg-type]
        across, up = scale * size[0] + 2.0 * side, scale * size[1] + 2.0 * above
        table = list(film_tables.step_tables(panel, parts))[-1]  # type: ignore[arg-type]
        half = max(sum(r.height for r in rows) for rows in table.columns(wide))
        assert across > wide or heads + up + 5.0 + half > high
        assert across + 5.0 + table.width > wide or heads + max(up, table.height) > high


def test_a_name_longer_than_its_column_takes_further_lines() -> None:
    words = "letter of a word that is longer than the column for the names of parts is wide"
    part = SimpleNamespace(number=3, name=words, outline=Outline(rectangle(10.0, 5.0).contours))
    one = Numbered(part, "a")  # type: ignore[arg-type]
    row = film_tables._row(blank(100.0, 50.0), one, "cut/a")  # type: ignore[arg-type]
    room = 74.0 - CELLS_APART_MM
    assert all(label_width(line, TEXT_MM) <= room for line in row.name)
    first, word = row.name[0], row.name[1].split()[0]
    assert room < label_width(f"{first} {word}", TEXT_MM) < 74.0 + CELLS_APART_MM
    labels = list(film_tables.written_rows([row], (0.0, 10.0, 50.0, 80.0), 0.0, 40.0))
    lines = [m.at.y for m in labels if isinstance(m, Label) and m.text in row.name]
    assert lines == pytest.approx([40.0 - TEXT_MM - i * LINE_MM for i in range(len(row.name))])


def coat_pages_from(making: Making, rest: float) -> list[list[Mark]]:
    """Return the pages of the wagon's coats, begun with so much of a page left."""
    schedule = coat_schedule(making.coats, making.model)
    book = PageFlow("coats", "Coats", "A4")
    book.start_page()
    book.y = MARGIN_MM + book.foot_mm + rest
    coat_sheet._fill(book, schedule, making.coats, making.colours, "T")
    return book.pages


@pytest.mark.parametrize("share", [0.5, 0.2])
def test_what_is_kept_for_a_coat_is_what_it_takes(
    share: float, wagon_making: Making, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its words beside the picture, and below it."""
    monkeypatch.setattr(coat_sheet, "BESIDE", share)
    (panel,) = coat_schedule(wagon_making.coats, wagon_making.model).panels
    own = wagon_making.coats[0]
    for step in panel.steps:
        book = PageFlow("coats", "Coats", "A4")
        book.start_page()
        book.heading("1. green", follows=0.0)
        headed = book.size[1] - MARGIN_MM - book.y
        book.start_page()
        coat_sheet._coat(book, step, own, iter(()), ())
        taken = book.size[1] - MARGIN_MM - book.y - headed - 2.0
        assert coat_sheet._coat_height(step, own, book.room) == pytest.approx(taken)


def test_what_goes_over_the_colours_stands_beside_a_picture_no_lower_than_its_foot(
    wagon_making: Making, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Tried with ever longer words, which their room divides into lines; its head hangs 3 mm out.

    The head stands 1.5 mm further below what the coat itself says than a line does.
    """
    monkeypatch.setattr(coat_sheet, "BESIDE", 0.7)
    (panel,) = coat_schedule(wagon_making.coats, wagon_making.model).panels
    own, step, found = wagon_making.coats[0], replace(panel.steps[0], reasons=(), after=()), set()
    for count in range(0, 90, 3):
        over = (f"bow pen: red{' again' * count}",)
        book = PageFlow("coats", "Coats", "A4")
        book.start_page()
        book.heading("1. green", follows=0.0)
        top = book.y
        book.start_page()
        coat_sheet._coat(book, step, own, iter(()), over)
        labels = [m for m in book.pages[-1] if isinstance(m, Label)]
        (head,) = (m for m in labels if m.text == f"{coat_sheet.OVER}:")
        above = labels[labels.index(head) - 1]
        assert head.at.x == pytest.approx(labels[-1].at.x - 3.0)
        assert above.at.y - head.at.y == pytest.approx(TEXT_MM * LEADING + 1.5)
        end = labels[-1].at.y + TEXT_MM - TEXT_MM * LEADING
        high = coat_sheet._scale(own, book.room)[1]
        fits = coat_sheet._has_room_beside(step, own, book.room, over)
        assert fits is (top - end <= high), count
        found.add(fits)
    assert found == {True, False}


def test_the_name_of_a_panel_stands_on_the_page_of_its_first_coat(wagon_making: Making) -> None:
    (panel,) = coat_schedule(wagon_making.coats, wagon_making.model).panels
    own = wagon_making.coats[0]
    room = PageFlow("coats", "Coats", "A4").room
    first = coat_sheet._coat_height(panel.steps[0], own, room)
    for rest in (first + 5.0, first + 15.0, first + 25.0, first + 60.0):
        pages = coat_pages_from(wagon_making, rest)
        (named,) = (
            i for i, page in enumerate(pages)
            if any(isinstance(m, Label) and m.height_mm == TITLE_MM for m in page)
        )  # fmt: skip
        (headed,) = (
            i for i, page in enumerate(pages)
            if any(isinstance(m, Label) and m.text.startswith("1. ") for m in page)
        )  # fmt: skip
        assert named == headed, rest
    assert headed == 0
