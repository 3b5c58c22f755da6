"""Gores in a row on a panel: where a place round the surface falls, and lines that cross gores."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from livery.geometry.boolean import intersection, union
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Line, Outline, Point, Segment, translated
from livery.geometry.segments import point_on
from livery.surfaces.gores import Gores
from livery.surfaces.tracing import traced_segments


class OnGore(NamedTuple):
    """A path on one gore: the gore's x, the path about its middle line, and its own nodes."""

    middle: float
    path: Contour
    nodes: tuple[Point, ...]


@dataclass(frozen=True)
class Gored:
    """Gores side by side, the middle line of each at its x in ``middles``.

    A place on the surface is (round, up): mm round the widest girth from the left edge of
    the first gore, and mm up the profile from its base.
    """

    gores: Gores
    middles: tuple[float, ...]

    @cached_property
    def girth(self) -> float:
        """The widest girth."""
        return math.tau * bounds(self.gores.profile).top

    def point(self, place: Point) -> Point:
        """Return where a place on the surface falls on the panel."""
        step = self.girth / self.gores.count
        gore = min(max(math.floor(place.x / step), 0), self.gores.count - 1)
        here = self._on_gore(place, (gore + 0.5) * step)
        return Point(self.middles[gore] + here.x, here.y)

    def carried(self, path: Contour) -> tuple[OnGore, ...]:
        """Return a path over the surface as it runs on each gore that it comes near.

        It is carried true to the gore's own middle line, so that a line keeps its width there.
        """
        return tuple(self._carried(path))

    def _carried(self, path: Contour) -> Iterator[OnGore]:
        step, box = self.girth / self.gores.count, bounds(path)
        for i, x in enumerate(self.middles):
            # A path may run on past the first gore, or the last.
            for turned in (-self.girth, 0.0, self.girth):
                middle = (i + 0.5) * step + turned
                if box.left - step < middle + step / 2.0 and middle - step / 2.0 < box.right + step:
                    segments = [s for old in path.segments for s in self._along(old, middle)]
                    nodes = tuple(self._on_gore(p, middle) for p in path.nodes)
                    yield OnGore(x, Contour(tuple(segments), path.closed), nodes)

    def cut(self, region: Outline, middle: float) -> Outline:
        """Return what of a region drawn about a gore's middle line is on it, at its place."""
        return translated(intersection(region, self.gores.outline), middle, 0.0)

    def between(self, low: float, high: float) -> Outline:
        """Return what lies between two levels, given as mm up the profile, on every gore."""
        half = 2.0 * self.gores.half_angle
        bottom = traced_segments(lambda turn: self.gores.on_gore(turn, low), -half, half)
        top = traced_segments(lambda turn: self.gores.on_gore(turn, high), -half, half)
        ends = Line(bottom[-1].end, top[-1].end), Line(top[0].start, bottom[0].start)
        back = (s.reversed() for s in reversed(top))
        zone = Outline((Contour((*bottom, ends[0], *back, ends[1])),))
        return union(*(self.cut(zone, x) for x in self.middles))

    def _on_gore(self, place: Point, middle: float) -> Point:
        turn = (place.x - middle) * math.tau / self.girth
        return self.gores.on_gore(turn, place.y)

    def _along(self, segment: Segment, middle: float) -> list[Segment]:
        return traced_segments(lambda t: self._on_gore(point_on(segment, t), middle), 0.0, 1.0)
