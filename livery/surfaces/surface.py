"""A surface: where the metal of a panel is in space, for a panel that is painted laid flat.

Every kind answers the same questions, so that nothing outside this room asks which kind it
is.  A place is given on the developed panel, in millimetres, x right and y up.  Space is the
panel's own: x right, y up and z towards the viewer, who stands square before the panel.  The
bottom left corner of what the viewer sees is at x 0, y 0, and the nearest of it at z 0; for a
flat panel x and y are then simply its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate, pairwise
from typing import NamedTuple, Protocol

from fontTools.misc.transform import Identity

from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import rectangle

Axis = Callable[[float], float]
"""Where a place on one axis of the drawing, in mm, is on the panel as built."""


class InSpace(NamedTuple):
    """A place in a panel's own space in mm, or a direction of unit length."""

    x: float
    y: float
    z: float

    def along(self, direction: InSpace, distance: float) -> InSpace:
        """Return the place ``distance`` mm from here in a direction of unit length."""
        return InSpace(*(a + distance * d for a, d in zip(self, direction, strict=True)))

    def less(self, other: InSpace) -> InSpace:
        """Return the way from another place to this one."""
        return InSpace(*(a - b for a, b in zip(self, other, strict=True)))


class Patch(NamedTuple):
    """A part of a developed panel that is flat in space within a stated sag.

    ``origin`` is where the panel's origin would be on its plane; ``across`` and ``up`` are
    what one millimetre of the panel's x and y is there.
    """

    region: Outline
    origin: InSpace
    across: InSpace
    up: InSpace

    def place(self, at: Point) -> InSpace:
        """Return where a point of the panel is in space."""
        return self.origin.along(self.across, at.x).along(self.up, at.y)


class RoundAxis(NamedTuple):
    """The axis a surface is round about: a place on it, and whether it stands upright or lies along x."""

    at: InSpace
    upright: bool


class Surface(Protocol):
    """What every kind of surface answers."""

    @property
    def axis(self) -> RoundAxis | None:
        """The axis that it is round about; None for one that is not round about any."""
        ...

    def in_space(self, at: Point) -> InSpace:
        """Return where a point of the developed panel is in space."""
        ...

    def facing(self, at: Point) -> InSpace:
        """Return the unit direction the painted side faces at a point of the panel."""
        ...

    def patches(self, panel: Outline, sag_mm: float) -> tuple[Patch, ...]:
        """Return flat patches that cover a panel, none further than ``sag_mm`` off the surface.

        A patch may reach beyond the panel's outline, never beyond its bounds by more than
        the sag of a round edge.
        """
        ...

    def fitted(self, x: Axis, y: Axis) -> Surface:
        """Return the surface of the panel as built, whose places the fit has moved."""
        ...

    def width_seen(self, panel: Outline) -> float:
        """Return how wide the panel is as the viewer sees it, in mm."""
        ...


@dataclass(frozen=True)
class FlatSurface:
    """A flat panel."""

    @property
    def axis(self) -> None:
        """None: it is not round."""
        return None

    def in_space(self, at: Point) -> InSpace:
        """Return a point unchanged, on the plane z = 0."""
        return InSpace(at.x, at.y, 0.0)

    def facing(self, at: Point) -> InSpace:
        """Return the way to the viewer."""
        return InSpace(0.0, 0.0, 1.0)

    def patches(self, panel: Outline, sag_mm: float) -> tuple[Patch, ...]:
        """Return the whole panel."""
        return (Patch(panel, InSpace(0, 0, 0), InSpace(1, 0, 0), InSpace(0, 1, 0)),)

    def fitted(self, x: Axis, y: Axis) -> FlatSurface:
        """Return the same: a flat panel as built is flat."""
        return self

    def width_seen(self, panel: Outline) -> float:
        """Return its own width."""
        return bounds(panel).width


FLAT = FlatSurface()
"""The surface of a panel of which nothing else is said."""


class _Bent(NamedTuple):
    """A place on the line of a bent sheet: along its plane, towards the viewer, and its heading."""

    along: float
    near: float
    heading: float


