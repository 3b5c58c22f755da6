import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.geometry.flatten import flatten
from livery.geometry.outline import Point
from livery.geometry.shapes import Corner, circle, rectangle
from livery.make.coats.tape import (
    COMMON_TAPES,
    Tape,
    TapeRun,
    tape_runs,
    tape_totals,
    tightest_radius,
)


def closed(outline, chord=0.002):
    points = flatten(outline.contours[0], chord)
    return [*points, points[0]]


def test_a_rectangle_is_four_straight_runs_of_fine_tape_with_wide_tape_behind():
    runs = tape_runs([closed(rectangle(200, 50))])
    assert sorted(r.length_mm for r in runs) == pytest.approx([50, 50, 200, 200])
    assert {r.tape.name for r in runs} == {"fine-line tape 6 mm"}
    wide, fine = tape_totals(runs)
    assert wide.tape.name == "masking tape 18 mm"
    for total in (wide, fine):
        assert (total.runs, total.length_mm, total.rolls) == (4, pytest.approx(620), 1)


def test_a_closed_edge_that_begins_within_a_side_has_that_side_in_one_run():
    places = [(90, 0), (200, 0), (200, 50), (0, 50), (0, 0), (90, 0)]
    runs = tape_runs([[Point(*p) for p in places]])
    assert sorted(r.length_mm for r in runs) == pytest.approx([50, 50, 200, 200])


@pytest.mark.parametrize(
    ("long", "turned_ends"), [(4.9, 0), (5.1, 0), (0.1, 1), (24.0, 1), (44.0, 2)]
)
def test_a_run_is_too_short_for_a_tape_below_5_mm_with_what_is_turned_round_the_edge(
    long, turned_ends
):
    run = TapeRun((Point(0, 0), Point(long, 0)), math.inf, turned_ends=turned_ends)
    assert run.is_short is (long == 4.9)


def test_a_point_in_the_middle_of_a_straight_side_parts_no_tape():
    assert len(tape_runs([[Point(x, x / 2) for x in (0, 30, 60, 90)]])) == 1


@pytest.mark.parametrize(("more", "runs"), [(4.9, 1), (5.1, 2)])
def test_what_is_too_short_for_a_tape_belongs_to_the_straight_side_it_goes_on_from(more, runs):
    """At either end of a side of 25 mm, bent from it by 10 degrees."""
    way = math.radians(10)
    end = Point(25 + more * math.cos(way), more * math.sin(way))
    edge = [Point(0, 0), Point(25, 0), end]
    assert len(tape_runs([edge])) == len(tape_runs([edge[::-1]])) == runs
    start = Point(-more * math.cos(way), more * math.sin(way))
    assert len(tape_runs([[start, *edge]])) == 2 * runs - 1


def test_a_kit_without_fine_tape_makes_its_edge_of_what_there_is():
    only = COMMON_TAPES[:1]
    runs = tape_runs([[Point(0, 0), Point(100, 0)]], only)
    assert {r.tape.name for r in runs} == {"masking tape 18 mm"}
    # A second strip of it holds the paper.
    assert [(t.runs, t.length_mm) for t in tape_totals(runs, only)] == [(2, 260.0)]


@pytest.mark.parametrize(("wide", "edge"), [(5.9, 5.9), (6.1, 3.0)])
def test_the_widest_tape_of_an_edge_is_6_mm_wide_where_the_kit_has_one_so_narrow(wide, edge):
    kit = [Tape(f"tape {width:g} mm", width, math.inf, 33.0) for width in (18.0, wide, 3.0)]
    (run,) = tape_runs([[Point(0, 0), Point(100, 0)]], kit)
    assert run.tape.width_mm == edge


@pytest.mark.parametrize(("high", "runs"), [(0.9, 2), (1.1, 3)])
def test_a_step_of_less_than_a_millimetre_has_no_run_of_its_own(high, runs):
    step = [Point(0, 0), Point(50, 0), Point(50, high), Point(100, high)]
    made = tape_runs([step])
    assert len(made) == runs
    assert [r.length_mm for r in made if r.tape is not None] == [50, 50]


@given(st.floats(9, 400))
def test_a_circle_is_one_run_of_the_widest_tape_that_follows_it(radius):
    (run,) = tape_runs([closed(circle(Point(3, 4), radius))])
    assert run.radius_mm == pytest.approx(radius, rel=1e-3)
    assert run.length_mm == pytest.approx(2 * math.pi * radius, rel=1e-3)
    fits = [t for t in COMMON_TAPES if t.least_radius_mm <= run.radius_mm and t.width_mm <= 6]
    assert run.tape == max(fits, key=lambda t: t.width_mm)


