"""The quick way to the region that rings wind round, against the thorough one."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry.winding import covered_region, region

whole = st.integers(-6, 6).map(float)
real = st.floats(-6, 6, allow_subnormal=False).map(lambda v: round(v, 6))
scrawls = st.one_of(
    st.lists(st.tuples(whole, whole), min_size=3, max_size=9),
    st.lists(st.tuples(real, real), min_size=3, max_size=9),
).map(lambda points: np.array(points, dtype=float))


@settings(max_examples=150)
@given(st.lists(scrawls, min_size=1, max_size=4))
def test_both_ways_find_the_same_region(rings):
    quick = covered_region(rings)
    if quick is None:
        return
    thorough = region(rings, keep=lambda times: times >= 1)
    assert quick.is_valid
    assert quick.symmetric_difference(thorough).area < 1e-6


def ring(radius, count=60, way=1):
    angles = way * np.linspace(0, 2 * math.pi, count, endpoint=False)
    return radius * np.stack((np.cos(angles), np.sin(angles)), axis=1)


def test_loops_that_run_backward_are_left_out():
    # A circle twice round, with a small loop the wrong way outside it.
    loop = ring(2, way=-1) + np.array((14.0, 0.0))
    path = np.vstack(
        (ring(10), ring(10), [(10, 0), (12, 0)], np.roll(loop, -30, axis=0), [(12, 0)])
    )
    found = covered_region([path])
    assert found.area == pytest.approx(100 * math.pi, rel=0.01)
    assert found.bounds[2] == pytest.approx(10)


def test_rings_all_backward_cover_nothing():
    assert covered_region([]).is_empty
    assert covered_region([np.array([(0.0, 0.0), (1.0, 0.0)])]).is_empty
    eight = np.array([(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)])
    assert covered_region([eight]) is None
    assert covered_region([ring(5, way=-1)]) is None
