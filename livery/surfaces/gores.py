"""Surfaces of revolution, such as a spun nose or a dome, in gores.

A doubly curved surface cannot be laid flat.  It is cut along meridians into gores, each
true along its middle line and along every level line; what that leaves wrong is stated.
The profile is a contour over (along the axis, radius), from the base to the tip.

A level line is laid flat as on the cone that touches the surface along it: as an arc
about the cone's apex.  On a sphere this is the polyconic projection (J. P. Snyder, Map
Projections: A Working Manual, USGS Professional Paper 1395, 1987, chapter 18).  Where the
profile has a corner the cones on its two sides do not agree; there every level line is
laid straight across.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING, NamedTuple

from livery.geometry.measure import length
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, Segment
from livery.geometry.segments import direction, length_to, point_on, segment_length, velocity
from livery.surfaces.tracing import traced_segments

if TYPE_CHECKING:
    from scipy.interpolate import CubicHermiteSpline

STEPS = 200
"""Steps along a piece of a profile that its errors are looked for at (chosen). Fewer may miss the worst."""
LEAST, MOST = 4, 96
"""The fewest and the most gores tried (chosen: more than 96 cannot be laid). Fewer allowed refuses
surfaces that more would cover."""
TIP_MM = 1e-6
"""Millimetres from the axis within which a profile ends in a tip (chosen: above rounding). Larger, and
small flat ends are taken for tips."""
CORNER_RAD = 0.02
"""Radians: a smaller turn of a profile is no corner (chosen: about 1 degree, a bend nobody sees).
Larger, and the gores of a bent profile are taken as smooth."""


class GoreErrors(NamedTuple):
    """What a flat gore leaves wrong on the surface, the greatest of each, in mm.

    ``edge`` is how much longer its cut edge is than the meridian it is laid along: the
    film must shrink there, or be stretched in its middle, by so much.  ``width`` is how
    much too wide half of it is where level lines had to be laid straight.  ``sag`` is how
    far a straight line across the gore strays from a level line.  ``facet`` is how far
    the surface stands off a gore that is not pressed down across.
    """

    edge: float
    width: float
    sag: float
    facet: float


@dataclass(frozen=True)
class Gores:
    """A surface of revolution in ``count`` equal gores."""

    profile: Contour
    count: int

    def __post_init__(self) -> None:
        if self.count < 3:
            raise ValueError("there are at least three gores")
        places = (point_on(s, i / 16) for s in self.profile.segments for i in range(17))
        if any(p.y < -TIP_MM for p in places):
            raise ValueError("a profile's radius is never negative")

    @property
    def half_angle(self) -> float:
        """Half the angle a gore takes of the turn, in radians."""
        return math.pi / self.count

    @cached_property
    def height(self) -> float:
        """The length of a gore's middle line: that of the profile."""
        return length(self.profile)

    @cached_property
    def outline(self) -> Outline:
        """One gore, its middle line up the y axis and its base on the x axis."""
        right = self._right_edge()
        left = [_mirrored(s.reversed()) for s in reversed(right)]
        base, tip = right[0].start, right[-1].end
        across = [_level(_mirror(base), base, base.y)] if base.x > TIP_MM else []
        top = [_level(tip, _mirror(tip), tip.y - self.height)] if tip.x > TIP_MM else []
        return Outline((Contour((*across, *right, *top, *left)),))

    def _right_edge(self) -> list[Segment]:
        """Return the edge right of the middle line, from the base to the tip."""
        ends = [*self._starts, self.height]
        return [piece for a, b in pairwise(ends) for piece in self._edge(a, b)]

    def _edge(self, start: float, end: float) -> list[Segment]:
        """Return the gore's edge along one part of the profile."""
        return traced_segments(lambda up: self.on_gore(self.half_angle, up), start, end)

    @cached_property
    def is_smooth(self) -> bool:
        """Whether the profile has no corner."""
        turns = (
            _turn(direction(before, 1.0), direction(after, 0.0))
            for before, after in pairwise(self.profile.segments)
        )
        return all(abs(turn) < CORNER_RAD for turn in turns)

    def level(self, along: float) -> float:
        """Return how far up a gore the surface is ``along`` mm along the axis, by the profile.

        Raises ``ValueError`` where the profile does not reach it.
        """
        run = 0.0
        for part in self.profile.segments:
            low, high = part.start.x, part.end.x
            if low != high and min(low, high) <= along <= max(low, high):
                return run + length_to(part, _parameter_at_x(part, along))
            run += segment_length(part)
        raise ValueError(f"the profile does not reach {along:.2f} mm along its axis")

    def radius_at(self, up: float) -> float:
        """Return the surface's radius, ``up`` mm along the profile; that of its end beyond one."""
        up = min(max(up, 0.0), self.height)
        return float(self._radii[self._part(up)](up))

    def slope_at(self, up: float) -> float:
        """Return how fast the radius changes up the profile: -1 where it runs straight in."""
        up = min(max(up, 0.0), self.height)
        return float(self._radii[self._part(up)](up, 1))

    def _part(self, up: float) -> int:
        return max(bisect_right(self._starts, up) - 1, 0)

    def on_gore(self, turn: float, up: float) -> Point:
        """Return where a place falls on a flat gore: ``turn`` radians round from its middle line.

        Beyond the gore's neighbours level lines are carried on straight, which keeps a line
        from coming all the way round.
        """
        radius, slope = self.radius_at(up), self.slope_at(up) if self.is_smooth else 0.0
        near = min(max(turn, -self._reach), self._reach)
        angle, beyond = near * slope, (turn - near) * radius
        # Where the slope is nothing these are near * radius and up.
        x = near * radius * _sinc(angle)
        y = up - radius * slope * near**2 / 2.0 * _sinc(angle / 2.0) ** 2
        return Point(x + beyond * math.cos(angle), y - beyond * math.sin(angle))

    @property
    def _reach(self) -> float:
        return 3.0 * self.half_angle

    @cached_property
    def _starts(self) -> list[float]:
        lengths = [segment_length(s) for s in self.profile.segments[:-1]]
        return list(accumulate(lengths, initial=0.0))

    @cached_property
    def _radii(self) -> list[CubicHermiteSpline]:
        """The radius along each segment, by cubics through so many places that none is 1e-6 off."""
        from scipy.interpolate import CubicHermiteSpline

        splines = []
        for part, start in zip(self.profile.segments, self._starts, strict=True):
            ts = [i / STEPS for i in range(STEPS + 1)]
            ways = [velocity(part, t) for t in ts]
            splines.append(
                CubicHermiteSpline(
                    [start + length_to(part, t) for t in ts],
                    [point_on(part, t).y for t in ts],
                    [v.y / math.hypot(v.x, v.y) for v in ways],
                )
            )
        return splines

    @cached_property
    def errors(self) -> GoreErrors:
        """What the gores leave wrong.

        Sag and width are to third order in the gore's angle: on any surface of revolution a
        line square to the middle line leaves the level line by a^2 r r'/2 at the edge, and is
        a^3 r r'^2/3 longer, for half angle a, radius r and its change r' along the meridian.
        On a sphere both agree with the right spherical triangle.
        """
        a = self.half_angle
        edge = sum(segment_length(s) for s in self._right_edge()) - self.height
        width = sag = facet = 0.0
        for part in self.profile.segments:
            for i in range(STEPS + 1):
                p, v = point_on(part, i / STEPS), velocity(part, i / STEPS)
                slope = v.y / math.hypot(v.x, v.y)
                if not self.is_smooth:
                    width = max(width, a**3 * p.y * slope**2 / 3.0)
                sag = max(sag, a**2 * p.y * abs(slope) / 2.0)
                facet = max(facet, p.y * (1.0 - math.cos(a)))
        return GoreErrors(edge, width, sag, facet)


