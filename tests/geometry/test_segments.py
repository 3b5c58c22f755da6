import math

import numpy as np
import pytest
from fontTools.misc.transform import Transform
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.interpolate import BPoly

from livery.geometry import segments
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point
from livery.geometry.segments import (
    acceleration,
    arc_through,
    direction,
    length_to,
    nearest_parameter,
    parameter_at,
    point_on,
    quadratic_roots,
    refined_foot,
    roots_within,
    segment_length,
    trimmed,
    velocity,
    with_ends,
)

P = Point
places = st.builds(Point, st.floats(-20, 20), st.floats(-20, 20))
cubics = st.one_of(
    st.builds(Cubic, places, places, places, places),
    st.builds(lambda p, q: Cubic(p, p, q, q), places, places),
    st.builds(lambda p, q: Cubic(p, q, p, q), places, places),
)
plain = st.one_of(
    st.builds(Line, places, places),
    st.builds(Arc, places, places, st.sampled_from([-2.5, -0.6, 0.3, 1.4])),
).filter(lambda s: math.dist(s.start, s.end) > 0.1)


@settings(max_examples=60)
@given(cubics, st.floats(-0.5, 1.5))
def test_a_cubic_and_its_derivatives_are_those_of_scipy(cubic, t):
    control = np.array((cubic.start, cubic.control1, cubic.control2, cubic.end))
    reference = BPoly(control[:, None, :], [0, 1])
    assert point_on(cubic, t) == pytest.approx(reference(t), abs=1e-9)
    assert velocity(cubic, t) == pytest.approx(reference.derivative()(t), abs=1e-9)
    assert acceleration(cubic, t) == pytest.approx(reference.derivative(2)(t), abs=1e-9)


@settings(max_examples=60)
@given(plain, st.floats(-0.5, 1.5))
def test_the_velocity_on_lines_and_arcs_is_the_slope_of_their_places(segment, t):
    before, after = point_on(segment, t - 1e-5), point_on(segment, t + 1e-5)
    slope = ((after.x - before.x) / 2e-5, (after.y - before.y) / 2e-5)
    assert velocity(segment, t) == pytest.approx(slope, rel=1e-6, abs=1e-6)


@settings(max_examples=60)
@given(st.one_of(cubics, plain), st.floats(0, 1))
def test_a_distance_along_a_segment_and_its_parameter_belong_together(segment, share):
    whole = segment_length(segment)
    assume(whole > 0.1)
    t = parameter_at(segment, share * whole)
    assert 0.0 <= t <= 1.0
    assert length_to(segment, t) == pytest.approx(share * whole, abs=1e-9 * whole)
    assert parameter_at(segment, -1.0) == 0.0
    assert parameter_at(segment, whole + 1.0) == 1.0


@settings(max_examples=30)
@given(cubics, st.floats(0, 1))
def test_the_length_of_a_cubic_is_that_of_fonttools(cubic, t):
    from fontTools.misc.bezierTools import calcCubicArcLength, splitCubicAtT

    points = (cubic.start, cubic.control1, cubic.control2, cubic.end)
    first = splitCubicAtT(*points, t)[0] if 0 < t < 1 else points
    expected = calcCubicArcLength(*first, tolerance=1e-5) if t > 0 else 0.0
    assert length_to(cubic, t) == pytest.approx(expected, rel=1e-4, abs=1e-6)


def test_a_cubic_whose_handle_is_its_end_leaves_and_arrives_by_the_other_handle():
    leaves = Cubic(P(3, 1), P(3, 1), P(7, 4), P(20, 0))
    assert direction(leaves, 0.0) == pytest.approx((0.8, 0.6), abs=1e-3)
    assert direction(leaves.reversed(), 1.0) == pytest.approx((-0.8, -0.6), abs=1e-3)
    # With a way between its handles that is longer than the handles.
    bent = Cubic(P(3, 1), P(3, 1), P(15, 10), P(16, 10))
    assert direction(bent, 0.0) == pytest.approx((0.8, 0.6), abs=1e-3)
    assert direction(bent.reversed(), 1.0) == pytest.approx((-0.8, -0.6), abs=1e-3)


