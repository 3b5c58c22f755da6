"""Outlines and lines set off at a distance: insets, outsets, bands, parallels and strokes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from livery.findings import fault
from livery.geometry.chords import MANY
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import contours_of, nearest
from livery.geometry.outline import EMPTY, Contour, Line, Outline, Segment
from livery.geometry.path_text import in_order
from livery.geometry.pieces import pieces_of
from livery.geometry.reaching import GAP_SHARE, GAPS_FROM_MM
from livery.geometry.recover import Gaps, winding_region
from livery.geometry.segments import point_on, segment_length
from livery.geometry.sweep import (
    FIT_MM,
    SAME_MM,
    Ends,
    Join,
    capped,
    raw_parallel,
    raw_parallel_each,
)

if TYPE_CHECKING:
    import shapely

__all__ = [
    "Ends",
    "Join",
    "band",
    "between",
    "closed",
    "inset",
    "opened",
    "outset",
    "parallel",
    "stroke",
    "stroked_area",
    "swept_beside",
]

VERY_MANY = 1000
"""Segments of a contour from which its sweep may leave gaps, whose edges are then left out of the result
(measured). Only the time changes with it."""


def inset(outline: Outline, distance_mm: float, join: Join = "mitre") -> Outline:
    """Return the part of a proper outline at least ``distance_mm`` in from its edge.

    Lines give parallel lines and arcs concentric arcs, exactly; cubics give cubics
    within 0.005 mm.  Outward corners stay as they are; inward ones stay sharp with
    ``mitre`` (up to four times the distance) and become arcs with ``round``.  The
    result may be in several pieces or empty.  A negative distance is an outset.

    >>> from livery.geometry.measure import area
    >>> from livery.geometry.shapes import rectangle
    >>> round(area(inset(rectangle(120, 40), 5)), 6)
    3300.0
    """
    return _moved(outline, distance_mm, join)


def outset(outline: Outline, distance_mm: float, join: Join = "mitre") -> Outline:
    """Return a proper outline grown by ``distance_mm``; outward corners are joined as asked."""
    return _moved(outline, -distance_mm, join)


def band(outline: Outline, outer_mm: float, inner_mm: float, join: Join = "mitre") -> Outline:
    """Return the band between two insets, ``inner_mm`` the greater: the same width all along."""
    if not inner_mm > outer_mm:
        raise fault(
            "band-without-width",
            f"a band from {outer_mm:g} mm to {inner_mm:g} mm in has no width",
            "Make the inner inset the greater.",
        )
    return between(inset(outline, outer_mm, join), inset(outline, inner_mm, join))


def between(outer: Outline, inner: Outline) -> Outline:
    """Return the band between two insets of one outline.

    >>> from livery.geometry.measure import area
    >>> from livery.geometry.shapes import rectangle
    >>> plate = rectangle(20, 20)
    >>> area(between(inset(plate, 1), inset(plate, 2)))
    68.0
    """
    holes = tuple(c.reversed() for c in inner)
    return in_order(Outline(outer.contours + holes))


def _moved(outline: Outline, distance_mm: float, join: Join) -> Outline:
    """Return an outline inset by a distance of either sign."""
    if not math.isfinite(distance_mm):
        raise fault("distance-not-a-number", f"the distance is {distance_mm:g}", "Give it in mm.")
    if distance_mm == 0.0 or not outline:
        return outline
    if _has_many(outline):
        from livery.geometry.inset_many import inset_of_pieces

        pieces = pieces_of(outline.contours)
        if pieces is not None:
            done = inset_of_pieces(outline.contours, pieces, distance_mm, join)
            if done is not None:
                return done
    many = max(len(c.segments) for c in outline) >= VERY_MANY and abs(distance_mm) > GAPS_FROM_MM
    given = [c for c in outline if c.segments]
    raws = raw_parallel_each(given, distance_mm, join, with_gaps=many)
    # Gaps are nearer to the edge than this, the true result is as far as the distance.
    gaps = Gaps(outline.contours, (1.0 + GAP_SHARE) / 2.0 * abs(distance_mm)) if many else None
    return winding_region((Contour(tuple(r)) for r in raws if r), gaps=gaps)


def _has_many(outline: Outline) -> bool:
    """Return whether a contour has so many segments that it pays to hold them all as arrays."""
    return max(len(c.segments) for c in outline) > MANY


def stroke(
    shape: Contour | Outline,
    width_mm: float,
    ends: Ends = "butt",
    join: Join = "mitre",
    point_mm: float | None = None,
) -> Outline:
    """Return the region a line of ``width_mm`` along a contour covers, its sides exact.

    ``ends`` treats the ends of an open contour: ``butt`` stops at the end, ``round``
    adds a half circle, ``square`` half the width, ``pointed`` a point that reaches
    ``point_mm`` beyond (half the width unless said).  An outline is stroked along
    each of its contours.  For ends that taper within the length, see ``ribbon``.

    >>> from livery.geometry.measure import area
    >>> from livery.geometry.outline import Point, chain
    >>> round(area(stroke(chain([Point(0, 0), Point(30, 0)], closed=False), 2.0)), 6)
    60.0
    """
    if not width_mm > 0.0:
        raise fault(
            "width-not-positive", f"the line is {width_mm:g} mm wide", "Give a width above 0 mm."
        )
    return winding_region(_stroke_edges(shape, width_mm, ends, join, point_mm))


def stroked_area(
    shape: Contour | Outline, width_mm: float
) -> shapely.Polygon | shapely.MultiPolygon:
    """Return what :func:`stroke` covers, flattened; quicker where no curve is needed back."""
    return to_shapely(_stroke_edges(shape, width_mm, "butt", "mitre", None))


def _stroke_edges(
    shape: Contour | Outline, width_mm: float, ends: Ends, join: Join, point_mm: float | None
) -> list[Contour]:
    """Return the closed contours round a stroke, crossing themselves where it bends tightly."""
    half = width_mm / 2.0
    reach = half if point_mm is None else point_mm
    rings: list[Contour] = []
    for contour in contours_of(shape):
        if not any(segment_length(s) > SAME_MM for s in contour.segments):
            continue
        right, left = raw_parallel(contour, -half, join), raw_parallel(contour, half, join)
        if contour.closed:
            rings += [Contour(tuple(right)), Contour(tuple(left)).reversed()]
        else:
            back = [s.reversed() for s in reversed(left)]
            rings.append(capped(right, back, ends, reach))
    return [r for r in rings if r.segments]


def parallel(contour: Contour, distance_mm: float, join: Join = "mitre") -> tuple[Contour, ...]:
    """Return the line that runs beside an open contour, to its left for a positive distance.

    The line must not cross itself.  Loops are cut out; what is left is usually one open
    contour, several where the line comes too near itself, and none where nothing is left.
    """
    if distance_mm == 0.0:
        return (contour,)
    swept = swept_beside(contour, distance_mm, join)
    return tuple(
        run if distance_mm < 0 else run.reversed()
        for c in swept
        for run in _far_runs(c, contour, abs(distance_mm))
    )


def swept_beside(contour: Contour, distance_mm: float, join: Join = "mitre") -> Outline:
    """Return all that lies within a distance of an open contour, to its left for a positive one."""
    raw = raw_parallel(contour, distance_mm, join) if distance_mm else []
    if not raw:
        return EMPTY
    there, back = list(contour.segments), [s.reversed() for s in reversed(raw)]
    far, near = Line(contour.end, raw[-1].end), Line(raw[0].start, contour.start)
    strip = Contour((*there, far, *back, near))
    return winding_region((strip if distance_mm > 0 else strip.reversed(),))


def opened(outline: Outline, radius_mm: float) -> Outline:
    """Return all of an outline that discs of a radius within it cover: outward corners eased."""
    return outset(inset(outline, radius_mm, "round"), radius_mm, "round")


def closed(outline: Outline, radius_mm: float) -> Outline:
    """Return an outline with all that discs of a radius outside it cannot reach: inward corners eased."""
    return inset(outset(outline, radius_mm, "round"), radius_mm, "round")


def _far_runs(edge: Contour, line: Contour, distance_mm: float) -> list[Contour]:
    """Return the runs of a contour that keep their distance from a line."""
    far = [
        nearest(line, point_on(s, 0.5)).distance > distance_mm - 2 * FIT_MM for s in edge.segments
    ]
    if not any(far):
        return []
    first = next((i for i in range(len(far)) if far[i] and not far[i - 1]), 0)
    order = [(first + k) % len(far) for k in range(len(far))]
    runs: list[list[Segment]] = []
    joined = False
    for i in order:
        if far[i] and joined:
            runs[-1].append(edge.segments[i])
        elif far[i]:
            runs.append([edge.segments[i]])
        joined = far[i]
    return [Contour(tuple(r), closed=False) for r in runs]
