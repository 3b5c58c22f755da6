"""Gores of a sphere against published map projections, solid and spherical geometry.

Sources: J. P. Snyder, Map Projections: A Working Manual, USGS Professional Paper 1395
(1987): chapter 18, polyconic, equations for the sphere (18-1 to 18-3) with the numerical
example of its appendix (equations and figures from memory; the figures are also worked here
by hand); chapter 13, Cassini, whose distances square to the middle meridian are true, as they
are on a film pressed down from its middle line.  The second theorem of Pappus and Guldin;
Archimedes' 4 pi R^2.
"""

from __future__ import annotations

import math

import pytest

from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Contour, Line, Point
from livery.surfaces.gores import Gores, gores_within

P = Point
R = 60.0
HALF = Contour((Arc(Point(0, R), Point(R, 0), -math.tan(math.pi / 8)),), closed=False)


def polyconic(turn: float, latitude: float) -> Point:
    e = turn * math.sin(latitude)
    cot = 1.0 / math.tan(latitude)
    return Point(R * cot * math.sin(e), R * (latitude + cot * (1.0 - math.cos(e))))


@pytest.mark.parametrize("latitude", [3.0, 25.0, 40.0, 72.0, 89.0])
@pytest.mark.parametrize("turn", [-21.0, 7.5, 15.0])
def test_a_sphere_is_laid_flat_by_the_polyconic_projection(turn: float, latitude: float) -> None:
    t, p = math.radians(turn), math.radians(latitude)
    assert Gores(HALF, 8).on_gore(t, R * p) == pytest.approx(polyconic(t, p), abs=1e-6)


def test_snyder_s_numerical_example_comes_out() -> None:
    # Sphere of radius 1, 40 deg N 75 deg W, from 30 deg N 96 deg W: x = 0.2781798, y = 0.2074541.
    x, y = Gores(HALF, 8).on_gore(math.radians(21), R * math.radians(40))
    assert x / R == pytest.approx(0.2781798, abs=1e-6)
    assert y / R - math.radians(30) == pytest.approx(0.2074541, abs=1e-6)


@pytest.mark.parametrize("count", [8, 12, 24])
def test_the_cut_edge_lies_where_an_unstretched_film_meets_the_meridian(count: int) -> None:
    lam = math.pi / count
    for latitude in (5, 20, 35, 50, 65, 80):
        p = math.radians(latitude)
        x = R * math.asin(math.cos(p) * math.sin(lam))
        y = R * math.atan(math.tan(p) / math.cos(lam))
        edge = Gores(HALF, count).on_gore(lam, R * p)
        assert math.dist(edge, (x, y)) < 0.25 * R * lam**4


@pytest.mark.parametrize("count", [6, 8, 12, 24])
def test_gores_hold_a_little_more_than_the_area_of_the_sphere(count: int) -> None:
    gores = Gores(HALF, count)
    surplus = count * area(gores.outline) / (2 * math.pi * R**2) - 1.0
    lam = math.pi / count
    # On the polyconic, lengths along a meridian lam away are 1 + lam^2 cos^2 / 2 too long
    # (Snyder, chapter 18), which over the gore and the half sphere makes lam^2 / 9.
    assert surplus == pytest.approx(lam**2 / 9.0, rel=0.1)


@pytest.mark.parametrize("count", [6, 12, 24])
def test_a_gore_is_as_wide_as_the_equator_and_as_long_as_the_meridian(count: int) -> None:
    box = bounds(Gores(HALF, count).outline)
    assert box.width == pytest.approx(2 * math.pi * R / count, abs=0.005)
    assert box.height == pytest.approx(math.pi * R / 2)


@pytest.mark.parametrize("count", [12, 24, 48])
def test_the_edge_is_too_long_by_what_curvature_takes(count: int) -> None:
    # Gauss: a strip w from its middle line shrinks by K w^2 / 2; over the quarter turn, with
    # w = R lam cos(latitude), that is pi lam^2 R / 8.
    lam = math.pi / count
    assert Gores(HALF, count).errors.edge == pytest.approx(math.pi * lam**2 * R / 8, rel=0.03)


@pytest.mark.parametrize("count", [12, 24])
def test_the_sag_is_that_of_the_parallel_s_cone(count: int) -> None:
    lam = math.pi / count
    sag = 0.0
    for tenth in range(1, 900):
        p = math.radians(tenth / 10)
        sag = max(sag, polyconic(lam, p).y - R * p)
    found = Gores(HALF, count).errors
    assert found.sag == pytest.approx(sag, rel=0.03)
    assert found.width == 0.0
    assert found.facet == pytest.approx(R * (1 - math.cos(lam)))


def test_where_level_lines_are_laid_straight_the_width_error_is_that_of_the_triangle() -> None:
    # Two cones that meet in a corner: Napier's right triangle on a cone's development.
    profile = Contour((Line(P(0, 60), P(40, 50)), Line(P(40, 50), P(60, 0))), closed=False)
    gores = Gores(profile, 12)
    assert not gores.is_smooth
    a, r, slope = math.pi / 12, 50.0, 50.0 / math.hypot(20, 50)
    # Straight across the developed cone, the meridian a away is met at rho tan(a slope).
    exact = r / slope * math.tan(a * slope) - a * r
    assert gores.errors.width == pytest.approx(exact, rel=0.05)
    assert 12 * area(gores.outline) == pytest.approx(
        math.pi * ((60 + 50) * math.hypot(40, 10) + 50 * math.hypot(20, 50))
    )


def test_gores_of_a_cone_are_its_own_development() -> None:
    # Straight profile: the true development has no error of width along its edge.
    profile = Contour((Line(Point(0, 30), Point(80, 0)),), closed=False)
    gores = Gores(profile, 16)
    slant = math.hypot(30, 80)
    assert 16 * area(gores.outline) == pytest.approx(math.pi * 30 * slant)
    assert gores.height == pytest.approx(slant)


def test_the_fewest_gores_that_do_are_taken() -> None:
    gores = gores_within(HALF, 0.5)
    assert max(gores.errors.edge, gores.errors.width) <= 0.5
    fewer = Gores(HALF, gores.count - 2).errors
    assert max(fewer.edge, fewer.width) > 0.5
