"""Contours parted into groups that lie apart, and each group brought to one place.

What lies apart can be worked out apart, and what has the same shape only once, wherever it lies:
the windows of a carriage, the letters of a name.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from livery.geometry.measure import turns_round
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.parts import parts_of

PER_MM = 2.0**34
"""Steps a millimetre to which a group's places from its first point are rounded: 6e-11 mm (chosen).

The last digits of a place differ with where a shape lies; finer than this nothing is settled. Fewer,
and shapes change when they are moved; more, and one shape in two places is worked out twice.
"""
MOST_CROSSINGS = 200_000
"""How many segments may be looked at for groups within others; beyond, all is taken as
one group (chosen, to bound the time). Only the time changes with it."""


class Group(NamedTuple):
    """Contours that lie apart from all others, and how often those wind round them."""

    contours: tuple[Contour, ...]
    times: int


def groups_apart(contours: Sequence[Contour], reach_mm: float) -> list[Group]:
    """Return contours in groups whose segments' boxes lie further than ``reach_mm`` apart."""
    whole = [Group(tuple(contours), 0)]
    if len(contours) < 2 or not all(_is_closed(c) for c in contours):
        return whole
    boxes = [[_box(s) for s in c.segments] for c in contours]
    label = _labels(boxes, reach_mm)
    if len(set(label)) == 1:
        return whole
    groups: dict[int, list[int]] = {}
    for number, group in enumerate(label):
        groups.setdefault(group, []).append(number)
    round_each = _may_lie_round(groups, contours, [_joined(b) for b in boxes])
    if sum(len(contours[i].segments) for others in round_each for i in others) > MOST_CROSSINGS:
        return whole
    return [
        Group(
            tuple(contours[i] for i in own),
            sum(turns_round(contours[i], contours[own[0]].start) for i in others),
        )
        for own, others in zip(groups.values(), round_each, strict=True)
    ]


def parts_apart(outline: Outline, reach_mm: float) -> list[Outline]:
    """Return the parts of a proper outline, those joined whose boxes lie within ``reach_mm``.

    The order is that of the first part of each.
    """
    parts = parts_of(outline)
    if len(parts) < 2:
        return [outline] if parts else []
    boxes = [[_box(s) for c in part for s in c.segments] for part in parts]
    joined: dict[int, list[Contour]] = {}
    for first, part in zip(_labels(boxes, reach_mm), parts, strict=True):
        joined.setdefault(first, []).extend(part.contours)
    return [Outline(tuple(contours)) for contours in joined.values()]


def proper_apart(outlines: Sequence[Outline], reach_mm: float) -> list[list[Outline]]:
    """Return outlines in groups whose boxes lie further than ``reach_mm`` apart, in their order."""
    found = [o for o in outlines if o]
    if len(found) < 2:
        return [[o] for o in found]
    groups: dict[int, list[Outline]] = {}
    for first, outline in zip(
        _labels([[_joined([_box(s) for c in o for s in c.segments])] for o in found], reach_mm),
        found,
        strict=True,
    ):
        groups.setdefault(first, []).append(outline)
    return list(groups.values())


def _is_closed(contour: Contour) -> bool:
    return contour.segments[-1].end == contour.segments[0].start


Box = tuple[float, float, float, float]


def _box(segment: Segment) -> Box:
    """Return an upright box that holds a segment."""
    if isinstance(segment, Line):
        (ax, ay), (bx, by) = segment.start, segment.end
        return min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)
    if isinstance(segment, Cubic):
        xs, ys = zip(*segment, strict=True)
        return min(xs), min(ys), max(xs), max(ys)
    (ax, ay), (bx, by), h = segment.start, segment.end, segment.bulge / 2.0
    # The rectangle on the chord as high as the arc; of more than a half circle, a wider one.
    dx, dy = (by - ay) * h, (ax - bx) * h
    bulge = abs(segment.bulge)
    if bulge > 1.0:
        wide = (bulge + 1.0 / bulge) / 4.0 - 0.5
        wx, wy = (bx - ax) * wide, (by - ay) * wide
        ax, ay, bx, by = ax - wx, ay - wy, bx + wx, by + wy
    cx, cy, ex, ey = ax + dx, ay + dy, bx + dx, by + dy
    return min(ax, bx, cx, ex), min(ay, by, cy, ey), max(ax, bx, cx, ex), max(ay, by, cy, ey)


