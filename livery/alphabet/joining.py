"""Strokes joined into one clean outline.

Curves stay cubics.  What a joining leaves behind is cleared: specks, doubled nodes,
nodes in the middle of a straight.  Every cubic gets a node where it turns level or
upright, and contours come in a fixed order from a fixed starting node.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from livery.geometry.measure import area
from livery.geometry.outline import Contour, Cubic, Line, Outline, Point, Segment

SPECK = 4.0
"""No contour, and no sliver, this small was drawn on purpose, in square units (chosen). Larger,
and small parts vanish; smaller, and crumbs stay."""

NEAR = 0.6
"""Nodes nearer than this are one node, in units (chosen: below the rounding to whole ones).
Larger, and short sides vanish."""


def join(contours: Iterable[Contour], cuts: Iterable[Contour] = ()) -> Outline:
    """Return the region inside any of ``contours`` and outside all ``cuts``, in whole units."""
    import pathops

    path = _path(contours)
    path.simplify(fix_winding=True)
    taken = _path(cuts)
    if len(list(taken.segments)):
        taken.simplify(fix_winding=True)
        path = pathops.op(path, taken, pathops.PathOp.DIFFERENCE, fix_winding=True)
    return tidy(_contours(path))


def tidy(contours: Iterable[Contour]) -> Outline:
    """Return the contours cleaned, in whole units, right way round and in order."""
    kept = []
    for contour in contours:
        clean = _clean(contour)
        if clean is not None:
            kept.append(_from_lowest(clean))
    kept = _oriented(kept)
    return Outline(tuple(sorted(kept, key=lambda c: (c.start, area(c)))))


def _path(contours: Iterable[Contour]) -> Any:
    import pathops

    path = pathops.Path()
    pen = path.getPen()
    for contour in contours:
        draw(contour, pen)
    return path


def draw(contour: Contour, pen: Any) -> None:
    """Draw a closed contour of lines and cubics with a fontTools pen."""
    pen.moveTo(contour.start)
    last = len(contour.segments) - 1
    for i, s in enumerate(contour.segments):
        if isinstance(s, Cubic):
            pen.curveTo(s.control1, s.control2, s.end)
        elif i < last:
            pen.lineTo(s.end)
    pen.closePath()


def _raised(start: Point, control: Point, end: Point) -> Cubic:
    """Return a quadratic as the cubic that is the same curve."""

    def two_thirds(p: Point) -> Point:
        return Point(p.x + (control.x - p.x) * 2 / 3, p.y + (control.y - p.y) * 2 / 3)

    return Cubic(start, two_thirds(start), two_thirds(end), end)


def _contours(path: Any) -> Iterable[Contour]:
    from fontTools.pens.basePen import decomposeQuadraticSegment

    for drawn in path.contours:
        segments: list[Segment] = []
        start = here = Point(0.0, 0.0)
        for verb, points in drawn.segments:
            ends = [Point(*p) for p in points]
            if verb == "moveTo":
                start = here = ends[0]
            elif verb == "lineTo":
                segments.append(Line(here, ends[0]))
                here = ends[0]
            elif verb == "curveTo":
                segments.append(Cubic(here, *ends))
                here = ends[-1]
            elif verb == "qCurveTo":
                for control, end in decomposeQuadraticSegment(ends):
                    segments.append(_raised(here, Point(*control), Point(*end)))
                    here = segments[-1].end
        if here != start:
            segments.append(Line(here, start))
        if segments:
            yield Contour(tuple(segments))


def _clean(contour: Contour) -> Contour | None:
    segments: list[Segment] = []
    for s in contour.segments:
        segments.extend(_split(s) if isinstance(s, Cubic) else [s])
    segments = _rounded(segments)
    segments = _straightened(segments)
    if len(segments) < 2 or abs(area(Contour(tuple(segments)))) < SPECK:
        return None
    return Contour(tuple(segments))


def _rounded(segments: list[Segment]) -> list[Segment]:
    """Return the segments in whole units, those too short to see closed up."""
    kept = [s for s in segments if math.dist(s.start, s.end) > NEAR or _bows(s)]
    rounded: list[Segment] = []
    for i, s in enumerate(kept):
        start, end = _whole(s.start), _whole(kept[(i + 1) % len(kept)].start)
        if isinstance(s, Cubic):
            rounded.append(Cubic(start, _whole(s.control1), _whole(s.control2), end))
        elif start != end:
            rounded.append(Line(start, end))
    return rounded


def _bows(s: Segment) -> bool:
    return isinstance(s, Cubic) and math.dist(s.start, s.control1) > 5 * NEAR


def _whole(p: Point) -> Point:
    return Point(math.floor(p.x + 0.5), math.floor(p.y + 0.5))


def _straightened(segments: list[Segment]) -> list[Segment]:
    """Return the segments without nodes inside a straight."""
    kept: list[Segment] = []
    for s in segments:
        if isinstance(s, Cubic) and _flat(s):
            s = Line(s.start, s.end)
        if kept and _in_line(kept[-1], s):
            s = Line(kept.pop().start, s.end)
        kept.append(s)
    while len(kept) > 2 and _in_line(kept[-1], kept[0]):
        kept = [Line(kept[-1].start, kept[0].end), *kept[1:-1]]
    return kept


def _flat(s: Cubic) -> bool:
    return all(_off(p, s.start, s.end) < NEAR for p in (s.control1, s.control2))


def _in_line(a: Segment, b: Segment) -> bool:
    if not (isinstance(a, Line) and isinstance(b, Line)):
        return False
    return a.start == b.end or _off(a.end, a.start, b.end) < NEAR


def _off(p: Point, a: Point, b: Point) -> float:
    """Return how far p lies off the line through a and b."""
    length = math.dist(a, b)
    if length == 0.0:
        return math.dist(p, a)
    return abs((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / length


def _split(s: Cubic) -> list[Segment]:
    """Return the cubic with nodes at its level and upright turns, if it lacks them."""
    from fontTools.misc.bezierTools import splitCubicAtT

    turns = sorted(
        t
        for axis in (0, 1)
        for t in _turns(*(p[axis] for p in (s.start, s.control1, s.control2, s.end)))
    )
    if not turns:
        return [s]
    parts = splitCubicAtT(s.start, s.control1, s.control2, s.end, *turns)
    return [Cubic(*(Point(*p) for p in part)) for part in parts]


def _turns(a: float, b: float, c: float, d: float) -> list[float]:
    """Return where a coordinate of a cubic turns back by an amount that can be seen."""
    from fontTools.misc.bezierTools import solveQuadratic

    if min(a, d) - NEAR <= min(b, c) and max(b, c) <= max(a, d) + NEAR:
        return []
    u, v, w = b - a, c - b, d - c
    roots = solveQuadratic(u - 2.0 * v + w, 2.0 * (v - u), u)
    found = []
    for t in roots:
        if 0.01 < t < 0.99:
            r = 1.0 - t
            at = r * r * r * a + 3 * r * r * t * b + 3 * r * t * t * c + t * t * t * d
            if not min(a, d) - NEAR / 2 <= at <= max(a, d) + NEAR / 2:
                found.append(t)
    return found


def _from_lowest(contour: Contour) -> Contour:
    """Return the contour started from its lowest node, the leftmost of them."""
    at = min(range(len(contour.segments)), key=lambda i: contour.segments[i].start[::-1])
    return Contour((*contour.segments[at:], *contour.segments[:at]))


def _oriented(contours: list[Contour]) -> list[Contour]:
    """Return outer contours anticlockwise and holes clockwise."""
    oriented = []
    for contour in contours:
        depth = sum(_holds(other, contour.start) for other in contours if other is not contour)
        outer = depth % 2 == 0
        oriented.append(contour if (area(contour) > 0) == outer else contour.reversed())
    return oriented


def _holds(contour: Contour, p: Point) -> bool:
    """Return whether a contour goes round a point that is not on it."""
    inside = False
    x, y = p.x + 0.137, p.y + 0.211  # nodes are whole units: never level with one
    line = flattened(contour)
    for a, b in zip(line, [*line[1:], line[0]], strict=True):
        if (a.y > y) != (b.y > y) and x < a.x + (y - a.y) * (b.x - a.x) / (b.y - a.y):
            inside = not inside
    return inside


def flattened(contour: Contour, steps: int = 12) -> list[Point]:
    """Return points along a contour, ``steps`` to each cubic."""
    points: list[Point] = []
    for s in contour.segments:
        points.append(s.start)
        if isinstance(s, Cubic):
            for i in range(1, steps):
                t = i / steps
                r = 1.0 - t
                w = (r * r * r, 3 * r * r * t, 3 * r * t * t, t * t * t)
                p = (s.start, s.control1, s.control2, s.end)
                points.append(
                    Point(
                        sum(k * q.x for k, q in zip(w, p, strict=True)),
                        sum(k * q.y for k, q in zip(w, p, strict=True)),
                    )
                )
    return points
