import itertools
import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry.flatten import flatten, to_line_string, to_shapely
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point, chain
from livery.geometry.segments import direction
from livery.geometry.shapes import Corner, circle, ellipse, polygon, rectangle
from livery.make.film.knife import Knife, pivot_path

NO_EXTRAS = Knife(0.25, swivel_degrees=5, overcut_mm=0)


def tip_path(path, offset, start):
    """Drag a tip behind the pivot in tiny steps, as the knife does in the film."""
    line = to_line_string(path, 0.0002)
    count = math.ceil(line.length / 0.005)
    tip = start
    cut = [tip]
    for i in range(count + 1):
        pivot = line.interpolate(line.length * i / count)
        away = math.hypot(pivot.x - tip[0], pivot.y - tip[1])
        if away > offset:
            tip = (
                pivot.x - (pivot.x - tip[0]) * offset / away,
                pivot.y - (pivot.y - tip[1]) * offset / away,
            )
            cut.append(tip)
    return shapely.LineString(cut)


@pytest.mark.parametrize(
    "outline",
    [
        rectangle(12, 8),
        polygon([Point(0, 0), Point(14, 1), Point(5, 9)]),
        rectangle(14, 9, corners=Corner("round", 2)),
        rectangle(16, 12, corners=Corner("incurved", 3)),
        circle(Point(3, 3), 2),
        ellipse(Point(0, 0), 6, 3),
    ],
)
def test_the_dragged_tip_cuts_the_contour(outline):
    contour = outline.contours[0]
    path = pivot_path(contour, NO_EXTRAS)
    cut = tip_path(path, 0.25, contour.start)
    wanted = to_line_string(contour, 0.001)
    assert cut.hausdorff_distance(wanted) < 0.03
    assert cut.length == pytest.approx(wanted.length, rel=0.02)


def test_without_offset_and_overcut_the_path_is_the_contour():
    contour = rectangle(12, 8, corners=Corner("round", 2)).contours[0]
    path = pivot_path(contour, Knife(0.0, overcut_mm=0))
    assert path == Contour(contour.segments, closed=False)


def test_arcs_stay_arcs_on_a_wider_circle():
    path = pivot_path(circle(Point(0, 0), 3).contours[0], Knife(0.4, overcut_mm=0))
    assert all(isinstance(s, Arc) for s in path.segments)
    assert {round(s.radius, 9) for s in path.segments} == {round(math.hypot(3, 0.4), 9)}


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 0.5), st.floats(0, 3), st.integers(3, 8), st.floats(0, 1))
def test_path_is_one_unbroken_run(offset, loop, sides, overcut):
    corners = [
        Point(9 * math.cos(2 * math.pi * i / sides), 9 * math.sin(2 * math.pi * i / sides))
        for i in range(sides)
    ]
    path = pivot_path(polygon(corners).contours[0], Knife(offset, 10, overcut, loop))
    for a, b in itertools.pairwise(path.segments):
        assert math.dist(a.end, b.start) < 1e-9


def test_overcut_runs_on_past_the_start():
    contour = rectangle(12, 8).contours[0]
    path = pivot_path(contour, Knife(0.0, overcut_mm=1.5))
    assert path.end == pytest.approx((1.5, 0))


@pytest.mark.parametrize(("turn", "swivels"), [(13.0, False), (17.0, True)])
def test_a_knife_is_swivelled_at_corners_of_fifteen_degrees(turn, swivels):
    away = math.radians(turn)
    sides = [Line(Point(0, 0), Point(40, 0))]
    sides.append(Line(sides[0].end, Point(40 + 30 * math.cos(away), 30 * math.sin(away))))
    path = pivot_path(Contour(tuple(sides), closed=False), Knife(0.25))
    assert any(isinstance(s, Arc) for s in path.segments) is swivels


def test_a_knife_of_which_nothing_more_is_said_overcuts_half_a_millimetre_without_loops():
    path = pivot_path(rectangle(12, 8).contours[0], Knife(0.0))
    assert path.end == pytest.approx((0.5, 0))
    assert {(p.x, p.y) for p in path.nodes} == {(0, 0), (12, 0), (12, 8), (0, 8), (0.5, 0)}
    curve = Contour((Cubic(Point(0, 0), Point(9, 0), Point(18, 9), Point(18, 18)),), closed=False)
    chords = shapely.LineString(pivot_path(curve, Knife(0.0)).nodes)
    off = chords.hausdorff_distance(to_line_string(curve, 1e-4))
    assert 0.0035 < off < 0.0052


def test_loops_stay_in_the_waste_and_leave_the_piece_whole():
    piece = polygon([Point(*p) for p in ((0, 0), (20, 0), (20, 20), (10, 8), (0, 20))])
    path = pivot_path(piece.contours[0], Knife(0.0, overcut_mm=0, loop_mm=2))
    inside = to_shapely(piece).buffer(-1e-3)
    cut = shapely.LineString(flatten(path, 0.001))
    assert cut.intersection(inside).length == 0
    assert cut.length > to_shapely(piece).length + 3 * 2 * 2
    # The inner corner gets no loop: it would cut into the piece.
    assert min(math.dist(p, (10, 8)) for p in flatten(path)) < 1e-9


def test_a_loop_swings_the_knife_to_the_coming_side():
    contour = rectangle(30, 20).contours[0]
    path = pivot_path(contour, Knife(0.25, overcut_mm=0, loop_mm=3))
    cut = tip_path(path, 0.25, contour.start)
    outside = cut.difference(to_line_string(contour).buffer(0.03))
    assert outside.intersection(to_shapely(rectangle(30, 20)).buffer(-0.03)).length == 0
    sides = to_line_string(contour)
    assert sides.difference(cut.buffer(0.03)).length < 0.5


@pytest.mark.parametrize("corner", [60.0, 90.0, 120.0])
def test_a_loop_goes_round_without_a_corner_of_its_own(corner):
    away = math.radians(180.0 - corner)
    places = [Point(0, 0), Point(40, 0), Point(40 + 30 * math.cos(away), 30 * math.sin(away))]
    path = pivot_path(chain(places, closed=False), Knife(0.0, overcut_mm=0, loop_mm=2))
    assert [type(s) for s in path.segments] == [Line, Line, Arc, Line, Line]
    for one, other in itertools.pairwise(path.segments):
        assert direction(one, 1.0) == pytest.approx(direction(other, 0.0))


@pytest.mark.parametrize(("turn", "loops"), [(38.0, False), (52.0, True)])
def test_a_loop_is_cut_at_corners_sharper_than_half_a_right_angle(turn, loops):
    # Two long sides meet at B, turning by the angle; the piece is to their left.
    away = math.radians(turn)
    sides = [Point(0, 0), Point(40, 0), Point(40 + 30 * math.cos(away), 30 * math.sin(away))]
    piece = polygon([*sides, Point(0, 40)])
    path = pivot_path(piece.contours[0], Knife(0.0, overcut_mm=0, loop_mm=2))
    past = [p for p in flatten(path, 0.01) if p.y < 1e-9 and p.x > 40.1]
    assert bool(past) is loops
