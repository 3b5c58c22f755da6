import math
from itertools import pairwise

import numpy as np
import pytest
from fontTools.misc.transform import Transform
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.geometry.corners import (
    corner_places,
    cornered_inset,
    recornered,
    sharpened,
    taken_off,
)
from livery.geometry.flatten import flatten
from livery.geometry.measure import area, nearest
from livery.geometry.offset import band, inset
from livery.geometry.outline import EMPTY, Arc, Contour, Line, Outline, Point, chain
from livery.geometry.path_text import in_order, write_path
from livery.geometry.shapes import Corner, circle, polygon, rectangle
from livery.geometry.validity import faults

P = Point
RAD = math.radians
KINDS = ["round", "incurved", "chamfered", "notched"]


def same(one, other):
    return write_path(in_order(one)) == write_path(in_order(other))


@pytest.mark.parametrize("kind", ["round", "incurved"])
def test_sharpened_takes_the_corners_off(kind):
    assert same(sharpened(rectangle(80, 50, corners=Corner(kind, 7))), rectangle(80, 50))
    turned = Transform().rotate(0.4)
    five = [P(0, 0), P(50, 5), P(70, 40), P(30, 60), P(-5, 30)]
    assert same(
        sharpened(polygon(five, Corner(kind, 4)).transformed(turned)),
        polygon(five).transformed(turned),
    )


def test_sharpened_leaves_what_is_no_corner():
    for kept in (circle(P(0, 0), 5), rectangle(80, 50, corners=Corner("chamfered", 7)), EMPTY):
        assert sharpened(kept) == kept


@pytest.mark.parametrize("kind", KINDS)
def test_corners_put_on_are_those_of_the_shape(kind):
    assert same(
        recornered(rectangle(80, 50), Corner(kind, 7)), rectangle(80, 50, corners=Corner(kind, 7))
    )


def test_each_corner_its_own_by_order_or_by_place():
    each = [Corner("round", 5), Corner("square"), Corner("notched", 4), Corner("incurved", 3)]
    assert same(recornered(rectangle(80, 50), each), rectangle(80, 50, corners=each))
    top = recornered(
        rectangle(80, 50), lambda p: Corner("round", 5) if p.y > 25 else Corner("square")
    )
    assert top.node_count == 6


@pytest.mark.parametrize("kind", KINDS)
def test_lining_has_its_own_corners_and_even_strands(kind):
    sheet = rectangle(165, 50, corners=Corner("round", 6))
    line = cornered_inset(sheet, 5, Corner(kind, 8))
    assert same(line, rectangle(155, 40, P(5, 5), Corner(kind, 8)))
    strand = band(line, 0.0, 0.75)
    assert faults(strand) == []
    outer, inner = strand.contours
    gaps = [nearest(outer, p).distance for p in flatten(inner, 0.01)]
    assert min(gaps) == pytest.approx(0.75, abs=1e-6)
    # A mitred notch alone is farther at its inward corner, as a mitre is.
    assert max(gaps) == pytest.approx(0.75 * (math.sqrt(2) if kind == "notched" else 1), abs=1e-6)


def test_strands_follow_concentrically():
    line = cornered_inset(rectangle(165, 50), 5, Corner("incurved", 8))
    arcs = [s for s in inset(line, 2).contours[0].segments if isinstance(s, Arc)]
    assert [s.radius for s in arcs] == pytest.approx([10] * 4)
    assert {(round(s.centre.x, 6), round(s.centre.y, 6)) for s in arcs} == {
        (5, 5),
        (160, 5),
        (160, 45),
        (5, 45),
    }


def test_inward_corners_may_differ():
    ell = polygon([P(0, 0), P(40, 0), P(40, 20), P(20, 20), P(20, 40), P(0, 40)])
    done = recornered(ell, Corner("round", 4), inward=Corner("square"))
    assert done.node_count == 11
    both = recornered(ell, Corner("round", 4))
    assert area(both) == pytest.approx(1200 - (5 - 1) * 16 * (1 - math.pi / 4))


def test_corners_of_a_hole_are_outward_seen_from_it():
    sheet = Outline(
        (*rectangle(80, 50).contours, rectangle(40, 20, P(20, 15)).contours[0].reversed())
    )
    done = recornered(sheet, Corner("round", 4), inward=Corner("square"))
    assert area(done) == pytest.approx(80 * 50 - 40 * 20)
    assert done.node_count == 16


