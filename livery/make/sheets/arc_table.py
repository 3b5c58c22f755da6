"""Arcs to strike with a compass, and curves to draw through offsets, off the outlines of a panel."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from livery.geometry.flatten import to_line_string
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Arc, Contour, Cubic, Outline, Point, Segment
from livery.geometry.segments import velocity
from livery.rounding import rounded_value

if TYPE_CHECKING:
    import shapely

SAME_MM = 0.02
"""Centres and stations nearer than this are one, in millimetres (chosen: a fifth of what a scriber
sets). Larger, and arcs of neighbouring lines share a row; smaller, and one arc has two."""

LONGEST_RADIUS_MM = 400.0
"""A longer radius is set out by offsets, in millimetres (common practice: few compasses reach
further). Larger, and rows name radii that nobody can strike."""

SHORTEST_ARC_MM = 0.5
"""A shorter arc has no row, in millimetres (chosen: it is not seen beside a scribed line). Larger,
and small corners have no radius; smaller, and crumbs of tracing are listed."""

STATIONS = (1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0)
"""Distances between the stations of a curve, in millimetres; the first that gives few enough is
taken (chosen: as a rule is divided). Another list only moves where a curve is measured."""

MOST_STATIONS = 24
"""Stations along one curve (chosen: a table of one column). More, and the curve is followed more
closely with more to mark; fewer, and it is drawn by eye between them."""

CHORD_MM = 0.002
"""How far curves are from the chords that offsets are read from, in millimetres (chosen: a fifth
of the last figure given). Larger, and offsets are wrong by as much."""

AT_END_MM = 0.001
"""The end of a line is read so far within it, in millimetres (chosen: below any figure given).
Larger, and the offset at the end is that of a place beside it."""


@dataclass(frozen=True, slots=True)
class ArcPlace:
    """Arcs about one centre: their radii, the smallest first."""

    centre: Point
    radii: tuple[float, ...]


def arcs_of(outlines: Iterable[Outline]) -> tuple[ArcPlace, ...]:
    """Return the arcs that a compass strikes, by centre, from the lower left."""
    found: list[tuple[Point, set[float]]] = []
    for arc in (s for o in outlines for c in o for s in c.segments if isinstance(s, Arc)):
        if arc.radius > LONGEST_RADIUS_MM or arc.radius * abs(arc.sweep) < SHORTEST_ARC_MM:
            continue
        near = (f for f in found if math.dist(f[0], arc.centre) < SAME_MM)
        centre, radii = next(near, (arc.centre, set()))
        if not radii:
            found.append((centre, radii))
        radii.add(rounded_value(arc.radius, 2))
    found.sort(key=lambda f: (rounded_value(f[0].y, 2), rounded_value(f[0].x, 2)))
    return tuple(ArcPlace(centre, tuple(sorted(radii))) for centre, radii in found)


@dataclass(frozen=True, slots=True)
class Offsets:
    """Where a shape's edges cross lines at regular stations.

    ``across`` says that the stations run across the panel and the offsets up; otherwise the
    stations run up and the offsets across.
    """

    across: bool
    rows: tuple[tuple[float, tuple[float, ...]], ...]


def is_curved(outline: Outline) -> bool:
    """Return whether a shape has an edge that neither a rule nor a compass draws."""
    return any(_is_set_out(s) for c in outline for s in c.segments)


def _is_set_out(segment: Segment) -> bool:
    """Return whether a segment is drawn through offsets."""
    return isinstance(segment, Cubic) or (
        isinstance(segment, Arc) and segment.radius > LONGEST_RADIUS_MM
    )


def curved_runs(outline: Outline) -> Iterator[Contour]:
    """Yield each stretch of an outline that is drawn through offsets, from straight to straight."""
    for contour in outline:
        segments = contour.segments
        straight = [i for i, s in enumerate(segments) if not _is_set_out(s)]
        if not straight:
            yield contour
            continue
        turned = (*segments[straight[0] :], *segments[: straight[0]])
        run: list[Segment] = []
        for segment in (*turned, None):
            if segment is not None and _is_set_out(segment):
                run.append(segment)
            elif run:
                yield Contour(tuple(run), closed=False)
                run = []


def _runs_across(outline: Outline, box: Bounds) -> bool:
    """Return whether stations run across a shape: the way a single line of it never turns back."""
    if len(outline.contours) == 1 and not outline.contours[0].closed:
        ways = [
            {rounded_value(velocity(s, t)[axis], 6) >= 0.0 for s in outline.contours[0].segments
             for t in (0.02, 0.25, 0.5, 0.75, 0.98)}
            for axis in (0, 1)
        ]  # fmt: skip
        if len(ways[0]) != len(ways[1]):
            return len(ways[0]) < len(ways[1])
    return box.width >= box.height


def offsets_of(outline: Outline) -> Offsets:
    """Return the offsets of a shape's edges, or of a line, at regular stations and at its ends."""
    box = bounds(outline)
    across = _runs_across(outline, box)
    low, high = (box.left, box.right) if across else (box.bottom, box.top)
    step = next((s for s in STATIONS if (high - low) / s <= MOST_STATIONS), STATIONS[-1])
    first = math.ceil((low + SAME_MM) / step)
    stations = [i * step for i in range(first, math.floor((high - SAME_MM) / step) + 1)]
    if not all(contour.closed for contour in outline):
        stations = [low + AT_END_MM, *stations, high - AT_END_MM]
    lines = [to_line_string(contour, CHORD_MM) for contour in outline]
    rows = [(s, tuple(_crossings(lines, s, box, across=across))) for s in stations]
    return Offsets(across, tuple(row for row in rows if row[1]))


def _crossings(
    lines: Iterable[shapely.LineString], at: float, box: Bounds, *, across: bool
) -> Iterator[float]:
    """Yield where edges cross a station, rising, each place once."""
    import shapely

    if across:
        ray = shapely.LineString([(at, box.bottom - 1.0), (at, box.top + 1.0)])
    else:
        ray = shapely.LineString([(box.left - 1.0, at), (box.right + 1.0, at)])
    places = sorted(
        p[1] if across else p[0]
        for line in lines
        for p in shapely.get_coordinates(line.intersection(ray))
    )
    before = -math.inf
    for place in places:
        if place - before > SAME_MM:
            yield place
            before = place
