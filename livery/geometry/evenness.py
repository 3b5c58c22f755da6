"""Whether two lines keep their distance: measured by Shapely, not by the code that drew them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from livery.geometry.flatten import flatten
from livery.geometry.outline import Contour, Point
from livery.geometry.segments import direction
from livery.geometry.shapes import turn_between

if TYPE_CHECKING:
    import numpy as np
    import shapely
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

WITHIN_MM = 0.01
"""Millimetres a distance may be out (chosen: the bound promised of every line). Larger, and uneven lines
pass."""
CHORD_MM = 0.002
"""Millimetres an edge may be off its chords where distances are measured (chosen: a fifth of
``WITHIN_MM``). Larger, and even lines on curves are called uneven."""
STEP_MM = 4.0
"""Millimetres apart at which straight sides are measured (chosen: they change nothing between). Larger, and
a side that is crossed between is missed."""
CORNER = math.radians(2.0)
"""Radians: a smaller turn is no corner (chosen). Larger, and distances at true corners are called wrong."""
BENT = 1.1
"""Times as long as between their tangents a mitre may be between curved sides (measured on the gallery of
shapes). Smaller, and mitres of curves are called uneven."""


class Uneven(NamedTuple):
    """A place where the distance between two lines is wrong."""

    at: Point
    distance_mm: float


class _Corners(NamedTuple):
    """Corners of lines: where they are, and how many times the distance their mitre is long."""

    at: Numbers
    mitre: Numbers


class Measured:
    """A line made ready to be measured to, once for both its neighbours."""

    def __init__(self, contours: Sequence[Contour]) -> None:
        import shapely

        self.contours = tuple(contours)
        self.line = _line(contours)
        self.places: Numbers = shapely.get_coordinates(shapely.segmentize(self.line, STEP_MM))
        self.points: Any = shapely.points(self.places)
        shapely.prepare(self.line)


def uneven(outer: Measured, inner: Measured, width_mm: float) -> Uneven | None:
    """Return the place where two lines are farthest from keeping their distance; None if they do.

    Both run with the band between them on the left of ``outer``.  A sharp corner may be
    mitred: there the band is wider than its width, by as much as its two sides make it.
    """
    import shapely

    if not inner.contours:
        return Uneven(outer.contours[0].start, 0.0) if outer.contours else None
    if not outer.contours:
        return Uneven(inner.contours[0].start, 0.0)
    found = []
    # What points outward is mitred on the inner line, what points inward on the outer one.
    for one, other, mitred, left in ((outer, inner, inner, True), (inner, outer, outer, False)):
        near: Any = shapely.dwithin(other.line, one.points, width_mm - WITHIN_MM)
        odd = near | ~shapely.dwithin(other.line, one.points, width_mm + WITHIN_MM)
        if not odd.any():
            continue
        places = one.places[odd]
        away = shapely.distance(one.points[odd], other.line)
        out = abs(away - width_mm)
        corners = _corners(mitred.contours, left=left)
        out[away <= _allowed(places, other.line, corners, width_mm) + WITHIN_MM] = 0.0
        out[near[odd]] = abs(away - width_mm)[near[odd]]
        worst = int(out.argmax())
        if out[worst] > WITHIN_MM:
            found.append((float(out[worst]), places[worst], float(away[worst])))
    if not found:
        return None
    _, place, distance = max(found, key=lambda f: f[0])
    return Uneven(Point(*map(float, place)), distance)


def _allowed(
    places: Numbers, to: shapely.MultiLineString, corners: _Corners, width_mm: float
) -> Numbers:
    """Return how far places may be from a line: the mitre's length where a corner is nearest."""
    import numpy as np
    import shapely

    if not len(corners.at):
        return np.full(len(places), width_mm)
    feet = shapely.get_coordinates(
        shapely.line_interpolate_point(to, shapely.line_locate_point(to, shapely.points(places)))
    )
    tree = shapely.STRtree(np.asarray(shapely.points(corners.at)))
    nearest = tree.nearest(shapely.points(feet))
    at_corner = np.hypot(*(feet - corners.at[nearest]).T) < WITHIN_MM
    longest: Numbers = np.where(at_corner, corners.mitre[nearest] * width_mm, width_mm)
    return longest


def _line(contours: Iterable[Contour]) -> shapely.MultiLineString:
    import shapely

    lines = []
    for contour in contours:
        points = flatten(contour, CHORD_MM)
        lines.append([*points, points[0]] if contour.closed else points)
    return shapely.MultiLineString(lines)


def _corners(contours: Iterable[Contour], *, left: bool) -> _Corners:
    """Return the corners that turn left, or right, with the length of their mitres."""
    import numpy as np

    at: list[Point] = []
    mitres: list[float] = []
    for contour in contours:
        segments = contour.segments
        for i, after in enumerate(segments):
            if i == 0 and not contour.closed:
                continue
            turn = turn_between(direction(segments[i - 1], 1.0), direction(after, 0.0))
            if (turn > CORNER) if left else (turn < -CORNER):
                at.append(after.start)
                mitres.append(BENT / max(math.cos(turn / 2.0), 1e-6))
    return _Corners(np.array(at, dtype=float).reshape(-1, 2), np.array(mitres, dtype=float))
