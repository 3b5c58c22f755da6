"""Where a line along points may cover its own edge, and what turn is a corner: below, and above."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from livery.geometry.outline import Contour, Line, Point
from livery.layout.cross_sections import Sections, _eased
from livery.layout.free_check import _corners_of, _crossed


def covered_at(back_to: float, xs: list[float]) -> list[bool]:
    """Return where a line of 2 mm, led back half a millimetre above itself, covers its left edge."""
    line = shapely.LineString([(0.0, 0.0), (200.0, 0.0), (200.0, 0.5), (back_to, 0.5)])
    run, none = np.array(xs), np.empty((0, 2))
    edge = np.stack((run, np.full(len(xs), 1.0)), axis=1)
    sections = Sections(run, np.full(len(xs), 1.0), none, none, (edge, edge))
    every = np.full(len(xs), True)
    found = _crossed(line, sections, edge, np.full(len(xs), 1.0), 2.0, at=every)
    return [bool(f) for f in found]


@pytest.mark.parametrize(("back_to", "count"), [(176.0, 23), (174.0, 0)])
def test_a_line_may_run_over_itself_for_twelve_widths(back_to: float, count: int) -> None:
    assert sum(covered_at(back_to, [k + 0.5 for k in range(200)])) == count


def test_places_within_four_half_widths_along_a_line_are_of_one_bend() -> None:
    assert covered_at(180.0, [198.2]) == [True]  # 4.1 mm on, it comes back here
    assert covered_at(180.0, [198.3]) == [False]  # 3.9 mm on


@pytest.mark.parametrize(("turn", "count"), [(0.9e-4, 0), (1.1e-4, 1)])
def test_a_turn_of_a_ten_thousandth_is_a_corner(turn: float, count: int) -> None:
    bent = Point(20.0, 10.0 * turn)
    line = Contour((Line(Point(0.0, 0.0), Point(10.0, 0.0)), Line(Point(10.0, 0.0), bent)), False)
    assert len(_corners_of(line).run) == count


def test_a_smooth_swelling_eases_from_width_to_width_and_ends_at_the_last() -> None:
    half = _eased([(0.0, 2.0), (10.0, 6.0), (30.0, 4.0)])
    runs = np.array([0.0, 2.5, 5.0, 10.0, 20.0, 30.0, 30.1])
    # Between two points by 3 u^2 - 2 u^3, a quarter of the way by 10/64.
    assert half(runs) == pytest.approx([1.0, 1.0 + 2.0 * 10 / 64, 2.0, 3.0, 2.5, 2.0, 2.0])