def gores_within(profile: Contour, error_mm: float) -> Gores:
    """Return the fewest gores, an even number, whose edge and width errors are small enough.

    Raises ``ValueError`` where even the greatest number, 96, is too few.
    """
    for count in range(LEAST, MOST + 1, 2):
        gores = Gores(profile, count)
        if max(gores.errors.edge, gores.errors.width) <= error_mm:
            return gores
    raise ValueError(f"even {MOST} gores leave more than {error_mm:.3f} mm of error")


def _parameter_at_x(part: Segment, x: float) -> float:
    """Return where a segment that runs one way along the axis comes to ``x``, by halving."""
    rising = part.end.x > part.start.x
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        if (point_on(part, middle).x < x) == rising:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _level(start: Point, end: Point, hang: float) -> Segment:
    """Return the level line between a gore's two edges, whose middle hangs so far below them."""
    bulge = 2.0 * hang / (end.x - start.x)
    return Arc(start, end, bulge) if abs(hang) > TIP_MM else Line(start, end)


def _turn(one: Point, other: Point) -> float:
    return math.atan2(one.x * other.y - one.y * other.x, one.x * other.x + one.y * other.y)


def _sinc(angle: float) -> float:
    return math.sin(angle) / angle if angle else 1.0


def _mirror(p: Point) -> Point:
    return Point(-p.x, p.y)


def _mirrored(segment: Segment) -> Segment:
    from fontTools.misc.transform import Scale

    (turned,) = segment.transformed(Scale(-1.0, 1.0))
    return turned
