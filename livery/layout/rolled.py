"""Places on a tapered barrel, and the lines and shapes that follow it, on its development."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from fontTools.misc.transform import Identity, Transform

from livery.describe.values import Position
from livery.findings import Finding, LiveryError, not_found
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Outline, Point, carry
from livery.surfaces.cone import Barrel, OnBarrel
from livery.units import Scale

BEYOND_MM = 1.0
"""How far a line that runs off the sheet is carried past its edge before it is cut there, in
millimetres (chosen: more than rounding). Larger changes nothing; smaller, and it could end short of
the edge."""


class Level(NamedTuple):
    """A level line: its height above the axis, in mm, and whether it is on the far side."""

    height: float
    far: bool


@dataclass(frozen=True)
class Rolled:
    """A barrel with its named lines; ``move`` brings its development to the panel's corner.

    A height written as a line's or a level's name is that one; with a length, it is so
    far up from it, measured round the barrel.
    """

    barrel: Barrel
    move: Transform
    scale: Scale
    lines: Mapping[str, float]
    levels: Mapping[str, Level]

    def angle(self, station: float, height: Position) -> float:
        """Return the angle a described height has at a station, in radians.

        Raises LiveryError for a level that the barrel does not reach there.
        """
        level, radius = self.levels.get(height.datum or ""), self.barrel.radius_at(station)
        if level is not None and abs(level.height) > radius:
            raise _not_reached(height, radius)
        return self._angle(station, height)

    def _angle(self, station: float, height: Position) -> float:
        """Return the angle; of a level out of reach, that of the top or the bottom."""
        barrel = self.barrel
        offset = self.scale.to_model(height.offset)
        level = self.levels.get(height.datum or "")
        if level is not None:
            base = barrel.level_angle(station, level.height, far=level.far)
        elif height.datum is not None and height.datum in self.lines:
            base = self.lines[height.datum]
        else:
            edges = {"bottom": barrel.first, "top": barrel.last, "middle": barrel.half_way}
            if height.datum is not None and height.datum not in edges:
                raise not_found(height.datum)
            base = edges[height.datum or "bottom"] + barrel.seam_shift(station)
        return base + offset / barrel.radius_at(station)

    def point(self, station: float, height: Position) -> Point:
        """Return where a place falls on the panel."""
        return self.at(OnBarrel(station, self.angle(station, height)))

    def at(self, place: OnBarrel) -> Point:
        """Return where a place on the surface falls on the panel."""
        return carry(self.move, self.barrel.developed(place))

    def line(self, height: Position, start: float | None, end: float | None) -> Contour:
        """Return the line along the barrel at a height; it runs off the sheet where not ended."""
        start = -BEYOND_MM if start is None else start
        end = self.barrel.length + BEYOND_MM if end is None else end
        level = self.levels.get(height.datum or "")
        if level is not None:
            least = min(self.barrel.radius_at(x) for x in (start, end))
            if abs(level.height) > least:
                raise _out_of_reach(height)
        return self._traced(lambda s: self.angle(s, height), start, end)

    def _traced(self, angle: Callable[[float], float], start: float, end: float) -> Contour:
        return self.barrel.traced(angle, start, end).transformed(self.move)

    def ring(self, station: float, low: Position | None, high: Position | None) -> Contour:
        """Return the line round the barrel at a station, up from one height to another."""
        barrel = self.barrel
        beyond = BEYOND_MM / barrel.radius_at(station)
        shift = barrel.seam_shift(station)
        a = barrel.first + shift - beyond if low is None else self.angle(station, low)
        b = barrel.last + shift + beyond if high is None else self.angle(station, high)
        if b <= a:
            raise _no_length()
        return barrel.ring(station, a, b).transformed(self.move)

    def stretch(
        self, start: float | None, end: float | None, low: Position | None, high: Position | None
    ) -> Outline:
        """Return what lies between two stations and two heights; raise LiveryError where nothing does."""
        left, right = start or 0.0, self.barrel.length if end is None else end
        turned = low and high and self.angle(left, high) <= self.angle(left, low)
        if right <= left or turned:
            raise _no_length()
        return self.box(left, right, low, high)

    def box(
        self, left: float, right: float, low: Position | None, high: Position | None
    ) -> Outline:
        """Return what lies between two stations and two heights; None for the sheet's edge."""
        barrel = self.barrel

        def bottom(s: float) -> float:
            return barrel.first + barrel.seam_shift(s) if low is None else self._angle(s, low)

        def top(s: float) -> float:
            return barrel.last + barrel.seam_shift(s) if high is None else self._angle(s, high)

        parts = (
            barrel.traced(bottom, left, right),
            barrel.ring(right, bottom(right), top(right)),
            barrel.traced(top, left, right).reversed(),
            barrel.ring(left, bottom(left), top(left)).reversed(),
        )
        segments = tuple(s for part in parts for s in part.segments)
        return Outline((Contour(segments),)).transformed(self.move)

    @property
    def girth_radius(self) -> float:
        """The radius half way along, by which girths are measured where one must serve for all."""
        return self.barrel.radius_at(self.barrel.length / 2.0)

    def over(self, station: float, height: Position) -> Point:
        """Return a place as (station, girth from the lowest line), to draw a path through."""
        return Point(station, self.angle(station, height) * self.girth_radius)

    def laid(self, contour: Contour) -> Contour:
        """Return a path drawn over stations and girths where it falls on the panel."""

        def at(p: Point) -> OnBarrel:
            return OnBarrel(p.x, p.y / self.girth_radius)

        return self.barrel.laid(contour, at).transformed(self.move)

    def drawn(self, outline: Outline) -> Outline:
        """Return an outline drawn up from the sheet's bottom edge where it falls on the panel."""
        barrel = self.barrel

        def at(p: Point) -> OnBarrel:
            bottom = barrel.first + barrel.seam_shift(p.x)
            return OnBarrel(p.x, bottom + p.y / barrel.radius_at(p.x))

        return Outline(tuple(barrel.laid(c, at) for c in outline)).transformed(self.move)

    def set_down(self, outline: Outline, place: OnBarrel) -> Outline:
        """Return a flat shape laid on the barrel, its own size, the middle of its bounds at a place."""
        return self._turned(outline, bounds(outline).centre, self._tilt(place), place)

    def shifted(self, outline: Outline, along: float, up: float) -> Outline:
        """Return a shape on the panel moved along and round the barrel, in mm."""
        centre = bounds(outline).centre
        here = self.barrel.rolled(carry(self.move.inverse(), centre))
        station = here.station + along
        there = OnBarrel(station, here.angle + up / self.barrel.radius_at(station))
        return self._turned(outline, centre, self._tilt(there) - self._tilt(here), there)

    def _turned(self, outline: Outline, centre: Point, by: float, place: OnBarrel) -> Outline:
        to = self.at(place)
        turn = Identity.translate(*to).rotate(by).translate(-centre.x, -centre.y)
        return outline.transformed(turn)

    def _tilt(self, place: OnBarrel) -> float:
        """Return how far the line along the barrel is turned on the development, in radians."""
        along = self.barrel.direction(place, 1.0, 0.0)
        return math.atan2(along.y, along.x)

    def tilt(self, point: Point) -> float:
        """Return how far the line along the barrel is turned at a point of the panel, in radians."""
        return self._tilt(self.barrel.rolled(carry(self.move.inverse(), point)))

    def run(self, start: float, end: float) -> float:
        """Return the distance over the surface between two stations."""
        return (end - start) * self.barrel.slant / self.barrel.length


def _no_length() -> LiveryError:
    remedy = "Let the start come before the end."
    return LiveryError([Finding("lining", "this line has no length", remedy)], exit_status=1)


def _not_reached(height: Position, radius: float) -> LiveryError:
    finding = Finding(
        "sheet",
        f'this barrel does not reach "{height}" here, where its radius is {radius:.1f} mm',
        "Take a place where it is larger, or a level nearer to its axis.",
    )
    return LiveryError([finding], exit_status=1)


def _out_of_reach(height: Position) -> LiveryError:
    finding = Finding(
        "sheet",
        f'"{height}" is not on this barrel all along the line',
        "Its ends are smaller than that: give the line a start or an end, or a lower level.",
    )
    return LiveryError([finding], exit_status=1)
