"""A level line and an upright one that are mitred: each its own side of the corner."""

from __future__ import annotations

import pytest

from livery.geometry.boolean import intersection
from livery.geometry.measure import area, contains
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.layout.meeting import _own_side

AT = Point(3000.0, 2000.0)


def box(left: float, bottom: float, right: float, top: float) -> Outline:
    return rectangle(right - left, top - bottom, Point(AT.x + left, AT.y + bottom))


@pytest.mark.parametrize("right", [True, False])
@pytest.mark.parametrize("up", [True, False])
@pytest.mark.parametrize("over", [0.0, 9.0])
def test_a_mitre_runs_from_the_outer_corner_to_the_inner_one(
    right: bool, up: bool, over: float
) -> None:
    """Mitre a level line 4 mm wide and an upright one 6 mm wide that run on 80 mm and 90 mm."""
    level = box(-over if right else -80, 0, 86 if right else 6 + over, 4)
    upright = box(0, -over if up else -90, 6, 94 if up else 4 + over)
    own = intersection(level, _own_side(level, "level", upright, "upright"))
    other = intersection(upright, _own_side(upright, "upright", level, "level"))
    assert not intersection(own, other)
    # What lies in the corner is shared out by its diagonal.
    corner = box(0, 0, 6, 4)
    assert area(intersection(own, corner)) == pytest.approx(12.0)
    assert area(intersection(other, corner)) == pytest.approx(12.0)
    x, y = (60.0 if right else -60.0), (60.0 if up else -60.0)
    assert contains(own, Point(AT.x + x, AT.y + 2)) and not contains(
        other, Point(AT.x + x, AT.y + 2)
    )
    assert contains(other, Point(AT.x + 3, AT.y + y))
