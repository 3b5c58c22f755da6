"""Free lines: the path of a line that runs between points, straight, in an arc or smoothly."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

from fontTools.misc.transform import Identity

from livery.describe.entries.lining import Lining, Taper
from livery.findings import Finding, LiveryError, attached_to, fault
from livery.geometry.measure import length, point_at
from livery.geometry.offset import parallel, stroke
from livery.geometry.outline import Contour, Line, Outline, Point, chain
from livery.geometry.ribbon import Station, ribbon, tapered
from livery.geometry.segments import arc_through, nearest_parameter, segment_length, trimmed
from livery.geometry.smooth_path import smooth_path, way_along
from livery.layout.fit import SAME_MM
from livery.layout.frame import Frame
from livery.units import Scale

if TYPE_CHECKING:
    from livery.describe.entries.lettering import Words
    from livery.layout.rolled import Rolled


def paths_of(entry: Lining, frame: Frame, key: str) -> tuple[Contour, ...]:
    """Return the middle line of each of a free lining's lines, the first as described."""
    with attached_to(f"{key}.along"):
        paths = _side_by_side(entry, frame, key)
    if entry.all_round is None:
        return paths
    centre = frame.point(entry.all_round.centre)
    step = math.tau / entry.all_round.count
    turns = (
        Identity.translate(*centre).rotate(i * step).translate(-centre.x, -centre.y)
        for i in range(entry.all_round.count)
    )
    return tuple(p.transformed(t) for t in turns for p in paths)


def _refuse(key: str, **asked: bool) -> None:
    """Raise LiveryError for lines that would not lie as far apart as written on their sheet."""
    for name in (name for name, is_so in asked.items() if is_so):
        remedy = "Draw each line along points of its own."
        raise LiveryError([Finding("lining", _REFUSED[name], remedy, key=f"{key}.{name}")])


_REFUSED = {
    "fan": "on a cone, lines side by side do not fan out",
    "spacing": "on gores, lines side by side keep their spacing only along one height",
    "all_round": "on gores, a line is not repeated round a centre",
}


def _side_by_side(entry: Lining, frame: Frame, key: str) -> tuple[Contour, ...]:
    assert entry.along is not None
    if frame.rolled is not None:
        _refuse(key, fan=entry.fan is not None)
        return _over_barrel(entry, frame, frame.rolled)
    if frame.gored is not None:  # drawn round the surface, and carried to each gore later
        rises = len({up for _, up in entry.along}) > 1
        _refuse(key, spacing=entry.count > 1 and rises, all_round=entry.all_round is not None)
        points = [Point(frame.x(x), frame.y(y)) for x, y in entry.along]
    else:
        points = [frame.point(p) for p in entry.along]
    if entry.count == 1 or entry.spacing is None:
        return (path_through(points, entry),)
    first = frame.scale.to_model(entry.spacing)
    last = first if entry.fan is None else frame.scale.to_model(entry.fan)
    base = path_through(points, entry)
    return tuple(
        path_through(_beside(points, base, i * first, i * last), entry) for i in range(entry.count)
    )


def _over_barrel(entry: Lining, frame: Frame, rolled: Rolled) -> tuple[Contour, ...]:
    """Return the lines on a tapered barrel: drawn over stations and girths, then developed."""
    assert entry.along is not None
    heights, ways = {p[1] for p in entry.along}, (entry.leave, entry.arrive)
    if len(heights) == 1 and entry.curve == "straight" and ways == (None, None):
        stations = [frame.x(p[0]) for p in entry.along]
        require_no_repeat([Point(station, 0.0) for station in stations], entry)
        base = rolled.line(heights.pop(), stations[0], stations[-1])
    else:
        places = [rolled.over(frame.x(p[0]), p[1]) for p in entry.along]
        base = rolled.laid(path_through(places, entry))
    step = 0.0 if entry.spacing is None else frame.scale.to_model(entry.spacing)
    return tuple(p for i in range(entry.count) for p in parallel(base, -i * step))


def path_through(points: Sequence[Point], entry: Lining | Words) -> Contour:
    """Return the path through points in the way a lining, or words along it, ask for."""
    require_no_repeat(points, entry)
    if (
        (entry.curve == "smooth" and len(points) > 2)
        or entry.leave is not None
        or entry.arrive is not None
    ):
        return smooth_path(points, entry.leave, entry.arrive)
    if entry.curve == "arc":
        return _arc(*points, in_two=getattr(entry, "widths", None) is not None)
    return chain(points, closed=False)


def require_no_repeat(points: Sequence[Point], entry: Lining | Words) -> None:
    """Raise LiveryError where two points that follow each other, or an arc's ends, are the same."""
    pairs = [
        *pairwise(range(len(points))),
        *([(0, len(points) - 1)] if entry.curve == "arc" else []),
    ]
    for a, b in pairs:
        if math.dist(points[a], points[b]) < SAME_MM:
            message = f"points {a + 1} and {b + 1} are the same"
            raise fault("repeated-point", message, "Leave one out.")


def _arc(start: Point, middle: Point, end: Point, *, in_two: bool) -> Contour:
    """Return the arc through three points; in two where the line has a width at each of them."""
    arc = arc_through(start, middle, end)
    if not in_two:
        return Contour((arc,), closed=False)
    if isinstance(arc, Line):
        return chain((start, middle, end), closed=False)
    t = nearest_parameter(arc, middle)
    return Contour((trimmed(arc, 0.0, t), trimmed(arc, t, 1.0)), closed=False)


def _beside(points: Sequence[Point], base: Contour, first: float, last: float) -> list[Point]:
    """Return points moved to the right of travel, from ``first`` to ``last`` mm along the line."""
    moved = []
    for p, run in zip(points, _runs(base, points), strict=True):
        along = point_at(base, run)[1]
        away = first + (last - first) * run / length(base)
        moved.append(Point(p.x + away * along.y, p.y - away * along.x))
    return moved


def _runs(path: Contour, points: Sequence[Point]) -> list[float]:
    """Return how far along a path each of its own points is: an arc passes one between its ends."""
    runs = _node_runs(path)
    return runs if len(runs) == len(points) else [way_along(path, p) for p in points]


def _node_runs(path: Contour) -> list[float]:
    """Return how far along a path each of its nodes is."""
    return [0.0, *accumulate(segment_length(s) for s in path.segments)]


def drawn_line(path: Contour, width: float, entry: Lining, scale: Scale) -> Outline:
    """Return the region a line of one width covers, its ends as the lining asks."""
    if isinstance(entry.ends, Taper):
        run_out = scale.to_model(entry.ends.taper)
        return tapered(path, width, run_out, run_out)
    return stroke(path, width, entry.ends)


def swelling_line(
    path: Contour, entry: Lining, scale: Scale, marks: Sequence[Point] = ()
) -> Outline:
    """Return the region of a line whose width is given at each of its points.

    ``marks`` are those points, where the path has others of its own between them.
    """
    stations = widths_along(path, entry, scale, marks)
    return ribbon(path, stations, "smooth" if entry.curve == "smooth" else "even")


def widths_along(
    path: Contour, entry: Lining, scale: Scale, marks: Sequence[Point] = ()
) -> list[Station]:
    """Return how far along a line each of its points is, and its width there, in mm."""
    assert entry.widths is not None
    runs = [way_along(path, p) for p in marks] if marks else _node_runs(path)
    return [Station(r, scale.to_model(w)) for r, w in zip(runs, entry.widths, strict=True)]
