"""Path text of SVG, read by fontTools: its contours, and the ends of its runs.

svgelements reads the same text, and takes several times as long for it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from typing import Any, NamedTuple

import numpy as np
from fontTools.misc.transform import Identity, Transform

from livery.prove.contour import Points, ReadContour, arc_points, cubic_points

_TOUCH_MM = 0.002
"""Ends nearer than this meet, in millimetres (chosen: the writer's last figure each way). Larger,
and an open line passes as closed."""

_XY = tuple[float, float]


class Run(NamedTuple):
    """A line or curve of a path: what draws its points from its start, and its end."""

    start: _XY
    end: _XY
    points: Callable[[], Points] | None = None
    """What gives its points after the start; None for a straight line."""


class Subpath(NamedTuple):
    """Where a path begins, and its runs from there."""

    start: _XY
    runs: list[Run]
    closed: bool


@dataclass
class PathText:
    """What a path draws, as its text says it; a pen of fontTools.

    Words are measured by the ends of their runs, so the points of curves are found when asked for.
    """

    subpaths: list[Subpath] = field(default_factory=list)

    @property
    def runs(self) -> Iterator[Run]:
        """All its runs, one after another."""
        return (run for subpath in self.subpaths for run in subpath.runs)

    @property
    def ends(self) -> list[_XY]:
        """Where each move and each run ends."""
        return [xy for s in self.subpaths for xy in (s.start, *(run.end for run in s.runs))]

    @cached_property
    def contours(self) -> tuple[ReadContour, ...]:
        """Its contours, in fine chords."""
        return tuple(map(_contour, self.subpaths))

    def carried(self, onto: Transform) -> PathText:
        """Return it carried by a transform."""
        if onto == Identity:
            return self
        at = onto.transformPoint
        return PathText(
            [
                Subpath(at(start), [_carried(run, onto) for run in runs], closed)
                for start, runs, closed in self.subpaths
            ]
        )

    def moveTo(self, pt: _XY) -> None:  # noqa: N802 (the names of a pen)
        """Begin a contour."""
        self.subpaths.append(Subpath(pt, [], closed=False))

    def lineTo(self, pt: _XY) -> None:  # noqa: N802
        """Draw a line."""
        self._add(pt, None)

    def curveTo(self, *points: _XY) -> None:  # noqa: N802
        """Draw a cubic."""
        self._add(points[-1], partial(cubic_points, (self._at, *points)))

    def qCurveTo(self, handle: _XY, end: _XY) -> None:  # noqa: N802
        """Draw a quadratic."""
        self._add(end, partial(_quadratic_points, self._at, handle, end))

    def arcTo(  # noqa: N802, PLR0917
        self, rx: float, ry: float, turned: float, large: bool, positive: bool, end: _XY
    ) -> None:
        """Draw an arc of a circle exactly, of an ellipse by cubics."""
        if rx == ry:
            bulge = _bulge(math.dist(self._at, end), rx, large=large)
            bulge = bulge if positive else -bulge
            self._add(end, partial(arc_points, self._at, end, bulge))
        else:
            arc = (self._at, rx, ry, turned, int(large), int(positive), end)
            self._add(end, partial(_elliptical_points, arc))

    def closePath(self) -> None:  # noqa: N802
        """End a contour that is closed."""
        self.subpaths[-1] = self.subpaths[-1]._replace(closed=True)

    def endPath(self) -> None:  # noqa: N802
        """End a contour that is open."""

    @property
    def _at(self) -> _XY:
        start, runs, _ = self.subpaths[-1]
        return runs[-1].end if runs else start

    def _add(self, end: _XY, points: Callable[[], Points] | None) -> None:
        self.subpaths[-1].runs.append(Run(self._at, end, points))


def _carried(run: Run, onto: Transform) -> Run:
    points = None if run.points is None else partial(_carried_points, run.points, onto)
    return Run(onto.transformPoint(run.start), onto.transformPoint(run.end), points)


def _carried_points(points: Callable[[], Points], onto: Transform) -> Points:
    return np.array(onto.transformPoints(points().tolist()))


def _contour(subpath: Subpath) -> ReadContour:
    found: list[Sequence[float]] = [subpath.start]
    for run in subpath.runs:
        if run.points is None:
            found.append(run.end)
        else:
            found += run.points().tolist()
    every = np.array(found, dtype=float)
    # A contour that only happens to end where it began is not closed: a cutter lifts there.
    returns = len(every) > 2 and float(np.hypot(*(every[0] - every[-1]))) <= _TOUCH_MM
    return ReadContour(every[:-1] if subpath.closed and returns else every, subpath.closed)


def _quadratic_points(a: _XY, b: _XY, c: _XY) -> Points:
    """Return points along a quadratic after its start, as along the same cubic."""
    first = ((a[0] + 2 * b[0]) / 3, (a[1] + 2 * b[1]) / 3)
    last = ((c[0] + 2 * b[0]) / 3, (c[1] + 2 * b[1]) / 3)
    return cubic_points((a, first, last, c))


def _elliptical_points(arc: tuple[Any, ...]) -> Points:
    """Return points along the arc of an ellipse after its start, by the cubics of svgelements."""
    import svgelements

    cubics = svgelements.Arc(*arc).as_cubic_curves()
    ends = [(c.start, c.control1, c.control2, c.end) for c in cubics]
    return np.vstack([cubic_points([(p.x, p.y) for p in controls]) for controls in ends])


def _bulge(chord: float, radius: float, *, large: bool) -> float:
    """Return the bulge of an arc; a circle too small for its chord is made larger (SVG 2, 9.5.1)."""
    half = math.asin(min(1.0, chord / (2.0 * radius))) if radius else 0.0
    return math.tan((math.pi - half if large and half else half) / 2.0)


def path_text(text: str) -> PathText:
    """Return what path text draws.

    Raises:
        ValueError: it is no path.
        IndexError: it is cut short.
    """
    from fontTools.svgLib.path.parser import parse_path

    read = PathText()
    parse_path(text, read)
    return read
