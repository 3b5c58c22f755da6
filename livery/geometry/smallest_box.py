"""The length of a region: the longer side of its smallest box at any angle."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline
from livery.rounding import rounded_value

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


@lru_cache(maxsize=4096)
def longest_side(outline: Outline) -> float:
    """Return the longer side of the smallest rectangle about an outline, at any slant, millimetres.

    A frame is as long as its longer side and not as the way round it; a slanting line is as
    long as it is from end to end.
    """
    return side_of_region(to_shapely(outline))


def side_of_region(region: BaseGeometry) -> float:
    """Return the same of a Shapely region."""
    import shapely

    box = shapely.oriented_envelope(region)
    corners = shapely.get_coordinates(box)
    if len(corners) < 3:
        return 0.0
    sides = (math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2]))
    return rounded_value(max(sides), 6)
