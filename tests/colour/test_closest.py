"""The quick search gives what comparing every pair gives, and its bound never overshoots."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.colour import closest as quick
from livery.colour.closest import closest, compare_all
from livery.colour.conversion import lab_from_srgb
from livery.colour.difference import delta_e_00
from livery.colour.palette_file import shipped_palettes


@pytest.fixture(autouse=True)
def _never_the_plain_way(monkeypatch):
    monkeypatch.setattr(quick, "_FEW_PAIRS", 0)


def _same(samples, table):
    index, difference = closest(samples, table)
    expected, least = compare_all(samples, table)
    assert np.array_equal(index, expected)
    assert np.array_equal(difference, least)


def test_screen_colours_against_the_largest_palette():
    rng = np.random.default_rng(34)
    table = next(p for p in shipped_palettes() if p.name == "munsell").labs
    _same(lab_from_srgb(rng.random((400, 3))), table)


def test_samples_gathered_as_in_a_photograph():
    rng = np.random.default_rng(35)
    samples = np.concatenate(
        [rng.normal(centre, 2, (700, 3)) for centre in ([30, -20, 5], [60, 2, 4], [35, 45, 30])]
    )
    _same(samples, rng.uniform([0, -90, -90], [100, 90, 90], (400, 3)))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.01, 130), st.integers(1, 40))
def test_any_samples_and_any_table(seed, spread, count):
    """Spread runs from near greys, where hue is free, to beyond any paint."""
    rng = np.random.default_rng(seed)
    low, high = [0, -spread, -spread], [100, spread, spread]
    _same(rng.uniform(low, high, (60, 3)), rng.uniform(low, high, (count, 3)))


def test_blue_where_the_rotation_term_is_strongest():
    rng = np.random.default_rng(275)
    _same(
        rng.uniform([20, -20, -90], [60, 30, -30], (600, 3)),
        rng.uniform([20, -20, -90], [60, 30, -30], (300, 3)),
    )


def test_the_bound_is_never_above_the_difference():
    rng = np.random.default_rng(7)
    spread = rng.choice([3.0, 20.0, 60.0, 120.0], 4000)[:, None]
    centres = np.column_stack([rng.uniform(0, 100, 4000), rng.uniform(-1, 1, (4000, 2)) * spread])
    colours = centres + rng.normal(0, 1, (4000, 3)) * rng.choice([2, 10, 50], 4000)[:, None]
    bound = np.hypot(
        quick._lightness_at_least(centres[:, 0], colours[:, 0]),
        quick._plane_at_least(centres[:, 1:], colours[:, 1:]),
    )
    half = quick._BOX / 2
    corners = [
        centres + half * np.array([i, j, k]) for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)
    ]
    inside = [centres + rng.uniform(-half, half, (4000, 3)) for _ in range(20)]
    for samples in (centres, *corners, *inside):
        assert np.all(bound <= delta_e_00(samples, colours) + 1e-9)


def test_the_limits_of_t():
    hue = np.linspace(0, 2 * np.pi, 20_001)
    t = quick._t(hue)
    assert t.max() < quick._WIDEST_T
    assert np.abs(np.gradient(t, hue)).max() < quick._T_SLOPE


def test_the_lowest_index_among_equals():
    table = np.array([[50.0, 0, 0], [50, 0, 0], [90, 0, 0]])
    assert closest([[49.0, 0, 0]], table)[0].tolist() == [0]


def test_no_samples():
    index, difference = closest(np.empty((0, 3)), [[50, 0, 0]])
    assert index.shape == difference.shape == (0,)
