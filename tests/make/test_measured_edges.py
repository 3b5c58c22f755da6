"""How much of a measured polygon's sides its corners leave straight."""

from __future__ import annotations

import math

import pytest

from livery.describe.corner_values import SQUARE, CornerStyle, WrittenCorner
from livery.make.measured_edges import _taken
from livery.units import read_length


@pytest.mark.parametrize("turn", [0.0, 20.0, 155.0, 290.0])
def test_a_rounded_corner_takes_of_its_sides_what_its_arc_touches(turn: float) -> None:
    """A radius of 10 mm: at 90 degrees 10, at 30 and 60 degrees 10 / tan 15 and 10 / tan 30."""
    corners = [(0.0, 0.0), (100.0 * math.sqrt(3.0), 0.0), (0.0, 100.0)]
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    points = [(x * cos - y * sin, x * sin + y * cos) for x, y in corners]
    rounded = WrittenCorner(CornerStyle.ROUND, read_length("10 mm"))
    taken = list(_taken(points, [rounded] * 3))
    assert taken == pytest.approx([10.0, 10.0 / math.tan(math.pi / 12.0), 10.0 * math.sqrt(3.0)])
    assert list(_taken(points, [SQUARE] * 3)) == [0.0] * 3
