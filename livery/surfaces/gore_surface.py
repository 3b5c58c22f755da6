"""A surface of revolution in space, for a panel that is its gores side by side."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, product

from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point, Segment
from livery.geometry.segments import direction, parameter_at, point_on, segment_length
from livery.surfaces.gores import TIP_MM, Gores
from livery.surfaces.surface import (
    Axis,
    InSpace,
    Patch,
    RoundAxis,
    chord_count,
    plane_patch,
    quadrilateral,
)


@dataclass(frozen=True)
class GoreSurface:
    """A surface of revolution whose axis stands upright, its base below; lengths in mm.

    ``middles`` are the x of the gores' middle lines.  They go round to the right in their
    order, half of them on each side of the middle of what the viewer sees.
    """

    gores: Gores
    middles: tuple[float, ...]

    @property
    def axis(self) -> RoundAxis:
        """The axis it is turned about, upright."""
        _, most = self._reach
        return RoundAxis(InSpace(most, 0.0, -most), upright=True)

    def fitted(self, x: Axis, y: Axis) -> GoreSurface:
        """Return the same: gores are described by their sizes as built."""
        return self

    def width_seen(self, panel: Outline) -> float:
        """Return the widest diameter."""
        return 2.0 * self._reach[1]

    def in_space(self, at: Point) -> InSpace:
        """Return where a point is once its gore is pressed down; off the gores, on the nearest."""
        gore, turn, up = self._on_surface(at)
        return self._stood(self._profile(up)[:2], self._around(gore, turn))

    def _stood(self, profile: tuple[float, float], around: float) -> InSpace:
        """Return where a place of the profile (along the axis, radius) is, turned round the axis."""
        (along, radius), (least, most) = profile, self._reach
        return InSpace(
            most + radius * math.sin(around), along - least, radius * math.cos(around) - most
        )

    def facing(self, at: Point) -> InSpace:
        """Return the way square to the surface there."""
        gore, turn, up = self._on_surface(at)
        way = self._profile(up)[2]
        around = self._around(gore, turn)
        return InSpace(way.x * math.sin(around), -way.y, way.x * math.cos(around))

    def patches(self, panel: Outline, sag_mm: float) -> tuple[Patch, ...]:
        """Return the panes of every gore, from level to level."""
        half, (_, most) = self.gores.half_angle, self._reach
        count = chord_count(2.0 * half, most, sag_mm / 2.0)
        turns = [half * (2.0 * i / count - 1.0) for i in range(count + 1)]
        levels = self._levels(sag_mm / 2.0)
        # Every gore is the same laid flat: its corners and their profile are worked out once.
        flat = [[self.gores.on_gore(turn, up) for turn in turns] for up in levels]
        profiles = [self._profile(up)[:2] for up in levels]
        return tuple(
            patch
            for gore, middle in enumerate(self.middles)
            for patch in self._panes(gore, middle, turns, flat, profiles)
        )

    def _panes(
        self,
        gore: int,
        middle: float,
        turns: Sequence[float],
        flat: Sequence[Sequence[Point]],
        profiles: Sequence[tuple[float, float]],
    ) -> Iterator[Patch]:
        """Yield the panes of a gore from level to level, each with its corners where they are."""
        around = [self._around(gore, turn) for turn in turns]
        points = [[Point(middle + p.x, p.y) for p in row] for row in flat]
        places = [[self._stood(profile, angle) for angle in around] for profile in profiles]
        for i, j in product(range(len(profiles) - 1), range(len(turns) - 1)):
            ways = ((i, j), (i, j + 1), (i + 1, j + 1), (i + 1, j))
            a, b, c, d = (points[m][n] for m, n in ways)
            # At the tip the two upper corners are one, at a closed base the lower two.
            kept = (0, 1, 3) if math.dist(a, b) > math.dist(c, d) else (3, 2, 0)
            p, q, r = (points[m][n] for m, n in (ways[k] for k in kept))
            u, v, w = (places[m][n] for m, n in (ways[k] for k in kept))
            yield plane_patch(quadrilateral(a, b, c, d), (p, q, r), (u, v, w))

    def _levels(self, sag_mm: float) -> list[float]:
        """Return levels up the profile, so near that its chords stay within a sag."""
        levels, start = [0.0], 0.0
        for part in self.gores.profile.segments:
            size = segment_length(part)
            count = 1
            while count < 2**MOST_HALVINGS and _sag(part, count) > sag_mm:
                count *= 2
            levels += [start + size * i / count for i in range(1, count + 1)]
            start += size
        return levels

    def _on_surface(self, at: Point) -> tuple[int, float, float]:
        """Return the gore a point is on, its turn about the middle line, and its level."""
        gore = min(range(len(self.middles)), key=lambda i: abs(self.middles[i] - at.x))
        x = at.x - self.middles[gore]
        up, turn, half = _between(at.y, 0.0, self.gores.height), 0.0, self.gores.half_angle
        # Across and up are almost independent on a gore, so that each step comes much nearer.
        for _ in range(60):
            here = self.gores.on_gore(turn, up)
            radius = self.gores.radius_at(up)
            turn = _between(turn + (x - here.x) / radius, -half, half) if radius > TIP_MM else 0.0
            up = _between(up + at.y - here.y, 0.0, self.gores.height)
            if math.dist(here, (x, at.y)) < 1e-10:
                break
        return gore, turn, up

    def _around(self, gore: int, turn: float) -> float:
        step = math.tau / self.gores.count
        return (gore + 0.5) * step - math.pi + turn

    def _profile(self, up: float) -> tuple[float, float, Point]:
        """Return the place along the axis, the radius and the way of the profile at a level."""
        parts = self.gores.profile.segments
        starts = list(accumulate((segment_length(s) for s in parts), initial=0.0))
        i = next((i for i in range(len(parts) - 1) if up < starts[i + 1]), len(parts) - 1)
        t = parameter_at(parts[i], _between(up - starts[i], 0.0, segment_length(parts[i])))
        place = point_on(parts[i], t)
        return place.x, place.y, direction(parts[i], t)

    @cached_property
    def _reach(self) -> tuple[float, float]:
        """The least place along the axis, and the widest radius."""
        box = bounds(self.gores.profile)
        return box.left, box.top


MOST_HALVINGS = 8
"""How often a part of a profile is cut in half into levels, at most (chosen, to bound the time: 256
levels). Fewer, and a tall surface is drawn coarser."""


def _sag(part: Segment, count: int) -> float:
    """Return how far a segment lies off so many equal chords of it."""
    places = (tuple(point_on(part, (i + s) / count) for s in (0.0, 0.5, 1.0)) for i in range(count))
    return max(math.dist(m, Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0)) for a, m, b in places)


def _between(value: float, least: float, most: float) -> float:
    return min(max(value, least), most)
