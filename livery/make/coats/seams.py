"""Where the visible fields of different paints meet, and how well lining covers the seam."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline, Point

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

TOUCH_MM = 0.01
"""Fields whose edges come this near, in millimetres, meet (chosen: what a file may be out by).
Larger, and fields with a gap between are sprayed as neighbours."""

FINE_MM = 0.002
"""Chord error of the edges that are compared, in millimetres (chosen: well below what counts as
meeting). Larger, and seams on curves are missed."""

LEAST_RUN_MM = 0.5
"""Shorter contacts, in millimetres, at the corners where three fields meet, are no seam (chosen).
Larger, and a short seam is left to chance."""

LOOK_MM = 25.0
"""How far to each side of a seam lining is looked for, in millimetres (chosen: wider than any
band). Smaller, and a ridge is left beside its line."""


@dataclass(frozen=True, slots=True)
class Seam:
    """The runs along which two paints meet.

    ``covered_mm`` is the length that lies under lining; there the ridge may be moved
    by ``shift_mm`` into the second paint (negative: into the first) to lie in the
    middle of it, with ``half_cover_mm`` of lining on both sides.
    """

    first: str
    second: str
    runs: tuple[tuple[Point, ...], ...]
    covered_mm: float = 0.0
    shift_mm: float = 0.0
    half_cover_mm: float = 0.0

    @property
    def length_mm(self) -> float:
        """Length of all runs."""
        return sum(run_length(run) for run in self.runs)


def seams_of(regions: Mapping[str, Outline], lining: Outline) -> tuple[Seam, ...]:
    """Return the seams between the regions of different paints, in the order of the mapping."""
    shapes = {name: to_shapely(outline, FINE_MM) for name, outline in regions.items()}
    cover = to_shapely(lining, FINE_MM)
    names = list(shapes)
    seams = []
    for i, first in enumerate(names):
        for second in names[i + 1 :]:
            runs = runs_between(shapes[first], shapes[second])
            if runs:
                seams.append(_covered(Seam(first, second, runs), shapes[second], cover))
    return tuple(seams)


def run_length(run: Sequence[Point]) -> float:
    """Return the length of a run of points."""
    return sum(math.dist(a, b) for a, b in itertools.pairwise(run))


def runs_between(one: BaseGeometry, other: BaseGeometry) -> tuple[tuple[Point, ...], ...]:
    """Return the stretches of the first shape's edge along which the second begins."""
    import shapely

    if not shapely.dwithin(one, other, TOUCH_MM):
        return ()
    along = shapely.intersection(one.boundary, other.buffer(TOUCH_MM))
    lines = [p for p in shapely.get_parts(along) if p.geom_type == "LineString"]
    if not lines:
        return ()
    merged = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines)))
    kept = [_without_stubs(line.coords) for line in merged if line.length >= LEAST_RUN_MM]
    return tuple(sorted(run for run in kept if len(run) > 1))


def _without_stubs(coords: Iterable[tuple[float, float]]) -> tuple[Point, ...]:
    """Return a run without the short ends by which it turns the corner of its field."""
    run = [Point(x, y) for x, y in coords]
    while len(run) > 2 and math.dist(run[0], run[1]) <= 3.0 * TOUCH_MM:
        del run[0]
    while len(run) > 2 and math.dist(run[-2], run[-1]) <= 3.0 * TOUCH_MM:
        del run[-1]
    return tuple(run)


def _covered(seam: Seam, second: BaseGeometry, cover: BaseGeometry) -> Seam:
    """Measure the lining across a seam at even steps, and see whether moving the ridge helps."""
    if cover.is_empty:
        return seam
    spans = [_cover_across(p, n, second, cover) for run in seam.runs for p, n in _steps_along(run)]
    there = [span for span in spans if span is not None]
    if not there:
        return seam
    covered = seam.length_mm * len(there) / len(spans)
    shifts = [(b - a) / 2.0 for a, b in there]
    shift = statistics.median(shifts)
    half = statistics.median((a + b) / 2.0 for a, b in there)
    strays = statistics.median(abs(s - shift) for s in shifts)
    # Lining that only crosses the seam has no middle for the ridge to follow.
    crosses = len(there) < len(spans) / 2.0 or strays > half / 4.0
    if crosses or 2.0 * half > max(run_length(run) for run in seam.runs):
        shift, half = 0.0, statistics.median(min(a, b) for a, b in there)
    return Seam(seam.first, seam.second, seam.runs, covered, shift, half_cover_mm=half)


def _steps_along(run: Sequence[Point]) -> list[tuple[Point, Point]]:
    """Return points some 5 mm apart along a run, ends left out, each with the left normal."""
    import shapely

    line = shapely.LineString(run)
    count = max(3, math.ceil(line.length / 5.0))
    steps = []
    for odd in range(1, 2 * count, 2):
        s = line.length * odd / (2 * count)
        a, b = line.interpolate(max(0.0, s - 0.01)), line.interpolate(min(line.length, s + 0.01))
        size = math.hypot(b.x - a.x, b.y - a.y) or 1.0
        middle = line.interpolate(s)
        normal = Point(-(b.y - a.y) / size, (b.x - a.x) / size)
        steps.append((Point(middle.x, middle.y), normal))
    return steps


def _cover_across(
    at: Point, normal: Point, second: BaseGeometry, cover: BaseGeometry
) -> tuple[float, float] | None:
    """Return how far lining reaches into the first and the second field, None where it does not."""
    import shapely

    probe = shapely.Point(at.x + normal.x * 5 * TOUCH_MM, at.y + normal.y * 5 * TOUCH_MM)
    side = 1.0 if second.covers(probe) else -1.0
    dx, dy = normal.x * side * LOOK_MM, normal.y * side * LOOK_MM
    across = shapely.LineString([(at.x - dx, at.y - dy), (at.x + dx, at.y + dy)])
    for part in shapely.get_parts(across.intersection(cover)):
        if part.is_empty:
            continue
        reach: list[Any] = [across.project(shapely.Point(c)) - LOOK_MM for c in part.coords]
        low, high = min(reach), max(reach)
        if low <= 5 * TOUCH_MM and high >= -5 * TOUCH_MM and high - low > 0.1:
            return max(0.0, -low), max(0.0, high)
    return None
