"""The middle line and the width of a stripe, found again from its outline.

Lining reaches this stage as regions.  A ring of even width gives back its middle
line by insetting its outer edge by half the width; an open stripe by running
beside one of its two long sides.  A region of uneven width is no stripe.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from livery.geometry.apart import from_first_point
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, length, nearest
from livery.geometry.offset import inset, parallel, stroked_area
from livery.geometry.outline import Contour, Line, Outline
from livery.geometry.segments import point_on, segment_length

LEAST_ASPECT = 8.0
"""A region shorter than this many widths is no stripe but a patch (chosen). Smaller, and short
patches are cut as strips."""

EVEN = 0.02
"""Share of its width a stripe may be out anywhere and still count as even (chosen). Larger, and tapered
lines are cut as strips of one width."""


@dataclass(frozen=True, slots=True)
class StripeLine:
    """A stripe's middle line, closed or open, and its width."""

    centre: Contour
    width_mm: float


@lru_cache(maxsize=4096)
def stripe_line(part: Outline) -> StripeLine | None:
    """Return the middle line and width of one connected region, or None if it is no stripe."""
    if not part:
        return None
    placed = from_first_point(part.contours)
    found = _stripe_here(Outline(placed.contours))
    return found and StripeLine(placed.put_back(found.centre), found.width_mm)


@lru_cache(maxsize=4096)
def _stripe_here(part: Outline) -> StripeLine | None:
    if len(part.contours) == 2:
        return _checked(part, *_of_ring(part))
    if len(part.contours) == 1:
        return _checked(part, *_of_open(part.contours[0]))
    return None


def _of_ring(part: Outline) -> tuple[tuple[Contour, ...], float]:
    outer, hole = part.contours
    longest = max(outer.segments, key=segment_length)
    width = nearest(Outline((hole,)), point_on(longest, 0.5)).distance
    # A ring of even width has its width's area along the mean of its two edges.
    even = width * (length(outer) + length(hole)) / 2.0
    if abs(area(outer) + area(hole) - even) > 2.0 * EVEN * even:
        return (), 0.0
    return inset(Outline(part.contours[:1]), width / 2.0).contours, width


def _of_open(edge: Contour) -> tuple[tuple[Contour, ...], float]:
    """Return the line beside the first long side of a contour that has two short straight ends."""
    # Round the edge of a stripe: two sides of one length and two ends of one width.
    half, whole = length(edge) / 2.0, area(edge)
    width = half - math.sqrt(max(0.0, half * half - 4.0 * whole)) if half else 0.0
    width /= 2.0
    ends = [
        i
        for i, s in enumerate(edge.segments)
        if isinstance(s, Line) and abs(segment_length(s) - width) < EVEN * width
    ]
    if len(ends) != 2:
        return (), 0.0
    side = Contour(edge.segments[ends[0] + 1 : ends[1]], closed=False)
    return parallel(side, width / 2.0), width


def _checked(part: Outline, lines: tuple[Contour, ...], width: float) -> StripeLine | None:
    """Return the stripe only if laying its width along its line gives the region back."""
    if len(lines) != 1 or width <= 0.0 or length(lines[0]) < LEAST_ASPECT * width:
        return None
    differs = stroked_area(lines[0], width).symmetric_difference(to_shapely(part)).area
    if differs > EVEN * width * length(lines[0]):
        return None
    return StripeLine(lines[0], width)
