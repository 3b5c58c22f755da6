"""How far words move to be clear of a rivet, to the micrometre, and which of two moves is taken."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from livery.geometry.measure import Bounds
from livery.geometry.outline import Arc, Contour, Outline, Point
from livery.geometry.shapes import rectangle
from livery.layout.clear_of_rivets import _least, _moves, _Room, move_clear, spacings
from livery.layout.plan import Obstacle, PlacedKeepOut


def disc(x: float, y: float, radius: float, turned: float = 0.0) -> Outline:
    dx, dy = radius * math.cos(turned), radius * math.sin(turned)
    one, other = Point(x + dx, y + dy), Point(x - dx, y - dy)
    return Outline((Contour((Arc(one, other, 1.0), Arc(other, one, 1.0))),))


def moved_across(ink: list[Outline], rivet: Point) -> Point:
    """Return how far ink moves across to stay half a millimetre off a rivet of 2 mm."""
    clear_of: Any = SimpleNamespace(gap=0.5, up_to=5.0, way="across")
    entry: Any = SimpleNamespace(clear_of_rivets=clear_of)
    frame: Any = SimpleNamespace(
        scale=SimpleNamespace(to_model=lambda length: length),
        extent=Bounds(-100.0, -100.0, 100.0, 100.0),
    )
    fixed = PlacedKeepOut("", disc(*rivet, 1.0), Obstacle.RIVET, "k")
    moved = move_clear(entry, ink, [fixed], frame)
    assert moved is not None
    return moved


@pytest.mark.parametrize(
    ("turned", "spare"),
    [
        (0.0, 0.020),  # an end of a chord faces the rivet
        (math.radians(5.0), 0.001),  # the middle of one does: it lies 0.019 mm inside the letter
    ],
)
def test_round_letters_stand_off_a_rivet_by_the_gap_and_a_chord_at_most(
    turned: float, spare: float
) -> None:
    moved = moved_across([disc(0.0, 0.0, 5.0, turned)], Point(5.8, 0.0))
    assert moved.y == 0.0
    assert 5.8 - moved.x - 5.0 - 1.0 == pytest.approx(0.5 + spare, abs=0.003)


def test_words_move_clear_of_a_rivet_that_they_are_over_on_the_other_hand_alone() -> None:
    foot, stem = rectangle(10.0, 2.0), rectangle(2.0, 10.0)
    # Turned over where it is, an L has its stem at 8 to 10 mm, which may end at 8 mm.
    assert moved_across([foot, stem], Point(9.5, 8.0)) == pytest.approx((-2.02, 0.0), abs=0.003)


@pytest.mark.parametrize(
    ("way", "bounds"),
    [("across", (-2, 0, 4, 0)), ("up", (0, -3, 0, 1)), ("any", (-2, -3, 4, 1))],
)
def test_words_move_as_far_as_the_panel_has_room_and_no_further_than_they_may(
    way: str, bounds: tuple[float, ...]
) -> None:
    panel, words = Bounds(50.0, 20.0, 150.0, 70.0), Bounds(52.0, 23.0, 146.0, 69.0)
    assert _moves(_Room(10.0, way, panel, words)).bounds == bounds
    most = _moves(_Room(0.5, way, panel, words)).bounds
    assert most == tuple(math.copysign(min(abs(n), 0.5), n) for n in bounds)
    off = _moves(_Room(10.0, way, panel, Bounds(48.0, 18.0, 146.0, 69.0))).bounds
    assert off == (0.0 * bounds[0], 0.0 * bounds[1], *bounds[2:])  # off already, no further off


@pytest.mark.parametrize(
    ("near", "further", "is_taken"),
    [
        ((0.0, -1.0), (0.0, 1.00018), True),
        ((0.0, -1.0), (0.0, 1.00022), False),
        ((-1.0, 0.0), (1.00013, 0.0), True),
        ((-1.0, 0.0), (1.00015, 0.0), False),
    ],
)
def test_of_two_places_as_near_the_upper_or_the_right_one_is_taken(
    near: tuple[float, float], further: tuple[float, float], is_taken: bool
) -> None:
    taken = _least(shapely.MultiPoint([near, further]))
    assert taken == pytest.approx(further if is_taken else near, abs=0.0005)


def test_a_move_is_a_whole_number_of_micrometres() -> None:
    assert _least(shapely.Point(1.2346, -2.3454)) == Point(1.235, -2.345)


def test_ten_spacings_are_tried_each_way_and_the_smallest_first() -> None:
    entry: Any = SimpleNamespace(clear_of_rivets=SimpleNamespace(spaced=2.0))
    frame: Any = SimpleNamespace(scale=SimpleNamespace(to_model=lambda length: length))
    rivet = PlacedKeepOut("", disc(0.0, 0.0, 1.0), Obstacle.RIVET, "k")
    tried = list(spacings(entry, [rivet], frame))
    assert tried == pytest.approx(
        [0.0, *(way * 0.2 * step for step in range(1, 11) for way in (1.0, -1.0))]
    )
