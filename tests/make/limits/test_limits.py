import math
from dataclasses import astuple, replace
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.geometry.boolean import difference, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area
from livery.geometry.outline import EMPTY, Arc, Contour, Cubic, Line, Outline, Point, translated
from livery.geometry.shapes import Corner, circle, ellipse, polygon, rectangle, ring
from livery.layout.piece import Piece, PieceKind
from livery.make.limits import breaches as find_breaches
from livery.make.limits import thin_places as places
from livery.make.limits.breaches import LimitKind, breaches, reported, tightest, worst_of_each_kind
from livery.make.limits.process_limits import (
    COMMON_PRACTICE,
    Limits,
    limits_for,
    processes_that_hold,
)
from livery.make.limits.thin_places import (
    OPPOSITE,
    _is_corner,
    _mere_corners,
    _narrows,
    _sites,
    _tiles,
    narrow_gaps,
    thickened,
    thin_places,
)
from livery.process import Process

PLAIN = Limits(line=0.5, gap=0.4)


def turned(outline, degrees):
    from fontTools.misc.transform import Identity

    return outline.transformed(Identity.rotate(math.radians(degrees)))


def dumbbell(neck):
    bar = rectangle(30, neck, Point(10, 5 - neck / 2))
    return union(rectangle(12, 10), bar, rectangle(12, 10, Point(38, 0)))


@settings(max_examples=60, deadline=None)
@given(st.floats(0.05, 2), st.floats(0.1, 2), st.floats(0, 360))
def test_a_neck_is_found_exactly_when_below_the_limit_and_measured(neck, limit, degrees):
    assume(abs(neck - limit) > 0.01 * limit)
    found = thin_places(turned(dumbbell(neck), degrees), limit)
    if neck > limit:
        assert found == ()
    else:
        (place,) = found
        assert place.width_mm == pytest.approx(neck, abs=0.003)
        assert to_shapely(turned(dumbbell(neck), degrees)).contains(shapely.Point(place.at))


@pytest.mark.parametrize(("width", "is_thin"), [(0.996, False), (0.994, True)])
def test_a_line_within_a_two_hundredth_of_the_limit_passes(width, is_thin):
    assert bool(thin_places(rectangle(30, width), 1.0)) is is_thin
    assert bool(thin_places(dumbbell(width), 1.0)) is is_thin


@pytest.mark.parametrize(("radius", "least"), [(0.5, 0.9038), (2.0, 0.5499), (3.0, 0.9)])
def test_a_waist_between_circles_is_measured_at_samples_a_twelfth_of_the_limit_apart(radius, least):
    """The one waist of 0.9 mm is right to a two-hundredth; beside the other its tips are thinner."""
    high = circle(Point(10, 5.45 + radius), radius)
    low = circle(Point(10, 4.55 - radius), radius)
    shape = difference(rectangle(20, 10), union(high, low))
    found = min(place.width_mm for place in thin_places(shape, 1.0))
    assert found == pytest.approx(least, abs=0.0008)


@pytest.mark.parametrize(("degrees", "count"), [(14, 1), (16, 0), (60, 0)])
def test_a_notch_is_a_gap_when_it_closes_at_less_than_fifteen_degrees(degrees, count):
    half = 10 * math.tan(math.radians(degrees / 2))
    notch = [Point(20 + half, 20), Point(20, 10), Point(20 - half, 20)]
    shape = polygon([Point(0, 0), Point(40, 0), Point(40, 20), *notch, Point(0, 20)])
    assert len(narrow_gaps(shape, 1.0)) == count


@settings(max_examples=40, deadline=None)
@given(st.floats(0.05, 1), st.floats(0.1, 1), st.floats(0, 360))
def test_a_gap_is_found_exactly_when_below_the_limit_and_measured(gap, limit, degrees):
    assume(abs(gap - limit) > 0.01 * limit)
    plates = turned(union(rectangle(20, 10), rectangle(15, 10, Point(20 + gap, 1))), degrees)
    found = narrow_gaps(plates, limit)
    assert len(found) == (gap < limit)
    for place in found:
        assert place.width_mm == pytest.approx(gap, abs=0.003)


