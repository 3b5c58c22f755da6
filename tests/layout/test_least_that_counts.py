"""What counts as a fault of the layout and what as rounding: just below each limit, and above."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from livery.geometry.outline import Arc, Contour, Line, Point, Segment
from livery.geometry.shapes import rectangle
from livery.layout.band_check import _gap_breach
from livery.layout.cross_sections import sections_beside
from livery.layout.crossing_lines import crossing_lines


@pytest.mark.parametrize(("mm2", "is_found"), [(0.009, False), (0.011, True)])
def test_strands_that_touch_may_share_a_hundredth_of_a_square_millimetre(
    mm2: float, is_found: bool
) -> None:
    wide = 0.02 + mm2 / 9.98  # a hundredth of a millimetre all round is their rounding
    one, other = shapely.box(0, 0, 10, 10), shapely.box(10 - wide, 0, 20, 10)
    assert (_gap_breach(one, other, 0.0) is not None) is is_found


@pytest.mark.parametrize(("mm2", "is_found"), [(0.009, False), (0.011, True)])
def test_closed_lines_may_share_a_hundredth_of_a_square_millimetre(
    mm2: float, is_found: bool
) -> None:
    across = rectangle(10.0 + mm2 / 2.0, 2.0)
    closed: Any = {
        key: SimpleNamespace(called=key, pieces=[SimpleNamespace(outline=outline)])
        for key, outline in (("one", across), ("other", rectangle(4.0, 2.0, Point(10.0, 0.0))))
    }
    assert [f.code for f in crossing_lines(closed)] == ["lines-cross"] * is_found


@pytest.mark.parametrize(
    ("segment", "count"),
    [
        (Line(Point(0.0, 0.0), Point(2.0, 0.0)), 2),
        (Line(Point(0.0, 0.0), Point(2.1, 0.0)), 3),
        (Arc(Point(0.0, 0.0), Point(2.0, 0.0), 0.1), 8),
        (Arc(Point(0.0, 0.0), Point(20.0, 0.0), 0.1), 21),
    ],
)
def test_a_line_is_measured_every_millimetre_and_a_bend_in_eight_places(
    segment: Segment, count: int
) -> None:
    assert len(sections_beside(Contour((segment,), False), lambda run: (1.0, -1.0)).run) == count