ARCHED = Outline(
    (
        Contour(
            (
                Line(P(0, 0), P(90, 0)),
                Line(P(90, 0), P(90, 30)),
                Arc(P(90, 30), P(0, 30), 0.35),
                Line(P(0, 30), P(0, 0)),
            )
        ),
    )
)


def test_a_fillet_between_a_line_and_an_arc_is_tangent_to_both():
    done = recornered(ARCHED, Corner("round", 6))
    assert faults(done) == []
    (contour,) = done.contours
    assert [type(s) for s in contour.segments].count(Arc) == 5
    from livery.geometry.segments import direction

    for before, after in zip(
        contour.segments, contour.segments[1:] + contour.segments[:1], strict=True
    ):
        assert direction(before, 1.0) == pytest.approx(direction(after, 0.0), abs=1e-6)
    assert area(done) < area(ARCHED)


def crowned(width, height, rise):
    a, b, c, d = P(0, 0), P(width, 0), P(width, height), P(0, height)
    top = Arc(c, d, 2 * rise / width)
    return Outline((Contour((Line(a, b), Line(b, c), top, Line(d, a))),))


def apart(one, other):
    """Return the farthest that the edge of one outline is from the other's."""
    return max(nearest(other, p).distance for c in one for p in flatten(c, 0.01))


@settings(max_examples=60)
@given(
    st.sampled_from(["round", "incurved"]),
    st.floats(40, 120),
    st.floats(20, 60),
    st.floats(0.05, 0.3),
    st.floats(0.5, 8),
    st.floats(-3, 3),
)
def test_corners_between_a_line_and_a_crown_come_off_again(kind, width, height, rise, size, turned):
    sheet = crowned(width, height, rise * width / 2).transformed(Transform().rotate(turned))
    worked = recornered(sheet, Corner(kind, size))
    assert faults(worked) == []
    sharp = sharpened(worked)
    assert sharp.node_count == 4
    assert apart(sharp, sheet) < 1e-6
    assert apart(sheet, sharp) < 1e-6


@pytest.mark.parametrize("kinds", [("round", "incurved"), ("incurved", "round")])
def test_corners_taken_off_can_be_put_on_again(kinds):
    sheet = crowned(99, 57, 9)
    asked = {
        P(99, 57): Corner(kinds[0], 5),
        P(0, 57): Corner(kinds[1], 4),
        P(0, 0): Corner("round", 3),
    }
    worked = recornered(sheet, lambda p: asked.get(p, Corner("square")))
    sharp, corners = taken_off(worked)
    assert sorted(c.kind for c in corners.values()) == sorted([*kinds, "round"])
    again = recornered(sharp, lambda p: corners.get(p, Corner("square")))
    assert apart(again, worked) < 1e-6
    assert again.node_count == worked.node_count
    step = rectangle(60, 20, corners=[Corner("round", r) for r in (12, 12, 8, 8)])
    sharp, corners = taken_off(step)
    assert same(recornered(sharp, lambda p: corners[p]), step)


def test_lining_on_a_crowned_sheet_is_concentric_with_its_crown():
    sheet = recornered(crowned(99, 57, 9), Corner("round", 5))
    line = cornered_inset(sheet, 4, Corner("round", 3))
    assert faults(line) == []
    crowns = [
        max((s for s in o.contours[0].segments if isinstance(s, Arc)), key=lambda s: s.radius)
        for o in (sheet, line)
    ]
    assert crowns[0].centre == pytest.approx(crowns[1].centre)
    assert crowns[0].radius - crowns[1].radius == pytest.approx(4)
    assert sorted(s.radius for s in line.contours[0].segments if isinstance(s, Arc))[
        :4
    ] == pytest.approx([3] * 4)


def test_a_round_end_of_three_centres_is_no_corner():
    ends = math.tan(math.radians(120) / 4), math.tan(math.radians(60) / 4)
    a, b, c, d = P(30, -10), P(30, 10), P(-30, 10), P(-30, -10)
    basket = Outline(
        (Contour((Arc(a, b, ends[0]), Arc(b, c, ends[1]), Arc(c, d, ends[0]), Arc(d, a, ends[1]))),)
    )
    assert sharpened(basket) == basket


