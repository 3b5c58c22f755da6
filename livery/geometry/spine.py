"""The line down the middle of a long region whose width changes: a tapered stripe, a flash.

The edge is paired about each of its points in turn, equally far along it to either side.
About the tip of a long region the pairs lie opposite each other, so the tip is where they
lie closest together, and the middles of its pairs make the line.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import length
from livery.geometry.outline import Contour, Outline, Point, chain

PAIRS = 400
"""Pairs of points along the edge: a region 1.5 m long is followed every 4 mm (chosen).
Fewer may step over a bend."""

STRAIGHT_MM = 0.05
"""Millimetres the line may leave the middles of the pairs (chosen: less than film is laid to). Larger, and
the line is coarser; smaller, and it has more nodes."""

LEAST_SLENDERNESS = 8.0
"""A region shorter than this many of its greatest widths is a patch and has no such line
(chosen). Smaller, and patches are cut up as strips."""


@dataclass(frozen=True, slots=True)
class Spine:
    """The middle line of a long region, from end to end, and its greatest width."""

    centre: Contour
    widest_mm: float


@lru_cache(maxsize=1024)
def spine(part: Outline) -> Spine | None:
    """Return the middle line of one connected region without holes; None where it is not long."""
    import numpy as np
    import shapely

    from livery.rounding import on_grid

    if len(part.contours) != 1:
        return None
    edge = shapely.get_parts(to_shapely(part))[0].exterior
    stations = edge.length * np.arange(2 * PAIRS) / (2 * PAIRS)
    at = on_grid(shapely.get_coordinates(shapely.line_interpolate_point(edge, stations)))
    steps = np.arange(PAIRS + 1)
    tips = np.arange(PAIRS)  # the other end of each is PAIRS further on
    one, other = (tips[:, None] + steps) % (2 * PAIRS), (tips[:, None] - steps) % (2 * PAIRS)
    apart = np.hypot(*np.moveaxis(at[one] - at[other], -1, 0))
    tip = int(np.argmin(np.round(apart.sum(axis=1), 6)))
    middles = (at[one[tip]] + at[other[tip]]) / 2.0
    line = shapely.LineString(middles).simplify(STRAIGHT_MM)
    points = [Point(float(x), float(y)) for x, y in line.coords]
    widest = float(apart[tip].max())
    if len(points) < 2 or not math.isfinite(widest):
        return None
    centre = chain(points, closed=False)
    if length(centre) < LEAST_SLENDERNESS * widest:
        return None
    return Spine(centre, widest)
