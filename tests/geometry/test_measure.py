import math
from itertools import pairwise

import pytest
from fontTools.misc.transform import Transform
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from livery.geometry import measure
from livery.geometry.flatten import flatten, to_line_string, to_shapely
from livery.geometry.measure import (
    Bounds,
    area,
    bounds,
    boxes_overlap,
    contains,
    distance,
    length,
    lies_within,
    nearest,
    point_at,
    split_at,
    turns_round,
)
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, chain
from livery.geometry.segments import point_on, trimmed, with_ends
from livery.geometry.shapes import circle, rectangle

P = Point
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


@settings(max_examples=60)
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


@settings(max_examples=200)
@given(cubics, near_each_other, st.floats(0, 1))
def test_nearest_place_on_a_cubic_is_the_nearest_of_all(cubic, point, t):
    import numpy as np

    contour = Contour((cubic,), closed=False)
    ts = np.linspace(0, 1, 4_001)[:, None]
    ps = [np.array(p) for p in (cubic.start, cubic.control1, cubic.control2, cubic.end)]
    weights = ((1 - ts) ** 3, 3 * ts * (1 - ts) ** 2, 3 * ts**2 * (1 - ts), ts**3)
    on = sum(w * p for w, p in zip(weights, ps, strict=True))
    best = float(np.hypot(*(on - np.array(point)).T).min())
    foot = nearest(contour, point)
    assert foot.distance <= best + 1e-9
    assert foot.distance == pytest.approx(math.dist(foot.point, point))
    there = point_on(cubic, t)
    # Where a cubic stands still on its way, its foot is found to some 1e-9 mm only.
    assert nearest(contour, there).distance < 1e-8


def test_a_second_dip_close_to_the_first_is_not_missed():
    sharp = Contour((Cubic(Point(0, 0), Point(0, 11), Point(0, 1), Point(1, 0)),), closed=False)
    assert nearest(sharp, Point(0.0315815, 5.0871603)).distance == pytest.approx(0.00046, abs=5e-6)


@given(segments(), st.floats(0, 1), st.floats(0, 1))
def test_split_has_the_length_asked(segment, a, b):
    contour = Contour((segment,), closed=False)
    total = length(contour)
    s0, s1 = sorted((a * total, b * total))
    assert length(split_at(contour, s0, s1)) == pytest.approx(s1 - s0, abs=1e-6)


@st.composite
def closed_contours(draw):
    """Contours of three to six lines, arcs and cubics; most cross themselves."""
    nodes = draw(st.lists(near_each_other, min_size=3, max_size=6, unique=True))
    made = []
    for p, q in pairwise([*nodes, nodes[0]]):
        assume(math.dist(p, q) > 0.1)
        kind = draw(st.sampled_from("lac"))
        bulge = draw(st.sampled_from([-2.0, -0.7, 0.4, 1.5]))
        if kind == "c":
            made.append(Cubic(p, draw(near_each_other), draw(near_each_other), q))
        else:
            made.append(Line(p, q) if kind == "l" else Arc(p, q, bulge))
    return Contour(tuple(made))


@settings(max_examples=60)
@given(closed_contours(), near_each_other)
def test_bounds_area_and_turns_are_those_of_a_fine_flattening(contour, point):
    fine = flatten(contour, 1e-4)
    xs, ys = zip(*fine, strict=True)
    assert bounds(contour) == pytest.approx((min(xs), min(ys), max(xs), max(ys)), abs=2e-4)
    sides = list(zip(fine, fine[1:] + fine[:1], strict=True))
    signed = sum((a.x * b.y - a.y * b.x) / 2 for a, b in sides)
    assert area(contour) == pytest.approx(signed, abs=2e-4 * length(contour))
    assume(nearest(contour, point).distance > 2e-4)
    angle = 0.0
    for a, b in sides:
        (ax, ay), (bx, by) = (a.x - point.x, a.y - point.y), (b.x - point.x, b.y - point.y)
        angle += math.atan2(ax * by - ay * bx, ax * bx + ay * by)
    assert turns_round(contour, point) == round(angle / math.tau)


def test_the_area_of_a_contour_met_again_is_not_summed_again(monkeypatch):
    summed = []
    whole = measure._swept_area
    monkeypatch.setattr(measure, "_swept_area", lambda s, o: summed.append(s) or whole(s, o))
    plate = rectangle(31.7, 9.3, Point(0.4, 0.1))
    assert area(plate) == area(rectangle(31.7, 9.3, Point(0.4, 0.1)))
    assert len(summed) == 4


