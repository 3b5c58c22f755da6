"""Cross-sections all along a lining: where both edges of a strand are to be, for its checks."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from livery.describe.entries.lining import Taper
from livery.geometry.measure import length
from livery.geometry.offset import parallel
from livery.geometry.outline import Contour, Cubic, Line, Segment
from livery.geometry.segments import direction, length_to, point_on, segment_length
from livery.layout.free_line import widths_along

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from livery.layout.course import FreeCourse

    Numbers = NDArray[np.float64]

STEP_MM = 1.0
"""How far apart cross-sections are at most, in millimetres (chosen: a strand cannot go wrong
between them unseen). Larger, and a short fault passes."""
FEWEST_IN_A_BEND = 8
"""How many there are at least in one curved segment, however short (chosen). Fewer, and a fault in
a small bend passes."""


class Sections(NamedTuple):
    """Cross-sections of a strand along a line, one a row.

    ``run`` is how far along the line each is, and ``step`` how much of the line it stands
    for, in mm; ``at`` the place on the line, ``way`` the direction of travel there, and
    ``edges`` the places of the strand's two edges.
    """

    run: Numbers
    step: Numbers
    at: Numbers
    way: Numbers
    edges: tuple[Numbers, Numbers]


def sections_beside(
    line: Contour, offsets: Callable[[Numbers], tuple[float | Numbers, float | Numbers]]
) -> Sections:
    """Return the sections of what lies between two distances to the left of a line."""
    run, step, at, way = _walked(line)
    left = np.stack((-way[:, 1], way[:, 0]), axis=1)
    one, other = (np.broadcast_to(o, run.shape)[:, None] for o in offsets(run))
    return Sections(run, step, at, way, (at + one * left, at + other * left))


class StrandLine(NamedTuple):
    """The line that a strand is measured from, and how far left of it its edges run, in mm.

    ``offsets`` gives both for distances along the line.
    """

    line: Contour
    offsets: Callable[[Numbers], tuple[float | Numbers, float | Numbers]]

    @property
    def sections(self) -> Sections:
        """Its sections."""
        return sections_beside(self.line, self.offsets)


def strand_lines(course: FreeCourse, outer: float, inner: float) -> Iterator[StrandLine]:
    """Yield the lines that a strand along points is measured from: one, unless it comes apart."""
    entry, scale, half = course.entry, course.ground.frame.scale, course.width / 2.0
    if entry.widths is not None:
        stations = widths_along(course.path, entry, scale, course.marks)
        yield _swelling(
            course.path, _eased(stations) if entry.curve == "smooth" else _even(stations)
        )
    elif isinstance(entry.ends, Taper):
        run_out, full = scale.to_model(entry.ends.taper), inner - outer
        for line in parallel(course.path, half - (outer + inner) / 2.0):
            last = length(line)
            yield _swelling(
                line, _even([(0.0, 0.0), (run_out, full), (last - run_out, full), (last, 0.0)])
            )
    else:
        yield StrandLine(course.path, lambda _: (half - outer, half - inner))


def _swelling(line: Contour, half: Callable[[Numbers], Numbers]) -> StrandLine:
    return StrandLine(line, lambda run: (half(run), -half(run)))


def _even(stations: Sequence[tuple[float, float]]) -> Callable[[Numbers], Numbers]:
    runs, widths = np.array(stations, dtype=float).T
    return lambda run: np.asarray(np.interp(run, runs, widths)) / 2.0


def _eased(stations: Sequence[tuple[float, float]]) -> Callable[[Numbers], Numbers]:
    runs, widths = np.array(stations, dtype=float).T

    def half(run: Numbers) -> Numbers:
        i = np.clip(np.searchsorted(runs, run, side="right") - 1, 0, len(runs) - 2)
        u = np.clip((run - runs[i]) / np.maximum(runs[i + 1] - runs[i], 1e-12), 0.0, 1.0)
        return np.asarray(widths[i] + (widths[i + 1] - widths[i]) * u * u * (3.0 - 2.0 * u)) / 2.0

    return half


def _walked(line: Contour) -> tuple[Numbers, Numbers, Numbers, Numbers]:
    """Return how far along a line its sections are, what each stands for, where, and which way."""
    runs: list[Numbers] = []
    steps: list[Numbers] = []
    places: list[Numbers] = []
    ways: list[Numbers] = []
    done = 0.0
    for segment in line.segments:
        size = segment_length(segment)
        if size <= 0.0:
            continue
        ts = np.array(list(_parameters(segment, size)))
        within = ts * size if not isinstance(segment, Cubic) else _lengths(segment, ts)
        runs.append(done + within)
        steps.append(np.full(len(ts), size / len(ts)))
        if isinstance(segment, Line):
            ends = np.array((segment.start, segment.end))
            places.append(ends[0] + ts[:, None] * (ends[1] - ends[0]))
            ways.append(np.broadcast_to((ends[1] - ends[0]) / size, (len(ts), 2)))
        else:
            places.append(np.array([point_on(segment, t) for t in ts.tolist()]))
            ways.append(np.array([direction(segment, t) for t in ts.tolist()]))
        done += size
    if not runs:
        none = np.empty((0, 2))
        return np.empty(0), np.empty(0), none, none
    return (
        np.concatenate(runs),
        np.concatenate(steps),
        np.concatenate(places),
        np.concatenate(ways),
    )


def _lengths(cubic: Cubic, ts: Numbers) -> Numbers:
    return np.array([length_to(cubic, t) for t in ts.tolist()])


def _parameters(segment: Segment, size: float) -> Iterator[float]:
    """Yield parameters spread evenly over a segment, none at its ends, where it may turn."""
    count = max(1, math.ceil(size / STEP_MM))
    if not isinstance(segment, Line):
        count = max(count, FEWEST_IN_A_BEND)
    return ((k + 0.5) / count for k in range(count))
