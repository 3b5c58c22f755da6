"""Surfaces of revolution, such as a spun nose or a dome, in gores.

A doubly curved surface cannot be laid flat.  It is cut along meridians into gores,
each true along its middle line and as wide, at every level, as the surface is there;
what that leaves wrong is stated.  The profile is a contour over (along the axis,
radius), from the widest end or the base to the tip.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from typing import TYPE_CHECKING, NamedTuple

from livery.geometry.fitting import SmoothCurve, fitted
from livery.geometry.measure import length
from livery.geometry.outline import Contour, Line, Outline, Point, Segment
from livery.geometry.segments import length_to, point_on, segment_length, velocity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

FITTED_MM = 0.002
STEPS = 200
LEAST, MOST = 4, 96
TIP_MM = 1e-6


class GoreErrors(NamedTuple):
    """What a flat gore leaves wrong on the surface, the greatest of each, in mm.

    ``edge`` is how much longer its cut edge is than the meridian it is laid along: the
    film must shrink, or be stretched in its middle, by so much.  ``width`` is how much
    more film there is from the middle line to the edge, straight across, than there is
    surface.  ``sag`` is how far a line straight across the gore strays from a true
    level line.  ``facet`` is how far the surface stands off a gore that is not pressed
    down across.
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
        if any(p.y < -TIP_MM for p in self.profile.nodes):
            raise ValueError("a profile's radius is never less than nothing")

    @property
    def half_angle(self) -> float:
        """Half the angle a gore takes of the turn, in radians."""
        return math.pi / self.count

    @property
    def height(self) -> float:
        """The length of a gore's middle line: that of the profile."""
        return length(self.profile)

    @cached_property
    def outline(self) -> Outline:
        """One gore, its middle line up the y axis and its base on the x axis."""
        right = self._right_edge()
        left = [_mirrored(s.reversed()) for s in reversed(right)]
        base, tip = right[0].start, right[-1].end
        across = [Line(_mirror(base), base)] if base.x > TIP_MM else []
        top = [Line(tip, _mirror(tip))] if tip.x > TIP_MM else []
        return Outline((Contour((*across, *right, *top, *left)),))

    def _right_edge(self) -> list[Segment]:
        """Return the edge right of the middle line, from the base to the tip."""
        parts = self.profile.segments
        starts = accumulate((segment_length(s) for s in parts), initial=0.0)
        return [piece for s, at in zip(parts, starts, strict=False) for piece in self._edge(s, at)]

    def _edge(self, part: Segment, start: float) -> list[Segment]:
        """Return the gore's edge along one segment of the profile."""
        import numpy as np

        half = self.half_angle

        def place(t: float) -> Point:
            return Point(half * max(point_on(part, t).y, 0.0), start + length_to(part, t))

        if isinstance(part, Line):
            return [Line(place(0.0), place(1.0))]

        def heading(t: float) -> Point:
            v = velocity(part, t)
            across, up = half * v.y, math.hypot(v.x, v.y)
            size = math.hypot(across, up)
            return Point(across / size, up / size)

        def places(ts: Numbers) -> Numbers:
            return np.array([place(float(t)) for t in ts])

        return list(fitted(SmoothCurve(places, heading), 0.0, 1.0, FITTED_MM))

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

    def half_width(self, radius: float) -> float:
        """Return a gore's half width where the surface has a radius."""
        return self.half_angle * radius

    @cached_property
    def errors(self) -> GoreErrors:
        """What the gores leave wrong.

        To third order in the gore's angle: on any surface of revolution a line square to
        the middle line leaves the level line by a^2 r r'/2 at the edge, and is a^3 r r'^2/3
        longer, for half angle a, radius r and its change r' along the meridian.  On a
        sphere both agree with the right spherical triangle.
        """
        a = self.half_angle
        edge = sum(segment_length(s) for s in self._right_edge()) - self.height
        width = sag = facet = 0.0
        for part in self.profile.segments:
            for i in range(STEPS + 1):
                p, v = point_on(part, i / STEPS), velocity(part, i / STEPS)
                slope = v.y / math.hypot(v.x, v.y)
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


def _mirror(p: Point) -> Point:
    return Point(-p.x, p.y)


def _mirrored(segment: Segment) -> Segment:
    from fontTools.misc.transform import Scale

    (turned,) = segment.transformed(Scale(-1.0, 1.0))
    return turned
