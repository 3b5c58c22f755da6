"""Regions hatched with slanting lines, so that they can be distinguished without colours."""

from __future__ import annotations

import math
from collections.abc import Iterator

from livery.drawing import Stroke
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline, Point, chain
from livery.rounding import on_grid, rounded_value

FLAT_MM = 0.05
"""How far curves are from the chords they are hatched by, in millimetres of paper (chosen: below a
line's width). Larger, and hatching stops short of round edges."""


def hatching(
    outline: Outline, pitch: float, colour: str, *, falling: bool = False, width: float = 0.1
) -> Iterator[Stroke]:
    """Yield lines at 45 degrees across a region, ``pitch`` apart: rising, or falling to the right.

    They stand on one grid from the origin, so that regions side by side are hatched as one.
    """
    import shapely

    shape = shapely.make_valid(shapely.transform(to_shapely(outline, FLAT_MM), on_grid))
    x0, y0, x1, y1 = shape.bounds
    slope = -1.0 if falling else 1.0
    step = pitch * math.sqrt(2.0)
    # A line is x = across + slope * y.
    crossings = [x - slope * y for x in (x0, x1) for y in (y0, y1)]
    first = math.floor(rounded_value(min(crossings) / step, 6))
    last = math.ceil(rounded_value(max(crossings) / step, 6))
    for i in range(first, last + 1):
        line = shapely.LineString([(i * step + slope * y, y) for y in (y0, y1)])
        for run in shapely.get_parts(shape.intersection(line)):
            if run.geom_type == "LineString" and run.length > width:
                begin, *_, end = (Point(*map(float, p)) for p in on_grid(run.coords))
                yield Stroke(chain((begin, end), closed=False), colour, width)
