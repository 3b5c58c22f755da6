from __future__ import annotations

import math

import pytest
from fontTools.misc.transform import Identity, Transform
from hypothesis import given
from hypothesis import strategies as st

from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, chain
from livery.geometry.segments import direction, nearest_parameter, point_on, trimmed
from livery.geometry.shapes import rectangle, turn_between
from livery.lettering.as_cut import as_cut, mirrored
from livery.lettering.set_text import set_text
from livery.lettering.setting import Setting, Tracked

SIX_DEGREES = math.radians(6)


def sharp_corners(outline, within=SIX_DEGREES):
    found = []
    for contour in outline:
        pairs = zip(contour.segments, (*contour.segments[1:], contour.segments[0]), strict=True)
        for a, b in pairs:
            if abs(turn_between(direction(a, 1.0), direction(b, 0.0))) > within:
                found.append(a.end)
    return found


def test_overlapping_letters_are_joined(grotesque):
    tight = set_text(grotesque, "HH", Setting(20.0, spacing=Tracked(mm=-4.0))).outline
    cut = as_cut(tight)
    assert cut.pieces == 1
    assert area(cut.outline) < area(tight)


def test_pieces_and_counters_are_counted(grotesque):
    cut = as_cut(set_text(grotesque, "BOL8", Setting(20.0)).outline)
    assert (cut.pieces, cut.counters) == (4, 5)
    assert cut.sharp == ()


def test_tiny_segments_and_specks_are_taken_out():
    square = chain(
        [Point(0, 0), Point(10, 0), Point(10, 4.995), Point(10.004, 5.0), Point(10, 5.005),
         Point(10, 10), Point(0, 10)]
    )  # fmt: skip
    speck = chain([Point(20, 0), Point(20.01, 0), Point(20.01, 0.01)])
    cut = as_cut(Outline((square, speck)))
    assert cut.pieces == 1
    assert cut.outline.node_count <= 5
    assert area(cut.outline) == pytest.approx(100.0, abs=0.02)


def test_corners_stay_sharp_unless_asked(grotesque):
    letter = set_text(grotesque, "H", Setting(20.0)).outline
    assert len(sharp_corners(as_cut(letter).outline)) == 12


def test_outside_and_inside_corners_are_eased_apart(grotesque):
    letter = set_text(grotesque, "H", Setting(20.0)).outline
    outside = as_cut(letter, outside_corner_mm=0.5)
    assert len(sharp_corners(outside.outline)) == 4
    inside = as_cut(letter, inside_corner_mm=0.5)
    assert len(sharp_corners(inside.outline)) == 8
    corner = (4 - math.pi) * 0.25 / 4
    assert area(outside.outline) == pytest.approx(area(letter) - 8 * corner)
    assert area(inside.outline) == pytest.approx(area(letter) + 4 * corner)


@pytest.mark.parametrize("text", ["ASKG", "RQ83", "&mag"])
def test_no_corner_a_knife_cannot_turn_is_left(grotesque, roman, text):
    for face in (grotesque, roman):
        letters = set_text(face, text, Setting(30.0)).outline
        cut = as_cut(letters, inside_corner_mm=0.2, outside_corner_mm=0.2)
        left = sharp_corners(cut.outline, math.radians(8))
        assert len(left) <= len(cut.sharp)
        for place in left:
            assert min(math.dist(place, known) for known in cut.sharp) < 0.02
        assert len(cut.sharp) <= 0.1 * len(sharp_corners(letters))
        radii = [s.radius for c in cut.outline for s in c.segments if isinstance(s, Arc)]
        assert radii == pytest.approx([0.2] * len(radii), abs=1e-4)
        assert area(cut.outline) == pytest.approx(area(letters), rel=5e-3)


def test_corners_between_curves_are_eased_by_an_arc_that_touches_both():
    lens = Contour((Arc(Point(0, 0), Point(20, 0), 0.3), Arc(Point(20, 0), Point(0, 0), 0.3)))
    cut = as_cut(Outline((lens,)), outside_corner_mm=1.0)
    assert not sharp_corners(cut.outline, math.radians(0.01))
    assert cut.outline.node_count == 4


def test_corners_without_room_are_told(grotesque):
    cut = as_cut(rectangle(1.0, 10.0), outside_corner_mm=0.8)
    assert len(cut.sharp) == 4
    assert all(isinstance(s, Line) for s in cut.outline.contours[0].segments)


@given(st.floats(-300.0, 300.0))
def test_mirrored_twice_is_the_original(roman, about):
    letters = set_text(roman, "R2", Setting(20.0)).outline
    once = mirrored(letters, about)
    assert area(once) == pytest.approx(area(letters))
    twice = mirrored(once, about)
    for before, after in zip(letters, twice, strict=True):
        for p, q in zip(before.nodes, after.nodes, strict=True):
            assert q == pytest.approx(p, abs=1e-9)


def test_a_mirrored_letter_reads_backwards(grotesque):
    letter = set_text(grotesque, "L", Setting(20.0)).outline
    box, there = bounds(letter), bounds(mirrored(letter, 50.0))
    assert (there.left, there.right) == pytest.approx((100 - box.right, 100 - box.left))


def test_cutting_what_was_cut_changes_nothing(roman):
    once = as_cut(set_text(roman, "BAY", Setting(20.0)).outline)
    again = as_cut(once.outline)
    assert again.outline.node_count == once.outline.node_count
    moved = again.outline.transformed(Identity)
    assert area(moved) == pytest.approx(area(once.outline), abs=1e-6)


P = Point
CURVE = Cubic(P(0.0, 0.0), P(4.0, 0.0), P(10.0, 5.0), P(10.0, 10.0))


@pytest.mark.parametrize("turned", [False, True])
def test_edges_beside_a_tiny_one_are_carried_on_to_their_meeting(turned):
    points = [P(0, 0), P(9.993, 0), P(10, 0.007), P(10, 5), P(0, 9)]
    onto = Transform(0, 1, -1, 0, 0, 0) if turned else Identity
    (cut,) = as_cut(Outline((chain(points),)).transformed(onto)).outline
    assert len(cut.segments) == 4
    corner = P(*onto.transformPoint((10.0, 0.0)))
    assert min(math.dist(corner, s.end) for s in cut.segments) < 1e-9


@pytest.mark.parametrize(
    ("part", "tip"), [(trimmed(CURVE, 0.0, 0.998), P(10.0, 9.99)), (CURVE, P(9.995, 10.005))]
)
def test_a_curve_beside_a_tiny_edge_is_carried_on_along_itself(part, tip):
    ring = (part, Line(part.end, tip), Line(tip, P(0, 12)), Line(P(0, 12), P(0, 0)))
    (cut,) = as_cut(Outline((Contour(ring),))).outline
    (kept,) = (s for s in cut.segments if isinstance(s, Cubic))
    assert len(cut.segments) == 3
    for t in (0.2, 0.5, 0.9):
        at = point_on(kept, t)
        assert math.dist(at, point_on(CURVE, nearest_parameter(CURVE, at))) < 1e-6