@pytest.mark.parametrize(
    "outline",
    [
        rectangle(20, 10),
        rectangle(20, 10, corners=Corner("round", 3)),
        rectangle(20, 10, corners=Corner("incurved", 3)),
        rectangle(20, 10, corners=Corner("notched", 2)),
        circle(Point(0, 0), 3),
        polygon([Point(0, 0), Point(20, 0), Point(10, 17)]),
        ring(Point(0, 0), 10, 8),
    ],
)
def test_corners_and_curves_of_stout_shapes_are_not_thin(outline):
    assert thin_places(outline, 1.0) == ()
    assert narrow_gaps(outline, 1.0) == ()


def test_a_sharp_tip_a_dot_and_a_thin_ring_are_thin():
    tip = polygon([Point(0, 0), Point(30, 0), Point(30, 5)])
    (place,) = thin_places(tip, 0.5)
    assert place.at.x < 3
    (dot,) = thin_places(circle(Point(5, 5), 0.2), 0.5)
    assert dot.width_mm == pytest.approx(0.4, abs=0.005)
    (loop,) = thin_places(ring(Point(0, 0), 10, 9.7), 0.5)
    assert loop.width_mm == pytest.approx(0.3, abs=0.003)
    (counter,) = narrow_gaps(ring(Point(0, 0), 3, 0.15), 0.5)
    assert counter.width_mm == pytest.approx(0.3, abs=0.005)


@settings(max_examples=80, deadline=None)
@given(st.floats(12, 168), st.floats(0, 360), st.floats(0.2, 2))
def test_a_tip_is_thin_when_it_is_sharper_than_forty_degrees(tip, degrees, limit):
    assume(abs(tip - 40) > 2)
    half = math.radians(tip / 2)
    ends = [Point(30 * math.cos(half), s * 30 * math.sin(half)) for s in (-1, 1)]
    # Beyond the tip a stout plate, so that no other corner is sharp.
    plate = rectangle(70, 80, Point(ends[0].x - 1e-3, -40))
    found = thin_places(turned(union(polygon([Point(0, 0), *ends]), plate), degrees), limit)
    assert len(found) == (tip < 40)


def test_a_corner_with_a_curved_side_is_no_line_and_a_neck_as_short_is():
    chord = math.radians(44) + 2 * math.atan(0.1)
    end = Point(8 * math.cos(chord), 8 * math.sin(chord))
    sides = (Line(Point(0, 0), Point(8, 0)), Line(Point(8, 0), end), Arc(end, Point(0, 0), -0.1))
    assert thin_places(Outline((Contour(sides, closed=True),)), 0.5) == ()
    notch = polygon([Point(0, 0.06), Point(3, 5), Point(-3, 5)])
    (neck,) = thin_places(difference(rectangle(20, 4, Point(-10, 0)), notch), 0.5)
    assert neck.width_mm == pytest.approx(0.06, abs=0.002) and not neck.is_tip


def test_what_is_too_thin_as_a_whole_is_as_thin_as_where_it_is_widest():
    crescent = difference(circle(Point(0, 0), 6), circle(Point(0.35, 0), 6.05))
    (place,) = thin_places(crescent, 0.5)
    assert place.width_mm == pytest.approx(0.3, abs=0.01) and not place.is_tip
    assert place.at.x == pytest.approx(-5.85, abs=0.05)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.9, 1.1), st.floats(2, 300), st.booleans(), st.floats(0, 360))
