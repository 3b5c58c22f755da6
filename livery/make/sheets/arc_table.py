"""Arcs to strike with a compass, and curves to draw through offsets, off the outlines of a panel."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from livery.geometry.flatten import to_line_string
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Arc, Contour, Cubic, Outline, Point, Segment
from livery.geometry.segments import velocity
from livery.rounding import figure, rounded_value

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt
    import shapely

    Numbers = npt.NDArray[np.float64]

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
"""Stations along one curve to begin with (chosen: a table of one column). More, and there is more to
mark where the curve is nearly straight."""

OFF_MM = 0.25
"""A straight rule from station to station is at most so far from the curve, in millimetres (common
practice: half the width of a pencil line); where it would be further, there are stations between.
Larger, and a curve is seen to be made of straights; smaller, and there is more to mark."""

CHORD_MM = 0.002
"""How far curves are from the chords that offsets are read from, in millimetres (chosen: a fifth
of the last figure given). Larger, and offsets are wrong by as much."""

SHARP_RAD = 0.35
"""A turn by more than this is a corner, not a curve, in radians (chosen: 20 degrees; a curve's chords
turn by a few). Larger, and a corner is taken for a curve."""

LEAST_ALONG = 0.25
"""The share of a line that must run more along the stations than off them, where it turns back the
other way (chosen). Larger, and a nose is measured twice at a station; smaller, and the steep edges
of a gore are measured at stations they hardly cross."""

AT_END_MM = 0.001
"""The end of a line is read so far within it, in millimetres (chosen: below any figure given).
Larger, and the offset at the end is that of a place beside it."""


@dataclass(frozen=True, slots=True)
class ArcPlace:
    """Arcs about one centre: their radii, the smallest first, one for each figure printed."""

    centre: Point
    radii: tuple[float, ...]


def arcs_of(outlines: Iterable[Outline]) -> tuple[ArcPlace, ...]:
    """Return the arcs that a compass strikes, by centre, from the lower left."""
    found: list[tuple[Point, dict[str, float]]] = []
    for arc in (s for o in outlines for c in o for s in c.segments if isinstance(s, Arc)):
        if arc.radius > LONGEST_RADIUS_MM or arc.radius * abs(arc.sweep) < SHORTEST_ARC_MM:
            continue
        near = (f for f in found if math.dist(f[0], arc.centre) < SAME_MM)
        centre, radii = next(near, (arc.centre, dict[str, float]()))
        if not radii:
            found.append((centre, radii))
        radii.setdefault(figure(arc.radius, 2), arc.radius)
    found.sort(key=lambda f: (rounded_value(f[0].y, 2), rounded_value(f[0].x, 2)))
    return tuple(ArcPlace(centre, tuple(sorted(radii.values()))) for centre, radii in found)


@dataclass(frozen=True, slots=True)
class Offsets:
    """Where a shape's edges cross lines at regular stations.

    ``across`` says that the stations run across the panel and the offsets up; otherwise the
    stations run up and the offsets across.
    """

    across: bool
    rows: tuple[tuple[float, tuple[float, ...]], ...]
    off_mm: float
    """How far the curve is at most from straight lines between its places at the stations."""


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
            {math.copysign(1.0, v) for s in outline.contours[0].segments
             for t in (0.02, 0.25, 0.5, 0.75, 0.98) if (v := rounded_value(velocity(s, t)[axis], 6))}
            for axis in (0, 1)
        ]  # fmt: skip
        across = len(ways[0]) < len(ways[1])
        if len(ways[0]) != len(ways[1]) and _share_across(outline, across=across) >= LEAST_ALONG:
            return across
    return box.width >= box.height


def _share_across(outline: Outline, *, across: bool) -> float:
    """Return how much of a shape's edge runs more along the stations than along the offsets."""
    import numpy as np
    import shapely

    steps = np.concatenate(
        [np.diff(shapely.get_coordinates(to_line_string(c, CHORD_MM)), axis=0) for c in outline]
    )
    long = np.hypot(*steps.T)
    along, off = np.abs(steps.T if across else steps.T[::-1])
    return float(long[along >= off].sum() / long.sum())


def offsets_of(outline: Outline) -> Offsets:
    """Return the offsets of a shape's edges, or of a line, at regular stations and at its ends.

    Where a straight rule would be too far from the curve, there are stations between.
    """
    box = bounds(outline)
    across = _runs_across(outline, box)
    low, high = (box.left, box.right) if across else (box.bottom, box.top)
    step = next((s for s in STATIONS if (high - low) / s <= MOST_STATIONS), STATIONS[-1])
    first = math.ceil((low + SAME_MM) / step)
    stations = [i * step for i in range(first, math.floor((high - SAME_MM) / step) + 1)]
    ends = low + AT_END_MM, high - AT_END_MM
    lines = [to_line_string(contour, CHORD_MM) for contour in outline]
    edges = [run for line in lines for run in _plain_runs(line, across=across)]
    finer = [s for s in reversed(STATIONS) if s < step]
    stations, off = _divided((ends[0], *stations, ends[1]), finer, edges)
    if all(contour.closed for contour in outline):
        stations = stations[1:-1]  # its ends are edges, with their corners or arcs
    rows = [(s, tuple(_crossings(lines, s, box, across=across))) for s in stations]
    return Offsets(across, tuple(row for row in rows if row[1]), off)


def _divided(
    stations: Sequence[float], finer: Sequence[float], edges: Sequence[Numbers]
) -> tuple[list[float], float]:
    """Return the stations with those that curves need between them, and how far off they are left."""
    todo = [(pair, finer) for pair in reversed(list(pairwise(stations)))]
    found, most = list(stations[:1]), 0.0
    while todo:
        (low, high), steps = todo.pop()
        off = max((_off_chord(edge, low, high) for edge in edges), default=0.0)
        if off > OFF_MM and steps:
            step = steps[0]
            inner = [i * step for i in range(math.ceil(low / step), math.ceil(high / step))]
            ends = [low, *(s for s in inner if low + SAME_MM < s < high - SAME_MM), high]
            todo += [(pair, steps[1:]) for pair in reversed(list(pairwise(ends)))]
            continue
        found.append(high)
        most = max(most, off)
    return found, most


def _plain_runs(line: shapely.LineString, *, across: bool) -> Iterator[Numbers]:
    """Yield the runs of a line, (n, 2) with the station first and rising, from corner to corner."""
    import numpy as np
    import shapely

    places = shapely.get_coordinates(line)[:, :: 1 if across else -1]
    steps = np.diff(places, axis=0)
    steps = steps[np.hypot(*steps.T) > 0.0]
    places = np.vstack([places[:1], places[0] + np.cumsum(steps, axis=0)])
    turns = np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])))
    parted = (np.abs(turns) > SHARP_RAD) | (steps[1:, 0] * steps[:-1, 0] < 0.0)
    for run in np.split(np.arange(len(steps)), np.flatnonzero(parted) + 1):
        part = places[run[0] : run[-1] + 2]
        yield part if part[-1, 0] >= part[0, 0] else part[::-1]


def _off_chord(edge: Numbers, low: float, high: float) -> float:
    """Return how far a run is from straight between two stations, in mm."""
    import numpy as np

    at, off = edge.T
    low, high = max(low, float(at[0])), min(high, float(at[-1]))
    within = (at > low) & (at < high)
    if not within.any():
        return 0.0
    begin, end = np.interp([low, high], at, off)
    run, rise = high - low, end - begin
    beside = (off[within] - begin) * run - (at[within] - low) * rise
    return float(np.abs(beside).max() / math.hypot(run, rise))


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
