"""Barrels: the surface and its development agree, and lines lie where they should."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from livery.geometry.measure import area, length, nearest, point_at
from livery.geometry.outline import Arc, Contour, Line, Point
from livery.surfaces.cone import Barrel, OnBarrel

radii = st.floats(20.0, 200.0)
barrels = st.builds(
    Barrel, radii, radii, st.floats(20.0, 900.0), st.just(0.0), st.floats(0.3, math.tau)
)
shares = st.floats(0.0, 1.0)
TAPER = Barrel(70.0, 84.0, 310.0)


def place(barrel: Barrel, along: float, round_: float) -> OnBarrel:
    angle = barrel.first + round_ * (barrel.last - barrel.first)
    return OnBarrel(along * barrel.length, angle)


@given(barrels, shares, shares)
def test_a_place_on_the_surface_comes_back(barrel: Barrel, along: float, round_: float) -> None:
    there = place(barrel, along, round_)
    back = barrel.rolled(barrel.developed(there))
    assert back.station == pytest.approx(there.station, abs=1e-6)
    assert back.angle == pytest.approx(there.angle, abs=1e-6)


@given(barrels, shares, shares, st.floats(0.0, math.tau))
def test_short_distances_are_the_same_on_the_sheet_and_in_space(
    barrel: Barrel, along: float, round_: float, way: float
) -> None:
    here = place(barrel, along, round_)
    step = 1e-3
    there = OnBarrel(
        here.station + step * math.cos(way),
        here.angle + step * math.sin(way) / barrel.radius_at(here.station),
    )
    flat = math.dist(barrel.developed(here), barrel.developed(there))
    assert flat == pytest.approx(math.dist(barrel.in_space(here), barrel.in_space(there)), rel=1e-4)


@given(barrels, shares)
def test_a_ring_is_the_arc_of_its_girth(barrel: Barrel, along: float) -> None:
    station = along * barrel.length
    girth = (barrel.last - barrel.first) * barrel.radius_at(station)
    assert length(barrel.ring(station)) == pytest.approx(girth)


@given(barrels, st.floats(-0.95, 0.95), st.booleans())
def test_a_level_line_lies_level_in_space(barrel: Barrel, share: float, far: bool) -> None:
    height = share * min(barrel.left, barrel.right)
    full = Barrel(barrel.left, barrel.right, barrel.length)
    line = full.level(height, 0.0, full.length, far=far)
    for i in range(9):
        point, _ = point_at(line, length(line) * i / 8)
        _, across, up = full.in_space(full.rolled(point))
        assert up == pytest.approx(height, abs=0.01)
        assert (across < 0) == far


def test_a_level_line_on_a_taper_is_curved_and_on_a_parallel_barrel_straight() -> None:
    bowed = TAPER.level(40.0, 0.0, 310.0)
    chord = Contour((Line(bowed.start, bowed.end),), closed=False)
    assert nearest(chord, point_at(bowed, length(bowed) / 2)[0]).distance > 0.05
    straight = Barrel(70.0, 70.0, 310.0).level(40.0, 0.0, 310.0)
    assert [type(s) for s in straight.segments] == [Line]
    with pytest.raises(ValueError, match="does not reach"):
        TAPER.level(75.0, 0.0, 310.0)


@given(barrels, shares, shares)
def test_directions_are_those_of_the_developed_place(
    barrel: Barrel, along: float, round_: float
) -> None:
    here = place(barrel, along, round_)
    there = OnBarrel(here.station + 1e-4, here.angle + 1e-6)
    a, b = barrel.developed(here), barrel.developed(there)
    assume(math.dist(a, b) > 1e-6)
    found = barrel.direction(here, 1e-4, 1e-6)
    assert (b.x - a.x) / math.dist(a, b) == pytest.approx(found.x, abs=1e-4)
    assert (b.y - a.y) / math.dist(a, b) == pytest.approx(found.y, abs=1e-4)


@given(barrels, st.floats(-0.4, 0.4), shares)
def test_a_seam_askew_is_a_straight_cut_and_leaves_the_sheet_its_area(
    barrel: Barrel, slope: float, along: float
) -> None:
    askew = replace(barrel, slope=slope)
    assert area(askew.outline) == pytest.approx(area(barrel.outline))
    seam = askew.outline.contours[0].segments[0]
    station = along * barrel.length
    angle = askew.first + askew.seam_shift(station)
    there = askew.developed(OnBarrel(station, angle))
    assert nearest(Contour((seam,), closed=False), there).distance < 1e-5


def test_lines_along_stay_lines_lines_round_become_arcs_and_others_keep_to_the_surface() -> None:
    g = 84.0
    corners = [Point(50, 60), Point(200, 60), Point(200, 300), Point(50, 200)]
    ends = [*corners[1:], corners[0]]
    laid = TAPER.laid(Contour(tuple(map(Line, corners, ends))), lambda p: OnBarrel(p.x, p.y / g))
    assert isinstance(laid.segments[0], Line)
    assert isinstance(laid.segments[1], Arc)
    # The last upright side is the ring at 50 mm, and the slanting one a curve between.
    assert isinstance(laid.segments[-1], Arc)
    slanting = Contour(laid.segments[2:-1], closed=False)
    for i in range(11):
        back = TAPER.rolled(point_at(slanting, length(slanting) * i / 10)[0])
        girth = back.angle * g
        assert girth == pytest.approx(200 + (back.station - 50) * 100 / 150, abs=0.01)


def test_what_is_no_barrel_is_refused() -> None:
    with pytest.raises(ValueError, match="greater than"):
        Barrel(0.0, 10.0, 10.0)
    with pytest.raises(ValueError, match="one turn"):
        Barrel(10.0, 10.0, 10.0, 0.0, 7.0)


def test_half_a_barrel_that_begins_at_half_a_turn_has_half_its_surface() -> None:
    half = Barrel(70.0, 84.0, 310.0, first=math.pi, last=math.tau)
    slant = math.hypot(310.0, 14.0)
    assert area(half.outline) == pytest.approx(math.pi * (70.0 + 84.0) / 2.0 * slant)
    with pytest.raises(ValueError, match="by one turn"):
        Barrel(70.0, 84.0, 310.0, first=-1.0, last=math.tau)


def test_a_ring_of_a_sheet_cut_askew_goes_from_seam_to_seam() -> None:
    askew = Barrel(70.0, 84.0, 310.0, first=0.3, last=3.0, slope=0.2)
    right, _, left, _ = askew.outline.contours[0].segments
    for station in (0.0, 100.0, 310.0):
        ring = askew.ring(station)
        for seam, end in ((right, ring.start), (left, ring.end)):
            assert nearest(Contour((seam,), closed=False), end).distance < 1e-6


def test_a_line_round_a_barrel_is_laid_as_its_ring() -> None:
    round_ = Contour((Line(Point(50.0, 60.0), Point(50.0, 200.0)),), closed=False)
    (laid,) = TAPER.laid(round_, lambda p: OnBarrel(p.x, p.y / 84.0)).segments
    (ring,) = TAPER.ring(50.0, 60.0 / 84.0, 200.0 / 84.0).segments
    assert isinstance(laid, Arc) and isinstance(ring, Arc)
    assert laid.bulge == pytest.approx(ring.bulge)
