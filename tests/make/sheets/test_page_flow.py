"""What a page has room for under a heading."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest

from livery.drawing import Label, Mark, Stroke
from livery.geometry.outline import Point
from livery.make.sheets.page_flow import PageFlow, with_no_short_page
from livery.write.label_face import label_width

# A4 from margin to margin, above what is kept clear for the foot.
HIGH_MM = 297.0 - 2 * 15.0 - 6.0
HEADING_MM = 9.76


def begun(left: float = HIGH_MM) -> PageFlow:
    """Return pages of which the first has so much room left."""
    flow = PageFlow("trial", "Trial", "A4")
    flow.start_page()
    flow.gap(HIGH_MM - left)
    return flow


@pytest.mark.parametrize(("spare", "has_room"), [(0.01, True), (-0.01, False)])
def test_a_heading_stands_on_the_page_of_what_follows_it(spare: float, *, has_room: bool) -> None:
    flow = begun(HEADING_MM + 30.0 + spare)
    assert flow.has_room_below_heading(30.0) is has_room
    flow = begun(HEADING_MM + 20.0 + spare)
    flow.heading("Words, with so much beneath them where nothing is said")
    assert len(flow.pages) == (1 if has_room else 2)
    if has_room:  # what follows is not parted from it
        flow.need(20.0)
        assert len(flow.pages) == 1


def test_a_rule_has_the_finest_line_of_the_standard() -> None:
    flow = begun()
    flow.rule()
    assert [m.width_mm for m in flow.pages[0] if isinstance(m, Stroke)] == [0.13]


@pytest.mark.parametrize(("spare", "is_said"), [(0.01, True), (-0.01, False)])
def test_what_a_page_goes_on_with_is_said_at_its_head_where_it_has_room(
    spare: float, *, is_said: bool
) -> None:
    flow = begun(1.0)
    flow.continued = "Side"
    flow.need(HIGH_MM - HEADING_MM - spare)
    said = [m.text for m in flow.pages[-1] if isinstance(m, Label)]
    assert len(flow.pages) == 2
    assert said == (["Side, continued"] if is_said else [])


def test_as_many_rows_fit_a_page_as_are_high_in_all() -> None:
    """A row is 1.75 times as high as its letters; the last bits of a sum take none of them away."""
    for rows in range(1, 60):
        assert begun(rows * 2.1 * 1.75).rows_left() == rows
        assert begun(rows * 2.1 * 1.75 - 0.01).rows_left() == rows - 1


def test_the_title_at_the_foot_of_a_page_stands_beside_the_bar() -> None:
    """Of 180 mm of A4 the bar takes 100, and the room between them 4."""
    for title in ("Marram Coast Railway, van 16 of the " * n for n in range(1, 6)):
        flow = PageFlow("trial", title, "A4")
        flow.start_page()
        lines = [m for m in flow.drawings()[0].marks if isinstance(m, Label) and m.at.x == 195.0]
        assert all(label_width(m.text, m.height_mm) <= 76.0 for m in lines)
        *words, number = (m.text for m in sorted(lines, key=lambda m: -m.at.y))
        assert number == "page 1 of 1"
        for line, after in pairwise(words):
            more = f"{line} {after.split()[0]}"
            assert label_width(more, lines[0].height_mm) > 76.0


def test_a_picture_is_drawn_once_and_on_pages_that_are_only_tried_never() -> None:
    """A last page of a few lines is tried with tighter ones twice: in vain, here."""
    drawn: list[float] = []

    def marks(tightness: float) -> Iterator[Mark]:
        drawn.append(tightness)
        yield Label("1", Point(2.0, 3.0), 2.1)

    def filled(tightness: float) -> PageFlow:
        flow = PageFlow("trial", "Trial", "A4", tightness=tightness)
        flow.start_page()
        flow.picture(marks(tightness), HIGH_MM)
        flow.picture(marks(tightness), 20.0)
        return flow

    flow = with_no_short_page(filled)
    assert (flow.count, flow.is_last_page_short, drawn) == (2, True, [])
    pages = flow.pages
    assert drawn == [1.0, 1.0]
    assert pages == flow.pages  # drawn, they stay
    assert [m.at for page in pages for m in page] == [Point(17.0, 24.0), Point(17.0, 265.0)]
    assert {m.layer for page in pages for m in page} == {"page"}
    flow.drawings()
    assert drawn == [1.0, 1.0]
