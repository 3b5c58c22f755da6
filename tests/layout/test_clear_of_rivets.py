"""How far words move to be clear of a rivet, to the micrometre, and which of two moves is taken."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from livery.geometry.measure import Bounds
from livery.geometry.outline import Arc, Contour, Outline, Point
from livery.layout.clear_of_rivets import _least, move_clear, spacings
from livery.layout.plan import Obstacle, PlacedKeepOut


def disc(x: float, y: float, radius: float, turned: float = 0.0) -> Outline:
    dx, dy = radius * math.cos(turned), radius * math.sin(turned)
    one, other = Point(x + dx, y + dy), Point(x - dx, y - dy)
    return Outline((Contour((Arc(one, other, 1.0), Arc(other, one, 1.0))),))


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
    clear_of: Any = SimpleNamespace(gap=0.5, up_to=5.0, way="across")
    entry: Any = SimpleNamespace(clear_of_rivets=clear_of)
    frame: Any = SimpleNamespace(
        scale=SimpleNamespace(to_model=lambda length: length),
        extent=Bounds(-100.0, -100.0, 100.0, 100.0),
    )
    rivet = PlacedKeepOut("", disc(5.8, 0.0, 1.0), Obstacle.RIVET, "k")
    moved = move_clear(entry, [disc(0.0, 0.0, 5.0, turned)], [rivet], frame)
    assert moved is not None
    assert moved.y == 0.0
    assert 5.8 - moved.x - 5.0 - 1.0 == pytest.approx(0.5 + spare, abs=0.003)


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