def test_a_curve_that_lies_wholly_to_one_side_of_a_point_is_never_halved(monkeypatch):
    """A ring of many curves is nearly all so: then only what is level with the point is looked at."""
    ring = circle(Point(0, 0), 50).contours[0]
    arcs = tuple(trimmed(s, k / 40, (k + 1) / 40) for s in ring.segments for k in range(40))
    cubics = tuple(c for s in ring.segments for c in s.as_cubics())
    halved = []
    whole = measure.point_on
    monkeypatch.setattr(measure, "point_on", lambda s, t: halved.append(t) or whole(s, t))
    for segments_ in (arcs, cubics):
        contour = Contour(segments_)
        for x, y, times in ((3, 4.1, 1), (60, 4.1, 0), (-60, 4.1, 0), (2, 70, 0), (0, -50.1, 0)):
            assert turns_round(contour, Point(x, y)) == times
            assert turns_round(contour.reversed(), Point(x, y)) == -times
    assert halved == []
    # An arc beside the point: where it is level with it is found in one step, by its circle.
    assert [turns_round(ring, Point(x, 30)) for x in (-39.9, -40.1, 39.9, 40.1)] == [1, 0, 1, 0]
    assert len(halved) < 4 * 2 * 2 * 3
    # So it is where it stands as far left of an axis as the point is right of it.
    half = Contour((Arc(Point(0, 50), Point(0, -50), 1.0), Line(Point(0, -50), Point(0, 50))))
    halved.clear()
    assert [turns_round(half, Point(x, 30)) for x in (40, -39, -41)] == [0, 1, 0]
    assert len(halved) < 4 * 2 * 3


@pytest.mark.parametrize("quarters", range(4))
@pytest.mark.parametrize(
    ("bulged", "reach"),
    [
        (Arc(P(36, 10), P(36, 30), 0.9), 9),
        (Arc(P(30, 16), P(30, 24), 4), 16),
        (Cubic(P(36, 10), P(52, 12), P(52, 28), P(36, 30)), 12),
    ],
    ids=["arc", "wide arc", "cubic"],
)
def test_a_curve_that_leaves_the_box_of_all_nodes_widens_it(bulged, reach, quarters):
    corners = [P(36, 40), P(0, 40), P(0, 0), P(36, 0), bulged.start]
    sides = chain([bulged.end, P(40, 35), *corners], closed=False).segments
    turn = Transform().rotate(quarters * math.pi / 2)
    box = bounds(Contour((bulged, *sides)).transformed(turn))
    sizes = (bulged.start.x + reach, 40.0)
    assert box[2:] != box[:2]
    assert (box.width, box.height) == pytest.approx(sizes if quarters % 2 == 0 else sizes[::-1])


def test_sizes_of_a_box_and_whether_two_overlap():
    box = Bounds(3, 5, 10, 9)
    assert (box.width, box.height, box.centre) == (7, 4, (6.5, 7))
    for dx, dy in ((6.9, 0), (-6.9, 0), (0, 3.9), (0, -3.9)):
        assert boxes_overlap(box, Bounds(3 + dx, 5 + dy, 10 + dx, 9 + dy))
    for dx, dy in ((7, 0), (-7.1, 0), (0, 4), (0, -4.1), (8, 8)):
        assert not boxes_overlap(box, Bounds(3 + dx, 5 + dy, 10 + dx, 9 + dy))


@pytest.mark.parametrize(
    "segment",
    [
        Line(P(-9, 2), P(3, 4)),
        Arc(P(1, 0), P(1, 4), 4),  # its middle is at x 9
        Cubic(P(0, 0), P(0, -9), P(1, 1), P(2, 2)),
    ],
    ids=["line", "arc", "cubic"],
)
def test_whether_what_makes_a_shape_lies_within_a_reach(segment):
    shape = Contour((segment,), closed=False)
    assert lies_within(shape, 9.001)
    assert not lies_within(shape, 8.999)
    assert not lies_within(Contour((Line(P(math.nan, 0), P(1, 1)),)), 9)


def test_split_runs_on_past_the_start():
    square = rectangle(10, 10).contours[0]
    piece = split_at(square, 35, 45)
    assert piece.start == Point(0, 5)
    assert piece.end == Point(5, 0)
    assert [type(s) for s in piece.segments] == [Line, Line]
    assert length(split_at(square, 3, 43)) == pytest.approx(40)
    assert split_at(square, 35, 5) == split_at(square, 35, 85) == piece


def test_point_at_goes_round_and_round():
    square = rectangle(10, 10).contours[0]
    assert point_at(square, 15) == (Point(10, 5), Point(0, 1))
    assert point_at(square, 55)[0] == point_at(square, -25)[0] == point_at(square, 15)[0]


def test_a_contour_ends_at_its_length(specimen):
    for contour in specimen:
        assert point_at(contour, length(contour))[0] == pytest.approx(contour.end, abs=1e-9)


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
