"""The job book: what was used last, and a paint or an entry on one page with its words."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace

import numpy as np
import pytest

from livery.describe.entries.book import BookEntry
from livery.drawing import Label
from livery.examined import Examined
from livery.make.making import Making
from livery.make.sheets import job_book_pages
from livery.make.sheets.page_flow import HEADING_MM, MARGIN_MM, PageFlow


def begun(rest: float) -> PageFlow:
    """Return a book of which the first page has so much room left."""
    book = PageFlow("book", "Book", "A4")
    book.start_page()
    book.y = MARGIN_MM + book.foot_mm + rest
    return book


def used_on(day: int, bought: str) -> BookEntry:
    return BookEntry(on=date(2027, 3, day), paint="green", bought=bought)


def test_a_vehicle_has_what_was_used_last_of_a_paint() -> None:
    panel = SimpleNamespace(name="side", pieces=(SimpleNamespace(paint="green"),))
    model = SimpleNamespace(paint={"green": None}, surface={})
    entries = [used_on(6, "first tin"), used_on(7, "second tin"), used_on(8, "third tin")]
    lines = list(job_book_pages._worn("van", [panel], model, entries))  # type: ignore[arg-type, list-item]
    assert lines == ["green: 2027-03-08  third tin"]


def test_panels_of_a_vehicle_that_had_different_batches_have_a_line_for_each() -> None:
    pieces = (SimpleNamespace(paint="green"),)
    panels = [SimpleNamespace(name=n, pieces=pieces) for n in ("side", "other-side", "rear", "lid")]
    model = SimpleNamespace(paint={"green": None}, surface={})
    entries = [
        used_on(6, "tin 1").model_copy(update={"panels": ("side", "other-side")}),
        used_on(7, "tin 2").model_copy(update={"panels": ("rear",)}),
        BookEntry(on=date(2027, 3, 8), paint="green", card=(30.0, -20.0, 9.0)),
    ]
    lines = list(job_book_pages._worn("van", panels, model, entries))  # type: ignore[arg-type]
    assert lines == [
        "green on side, other-side: 2027-03-06  tin 1",
        "green on rear: 2027-03-07  tin 2",
        "green on lid: 2027-03-08  a test card",
    ]


@pytest.mark.parametrize("rows", [0, 4])
def test_a_paint_has_its_colour_its_words_and_its_lines_on_one_page(
    rows: int, wagon: Examined, wagon_making: Making, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(job_book_pages, "_report", lambda *_: ("a line of words",) * max(rows, 1))
    pages = set()
    for rest in np.arange(14.0, 42.0, 0.1):
        book = begun(float(rest))
        job_book_pages._paint(book, "green", wagon_making, wagon.colours, [])
        assert sum(map(bool, book.pages)) == 1, rest
        pages.add(len(book.pages))
    assert pages == {1, 2}
    # What comes next stands 1 mm below the colour or the words, whichever ends lower.
    book = begun(100.0)
    top = book.y - 3.5
    job_book_pages._paint(book, "green", wagon_making, wagon.colours, [])
    words = HEADING_MM * 0.85 * 1.75 + max(rows, 1) * 2.1 * 1.75
    assert book.y == pytest.approx(top - max(11.0, words) - 1.0 - 7.0 - 1.0)


def test_lines_on_the_next_page_say_which_paint_they_are_for(
    wagon: Examined, wagon_making: Making
) -> None:
    named = set()
    for rest in np.arange(40.0, 70.0, 1.0):
        book = begun(float(rest))
        entries = [used_on(6, "tin 1"), used_on(7, "tin 2")]
        job_book_pages._paint(book, "green", wagon_making, wagon.colours, entries)
        last = [m.text for m in book.pages[-1] if isinstance(m, Label)]
        assert "green" in last and "day" in last, rest
        named.add(len([page for page in book.pages if page]))
    assert named == {1, 2}


def test_an_entry_stands_on_one_page_its_lines_4_mm_in() -> None:
    entry = BookEntry(
        on=date(2027, 3, 6), paint="green", bought="tin 7", note="two coats, rubbed down"
    )
    pages = set()
    for rest in np.arange(3.0, 16.0, 0.5):
        book = begun(float(rest))
        job_book_pages._entry(book, entry, {}, 20.0)
        labels = [m for page in book.pages for m in page if isinstance(m, Label)]
        assert len(labels) > 1 and sum(map(bool, book.pages)) == 1, rest
        assert [m.at.x for m in labels] == [
            MARGIN_MM + 20.0,
            *[MARGIN_MM + 24.0] * (len(labels) - 1),
        ]
        pages.add(len(book.pages))
    assert pages == {1, 2}
