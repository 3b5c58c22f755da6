"""A shape of four straight sides from the lengths of its sides and of a diagonal or both.

A diagonal parts it into two triangles, and three lengths give a triangle: the corner away from the
diagonal lies where two circles cross.  The fifth length settles the shape; a sixth checks it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import NamedTuple

from livery.geometry.outline import Point

_STEP_MM = 1e-4
"""The step by which a length is changed to see what follows, in millimetres (chosen: a thousandth of
what is measured). Larger, and the adjusted corners are out by more than a rounding."""
_ROUNDS = 8
"""Rounds of the adjustment (chosen: each leaves a thousandth of what was left, and four leave
nothing). Fewer, and the six lengths do not close."""


class Corners(NamedTuple):
    """The corners of a shape of four sides, anticlockwise."""

    bottom_left: Point
    bottom_right: Point
    top_right: Point
    top_left: Point

    @property
    def is_convex(self) -> bool:
        """Whether no corner points inward, and none lies in line with its neighbours."""
        around = [*self, *self]
        return all(
            (b.x - a.x) * (c.y - b.y) > (b.y - a.y) * (c.x - b.x)
            for a, b, c in zip(around, around[1:], around[2:6], strict=False)
        )


@dataclass(frozen=True)
class FourSides:
    """The lengths of four sides in mm, and of a diagonal or both.

    ``rising`` runs from the bottom left to the top right, ``falling`` from the top left to the
    bottom right.
    """

    bottom: float
    right: float
    top: float
    left: float
    rising: float | None = None
    falling: float | None = None

    def triangles(self) -> tuple[tuple[str, str, str], ...]:
        """Return the triangles into which the diagonals part it, each by the names of its sides."""
        found: list[tuple[str, str, str]] = []
        if self.rising is not None:
            found += [("bottom", "right", "rising"), ("top", "left", "rising")]
        if self.falling is not None:
            found += [("bottom", "left", "falling"), ("top", "right", "falling")]
        return tuple(found)

    def impossible(self) -> tuple[tuple[str, str, str], ...]:
        """Return the triangles of which one side is as long as both others together, or longer."""
        return tuple(t for t in self.triangles() if not self._closes(t))

    def _closes(self, triangle: tuple[str, str, str]) -> bool:
        lengths = sorted(getattr(self, name) for name in triangle)
        return bool(lengths[2] < lengths[0] + lengths[1])

    @property
    def gap(self) -> float:
        """How much longer the falling diagonal is than the other five lengths make it; 0 without both.

        Its triangles must be possible.
        """
        if self.rising is None or self.falling is None:
            return 0.0
        return self.falling - _falling(self)

    def corners(self) -> Corners:
        """Return the corners, the bottom side level and its left end at 0, 0.

        With both diagonals they are those of the six lengths that close and whose squared
        differences from these add up to the least.  Its triangles must be possible.
        """
        if self.rising is None:
            seen = replace(
                self, left=self.right, right=self.left, rising=self.falling, falling=None
            )
            a, b, c, d = seen.corners()
            return Corners(*(Point(self.bottom - p.x, p.y) for p in (b, a, d, c)))
        return _by_rising(self if self.falling is None else _closed(self))


def _by_rising(sides: FourSides) -> Corners:
    """Return the corners by the four sides and the rising diagonal."""
    assert sides.rising is not None
    end = Point(sides.bottom, 0.0)
    top_right = _apex(end, sides.rising, sides.right)
    top_left = _apex(top_right, sides.left, sides.top)
    return Corners(Point(0.0, 0.0), end, top_right, top_left)


def _apex(end: Point, from_start: float, from_end: float) -> Point:
    """Return the place on the left of a line from 0, 0 at two distances from its ends."""
    base = math.hypot(*end)
    along = (base**2 + from_start**2 - from_end**2) / (2.0 * base)
    away = math.sqrt(max(from_start**2 - along**2, 0.0))
    x, y = end.x / base, end.y / base
    return Point(along * x - away * y, along * y + away * x)


def _falling(sides: FourSides) -> float:
    """Return the falling diagonal that the other five lengths make."""
    corners = _by_rising(sides)
    return math.dist(corners.top_left, corners.bottom_right)


_FIVE = ("bottom", "right", "top", "left", "rising")


def _closed(sides: FourSides) -> FourSides:
    """Return the lengths that close: those nearest to the measured ones, by least squares.

    The condition F, the gap between both diagonals, is made straight about the last lengths, and
    the measured ones are moved along its slope until it is 0.
    """
    measured = [getattr(sides, f.name) for f in fields(FourSides)]
    found = sides
    for _ in range(_ROUNDS):
        slope = [-_slope(found, name) for name in _FIVE] + [1.0]
        now = [getattr(found, f.name) for f in fields(FourSides)]
        moved = math.fsum(g * (m - n) for g, m, n in zip(slope, measured, now, strict=True))
        share = (found.gap + moved) / math.fsum(g * g for g in slope)
        found = FourSides(*(m - share * g for m, g in zip(measured, slope, strict=True)))
    return found


def _slope(sides: FourSides, name: str) -> float:
    """Return how much the falling diagonal changes with one of the other lengths."""
    length = getattr(sides, name)
    more, less = (replace(sides, **{name: length + s}) for s in (_STEP_MM, -_STEP_MM))
    return (_falling(more) - _falling(less)) / (2.0 * _STEP_MM)
