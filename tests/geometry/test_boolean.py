import math

import pytest
from fontTools.misc.transform import Transform
from gallery import SPECIMENS
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry.boolean import difference, intersection, is_well_inside, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, length
from livery.geometry.offset import inset
from livery.geometry.outline import EMPTY, Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.path_text import write_path
from livery.geometry.segments import trimmed
from livery.geometry.shapes import Corner, circle, oval, polygon, rectangle, ring
from livery.geometry.validity import faults

P = Point
OTHERS = ["sheet with round corners", "blob", "side with windows", "star", "ring"]


def shapes():
    at = st.builds(P, st.floats(-20, 20), st.floats(-20, 20))
    size = st.floats(5, 40)
    corner = st.builds(
        Corner, st.sampled_from(["square", "round", "incurved", "chamfered"]), st.floats(0.5, 2.4)
    )
    return st.one_of(
        st.builds(rectangle, size, size, at, corner),
        st.builds(circle, at, size),
        st.builds(oval, size, size, at),
    ).flatmap(lambda o: st.floats(-3, 3).map(lambda turn: o.transformed(Transform().rotate(turn))))


@settings(max_examples=60)
@given(shapes(), shapes())
def test_laws_of_area(a, b):
    both, either = intersection(a, b), union(a, b)
    slack = 0.003 * (length(a) + length(b)) * 0.5
    assert area(both) + area(either) == pytest.approx(area(a) + area(b), abs=slack)
    assert area(difference(a, b)) == pytest.approx(area(a) - area(both), abs=slack)
    assert area(union(b, a)) == pytest.approx(area(either), abs=slack)
    assert faults(either) == []
    assert faults(both) == []


@pytest.mark.parametrize("name", OTHERS)
def test_areas_agree_with_a_fine_flattening(specimen, name):
    other = SPECIMENS[name]
    fine, fine_other = to_shapely(specimen, 1e-4), to_shapely(other, 1e-4)
    slack = 2e-4 * (length(specimen) + length(other))
    assert area(union(specimen, other)) == pytest.approx(fine.union(fine_other).area, abs=slack)
    assert area(difference(specimen, other)) == pytest.approx(
        fine.difference(fine_other).area, abs=slack
    )
    assert area(intersection(specimen, other)) == pytest.approx(
        fine.intersection(fine_other).area, abs=slack
    )


def test_with_itself_nothing_is_added_and_everything_taken(specimen):
    assert difference(specimen, specimen) == EMPTY
    assert union(specimen, specimen).node_count <= specimen.node_count + 1
    assert area(union(specimen, specimen)) == pytest.approx(
        area(specimen), abs=1e-6 * length(specimen)
    )
    assert area(intersection(specimen, specimen)) == pytest.approx(
        area(specimen), abs=1e-6 * length(specimen)
    )


def test_empties():
    a = rectangle(10, 10)
    assert union() == union(EMPTY) == difference(EMPTY, a) == intersection(a, EMPTY) == EMPTY
    assert union(a, EMPTY) == a
    assert difference(a, EMPTY) == difference(a) == a


def test_nasty_outlines_are_put_in_order(nasty):
    settled = union(nasty)
    assert faults(settled) == []


def test_shared_edges_leave_no_nodes():
    assert write_path(union(rectangle(40, 40), rectangle(40, 40, P(40, 0)))) == (
        "M0 0 L80 0 L80 40 L0 40 Z"
    )
    assert write_path(union(rectangle(40, 40), rectangle(40, 30, P(40, 10)))) == (
        "M0 0 L40 0 L40 10 L80 10 L80 40 L0 40 Z"
    )


def test_touching_at_a_corner_stays_two_squares():
    touching = union(rectangle(20, 20), rectangle(20, 20, P(20, 20)))
    assert [len(c.segments) for c in touching] == [4, 4]


def test_two_circles_meet_where_they_should():
    lens = intersection(circle(P(0, 0), 20), circle(P(15, 0), 20))
    high = math.sqrt(400 - 7.5**2)
    (contour,) = lens.contours
    assert all(isinstance(s, Arc) for s in contour.segments)
    assert all(s.radius == pytest.approx(20, abs=1e-9) for s in contour.segments)
    assert sorted(n.y for n in contour.nodes)[0] == pytest.approx(-high, abs=1e-12)
    assert sorted(n.y for n in contour.nodes)[-1] == pytest.approx(high, abs=1e-12)
    half = math.acos(7.5 / 20)
    assert area(lens) == pytest.approx(2 * 400 * (half - math.sin(half) * math.cos(half)), abs=1e-9)


def test_a_bite_from_a_side():
    bitten = difference(rectangle(40, 40), circle(P(40, 20), 10))
    assert area(bitten) == pytest.approx(1600 - 50 * math.pi, abs=1e-9)
    assert sum(isinstance(s, Line) for s in bitten.contours[0].segments) == 5


