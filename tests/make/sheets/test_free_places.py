"""Where words are tried about a point, and what they are kept clear of."""

from __future__ import annotations

import math

import pytest

from livery.drawing import Label, Mark, Stroke
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point, chain
from livery.geometry.shapes import circle
from livery.make.sheets.free_places import FreePlaces
from livery.write.label_face import label_box, label_width

SHEET = Bounds(-60.0, -60.0, 60.0, 60.0)
HIGH_MM = 1.0
TURNS = (0, 35, -35, 70, -70, 105, -105, 145, -145, 180)
OFFS = (3.0, 4.5, 6.0, 8.0, 10.0, 13.0, 16.0, 20.0, 25.0, 31.0, 38.0)


def dot(x: float, y: float) -> Stroke:
    return Stroke(chain([Point(x, y), Point(x + 0.01, y)], closed=False))


@pytest.mark.parametrize("tried", range(1, len(TURNS)))
def test_words_turn_to_the_next_way_where_all_before_it_are_taken(tried: int) -> None:
    taken = [math.radians(turn) for turn in TURNS[:tried]]
    places = FreePlaces([dot(3 * math.cos(a), 3 * math.sin(a)) for a in taken], SHEET)
    box, off = places.beside("1", HIGH_MM, Point(0.0, 0.0), 0.0)
    way = math.degrees(math.atan2(*reversed(box.centre)))
    assert math.remainder(way - TURNS[tried], 360) == pytest.approx(0.0, abs=0.01)
    assert off == 3.0


@pytest.mark.parametrize("off", OFFS[1:])
def test_words_stand_no_further_off_than_they_need(off: float) -> None:
    # All about the point is full to just short of words that stand so far off on its right.
    full = off - label_width("1", HIGH_MM) / 2 - 0.4 - 0.1
    rings: list[Mark] = [
        Stroke(contour) for i in range(1, 80) for contour in circle(Point(0.0, 0.0), full * i / 79)
    ]
    box, found = FreePlaces(rings, SHEET).beside("1", HIGH_MM, Point(0.0, 0.0), 0.0)
    assert found == off and box.centre == pytest.approx((off, 0.0))


@pytest.mark.parametrize("off", OFFS)
def test_words_further_off_than_two_heights_of_a_figure_have_a_leader_that_ends_on_their_point(
    off: float,
) -> None:
    full = off - label_width("1", HIGH_MM) / 2 - 0.4 - 0.1
    rings: list[Mark] = [
        Stroke(contour) for i in range(1, 80) for contour in circle(Point(0.0, 0.0), full * i / 79)
    ]
    words, *led = FreePlaces(rings, SHEET).pointed("1", HIGH_MM, Point(0.0, 0.0), 0.0, "#000000")
    assert isinstance(words, Label) and words.at.x == pytest.approx(off)
    assert len(led) == (off > 5.0)
    for line in led:
        assert isinstance(line, Stroke) and line.contour.end == Point(0.0, 0.0)
        assert line.contour.start.x == pytest.approx(label_box(words)[0] - 0.4, abs=0.01)


def test_a_leader_from_below_ends_off_letters_that_reach_below_their_line() -> None:
    places = FreePlaces([], Bounds(-60.0, 8.0, 60.0, 60.0))
    label, line = places.pointed("Q,", 2.0, Point(0.0, 0.0), math.pi / 2, "#000000")
    assert isinstance(label, Label) and isinstance(line, Stroke)
    assert line.contour.end == Point(0.0, 0.0)
    assert line.contour.start.y == pytest.approx(label.at.y - 0.8)


@pytest.mark.parametrize(("x", "y"), [(0.3, 0.0), (0.0, 0.3), (-0.3, 0.0), (0.0, -0.3)])
def test_words_stand_on_the_first_place_that_no_line_is_nearer_than_four_tenths(
    x: float, y: float
) -> None:
    """A dot stands 0.3 mm off the words, and off theirs on the next place."""
    half_x, half_y = label_width("12", 2.0) / 2.0, 1.0
    beside = dot(x + math.copysign(half_x, x) * (x != 0), y + math.copysign(half_y, y) * (y != 0))
    found = [Point(0.0, 0.0), Point(20.0, 20.0)]
    assert FreePlaces([beside], SHEET).first_free("12", 2.0, found) == found[1]
    assert FreePlaces([dot(2 * half_x, 2 * half_y)], SHEET).first_free("12", 2.0, found) == found[0]


def test_words_may_stand_close_to_words_where_no_distance_is_asked() -> None:
    places = FreePlaces([Label("H", Point(0.0, 0.0), 2.0)], SHEET)
    beside = Bounds(2.2, 0.0, 5.0, 2.0)
    assert places.is_free(beside)
    assert not places.is_free(beside, 0.9)


@pytest.mark.parametrize("way", [(1, 0), (-1, 0), (0, 1), (0, -1)])
@pytest.mark.parametrize(("apart", "is_free"), [(0.85, True), (0.75, False)])
def test_words_are_kept_so_far_off_words_on_every_side(
    way: tuple[int, int], apart: float, *, is_free: bool
) -> None:
    taken = Label("H", Point(-5.0, -3.0), 2.0)
    left, bottom, right, top = label_box(taken)
    wide, high = right - left, top - bottom
    x, y = left + way[0] * (wide + apart), bottom + way[1] * (high + apart)
    places = FreePlaces([taken], SHEET)
    assert places.is_free(Bounds(x, y, x + wide, y + high), 0.8) is is_free


def test_no_leader_runs_through_other_words() -> None:
    """All is full to just short of 8 mm off on both sides, where it would cross words."""
    rings: list[Mark] = [
        Stroke(contour) for i in range(1, 71) for contour in circle(Point(0.0, 0.0), 0.1 * i)
    ]
    words = [Label("H", Point(x, -1.0), 2.0) for x in (4.5, -6.0)]
    places = FreePlaces([*rings, *words], SHEET)
    box, off = places.beside("1", HIGH_MM, Point(0.0, 0.0), 0.0)
    assert off == 10.0 and abs(box.centre.y) > 5.0
    free, near = FreePlaces(rings, SHEET).beside("1", HIGH_MM, Point(0.0, 0.0), 0.0)
    assert near == 8.0 and free.centre == pytest.approx((8.0, 0.0))
