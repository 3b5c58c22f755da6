"""The names of openings, fittings, rivets and rails on a plan, by which its tables name them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fontTools.misc.transform import Transform

from livery.drawing import Anchor, Label, Mark
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Point
from livery.layout.plan import Obstacle, PanelPlan, PlacedKeepOut
from livery.make.sheets.free_places import FreePlaces, leader
from livery.write.label_face import LEAST_CAP_MM

INK = "#000000"
CLEAR_MM = 0.4
"""How far a name stands within its box, in millimetres (chosen: as free places are kept clear).
Larger, and a name seems lower than its place."""

_WITHIN = (0.5, 0.35, 0.65, 0.2, 0.8)
"""Where a name is tried within its opening, as shares of its height (chosen: its middle first, then
off the lines that pass it). Fewer, and more names have a leader."""


def name_marks(panel: PanelPlan, onto: Transform, free: FreePlaces) -> Iterator[Mark]:
    """Yield the name of each opening and fitting, and of each row of rivets and rail, once.

    It stands within what it names, or beside it with a leader; one that has no room at all is
    left out.
    """
    for keep_out in _named(panel):
        box = bounds(keep_out.outline.transformed(onto))
        words = keep_out.label or keep_out.name or keep_out.kind.value
        within = (Point(box.centre.x, box.bottom + share * box.height) for share in _WITHIN)
        place = free.first_free(words, LEAST_CAP_MM, within)
        if place is not None:
            foot = Point(place.x, place.y - LEAST_CAP_MM / 2.0)
            marks: list[Mark] = [_label(words, foot)]
        else:
            marks = list(_beside(words, box, free))
        for mark in marks:
            free.add(mark)
        yield from marks


def _named(panel: PanelPlan) -> Iterator[PlacedKeepOut]:
    """Yield what has a name of its own: of a row of rivets the one in its middle."""
    rows: dict[str, list[PlacedKeepOut]] = {}
    for keep_out in panel.keep_outs:
        if keep_out.kind is Obstacle.RIVET:
            rows.setdefault(keep_out.key, []).append(keep_out)
        else:
            yield keep_out
    yield from (row[len(row) // 2] for row in rows.values())


def _beside(words: str, box: Bounds, free: FreePlaces) -> Iterator[Mark]:
    """Yield a name beside its box with its leader, nothing where no place is free."""
    at = box.centre
    place, _ = free.beside(words, LEAST_CAP_MM, at, math.pi / 2.0)
    if free.is_free(place):
        yield _label(words, Point(place.centre.x, place.bottom + CLEAR_MM))
        yield leader(at, place)


def _label(words: str, foot: Point) -> Label:
    return Label(words, foot, LEAST_CAP_MM, Anchor.MIDDLE, INK, layer="points")
