import math
from dataclasses import replace
from itertools import pairwise

import pytest
import shapely
from fontTools.misc.transform import Identity, Transform

from livery.findings import LiveryError
from livery.geometry.boolean import difference, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds, length
from livery.geometry.offset import band, inset, stroke
from livery.geometry.outline import Arc, Contour, Line, Point, chain
from livery.geometry.shapes import Corner, circle, polygon, rectangle, ring
from livery.make.film.joins import JoinPlace, JoinRules
from livery.make.film.stripes import (
    StripePiece,
    _before,
    _past,
    _places_within,
    _run_out,
    _straights,
    _stretches,
    stripe_pieces,
)


def loop(width, height, corner, stroke):
    """A rounded loop of lining and its middle line."""

    def at(inset):
        return rectangle(
            width - 2 * inset,
            height - 2 * inset,
            Point(inset, inset),
            Corner("round", corner - inset),
        )

    return difference(at(0), at(stroke)), at(stroke / 2).contours[0]


def test_a_loop_becomes_strips_and_corners_that_cover_it():
    stripe, centre = loop(600, 150, 20, 3)
    pieces = stripe_pieces(stripe, centre, 3, JoinRules(300, 2), tail_mm=10)
    strips = [p for p in pieces if p.straight]
    corners = [p for p in pieces if not p.straight]
    assert len(corners) == 4
    # The long sides, 540 mm between the tails, are joined once each.
    assert len(strips) == 6
    covered = shapely.union_all([to_shapely(p.outline, 0.002) for p in pieces])
    assert covered.symmetric_difference(to_shapely(stripe, 0.002)).area < 0.1
    laps = sum(area(p.outline) for p in pieces) - area(stripe)
    assert laps == pytest.approx(len(pieces) * 2 * 3, rel=0.01)
    for p in strips:
        assert area(p.outline) == pytest.approx(3 * p.length_mm, abs=0.01)
        assert p.length_mm <= 302 + 1e-6


def test_joins_of_a_loop_keep_to_the_places_given():
    stripe, centre = loop(600, 150, 20, 3)
    rail = JoinPlace(200, 260, 0, "under the handrail")
    pieces = stripe_pieces(stripe, centre, 3, JoinRules(400, 2), [rail], tail_mm=10)
    ends = [p.end_mm - 2 for p in pieces if p.straight]
    assert any(200 <= e <= 260 for e in ends)


@pytest.mark.parametrize("degrees", [20, 70, 110, 160])
def test_a_slanting_strip_is_turned_along_the_film_and_one_level_or_upright_is_not(degrees):
    turn = Transform().translate(70, -30).rotate(math.radians(degrees))
    for outline in (rectangle(200, 3), rectangle(3, 200), rectangle(200, 3).transformed(turn)):
        strip = StripePiece(0, 200, True, outline)
        box = bounds(outline.transformed(strip.level_turn))
        assert sorted((box.width, box.height)) == pytest.approx([3, 200])
        assert (strip.level_turn == Identity) is (outline.contours[0].start == Point(0, 0))
    assert replace(strip, straight=False).level_turn == Identity


def test_a_bend_past_the_start_of_a_closed_line_is_joined_at_the_place_given_there():
    """Two sides of 600 mm and two bends with tails of 100 mm, longer than the film takes."""
    ends = [Point(0, 0), Point(600, 0), Point(600, 60), Point(0, 60)]
    sides = (
        Line(ends[0], ends[1]),
        Arc(ends[1], ends[2], 1.0),
        Line(ends[2], ends[3]),
        Arc(ends[3], ends[0], 1.0),
    )
    centre = Contour(sides)
    total = length(centre)
    rail = JoinPlace(20, 30, 1, "under the handrail")
    made = stripe_pieces(stroke(centre, 3), centre, 3, JoinRules(250, 2), [rail], tail_mm=100)
    joins = [p.end_mm - 2 for p in made]
    assert [total + 20 <= at <= total + 30 for at in joins].count(True) == 1
    assert sum(p.length_mm for p in made) == pytest.approx(total + 2 * len(made))
    assert all(one.end_mm - 2 == pytest.approx(other.start_mm) for one, other in pairwise(made))


def test_each_piece_of_an_open_line_laps_over_the_next_and_the_last_ends_with_the_line():
    arc = Arc(Point(400, 0), Point(430, 30), math.tan(math.pi / 8))
    sides = Line(Point(0, 0), arc.start), arc, Line(arc.end, Point(430, 300))
    centre = Contour(sides, closed=False)
    made = stripe_pieces(stroke(centre, 3), centre, 3, JoinRules(250, 2), tail_mm=20)
    assert len(made) > 3
    assert made[0].start_mm == 0 and made[-1].end_mm == pytest.approx(length(centre))
    for one, other in pairwise(made):
        assert one.end_mm - other.start_mm == pytest.approx(2)


@pytest.mark.parametrize("at_start", [True, False])
def test_a_line_is_carried_straight_on_past_its_ends(at_start):
    line = chain([Point(10, 20), Point(40, 60), Point(90, 180)], closed=False)
    carried = _run_out(line, 13.0, at_start=at_start, at_end=not at_start)
    more = (2.2, 9.6) if at_start else (95, 192)  # 13 mm on by 3:4, and by 5:12
    nodes = list(line.nodes)
    nodes.insert(0 if at_start else 3, Point(*more))
    assert [pytest.approx(p) for p in nodes] == list(carried.nodes)


