import math
from itertools import pairwise

import pytest

from livery.geometry.measure import point_at
from livery.geometry.outline import Point
from livery.geometry.segments import acceleration, direction, velocity
from livery.geometry.smooth_path import smooth_path, way_along

PLACES = [Point(0, 0), Point(30, 12), Point(44, -5), Point(90, 20)]


def test_a_smooth_path_goes_through_its_points_without_a_jump_in_slope_or_bend():
    path = smooth_path(PLACES, None, 35.0)
    assert list(path.nodes) == PLACES
    for one, other in pairwise(path.segments):
        h, k = (math.dist(s.start, s.end) for s in (one, other))
        slope, bend = velocity(other, 0), acceleration(other, 0)
        assert [v / h for v in velocity(one, 1)] == pytest.approx([v / k for v in slope])
        assert [v / h**2 for v in acceleration(one, 1)] == pytest.approx([v / k**2 for v in bend])
    assert acceleration(path.segments[0], 0) == pytest.approx((0, 0), abs=1e-9)
    last = direction(path.segments[-1], 1)
    assert math.degrees(math.atan2(last.y, last.x)) == pytest.approx(35.0)


def test_the_way_along_a_path_to_one_of_its_places():
    path = smooth_path(PLACES, None, None)
    for distance in (0.0, 5.0, 33.0, 51.0, 90.0):
        assert way_along(path, point_at(path, distance)[0]) == pytest.approx(distance, abs=1e-6)
