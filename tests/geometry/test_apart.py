"""What lies apart is worked out apart and once: the same region as all together and anew."""

from __future__ import annotations

import math

import pytest
from fontTools.misc.transform import Transform
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry import recover
from livery.geometry.apart import _box, from_first_point, groups_apart, parts_apart, proper_apart
from livery.geometry.boolean import difference, intersection, union, union_of_proper
from livery.geometry.flatten import points_along, to_shapely
from livery.geometry.measure import area, turns_round
from livery.geometry.offset import band, inset
from livery.geometry.outline import EMPTY, Arc, Contour, Cubic, Line, Outline, Point, translated
from livery.geometry.path_text import in_order
from livery.geometry.recover import winding_region
from livery.geometry.shapes import Corner, circle, rectangle

SIDE = rectangle(900, 120, corners=Corner("round", 9))
WINDOW = rectangle(31, 44, Point(13, 40), Corner("round", 5))

sizes = st.floats(-60, 60)


def windows(count: int, pitch: float = 43.7) -> list[Outline]:
    return [translated(WINDOW, i * pitch, 0.0) for i in range(count)]


def together(contours: list[Contour], at_least: int = 1) -> Outline:
    """The engine on all contours at once, and nothing kept."""
    given = tuple(c for c in contours if c.segments)
    return in_order(Outline(recover._edge(given, at_least, recover.CHORD_MM)))


@st.composite
def scenes(draw: st.DrawFn) -> list[Contour]:
    """Rings, discs and boxes thrown about: some touch, some lie within others, some turned round."""
    found: list[Contour] = []
    for _ in range(draw(st.integers(1, 7))):
        x, y = draw(sizes), draw(sizes)
        size = draw(st.sampled_from((3.0, 8.0, 21.0, 55.0)))
        kind = draw(st.sampled_from(("disc", "box", "ring")))
        shape = (
            rectangle(size, size / 2, Point(x, y), Corner("round", size / 8))
            if kind == "box"
            else circle(Point(x, y), size)
        )
        if kind == "ring":
            shape = band(shape, 0.0, size / 3)
        contours = shape.contours
        found += [c.reversed() for c in contours] if draw(st.booleans()) else contours
    return found


@settings(max_examples=60)
@given(scenes(), st.integers(1, 3))
def test_apart_is_the_same_as_together(contours: list[Contour], at_least: int) -> None:
    apart, whole = winding_region(contours, at_least), together(contours, at_least)
    one, other = to_shapely(apart), to_shapely(whole)
    assert one.symmetric_difference(other).area < 1e-6 * (1.0 + other.length)
    assert len(apart.contours) == len(whole.contours)
    assert apart.node_count == whole.node_count


@settings(max_examples=40)
@given(scenes(), st.integers(1, 2))
def test_what_is_kept_is_what_is_worked_out_anew(contours: list[Contour], at_least: int) -> None:
    recover._edge_once.cache_clear()
    anew = winding_region(contours, at_least)
    assert winding_region(contours, at_least) == anew
    moved = [c.transformed(Transform(1, 0, 0, 1, 17.3, -4.1)) for c in contours]
    after = winding_region(moved, at_least)
    recover._edge_once.cache_clear()
    assert winding_region(moved, at_least) == after


def test_a_row_of_one_shape_is_worked_out_once() -> None:
    def worked_out(count: int) -> int:
        recover._edge_once.cache_clear()
        rings = [band(w, -4.0, -1.5) for w in windows(count)]
        union(*rings)
        difference(SIDE, *windows(count))
        intersection(union(*rings), SIDE)
        return recover._edge_once.cache_info().misses

    few = worked_out(2)
    assert few > 0
    assert worked_out(20) <= 1.2 * few


def test_points_that_were_given_stay_exactly_as_they_were() -> None:
    row = windows(20)
    given = {p for w in row for c in w for p in c.nodes}
    cut = difference(SIDE, *row)
    assert given <= {p for c in cut for p in c.nodes}


def test_groups_say_how_often_the_others_wind_round_them() -> None:
    inner = circle(Point(450, 60), 10)
    hole = rectangle(40, 40, Point(430, 40)).contours[0].reversed()
    groups = groups_apart([*SIDE.contours, hole, *inner.contours], 1e-3)
    assert [g.times for g in groups] == [0, 1, 0]
    assert turns_round(SIDE, Point(450, 60)) == 1


@pytest.mark.parametrize(("across", "up"), [(1, 0), (0, 1), (-1, 0), (0, -1)])
def test_contours_nearer_than_the_reach_are_of_one_group(across: int, up: int) -> None:
    one = rectangle(10, 10).contours[0]
    for gap, count in ((0.0, 1), (0.9e-3, 1), (1.1e-3, 2)):
        other = rectangle(10, 10, Point(across * (10 + gap), up * (10 + gap))).contours[0]
        assert len(groups_apart([one, other], 1e-3)) == count


