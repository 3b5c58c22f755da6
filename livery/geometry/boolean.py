"""Outlines added, taken away and overlapped, curves kept."""

from __future__ import annotations

from livery.geometry.outline import EMPTY, Outline
from livery.geometry.recover import winding_region


def union(*outlines: Outline) -> Outline:
    """Return the region covered by any of the outlines.

    A single outline whose contours cross or overlap is put in order by it.
    """
    return winding_region(c for o in outlines for c in o)


def difference(outline: Outline, *taken: Outline) -> Outline:
    """Return the region of a proper outline that none of the others covers.

    >>> from livery.geometry.measure import area
    >>> from livery.geometry.shapes import rectangle
    >>> round(area(difference(rectangle(120, 40), rectangle(20, 40))), 6)
    4000.0
    """
    if not outline:
        return EMPTY
    holes = (c.reversed() for o in taken for c in o)
    return winding_region((*outline.contours, *holes))


def intersection(one: Outline, other: Outline) -> Outline:
    """Return the region covered by both of two proper outlines."""
    if not one or not other:
        return EMPTY
    return winding_region((*one.contours, *other.contours), at_least=2)
