"""Gores of a sphere against solid and spherical geometry.

Sources: the second theorem of Pappus and Guldin (a surface of revolution's area is the
profile's length times the way of its centroid), Archimedes' 4 pi R^2; the right spherical
triangle by Napier's rules, tan w = tan(lambda) cos(phi); the parallel's radius R cot(phi)
when a cone on it is developed; the complete elliptic integral of the second kind for the
length of a sine curve (Abramowitz and Stegun, chapter 17).  All from memory.
"""

from __future__ import annotations

import math

import pytest
from scipy.special import ellipe

from livery.develop.gores import Gores, gores_within
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Contour, Line, Point

R = 60.0
HALF = Contour((Arc(Point(0, R), Point(R, 0), -math.tan(math.pi / 8)),), closed=False)


@pytest.mark.parametrize("count", [6, 8, 12, 24])
def test_gores_hold_the_area_of_the_sphere(count: int) -> None:
    gores = Gores(HALF, count)
    assert count * area(gores.outline) == pytest.approx(2 * math.pi * R**2, rel=1e-4)


@pytest.mark.parametrize("count", [6, 12, 24])
def test_a_gore_is_as_wide_as_the_equator_and_as_long_as_the_meridian(count: int) -> None:
    box = bounds(Gores(HALF, count).outline)
    assert box.width == pytest.approx(2 * math.pi * R / count, abs=0.005)
    assert box.height == pytest.approx(math.pi * R / 2)


@pytest.mark.parametrize("count", [8, 12, 24])
def test_the_edge_error_is_that_of_the_sine_curve(count: int) -> None:
    lam = math.pi / count
    exact = R * (float(ellipe(-(lam**2))) - math.pi / 2)
    assert Gores(HALF, count).errors.edge == pytest.approx(exact, abs=1e-3)


@pytest.mark.parametrize("count", [12, 24])
def test_width_and_sag_errors_are_those_of_the_spherical_triangle(count: int) -> None:
    lam = math.pi / count
    latitudes = [math.radians(x / 10) for x in range(1, 900)]
    width = max(R * (math.atan(math.tan(lam) * math.cos(p)) - lam * math.cos(p)) for p in latitudes)
    sag = 0.0
    for p in latitudes:
        rho = R / math.tan(p)
        sweep = lam * R * math.cos(p) / rho
        sag = max(sag, rho * (1 - math.cos(sweep)))
    found = Gores(HALF, count).errors
    assert found.width == pytest.approx(width, rel=0.06)
    assert found.sag == pytest.approx(sag, rel=0.06)
    assert found.facet == pytest.approx(R * (1 - math.cos(lam)))


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
