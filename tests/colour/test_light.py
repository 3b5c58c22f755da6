"""The model of the light: what it takes out, and how sure it says it is."""

import numpy as np
import pytest

from livery.colour.photo.light import Light
from livery.colour.photo.picture import Picture, Rectangle
from livery.colour.photo.sampling import sample

MIDDLE, DIAGONAL = np.array([260.0, 200.0]), 656.0


def light(numbers, covariance=1e-4, support=((260.0, 200.0),)):
    return Light(
        MIDDLE, DIAGONAL, MIDDLE, np.array(numbers), covariance * np.eye(3), np.array(support)
    )


def test_a_corner_lacks_what_the_model_says_and_the_middle_nothing():
    corner = MIDDLE + DIAGONAL / 2 * np.array([0.6, 0.8])
    dim = np.array([[0.5, 0.4, 0.3]])
    found = light([0.0, 0.0, 0.55])
    assert found.evened(dim, MIDDLE[None]) == pytest.approx(dim)
    assert found.evened(dim, corner[None]) == pytest.approx(dim * np.exp(0.55))
    half = MIDDLE + 0.5 * (corner - MIDDLE)
    assert found.evened(dim, half[None]) == pytest.approx(dim * np.exp(0.55 / 4))


def test_a_plane_rises_per_diagonal():
    found = light([0.3, 0.0, 0.0])
    right = MIDDLE + np.array([DIAGONAL / 4, 0.0])
    assert found.evened(np.ones((1, 3)), right[None]) == pytest.approx(np.exp(-0.075))


def test_uncertainty_grows_away_from_what_tells_of_the_light():
    found = light([0.0, 0.0, 0.3])
    steps = [found.variance(MIDDLE + np.array([d, 0.0])) for d in (0.0, 60.0, 120.0, 250.0)]
    assert steps == sorted(steps)
    assert steps[-1] > 10 * steps[1]
    near = light([0.0, 0.0, 0.3], support=((260.0, 200.0), (500.0, 200.0)))
    assert near.variance(MIDDLE + np.array([250.0, 0.0])) < steps[-1]


def test_a_plain_surface_tells_how_the_light_falls_across_it():
    rng = np.random.default_rng(3)
    y, x = np.mgrid[:60, :80]
    lit = 0.4 * np.exp(0.002 * x - 0.001 * y) * (1 + 0.01 * rng.normal(size=x.shape))
    none = np.zeros(x.shape, bool)
    picture = Picture(np.repeat(lit[..., None], 3, 2).astype(np.float32), none, none, 65535)
    found = sample(picture, Rectangle(10, 10, 70, 50))
    assert found.slope == pytest.approx((0.002, -0.001), abs=3 * found.slope_error)
    assert 0 < found.slope_error < 2e-4


def test_a_dark_surface_tells_nothing_of_the_light():
    dark = np.full((30, 30, 3), 0.004, np.float32)
    none = np.zeros((30, 30), bool)
    found = sample(Picture(dark, none, none, 255), Rectangle(0, 0, 30, 30))
    assert found.slope_error == float("inf")