def test_rounded_corners_are_taped_apart_from_the_straight_sides():
    plate = rectangle(200, 80, corners=Corner("round", 10))
    runs = tape_runs([closed(plate)])
    straight = [r for r in runs if r.radius_mm == math.inf]
    curved = [r for r in runs if r.radius_mm < math.inf]
    assert sorted(r.length_mm for r in straight) == pytest.approx([60, 60, 180, 180])
    assert [r.length_mm for r in curved] == pytest.approx([5 * math.pi] * 4, rel=1e-3)
    assert {r.tape.name for r in curved} == {"fine-line tape 1.5 mm"}


def test_a_curve_too_tight_for_tape_is_left_to_film():
    (run,) = tape_runs([closed(circle(Point(0, 0), 3), 0.001)])
    assert run.tape is None
    assert tape_totals([run]) == ()


def test_straight_points_have_no_radius():
    assert tightest_radius([Point(0, 0), Point(1, 1), Point(5, 5)]) == math.inf
    assert tape_runs([]) == ()


def test_long_runs_take_several_rolls():
    runs = tape_runs([[Point(0, 0), Point(60_000, 0)]])
    assert [t.rolls for t in tape_totals(runs)] == [2, 2]


@pytest.mark.parametrize(
    ("radius", "tape"),
    [(5.5, None), (9.5, "1.5 mm"), (20, "1.5 mm"), (30, "3 mm"), (60, "3 mm"), (90, "6 mm")],
)
def test_the_common_tapes_follow_the_curves_they_are_said_to(radius, tape):
    # Cautious figures of the project: 1.5, 3 and 6 mm lie flat round 8, 25 and 75 mm.
    (run,) = tape_runs([closed(circle(Point(0, 0), radius))])
    assert run.tape is None if tape is None else run.tape.name == f"fine-line tape {tape}"


def test_tapes_are_listed_from_the_widest_with_their_ends_and_rolls():
    straight = [[Point(0, 0), Point(45_000, 0)]]
    curve = [closed(circle(Point(0, 0), r)) for r in (100.0, 10.0, 50.0)]
    totals = tape_totals(tape_runs(straight + curve))
    assert [t.tape.width_mm for t in totals] == [18, 6, 3, 1.5]
    # 45 m and 30 mm at its ends are within a roll of 50 m; two and a half times as much is three.
    around = 2 * math.pi * (100 + 10 + 50) + 4 * 30
    assert (totals[0].length_mm, totals[0].rolls) == (pytest.approx(45_000 + around, rel=1e-4), 1)
    assert tape_totals(tape_runs(straight * 5))[0].rolls == 5
    fine = [closed(circle(Point(0, 0), 50.0))] * 100  # 100 x (314 + 30) mm, on rolls of 33 m
    _, total = tape_totals(tape_runs(fine))
    assert total.length_mm == pytest.approx(100 * (100 * math.pi + 30), rel=1e-3)
    assert total.rolls == 2


@pytest.mark.parametrize(("tape", "metres"), list(zip(COMMON_TAPES, (50, 33, 33, 33), strict=True)))
def test_common_tapes_come_on_rolls_of_50_and_33_metres(tape, metres):
    for long, rolls in ((metres - 1, 1), (metres + 1, 2)):
        run = TapeRun((Point(0, 0), Point(1000 * long, 0)), math.inf, tape, is_backed=False)
        (total,) = tape_totals([run], ends_mm=0.0)
        assert total.rolls == rolls


@pytest.mark.parametrize(("turn", "runs"), [(16, 1), (24, 2)])
def test_a_turn_of_more_than_twenty_degrees_is_a_corner(turn, runs):
    # Chords of 9 mm, as of a curve: below the 20 mm of a straight side.
    way = math.radians(turn)
    points = [Point(0, 0), Point(9, 0), Point(9 + 9 * math.cos(way), 9 * math.sin(way))]
    assert len(tape_runs([points])) == runs


@pytest.mark.parametrize(("chord", "runs"), [(17, 1), (23, 2)])
def test_a_long_chord_is_a_straight_side_of_its_own(chord, runs):
    points = [Point(0, 0), Point(chord, 0), Point(chord + 9, 1)]
    assert len(tape_runs([points])) == runs
