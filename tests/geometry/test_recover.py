"""The pieces of segments that runs of chords stand for, one by one: by hand."""

from __future__ import annotations

import math

import pytest

from livery.geometry.chords import ChordRun
from livery.geometry.outline import Arc, Cubic, Line, Point, Segment
from livery.geometry.recover import _piece, _reach, _reaches
from livery.geometry.segments import point_on, segment_length, trimmed

P = Point
LEVEL = Cubic(P(0, 0), P(10, 0), P(20, 0), P(30, 0))
"""Its parameter runs in proportion to its length."""
LOOP = Cubic(P(0, 0), P(30, 20), P(-10, 20), P(20, 0))
"""It crosses itself where t(1 - t) = 1/7."""
ARC = Arc(P(50, 70), P(70, 70), -0.6)


def run(t0: float, t1: float) -> ChordRun:
    return ChordRun(0, t0, t1, P(0, 0))


def piece(segment: Segment, t0: float, t1: float) -> Segment | None:
    """The piece whose joints are just where the run is roughly."""
    return _piece(segment, run(t0, t1), point_on(segment, t0), point_on(segment, t1))


@pytest.mark.parametrize("segment", [ARC, LOOP], ids=["arc", "cubic"])
def test_a_run_from_end_to_end_is_the_very_segment_either_way(segment: Segment) -> None:
    assert _piece(segment, run(0.0, 1.0), segment.start, segment.end) == segment
    assert _piece(segment, run(1.0, 0.0), segment.end, segment.start) == segment.reversed()


@pytest.mark.parametrize("segment", [ARC, LOOP], ids=["arc", "cubic"])
@pytest.mark.parametrize(("t0", "t1"), [(0.2, 0.7), (0.7, 0.2), (0.0, 0.4), (1.0, 0.6)])
def test_a_run_is_the_part_of_its_segment_between_its_joints(
    segment: Segment, t0: float, t1: float
) -> None:
    made = piece(segment, t0, t1)
    assert made is not None
    for k in range(5):
        there = point_on(trimmed(segment, t0, t1), k / 4)
        assert point_on(made, k / 4) == pytest.approx(there, abs=1e-9)


def test_of_a_run_shorter_than_the_tolerance_nothing_is_left() -> None:
    for segment in (ARC, LOOP):
        assert piece(segment, 0.7, 0.7 + 1e-9) is None
        assert piece(segment, 0.7, 0.7 + 1e-4) is not None
    assert piece(LEVEL, 0.7, 0.7 + 1e-9) is None
    assert _piece(Line(P(0, 0), P(9, 0)), run(0.5, 0.6), P(4.5, 0), P(4.5, 0.9e-6)) is None


def test_a_loop_whose_ends_are_one_place_is_left() -> None:
    t = (1.0 - math.sqrt(3.0 / 7.0)) / 2.0
    made = piece(LOOP, t, 1.0 - t)
    assert isinstance(made, Cubic)
    assert segment_length(made) == pytest.approx(segment_length(trimmed(LOOP, t, 1.0 - t)))


@pytest.mark.parametrize("backwards", [False, True])
def test_an_arc_whose_joints_have_passed_each_other_is_left_out(backwards: bool) -> None:
    t0, t1 = (0.41, 0.40) if backwards else (0.40, 0.41)
    assert _piece(ARC, run(t0, t1), point_on(ARC, t1), point_on(ARC, t0)) is None
    assert _piece(ARC, run(t0, t1), point_on(ARC, t0), point_on(ARC, t1)) is not None


@pytest.mark.parametrize(("t0", "t1"), [(0.5, 1.02), (0.5, -0.02), (-0.02, 0.5), (1.02, 0.5)])
def test_a_joint_just_beyond_an_arc_of_nearly_a_whole_turn_is_beyond_its_nearer_end(
    t0: float, t1: float
) -> None:
    arc = Arc(P(10, 0), P(10 * math.cos(-0.05), 10 * math.sin(-0.05)), 0.0)
    arc = arc._replace(bulge=math.tan((math.tau - 0.05) / 4.0))
    rough = run(min(max(t0, 0.0), 1.0), min(max(t1, 0.0), 1.0))
    made = _piece(arc, rough, point_on(arc, t0), point_on(arc, t1))
    assert isinstance(made, Arc)
    assert made.sweep == pytest.approx(arc.sweep * (t1 - t0))


@pytest.mark.parametrize(
    ("end", "other", "reached", "missed"),
    [
        (0.5, 0.3, (0.46, 0.54), (0.44, 0.56)),
        (0.5, 0.7, (0.46, 0.54), (0.44, 0.56)),
        (0.5, 0.46, (0.485, 0.54), (0.475, 0.56)),
        (0.5, 0.54, (0.515, 0.46), (0.525, 0.44)),
        (0.02, 0.3, (0.0, 0.06), (-0.01, 0.08)),
        (0.98, 0.7, (1.0, 0.94), (1.01, 0.92)),
    ],
)
def test_a_run_along_a_cubic_ends_near_its_rough_end_and_before_it_turns_back(
    end: float, other: float, reached: tuple[float, ...], missed: tuple[float, ...]
) -> None:
    assert all(_reaches(LEVEL, end, other, P(30 * t, 0)) for t in reached)
    assert not any(_reaches(LEVEL, end, other, P(30 * t, 0)) for t in missed)
    assert not _reaches(LEVEL, end, other, P(30 * reached[0], 1e-5))


def test_a_reach_is_no_less_than_the_length_of_a_curve_and_that_of_its_handles() -> None:
    assert _reach(LEVEL) == pytest.approx(30.0)
    assert _reach(LOOP) == pytest.approx(2 * math.hypot(30, 20) + 40)
    assert _reach(ARC) == pytest.approx(segment_length(ARC))
