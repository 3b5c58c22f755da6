"""What a page has room for, and when lines stand tighter to save a page."""

from __future__ import annotations

import pytest

from livery.drawing import Stroke
from livery.make.sheets.page_flow import PageFlow, with_no_short_page

# A4 from margin to margin, above what is kept clear for the foot.
HIGH_MM = 297.0 - 2 * 15.0 - 6.0
HEADING_MM = 8.0


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


def test_a_rule_has_the_finest_line_of_the_standard() -> None:
    flow = begun()
    flow.rule()
    assert [m.width_mm for m in flow.pages[0] if isinstance(m, Stroke)] == [0.13]


@pytest.mark.parametrize(("filled", "is_short"), [(49.9, True), (50.1, False)])
def test_a_last_page_is_short_below_50_mm(filled: float, *, is_short: bool) -> None:
    flow = begun()
    assert not flow.is_last_page_short
    flow.start_page()
    flow.gap(filled)
    assert flow.is_last_page_short is is_short


@pytest.mark.parametrize(("saves_at", "taken"), [(0.95, 0.95), (0.9, 0.9), (0.89, 1.0)])
def test_lines_are_no_tighter_than_saves_a_short_page(saves_at: float, taken: float) -> None:
    def filled(tightness: float) -> PageFlow:
        flow = begun()
        if tightness > saves_at:
            flow.start_page()
        flow.tightness = tightness
        return flow

    assert with_no_short_page(filled).tightness == taken
