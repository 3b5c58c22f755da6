"""How many spares to cut of what is easily spoiled."""

from __future__ import annotations

import math
from dataclasses import dataclass

from livery.geometry.measure import area, bounds, length
from livery.geometry.outline import Outline


@dataclass(frozen=True, slots=True)
class SpareRule:
    """When spares are cut, and one for how many (common practice).

    Film thinner than ``thin_mm`` on average stretches or tears; parts smaller than
    ``small_mm`` either way are lost; parts longer than ``long_mm`` are laid crooked.
    """

    thin_mm: float = 1.5
    small_mm: float = 4.0
    long_mm: float = 300.0
    one_for: int = 5


@dataclass(frozen=True, slots=True)
class Spare:
    """How many spares of a piece, and why; none with no reason."""

    count: int
    why: str = ""


def spare_of(outline: Outline, count: int, rule: SpareRule | None = None) -> Spare:
    """Return the spares to cut of a piece that is needed ``count`` times."""
    rule = rule or SpareRule()
    box = bounds(outline)
    longest = max(box.width, box.height)
    reasons = []
    if mean_width(outline) < rule.thin_mm:
        reasons.append(f"thinner than {rule.thin_mm:g} mm")
    if longest < rule.small_mm:
        reasons.append(f"smaller than {rule.small_mm:g} mm")
    if longest > rule.long_mm:
        reasons.append(f"longer than {rule.long_mm:g} mm")
    if not reasons or count == 0:
        return Spare(0)
    return Spare(math.ceil(count / rule.one_for), " and ".join(reasons))


def mean_width(outline: Outline) -> float:
    """Return the width of the stripe with the same area and length of edge, millimetres."""
    return 2.0 * area(outline) / length(outline)
