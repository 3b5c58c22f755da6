"""The optics of mixing against published formulae worked by hand or by other means.

Kubelka-Munk: E. Allen, "Colorant formulation and shading", Optical Radiation
Measurements 2 (1980), ch. 7.  Saunderson: J. Opt. Soc. Am. 32 (1942) 727.  The values
are exact fractions, or were worked from those formulae independently to the last digit.
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from livery.colour.mixing.kubelka_munk import (
    film_reflectance,
    ks_from_reflectance,
    reflectance_from_ks,
)
from livery.colour.mixing.saunderson import (
    FilmSurface,
    internal_from_measured,
    measured_from_internal,
)


@pytest.mark.parametrize(
    ("reflectance", "ks"),
    [
        (Fraction(1, 10), Fraction(81, 20)),
        (Fraction(1, 4), Fraction(9, 8)),
        (Fraction(1, 2), Fraction(1, 4)),
        (Fraction(3, 4), Fraction(1, 24)),
        (Fraction(9, 10), Fraction(1, 180)),
    ],
)
def test_ks_of_simple_reflectances(reflectance: Fraction, ks: Fraction) -> None:
    assert ks_from_reflectance(float(reflectance)) == pytest.approx(float(ks), rel=1e-14)
    assert reflectance_from_ks(float(ks)) == pytest.approx(float(reflectance), rel=1e-14)


def test_ks_of_one_reflects_two_less_root_three() -> None:
    assert reflectance_from_ks(1.0) == pytest.approx(2 - math.sqrt(3), rel=1e-15)


def test_saunderson_with_mirror_reflection_excluded() -> None:
    surface = FilmSurface(0.033, 0.66, specular_included=False)
    read = measured_from_internal(reflectance_from_ks(1.0 / 0.2), surface)
    assert read == pytest.approx(0.029209103554298, abs=1e-15)


def test_saunderson_with_mirror_reflection_included() -> None:
    assert measured_from_internal(0.5, FilmSurface(0.04, 0.6)) == pytest.approx(11 / 35, abs=1e-15)
    assert internal_from_measured(11 / 35, FilmSurface(0.04, 0.6)) == pytest.approx(0.5, abs=1e-15)


def test_film_meets_the_differential_equation_it_solves() -> None:
    """dR/dx = S - 2 (K + S) R + S R^2 (Kubelka and Munk 1931), integrated numerically."""
    for k, s, thickness, ground in [
        (0.3, 2.0, 0.7, 0.8),
        (5.0, 0.1, 0.3, 0.5),
        (0.0, 1.5, 2.0, 0.0),
    ]:
        solved = solve_ivp(
            lambda _, r, k=k, s=s: s - 2 * (k + s) * r + s * r * r,
            (0, thickness),
            [ground],
            rtol=1e-11,
            atol=1e-13,
        )
        assert film_reflectance(k, s, thickness, ground) == pytest.approx(solved.y[0, -1], abs=1e-9)


def test_film_over_black_without_absorption() -> None:
    """R = SX / (1 + SX) for K = 0 over a black ground (Kubelka 1948)."""
    assert film_reflectance(0.0, 2.0, 1.5, 0.0) == pytest.approx(0.75, abs=1e-12)
    assert np.all(film_reflectance(0.3, 2.0, 0.0, [0.1, 0.8]) == [0.1, 0.8])
