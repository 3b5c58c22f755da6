"""Edges in pictures of black and white alone: stairs of whole pixels that stand for straight edges."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from livery.alphabet.stepped_edge import is_stepped, smoothed_steps
from livery.alphabet.traced import followed, ink_rings
from livery.geometry.outline import Line

SIZE = 240


def black(shape: shapely.Geometry) -> np.ndarray:
    """Return a picture in which each pixel whose middle lies in a shape is black, the others white."""
    x, y = np.meshgrid(np.arange(SIZE) + 0.5, np.arange(SIZE, 0, -1) - 0.5)
    return np.where(shapely.contains_xy(shape, x, y), 0.0, 1.0)


def edge_of(shape: shapely.Geometry) -> np.ndarray:
    """Return the one ring found, with a pixel's corner as its origin as the shape has it."""
    (ring,) = ink_rings(black(shape), "x.png")
    return ring + 0.5


def slanted(degrees: float) -> shapely.Geometry:
    return affinity.rotate(shapely.box(50.3, 70.2, 190.8, 160.6), degrees)


@pytest.mark.parametrize("degrees", [0.4, 1.3, 5, 14.7, 26.6, 33, 45])
def test_a_slanting_edge_comes_out_straight(degrees: float) -> None:
    shape = slanted(degrees)
    ring = edge_of(shape)
    off = shapely.distance(shape.exterior, shapely.points(ring))
    corners = shapely.distance(shapely.multipoints(shape.exterior.coords), shapely.points(ring))
    assert off.max() < 1.3 and off[corners > 4].max() < 0.75
    assert np.sqrt((off[corners > 4] ** 2).mean()) < 0.3
    assert shapely.Polygon(ring).area == pytest.approx(shape.area, rel=0.004)
    # As stairs it took hundreds of lines.
    segments = [s for contour in followed([ring]).contours for s in contour.segments]
    assert len(segments) <= 16 and all(isinstance(s, Line) for s in segments)


def test_a_round_edge_comes_out_round() -> None:
    ring = edge_of(shapely.Point(120.3, 118.8).buffer(61.5, quad_segs=64))
    far = np.hypot(*(ring - (120.3, 118.8)).T)
    assert np.abs(far - 61.5).max() < 0.7 and far.mean() == pytest.approx(61.5, abs=0.1)


def test_level_and_upright_edges_keep_their_places_and_corners() -> None:
    ring = edge_of(shapely.box(50, 70, 190, 160))
    assert (ring.min(axis=0), ring.max(axis=0)) == (
        pytest.approx((50, 70), abs=0.01),
        pytest.approx((190, 160), abs=0.01),
    )
    corner = np.hypot(*(ring - (190, 160)).T).min()
    assert corner < 1.0  # evened as a grey picture blunts it


def test_steps_are_a_pixel_or_less_apart_and_go_the_same_way_round() -> None:
    ring = edge_of(slanted(14.7))
    assert np.hypot(*np.diff(ring, axis=0, append=ring[:1]).T).max() <= 1.0 + 1e-9
    stairs = np.array([(0.0, 0.5), (1.0, 0.5), (1.5, 0.0), (1.0, -0.5), (0.0, -0.5), (-0.5, 0.0)])
    assert is_stepped(stairs)
    area = shapely.LinearRing(smoothed_steps(stairs)).is_ccw
    assert area == shapely.LinearRing(stairs).is_ccw


def test_a_grey_edge_is_left_as_it_is() -> None:
    tones = black(slanted(14.7))
    soft = (tones + np.roll(tones, 1, axis=0) + np.roll(tones, 1, axis=1)) / 3.0
    grey = ink_rings(soft * 0.9, "x.png")
    assert not any(is_stepped(ring) for ring in grey)


def test_a_small_ring_of_few_steps_is_kept() -> None:
    dot = np.array([(0.0, 0.5), (0.5, 0.0), (0.0, -0.5), (-0.5, 0.0)])
    assert math.isclose(shapely.Polygon(smoothed_steps(dot)).centroid.x, 0.0, abs_tol=1e-9)
