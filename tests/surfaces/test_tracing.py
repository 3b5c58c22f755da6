"""A curve given by its places is asked for no place beyond its ends."""

from __future__ import annotations

import pytest

from livery.geometry.outline import Line, Point
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
