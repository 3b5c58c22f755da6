"""A curve given by its places is asked for no place beyond its ends."""

from __future__ import annotations

import math

import pytest

from livery.geometry.outline import Cubic, Line, Point
from livery.geometry.segments import point_on
from livery.surfaces.tracing import _away, traced_segments


def test_a_straight_curve_is_one_line_and_is_asked_for_between_its_ends() -> None:
    asked = []

    def place(t: float) -> Point:
        asked.append(t)
        return Point(3.0 * t, 4.0 * t)

    assert traced_segments(place, 2.0, 4.0) == [Line(Point(6.0, 8.0), Point(12.0, 16.0))]
    assert asked == [2.0, 4.0, *(2.0 + i / 4.0 for i in range(1, 8))]


def test_a_place_is_off_a_line_by_its_distance_square_to_it() -> None:
    chord = Line(Point(1.0, 2.0), Point(4.0, 6.0))
    assert _away(chord, Point(-3.0, 5.0)) == pytest.approx(5.0)
    assert _away(Line(chord.start, chord.start), Point(4.0, 6.0)) == pytest.approx(5.0)


@pytest.mark.parametrize(("away", "kind"), [(0.95e-6, Line), (1.05e-6, Cubic)])
def test_a_curve_less_than_a_millionth_of_a_millimetre_off_its_chord_is_a_line(
    away: float, kind: type
) -> None:
    (segment,) = traced_segments(lambda t: Point(100.0 * t, 4.0 * away * t * (1.0 - t)), 0.0, 1.0)
    assert isinstance(segment, kind)


@pytest.mark.parametrize(("share", "is_one"), [(0.9, True), (1.1, False)])
def test_one_cubic_is_enough_within_two_thousandths_of_a_millimetre(
    share: float, is_one: bool
) -> None:
    """What it is off an arc grows with the arc's radius, and is measured at 1 mm."""

    def traced(radius: float) -> list[Cubic]:
        def place(t: float) -> Point:
            return Point(radius * math.cos(t), radius * math.sin(t))

        return [s for s in traced_segments(place, 0.0, 1.2) if isinstance(s, Cubic)]

    (small,) = traced(1.0)
    off = max(abs(math.hypot(*point_on(small, i / 500.0)) - 1.0) for i in range(501))
    assert (len(traced(share * 0.002 / off)) == 1) is is_one
