"""Rolled sheets: a barrel, parallel or tapered, between two rings square to its axis.

A place on the surface is its *station*, the distance along the axis from the left
ring, and its *angle* round the axis in radians, from the bottom up the side that is
seen: a quarter turn is half way up that side, a half turn the top.  Developed, the
line half way round lies along x with its left end at the origin, and a greater
angle lies higher.

The cone's development is the sector of every sheet-metal text: with slant length to
the apex ``rho = r / k`` and ``k`` the sine of the half angle, a full turn of the barrel
becomes ``2 pi k`` of the sector.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from livery.geometry.outline import Arc, Contour, Line, Outline, Point, Segment
from livery.geometry.segments import point_on
from livery.surfaces.tracing import traced_segments


class OnBarrel(NamedTuple):
    """A place on a barrel: station in mm, angle in radians."""

    station: float
    angle: float


@dataclass(frozen=True)
class Barrel:
    """A cylinder or a right cone's frustum, by the radii of its left and right ring.

    The sheet runs from the angle ``first`` to ``last``.  ``slope`` is the angle by which
    a seam cut askew is further round at the right ring than at the left.
    """

    left: float
    right: float
    length: float
    first: float = 0.0
    last: float = math.tau
    slope: float = 0.0

    def __post_init__(self) -> None:
        if min(self.left, self.right, self.length) <= 0.0:
            raise ValueError("a barrel's rings and its length are greater than zero")
        if not 0.0 < self.last - self.first <= math.tau + 1e-9:
            raise ValueError(
                "a barrel's sheet goes round by an angle greater than zero, and by one turn"
            )

    @property
    def slant(self) -> float:
        """The distance from ring to ring along the surface."""
        return math.hypot(self.length, self.right - self.left)

    @property
    def k(self) -> float:
        """Sine of the cone's half angle; negative where it tapers to the right, 0 for a cylinder."""
        return (self.right - self.left) / self.slant

    @property
    def half_way(self) -> float:
        """The angle of the line that is developed along x."""
        return (self.first + self.last) / 2.0

    def radius_at(self, station: float) -> float:
        """Return the barrel's radius at a station."""
        return self.left + (self.right - self.left) * station / self.length

    def within(self, depth: float) -> Barrel:
        """Return the barrel that lies ``depth`` mm inside this one, square to the surface.

        A sheet's neutral surface is half its thickness within the outside.
        """
        narrower = depth * self.slant / self.length
        return replace(self, left=self.left - narrower, right=self.right - narrower)

    def developed(self, place: OnBarrel) -> Point:
        """Return where a place on the surface falls on the developed sheet."""
        s = place.station * self.slant / self.length
        turn = place.angle - self.half_way
        if self.k == 0.0:
            return Point(s, self.left * turn)
        theta = self.k * turn
        # Written so that a very slight taper loses no figures.
        x = s * math.cos(theta) - 2.0 * self.left / self.k * math.sin(theta / 2.0) ** 2
        return Point(x, self.radius_at(place.station) / self.k * math.sin(theta))

    def rolled(self, point: Point) -> OnBarrel:
        """Return the place on the surface that a point of the developed sheet comes to."""
        if self.k == 0.0:
            return OnBarrel(point.x * self.length / self.slant, self.half_way + point.y / self.left)
        apex = self.left / self.k  # signed distance from the apex to the left ring
        side = math.copysign(1.0, self.k)
        rho = side * math.hypot(point.x + apex, point.y)
        s = (point.x**2 + point.y**2 + 2.0 * point.x * apex) / (rho + apex)
        theta = math.atan2(side * point.y, side * (point.x + apex))
        return OnBarrel(s * self.length / self.slant, self.half_way + theta / self.k)

    def in_space(self, place: OnBarrel) -> tuple[float, float, float]:
        """Return a place as (along the axis, towards the viewer, up), from the left ring's centre."""
        r = self.radius_at(place.station)
        return (place.station, r * math.sin(place.angle), -r * math.cos(place.angle))

    def direction(self, place: OnBarrel, along: float, round_: float) -> Point:
        """Return the unit direction on the developed sheet of a move over the surface.

        The move is ``along`` mm of station and ``round_`` radians of angle.
        """
        theta = self.k * (place.angle - self.half_way)
        u = along * self.slant / self.length
        v = round_ * self.radius_at(place.station)
        size = math.hypot(u, v)
        cos, sin = math.cos(theta), math.sin(theta)
        return Point((u * cos - v * sin) / size, (u * sin + v * cos) / size)

    @cached_property
    def outline(self) -> Outline:
        """The developed sheet."""
        step = (self.last - self.first) * self.k
        a = self.developed(OnBarrel(0.0, self.first))
        b = self.developed(OnBarrel(self.length, self.first + self.slope))
        c = self.developed(OnBarrel(self.length, self.last + self.slope))
        d = self.developed(OnBarrel(0.0, self.last))
        return Outline((Contour((Line(a, b), _arc(b, c, step), Line(c, d), _arc(d, a, -step))),))

    def seam_shift(self, station: float) -> float:
        """Return how much further round a seam cut askew is at a station, in radians.

        The seam is a straight cut on the developed sheet.
        """
        if self.slope == 0.0 or self.k == 0.0:
            return self.slope * station / self.length
        a = self.developed(OnBarrel(0.0, self.first))
        b = self.developed(OnBarrel(self.length, self.first + self.slope))
        apex, rho = self.left / self.k, self.radius_at(station) / self.k
        # Where the line from a to b is rho from the apex: a quadratic in its parameter.
        px, py, dx, dy = a.x + apex, a.y, b.x - a.x, b.y - a.y
        square, along = dx * dx + dy * dy, px * dx + py * dy
        root = math.sqrt(max(along**2 - square * (px * px + py * py - rho * rho), 0.0))
        t = (-along + math.copysign(root, along)) / square
        return self.rolled(Point(a.x + t * dx, a.y + t * dy)).angle - self.first

    def ring(self, station: float, low: float | None = None, high: float | None = None) -> Contour:
        """Return the line round the barrel at a station, up from one angle to another.

        Angles left out are those of the sheet's own edges.
        """
        shift = self.seam_shift(station)
        low = self.first + shift if low is None else low
        high = self.last + shift if high is None else high
        a, b = (self.developed(OnBarrel(station, angle)) for angle in (low, high))
        return Contour((_arc(a, b, (high - low) * self.k),), closed=False)

    def level_angle(self, station: float, height: float, *, far: bool = False) -> float:
        """Return the angle at which the surface is ``height`` mm above the axis.

        It is on the side that is seen, or on the ``far`` one; beyond the barrel's reach it
        is the top or the bottom.
        """
        share = min(max(-height / self.radius_at(station), -1.0), 1.0)
        return math.tau - math.acos(share) if far else math.acos(share)

    def level(self, height: float, start: float, end: float, *, far: bool = False) -> Contour:
        """Return the line that lies level, ``height`` mm above the axis, between two stations.

        Raises ``ValueError`` where the barrel does not reach that height.
        """
        if abs(height) > min(self.radius_at(start), self.radius_at(end)):
            raise ValueError(f"the barrel does not reach {height:.1f} mm from its axis all along")
        return self.traced(lambda s: self.level_angle(s, height, far=far), start, end)

    def traced(self, angle: Callable[[float], float], start: float, end: float) -> Contour:
        """Return the line along the barrel whose angle at each station is given.

        A line where it comes out straight, else cubics within 0.002 mm.
        """
        segments = traced_segments(lambda s: self.developed(OnBarrel(s, angle(s))), start, end)
        return Contour(tuple(segments), closed=False)

    def laid(self, contour: Contour, at: Callable[[Point], OnBarrel]) -> Contour:
        """Return a contour carried to the developed sheet, by where its points are on the barrel.

        Lines along the barrel stay lines and lines round it become arcs; all else becomes cubics
        within 0.002 mm.
        """
        segments = [s for old in contour.segments for s in self._laid(old, at)]
        return Contour(tuple(segments), contour.closed)

    def _laid(self, segment: Segment, at: Callable[[Point], OnBarrel]) -> list[Segment]:
        a, b = at(segment.start), at(segment.end)
        ends = self.developed(a), self.developed(b)
        if isinstance(segment, Line):
            if a.angle == b.angle or self.k == 0.0:
                return [Line(*ends)]
            if a.station == b.station:
                return [_arc(*ends, (b.angle - a.angle) * self.k)]
        return traced_segments(lambda t: self.developed(at(point_on(segment, t))), 0.0, 1.0)


def _arc(start: Point, end: Point, sweep: float) -> Segment:
    bulge = math.tan(sweep / 4.0)
    # An arc this flat is a line to within its last figure.
    return Arc(start, end, bulge) if abs(bulge) > 1e-12 else Line(start, end)
