"""Where the letters of corners stand on a setting-out sheet, clear of lines and of each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from fontTools.misc.transform import Transform

from livery.drawing import Mark, Stroke
from livery.geometry.outline import Point, carry, chain
from livery.make.sheets.corner_places import CornerGroup
from livery.make.sheets.free_places import FreePlaces
from livery.write.label_face import LEAST_CAP_MM

LETTER_MM = 2.2
"""The cap height of a corner's letter, in millimetres (chosen: a little more than figures).
Larger, and fewer letters stand clear without a leader."""

SMALL_MM = LEAST_CAP_MM
TICK_MM = 1.0
"""Half the size of the cross at a corner, in millimetres (chosen: seen across a line). Larger, and
crosses of near corners run into each other."""

BLUE = "#1f4fbf"


def corner_marks(
    groups: Sequence[CornerGroup], onto: Transform, free: FreePlaces
) -> Iterator[Mark]:
    """Yield a letter beside each corner, and a cross where a corner is only run on to."""
    lettered = [
        (corner, carry(onto, corner.at), number == 0)
        for number, group in enumerate(groups)
        if number == 0 or not group.is_rectangle
        for corner in group.corners
    ]
    for corner, at, _ in lettered:
        if corner.worked:
            for mark in _cross(at):
                free.add(mark)
                yield mark
    for corner, at, is_own in lettered:
        # Letters of the panel's own corners stand outside it.
        x, y = (-v if is_own else v for v in corner.inward)
        way = math.atan2(y, x)
        yield from free.pointed(corner.letter, LETTER_MM if is_own else SMALL_MM, at, way, BLUE)


def _cross(at: Point) -> Iterator[Mark]:
    for way in (Point(TICK_MM, 0.0), Point(0.0, TICK_MM)):
        ends = (Point(at.x - way.x, at.y - way.y), Point(at.x + way.x, at.y + way.y))
        yield Stroke(chain(ends, closed=False), BLUE, 0.1, layer="points")