def test_arcs_that_run_along_each_other():
    whole, part = circle(P(0, 0), 30), polygon([P(0, 0), P(50, 7), P(40, 60)])
    slice_ = intersection(whole, part)
    rest = difference(whole, slice_)
    again = union(rest, slice_)
    assert area(again) == pytest.approx(900 * math.pi, abs=1e-6)
    assert again.node_count <= 3
    assert intersection(rest, slice_) == EMPTY


def test_cubics_that_run_along_each_other():
    whole = SPECIMENS["blob"]
    slice_ = intersection(whole, rectangle(33, 200, P(10, -50)))
    rest = difference(whole, slice_)
    assert intersection(rest, slice_) == EMPTY
    again = union(rest, slice_)
    assert len(again.contours) == 1
    assert again.node_count == 4
    assert area(again) == pytest.approx(area(whole), abs=1e-3)


def test_a_trimmed_cubic_lies_on_its_parent():
    cubic = Cubic(P(0, 0), P(30, -25), P(50, 25), P(80, 10))
    above = Contour(
        (cubic, Line(P(80, 10), P(80, 60)), Line(P(80, 60), P(0, 60)), Line(P(0, 60), P(0, 0)))
    )
    piece = trimmed(cubic, 0.2, 0.7)
    low = Contour(
        (
            Line(P(piece.start.x, -40), P(piece.end.x, -40)),
            Line(P(piece.end.x, -40), piece.end),
            piece.reversed(),
            Line(piece.start, P(piece.start.x, -40)),
        )
    )
    joined = union(Outline((above,)), Outline((low,)))
    assert len(joined.contours) == 1
    assert joined.node_count == 8
    assert area(joined) == pytest.approx(area(above) + area(low), abs=1e-6)


def test_a_hole_is_made_and_filled():
    holed = difference(circle(P(0, 0), 20), circle(P(0, 0), 12))
    assert area(holed) == pytest.approx(area(ring(P(0, 0), 20, 12)))
    assert union(holed, circle(P(0, 0), 12)).node_count == 2


def test_order_of_the_parts_does_not_change_the_bytes():
    parts = [circle(P(x, 5 * x % 7), 4) for x in range(0, 60, 5)]
    assert write_path(union(*parts)) == write_path(union(*reversed(parts)))


@settings(max_examples=40)
@given(shapes(), shapes())
def test_what_is_settled_stays_as_it_is(a, b):
    settled = difference(a, b)
    assert union(settled) == settled


@settings(max_examples=40)
@given(shapes(), st.floats(0.01, 3.0))
def test_what_lies_well_inside_is_its_own_intersection(a, by):
    settled = inset(union(a), by)
    if settled:
        assert is_well_inside(settled, a)
        assert intersection(settled, a) == settled
        assert not is_well_inside(inset(a, 0.003), a)


def test_nothing_is_well_inside_over_an_edge_in_a_hole_or_round_one():
    plate = rectangle(100, 100)
    bored = difference(plate, rectangle(40, 40, P(30, 30)))
    assert is_well_inside(rectangle(10, 10, P(10, 10)), bored)
    assert not is_well_inside(rectangle(10, 10, P(45, 45)), bored)  # in the hole
    assert not is_well_inside(rectangle(60, 60, P(20, 20)), bored)  # round the hole
    assert not is_well_inside(rectangle(10, 10, P(25, 25)), bored)  # over its edge
    assert not is_well_inside(rectangle(10, 10, P(200, 0)), bored)
    assert not is_well_inside(plate, bored)


def test_curves_that_all_but_coincide_part_two_regions_without_a_gap():
    # They meet far from where their chords do; a joint there once opened a gap of 0.02 mm.
    def curve(a, b, c, d):
        return Cubic(P(0, 0), P(4 + a, b), P(10 + c, 5 + d), P(10, 10))

    edge = Contour((curve(0, 0, 0, 0), Line(P(10, 10), P(0, 10)), Line(P(0, 10), P(0, 0))))
    beside = curve(-0.00148, -5e-05, -0.00136, -0.00298).reversed()
    ends = (Line(P(0, 0), P(3, -3)), Line(P(3, -3), P(13, 7)), Line(P(13, 7), P(10, 10)))
    letter, shade = Outline((edge,)), Outline((Contour((*ends, beside)),))
    seen = to_shapely(difference(shade, letter), 5e-4)
    true = to_shapely(shade, 1e-4).difference(to_shapely(letter, 1e-4))
    assert seen.symmetric_difference(true).area < 0.005


@pytest.mark.parametrize(("thick", "is_left"), [(0.0015, False), (0.0025, True)])
def test_a_curved_strip_thinner_than_the_chord_error_is_left_out(thick, is_left):
    low = Cubic(P(0, 0), P(10, 9), P(20, 9), P(30, 0))
    high = Cubic(*(P(p.x, p.y + thick) for p in low.reversed()))
    sides = (low, Line(low.end, high.start), high, Line(high.end, low.start))
    assert bool(union(Outline((Contour(sides),)))) is is_left