@dataclass(frozen=True)
class FoldedSurface:
    """A sheet of flats and bends, or one rolled to a cylinder, bent along x or along y.

    ``ends`` are the places, along the way it is bent, where its faces begin and end, one more
    than faces; ``angles`` what each turns through, in radians, positive away from the viewer
    and 0 for a flat.  It stands so that the face ``square`` is square to the viewer at
    ``square_at``, a share of its length.
    """

    ends: tuple[float, ...]
    angles: tuple[float, ...]
    upright: bool
    square: int
    square_at: float = 0.5

    @property
    def axis(self) -> RoundAxis | None:
        """The axis of a sheet rolled about x; None for one that is folded."""
        if not self.upright or len(self.angles) != 1 or not self.angles[0]:
            return None
        start = Point(0.0, self.ends[0])
        radius = (self.ends[1] - self.ends[0]) / self.angles[0]
        return RoundAxis(self.in_space(start).along(self.facing(start), -radius), upright=False)

    def fitted(self, x: Axis, y: Axis) -> FoldedSurface:
        """Return the sheet with the lengths of its faces as built."""
        fit = y if self.upright else x
        return replace(self, ends=tuple(map(fit, self.ends)))

    def width_seen(self, panel: Outline) -> float:
        """Return its own width, or across its bends that between its outermost places."""
        least, most, _ = self._reach
        return bounds(panel).width if self.upright else most - least

    def in_space(self, at: Point) -> InSpace:
        """Return where a point is; beyond the sheet it is carried straight on."""
        bent = self._bent(at.y if self.upright else at.x)
        low, _, near = self._reach
        along, out = bent.along - low, bent.near - near
        return InSpace(at.x, along, out) if self.upright else InSpace(along, at.y, out)

    def facing(self, at: Point) -> InSpace:
        """Return the way square to the sheet there."""
        heading = self._bent(at.y if self.upright else at.x).heading
        side, out = math.sin(heading), math.cos(heading)
        return InSpace(0.0, side, out) if self.upright else InSpace(side, 0.0, out)

    def patches(self, panel: Outline, sag_mm: float) -> tuple[Patch, ...]:
        """Return each flat whole, and each bend in strips."""
        box = bounds(panel)
        low, high = (box.bottom, box.top) if self.upright else (box.left, box.right)
        cuts = [low, *(c for c in self._cuts(sag_mm) if low < c < high), high]
        strips = []
        for a, b in pairwise(cuts):
            if self.upright:
                region = rectangle(box.width, b - a, Point(box.left, a))
                corners = Point(box.left, a), Point(box.right, a), Point(box.left, b)
            else:
                region = rectangle(b - a, box.height, Point(a, box.bottom))
                corners = Point(a, box.bottom), Point(b, box.bottom), Point(a, box.top)
            strips.append(patch_through(self, region, corners))
        return tuple(strips)

    def _cuts(self, sag_mm: float) -> list[float]:
        cuts = [self.ends[0]]
        for angle, (start, end) in zip(self.angles, pairwise(self.ends), strict=True):
            count = chord_count(abs(angle), (end - start) / abs(angle), sag_mm) if angle else 1
            cuts += [start + (end - start) * i / count for i in range(1, count + 1)]
        return cuts

    @cached_property
    def _starts(self) -> tuple[_Bent, ...]:
        """Where each face begins and the last ends, before the sheet is stood square."""
        at = [_Bent(0.0, 0.0, 0.0)]
        for angle, (start, end) in zip(self.angles, pairwise(self.ends), strict=True):
            at.append(_gone(at[-1], end - start, angle, 1.0))
        return tuple(at)

    @cached_property
    def _turn(self) -> float:
        """By how much the line is turned, so that the square face is square to the viewer."""
        return self._starts[self.square].heading + self.angles[self.square] * self.square_at

    def _bent(self, station: float) -> _Bent:
        last = len(self.angles) - 1
        face = next((i for i in range(last) if station < self.ends[i + 1]), last)
        start, end = self.ends[face], self.ends[face + 1]
        if station < self.ends[0]:
            at = _gone(self._starts[0], station - self.ends[0], 0.0, 1.0)
        elif station > self.ends[-1]:
            at = _gone(self._starts[-1], station - self.ends[-1], 0.0, 1.0)
        else:
            at = _gone(
                self._starts[face],
                end - start,
                self.angles[face],
                (station - start) / (end - start),
            )
        cos, sin = math.cos(self._turn), math.sin(self._turn)
        return _Bent(
            at.along * cos - at.near * sin, at.along * sin + at.near * cos, at.heading - self._turn
        )

    @cached_property
    def _reach(self) -> tuple[float, float, float]:
        """The least and greatest place along the plane, and the nearest to the viewer."""
        places = [self._bent(end) for end in self.ends]
        for face, angle in enumerate(self.angles):
            if not angle:
                continue
            start, end = self.ends[face], self.ends[face + 1]
            first = self._starts[face].heading - self._turn
            # Where the heading is a whole number of quarter turns, along or near is greatest.
            low, high = sorted((first, first + angle))
            for quarter in range(math.ceil(low / _QUARTER), math.floor(high / _QUARTER) + 1):
                share = (quarter * _QUARTER - first) / angle
                places.append(self._bent(start + share * (end - start)))
        along = [p.along for p in places]
        return min(along), max(along), max(p.near for p in places)