def test_a_waist_of_gentle_curves_is_found_by_its_width_alone(width, radius, one_side, degrees):
    """Sides that curve so little that a circle of the limit reaches past the waist."""
    assume(abs(width - 1.0) > 0.012)
    high = circle(Point(0, radius + width / 2), radius)
    low = rectangle(500, 50, Point(-250, -width / 2 - 50))
    below = low if one_side else circle(Point(0, -radius - width / 2), radius)
    shape = difference(rectangle(60, 20, Point(-30, -10)), union(high, below))
    parts = thin_places(turned(shape, degrees), 1.0)
    near = [p for p in parts if math.hypot(p.at.x, p.at.y) < 0.8 * math.sqrt(radius)]
    assert bool(near) == (width < 1.0)
    for place in near:
        assert place.width_mm == pytest.approx(width, abs=0.006)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.08, 0.45), st.floats(0, 360))
def test_thickening_leaves_nothing_thin_and_takes_nothing_away(neck, degrees):
    thin = turned(dumbbell(neck), degrees)
    stout = thickened(thin, 0.5)
    assert thin_places(stout, 0.49) == ()
    before, after = to_shapely(thin), to_shapely(stout)
    assert before.difference(after).area < 1e-3
    # Only the neck grows: 26 mm between the plates, and some where it meets them.
    assert after.area - before.area == pytest.approx((0.5 - neck) * 26, rel=0.1)


@pytest.mark.parametrize("degrees", [0, 20, 110, 250])
def test_corners_wider_than_a_tip_are_passed_over_unmeasured_and_a_tip_or_a_neck_is_not(degrees):
    """What shrinking and growing again takes off: corners of 90 and 76, a tip of 28 degrees, a neck."""
    triangle = polygon([Point(0, 0), Point(20, 0), Point(0, 5)])
    for outline, passed in ((rectangle(12, 10), 4), (triangle, 2), (dumbbell(0.6), 8)):
        shape = to_shapely(translated(turned(outline, degrees), 300, -200))
        kept = shape.buffer(-0.5, quad_segs=16).buffer(0.5, quad_segs=16)
        lost = shapely.get_parts(shape.difference(kept.buffer(1e-4)))
        lost = lost[shapely.area(lost) > 1e-5]
        found = _mere_corners(lost, shape.boundary, math.acos(OPPOSITE))
        assert (int(found.sum()), len(lost)) == (passed, max(passed, 3) + (passed == 8))


def test_samples_of_an_edge_are_taken_once_each_with_the_one_that_follows():
    ring, line = [(0, 0), (4, 0), (4, 3), (0, 3), (0, 0)], [(9, 0), (9, 2), (9, 5)]
    sites, after = _sites(shapely.MultiLineString([ring, line]))
    assert sites.tolist() == [list(map(float, p)) for p in (*ring[:-1], *line)]
    assert after.tolist() == [1, 2, 3, 0, 5, 6, -1]


def test_samples_are_taken_tile_by_tile_where_they_are_many_and_not_all_of_one_straight_edge(
    monkeypatch,
):
    monkeypatch.setattr(places, "MOST_AT_ONCE", 20)
    row = np.array([(0.3 * k, 5.0) for k in range(200)])
    ((few, tile),) = _tiles(row[:20], 1.0)
    assert few.tolist() == list(range(20)) and tile is None
    assert list(_tiles(row, 1.0)) == []
    two = list(_tiles(np.concatenate([row, row + np.array((0.1, 0.8))]), 1.0))
    assert len(two) > 2 and all(tile is not None for _, tile in two)


@pytest.mark.parametrize(
    ("widths", "is_tip"),
    [
        ([0.5] * 20, False),
        ([0.01 * k for k in range(1, 41)], True),
        ([0.4] * 18 + [0.05] * 2, True),
        ([0.4] * 5 + [0.05] * 15, False),
        ([0.4] * 6 + [0.05] * 14, True),
    ],
)
def test_a_stretch_is_a_tip_where_little_of_it_is_nearly_as_thin_as_its_thinnest(widths, is_tip):
    lines = shapely.linestrings([[(k, 0), (k + 1, 0)] for k in range(len(widths))])
    assert _narrows(lines, np.array(widths)) is is_tip


