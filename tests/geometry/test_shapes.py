import math

import pytest

from livery.findings import LiveryError
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Point
from livery.geometry.shapes import SQUARE, Corner, ellipse, oval, polygon, rectangle, ring
from livery.geometry.validity import faults


def test_rectangle_sits_on_its_bottom_left():
    assert bounds(rectangle(30, 20, Point(5, -7))) == (5, -7, 35, 13)


@pytest.mark.parametrize(("width", "height"), [(60, 40), (40, 60), (40, 40)])
def test_an_oval_fills_its_box_but_for_what_its_round_ends_leave(width, height):
    made = oval(width, height, Point(5, -7))
    assert bounds(made) == pytest.approx((5, -7, 5 + width, -7 + height))
    assert area(made) == pytest.approx(width * height - (1 - math.pi / 4) * 40**2)
    assert faults(made) == []


@pytest.mark.parametrize(
    ("kind", "lost"),
    [("round", 1 - math.pi / 4), ("incurved", math.pi / 4), ("chamfered", 0.5), ("notched", 1.0)],
)
def test_each_corner_takes_its_own_area(kind, lost):
    worked = rectangle(60, 40, corners=Corner(kind, 6))
    assert area(worked) == pytest.approx(60 * 40 - 4 * lost * 36, abs=1e-9)


def test_incurved_arc_is_centred_on_the_corner():
    arcs = [
        s
        for s in rectangle(60, 40, corners=Corner("incurved", 6)).contours[0].segments
        if isinstance(s, Arc)
    ]
    centres = {(round(a.centre.x, 9), round(a.centre.y, 9)) for a in arcs}
    assert centres == {(0, 0), (60, 0), (60, 40), (0, 40)}


def test_fillet_of_any_angle_is_tangent():
    triangle = polygon([Point(0, 0), Point(80, 10), Point(20, 60)], Corner("round", 5))
    for s in triangle.contours[0].segments:
        if isinstance(s, Arc):
            assert s.radius == pytest.approx(5)
    assert area(triangle) < area(polygon([Point(0, 0), Point(80, 10), Point(20, 60)]))


def test_corners_that_meet_leave_no_side():
    pill = rectangle(60, 40, corners=Corner("round", 20))
    assert pill.node_count == 6
    assert area(pill) == pytest.approx(area(oval(60, 40)))


@pytest.mark.parametrize("size", [10.0, 0.1, 8000.0])
def test_corners_that_take_all_of_a_side_fit_it_and_close_where_they_began(size):
    """Though what they take is a rounding error off the side."""
    quarters = [SQUARE, Corner("round", size), SQUARE, SQUARE]
    for first in range(4):
        corners = quarters[first:] + quarters[:first]
        (made,) = rectangle(size, size, corners=corners)
        assert made.end == made.start
        assert [s.end for s in made.segments[:-1]] == [s.start for s in made.segments[1:]]
        assert len(made.segments) == 3
        assert area(made) == pytest.approx(math.pi / 4 * size**2)
    (pill,) = rectangle(1.5 * size, size, corners=Corner("round", size / 2))
    assert pill.end == pill.start
    assert len(pill.segments) == 6


@pytest.mark.parametrize("first", range(4))
def test_two_notches_may_not_meet_but_a_notch_and_another_corner_may(first):
    notched, cut = Corner("notched", 5), Corner("chamfered", 5)

    def worked(*corners):
        wide, high = (10, 30) if first % 2 == 0 else (30, 10)
        return rectangle(wide, high, corners=corners[4 - first :] + corners[: 4 - first])

    with pytest.raises(LiveryError, match="do not fit"):
        worked(notched, notched, SQUARE, SQUARE)
    assert area(worked(notched, cut, SQUARE, notched)) == pytest.approx(300 - 50 - 12.5)


def test_clockwise_points_are_turned_round():
    assert area(polygon([Point(0, 0), Point(0, 10), Point(10, 0)])) == pytest.approx(50)


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: rectangle(0, 10), "size-not-positive"),
        (lambda: rectangle(10, float("nan")), "size-not-positive"),
        (lambda: rectangle(10, 10, corners=Corner("round", 5.1)), "corner-too-large"),
        (lambda: rectangle(30, 10, corners=Corner("notched", 5)), "corner-too-large"),
        (lambda: polygon([Point(0, 0), Point(1, 0)]), "too-few-points"),
        (lambda: polygon([Point(0, 0), Point(1, 0), Point(1, 0)]), "repeated-point"),
        (lambda: rectangle(10, 10, corners=[Corner("square")] * 3), "corner-count"),
        (lambda: ring(Point(0, 0), 5, 5), "size-not-positive"),
    ],
)
def test_sizes_that_cannot_be_are_refused(make, code):
    with pytest.raises(LiveryError) as refused:
        make()
    assert refused.value.findings[0].code == code


def test_areas_of_rounds():
    assert area(ring(Point(3, 3), 10, 6)) == pytest.approx(math.pi * 64)
    assert area(ellipse(Point(1, 2), 30, 10)) == pytest.approx(math.pi * 300, rel=1e-5)
