"""Frames round pieces of film, and cuts that part the waste so that it lifts in handy strips."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Line, Outline, Point, chain
from livery.rounding import rounded_value

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

LEAST_CUT_MM = 3.0
"""A shorter weed cut, in millimetres, would part nothing (chosen). Smaller, and more cuts are
made."""

TRIED = 4
"""Places tried for each weed cut to either side of where it would fall evenly (chosen). More only
take time; fewer, and cuts run through parts of the waste that are short."""


def weed_frame(pieces: Sequence[Outline], clear_mm: float) -> Contour:
    """Return the rectangle round pieces, ``clear_mm`` outside the outermost of them."""
    import shapely

    x0, y0, x1, y1 = shapely.union_all([to_shapely(p) for p in pieces]).bounds
    return chain(
        Point(x, y)
        for x, y in (
            (x0 - clear_mm, y0 - clear_mm),
            (x1 + clear_mm, y0 - clear_mm),
            (x1 + clear_mm, y1 + clear_mm),
            (x0 - clear_mm, y1 + clear_mm),
        )
    )


def weed_cuts(
    frame: Contour, pieces: Sequence[Outline], every_mm: float, clear_mm: float = 0.5
) -> tuple[Contour, ...]:
    """Return straight cuts across the waste inside a frame, at most ``every_mm`` apart.

    They run across the frame's shorter way and stop ``clear_mm`` short of every
    piece, so that no piece is nicked; each is moved a little to where it passes
    most freely between the pieces.
    """
    import shapely

    room = shapely.Polygon([tuple(p) for p in frame.nodes])
    box = bounds(frame)
    along_x = box.width >= box.height
    low, high = (box.left, box.right) if along_x else (box.bottom, box.top)
    count = max(1, math.ceil((high - low) / every_mm - 1e-9))
    # The waste in a counter lifts by itself, so counters are not cut.
    solid = [
        shapely.Polygon(part.exterior) for p in pieces for part in shapely.get_parts(to_shapely(p))
    ]
    taken = shapely.union_all(solid).buffer(clear_mm)
    shapely.prepare(taken)
    pitch = (high - low) / count
    cuts = []
    for i in range(1, count):
        middle = low + pitch * i
        lines = [
            _across(room, at, along_x).difference(taken) for at in _places(middle, pitch / 4.0)
        ]
        best = max(lines, key=lambda line: rounded_value(line.length, 6))
        for part in shapely.get_parts(best):
            if part.length >= LEAST_CUT_MM:
                a, b = (Point(*c) for c in part.coords)
                cuts.append(Contour((Line(a, b),), closed=False))
    return tuple(cuts)


def _across(room: BaseGeometry, at: float, along_x: bool) -> BaseGeometry:
    """Return the line across the frame at a place along it."""
    import shapely

    x0, y0, x1, y1 = room.bounds
    ends = [(at, y0), (at, y1)] if along_x else [(x0, at), (x1, at)]
    return shapely.LineString(ends)


def _places(middle: float, reach: float) -> list[float]:
    """Return places to try, the middle first, then ever further to either side."""
    steps = [0.0]
    for k in range(1, TRIED + 1):
        steps += [k / TRIED, -k / TRIED]
    return [middle + reach * s for s in steps]
