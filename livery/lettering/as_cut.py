"""Outlines made ready for the knife: joined, cleaned, corners eased, mirrored."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fontTools.misc.transform import Identity

from livery.geometry.boolean import union
from livery.geometry.measure import area, length
from livery.geometry.meeting import meeting
from livery.geometry.outline import Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.segments import (
    point_on,
    refined_foot,
    segment_length,
    trimmed,
    with_ends,
)
from livery.geometry.simplify import merged
from livery.lettering.knife_corners import eased_corners

LEAST_MM = 0.025
"""Segments shorter than this, in millimetres, only make a knife stutter (common practice: about a
plotter's own step). Larger, and small serifs lose their corners."""
STRAY_MM = 0.002
"""How far the outline may move where needless nodes are taken out, in millimetres (chosen: a fifth
of what a file may be out by). Larger, and letters change."""
ON_EDGE_MM = 1e-6
"""A point so near a curve, in millimetres, lies on it (chosen: rounding). Larger, and curves are moved
off the layer that they border on."""


@dataclass(frozen=True, slots=True)
class Cut:
    """An outline as it goes to the cutter.

    ``pieces`` are the separate parts of the film, ``counters`` the holes to weed out of
    them; ``sharp`` the corners that had no room for the radius asked for and stay as
    they were.
    """

    outline: Outline
    pieces: int
    counters: int
    sharp: tuple[Point, ...]


def as_cut(
    outline: Outline,
    *,
    inside_corner_mm: float = 0.0,
    outside_corner_mm: float = 0.0,
    least_mm: float = LEAST_MM,
) -> Cut:
    """Return an outline with overlaps joined and nothing in it shorter than ``least_mm``.

    Corners stay sharp unless a radius is asked for, for those that turn into the
    letter (inside) and those that turn out of it apart.
    """
    contours = [_without_tiny(merged(c, STRAY_MM), least_mm) for c in union(outline)]
    cleaned = [c for c in contours if 2.0 * abs(area(c)) > least_mm * length(c)]
    done, sharp = [], []
    for contour in cleaned:
        soft, left = eased_corners(contour, outside_corner_mm, inside_corner_mm)
        done.append(soft)
        sharp += left
    counters = sum(area(c) < 0.0 for c in done)
    return Cut(Outline(tuple(done)), len(done) - counters, counters, tuple(sharp))


def _without_tiny(contour: Contour, least_mm: float) -> Contour:
    """Return a contour whose tiny segments are drawn together to a point, neighbours reaching it."""
    segments: list[Segment] = list(contour.segments)
    while len(segments) > 2:
        i = min(range(len(segments)), key=lambda k: segment_length(segments[k]))
        if segment_length(segments[i]) >= least_mm:
            break
        tiny = segments.pop(i)
        before, after = (i - 1) % len(segments), i % len(segments)
        node = _node_instead(tiny, segments[before], segments[after], least_mm)
        segments[before] = _run_to(segments[before], node)
        segments[after] = _run_to(segments[after].reversed(), node).reversed()
    return Contour(tuple(segments))


def _node_instead(tiny: Segment, before: Segment, after: Segment, least_mm: float) -> Point:
    """Return the point that stands for a tiny segment: where its neighbours, carried on, meet.

    Where they do not meet close by, a curve keeps its end, or else the longer: an edge that is moved
    comes away from the layer that it borders on.
    """
    first, second = ((not isinstance(s, Line), segment_length(s)) for s in (before, after))
    kept = tiny.start if first >= second else tiny.end
    node = meeting(before, after, kept, 1.0, 0.0)
    if node is None or math.dist(node, tiny.start) + math.dist(node, tiny.end) > 2.0 * least_mm:
        return kept
    return node


def _run_to(segment: Segment, end: Point) -> Segment:
    """Return a segment that ends at another point close by: cut off or carried on, if it lies there."""
    if isinstance(segment, Cubic):
        t = refined_foot(segment, end, 1.0, 0.5, 1.5)
        if math.dist(point_on(segment, t), end) <= ON_EDGE_MM:
            segment = trimmed(segment, 0.0, t)
    return with_ends(segment, segment.start, end)


def mirrored(outline: Outline, about_x: float = 0.0) -> Outline:
    """Return an outline turned over left to right, as it is cut for the inside of glass."""
    return outline.transformed(Identity.translate(2.0 * about_x, 0.0).scale(-1.0, 1.0))