@pytest.mark.parametrize(
    ("long", "past", "is_corner"),
    [(0.14, 0.0, True), (0.16, 0.0, False), (0.1, 0.14, True), (0.1, 0.16, False)],
)
def test_a_stretch_of_one_sample_and_a_half_near_an_end_is_a_corner(long, past, is_corner):
    """By samples of 0.1 mm: the strip goes on past the middle of the stretch by so much."""
    strip = shapely.box(-past, -0.02, 5.0, 0.02)
    lines = shapely.linestrings([[(0, 0), (long, 0)]])
    assert _is_corner(strip, lines, np.zeros(2), 0.04, 1.2) is is_corner


def test_thickening_a_stout_shape_changes_nothing():
    plate = rectangle(20, 10, corners=Corner("round", 3))
    assert thickened(plate, 1.0) is plate
    assert thickened(EMPTY, 1.0) is EMPTY


def test_thickening_a_thin_ring_gives_the_stout_ring():
    stout = thickened(ring(Point(0, 0), 10.1, 9.9), 0.5)
    assert area(stout) == pytest.approx(math.pi * (10.25**2 - 9.75**2), rel=0.005)


def test_each_kind_of_breach_is_told_with_its_place_and_choices():
    limits = Limits(0.5, 0.4, 1.0, 0.3, 3.0, 5.0, 100.0)
    shape = Outline(
        (
            *rectangle(120, 0.3).contours,
            *circle(Point(20, 20), 0.9).contours,
            *rectangle(10, 10, Point(50, 10), Corner("notched", 2)).contours,
        )
    )
    found = breaches(shape, Process.CUT_FILM, limits, letter_height_mm=4)
    kinds = {b.kind: b for b in found}
    assert set(kinds) == {
        LimitKind.LINE,
        LimitKind.RADIUS,
        LimitKind.INSIDE_CORNER,
        LimitKind.ISLAND,
        LimitKind.LETTER,
        LimitKind.LONGEST,
    }
    line = kinds[LimitKind.LINE]
    assert line.measured_mm == pytest.approx(0.3, abs=0.002)
    assert line.choices[0] == 'thicken to 0.5 mm (thicken = true in [kit."cut film"] does so)'
    assert "decal" in line.choices[1]
    assert kinds[LimitKind.ISLAND].at == pytest.approx((20, 20), abs=0.01)
    assert "split at joins" in kinds[LimitKind.LONGEST].choices
    assert sum(b.kind is LimitKind.INSIDE_CORNER for b in found) == 4
    worst = worst_of_each_kind(found)
    assert {b.kind: n for b, n in worst}[LimitKind.RADIUS] == 2


def test_the_worst_of_a_kind_is_the_furthest_from_its_limit_and_all_are_counted():
    (breach,) = breaches(rectangle(20, 0.3), Process.CUT_FILM, PLAIN)
    thin = [replace(breach, measured_mm=mm) for mm in (0.3, 0.1, 0.4)]
    long = [
        replace(breach, kind=LimitKind.LONGEST, limit_mm=90, measured_mm=mm) for mm in (99, 180)
    ]
    assert worst_of_each_kind([*thin, *long]) == ((thin[1], 3), (long[1], 2))
    piece = SimpleNamespace(key="k", panel="cab", name="line")
    assert reported(piece, breach, 1).message == f"cab, line: {breach.message}"
    assert reported(piece, breach, 3).message.endswith(
        "; there are 3 such places, and this is the worst"
    )


def test_what_is_exactly_as_tight_small_or_long_as_its_limits_breaks_none():
    limits = Limits(0.5, 0.4, 2.0, 0.0, 3.0, 5.0, 100.0)
    shape = Outline((*rectangle(100, 3, corners=Corner("round", 1)).contours,))
    found = breaches(shape, Process.CUT_FILM, replace(limits, radius=1.0, island=100.0))
    assert found == ()


