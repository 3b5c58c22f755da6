"""What a page has room for under a heading."""

from __future__ import annotations

import pytest

from livery.drawing import Stroke
from livery.make.sheets.page_flow import PageFlow

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