@pytest.mark.parametrize("sizes", [(10, 10, 10, 10), (12, 12, 8, 8), (4, 15, 5, 3)])
def test_two_fillets_that_meet_are_two_corners(sizes):
    fillets = rectangle(60, 20, corners=[Corner("round", r) for r in sizes])
    assert any(
        isinstance(a, Arc) and isinstance(b, Arc)
        for a, b in pairwise([*fillets.contours[0].segments, fillets.contours[0].segments[0]])
    )
    assert same(sharpened(fillets), rectangle(60, 20))
    turn = Transform().rotate(0.5)
    assert same(sharpened(fillets.transformed(turn)), rectangle(60, 20).transformed(turn))


def test_two_fillets_that_turn_through_120_degrees_together_are_two_corners():
    side = 2 * 12 * math.tan(math.radians(30))
    places = [P(side * math.cos(a), side * math.sin(a)) for a in np.radians(range(0, 360, 60))]
    full = [Corner("round", 12)] * 2 + [Corner("square")] * 4
    assert same(sharpened(polygon(places, full)), polygon(places))


def test_between_two_arcs_a_fillet_may_turn_through_a_right_angle():
    """A sheet with two sides that bulge out and two that are hollow, its corners rounded by 5 mm."""
    at, heading, made = P(0, 0), 0.0, []
    for radius, sweep in ((5, math.pi / 2), (80, 0.4), (5, math.pi / 2), (80, -0.4)) * 2:
        way = math.copysign(radius, sweep)
        centre = P(at.x - way * math.sin(heading), at.y + way * math.cos(heading))
        heading += sweep
        to = P(centre.x + way * math.sin(heading), centre.y - way * math.cos(heading))
        made.append(Arc(at, to, math.tan(sweep / 4)))
        at = to
    made[-1] = Arc(made[-1].start, P(0, 0), made[-1].bulge)
    rounded = Outline((Contour(tuple(made)),))
    sharp, corners = taken_off(rounded)
    assert faults(rounded) == faults(sharp) == []
    assert sharp.node_count == 4
    assert [c.size for c in corners.values()] == pytest.approx([5] * 4)


def test_a_side_is_not_carried_on_past_its_own_start():
    """A wide arc that bends in at its end: the line after it would be met beyond where it began."""
    wide = Arc(
        P(10, 0), P(10 * math.cos(RAD(290)), 10 * math.sin(RAD(290))), math.tan(RAD(290) / 4)
    )
    centre = P(0.6 * wide.end.x, 0.6 * wide.end.y)
    inner = P(centre.x + 4 * math.cos(RAD(105)), centre.y + 4 * math.sin(RAD(105)))
    bend = Arc(wide.end, inner, math.tan(RAD(175) / 4))
    back = P(inner.x - 4 * math.cos(RAD(15)), inner.y - 4 * math.sin(RAD(15)))
    sides = chain([inner, back, P(back.x, 4), wide.start], closed=False).segments
    cut = Outline((Contour((wide, bend, *sides)),))
    assert faults(cut) == []
    assert sharpened(cut) == cut


def test_two_notches_that_meet_are_refused_but_not_a_notch_and_a_round():
    def worked(*kinds):
        return recornered(rectangle(10, 30), [Corner(k, 5) for k in kinds])

    with pytest.raises(LiveryError):
        worked("notched", "notched", "square", "square")
    assert worked("notched", "round", "square", "notched").node_count == 8


def test_a_long_chamfer_on_a_wide_arc_starts_on_its_own_side_of_the_corner():
    """A round end of 300 degrees: what lies so far from its corner does so on either side of it."""
    top = Arc(P(5, 0), P(-5, 0), math.tan(RAD(300) / 4))
    sides = chain([P(-5, 0), P(-5, -30), P(5, -30), P(5, 0)], closed=False).segments
    keyhole = Outline((Contour((top, *sides)),))
    cut = recornered(keyhole, lambda p: Corner("chamfered", 10.5 if p == P(-5, 0) else 0.0))
    (arc,) = (s for s in cut.contours[0].segments if isinstance(s, Arc))
    assert arc.start == P(5, 0)
    assert arc.sweep == pytest.approx(RAD(300) - 2 * math.asin(10.5 / 20))


def test_fillets_that_turn_opposite_ways_are_two_corners():
    step = polygon([P(0, 0), P(60, 0), P(60, 20), P(30, 20), P(30, 30), P(0, 30)])
    places = {P(30, 20): 6.0, P(30, 30): 4.0}
    soft = recornered(step, lambda p: Corner("round", places.get(p, 0.0)))
    assert soft.node_count == 7
    assert faults(soft) == []
    assert same(sharpened(soft), step)