@pytest.mark.parametrize("degrees", [0, 30, 90, 200, 300])
def test_inside_corners_are_found_however_a_part_is_turned(degrees):
    star = polygon([Point(*p) for p in ((0, 0), (40, 0), (40, 40), (20, 15), (0, 40))])
    limits = replace(PLAIN, inside_radius=0.3)
    every = breaches(turned(star, degrees), Process.CUT_FILM, limits)
    (found,) = (b for b in every if b.kind is LimitKind.INSIDE_CORNER)
    assert found.at == pytest.approx(tuple(turned(star, degrees).contours[0].nodes[3]))


@pytest.mark.parametrize("degrees", [0, 90, 180, 270])
def test_a_corner_that_turns_in_by_no_more_than_five_degrees_is_none(degrees):
    for turn, count in ((4.9, 0), (5.1, 1)):
        in_by = 20 * math.tan(math.radians(turn / 2))
        dented = polygon([Point(*p) for p in ((0, 0), (20, in_by), (40, 0), (40, 40), (0, 40))])
        limits = replace(PLAIN, inside_radius=0.3)
        every = breaches(turned(dented, degrees), Process.CUT_FILM, limits)
        assert sum(b.kind is LimitKind.INSIDE_CORNER for b in every) == count


def test_a_breach_becomes_a_warning_at_its_entry():
    (breach,) = breaches(rectangle(20, 0.3), Process.CUT_FILM, PLAIN)
    finding = breach.as_finding("panel.cab.lining.0")
    assert finding.code == "limit-line"
    assert finding.key == "panel.cab.lining.0"
    assert finding.where_mm == (breach.at.x, breach.at.y)
    assert "0.30 mm" in finding.message
    assert "Choose: thicken to 0.5 mm (thicken = true in " in finding.remedy
    assert finding.message.startswith("a line of 0.30 mm, ")


@pytest.mark.parametrize(
    ("kind", "how"),
    [
        (PieceKind.SHADE, ", by another depth of the shade; "),
        (PieceKind.LETTERING, ", by larger letters, more tracking or another alphabet; "),
        (PieceKind.FIELD, "; "),
    ],
)
def test_what_to_change_for_a_narrow_gap_depends_on_what_has_it(kind, how):
    halves = Outline((*rectangle(20, 5), *rectangle(20, 5, Point(0.0, 5.3))))
    (breach,) = breaches(halves, Process.CUT_FILM, PLAIN)
    piece = Piece(
        "cab",
        "block shade 42",
        kind,
        "black",
        Process.CUT_FILM,
        level=0,
        outline=halves,
        key="panel.cab.lettering.0",
    )
    said = reported(piece, breach, 1)
    assert said.remedy.startswith(f"Choose: open it to 0.4 mm, or close it{how}another process")
    assert said.message == (
        f"cab, block shade 42: a gap of 0.30 mm, {breach.at.x:.1f} mm from the left and 5.2 mm up; "
        "cut film holds 0.4 mm at least"
    )


@pytest.mark.parametrize("kind", [PieceKind.SHADE, PieceKind.LETTERING])
def test_a_tight_curve_of_letters_is_eased_by_other_letters(kind):
    """Whatever a shade's depth and the tracking, the curve stays as the letter has it."""
    disc = circle(Point(0.0, 0.0), 0.2)
    found = breaches(disc, Process.CUT_FILM, replace(PLAIN, radius=1.0))
    worst = next(b for b in found if b.kind is LimitKind.RADIUS)
    piece = Piece("cab", "8", kind, "black", Process.CUT_FILM, level=0, outline=disc, key="k")
    how = "ease the curve to a radius of 1 mm, by larger letters or another alphabet; "
    assert how in reported(piece, worst, 1).remedy


def test_a_sound_shape_breaks_nothing():
    assert breaches(rectangle(20, 10), Process.CUT_FILM, limits_for(Process.CUT_FILM)) == ()
    assert breaches(EMPTY, Process.CUT_FILM, PLAIN) == ()


def test_a_plate_with_slots_tells_the_narrow_one():
    plate = difference(
        rectangle(30, 10), rectangle(0.3, 8, Point(10, 1)), rectangle(2, 8, Point(20, 1))
    )
    (breach,) = breaches(plate, Process.CUT_FILM, PLAIN)
    assert breach.kind is LimitKind.GAP
    assert breach.at.x == pytest.approx(10.15, abs=0.01)


