"""Slanting stripes and chequers over a field, phased so that both of its ends match."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fontTools.misc.transform import Identity

from livery.describe.entries.field import Chequers, Stripes
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import intersection, union
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import polygon, rectangle
from livery.input_limits import SIMPLER, require_at_most
from livery.units import Scale

MOST_IN_A_PATTERN = 4000
"""Stripes or squares in one field (chosen: more are a texture that nobody could mask). Larger, and
such a field is laid out for minutes."""


def striped(area: Outline, stripes: Stripes, scale: Scale) -> Outline:
    """Return the stripes of a second paint over an area.

    A stripe runs through the middle of the area, so that one end is the other turned half
    round; with ``meet`` they lean toward the middle from both sides, each half the other's
    mirror image.
    """
    box = bounds(area)
    width = scale.to_model(stripes.width)
    gap = width if stripes.gap is None else scale.to_model(stripes.gap)
    slant = math.radians(stripes.slant)
    if math.sin(slant) < math.sin(math.radians(LEAST_SLANT_DEG)):
        raise _too_flat(stripes)
    pitch = (width + gap) / math.sin(slant)
    across = width / math.sin(slant) / 2.0
    lean = box.height / math.tan(slant) / 2.0
    reach = math.ceil((box.width / 2.0 + abs(lean) + across) / pitch)
    require_at_most(2 * reach + 1, MOST_IN_A_PATTERN, "stripes in one field", SIMPLER)
    middles = (box.centre.x + k * pitch for k in range(-reach, reach + 1))
    made = union(*(_stripe(x, across, lean, box) for x in middles))
    if stripes.meet:
        half = rectangle(box.width / 2.0, box.height, Point(box.centre.x, box.bottom))
        right = intersection(made, half)
        over = Identity.translate(2.0 * box.centre.x, 0.0).scale(-1.0, 1.0)
        made = union(right, right.transformed(over))
    return intersection(made, area)


LEAST_SLANT_DEG = 5.0
"""The least slant of stripes to the field's length, in degrees (chosen: flatter ones are lining).
Smaller, and stripes run on without end."""


def _too_flat(stripes: Stripes) -> LiveryError:
    message = f"stripes at {stripes.slant:g} degrees lie along the field"
    remedy = (
        f"Slant them by {LEAST_SLANT_DEG:g} to {180 - LEAST_SLANT_DEG:g} degrees, or use lining."
    )
    return LiveryError([Finding("stripes", message, remedy)])


def _stripe(x: float, across: float, lean: float, box: Bounds) -> Outline:
    """Return the stripe whose middle line crosses the middle of a box's height at x."""
    corners = (
        Point(x - across - lean, box.bottom),
        Point(x + across - lean, box.bottom),
        Point(x + across + lean, box.top),
        Point(x - across + lean, box.top),
    )
    return polygon(corners)


def chequered(area: Outline, chequers: Chequers, scale: Scale) -> Outline:
    """Return the squares of a second paint over an area, one of them in its middle across.

    They stand on its bottom edge, the first row with a square of the second paint in the middle.
    """
    box = bounds(area)
    side = scale.to_model(chequers.side)
    columns = math.ceil(box.width / 2.0 / side - 0.5 - 1e-9)
    rows = math.ceil(box.height / side - 1e-9)
    count = (2 * columns + 1) * rows
    require_at_most(count, MOST_IN_A_PATTERN, "squares in one field", SIMPLER)
    squares = Outline(tuple(c for o in _squares(box, side, columns, rows) for c in o))
    return intersection(squares, area)


def _squares(box: Bounds, side: float, columns: int, rows: int) -> Iterator[Outline]:
    for row in range(rows):
        for column in range(-columns, columns + 1):
            if row % 2 == column % 2:
                at = Point(box.centre.x + (column - 0.5) * side, box.bottom + row * side)
                yield rectangle(side, side, at)
