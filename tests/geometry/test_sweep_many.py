"""Which corners of very many sides are cut where their parallels cross, so that none is searched for."""

import math

import numpy as np
import pytest

from livery.geometry.outline import Arc, Point, chain
from livery.geometry.pieces import pieces_of
from livery.geometry.sweep_many import raw_parallels

P = Point


def raw(points, distance, join="mitre"):
    pieces = pieces_of([chain([P(x, y) for x, y in points])])
    return raw_parallels(pieces, distance, join, cut_short=False)


def regular(count, radius):
    angles = np.linspace(0, 2 * math.pi, count, endpoint=False)
    return np.stack((radius * np.cos(angles), radius * np.sin(angles)), axis=1).tolist()


@pytest.mark.parametrize("count", [4, 7, 40])
def test_wide_corners_of_long_sides_are_all_cut(count):
    found = raw(regular(count, 20), 3)
    assert found.is_joined
    apothem = 20 * math.cos(math.pi / count)
    shrunk = regular(count, 20 * (apothem - 3) / apothem)
    assert found.pieces.start == pytest.approx(np.array(shrunk), abs=1e-9)


@pytest.mark.parametrize("join", ["mitre", "round"])
def test_straight_joints_and_outward_corners_need_no_search_either(join):
    ell = [(0, 0), (20, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)]
    found = raw(ell, 3, join)
    assert found.is_joined
    if join == "mitre":
        assert [17, 17] in found.pieces.start.round(9).tolist()
    else:
        (arc,) = (s for s in found.pieces if isinstance(s, Arc))
        assert (arc.centre, arc.radius) == (pytest.approx((20, 20)), pytest.approx(3))


def test_a_side_that_runs_back_along_the_one_before_has_half_a_round_at_its_end():
    spiked = [(0, 0), (10, 0), (10, 10), (15, 15), (10, 10), (0, 10)]
    (arc,) = (s for s in raw(spiked, 2).pieces if isinstance(s, Arc))
    assert arc.bulge == -1
    assert arc.centre == pytest.approx((15, 15))


@pytest.mark.parametrize(("left", "is_cut"), [(1.2e-5, True), (0.8e-5, False)])
def test_a_side_that_is_cut_at_both_ends_keeps_a_hundred_thousandth(left, is_cut):
    square = [(0, 0), (10, 0), (10, 10), (0, 10)]
    assert raw(square, 5 - left / 2).is_joined is is_cut


@pytest.mark.parametrize(("cosine", "is_cut"), [(-0.85, True), (-0.95, False)])
def test_a_corner_that_is_folded_is_not_cut(cosine, is_cut):
    half = (math.pi - math.acos(cosine)) / 2
    needle = [(0, 0), (100 * math.cos(half), -100 * math.sin(half))]
    needle.append((needle[1][0], -needle[1][1]))
    assert raw(needle, 0.5).is_joined is is_cut


def test_no_side_is_cut_so_far_that_it_runs_backward():
    rng = np.random.default_rng(8)
    angles = np.linspace(0, 2 * math.pi, 200, endpoint=False)
    away = 30 + rng.uniform(-4, 4, 200)
    ring = np.stack((away * np.cos(angles), away * np.sin(angles)), axis=1)
    sides = np.roll(ring, -1, axis=0) - ring
    sides /= np.hypot(*sides.T)[:, None]
    for distance in (0.2, 1.0, 3.0):
        pieces = raw(ring.tolist(), distance).pieces
        along = (pieces.end - pieces.start) / pieces.chord[:, None]
        turns = along @ sides.T
        beside = np.abs(turns).max(axis=1) > 1 - 1e-9
        assert beside.sum() >= 200
        assert (turns.max(axis=1)[beside] > 1 - 1e-9).all()
