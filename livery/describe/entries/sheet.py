"""Sheets that are not flat: bent, rolled, cones and gores."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from livery.describe.entries.names import Name
from livery.describe.metal_values import MetalSize
from livery.describe.values import AnyLength, Degrees, Size
from livery.toml.entry import Entry, wrong

FACE_PLACES = ("start", "centre", "end")
ROUND_NAMES = {"side": 90.0, "crown": 180.0, "far-side": 270.0}
"""The lines along a barrel that have names, in degrees from the bottom up the side seen."""


class FaceEntry(Entry):
    """One part of a folded sheet: a flat with its length, or a bend with its angle and radius.

    A bend is positive where the sheet turns away from the face that is seen.  ``built``
    is the face's length on the model, measured over the face that is seen.
    """

    flat: Size | None = None
    """The length of a flat."""
    bend: Degrees | None = None
    """The angle a bend turns through."""
    radius: AnyLength | None = None
    """The radius of a bend."""
    called: Name | None = None
    """Its name; the places along it are called `name-start`, `name-centre` and `name-end`."""
    built: MetalSize | None = None
    """Its length as built, on the model's metal."""

    @model_validator(mode="after")
    def _is_flat_or_bend(self) -> FaceEntry:
        is_flat = self.flat is not None and self.bend is None and self.radius is None
        is_bend = self.bend is not None and self.radius is not None and self.flat is None
        if not (is_flat or is_bend):
            raise wrong(
                "sheet",
                "a face of a sheet is a flat, or a bend with its radius",
                'Write { flat = "22 ft" } or { bend = "90 deg", radius = "6 in" }.',
            )
        if self.bend is not None and not 0.0 < abs(self.bend) <= 180.0:
            raise wrong(
                "sheet",
                f"a bend turns by more than 0 deg and by 180 deg at most, not by {self.bend:g}",
                'Write "90 deg" for a bend away from the face seen, "-90 deg" for one towards it.',
            )
        if self.radius is not None and self.radius.exact < 0:
            raise wrong("sheet", "a bend's radius is not negative", 'Write "6 in".')
        return self


class RolledEntry(Entry):
    """What cylinders and cones share: the length, and the angles where the sheet starts and ends.

    Angles are measured from the bottom, up the visible side; for a slanting seam, ``seam_slope`` is
    how much further round the seam is at the right end.
    """

    length: Size
    """The length along the axis."""
    diameters_of: Literal["outside", "neutral", "inside"] = "outside"
    """What the diameters are measured over."""
    start: Degrees = 0.0
    """The angle where it starts, from the bottom."""
    end: Degrees = 360.0
    """Where it ends."""
    seam_slope: Degrees = 0.0
    """How much further round the seam is at the right end."""

    @model_validator(mode="after")
    def _goes_round(self) -> RolledEntry:
        start, end = f"{self.start:g} deg", f"{self.end:g} deg"
        if self.end <= self.start:
            raise wrong(
                "sheet",
                f'this rolled sheet ends at "{end}" and starts at "{start}": its end comes after its start',
                "Angles grow from the bottom up the visible side and over the top. A sheet that goes "
                f'on through the bottom starts at a negative angle: "{self.start - 360.0:g} deg" is '
                f'the same place as "{start}".'
                if 0.0 < self.start < 360.0
                else "Angles grow from the bottom up the visible side and over the top: write a "
                "larger end, or a smaller start, which may be negative.",
            )
        if self.end - self.start > 360.0:
            raise wrong(
                "sheet",
                f'a rolled sheet goes round by 360 deg at most, not from "{start}" to "{end}"',
                "Write an end that is 360 deg or less after the start.",
            )
        return self


class CylinderEntry(RolledEntry):
    """A parallel barrel."""

    diameter: Size
    """The diameter."""


class ConeEntry(RolledEntry):
    """A tapered barrel, by its diameters at the left and the right end."""

    left: Size
    """The diameter at the left end."""
    right: Size
    """The diameter at the right end."""


class GoresEntry(Entry):
    """A surface of revolution in gores, by its profile from the base to the tip.

    The profile is a list of points [along the axis, radius], joined by straight or smooth lines, or
    a path whose x runs along the axis and whose y is the radius.
    """

    profile: Annotated[tuple[tuple[AnyLength, AnyLength], ...], Field(min_length=2)] | None = None
    """The points of the profile: [along the axis, radius]."""
    curve: Literal["straight", "smooth"] = "straight"
    """How the profile runs from point to point."""
    path: str | None = None
    """The profile as SVG path data."""
    unit: Literal["in", "ft", "mm", "cm", "m"] | None = None
    """The unit of the path's numbers."""
    count: Annotated[int, Field(ge=3, le=96)] | None = None
    """How many gores."""
    within: Size | None = None
    """The largest error allowed: the smallest number of gores that keeps within it is used."""
    spacing: Size | None = None
    """The gap between the gores when they are laid out flat."""

    @model_validator(mode="after")
    def _is_whole(self) -> GoresEntry:
        if (self.profile is None) == (self.path is None):
            raise wrong(
                "sheet",
                "gores need one profile",
                'Write profile = [["0 in", "8 in"], …] or path = "M 0 8 …" with its unit.',
            )
        if self.path is not None and self.unit is None:
            raise wrong(
                "missing-unit",
                "the path's numbers have no unit",
                'Add unit = "in" beside the path.',
            )
        if (self.count is None) == (self.within is None):
            raise wrong(
                "sheet",
                "gores need their number, or the largest error allowed",
                'Write count = 12, or within = "0.3 mm on model".',
            )
        return self


