"""The figures of one bend in sheet metal.

Angles are radians turned through, so that a flat sheet has none; the radius is the
inside one, and sizes are millimetres.
"""

from __future__ import annotations

import math
from typing import Literal


def neutral_factor(inside_radius: float, thickness: float) -> float:
    """Return how far the neutral line lies from the inside of a bend, as a share of the thickness.

    Source: DIN 6935, cold bending of flat rolled steel, whose correction factor
    0.65 + 0.5 lg(radius / thickness), no more than 1 and taken of half the thickness,
    is from memory.  A sheet bent sharply on itself keeps a quarter.
    """
    if inside_radius <= 0.0 or thickness <= 0.0:
        return 0.25 if thickness > 0.0 else 0.5
    factor = 0.65 + 0.5 * math.log10(inside_radius / thickness)
    return min(max(factor, 0.5), 1.0) / 2.0


def bend_allowance(
    angle: float, inside_radius: float, thickness: float, neutral: float | None = None
) -> float:
    """Return the length of blank that a bend takes: its arc along the neutral line.

    ``neutral`` is the share of the thickness from the inside; left out, it is
    :func:`neutral_factor`'s.
    """
    share = neutral_factor(inside_radius, thickness) if neutral is None else neutral
    return abs(angle) * (inside_radius + share * thickness)


def setback(angle: float, inside_radius: float, thickness: float) -> float:
    """Return how far a bend begins before the sharp corner of its outside.

    With no thickness it is the setback from the sharp corner of the inside.
    """
    return math.tan(abs(angle) / 2.0) * (inside_radius + thickness)


def inside_radius(
    radius: float,
    of: Literal["inside", "neutral", "outside"],
    thickness: float,
    neutral: float | None,
) -> float:
    """Return a bend's inside radius from one drawn to its inside, neutral line or outside."""
    if of == "inside":
        return radius
    if of == "outside":
        return radius - thickness
    if neutral is not None:
        return radius - neutral * thickness
    # The share depends on the inside radius, but so weakly that repeating settles it.
    inside = radius
    for _ in range(60):
        inside = radius - neutral_factor(inside, thickness) * thickness
    return inside