def _joined(boxes: Sequence[Box]) -> Box:
    left, bottom, right, top = zip(*boxes, strict=True)
    return min(left), min(bottom), max(right), max(top)


def _labels(boxes: Sequence[Sequence[Box]], reach_mm: float) -> list[int]:
    """Return for each contour the first one it is joined to, by boxes nearer than ``reach_mm``."""
    import numpy as np
    import shapely

    flat = np.array([b for own in boxes for b in own], dtype=float)
    owner = np.repeat(np.arange(len(boxes)), [len(own) for own in boxes])
    half = reach_mm / 2.0
    flat += np.array([-half, -half, half, half])
    shapes = shapely.box(*flat.T)
    one, other = shapely.STRtree(shapes).query(shapes)
    # Not by np.unique, which imports masked arrays: 10 ms of every command.
    pairs = sorted(set(zip(owner[one].tolist(), owner[other].tolist(), strict=True)))
    first = list(range(len(boxes)))

    def root(i: int) -> int:
        while first[i] != i:
            i = first[i]
        return i

    for i, j in pairs:
        low, high = sorted((root(i), root(j)))
        first[high] = low
    return [root(i) for i in range(len(boxes))]


def _may_lie_round(
    groups: Mapping[int, Sequence[int]], contours: Sequence[Contour], extents: Sequence[Box]
) -> list[list[int]]:
    """Return for each group the contours of others whose box its first point is in."""
    import numpy as np

    left, bottom, right, top = np.array(extents).T
    found = []
    for own in groups.values():
        x, y = contours[own[0]].start
        near = np.flatnonzero((left <= x) & (x <= right) & (bottom <= y) & (y <= top)).tolist()
        found.append([i for i in near if i not in own])
    return found


class Placed(NamedTuple):
    """Contours moved to start at the origin, and how to move results back."""

    contours: tuple[Contour, ...]
    origin: Point
    points: dict[Point, Point]

    def put_back(self, contour: Contour) -> Contour:
        """Return a contour made from these where they lie; their own points exactly as they were."""
        return Contour(
            tuple([_each_point(s, self._point_back) for s in contour.segments]), contour.closed
        )

    def _point_back(self, p: Point) -> Point:
        own = self.points.get(p)
        return own or Point(p.x + self.origin.x, p.y + self.origin.y)


def from_first_point(contours: Sequence[Contour]) -> Placed:
    """Return contours measured from their first point, so that a shape is the same everywhere."""
    return _placed(tuple(contours))


@lru_cache(maxsize=256)
def _placed(contours: tuple[Contour, ...]) -> Placed:
    ox, oy = contours[0].start
    points: dict[Point, Point] = {}
    last = placed = Point(0.0, 0.0)

    def local(p: Point) -> Point:
        nonlocal last, placed
        if p is not last or not points:  # a segment begins with the very point the last ended with
            last = p
            x, y = p
            placed = Point(round((x - ox) * PER_MM) / PER_MM, round((y - oy) * PER_MM) / PER_MM)
            points[placed] = p
        return placed

    moved = tuple(
        [Contour(tuple([_each_point(s, local) for s in c.segments]), c.closed) for c in contours]
    )
    return Placed(moved, Point(ox, oy), points)


def _each_point(segment: Segment, change: Callable[[Point], Point]) -> Segment:
    """Return a segment with each of its points changed, a line and an arc as what they are."""
    if isinstance(segment, Line):
        return Line(change(segment.start), change(segment.end))
    if isinstance(segment, Arc):
        return Arc(change(segment.start), change(segment.end), segment.bulge)
    return Cubic(*map(change, (segment.start, segment.control1, segment.control2, segment.end)))
