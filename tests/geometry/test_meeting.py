import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from livery.geometry.meeting import meeting
from livery.geometry.meetings import meetings
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point
from livery.geometry.pieces import pieces_of
from livery.geometry.segments import direction, point_on
from livery.geometry.shapes import turn_between

P = Point
places = st.builds(Point, st.floats(-20, 20), st.floats(-20, 20))
plain = st.one_of(
    st.builds(Line, places, places),
    st.builds(Arc, places, places, st.sampled_from([-2.5, -0.6, 0.3, 1.4])),
).filter(lambda s: math.dist(s.start, s.end) > 1)
cubics = st.builds(Cubic, places, places, places, places)


def moved_to_meet(one, other, t, u):
    """Return the other segment moved so that its place at ``u`` is that of the first at ``t``."""
    p, q = point_on(one, t), point_on(other, u)
    dx, dy = p.x - q.x, p.y - q.y
    at = [P(v.x + dx, v.y + dy) for v in (other.start, other.end)]
    if isinstance(other, Cubic):
        a, b = (P(v.x + dx, v.y + dy) for v in (other.control1, other.control2))
        return Cubic(at[0], a, b, at[1])
    return Line(*at) if isinstance(other, Line) else Arc(*at, other.bulge)


@settings(max_examples=80)
@given(st.one_of(plain, cubics), st.one_of(plain, cubics), st.floats(0.1, 0.9), st.floats(0.1, 0.9))
def test_segments_are_found_to_meet_where_they_were_made_to(one, other, t, u):
    other = moved_to_meet(one, other, t, u)
    assume(abs(math.sin(turn_between(direction(one, t), direction(other, u)))) > 0.2)
    there = point_on(one, t)
    found = meeting(one, other, there, t, u)
    assert found is not None
    assert math.dist(found, there) < 1e-6
    near = meeting(one, other, there, t + 1e-3, u - 1e-3)
    assert near is not None
    assert math.dist(near, there) < 1e-6


LEVEL = Cubic(P(0, 0), P(10, 0), P(20, 0), P(30, 0))
"""Its parameter runs in proportion to its length."""


@pytest.mark.parametrize(("x", "meets"), [(-29, True), (-31, False), (59, True), (61, False)])
def test_a_cubic_is_carried_on_by_its_own_length_and_no_further(x, meets):
    upright = Line(P(x, -5), P(x, 5))
    for found in (meeting(LEVEL, upright, P(x, 0)), meeting(upright, LEVEL, P(x, 0))):
        assert (found == pytest.approx((x, 0))) if meets else (found is None)


@pytest.mark.parametrize("k", range(9))
def test_far_from_the_origin_a_meeting_is_settled_to_what_numbers_hold(k):
    """Of some of these lines the last digits never come to rest."""
    far = Cubic(P(3e5, 7e5), P(3e5 + 11, 7e5 + 40), P(3e5 + 25, 7e5 - 30), P(3e5 + 31, 7e5 + 3))
    line = Line(P(3e5 - 3, 7e5 + 2 + k / 7), P(3e5 + 37, 7e5 + 1.3 - k / 9))
    found = meeting(far, line, point_on(far, 0.5))
    assert found is not None
    along = direction(line, 0)
    assert abs((found.x - line.start.x) * along.y - (found.y - line.start.y) * along.x) < 1e-8


def test_side_by_side_nothing_meets():
    assert meeting(Line(P(0, 0), P(3, 1)), Line(P(0, 1), P(6, 3)), P(1, 1)) is None
    assert meeting(Arc(P(1, 0), P(-1, 0), 1), Arc(P(2, 0), P(-2, 0), 1), P(1, 1)) is None
    assert meeting(LEVEL, Line(P(0, 1), P(30, 1)), P(1, 1)) is None


@settings(max_examples=80)
@given(plain, plain, places)
def test_as_arrays_segments_meet_in_the_same_places(one, other, near):
    back = [Line(s.end, s.start) for s in (one, other)]
    pieces = pieces_of([Contour((s, b)) for s, b in zip((one, other), back, strict=True)])
    found = meetings(pieces, np.array([0]), np.array([2]), np.array([near]))[0]
    expected = meeting(one, other, near)
    if expected is None:
        assert np.isnan(found).all()
    else:
        assert math.dist(found, expected) <= 1e-9 * (1 + math.hypot(*expected))


def test_a_line_or_a_circle_that_touches_another_meets_it_also_as_arrays():
    top = Arc(P(5, 0), P(-5, 0), 1)
    for other in (Line(P(-8, 5), P(9, 5)), Arc(P(3, 8), P(-3, 8), -1)):
        rings = [Contour((s, Line(s.end, s.start))) for s in (top, other)]
        found = meetings(pieces_of(rings), np.array([0]), np.array([2]), np.array([P(1, 4)]))
        assert found[0] == pytest.approx((0, 5))
        assert meeting(top, other, P(1, 4)) == pytest.approx((0, 5))