def test_a_ring_without_straights_is_cut_in_even_arcs():
    stripe = ring(Point(0, 0), 101, 99)
    centre = circle(Point(0, 0), 100).contours[0]
    pieces = stripe_pieces(stripe, centre, 2, JoinRules(250, 1), tail_mm=10)
    assert len(pieces) == 3
    covered = shapely.union_all([to_shapely(p.outline, 0.002) for p in pieces])
    assert (
        covered.symmetric_difference(to_shapely(stripe, 0.002)).area < 2.0
    )  # 1260 mm of edge in chords of 0.002
    assert length(centre) == pytest.approx(200 * math.pi)
    (whole,) = stripe_pieces(stripe, centre, 2, JoinRules(700, 0), tail_mm=10)
    assert whole.outline is stripe


@pytest.mark.parametrize(("clear", "begins"), [(25, 155), (15, 20)])
def test_a_strip_begins_past_what_bars_its_join_unless_hardly_any_would_be_left(clear, begins):
    """Of a side of 200 mm with tails of 20 mm, barred up to so far before the second tail."""
    turn = math.tan(math.pi / 8)
    lines = [
        Point(0, 0),
        Point(100, 0),
        Point(130, 30),
        Point(130, 230),
        Point(100, 260),
        Point(0, 260),
    ]
    sides = [
        Arc(a, b, turn) if a.x != b.x and a.y != b.y else Line(a, b) for a, b in pairwise(lines)
    ]
    at = 100 + 15 * math.pi
    barred = [JoinPlace(at + 10, at + 180 - clear, math.inf, "over a rivet")]
    stretches = _stretches(Contour(tuple(sides), closed=False), 20, barred)
    assert [is_strip for *_, is_strip in stretches] == [True, False, True, False, True]
    assert stretches[2][:2] == pytest.approx((at + begins, at + 180))


def test_a_join_is_put_off_from_one_barred_place_into_the_next_and_past_that_too():
    barred = [
        JoinPlace(*place, math.inf, "over a rivet") for place in ((25, 40), (10, 30), (60, 70))
    ]
    assert [_past(at, barred) for at in (9, 15, 28, 40, 65)] == [9, 40, 40, 40, 70]
    assert [_before(at, barred) for at in (9, 15, 35, 40, 65)] == [9, 10, 10, 40, 60]


@pytest.mark.parametrize("way", [0, 35, 200])
def test_a_side_drawn_in_several_lines_is_one_straight(way):
    places = [(0, 0), (30, 0), (70, 0), (100, 0), (100, 40), (100, 60), (90, 90)]
    turn = Transform().rotate(math.radians(way))
    line = chain([Point(*turn.transformPoint(p)) for p in places], closed=False)
    found = _straights(line)
    assert [size for size, _ in found] == pytest.approx([100, 60, math.hypot(10, 30)])


@pytest.mark.parametrize(("side", "strips"), [(59, 2), (61, 4)])
def test_a_side_no_longer_than_four_tails_is_part_of_its_corners(side, strips):
    stripe, centre = loop(400, 40 + side, 20, 3)
    pieces = stripe_pieces(stripe, centre, 3, JoinRules(500, 2), tail_mm=15)
    assert sum(p.straight for p in pieces) == strips


@pytest.mark.parametrize("degrees", [20.0, 28.0, 40.0])
def test_a_sharp_corner_keeps_its_tip_when_it_is_cut_in_strips(degrees):
    across = 300 * math.tan(math.radians(degrees / 2))
    outer = polygon([Point(0, -across), Point(300, 0), Point(0, across)])
    stripe = band(outer, 0.0, 1.0)
    centre = inset(outer, 0.5).contours[0]
    pieces = stripe_pieces(stripe, centre, 1.0, JoinRules(250, 3), tail_mm=10)
    laid = shapely.union_all([to_shapely(p.outline) for p in pieces])
    assert to_shapely(stripe).difference(laid.buffer(1e-4)).area < 1e-4
    assert laid.bounds[2] == pytest.approx(300, abs=1e-3)


def test_a_stripe_its_pieces_would_not_cover_is_refused():
    _, centre = loop(600, 150, 20, 3)
    wider = difference(rectangle(620, 170, Point(-10, -10)), rectangle(580, 130, Point(10, 10)))
    with pytest.raises(LiveryError, match="would be lost"):
        stripe_pieces(wider, centre, 3, JoinRules(300, 2), tail_mm=10)


@pytest.mark.parametrize(
    ("past", "long", "is_whole"),
    [(0.004, 600, True), (0.006, 600, False), (0.006, 0.8, True), (0.006, 1.2, False)],
)
def test_what_lies_more_than_half_a_hundredth_past_its_pieces_is_lost(past, long, is_whole):
    """A bump as far off the middle line as one and a half widths across reach, and a little more."""
    bump = rectangle(long, 2.25 + past, Point(300 - long / 2, 0))
    stripe = union(rectangle(600, 3, Point(0, -1.5)), bump)
    centre = Contour((Line(Point(0, 0), Point(600, 0)),), closed=False)
    if is_whole:
        assert len(stripe_pieces(stripe, centre, 3, JoinRules(300, 2), tail_mm=10)) == 3
    else:
        with pytest.raises(LiveryError, match="would be lost"):
            stripe_pieces(stripe, centre, 3, JoinRules(300, 2), tail_mm=10)


def test_places_for_joins_are_measured_from_the_start_of_each_stretch():
    """Within it alone; on a line of 300 mm that closes, also past its start."""
    ends = [(50, 80), (90, 120), (130, 150), (180, 260), (10, 20)]
    places = [JoinPlace(start, end, 1.0, "under a fitting") for start, end in ends]

    def within(start, end, turns):
        return [(p.start_mm, p.end_mm) for p in _places_within(places, start, end, turns)]

    assert within(100.0, 200.0, (0.0,)) == [(0, 20), (30, 50), (80, 100)]
    assert within(250.0, 340.0, (0.0, 300.0)) == [(0, 10), (60, 70)]
