import math
from itertools import pairwise

import pytest
from fontTools.misc.transform import Transform
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from livery.geometry.flatten import flatten, to_line_string, to_shapely
from livery.geometry.measure import (
    area,
    bounds,
    contains,
    distance,
    length,
    nearest,
    point_at,
    split_at,
)
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.segments import point_on, trimmed, with_ends
from livery.geometry.shapes import circle, rectangle

coordinate = st.floats(-100, 100).map(lambda v: round(v, 3))
points = st.builds(Point, coordinate, coordinate)


def segments():
    def differing(segment):
        return math.dist(segment.start, segment.end) > 0.1

    bulges = st.floats(0.05, 3).flatmap(lambda b: st.sampled_from([b, -b]))
    return st.one_of(
        st.builds(Line, points, points).filter(differing),
        st.builds(Arc, points, points, bulges).filter(differing),
        st.builds(Cubic, points, points, points, points).filter(differing),
    )


@given(segments())
def test_area_length_and_bounds_agree_with_a_fine_flattening(segment):
    contour = Contour((segment,), closed=False)
    fine = flatten(contour, 1e-5)
    line = to_line_string(contour, 1e-5)
    assert length(contour) == pytest.approx(line.length, rel=1e-4, abs=1e-3)
    assert bounds(contour) == pytest.approx(line.bounds, abs=2e-5)
    signed = sum(a.x * b.y - a.y * b.x for a, b in zip(fine, fine[1:] + fine[:1], strict=True)) / 2
    assert area(contour) == pytest.approx(signed, abs=1e-5 * max(line.length, 1) * 2)


@given(segments(), st.floats(0.01, 0.99))
def test_two_pieces_make_the_whole(segment, t):
    first, second = trimmed(segment, 0, t), trimmed(segment, t, 1)
    whole = length(Contour((segment,), closed=False))
    assert first.start == segment.start
    assert second.end == segment.end
    assert first.end == second.start
    assert length(Contour((first, second), closed=False)) == pytest.approx(
        whole, rel=1e-7, abs=1e-7
    )
    middle = point_on(segment, t / 2)
    assert math.dist(point_on(first, 0.5), middle) < 1e-6


@given(points, points, st.floats(0.05, 2), st.floats(-0.4, 0.4), st.floats(0.6, 1.4))
def test_an_arc_given_other_ends_on_its_circle_stays_on_it(start, end, bulge, t0, t1):
    assume(math.dist(start, end) > 0.1)
    arc = Arc(start, end, bulge)
    assume(arc.sweep * (t1 - t0) < 0.99 * math.tau)
    other = with_ends(arc, point_on(arc, t0), point_on(arc, t1))
    assert other.radius == pytest.approx(arc.radius, rel=1e-6)
    assert other.sweep == pytest.approx(arc.sweep * (t1 - t0), rel=1e-6)


@given(segments(), points)
def test_nearest_place_is_no_farther_than_any_sample(segment, point):
    contour = Contour((segment,), closed=False)
    foot = nearest(contour, point)
    assert foot.distance == pytest.approx(math.dist(foot.point, point))
    assert foot.distance <= min(math.dist(p, point) for p in flatten(contour, 0.01)) + 1e-9


near_each_other = st.builds(Point, st.floats(-12, 12), st.floats(-12, 12))
cubics = st.one_of(
    st.builds(Cubic, points, points, points, points),
    st.builds(Cubic, near_each_other, near_each_other, near_each_other, near_each_other),
    st.builds(lambda p, q: Cubic(p, p, q, q), points, points),
    st.builds(lambda p, q: Cubic(p, q, p, q), points, points),
    st.builds(lambda p, q: Cubic(p, q, q, p), points, points),
    st.builds(lambda p: Cubic(p, p, p, p), points),
)