def test_a_crown_may_be_all_fillets():
    sheet = crowned(60, 40, 4)
    slope = 2 * math.atan(2 * 4 / 60)
    crown = sheet.contours[0].segments[2].radius
    # Where two equal fillets meet at the top of the crown, their centres lie on its axis.
    assert crown * math.sin(slope) == pytest.approx(30)
    half = recornered(sheet, lambda p: Corner("round", 29.999) if p.y > 20 else Corner("square"))
    assert faults(half) == []
    with pytest.raises(LiveryError):
        recornered(sheet, lambda p: Corner("round", 30.01) if p.y > 20 else Corner("square"))


@pytest.mark.parametrize("kind", ["incurved", "chamfered"])
def test_other_corners_between_a_line_and_an_arc(kind):
    done = recornered(ARCHED, lambda p: Corner(kind, 6) if p.y > 10 else Corner("square"))
    assert faults(done) == []
    assert done.node_count == 6
    for p in done.contours[0].nodes:
        if p.y > 10:
            assert min(math.dist(p, (0, 30)), math.dist(p, (90, 30))) == pytest.approx(6)


@pytest.mark.parametrize(
    ("outline", "corner", "code"),
    [
        (rectangle(10, 10), Corner("round", 6), "corner-too-large"),
        (rectangle(30, 10), Corner("notched", 5), "corner-too-large"),
        (ARCHED, Corner("round", 60), "corner-too-large"),
        (ARCHED, Corner("notched", 3), "notch-on-curve"),
        (rectangle(10, 10), [Corner("round", 1)], "corner-count"),
    ],
)
def test_corners_that_cannot_be_worked_are_refused(outline, corner, code):
    with pytest.raises(LiveryError) as refused:
        recornered(outline, corner)
    assert refused.value.findings[0].code == code


def test_every_specimen_can_be_cornered(specimen):
    done = recornered(specimen, Corner("round", 0.005))
    assert faults(done) == [] or area(specimen) < 0.01
    assert len([p for c in done for p in corner_places(c)]) == 0


@pytest.mark.parametrize(("kind", "quarter"), [("notched", 36.0), ("incurved", 9.0 * math.pi)])
def test_an_inward_corner_turned_in_takes_three_quarters_out(kind, quarter):
    """Struck outward it leaves a quarter more; the five outward corners lose one each either way."""
    corners = ((5, 7), (95, 7), (95, 47), (55, 47), (55, 87), (5, 87))
    edge = polygon([Point(*p) for p in corners]).transformed(Transform().rotate(0.5))
    for turn_in, quarters in ((False, -5 + 1), (True, -5 - 3)):
        worked = recornered(edge, Corner(kind, 6.0), turn_in=turn_in)
        assert not faults(worked)
        assert area(worked) - area(edge) == pytest.approx(quarters * quarter)
        assert kind == "notched" or same(sharpened(worked), edge)


def test_a_notch_turned_in_has_its_places():
    edge = polygon([Point(*p) for p in ((5, 7), (95, 7), (95, 47), (55, 47), (55, 87), (5, 87))])
    worked = recornered(edge, Corner("notched", 6.0), turn_in=True)
    places = [(61, 47), (61, 41), (49, 41), (49, 53), (55, 53)]
    nodes = [(round(p.x, 9), round(p.y, 9)) for p in worked.contours[0].nodes]
    first = nodes.index(places[0])
    assert nodes[first : first + 5] == places


@pytest.mark.parametrize("sweep", [0.35, 1.2, 2.0])
def test_a_part_of_a_ring_keeps_both_its_arcs_as_sides(sweep: float) -> None:
    """Its narrower arc is no incurved corner; the same arc without a wider one beside it is."""
    inner, outer = (
        Arc(Point(r, 0.0), Point(r * math.cos(sweep), r * math.sin(sweep)), math.tan(sweep / 4.0))
        for r in (60.0, 100.0)
    )
    ends = Line(inner.start, outer.start), Line(outer.end, inner.end)
    ring = Outline((Contour((ends[0], outer, ends[1], inner.reversed())),))
    assert taken_off(ring) == (ring, {})
    cut = Outline((Contour((ends[0], Line(outer.start, outer.end), ends[1], inner.reversed())),))
    (corner,) = taken_off(cut)[1].values()
    assert corner == Corner("incurved", pytest.approx(60.0))