@settings(max_examples=60)
@given(cubics, places, places)
def test_with_ends_moves_each_handle_of_a_cubic_with_its_end(cubic, start, end):
    moved = with_ends(cubic, start, end)
    assert (moved.start, moved.end) == (start, end)
    for one, other, by, was in (
        (moved.control1, cubic.control1, start, cubic.start),
        (moved.control2, cubic.control2, end, cubic.end),
    ):
        assert (one.x - other.x, one.y - other.y) == pytest.approx((by.x - was.x, by.y - was.y))


@settings(max_examples=60)
@given(plain, st.floats(0.05, 0.95), st.floats(0.1, 50))
def test_the_nearest_place_to_one_beside_a_line_or_an_arc_is_square_to_it(segment, t, away):
    here, along = point_on(segment, t), direction(segment, t)
    if isinstance(segment, Arc):
        away = min(away, 0.9 * segment.radius)
    for side in (away, -away):
        beside = P(here.x - side * along.y, here.y + side * along.x)
        assert nearest_parameter(segment, beside) == pytest.approx(t, abs=1e-6)


@pytest.mark.parametrize(
    ("points", "t"),
    [
        ([(-8, 4), (6, -8), (11, -7), (-9, 6)], 57 / 64),
        ([(-1, -7), (-11, -8), (-9, 4), (7, 4)], 44 / 64),
        ([(1, 11), (2, 12), (-7, -6), (-12, 11)], 29 / 64),
    ],
)
def test_a_place_on_a_cubic_is_found_to_the_last_digits(points, t):
    """Where the root of the polynomial alone is a hundred millionth off."""
    cubic = Cubic(*(P(*p) for p in points))
    there = point_on(cubic, t)
    assert math.dist(point_on(cubic, nearest_parameter(cubic, there)), there) < 1e-12


@pytest.mark.parametrize("turn", [-0.6, 0.0, 0.6, 2.5])
def test_a_foot_near_a_guess_is_found_in_few_steps(monkeypatch, turn):
    """Half as far inside the bend as its centre, and as far outside of it, whatever way it runs."""
    arch = Contour((Cubic(P(0, 0), P(4, 9), P(12, 9), P(18, 0)),)).transformed(
        Transform().rotate(turn)
    )
    (cubic,) = arch.segments
    t = 0.4
    on, along, bend = point_on(cubic, t), velocity(cubic, t), acceleration(cubic, t)
    speed = math.hypot(*along)
    reach = speed**3 / (along.x * bend.y - along.y * bend.x) / 2
    tried = []
    monkeypatch.setattr(segments, "point_on", lambda s, v: tried.append(v) or point_on(s, v))
    for side in (reach, -reach):
        beside = P(on.x - side * along.y / speed, on.y + side * along.x / speed)
        for guess in (t - 0.03, t + 0.03):
            assert refined_foot(cubic, beside, guess, 0.0, 1.0) == pytest.approx(t, abs=1e-12)
    assert len(tried) < 4 * 8


@pytest.mark.parametrize(
    ("guess", "low", "high", "foot"),
    [
        (0.51, 0.0, 1.0, 0.875),
        (0.49, 0.0, 1.0, 0.125),
        (0.6, 0.3, 0.95, 0.875),
        (0.4, 0.05, 0.7, 0.125),
        (0.6, 0.4, 0.8, 0.8),  # no foot is there but the end
        (0.4, 0.2, 0.6, 0.2),
        (0.99, 0.0, 1.0, 0.875),
    ],
)
def test_a_foot_of_a_place_beyond_the_centre_of_a_bend_is_on_the_side_of_the_guess(
    guess, low, high, foot
):
    """Of y = x^2 from -2 to 2 and (0, 2.75), whose feet are at x = -1.5 and 1.5."""
    parabola = Cubic(P(-2, 4), P(-2 / 3, -4 / 3), P(2 / 3, -4 / 3), P(2, 4))
    found = refined_foot(parabola, P(0, 2.75), guess, low, high)
    assert found == pytest.approx(foot, abs=1e-9)


