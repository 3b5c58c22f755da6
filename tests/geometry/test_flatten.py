import math
from itertools import pairwise

import pytest

from livery.geometry.flatten import flatten, points_along, steps, to_line_string, to_shapely
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point, chain

HALF = Arc(Point(0, 0), Point(20, 0), 1.0)


@pytest.mark.parametrize("count", [2, 3, 7, 16])
def test_a_chord_error_met_exactly_takes_no_step_more(count):
    chord = 10.0 * (1.0 - math.cos(math.pi / count / 2.0))
    assert steps(HALF, chord) == count
    assert steps(HALF, 0.999 * chord) == count + 1


def test_an_edge_is_flattened_to_two_micrometres():
    points = points_along(HALF)
    assert len(points) == 80
    middles = [((p.x + q.x) / 2, (p.y + q.y) / 2) for p, q in pairwise(points)]
    off = [10.0 - math.dist((10.0, 0.0), m) for m in middles]
    assert max(off) == pytest.approx(0.00198, abs=1e-5)


def test_points_of_a_cubic_lie_on_it_at_equal_steps():
    cubic = Cubic(Point(0, 0), Point(0, 8), Point(12, 8), Point(12, 0))
    points = points_along(cubic, 0.05)
    count = steps(cubic, 0.05)
    assert points == [
        pytest.approx(
            (36 * t * t * (1 - t) + 12 * t**3, 24 * t * (1 - t) ** 2 + 24 * t * t * (1 - t))
        )
        for t in (i / count for i in range(count + 1))
    ]


def test_a_contour_repeats_its_first_point_only_as_a_line_string():
    closed = Contour((HALF, Line(Point(20, 0), Point(0, 0))))
    opened = Contour((HALF,), closed=False)
    assert flatten(closed) == points_along(HALF)
    assert len(to_line_string(closed).coords) == 81
    assert flatten(opened) == points_along(HALF)
    assert len(to_line_string(opened).coords) == 80


@pytest.mark.parametrize("moved", [(0.0, 0.0), (900.0, 700.0), (-900.0, -700.0)])
@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize("count", [2, 3, 7, 16])
def test_a_parabola_has_as_many_chords_as_keep_within_wherever_it_lies(count, upright, moved):
    """Of y = x(12 - x) / 3, chords over 12 / n are off by (12 / n)^2 / 12 at their middles."""
    corners = [(0.0, 0.0), (4.0, 16.0), (8.0, 16.0), (12.0, 0.0)]
    turned = [p[::-1] if upright else p for p in corners]
    cubic = Cubic(*(Point(x + moved[0], y + moved[1]) for x, y in turned))
    chord = 12.0 / count**2
    assert steps(cubic, 1.0001 * chord) == count
    assert steps(cubic, 0.9999 * chord) == count + 1


def test_a_ring_within_another_is_a_hole_only_if_it_is_run_the_other_way():
    outer, inner = (
        chain([Point(a, a), Point(b, a), Point(b, b), Point(a, b)]) for a, b in ((0, 9), (3, 5))
    )
    assert to_shapely([outer, inner]).area == 81.0
    assert to_shapely([outer, inner.reversed()]).area == 77.0
    assert to_shapely([outer.reversed(), inner]).area == 77.0
