"""The inside radius of a bend drawn to another of its lines, and the neutral line of a sharp one."""

from __future__ import annotations

import pytest

from livery.surfaces.bend_allowance import inside_radius, neutral_factor


def test_a_radius_drawn_to_another_line_of_the_sheet_is_less_inside_by_what_lies_between() -> None:
    assert inside_radius(5.0, "inside", 1.5, None) == 5.0
    assert inside_radius(5.0, "outside", 1.5, None) == 3.5
    assert inside_radius(5.0, "neutral", 1.5, 0.4) == pytest.approx(4.4)
    inside = inside_radius(5.0, "neutral", 1.5, None)
    assert inside + neutral_factor(inside, 1.5) * 1.5 == pytest.approx(5.0)
    assert 4.25 < inside < 5.0 - 0.25 * 1.5


def test_a_sharp_bend_keeps_a_quarter_and_a_sheet_of_no_thickness_its_middle() -> None:
    assert neutral_factor(0.0, 1.0) == 0.25
    assert neutral_factor(3.0, 0.0) == neutral_factor(0.0, 0.0) == 0.5
