"""Outlines united, subtracted and intersected, with their curves kept."""

from __future__ import annotations

from collections.abc import Sequence

from livery.geometry.apart import proper_apart
from livery.geometry.flatten import CHORD_MM, to_line_string
from livery.geometry.measure import turns_round
from livery.geometry.outline import EMPTY, Contour, Outline
from livery.geometry.path_text import in_order
from livery.geometry.recover import winding_region


def union(*outlines: Outline) -> Outline:
    """Return the region covered by any of the outlines.

    A single outline whose contours cross or overlap is put in order by it.

    >>> from livery.geometry.measure import area
    >>> from livery.geometry.outline import Point
    >>> from livery.geometry.shapes import rectangle
    >>> area(union(rectangle(10, 10), rectangle(10, 10, Point(5, 0))))
    150.0
    """
    return winding_region(c for o in outlines for c in o)


def union_of_proper(outlines: Sequence[Outline]) -> Outline:
    """Return the region covered by any of some proper outlines; those that lie apart stay as they are.

    >>> from livery.geometry.outline import Point
    >>> from livery.geometry.shapes import rectangle
    >>> plates = [rectangle(10, 10), rectangle(10, 10, Point(5, 0)), rectangle(10, 10, Point(30, 0))]
    >>> [len(part.segments) for part in union_of_proper(plates)]
    [4, 4]
    """
    groups = proper_apart(outlines, 4.0 * CHORD_MM)
    found = [own[0] if len(own) == 1 else union(*own) for own in groups]
    return found[0] if len(found) == 1 else in_order(Outline(tuple(c for o in found for c in o)))


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
    """Return the region covered by both of two proper outlines.

    >>> from livery.geometry.measure import area
    >>> from livery.geometry.outline import Point
    >>> from livery.geometry.shapes import rectangle
    >>> area(intersection(rectangle(10, 10), rectangle(10, 10, Point(5, 0))))
    50.0
    """
    if not one or not other:
        return EMPTY
    return winding_region((*one.contours, *other.contours), at_least=2)


def is_well_inside(one: Outline, other: Outline) -> bool:
    """Return whether a proper outline lies within another, nowhere near its edges.

    It is then its own intersection with it: to settle it once more would give it back.

    >>> from livery.geometry.outline import Point
    >>> from livery.geometry.shapes import rectangle
    >>> is_well_inside(rectangle(2, 2, Point(4, 4)), rectangle(10, 10))
    True
    >>> is_well_inside(rectangle(2, 2), rectangle(10, 10))
    False
    """
    import shapely

    if not all(c.closed for c in (*one, *other)):
        return False
    edge, other_edge = (
        shapely.MultiLineString([to_line_string(c) for c in outline]) for outline in (one, other)
    )
    # Each flattened edge lies within a chord error of the true one, and both are welded over less.
    if shapely.dwithin(edge, other_edge, 4.0 * CHORD_MM):
        return False
    return all(_times_round(other, c) == 1 for c in one) and all(
        _times_round(one, c) == 0 for c in other
    )


def _times_round(shape: Outline, contour: Contour) -> int:
    """Return how often an outline winds round a contour that it does not meet."""
    return turns_round(shape, contour.segments[0].start)
