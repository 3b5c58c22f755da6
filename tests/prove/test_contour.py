"""Contours that were read, compared: against Shapely's own distances and areas by hand."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from livery.prove.contour import ReadContour, filled_region


def square(x: float, y: float, side: float) -> ReadContour:
    corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    return ReadContour(np.array(corners), closed=True)


def test_a_departure_is_the_farthest_of_the_corners_of_both() -> None:
    chance = np.random.default_rng(4)
    for closed, line in ((True, shapely.LinearRing), (False, shapely.LineString)):
        for _ in range(20):
            one, other = (ReadContour(chance.normal(size=(6, 2)), closed) for _ in range(2))
            away = line(one.points).hausdorff_distance(line(other.points))
            for reach, beyond in ((0.999 * away, True), (1.001 * away, False)):
                assert one.departs_beyond(other, reach) is beyond
                assert other.departs_beyond(one, reach) is beyond


def test_a_spike_of_either_is_a_departure() -> None:
    plain = square(0.0, 0.0, 10.0)
    spiked = ReadContour(np.vstack([plain.points, [(-3.0, 0.0)]]), closed=True)
    assert spiked.departs_beyond(plain, 2.9) and plain.departs_beyond(spiked, 2.9) is True
    assert not spiked.departs_beyond(plain, 3.1)


@pytest.mark.parametrize(("count", "area"), [(0, 0), (1, 100), (2, 144), (3, 143), (5, 159)])
def test_a_region_is_what_an_odd_number_surrounds(count: int, area: float) -> None:
    # The second covers 28 of the first, the third lies in the first alone, the fifth covers 8 of the fourth.
    squares = [
        square(0.0, 0.0, 10.0),
        square(3.0, 6.0, 10.0),
        square(1.0, 1.0, 1.0),
        square(20.0, 20.0, 4.0),
        square(22.0, 20.0, 4.0),
    ]
    expected = shapely.Polygon()
    for one in squares[:count]:
        expected = expected.symmetric_difference(shapely.Polygon(one.points))
    found = filled_region(squares[:count])
    assert found.symmetric_difference(expected).area < 1e-9
    assert found.area == pytest.approx(area)