@given(st.floats(1, 50), st.floats(1, 50))
def test_tightest_radius_of_an_ellipse(a, b):
    found = min(tightest(s)[0] for c in ellipse(Point(0, 0), a, b) for s in c.segments)
    small, large = sorted((a, b))
    # The four-cubic ellipse follows the curve far closer than its curvature.
    assert found == pytest.approx(small * small / large, rel=0.03)


def test_the_tightest_place_of_a_bend_is_not_missed_between_two_samples():
    bend = Cubic(Point(5, 1), Point(9, 11), Point(12, 7), Point(0, 10))
    thoroughly = tightest(bend, 4000)[0]
    assert thoroughly == pytest.approx(0.3107, abs=1e-4)
    assert tightest(bend)[0] == pytest.approx(thoroughly, rel=0.005)


@pytest.mark.parametrize("is_reversed", [False, True])
def test_a_bend_is_measured_to_both_its_ends(is_reversed):
    """A quarter of an ellipse of 9 by 3 mm, tightest at one end of it: 1 mm."""
    (contour,) = ellipse(Point(0, 0), 9, 3)
    bend = contour.segments[0]
    way = [bend.start, bend.control1, bend.control2, bend.end]
    radius, at = tightest(Cubic(*(way[::-1] if is_reversed else way)))
    assert radius == pytest.approx(1.0, rel=0.01)
    assert (abs(at.x), at.y) == pytest.approx((9, 0), abs=1e-9)


def test_a_process_without_a_least_radius_holds_any_curve():
    pin = circle(Point(0, 0), 0.3)
    assert breaches(pin, Process.CUT_FILM, PLAIN) == ()
    found = breaches(pin, Process.CUT_FILM, replace(PLAIN, radius=0.4))
    assert {breach.kind for breach in found} == {LimitKind.RADIUS}


def test_the_kit_stands_over_common_practice():
    kit = {Process.CUT_FILM: {"line": 0.3, "longest": 900.0}}
    limits = limits_for(Process.CUT_FILM, kit)
    assert (limits.line, limits.longest) == (0.3, 900)
    assert limits.gap == COMMON_PRACTICE[Process.CUT_FILM].gap
    assert set(COMMON_PRACTICE) == set(Process)
    with pytest.raises(LiveryError, match='"lines" is not a limit of cut film'):
        limits_for(Process.CUT_FILM, {Process.CUT_FILM: {"lines": 1}})
    with pytest.raises(LiveryError, match="is -1 mm"):
        limits_for(Process.CUT_FILM, {Process.CUT_FILM: {"line": -1}})


def test_finer_processes_are_offered():
    assert processes_that_hold(0.3, 0.5) == (Process.BOW_PEN, Process.DECAL, Process.ETCHED)


# What each process loses and what it still holds, in mm, for a bench of common practice:
# a line, a gap, the radius of a curve, a part on its own, capitals.
LOST_AND_HELD = {
    Process.SPRAY: [(0.9, 1.1), (0.9, 1.1), (0.45, 0.55), (1.8, 2.2), (5.5, 6.5)],
    Process.TAPE: [(0.7, 0.9), (0.7, 0.9), (7.5, 8.5), (14, 16), (35, 45)],
    Process.CUT_FILM: [(0.45, 0.55), (0.35, 0.45), (0.18, 0.22), (1.4, 1.6), (2.8, 3.2)],
    Process.LEAF: [(0.45, 0.55), (0.35, 0.45), (0.28, 0.32), (1.4, 1.6), (4.8, 5.2)],
    Process.BOW_PEN: [(0.22, 0.28), (0.35, 0.45), (2.8, 3.2), (2.8, 3.2), (9, 11)],
    Process.DECAL: [(0.09, 0.11), (0.09, 0.11), (0.045, 0.055), (0.18, 0.22), (0.9, 1.1)],
    Process.STENCIL: [(0.9, 1.1), (0.9, 1.1), (0.28, 0.32), (1.8, 2.2), (5.5, 6.5)],
    Process.CAST: [(0.55, 0.65), (0.55, 0.65), (0.28, 0.32), (0.75, 0.85), (2.8, 3.2)],
    Process.ETCHED: [(0.22, 0.28), (0.22, 0.28), (0.11, 0.13), (0.28, 0.32), (1.1, 1.3)],
}


