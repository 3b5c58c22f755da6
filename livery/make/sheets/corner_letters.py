"""Where the letters of corners stand on a setting-out sheet, clear of each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from fontTools.misc.transform import Transform

from livery.drawing import Anchor, Area, Label, Mark, Stroke
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point, carry, chain
from livery.geometry.shapes import rectangle
from livery.make.sheets.corner_places import CornerGroup, CornerPlace
from livery.rounding import rounded_value
from livery.write.label_face import LEAST_CAP_MM, label_width

LETTER_MM = 2.2
SMALL_MM = LEAST_CAP_MM
OUT_MM = 3.0
"""How far off the panel's own corners their letters stand, outside it."""
IN_MM = (3.0, 4.5, 6.0, 8.0, 10.0, 13.0)
"""How far off other corners letters are tried, within their shape."""
TURNS_DEG = (0.0, 35.0, -35.0, 70.0, -70.0)
CLEAR_MM = 0.4
PLACE_DECIMALS = 6
"""Places are tried to so many decimals: the last bits do not say which box is clear."""
TICK_MM = 1.0
BLUE = "#1f4fbf"


def corner_marks(groups: Sequence[CornerGroup], onto: Transform) -> Iterator[Mark]:
    """Yield a letter beside each corner, and a cross where a corner is only run on to."""
    taken: list[Bounds] = []
    for number, group in enumerate(groups):
        own = number == 0
        if group.is_rectangle and not own:
            continue
        for corner in group.corners:
            at = carry(onto, corner.at)
            if corner.worked:
                yield from _cross(at)
            height = LETTER_MM if own else SMALL_MM
            box = _free_box(corner, at, height, taken, outside=own)
            taken.append(box)
            yield from _letter(corner.letter, box, height)


def _free_box(
    corner: CornerPlace, at: Point, height: float, taken: Sequence[Bounds], *, outside: bool
) -> Bounds:
    """Return the first box for a letter, tried ever further off, that is clear of all others."""
    way = math.atan2(corner.inward.y, corner.inward.x) + (math.pi if outside else 0.0)
    half_x = label_width(corner.letter, height) / 2.0 + CLEAR_MM
    half_y = height / 2.0 + CLEAR_MM
    boxes = []
    for off in (OUT_MM, *IN_MM) if outside else IN_MM:
        for turn in TURNS_DEG:
            angle = way + math.radians(turn)
            x = rounded_value(at.x + off * math.cos(angle), PLACE_DECIMALS)
            y = rounded_value(at.y + off * math.sin(angle), PLACE_DECIMALS)
            box = Bounds(x - half_x, y - half_y, x + half_x, y + half_y)
            if not any(_overlap(box, other) for other in taken):
                return box
            boxes.append(box)
    return boxes[-1]


def _overlap(a: Bounds, b: Bounds) -> bool:
    return a.left < b.right and b.left < a.right and a.bottom < b.top and b.bottom < a.top


def _letter(letter: str, box: Bounds, height: float) -> Iterator[Mark]:
    yield Area(
        rectangle(box.width, box.height, Point(box.left, box.bottom)), "#ffffff", layer="points"
    )
    at = Point(box.centre.x, box.bottom + CLEAR_MM)
    yield Label(letter, at, height, Anchor.MIDDLE, BLUE, layer="points")


def _cross(at: Point) -> Iterator[Mark]:
    for way in (Point(TICK_MM, 0.0), Point(0.0, TICK_MM)):
        ends = (Point(at.x - way.x, at.y - way.y), Point(at.x + way.x, at.y + way.y))
        yield Stroke(chain(ends, closed=False), BLUE, 0.1, layer="points")
