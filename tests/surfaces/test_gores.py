"""Gores: they join, they close, and more of them are nearer the surface."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry.measure import bounds, length, nearest, point_at
from livery.geometry.outline import Arc, Contour, Line, Point
from livery.geometry.validity import faults
from livery.surfaces.gores import Gores, _turn, gores_within

# A spun nose: a short parallel part, a curve in, and a blunt flat tip.
NOSE = Contour(
    (
        Line(Point(0, 50), Point(20, 50)),
        Arc(Point(20, 50), Point(60, 10), -math.tan(math.pi / 8)),
        Line(Point(60, 10), Point(60, 4)),
    ),
    closed=False,
)


@settings(max_examples=20, deadline=None)
@given(st.integers(3, 48))
def test_gores_are_sound_outlines_as_long_as_the_profile(count: int) -> None:
    gores = Gores(NOSE, count)
    assert not faults(gores.outline)
    box = bounds(gores.outline)
    assert gores.on_gore(0.0, gores.height) == pytest.approx((0.0, length(NOSE)))
    assert nearest(gores.outline, Point(0.0, length(NOSE))).distance < 1e-6
    assert box.left == pytest.approx(-box.right)
    assert gores.outline.contours[0].closed


@settings(max_examples=12, deadline=None)
@given(st.integers(3, 40))
def test_more_gores_are_nearer(count: int) -> None:
    few, more = Gores(NOSE, count).errors, Gores(NOSE, count + 1).errors
    assert all(b <= a for a, b in zip(few, more, strict=True))


def test_where_the_surface_is_parallel_the_gore_is_too() -> None:
    gores = Gores(NOSE, 10)
    assert gores.outline.contours[0].segments[1] == Line(
        Point(math.pi * 5, 0.0), Point(math.pi * 5, 20.0)
    )


def test_too_small_an_error_and_too_few_gores_are_refused() -> None:
    with pytest.raises(ValueError, match="even 96 gores"):
        gores_within(NOSE, 1e-6)
    with pytest.raises(ValueError, match="three"):
        Gores(NOSE, 2)


@given(st.floats(0.0, 60.0))
def test_a_level_is_found_by_its_distance_along_the_axis(along: float) -> None:
    up = Gores(NOSE, 8).level(along)
    if along <= 20.0:
        assert up == pytest.approx(along)
    else:
        # On the quarter round of 40 mm centred at (20, 10).
        assert up == pytest.approx(20.0 + 40.0 * math.asin((along - 20.0) / 40.0), abs=1e-6)


def test_a_level_beyond_the_profile_is_refused() -> None:
    with pytest.raises(ValueError, match="does not reach"):
        Gores(NOSE, 8).level(61.0)


@given(st.floats(0.0, 1.0))
def test_the_radius_is_found_up_the_profile(share: float) -> None:
    gores = Gores(NOSE, 8)
    up = share * gores.height
    true = point_at(NOSE, up)[0].y
    assert gores.radius_at(up) == pytest.approx(true, abs=1e-6)
    assert gores.radius_at(-1.0) == 50.0


BALL = Contour((Arc(Point(0, 30), Point(30, 0), -math.tan(math.pi / 8)),), closed=False)


def test_beyond_its_neighbours_a_level_line_goes_straight_on() -> None:
    gores = Gores(BALL, 12)
    for way in (-1.0, 1.0):
        edge = way * 3.0 * gores.half_angle
        within, here, beyond = (gores.on_gore(edge + way * d, 20.0) for d in (-1e-6, 0.0, 1e-6))
        assert beyond.x - here.x == pytest.approx(here.x - within.x, rel=1e-4)
        assert beyond.y - here.y == pytest.approx(here.y - within.y, rel=1e-4)
        far = gores.on_gore(edge + way * 0.5, 20.0)
        assert math.dist(here, far) == pytest.approx(0.5 * gores.radius_at(20.0))


def test_a_radius_is_that_of_the_profile_to_its_very_end() -> None:
    gores = Gores(BALL, 12)
    for up in (0.0, 20.0, gores.height - 0.01, gores.height):
        assert gores.radius_at(up) == pytest.approx(30.0 * math.cos(up / 30.0), abs=1e-8)


def test_a_cones_gores_sag_most_where_it_is_widest() -> None:
    gores = Gores(Contour((Line(Point(0, 10), Point(30, 50)),), closed=False), 12)
    assert gores.errors.sag == pytest.approx((math.pi / 12) ** 2 * 50.0 * 0.8 / 2.0)


def test_as_many_as_96_gores_are_tried() -> None:
    errors = Gores(BALL, 96).errors
    assert gores_within(BALL, max(errors.edge, errors.width)).count == 96


@pytest.mark.parametrize(("turn", "is_smooth"), [(0.019, True), (-0.019, True), (0.021, False)])
def test_a_profile_that_turns_by_a_fiftieth_has_a_corner(turn: float, is_smooth: bool) -> None:
    middle, end = (
        Point(40.0, 50.0),
        Point(40.0 + 10.0 * math.cos(turn), 50.0 + 10.0 * math.sin(turn)),
    )
    profile = Contour((Line(Point(0.0, 50.0), middle), Line(middle, end)), closed=False)
    assert Gores(profile, 8).is_smooth is is_smooth


def test_a_turn_is_from_the_one_way_to_the_other() -> None:
    assert _turn(Point(0.6, 0.8), Point(0.8, 0.6)) == pytest.approx(math.atan2(-0.28, 0.96))