@given(sizes, sizes, st.floats(-5, 5).filter(lambda b: abs(b) > 1e-3))
def test_the_box_of_an_arc_holds_it(x: float, y: float, bulge: float) -> None:
    if math.hypot(x - 1, y - 2) < 1e-3:
        return
    arc = Arc(Point(1, 2), Point(x, y), bulge)
    left, bottom, right, top = _box(arc)
    slack = 1e-9 * (1.0 + arc.radius)
    for p in points_along(arc, max(1e-3, arc.radius / 500)):
        assert left - slack <= p.x <= right + slack
        assert bottom - slack <= p.y <= top + slack


@pytest.mark.parametrize("bulge", [-3.0, 1.0, 2.0, 5.0])
def test_the_box_of_an_arc_of_half_a_circle_or_more_is_as_wide_as_the_circle(bulge: float) -> None:
    """On an upright or level chord, and as high as the arc, so that it joins nothing far off."""
    level = Arc(Point(3, 7), Point(7, 7), bulge)
    left, bottom, right, top = _box(level)
    assert (left, right) == pytest.approx((5 - level.radius, 5 + level.radius))
    assert (bottom, top) == pytest.approx((min(7, 7 - 2 * bulge), max(7, 7 - 2 * bulge)))
    left, bottom, right, top = _box(Arc(Point(3, 7), Point(3, 11), bulge))
    assert (bottom, top) == pytest.approx((9 - level.radius, 9 + level.radius))
    assert (left, right) == pytest.approx((min(3, 3 + 2 * bulge), max(3, 3 + 2 * bulge)))


def test_the_box_of_a_cubic_holds_it() -> None:
    cubic = Cubic(Point(0, 0), Point(9, 4), Point(-5, 8), Point(3, 1))
    left, bottom, right, top = _box(cubic)
    assert all(left <= p.x <= right and bottom <= p.y <= top for p in points_along(cubic, 1e-3))


@pytest.mark.parametrize("distance", [2.0, -1.5])
def test_an_inset_is_the_same_wherever_it_lies(distance: float) -> None:
    here = inset(WINDOW, distance)
    there = inset(translated(WINDOW, 311.0, 27.0), distance)
    assert translated(there, -311.0, -27.0).node_count == here.node_count
    assert math.isclose(area(there), area(here), rel_tol=1e-12)


def test_a_shape_put_back_lies_where_it_was() -> None:
    placed = from_first_point(WINDOW.contours)
    assert from_first_point(list(WINDOW.contours)) is placed  # worked out once
    assert tuple(placed.put_back(c) for c in placed.contours) == WINDOW.contours


def test_parts_are_joined_where_they_come_within_reach_and_keep_their_holes() -> None:
    ring = band(rectangle(40, 30), 0.0, 10.0)
    near = translated(rectangle(5, 5), 41.0, 0.0)
    far = translated(rectangle(5, 5), 48.0, 0.0)
    whole = Outline((*far.contours, *ring.contours, *near.contours))
    one_mm = [len(group.contours) for group in parts_apart(whole, 1.01)]
    assert one_mm == [1, 3]
    assert [len(g.contours) for g in parts_apart(whole, 0.99)] == [1, 2, 1]
    assert [len(g.contours) for g in parts_apart(whole, 2.01)] == [4]
    assert parts_apart(ring, 0.0) == [ring]
    assert parts_apart(Outline(()), 1.0) == []


def test_proper_outlines_are_grouped_where_they_come_within_reach() -> None:
    one, near, far = (rectangle(10, 10, Point(x, 0)) for x in (0.0, 10.9, 22.1))
    assert proper_apart([far, one, near], 1.0) == [[far], [one, near]]
    assert proper_apart([far, one, near], 1.3) == [[far, one, near]]
    assert proper_apart([one, far], 1.0) == [[one], [far]]
    assert proper_apart([one], 1.0) == proper_apart([EMPTY, one], 1.0) == [[one]]
    assert proper_apart([], 1.0) == proper_apart([EMPTY, EMPTY], 1.0) == []
    assert union_of_proper([EMPTY, EMPTY]) == union_of_proper([EMPTY]) == EMPTY


def test_places_are_rounded_to_steps_of_2_to_the_power_of_minus_34() -> None:
    start, end = Point(5.0, 5.0), Point(5.0 + 1e-10, 5.0)
    placed = from_first_point([Contour((Line(start, end), Line(end, start)))])
    assert placed.contours[0].segments[0].end == Point(2.0 * 2.0**-34, 0.0)
