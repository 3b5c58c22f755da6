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
from typing import TYPE_CHECKING, NamedTuple

from livery.geometry.fitting import SmoothCurve, fitted
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, Segment
from livery.geometry.segments import point_on, velocity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

FITTED_MM = 0.002
"""How near the cubics along a developed curve keep to it."""


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
            raise ValueError("a barrel's rings and its length are more than nothing")
        if not 0.0 < self.last - self.first <= math.tau + 1e-9:
            raise ValueError("a barrel's sheet goes round by more than nothing, and by one turn")

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

    @property
    def developed_angle(self) -> float:
        """The angle of the developed sector, in radians; 0 for a cylinder."""
        return (self.last - self.first) * abs(self.k)

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

    def ring(self, station: float) -> Contour:
        """Return the line round the barrel at a station, from its first angle up."""
        shift = self.slope * station / self.length
        a = self.developed(OnBarrel(station, self.first + shift))
        b = self.developed(OnBarrel(station, self.last + shift))
        return Contour((_arc(a, b, (self.last - self.first) * self.k),), closed=False)

    def level(self, height: float, start: float, end: float, *, far: bool = False) -> Contour:
        """Return the line that lies level, ``height`` mm above the axis, between two stations.

        It is on the side that is seen, or on the ``far`` one.  Raises ``ValueError`` where
        the barrel does not reach that height.
        """
        if abs(height) > min(self.radius_at(start), self.radius_at(end)):
            raise ValueError(f"the barrel does not reach {height:.1f} mm from its axis all along")

        def place(station: float) -> OnBarrel:
            angle = math.acos(-height / self.radius_at(station))
            return OnBarrel(station, math.tau - angle if far else angle)

        def heading(station: float) -> Point:
            r, here = self.radius_at(station), place(station)
            rise = (self.right - self.left) / self.length
            # d(acos(-h/r))/dr = -h / (r sqrt(r^2 - h^2)); at the very top the line is straight.
            under = r * math.sqrt(max(r * r - height * height, 0.0))
            turn = 0.0 if under == 0.0 else -height * rise / under
            return self.direction(here, 1.0, -turn if far else turn)

        if self.k == 0.0 or height == 0.0:
            ends = [self.developed(place(s)) for s in (start, end)]
            return Contour((Line(*ends),), closed=False)
        curve = SmoothCurve(self._places(place), heading)
        return Contour(tuple(fitted(curve, start, end, FITTED_MM)), closed=False)

    def laid(self, contour: Contour, girth_radius: float) -> Contour:
        """Return a contour drawn over (station, girth) carried to the developed sheet.

        Girth is mm round a barrel of ``girth_radius`` from the first angle.  Lines along
        the barrel stay lines and lines round it become arcs; all else becomes cubics
        within 0.002 mm.
        """
        segments = [s for old in contour.segments for s in self._laid(old, girth_radius)]
        return Contour(tuple(segments), contour.closed)

    def _laid(self, segment: Segment, girth_radius: float) -> list[Segment]:
        def at(p: Point) -> OnBarrel:
            return OnBarrel(p.x, self.first + p.y / girth_radius)

        a, b = self.developed(at(segment.start)), self.developed(at(segment.end))
        if isinstance(segment, Line):
            if segment.start.y == segment.end.y or self.k == 0.0:
                return [Line(a, b)]
            if segment.start.x == segment.end.x:
                turn = (segment.end.y - segment.start.y) / girth_radius
                return [_arc(a, b, turn * self.k)]

        def heading(t: float) -> Point:
            p, v = point_on(segment, t), velocity(segment, t)
            return self.direction(at(p), v.x, v.y / girth_radius)

        places = self._places(lambda t: at(point_on(segment, t)))
        return list(fitted(SmoothCurve(places, heading), 0.0, 1.0, FITTED_MM))

    def _places(self, place: Callable[[float], OnBarrel]) -> Callable[[Numbers], Numbers]:
        import numpy as np

        return lambda ts: np.array([self.developed(place(float(t))) for t in ts])


def _arc(start: Point, end: Point, sweep: float) -> Segment:
    bulge = math.tan(sweep / 4.0)
    # An arc this flat is a line to within its last figure.
    return Arc(start, end, bulge) if abs(bulge) > 1e-12 else Line(start, end)