@dataclass(frozen=True)
class OtherHand:
    """The surface of a panel that is the other hand of one: the same, seen in a mirror.

    ``far`` is the sum of the x of the panel's left and right edges, ``wide`` how wide it is seen.
    """

    first: Surface
    far: float
    wide: float

    @property
    def axis(self) -> RoundAxis | None:
        """The axis of the first hand, seen in the mirror."""
        axis = self.first.axis
        if axis is None:
            return None
        x, y, z = axis.at
        return RoundAxis(InSpace(self.wide - x, y, z), axis.upright)

    def fitted(self, x: Axis, y: Axis) -> OtherHand:
        """Return the same: the first hand was fitted before it was turned over."""
        return self

    def width_seen(self, panel: Outline) -> float:
        """Return the width of the first hand."""
        return self.wide

    def in_space(self, at: Point) -> InSpace:
        """Return where a point is."""
        x, y, z = self.first.in_space(Point(self.far - at.x, at.y))
        return InSpace(self.wide - x, y, z)

    def facing(self, at: Point) -> InSpace:
        """Return the way square to the surface there."""
        x, y, z = self.first.facing(Point(self.far - at.x, at.y))
        return InSpace(-x, y, z)

    def patches(self, panel: Outline, sag_mm: float) -> tuple[Patch, ...]:
        """Return the patches of the first hand, turned over."""
        over = Identity.translate(self.far, 0.0).scale(-1.0, 1.0)
        turned = []
        for patch in self.first.patches(panel.transformed(over), sag_mm):
            x, y, z = patch.place(Point(self.far, 0.0))
            across = InSpace(patch.across.x, -patch.across.y, -patch.across.z)
            up = InSpace(-patch.up.x, patch.up.y, patch.up.z)
            region = patch.region.transformed(over)
            turned.append(Patch(region, InSpace(self.wide - x, y, z), across, up))
        return tuple(turned)


_QUARTER = math.pi / 2.0


def _gone(at: _Bent, length: float, angle: float, share: float) -> _Bent:
    """Return where a share of a face leads, from where it begins."""
    turned = angle * share
    chord = length * share * (math.sin(turned / 2.0) / (turned / 2.0) if turned else 1.0)
    way = at.heading + turned / 2.0
    return _Bent(
        at.along + chord * math.cos(way), at.near - chord * math.sin(way), at.heading + turned
    )


def folded_surface(
    lengths: Sequence[float], angles: Sequence[float], start: float, *, upright: bool
) -> FoldedSurface:
    """Return a folded sheet that begins at ``start``, its longest flat square to the viewer.

    Where it has no flat, its longest bend is, at its middle.
    """
    flats = [i for i, angle in enumerate(angles) if not angle] or range(len(angles))
    square = max(flats, key=lambda i: (lengths[i], -i))
    return FoldedSurface(tuple(accumulate(lengths, initial=start)), tuple(angles), upright, square)


def cylinder_surface(bottom: float, girth: float, first: float, last: float) -> FoldedSurface:
    """Return a sheet rolled about an axis along x, which runs up from ``bottom`` by ``girth`` mm.

    ``first`` and ``last`` are the angles round the axis where it begins and ends, in radians
    from the bottom up the side that is seen; a quarter turn faces the viewer.
    """
    # Heading is how far the sheet has turned away from the viewer: none at a quarter turn.
    share = (_QUARTER - first) / (last - first)
    return FoldedSurface((bottom, bottom + girth), (last - first,), True, 0, share)


def patch_through(surface: Surface, region: Outline, corners: tuple[Point, Point, Point]) -> Patch:
    """Return the patch whose plane goes through three places of a surface."""
    a, b, c = (surface.in_space(p) for p in corners)
    return plane_patch(region, corners, (a, b, c))


def plane_patch(
    region: Outline,
    corners: tuple[Point, Point, Point],
    places: tuple[InSpace, InSpace, InSpace],
) -> Patch:
    """Return the patch whose three corners on the panel are at three places in space."""
    a, b, c = corners
    there, along_b, along_c = places
    ux, uy, vx, vy = b.x - a.x, b.y - a.y, c.x - a.x, c.y - a.y
    size = ux * vy - uy * vx
    u, v = along_b.less(there), along_c.less(there)
    across = InSpace(*((p * vy - q * uy) / size for p, q in zip(u, v, strict=True)))
    up = InSpace(*((q * ux - p * vx) / size for p, q in zip(u, v, strict=True)))
    return Patch(region, there.along(across, -a.x).along(up, -a.y), across, up)


def chord_count(angle: float, radius: float, sag_mm: float) -> int:
    """Return in how many equal chords an arc stays within a sag."""
    most = 2.0 * math.acos(max(1.0 - sag_mm / radius, 0.0)) if radius > 0.0 else angle
    return max(math.ceil(angle / most - 1e-9), 1)


def quadrilateral(*corners: Point) -> Outline:
    """Return the region with straight sides between corners, those that coincide taken once."""
    kept = [p for p, q in pairwise((*corners, corners[0])) if math.dist(p, q) > 1e-9]
    return Outline((chain(kept),))
