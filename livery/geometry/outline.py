"""The plain values every other part works on: segments, contours and outlines.

Lengths are millimetres; x runs right and y runs up.  Every value is immutable
and hashable.  An arc is kept as its two ends and its *bulge*, the tangent of a
quarter of the angle swept: it can then never disagree with its own ends, and
moving, turning, scaling or mirroring leaves it an arc.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from fontTools.misc.transform import Identity, Transform


class Point(NamedTuple):
    """A place on a panel, in millimetres."""

    x: float
    y: float


class Line(NamedTuple):
    """A straight segment."""

    start: Point
    end: Point

    def reversed(self) -> Line:
        """Return the same segment run the other way."""
        return Line(self.end, self.start)

    def transformed(self, transform: Transform) -> tuple[Segment, ...]:
        """Return the segment carried by an affine transform."""
        return (Line(carry(transform, self.start), carry(transform, self.end)),)


class Arc(NamedTuple):
    """A circular arc of less than a full turn.

    ``bulge`` is tan(sweep / 4): positive where the arc turns anticlockwise, 1 for
    a half circle.  It is never 0; a flat arc is a :class:`Line`.
    """

    start: Point
    end: Point
    bulge: float

    @property
    def sweep(self) -> float:
        """Signed angle swept, in radians; positive is anticlockwise."""
        return 4.0 * math.atan(self.bulge)

    @property
    def centre(self) -> Point:
        """Centre of the circle."""
        dx, dy = self.end.x - self.start.x, self.end.y - self.start.y
        # Distance from the chord's middle to the centre, along the chord's left normal.
        reach = (1.0 - self.bulge * self.bulge) / (4.0 * self.bulge)
        return Point(
            (self.start.x + self.end.x) / 2.0 - dy * reach,
            (self.start.y + self.end.y) / 2.0 + dx * reach,
        )

    @property
    def radius(self) -> float:
        """Radius of the circle, in millimetres, always positive."""
        chord = math.hypot(self.end.x - self.start.x, self.end.y - self.start.y)
        return chord * (1.0 + self.bulge * self.bulge) / (4.0 * abs(self.bulge))

    @property
    def middle(self) -> Point:
        """The point half way along the arc."""
        dx, dy = self.end.x - self.start.x, self.end.y - self.start.y
        return Point(
            (self.start.x + self.end.x) / 2.0 + dy * self.bulge / 2.0,
            (self.start.y + self.end.y) / 2.0 - dx * self.bulge / 2.0,
        )

    def reversed(self) -> Arc:
        """Return the same arc run the other way."""
        return Arc(self.end, self.start, -self.bulge)

    def transformed(self, transform: Transform) -> tuple[Segment, ...]:
        """Return the arc carried by an affine transform.

        A similarity gives an arc again; a transform that stretches one way more
        than the other gives the cubics that follow the resulting ellipse.
        """
        xx, xy, yx, yy = transform[:4]
        size = math.hypot(xx, xy)
        turns = abs(xx - yy) + abs(xy + yx) <= 1e-9 * size
        mirrors = abs(xx + yy) + abs(xy - yx) <= 1e-9 * size
        if turns or mirrors:
            bulge = -self.bulge if mirrors else self.bulge
            return (Arc(carry(transform, self.start), carry(transform, self.end), bulge),)
        return tuple(s for cubic in self.as_cubics() for s in cubic.transformed(transform))

    def as_cubics(self) -> tuple[Cubic, ...]:
        """Return cubics along the arc, one for each eighth of a turn or less.

        The radial error is below 4e-6 of the radius (the usual 4/3 tan(a/4) handle).
        """
        count = max(1, math.ceil(abs(self.sweep) / (math.pi / 4) - 1e-9))
        step = self.sweep / count
        handle = 4.0 / 3.0 * math.tan(step / 4.0)
        c, r = self.centre, self.radius
        first = math.atan2(self.start.y - c.y, self.start.x - c.x)
        cubics = []
        for i in range(count):
            a, b = first + i * step, first + (i + 1) * step
            p = self.start if i == 0 else Point(c.x + r * math.cos(a), c.y + r * math.sin(a))
            q = self.end if i == count - 1 else Point(c.x + r * math.cos(b), c.y + r * math.sin(b))
            cubics.append(
                Cubic(
                    p,
                    Point(p.x - handle * r * math.sin(a), p.y + handle * r * math.cos(a)),
                    Point(q.x + handle * r * math.sin(b), q.y - handle * r * math.cos(b)),
                    q,
                )
            )
        return tuple(cubics)


class Cubic(NamedTuple):
    """A cubic Bezier segment."""

    start: Point
    control1: Point
    control2: Point
    end: Point

    def reversed(self) -> Cubic:
        """Return the same curve run the other way."""
        return Cubic(self.end, self.control2, self.control1, self.start)

    def transformed(self, transform: Transform) -> tuple[Segment, ...]:
        """Return the curve carried by an affine transform."""
        points = (self.start, self.control1, self.control2, self.end)
        return (Cubic(*(carry(transform, p) for p in points)),)


Segment = Line | Arc | Cubic


@dataclass(frozen=True, slots=True)
class Contour:
    """A run of segments, each starting exactly where the one before it ended."""

    segments: tuple[Segment, ...]
    closed: bool = True

    @property
    def start(self) -> Point:
        """Where the contour begins."""
        return self.segments[0].start

    @property
    def end(self) -> Point:
        """Where the contour ends; its start again when it is closed."""
        return self.segments[-1].end

    @property
    def nodes(self) -> tuple[Point, ...]:
        """The points between segments, an open contour's last end included."""
        starts = tuple(s.start for s in self.segments)
        return starts if self.closed else (*starts, self.end)

    def reversed(self) -> Contour:
        """Return the same contour run the other way."""
        return Contour(tuple(s.reversed() for s in reversed(self.segments)), self.closed)

    def transformed(self, transform: Transform) -> Contour:
        """Return the contour carried by an affine transform; a mirror keeps the direction of travel."""
        return _carried(self, transform)

    def plain(self) -> tuple[object, ...]:
        """Return all that it holds in one row of numbers: other contours have other rows."""
        row: list[object] = [self.closed]
        for s in self.segments:
            if isinstance(s, Line):
                row += (2, *s.start, *s.end)
            elif isinstance(s, Arc):
                row += (3, *s.start, *s.end, s.bulge)
            else:
                row += (4, *s.start, *s.control1, *s.control2, *s.end)
        return tuple(row)


