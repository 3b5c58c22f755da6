"""Whether lines keep their distance: told of lines made right and made wrong."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry.corners import recornered
from livery.geometry.evenness import Measured, _corners, uneven
from livery.geometry.offset import inset
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, chain
from livery.geometry.shapes import Corner, polygon, rectangle

L_SHAPE = polygon([Point(*p) for p in ((0, 0), (90, 0), (90, 40), (50, 40), (50, 80), (0, 80))])


def moved(outline: Outline, distance: float) -> Measured:
    return Measured(inset(outline, distance).contours)


@pytest.mark.parametrize("kind", ["square", "round", "incurved", "chamfered", "notched"])
def test_insets_are_even_round_every_corner(kind: str) -> None:
    edge = recornered(L_SHAPE, Corner(kind, 6.0), turn_in=True)
    assert uneven(moved(edge, 0.5), moved(edge, 2.0), 1.5) is None


@pytest.mark.parametrize("out", [0.0115, 0.02, -0.0115, -0.02])
def test_what_is_out_by_more_than_a_hundredth_is_found_where_it_is(out: float) -> None:
    outer = Measured(rectangle(100, 60).contours)
    inner = Measured(rectangle(94, 54 + out, Point(3, 3)).contours)
    found = uneven(outer, inner, 3.0)
    assert found is not None
    assert found.distance_mm == pytest.approx(3.0 - out, abs=1e-6)
    assert found.at.y == pytest.approx(60.0 if found.at.y > 58 else 57 + out)


@pytest.mark.parametrize(("low", "high"), [(2.95, 3.2), (2.8, 3.05)])
def test_of_a_place_too_near_and_one_too_far_the_worse_is_given(low: float, high: float) -> None:
    outer = Measured([chain([Point(0, 0), Point(100, 0)], closed=False)])
    heights = [
        (0, 3.0),
        (40, 3.0),
        (44, low),
        (48, 3.0),
        (60, 3.0),
        (64, high),
        (68, 3.0),
        (100, 3),
    ]
    inner = Measured([chain([Point(x, y) for x, y in heights], closed=False)])
    found = uneven(outer, inner, 3.0)
    assert found is not None
    worse = min((low, high), key=lambda v: -abs(v - 3.0))
    assert found.distance_mm == pytest.approx(worse, abs=0.02)


@pytest.mark.parametrize("out", [0.0085, -0.0085])
def test_what_is_out_by_less_is_not(out: float) -> None:
    inner = Measured(rectangle(94, 54 + out, Point(3, 3)).contours)
    assert uneven(Measured(rectangle(100, 60).contours), inner, 3.0) is None


@pytest.mark.parametrize(("turn", "count"), [(1.9, 0), (2.1, 1)])
def test_a_turn_of_two_degrees_is_a_corner(turn: float, count: int) -> None:
    bent = Point(20.0, 10.0 * math.tan(math.radians(turn)))
    line = chain([Point(0.0, 0.0), Point(10.0, 0.0), bent], closed=False)
    corners = _corners([line], left=True)
    assert len(corners.at) == count
    assert len(_corners([line], left=False).at) == 0


def test_a_mitre_may_be_a_tenth_longer_than_between_straight_sides() -> None:
    corners = _corners(rectangle(10.0, 10.0).contours, left=True)
    assert corners.mitre == pytest.approx([1.1 * math.sqrt(2.0)] * 4)


def test_a_neck_that_a_line_has_no_room_in_is_found() -> None:
    """The outer line runs through a neck 14 mm wide, where one 8 mm in cannot follow."""
    neck = [(0, 0), (100, 0), (100, 43), (130, 43), (130, 0), (200, 0), (200, 100), (130, 100)]
    neck += [(130, 57), (100, 57), (100, 100), (0, 100)]
    edge = polygon([Point(*p) for p in neck])
    assert uneven(moved(edge, 0.0), moved(edge, 3.0), 3.0) is None
    found = uneven(moved(edge, 0.0), moved(edge, 8.0), 8.0)
    assert found is not None and found.distance_mm > 8.0 and 100 <= found.at.x <= 130


def test_straight_sides_are_measured_every_4_mm() -> None:
    """Every corner keeps its distance; opposite a gap of 6 mm the other line is further away."""
    ends = ((0.0, 47.0), (53.0, 100.0))
    outer = Measured([chain([Point(a, 0), Point(b, 0)], closed=False) for a, b in ends])
    inner = Measured([chain([Point(0, 3), Point(100, 3)], closed=False)])
    found = uneven(outer, inner, 3.0)
    assert found is not None and found.at == pytest.approx((48.0, 3.0))
    assert found.distance_mm == pytest.approx(math.hypot(1.0, 3.0))


def test_no_line_inside_is_found() -> None:
    assert uneven(Measured(rectangle(10, 10).contours), Measured(()), 6.0) is not None


@settings(max_examples=30, deadline=None)
@given(st.floats(20.0, 60.0), st.floats(10.0, 80.0), st.floats(0.5, 3.0), st.floats(0.5, 4.0))
def test_insets_are_even_where_a_side_meets_a_bulge(
    radius: float, degrees: float, first: float, width: float
) -> None:
    """A bulge in a straight side: at its foot the line turns in, and its arc gets tighter inward."""
    half = radius * math.sin(math.radians(degrees))
    bulge = math.tan(math.radians(degrees) / 2)
    arc = Arc(Point(100 - half, 0), Point(100 + half, 0), bulge)
    sides = [Point(200, 0), Point(200, 120), Point(0, 120), Point(0, 0)]
    lines = [Line(p, q) for p, q in zip((arc.end, *sides), (*sides, arc.start), strict=True)]
    edge = Outline((Contour((arc, *lines)),))
    assert uneven(moved(edge, first), moved(edge, first + width), width) is None