@settings(max_examples=300)
@given(cubics, near_each_other, st.floats(0, 1))
def test_nearest_place_on_a_cubic_is_the_nearest_of_all(cubic, point, t):
    import numpy as np

    contour = Contour((cubic,), closed=False)
    ts = np.linspace(0, 1, 20_001)[:, None]
    ps = [np.array(p) for p in (cubic.start, cubic.control1, cubic.control2, cubic.end)]
    weights = ((1 - ts) ** 3, 3 * ts * (1 - ts) ** 2, 3 * ts**2 * (1 - ts), ts**3)
    on = sum(w * p for w, p in zip(weights, ps, strict=True))
    best = float(np.hypot(*(on - np.array(point)).T).min())
    foot = nearest(contour, point)
    assert foot.distance <= best + 1e-9
    assert foot.distance == pytest.approx(math.dist(foot.point, point))
    there = point_on(cubic, t)
    assert nearest(contour, there).distance < 1e-9


def test_a_second_dip_close_to_the_first_is_not_missed():
    sharp = Contour((Cubic(Point(0, 0), Point(0, 11), Point(0, 1), Point(1, 0)),), closed=False)
    assert nearest(sharp, Point(0.0315815, 5.0871603)).distance == pytest.approx(0.00046, abs=5e-6)


@given(segments(), st.floats(0, 1), st.floats(0, 1))
def test_split_has_the_length_asked(segment, a, b):
    contour = Contour((segment,), closed=False)
    total = length(contour)
    s0, s1 = sorted((a * total, b * total))
    assert length(split_at(contour, s0, s1)) == pytest.approx(s1 - s0, abs=1e-6)


def test_split_runs_on_past_the_start():
    square = rectangle(10, 10).contours[0]
    piece = split_at(square, 35, 45)
    assert piece.start == Point(0, 5)
    assert piece.end == Point(5, 0)
    assert [type(s) for s in piece.segments] == [Line, Line]
    assert length(split_at(square, 3, 43)) == pytest.approx(40)


def test_point_at_goes_round_and_round():
    square = rectangle(10, 10).contours[0]
    assert point_at(square, 15) == (Point(10, 5), Point(0, 1))
    assert point_at(square, 55)[0] == point_at(square, 15)[0]


def test_distance_signed():
    disc = circle(Point(0, 0), 10)
    assert distance(disc, Point(0, 0), signed=True) == pytest.approx(-10)
    assert distance(disc, Point(13, 0), signed=True) == pytest.approx(3)
    assert distance(disc, Point(3, 0)) == pytest.approx(7)


def test_transform_scales_area_and_length(specimen):
    turned = specimen.transformed(Transform().rotate(0.7).scale(-2.5, 2.5))
    assert area(turned) == pytest.approx(area(specimen) * 6.25, rel=1e-6)
    assert length(turned) == pytest.approx(length(specimen) * 2.5, rel=1e-6)


def test_area_is_that_of_the_flattening(specimen):
    assert to_shapely(specimen).is_valid
    assert to_shapely(specimen, 1e-4).area == pytest.approx(
        area(specimen), abs=2e-4 * length(specimen) + 1e-9
    )


def test_inside_agrees_with_shapely(specimen):
    import shapely

    region = to_shapely(specimen, 1e-4)
    if region.is_empty:
        assert not contains(specimen, Point(0, 0))
        return
    left, bottom, right, top = region.bounds
    for i in range(7):
        for j in range(7):
            p = Point(
                left + (right - left) * (i + 0.37) / 7, bottom + (top - bottom) * (j + 0.41) / 7
            )
            assert contains(specimen, p) == region.contains(shapely.Point(p))


def test_nasty_outlines_flatten_to_valid_regions(nasty):
    assert to_shapely(nasty).is_valid


def test_nonzero_fill():
    two = Outline(circle(Point(0, 0), 20).contours + circle(Point(15, 0), 20).contours)
    assert to_shapely(two).area == pytest.approx(
        to_shapely(circle(Point(0, 0), 20)).union(to_shapely(circle(Point(15, 0), 20))).area,
        abs=0.01,
    )


def test_flattening_keeps_its_chord_error():
    arc = Contour((Arc(Point(0, 0), Point(10, 0), 0.8),), closed=False)
    centre, radius = arc.segments[0].centre, arc.segments[0].radius
    ps = flatten(arc, 0.01)
    for a, b in pairwise(ps):
        mid = Point((a.x + b.x) / 2, (a.y + b.y) / 2)
        assert radius - math.dist(mid, centre) <= 0.01 + 1e-12
