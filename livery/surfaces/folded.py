"""Folded sheets: flats and bends in a chain, and where a place along them falls.

A *station* is a distance along the face the livery is put on, from the start of the
first face.  A bend turned away from that face carries the livery on its outside,
one turned towards it on its inside; the flats are as long on the one as on the other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate, pairwise
from typing import Literal, NamedTuple

from livery.geometry.measure import point_at
from livery.geometry.outline import Arc, Contour, Line, Point, Segment
from livery.surfaces.bend_allowance import bend_allowance, setback
from livery.surfaces.surface import FoldedSurface, folded_surface

MeasuredTo = Literal["tangent", "outside corner", "inside corner"]


@dataclass(frozen=True, slots=True)
class Flat:
    """A flat of a folded sheet, from where one bend ends to where the next begins."""

    length: float


@dataclass(frozen=True, slots=True)
class Bend:
    """A bend: the angle turned through, in radians, and its inside radius in mm.

    The angle is positive where the sheet turns away from the face that is seen.
    """

    angle: float
    radius: float


SheetFace = Flat | Bend


class FaceSpan(NamedTuple):
    """Where a face starts and ends, in mm along the developed sheet."""

    start: float
    end: float


class OnFace(NamedTuple):
    """A place on a face: which one it is, and how far along it from 0 to 1."""

    face: int
    share: float


@dataclass(frozen=True)
class FoldedSheet:
    """A chain of flats and bends of one thickness.

    ``neutral`` is the share of the thickness from the inside of a bend at which the
    metal keeps its length; left out, it follows from each bend's radius.
    """

    faces: tuple[SheetFace, ...]
    thickness: float
    neutral: float | None = None

    def __post_init__(self) -> None:
        if not self.faces:
            raise ValueError("a folded sheet has at least one face")
        if any(isinstance(f, Flat) and f.length <= 0.0 for f in self.faces):
            raise ValueError("every flat must be longer than zero")
        if any(isinstance(f, Bend) and self.surface_radius(f) <= 0.0 for f in self.faces):
            raise ValueError("a bend has a radius on the face that is seen")

    def surface_radius(self, bend: Bend) -> float:
        """Return a bend's radius on the face the livery is put on."""
        return bend.radius + (self.thickness if bend.angle > 0.0 else 0.0)

    def surface_length(self, face: SheetFace) -> float:
        """Return how long a face is where the livery is put on."""
        if isinstance(face, Flat):
            return face.length
        return abs(face.angle) * self.surface_radius(face)

    def blank_length_of(self, face: SheetFace) -> float:
        """Return how much of the blank a face takes."""
        if isinstance(face, Flat):
            return face.length
        return bend_allowance(face.angle, face.radius, self.thickness, self.neutral)

    @cached_property
    def spans(self) -> tuple[FaceSpan, ...]:
        """Where each face lies along the face the livery is put on."""
        return _spans([self.surface_length(f) for f in self.faces])

    @cached_property
    def blank_spans(self) -> tuple[FaceSpan, ...]:
        """Where each face lies along the blank, which is the neutral line laid straight."""
        return _spans([self.blank_length_of(f) for f in self.faces])

    @property
    def length(self) -> float:
        """The developed length of the face the livery is put on."""
        return self.spans[-1].end

    @property
    def blank_length(self) -> float:
        """The length of the blank."""
        return self.blank_spans[-1].end

    def on_face(self, station: float) -> OnFace:
        """Return the face a station lies on; beyond an end, the end face carried on."""
        last = len(self.spans) - 1
        i = next((i for i, span in enumerate(self.spans) if station < span.end), last)
        start, end = self.spans[i]
        return OnFace(i, (station - start) / (end - start))

    def station(self, place: OnFace) -> float:
        """Return the station of a place on a face."""
        start, end = self.spans[place.face]
        return start + place.share * (end - start)

    @cached_property
    def section(self) -> Contour:
        """The line of the face as bent, seen from above: from the origin, first along x.

        The seen face is on the right of travel, so that a bend away turns to the left.
        """
        at, heading = Point(0.0, 0.0), 0.0
        segments: list[Segment] = []
        for face in self.faces:
            if isinstance(face, Flat):
                end = _ahead(at, heading, face.length)
                segments.append(Line(at, end))
            else:
                chord = 2.0 * self.surface_radius(face) * math.sin(abs(face.angle) / 2.0)
                end = _ahead(at, heading + face.angle / 2.0, chord)
                segments.append(Arc(at, end, math.tan(face.angle / 4.0)))
                heading += face.angle
            at = end
        return Contour(tuple(segments), closed=False)

    def surface(self, start: float, *, upright: bool) -> FoldedSurface:
        """Return where the sheet is in space, for a panel on which it begins at ``start``."""
        angles = [face.angle if isinstance(face, Bend) else 0.0 for face in self.faces]
        lengths = [self.surface_length(face) for face in self.faces]
        return folded_surface(lengths, angles, start, upright=upright)

    def folded(self, station: float) -> tuple[Point, Point]:
        """Return where a station is on the section as bent, and the direction there."""
        return point_at(self.section, station)


def _spans(lengths: Sequence[float]) -> tuple[FaceSpan, ...]:
    return tuple(FaceSpan(a, b) for a, b in pairwise(accumulate(lengths, initial=0.0)))


def _ahead(at: Point, heading: float, distance: float) -> Point:
    return Point(at.x + distance * math.cos(heading), at.y + distance * math.sin(heading))


def to_tangents(
    faces: Sequence[SheetFace], measured_to: MeasuredTo, thickness: float
) -> list[SheetFace]:
    """Return faces with flats that were drawn to sharp corners shortened to where bends begin.

    ``outside corner`` and ``inside corner`` say on which side of the bend the corner was
    drawn.  Raises ``ValueError`` where nothing of a flat is left.
    """
    if measured_to == "tangent":
        return list(faces)
    depth = thickness if measured_to == "outside corner" else 0.0
    setbacks = [setback(f.angle, f.radius, depth) if isinstance(f, Bend) else 0.0 for f in faces]
    around = [0.0, *setbacks, 0.0]
    shortened: list[SheetFace] = []
    for i, face in enumerate(faces):
        if isinstance(face, Flat):
            left = face.length - around[i] - around[i + 2]
            if left <= 0.0:
                raise ValueError(
                    f"its bends leave nothing of flat {i + 1}, which is {face.length:.2f} mm"
                )
            face = replace(face, length=left)
        shortened.append(face)
    return shortened
