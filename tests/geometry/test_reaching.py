"""What need not be swept, against the distance to the whole contour that Shapely finds."""

import math

import numpy as np
import pytest
import shapely

from livery.geometry.outline import Point, chain
from livery.geometry.reaching import sides_round, useful_reaches
from livery.geometry.segments import direction
from livery.geometry.shapes import turn_between


@pytest.fixture(scope="module")
def trace():
    """A traced edge: a circle with five waves, every node a little off."""
    rng = np.random.default_rng(5)
    angles = np.linspace(0, 2 * math.pi, 400, endpoint=False)
    away = 40 + 6 * np.sin(5 * angles) + rng.uniform(-0.6, 0.6, 400)
    places = np.stack((away * np.cos(angles), away * np.sin(angles)), axis=1)
    return chain([Point(x, y) for x, y in places.tolist()]).segments


@pytest.mark.parametrize("all_or_none", [False, True])
def test_what_is_left_out_is_nearer_to_another_part(trace, all_or_none):
    distance = 4.0
    sides, corners = useful_reaches(sides_round(trace), distance, all_or_none=all_or_none)
    edge = shapely.LinearRing([s.start for s in trace])
    for i, (one, other) in enumerate(zip(trace, (*trace[1:], trace[0]), strict=True)):
        into, out = direction(one, 1), direction(other, 0)
        turn = turn_between(into, out)
        outs = [Point(-v.y, v.x) for v in (into, out)]
        wide = 2 * math.cos(turn / 2) ** 2
        mitre = Point((outs[0].x + outs[1].x) / wide, (outs[0].y + outs[1].y) / wide)
        swept = [(sides[i], p, outs[0]) for p in (one.start, one.end)]
        if -math.pi / 2 < turn < 0:
            swept += [(corners[i], one.end, v) for v in (*outs, mitre)]
        else:
            assert corners[i] == distance
        for reach, foot, way in swept:
            if reach < distance:
                least = 0.95 * distance if all_or_none else reach
                for far in (least, (least + distance) / 2, distance):
                    place = shapely.Point(foot.x + far * way.x, foot.y + far * way.y)
                    assert edge.distance(place) < far
    for reaches, least in ((sides, 0.5), (corners, 0.05)):
        assert np.mean(reaches < distance) > least
        assert not all_or_none or set(reaches.tolist()) == {0.0, distance}


@pytest.mark.parametrize(("height", "is_cut"), [(1.5, False), (4.5, True)])
def test_a_corner_is_cut_short_only_if_its_mitre_too_is_nearer_to_another_node(height, is_cut):
    """At 10 mm the two spokes of a turn of 80 degrees end near both nodes, its tip near one."""
    slope = math.radians(40)
    ends = [Point(100 * x * math.cos(slope), -100 * math.sin(slope)) for x in (-1, 1)]
    ring = chain([ends[0], Point(0, 0), ends[1], Point(0, height)])
    _, corners = useful_reaches(sides_round(ring.segments), 10.0)
    assert (corners[0] < 10.0) == is_cut
