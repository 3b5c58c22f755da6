"""Where a shape becomes another kind of shape, or a fault: just below each limit, and just above."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from fontTools.misc.transform import Transform

from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, chain
from livery.geometry.parts import parts_of
from livery.geometry.path_text import write_path
from livery.geometry.reaching import sides_round, useful_reaches
from livery.geometry.ribbon import tapered
from livery.geometry.segments import arc_through
from livery.geometry.shapes import polygon, rectangle
from livery.geometry.simplify import _corners, as_one
from livery.geometry.smallest_box import longest_side
from livery.geometry.spine import spine
from livery.geometry.stripe_line import stripe_line
from livery.geometry.validity import faults

ORIGIN = Point(0.0, 0.0)


@pytest.mark.parametrize(("sweep", "arcs"), [(109.0, 1), (111.0, 2), (219.0, 2), (221.0, 3)])
def test_an_arc_is_written_in_pieces_of_110_degrees_at_most(sweep: float, arcs: int) -> None:
    arc = Arc(ORIGIN, Point(10.0, 0.0), math.tan(math.radians(sweep) / 4.0))
    text = write_path(Outline((Contour((arc, Line(arc.end, arc.start))),)))
    assert text.upper().count("A") == arcs


@pytest.mark.parametrize(("rise", "kind"), [(0.9e-6, Line), (1.1e-6, Arc), (-1.1e-6, Arc)])
def test_points_a_millionth_out_of_line_make_an_arc(rise: float, kind: type) -> None:
    assert isinstance(arc_through(ORIGIN, Point(5.0, rise), Point(10.0, 0.0)), kind)


@pytest.mark.parametrize(("off", "is_one"), [(0.9e-6, True), (1.1e-6, False)])
def test_lines_a_millionth_out_of_line_stay_two(off: float, is_one: bool) -> None:
    joint = Point(5.0, off)
    joined = as_one(Line(ORIGIN, joint), Line(joint, Point(10.0, 0.0)))
    assert (joined is not None) is is_one


@pytest.mark.parametrize(("degrees", "corners"), [(34.0, []), (36.0, [1])])
def test_a_turn_of_35_degrees_in_a_run_of_points_is_a_corner(
    degrees: float, corners: list[int]
) -> None:
    turn = math.radians(degrees)
    points = [(0.0, 0.0), (10.0, 0.0), (10.0 + math.cos(turn), math.sin(turn))]
    assert _corners(np.array(points)) == corners


def dart(long: float, wide: float) -> Outline:
    return polygon([Point(long, 0.0), Point(0.0, wide / 2.0), Point(0.0, -wide / 2.0)])


def test_a_dart_is_followed_in_800_places_of_its_edge() -> None:
    found = spine(dart(90.0, 10.0))
    assert found is not None
    # The first place is a corner of its foot; the one opposite it lies just past the other corner.
    side = math.hypot(90.0, 5.0)
    step = (2.0 * side + 10.0) / 800.0
    past = 2.0 * (round(side / step) * step - side)
    assert found.widest_mm == pytest.approx(10.0 - past, abs=1e-4)


@pytest.mark.parametrize(("times", "is_long"), [(7.9, False), (8.2, True)])
def test_a_dart_of_eight_widths_has_a_middle_line(times: float, is_long: bool) -> None:
    assert (spine(dart(10.0 * times, 10.0)) is not None) is is_long


def test_a_middle_line_keeps_to_a_twentieth_of_a_millimetre() -> None:
    outer = Arc(Point(-60.0, 0.0), Point(60.0, 0.0), -0.25)
    inner = Arc(Point(58.0, 0.0), Point(-58.0, 0.0), 0.25)
    ends = Line(outer.end, inner.start), Line(inner.end, outer.start)
    curved = Outline((Contour((outer, ends[0], inner, ends[1])).reversed(),))
    found = spine(curved)
    assert found is not None
    nodes = found.centre.nodes
    # A chord of a circle stands off it by its length squared over eight radii.
    radius = (outer.radius + inner.radius) / 2.0
    longest = max(math.dist(p, q) for p, q in pairwise(nodes))
    assert 0.04 < longest**2 / (8.0 * radius) < 0.05


def test_a_middle_line_runs_from_tip_to_tip() -> None:
    needle = polygon([ORIGIN, Point(50.0, -2.0), Point(100.0, 0.0), Point(50.0, 2.0)])
    found = spine(needle)
    assert found is not None
    assert sorted(found.centre.nodes) == [(0.0, 0.0), (100.0, 0.0)]


@pytest.mark.parametrize(("hole", "is_even"), [(Point(2, 2), True), (Point(2.2, 2), False)])
def test_a_ring_of_even_width_is_a_stripe(hole: Point, is_even: bool) -> None:
    edge = rectangle(60.0, 40.0).contours
    found = stripe_line(Outline((*edge, rectangle(56.0, 36.0, hole).contours[0].reversed())))
    assert (found is not None) is is_even
    if found is not None:
        assert found.width_mm == pytest.approx(2.0)
        assert bounds(found.centre) == pytest.approx((1.0, 1.0, 59.0, 39.0))


def test_a_slanting_region_is_as_long_as_from_end_to_end() -> None:
    assert longest_side(rectangle(50.0, 20.0).transformed(Transform().rotate(0.7))) == 50.0
    assert longest_side(Outline(())) == 0.0


@pytest.mark.parametrize("quarters", range(4))
def test_a_hole_that_touches_the_edge_is_a_hole_of_its_part(quarters: int) -> None:
    hole = chain([Point(10.0, 10.0), Point(0.0, 15.0), Point(10.0, 20.0)])
    sheet = Outline((*rectangle(30.0, 30.0), hole))
    turned = sheet.transformed(Transform().rotate(quarters * math.pi / 2.0))
    (part,) = parts_of(turned)
    assert len(part.contours) == 2


@pytest.mark.parametrize(("times", "is_stripe"), [(7.9, False), (8.1, True)])
def test_a_stripe_is_eight_widths_long(times: float, is_stripe: bool) -> None:
    assert (stripe_line(rectangle(2.0 * times, 2.0)) is not None) is is_stripe


@pytest.mark.parametrize(("wider", "is_even"), [(0.03, True), (0.05, False)])
def test_a_stripe_may_be_a_fiftieth_of_its_width_out(wider: float, is_even: bool) -> None:
    corners = [ORIGIN, Point(100.0, 0.0), Point(100.0, 1.0 + wider), Point(0.0, 1.0)]
    assert (stripe_line(polygon(corners)) is not None) is is_even


@pytest.mark.parametrize(("clear", "reach"), [(0.0025, 10.0), (0.0035, 0.0)])
def test_a_side_is_left_out_that_another_node_clears_by_more_than_chords_are_off(
    clear: float, reach: float
) -> None:
    """A node above the middle of a side of 2 mm, so near to all that it sweeps to 0.95 of 10 mm."""
    height = 9.5 - math.sqrt((9.5 - clear) ** 2 - 1.0)
    places = [ORIGIN, Point(2.0, 0.0), Point(1.0, height)]
    sides, _ = useful_reaches(sides_round(chain(places).segments), 10.0, all_or_none=True)
    assert sides[0] == reach


def kinds(*contours: Contour) -> list[str]:
    return [f.kind for f in faults(contours)]


@pytest.mark.parametrize(("gap", "expected"), [(0.9e-6, []), (1.1e-6, ["open"])])
def test_ends_a_millionth_apart_do_not_meet(gap: float, expected: list[str]) -> None:
    p, q, r = ORIGIN, Point(10.0, 0.0), Point(10.0, 10.0)
    assert kinds(Contour((Line(p, q), Line(q, r), Line(r, Point(0.0, gap))))) == expected


@pytest.mark.parametrize(("mm2", "expected"), [(0.9e-4, ["tiny area"]), (1.1e-4, [])])
def test_a_contour_of_a_ten_thousandth_of_a_square_millimetre_is_a_shape(
    mm2: float, expected: list[str]
) -> None:
    assert kinds(*rectangle(mm2**0.5, mm2**0.5)) == expected


def comb(teeth: int) -> list[Point]:
    points = [Point(-5.0, -5.0), Point(100.0, -5.0)]
    for k in reversed(range(teeth)):
        points += [Point(k + 0.5, -4.0), Point(k + 0.5, 50.0), Point(k + 0.1, 50.0)]
        points += [Point(k + 0.1, -4.0)]
    return [*points, Point(-5.0, -4.0)]


@pytest.mark.parametrize(("teeth", "shown"), [(15, 963), (16, 10)])
def test_of_a_thousand_meetings_ten_are_shown(teeth: int, shown: int) -> None:
    across = chain(comb(16))
    up = chain([Point(y, x) for x, y in comb(teeth)])
    found = faults([across, up])
    assert len(found) == shown


def test_a_path_is_written_to_a_thousandth_of_a_millimetre() -> None:
    text = write_path(polygon([ORIGIN, Point(10.23456, 0.0), Point(0.0, 5.0)]))
    assert "10.235" in text and "10.2346" not in text


def test_a_line_narrows_only_at_the_ends_that_are_given_a_length() -> None:
    line = chain([ORIGIN, Point(100.0, 0.0)], closed=False)
    assert area(tapered(line, 2.0)) == pytest.approx(200.0)
    assert area(tapered(line, 2.0, 10.0)) == pytest.approx(190.0)
    assert area(tapered(line, 2.0, end_mm=20.0)) == pytest.approx(180.0)
