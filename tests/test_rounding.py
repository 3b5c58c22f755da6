"""Rounding: near where it was, and blind to the last bits."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.rounding import figure, on_grid, rounded_value, written

MILLIMETRES = st.floats(-5000, 5000)


@given(MILLIMETRES, st.integers(0, 6))
def test_settled_lies_within_half_a_step(value: float, decimals: int) -> None:
    assert abs(rounded_value(value, decimals) - value) <= 0.5 * 10.0**-decimals * (1 + 1e-4)


@given(st.integers(1, 20000), st.sampled_from([16, 32, 64, 128]), st.sampled_from([6, 8, 12, 16]))
def test_inch_fractions_at_scale_are_written_alike_whatever_their_last_bits(
    count: int, of: int, scale: int
) -> None:
    size = float(Fraction(127, 5) * count / of / scale)
    near = [size * (1 + k * 2.0**-50) for k in (-3, -1, 0, 1, 3)]
    for decimals in (1, 2, 3, 6):
        assert len({written(v, decimals) for v in near}) == 1
    assert len(set(on_grid(near).tolist())) == 1


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [(2.0, 3, "2"), (-0.0001, 3, "0"), (2.5, 3, "2.5"), (1200.0, 0, "1200"), (-1.25, 3, "-1.25")],
)
def test_written_has_no_needless_noughts(value: float, decimals: int, text: str) -> None:
    assert written(value, decimals) == text


def test_the_grid_is_a_millionth_of_a_millimetre() -> None:
    rng = np.random.default_rng(1)
    places = rng.uniform(-2000, 2000, (500, 2))
    assert np.abs(on_grid(places) - places).max() <= 2.0**-21


@given(MILLIMETRES, st.integers(0, 9))
def test_what_is_written_is_what_is_settled_but_for_halves(value: float, decimals: int) -> None:
    apart = abs(float(written(value, decimals)) - rounded_value(value, decimals))
    is_half = abs(abs(value) * 10.0**decimals % 1.0 - 0.5) < 1e-9 * 10.0**decimals
    assert apart < 1e-12 or (is_half and apart < 1.01 * 10.0**-decimals)


@given(st.integers(1, 20000), st.sampled_from([16, 32, 64, 128]), st.sampled_from([6, 8, 12, 16]))
def test_a_figure_is_one_and_the_same_wherever_its_size_comes_from(
    count: int, of: int, scale: int
) -> None:
    exact = Fraction(127, 5) * count / of / scale
    for decimals in (1, 2):
        steps = math.floor(exact * 10**decimals + Fraction(1, 2))
        meant = f"{steps / 10**decimals:.{decimals}f}"
        found = {
            figure(sign * (float(exact) + by), decimals)
            for sign in (1, -1)
            for by in (-3e-7, 0, 3e-7)
        }
        assert {text.removeprefix("-") for text in found} == {meant}


@pytest.mark.parametrize(
    ("size", "text"),
    [(3.175, "3.18"), (9.525, "9.53"), (22.225, "22.23"), (-0.004, "0.00"), (-1.005, "-1.01")],
)
def test_a_half_is_rounded_up(size: float, text: str) -> None:
    assert figure(size, 2) == text
    assert rounded_value(size, 2) == float(text)