@dataclass(frozen=True, slots=True)
class Outline:
    """A region: outer contours anticlockwise, holes clockwise, none crossing another."""

    contours: tuple[Contour, ...]

    def __iter__(self) -> Iterator[Contour]:
        return iter(self.contours)

    def __bool__(self) -> bool:
        return bool(self.contours)

    @property
    def node_count(self) -> int:
        """How many nodes its contours have together."""
        return sum(len(c.segments) for c in self.contours)

    def transformed(self, transform: Transform) -> Outline:
        """Return the outline carried by an affine transform; a mirrored one is turned right way round again."""
        xx, xy, yx, yy = transform[:4]
        moved = (c.transformed(transform) for c in self.contours)
        if xx * yy - xy * yx < 0:
            moved = (c.reversed() for c in moved)
        return Outline(tuple(moved))


@lru_cache(maxsize=2048)
def _carried(contour: Contour, transform: Transform) -> Contour:
    """Return a contour carried by an affine transform; like vehicles have the same ones."""
    return Contour(
        tuple(t for s in contour.segments for t in s.transformed(transform)), contour.closed
    )


EMPTY = Outline(())


def carry(transform: Transform, point: Point) -> Point:
    """Return ``point`` carried by an affine transform."""
    xx, xy, yx, yy, dx, dy = transform
    return Point(xx * point.x + yx * point.y + dx, xy * point.x + yy * point.y + dy)


def translated(outline: Outline, dx: float, dy: float) -> Outline:
    """Return the outline moved.

    >>> square = Outline((chain([Point(0, 0), Point(2, 0), Point(2, 2), Point(0, 2)]),))
    >>> next(iter(translated(square, 5.0, 1.0))).start
    Point(x=5.0, y=1.0)
    """
    return outline.transformed(Identity.translate(dx, dy))


def chain(points: Iterable[Point], *, closed: bool = True) -> Contour:
    """Return the contour of straight lines through ``points``, leaving out repeats."""
    kept: list[Point] = []
    for p in points:
        if not kept or p != kept[-1]:
            kept.append(Point(*p))
    if closed and len(kept) > 1 and kept[0] == kept[-1]:
        kept.pop()
    ends = [*kept[1:], kept[0]] if closed else kept[1:]
    return Contour(tuple(Line(a, b) for a, b in zip(kept, ends, strict=False)), closed)