class LevelEntry(Entry):
    """A named level: on a barrel, a height above its axis; on gores, a distance along it."""

    height: AnyLength
    """How high above the axis, or how far along it."""
    far: bool = False
    """Whether it is on the far side, which is not visible."""


class Sheet(Entry):
    """A sheet that is bent or rolled, a cone or gores; the panel is its development.

    ``thickness`` and ``neutral`` (the place of the neutral line, as a share of the thickness from
    the inside) give the difference between the painted face and the blank that is cut.
    """

    faces: Annotated[tuple[FaceEntry, ...], Field(min_length=1)] | None = None
    """The flats and bends of a folded sheet, in order."""
    cylinder: CylinderEntry | None = None
    """A parallel barrel."""
    cone: ConeEntry | None = None
    """A tapered barrel."""
    gores: GoresEntry | None = None
    """A dome or a spun nose."""
    thickness: Size | None = None
    """The sheet's thickness."""
    neutral: Annotated[float, Field(ge=0.0, le=1.0)] | None = None
    """The place of the neutral line, as a share of the thickness from the inside; if left out, it
    follows from radius and thickness."""

    along: Literal["width", "height"] = "width"
    """The direction in which the parts of a folded sheet follow each other."""
    across: Size | None = None
    """The size of a folded sheet in the other direction."""
    flats_to: Literal["tangent", "outside corner", "inside corner"] = "tangent"
    """The points to which the drawing dimensions its flats."""
    radii_of: Literal["inside", "neutral", "outside"] = "inside"
    """The face, or the neutral line, to which the drawing dimensions its radii."""

    level: dict[Name, LevelEntry] = Field(default_factory=dict)
    """Named level lines."""

    @field_validator("faces")
    @classmethod
    def _begins_and_ends_soundly(
        cls, faces: tuple[FaceEntry, ...] | None
    ) -> tuple[FaceEntry, ...] | None:
        names = [f.called for f in faces or () if f.called]
        twice = next((n for n in names if names.count(n) > 1), None)
        if twice is not None:
            raise wrong("sheet", f'two faces are called "{twice}"', "Give each its own name.")
        built = [f.built is not None for f in faces or () if f.flat is not None]
        if any(built) and not all(built):
            raise wrong(
                "sheet",
                "some flats have their size as built and some do not",
                "Measure every flat, or none; a bend follows from its radius.",
            )
        return faces

    @model_validator(mode="after")
    def _is_one_sheet(self) -> Sheet:
        ways = ("faces", "cylinder", "cone", "gores")
        given = [w for w in ways if getattr(self, w) is not None]
        if len(given) != 1:
            raise wrong(
                "sheet",
                f"this sheet is given as {' and as '.join(given)}"
                if given
                else "this sheet has no faces, cylinder, cone or gores",
                "Write one of faces, cylinder, cone or gores.",
            )
        if self.level and self.faces is not None:
            raise wrong(
                "sheet",
                "levels are for barrels and gores",
                "On a folded sheet, name heights by datums: [panel.….datum].",
            )
        return self

    @property
    def is_built(self) -> bool:
        """Whether its faces' sizes as built are given."""
        return any(f.built is not None for f in self.faces or ())

    def at_scale(self) -> Sheet:
        """Return the sheet as if it had been built to scale."""
        if not self.is_built:
            return self
        faces = tuple(f.model_copy(update={"built": None}) for f in self.faces or ())
        return self.model_copy(update={"faces": faces})

    @property
    def face_names(self) -> tuple[str, ...]:
        """The name of each face, its own or its number."""
        return tuple(f.called or f"face-{i}" for i, f in enumerate(self.faces or (), start=1))

    @property
    def station_names(self) -> tuple[str, ...]:
        """The stations the sheet itself names."""
        if self.gores is not None or self.along == "height":
            return ()
        return self._face_places

    @property
    def height_names(self) -> tuple[str, ...]:
        """The heights the sheet itself names."""
        rolled = self.cylinder or self.cone
        if rolled is not None:
            named = [n for n, at in ROUND_NAMES.items() if rolled.start <= at <= rolled.end]
            return (*named, *self.level)
        if self.gores is not None:
            return tuple(self.level)
        return self._face_places if self.along == "height" else ()

    @property
    def _face_places(self) -> tuple[str, ...]:
        return tuple(f"{name}-{place}" for name in self.face_names for place in FACE_PLACES)