def kinds_of(outline: Outline, process: Process, letter: float | None = None) -> set[LimitKind]:
    return {b.kind for b in breaches(outline, process, limits_for(process), letter)}


@pytest.mark.parametrize("process", Process)
def test_each_process_holds_what_common_practice_says_and_no_finer(process):
    line, gap, radius, island, letter = LOST_AND_HELD[process]
    for size, lost in zip(line, (True, False), strict=True):
        assert (LimitKind.LINE in kinds_of(rectangle(9, size), process)) is lost
    for size, lost in zip(gap, (True, False), strict=True):
        pair = Outline((*rectangle(9, 6).contours, *rectangle(9, 6, Point(9 + size, 0)).contours))
        assert (LimitKind.GAP in kinds_of(pair, process)) is lost
    for size, lost in zip(radius, (True, False), strict=True):
        rounded = rectangle(60, 40, corners=Corner("round", size))
        assert (LimitKind.RADIUS in kinds_of(rounded, process)) is lost
    for size, lost in zip(island, (True, False), strict=True):
        assert (LimitKind.ISLAND in kinds_of(rectangle(size, size), process)) is lost
    for size, lost in zip(letter, (True, False), strict=True):
        assert (LimitKind.LETTER in kinds_of(rectangle(60, 40), process, size)) is lost


LONGEST = {Process.CUT_FILM: 600, Process.DECAL: 250, Process.CAST: 250, Process.ETCHED: 300}
ROUNDED_WITHIN = {Process.CAST: 0.3, Process.ETCHED: 0.12}


@pytest.mark.parametrize("process", Process)
def test_what_is_longer_than_a_sheet_or_bath_holds_and_what_comes_out_round_within(process):
    length = LONGEST.get(process, 5000)
    assert (LimitKind.LONGEST in kinds_of(rectangle(length * 1.02, 40), process)) is (length < 5000)
    assert LimitKind.LONGEST not in kinds_of(rectangle(length * 0.98, 40), process)
    notched = rectangle(60, 40, corners=Corner("notched", 10))
    within = [
        b.limit_mm
        for b in breaches(notched, process, limits_for(process))
        if b.kind is LimitKind.INSIDE_CORNER
    ]
    assert within == [ROUNDED_WITHIN[process]] * 4 if process in ROUNDED_WITHIN else within == []


LETTER_H = polygon([(0, 0), (0.4, 0), (0.4, 3), (3, 3), (3, 0), (5, 0), (5, 8), (3, 8), (3, 5), (0.4, 5), (0.4, 8), (0, 8)])  # fmt: skip


def test_what_is_repeated_is_measured_once_and_found_at_each_of_its_places(monkeypatch):
    calls = []
    for name in ("thin_places", "narrow_gaps"):
        real = getattr(find_breaches, name)

        def counted(shape, limit, real=real):
            calls.append(limit)
            return real(shape, limit)

        monkeypatch.setattr(find_breaches, name, counted)
    find_breaches._widths_of.cache_clear()
    places = [(17.3 * i, 1.7 * i) for i in range(12)]
    whole = Outline(tuple(c for x, y in places for c in translated(LETTER_H, x, y).contours))
    held = replace(PLAIN, line=1.0, gap=3.0, island=8.5, longest=7.5)
    found = breaches(whole, Process.CUT_FILM, held)
    assert sorted(calls) == [1.0, 3.0]
    alone = breaches(LETTER_H, Process.CUT_FILM, held)
    assert {b.kind for b in alone} >= {LimitKind.LINE, LimitKind.GAP, LimitKind.LONGEST, LimitKind.ISLAND}  # fmt: skip
    for kind in {b.kind for b in alone}:
        expected = sorted(
            (b.at.x + x, b.at.y + y, b.measured_mm)
            for b in alone
            if b.kind is kind
            for x, y in places
        )
        here = [(b.at.x, b.at.y, b.measured_mm) for b in found if b.kind is kind]
        assert here == [pytest.approx(e, abs=1e-9) for e in expected]


