from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Line, Outline, Point
from livery.geometry.shapes import circle, rectangle, ring
from livery.geometry.swept_region import sweep
from livery.lettering.set_text import set_text
from livery.lettering.setting import Setting

shifts = st.tuples(st.integers(-900, 900), st.integers(1, 900)).map(
    lambda hundredths: (hundredths[0] / 100, hundredths[1] / 100)
)


def test_a_rectangle_swept_slantwise_is_a_hexagon():
    swept = sweep(rectangle(10.0, 4.0), Point(3.0, -2.0))
    assert swept.node_count == 6
    assert area(swept) == pytest.approx(10 * 4 + 3 * 4 + 2 * 10)


def test_a_rectangle_swept_along_its_side_is_a_longer_one():
    swept = sweep(rectangle(10.0, 4.0), Point(3.0, 0.0))
    assert swept.node_count == 4
    assert bounds(swept) == pytest.approx((0.0, 0.0, 13.0, 4.0))


@given(shifts)
def test_a_disc_swept_is_two_half_circles_and_two_lines(shift):
    swept = sweep(circle(Point(2.0, 1.0), 3.0), Point(*shift))
    assert area(swept) == pytest.approx(math.pi * 9 + 6 * math.hypot(*shift), rel=1e-7)
    kinds = [type(s) for s in swept.contours[0].segments]
    assert kinds.count(Line) == 2
    assert set(kinds) == {Line, Arc}


def test_a_hole_closes_when_the_sweep_is_longer_than_it_is_wide():
    washer = ring(Point(0.0, 0.0), 8.0, 2.0)
    assert len(sweep(washer, Point(3.9, 0.0)).contours) == 2
    assert len(sweep(washer, Point(4.1, 0.0)).contours) == 1


def test_no_shift_and_no_outline_change_nothing():
    square = rectangle(2.0, 2.0)
    assert sweep(square, Point(0.0, 0.0)) == square
    assert not sweep(Outline(()), Point(1.0, 0.0))


@settings(max_examples=25, deadline=None)
@given(shift=shifts, letter=st.sampled_from("ABGKOQRS&258aeg"))
def test_a_sweep_back_is_the_same_sweep_moved(roman, shift, letter):
    outline = set_text(roman, letter, Setting(15.0)).outline
    there, back = sweep(outline, Point(*shift)), sweep(outline, Point(-shift[0], -shift[1]))
    assert area(there) == pytest.approx(area(back), abs=1e-3)
    assert area(there) >= area(outline)
    assert there.node_count <= 2 * outline.node_count + 12
