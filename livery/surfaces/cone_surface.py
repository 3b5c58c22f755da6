"""A tapered barrel in space, for a panel that is its development."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from fontTools.misc.transform import Transform

from livery.geometry.outline import Outline, Point, carry
from livery.surfaces.cone import Barrel, OnBarrel
from livery.surfaces.surface import (
    Axis,
    InSpace,
    Patch,
    RoundAxis,
    chord_count,
    patch_through,
    quadrilateral,
)


@dataclass(frozen=True)
class ConeSurface:
    """A barrel whose axis runs along x, level; ``move`` brings its development to the panel."""

    barrel: Barrel
    move: Transform

    @property
    def axis(self) -> RoundAxis:
        """The axis it is coned about, level along x."""
        lowest, nearest = self._corner
        return RoundAxis(InSpace(0.0, -lowest, -nearest), upright=False)

    def fitted(self, x: Axis, y: Axis) -> ConeSurface:
        """Return the same: a cone is described by its sizes as built."""
        return self

    def width_seen(self, panel: Outline) -> float:
        """Return its length along the axis."""
        return self.barrel.length

    def in_space(self, at: Point) -> InSpace:
        """Return where a point of the panel is."""
        return self._stood(self.barrel.rolled(carry(self._back, at)))

    def facing(self, at: Point) -> InSpace:
        """Return the way square to the surface there."""
        barrel = self.barrel
        angle = barrel.rolled(carry(self._back, at)).angle
        across, slant = barrel.length / barrel.slant, barrel.k
        return InSpace(-slant, -across * math.cos(angle), across * math.sin(angle))

    def patches(self, panel: Outline, sag_mm: float) -> tuple[Patch, ...]:
        """Return strips along the barrel, from ring to ring."""
        barrel = self.barrel
        first, last = self._angles
        count = chord_count(last - first, max(barrel.left, barrel.right), sag_mm)
        angles = [first + (last - first) * i / count for i in range(count + 1)]
        return tuple(self._strip(low, high) for low, high in pairwise(angles))

    def _strip(self, low: float, high: float) -> Patch:
        a, b, c, d = (
            self._developed(OnBarrel(s, angle))
            for s, angle in (
                (0.0, low),
                (self.barrel.length, low),
                (self.barrel.length, high),
                (0.0, high),
            )
        )
        # The round edge lies beyond its chord: the strip is drawn on along its own sides.
        outer = 1.0 / math.cos(self.barrel.k * (high - low) / 2.0) - 1.0
        apex = self.barrel.slant * self.barrel.left / abs(self.barrel.right - self.barrel.left)
        reach = (apex + self.barrel.slant) * outer / self.barrel.slant
        region = quadrilateral(
            _on(b, a, reach), _on(a, b, reach), _on(d, c, reach), _on(c, d, reach)
        )
        return patch_through(self, region, (a, b, d))

    def _developed(self, place: OnBarrel) -> Point:
        return carry(self.move, self.barrel.developed(place))

    def _stood(self, place: OnBarrel) -> InSpace:
        along, near, up = self.barrel.in_space(place)
        lowest, nearest = self._corner
        return InSpace(along, up - lowest, near - nearest)

    @cached_property
    def _back(self) -> Transform:
        return self.move.inverse()

    @property
    def _angles(self) -> tuple[float, float]:
        """The least and the greatest angle of the sheet anywhere along it."""
        barrel = self.barrel
        shift = barrel.seam_shift(barrel.length)
        return barrel.first + min(shift, 0.0), barrel.last + max(shift, 0.0)

    @cached_property
    def _corner(self) -> tuple[float, float]:
        """How low the sheet comes from the axis, and how near the viewer."""
        places = []
        for station in (0.0, self.barrel.length):
            shift = self.barrel.seam_shift(station)
            first, last = self.barrel.first + shift, self.barrel.last + shift
            quarter = math.pi / 2.0
            turns = range(math.ceil(first / quarter), math.floor(last / quarter) + 1)
            angles = (first, last, *(i * quarter for i in turns))
            places += [self.barrel.in_space(OnBarrel(station, angle)) for angle in angles]
        return min(up for _, _, up in places), max(near for _, near, _ in places)


def _on(start: Point, end: Point, share: float) -> Point:
    """Return a place beyond a line's end by a share of its length."""
    return Point(end.x + (end.x - start.x) * share, end.y + (end.y - start.y) * share)
