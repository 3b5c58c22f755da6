"""The numbers of folds and gores on a setting-out sheet, by which its tables name them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fontTools.misc.transform import Transform

from livery.drawing import Anchor, Label, Mark
from livery.geometry.measure import bounds
from livery.geometry.outline import Point, carry
from livery.layout.plan import PanelPlan
from livery.make.sheets.curve_tables import gores_of, numbered_folds
from livery.make.sheets.free_places import FreePlaces
from livery.write.label_face import LEAST_CAP_MM

INK = "#000000"
STEPS = 24
"""Places up the middle of a gore that are tried for its number (chosen). More only take time;
fewer, and a number lies over lines that it could stand clear of."""


def number_marks(panel: PanelPlan, onto: Transform, free: FreePlaces) -> Iterator[Mark]:
    """Yield the number of every fold at its upper end, or of every gore within it."""
    for i, (_, contour) in enumerate(numbered_folds(panel), start=1):
        ends = (carry(onto, contour.start), carry(onto, contour.end))
        at = max(ends, key=lambda p: (round(p.y, 3), p.x))
        yield from free.pointed(f"{i}", LEAST_CAP_MM, at, math.pi / 2.0, INK)
    if not panel.frame.parts_alike:
        return
    for i, gore in enumerate(gores_of(panel), start=1):
        box = bounds(gore)
        middle = (
            carry(onto, Point(box.centre.x, box.bottom + (k + 0.5) * box.height / STEPS))
            for k in range(STEPS)
        )
        place = free.first_free(f"{i}", LEAST_CAP_MM, middle)
        if place is None:
            at = carry(onto, Point(box.centre.x, box.bottom))
            yield from free.pointed(f"{i}", LEAST_CAP_MM, at, -math.pi / 2.0, INK)
            continue
        foot = Point(place.x, place.y - LEAST_CAP_MM / 2.0)
        number = Label(f"{i}", foot, LEAST_CAP_MM, Anchor.MIDDLE, INK, layer="points")
        free.add(number)
        yield number