@pytest.mark.parametrize("apart", [0.9, 1.1])
def test_a_gap_between_two_parts_is_measured_where_it_is_below_the_limit(apart):
    two = Outline((*rectangle(10, 10).contours, *rectangle(10, 10, Point(10 + apart, 0)).contours))
    gaps = [
        b
        for b in breaches(two, Process.CUT_FILM, replace(PLAIN, gap=1.0))
        if b.kind is LimitKind.GAP
    ]
    assert [round(b.measured_mm, 6) for b in gaps] == ([0.9] if apart < 1.0 else [])


def test_a_long_thin_line_is_measured_tile_by_tile_as_in_one(monkeypatch):
    from livery.make.limits import thin_places as module

    # A line that bends through several tiles, thin all along, and a waist in a wide bar.
    bent = union(rectangle(40.0, 0.3, Point(0.0, 0.0)), rectangle(0.3, 20.0, Point(20.0, 0.0)))
    waist = union(
        rectangle(10.0, 2.0, Point(0.0, -9.0)),
        rectangle(4.0, 0.2, Point(8.0, -8.0)),
        rectangle(10.0, 2.0, Point(11.0, -9.0)),
    )
    whole = thin_places(union(bent, waist), 0.5)
    monkeypatch.setattr(module, "MOST_AT_ONCE", 100)
    parts = thin_places(union(bent, waist), 0.5)
    assert [p.width_mm for p in parts] == pytest.approx([p.width_mm for p in whole], abs=1e-5)
    assert sorted(p.width_mm for p in parts) == pytest.approx([0.2, 0.3], abs=1e-3)

    def length(places):
        return sum(math.dist(a, b) for p in places for run in p.middle for a, b in pairwise(run))

    assert length(parts) == pytest.approx(length(whole), abs=1e-3)
    assert length(parts) > 60.0


def test_a_line_as_long_as_a_vehicle_is_measured():
    (found,) = thin_places(rectangle(400.0, 0.3, Point(0.0, 0.0)), 0.5)
    assert found.width_mm == pytest.approx(0.3, abs=1e-4)
    assert len(found.middle) == 1


FIGURES = """
           line  gap   radius inside island letter longest fine lengths
spray      1     1     0.5    0      2      6      inf     0    inf
tape       0.8   0.8   8      0      15     40     inf     0    inf
cut film   0.5   0.4   0.2    0      1.5    3      600     1    150
leaf       0.5   0.4   0.3    0      1.5    5      inf     0    inf
bow pen    0.25  0.4   3      0      3      10     inf     0    inf
decal      0.1   0.1   0.05   0      0.2    1      250     0    inf
stencil    1     1     0.3    0      2      6      inf     0    inf
cast       0.6   0.6   0.3    0.3    0.8    3      250     0    inf
etched     0.25  0.25  0.12   0.12   0.3    1.2    300     0    inf
"""


def test_the_figures_of_each_process_are_those_that_were_weighed():
    """A slip in one of them would be followed by every job that gives no figures of its own."""
    rows = [line.rsplit(None, 9) for line in FIGURES.strip("\n").split("\n")[1:]]
    assert {name.strip(): tuple(map(float, figures)) for name, *figures in rows} == {
        process.value: astuple(limits) for process, limits in COMMON_PRACTICE.items()
    }
    assert astuple(Limits(1.0, 2.0)) == (1.0, 2.0, 0.0, 0.0, 0.0, 0.0, math.inf, 0.0, math.inf)
