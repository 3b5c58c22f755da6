"""Planes by known points: exact, beside another library's, with what does not fit left out."""

from __future__ import annotations

import numpy as np
import pytest

from livery.colour.photo.perspective import carry_points
from livery.findings import LiveryError
from livery.survey.known_points import KnownPoint, KnownPoints, fitted_view
from livery.survey.lens import Lens
from livery.survey.measure import pick_distance
from livery.survey.plane import Pick

CORNERS = np.array([(0, 1200), (2400, 1200), (2400, 0), (0, 0)], dtype=float)
SEEN = np.array([(210, 180), (1480, 320), (1390, 900), (250, 760)], dtype=float)
VIEW = fitted_view(CORNERS, SEEN)
PLACES = np.array(
    [(0, 0), (2400, 0), (2400, 1200), (0, 1200), (800, 400), (1700, 300), (1300, 1000), (400, 900)],
    dtype=float,
)


def known(places, picks, **more):
    points = (KnownPoint(Pick(*map(float, k)), float(x), float(y)) for k, (x, y) in zip(picks, places, strict=True))  # fmt: skip
    return KnownPoints(tuple(points), **more)


def test_four_points_are_met_exactly_and_check_nothing():
    plane = known(CORNERS, SEEN)
    assert carry_points(plane.matrix(plane.numbers), SEEN) == pytest.approx(CORNERS, abs=1e-6)
    assert max(plane.residuals) < 1e-9 and plane.disagreement == 1.0
    assert [f.code for f in plane.findings] == ["off-the-plane"]


def test_more_points_are_fitted_as_another_library_fits_them():
    from skimage.transform import ProjectiveTransform

    rng = np.random.default_rng(7)
    picks = carry_points(VIEW, PLACES) + rng.normal(0, 0.8, PLACES.shape)
    ours = carry_points(known(PLACES, picks).to_picture, PLACES)
    other = ProjectiveTransform.from_estimate(PLACES, picks)(PLACES)
    # Theirs is the linear fit of the same points; ours goes on to the least distances.
    assert np.abs(ours - other).max() < 0.2
    assert ((ours - picks) ** 2).sum() <= ((other - picks) ** 2).sum() + 1e-9


@pytest.mark.parametrize("wrong", [0, 5])
def test_a_point_that_all_others_speak_against_is_reported_and_left_out(wrong):
    rng = np.random.default_rng(wrong)
    picks = carry_points(VIEW, PLACES) + rng.normal(0, 0.5, PLACES.shape)
    picks[wrong] += (25, -18)
    plane = known(PLACES, picks, pick_error=0.5)
    assert [p for p in plane.points if p not in plane.used] == [plane.points[wrong]]
    warned = [f for f in plane.findings if f.code == "point-off"]
    assert len(warned) == 1 and f"point {wrong + 1} " in warned[0].message
    assert carry_points(plane.to_picture, PLACES) == pytest.approx(
        carry_points(VIEW, PLACES), abs=2.5
    )


def test_points_that_agree_are_all_used():
    for seed in range(12):
        rng = np.random.default_rng(seed)
        picks = carry_points(VIEW, PLACES) + rng.normal(0, 1.0, PLACES.shape)
        assert len(known(PLACES, picks).used) == len(PLACES)


def test_a_measure_lies_within_its_uncertainty_95_times_in_100():
    rng = np.random.default_rng(11)
    ends = np.array([(300, 300), (1900, 850)], dtype=float)
    true = float(np.hypot(*(ends[1] - ends[0])))
    within = 0
    for _ in range(40):
        noise = rng.normal(0, 1.0, (8, 2))
        plane = known(PLACES[:6], carry_points(VIEW, PLACES[:6]) + noise[:6])
        a, b = (Pick(*map(float, p)) for p in carry_points(VIEW, ends) + noise[6:])
        found = pick_distance(plane, a, b)
        within += abs(found.mm - true) <= found.within_mm
    assert 35 <= within <= 40


def test_the_lens_is_taken_out_of_every_pick():
    lens = Lens((1600, 1000), -0.1)
    plane = known(PLACES, lens.bent(carry_points(VIEW, PLACES)))
    assert plane.disagreement > 2.5
    assert max(plane.moved(lens.pick).residuals) < 1e-6


@pytest.mark.parametrize(
    ("places", "picks"),
    [
        (CORNERS[:3], SEEN[:3]),
        ([(0, 0), (1, 0), (2, 0), (1, 1)], SEEN),
        (CORNERS, [(0, 0), (10, 10), (20, 20), (30, 30)]),
        (CORNERS, [(0, 0), (0, 0), (0, 0), (0, 0)]),
    ],
)  # fmt: skip
def test_points_that_tell_no_plane_are_refused(places, picks):
    with pytest.raises(LiveryError) as caught:
        known(np.array(places, dtype=float), np.array(picks, dtype=float))
    assert caught.value.findings[0].code in ("known-points", "points-on-a-line")


def test_points_that_mirror_the_picture_are_refused():
    with pytest.raises(LiveryError, match="mirror image"):
        known(CORNERS * (-1.0, 1.0), SEEN)
