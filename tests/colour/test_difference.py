import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.colour.difference import delta_e_00, delta_e_76, delta_e_94, delta_e_cmc, parts

labs = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


@settings(deadline=None)
@given(labs, labs)
def test_ciede2000_is_symmetric_but_for_the_sign_of_its_parts(first, second):
    there, back = parts(first, second), parts(second, first)
    # Opposite hues are half a turn apart either way; only the last bit says which.
    hues = [np.arctan2(b, a) for _, a, b in (first, second)]
    if abs(abs(hues[0] - hues[1]) - np.pi) > 1e-3 and np.hypot(*first[1:]) > 1e-3:
        assert there.total == pytest.approx(back.total, abs=1e-7)
        assert there.hue == pytest.approx(-back.hue, abs=1e-7)
    assert there.lightness == pytest.approx(-back.lightness, abs=1e-9)
    assert there.chroma == pytest.approx(-back.chroma, abs=1e-9)


@settings(deadline=None)
@given(labs)
def test_a_colour_does_not_differ_from_itself(lab):
    for formula in (delta_e_00, delta_e_76, delta_e_94, delta_e_cmc):
        assert formula(lab, lab) == pytest.approx(0, abs=1e-6)


@settings(deadline=None)
@given(labs, labs)
def test_parts_make_up_the_whole(first, second):
    assert parts(first, second).total == pytest.approx(delta_e_00(first, second), abs=1e-9)


def test_arrays_broadcast():
    first = np.array([[[50.0, 0, 0]], [[60.0, 10, 0]]])
    second = np.array([[[50.0, 0, 0], [40, 5, 5], [30, 0, 9]]])
    for formula in (delta_e_00, delta_e_76, delta_e_94, delta_e_cmc):
        table = formula(first, second)
        assert table.shape == (2, 3)
        assert table[1, 2] == pytest.approx(formula(first[1, 0], second[0, 2]))


def test_cmc_takes_its_ratio():
    first, second = [50, 10, 10], [55, 10, 10]
    assert delta_e_cmc(first, second, 1, 1) == pytest.approx(2 * delta_e_cmc(first, second))