@settings(max_examples=60)
@given(st.one_of(plain, cubics), st.floats(0, 1), st.floats(0, 1))
def test_a_piece_runs_from_the_one_parameter_to_the_other_either_way(segment, t0, t1):
    assume(abs(t0 - t1) > 0.01)
    made = trimmed(segment, t0, t1)
    for share in (0.0, 0.3, 1.0):
        there = point_on(segment, t0 + share * (t1 - t0))
        assert point_on(made, share) == pytest.approx(there, abs=1e-9)


@settings(max_examples=60)
@given(st.lists(st.floats(-0.6, 1.6), min_size=1, max_size=5), st.sampled_from([-3.0, 1.0]))
def test_the_roots_of_a_polynomial_between_0_and_1_are_found(roots, factor):
    roots = sorted(roots)
    assume(all(b - a > 0.01 for a, b in zip([-9, *roots], [*roots, 9], strict=True)))
    assume(all(min(abs(r), abs(r - 1)) > 0.01 for r in roots))
    polynomial = factor * np.polynomial.polynomial.polyfromroots(roots)
    expected = [r for r in roots if 0 < r < 1]
    assert roots_within(polynomial.tolist()) == pytest.approx(expected, abs=1e-6)


def test_beyond_its_ends_the_nearest_place_of_a_line_or_an_arc_is_the_nearer_end():
    line, arc = Line(P(1, 2), P(4, 6)), Arc(P(-3, 0), P(3, 0), 0.5)
    assert [nearest_parameter(line, p) for p in (P(0, 0), P(9, 9))] == [0.0, 1.0]
    # The other side of the circle from the arc: nearer to one end or to the other.
    assert [nearest_parameter(arc, p) for p in (P(-1, 9), P(1, 9))] == [0.0, 1.0]


@settings(max_examples=60)
@given(
    st.floats(-5, 5),
    st.floats(-5, 5),
    st.floats(0.1, 5).flatmap(lambda v: st.sampled_from([v, -v])),
)
def test_a_quadratic_has_the_roots_it_was_made_of(one, other, factor):
    assume(abs(one - other) > 1e-3)
    roots = quadratic_roots(factor, -factor * (one + other), factor * one * other)
    assert sorted(roots) == pytest.approx(sorted((one, other)), abs=1e-6)


def test_quadratics_without_a_square_or_without_roots():
    assert quadratic_roots(0.0, 2.0, -3.0) == [1.5]
    assert quadratic_roots(0.0, 0.0, 1.0) == []
    assert quadratic_roots(1.0, 0.0, 1.0) == []
    assert quadratic_roots(1e-15, 1.0, 1.0) == [-1.0]  # a square of rounding alone
    # What would cancel: the small root keeps its digits.
    assert min(quadratic_roots(1.0, -1e8, 1.0)) == pytest.approx(1e-8, rel=1e-12)


@settings(max_examples=60)
@given(
    st.builds(Arc, places, places, st.floats(0.02, 4).flatmap(lambda b: st.sampled_from([b, -b])))
)
def test_an_arc_is_found_again_through_three_of_its_places(arc):
    assume(math.dist(arc.start, arc.end) > 0.5)
    for t in (0.2, 0.5, 0.9):
        found = arc_through(arc.start, point_on(arc, t), arc.end)
        assert found.bulge == pytest.approx(arc.bulge, rel=1e-5)
    flat = arc_through(P(0, 0), P(3, 4), P(6, 8))
    assert flat == Line(P(0, 0), P(6, 8))


@pytest.mark.parametrize("is_reversed", [False, True])
def test_a_length_is_settled_at_once_on_a_smooth_curve_and_in_few_goes_at_a_cusp(
    monkeypatch, is_reversed
):
    """Only the part with the cusp is halved again and again, and that twelve times."""
    asked = []
    gauss = segments._gauss
    monkeypatch.setattr(segments, "_gauss", lambda *args: asked.append(args) or gauss(*args))
    smooth = Cubic(P(0, 0), P(100, 90), P(200, 90), P(300, 0))
    segment_length(smooth)
    assert len(asked) == 3
    asked.clear()
    cusp = trimmed(Cubic(P(0, 0), P(30, 30), P(0, 30), P(30, 0)), 0.0, 0.75)
    segment_length(cusp.reversed() if is_reversed else cusp)
    assert min(t1 - t0 for _, t0, t1 in asked) == 0.5**13
    assert len(asked) < 60
