from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.colour.mixing.kubelka_munk import (
    coefficients_over_black_and_white,
    film_reflectance,
    ks_from_reflectance,
    mix,
    reflectance_from_ks,
)
from livery.colour.mixing.opacity import contrast_ratio, thickness_to_hide

inside = st.floats(1e-3, 0.999)
positive = st.floats(1e-3, 50.0)


@given(inside)
def test_ks_and_back(reflectance: float) -> None:
    assert reflectance_from_ks(ks_from_reflectance(reflectance)) == pytest.approx(
        reflectance, rel=1e-9
    )


@given(st.lists(positive, min_size=4, max_size=4), st.floats(0.01, 100), st.floats(0.01, 100))
def test_a_paint_mixed_with_itself_is_itself(ks: list[float], one: float, other: float) -> None:
    k, s = np.array([ks[:2], ks[:2]]), np.array([ks[2:], ks[2:]])
    found = mix([one, other], k, s)
    assert np.allclose(found.k, ks[:2]) and np.allclose(found.s, ks[2:])


@given(positive, positive, positive, positive, st.floats(0.0, 1.0))
def test_a_mixture_lies_between_its_paints(
    k1: float, s1: float, k2: float, s2: float, share: float
) -> None:
    found = mix([share, 1 - share], [[k1], [k2]], [[s1], [s2]])
    ends = sorted(reflectance_from_ks([k1 / s1, k2 / s2]))
    mixture = reflectance_from_ks(found.k / found.s)[0]
    assert ends[0] - 1e-12 <= mixture <= ends[1] + 1e-12


@given(positive, positive, st.floats(0.0, 30.0), st.floats(0.0, 1.0))
def test_a_film_returns_no_more_light_than_it_gets(
    k: float, s: float, thickness: float, ground: float
) -> None:
    read = float(film_reflectance(k, s, thickness, ground))
    opaque = float(reflectance_from_ks(k / s))
    assert min(ground, opaque) - 1e-9 <= read <= max(ground, opaque) + 1e-9


@given(st.floats(0.01, 3.0), st.floats(0.2, 3.0), st.floats(0.1, 0.8), st.floats(0.0, 0.1))
def test_k_and_s_come_back_from_readings_over_black_and_white(
    k: float, s: float, thickness: float, black: float
) -> None:
    over_black = film_reflectance(k, s, thickness, black)
    over_white = film_reflectance(k, s, thickness, 0.8)
    found = coefficients_over_black_and_white(over_black, over_white, black, 0.8, thickness)
    assert found.k == pytest.approx(k, rel=1e-5)
    assert found.s == pytest.approx(s, rel=1e-5)


def test_the_handbook_form_over_a_perfect_black() -> None:
    r0, r = film_reflectance(0.3, 2.0, 0.5, 0.0), film_reflectance(0.3, 2.0, 0.5, 0.8)
    a = (r + (r0 - r + 0.8) / (r0 * 0.8)) / 2
    found = coefficients_over_black_and_white(r0, r, 0.0, 0.8, 0.5)
    assert 1 + found.k / found.s == pytest.approx(a, rel=1e-12)


def test_a_film_that_hides_has_no_s_to_find() -> None:
    found = coefficients_over_black_and_white(0.3, 0.3, 0.0, 0.8)
    assert np.isnan(found.s)


def test_hiding_grows_with_thickness_and_is_reached_where_said() -> None:
    k, s, weights = np.array([0.02]), np.array([0.1]), np.array([1.0])
    ratios = [contrast_ratio(k, s, x, weights) for x in (1, 5, 20, 80)]
    assert ratios == sorted(ratios)
    enough = thickness_to_hide(k, s, weights)
    assert contrast_ratio(k, s, enough, weights) == pytest.approx(0.98, abs=1e-6)
    assert thickness_to_hide([0.0], [1e-9], weights) == float("inf")
