"""The vehicle of a description: its sizes, its panels' places, and surfaces that are not drawn."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field, model_validator

from livery.describe.amounts import SquareMm
from livery.describe.entries.names import Material, Name
from livery.describe.metal_values import MetalLength, MetalSize
from livery.describe.values import AnyLength, Degrees, Size
from livery.toml.entry import Entry, wrong
from livery.toml.without_effect import refuse_without_effect
from livery.units import Length, Scale

Face = Literal["left", "right", "front", "rear", "top"]
Ends = Literal["front", "rear", "both"]


class PlaceAsBuilt(Entry):
    """The place of a panel on the model, measured on the metal, with the vehicle on its wheels."""

    station: MetalLength | None = None
    """From the front headstock back to its leading edge."""
    height: MetalLength | tuple[MetalLength, MetalLength] | None = None
    """From the rail up to its bottom edge. Two heights if that is not level: at its leading and its
    trailing end, or at its left and its right end on the front, rear and top."""
    axis: MetalLength | tuple[MetalLength, MetalLength] | None = None
    """From the rail up to a barrel's axis; two if it is not level, as for height."""
    out: MetalLength | None = None
    """From the vehicle's centre line out to its bottom edge; for a barrel placed by its axis, and for gores, out to the axis."""
    across: MetalLength | None = None
    """From the vehicle's centre line to its middle, positive to the vehicle's right."""


class PanelPlace(Entry):
    """The place of a panel on a vehicle.

    Left and right are those of the vehicle, looking forward; the front is the end that goes first.
    """

    vehicle: Name | None = None
    """The vehicle it belongs to; needed only if the description has several."""
    face: Face
    """The side on which it is visible: left, right, front, rear or top."""
    station: AnyLength | None = None
    """From the front headstock back to its leading edge, or to the axis of gores. If left out, 0 at
    the front and the sides, and the vehicle's length at the rear."""
    height: AnyLength | None = None
    """From the rail up to its bottom edge, or to the lowest point of a bent or rolled sheet."""
    axis: AnyLength | None = None
    """For a barrel, instead of height: from the rail up to its axis, which is on the centre line
    unless out or across says otherwise."""
    out: AnyLength | None = None
    """From the vehicle's centre line out to its bottom edge, or to the outermost point of a bent or
    rolled sheet; if left out, half the vehicle's width. For a barrel placed by its axis, and for
    gores, out to the axis; if left out, 0."""
    across: AnyLength | None = None
    """On an end or the top, from the vehicle's centre line to its middle, positive to the vehicle's right."""
    lean: Degrees = 0.0
    """How far it leans inwards from upright, going up; negative outwards. Of a folded sheet, its
    longest flat leans so."""
    built: PlaceAsBuilt = PlaceAsBuilt.model_construct()
    """The same sizes measured on the model."""

    @model_validator(mode="after")
    def _fits_its_face(self) -> PanelPlace:
        is_side = self.face in ("left", "right")
        for name, asked in (("across", is_side), ("out", not is_side)):
            given = getattr(self, name) is not None or getattr(self.built, name) is not None
            if asked and given:
                raise wrong(
                    "place",
                    f'"{name}" does not place a panel on the {self.face}',
                    f"Write {'out' if is_side else 'across'} instead, or another face.",
                )
        if self.face == "top" and self.lean:
            raise wrong(
                "place",
                '"lean" does not place a panel on the top',
                'Write face = "left" or "right" for what slopes, and its lean = "60 deg".',
            )
        heights = [self.height is not None or self.built.height is not None]
        heights += [self.axis is not None or self.built.axis is not None]
        if all(heights):
            raise wrong(
                "place",
                "this place has a height and the height of an axis",
                "Write axis for a barrel, height for all else.",
            )
        if not any(heights):
            raise wrong(
                "place",
                "this panel has no height above the rail",
                'Add height = "4 ft 1 in", or built = { height = "110 mm" }.',
            )
        return self


class WheelEntry(Entry):
    """A wheel, or equal wheels at a pitch, drawn for scale."""

    station: AnyLength
    """From the front headstock back to its axle."""
    diameter: Size
    """Its diameter on the tread."""


class BufferEntry(Entry):
    """The buffers, drawn for scale."""

    height: Size
    """From the rail up to their centres."""
    diameter: Size
    """The diameter of their heads."""
    length: Size
    """How far they stand out from the headstock."""
    centres: Size | None = None
    """The distance between their middles; without it they are not drawn on the ends and from
    above."""
    ends: Ends = "both"
    """The ends that have them."""

    def is_on(self, end: str) -> bool:
        """Return whether the front or the rear has them."""
        return self.ends in (end, "both")


class GangwayEntry(Entry):
    """The gangways to the next vehicle, drawn for scale."""

    width: Size
    """Its width outside."""
    height: Size
    """From the rail up to its bottom."""
    tall: Size
    """From its bottom to its top."""
    length: Size
    """How far it stands out from the headstock when it is coupled."""
    ends: Ends = "both"
    """The ends that have them."""

    def is_on(self, end: str) -> bool:
        """Return whether the front or the rear has one."""
        return self.ends in (end, "both")


class VehicleAsBuilt(Entry):
    """The vehicle's sizes on the model, measured on the metal."""

    length: MetalSize | None = None
    """The length over headstocks."""
    width: MetalSize | None = None
    """The width over its sides."""
    coupling: MetalSize | None = None
    """From the rail up to the couplings."""
    coupling_out: MetalSize | tuple[MetalSize, MetalSize] | None = None
    """From a headstock out to the coupling plane; two values if the front and the rear differ."""


class Vehicle(Entry):
    """A vehicle; its panels that have a place are shown together.

    Heights are above the rail, measured with the vehicle standing on its wheels.
    """

    title: str = ""
    """Its title; if left out, the title of the job."""
    length: Size
    """The length over headstocks or buffer beams."""
    width: Size | None = None
    """The width over its sides; without it, a side whose place has no out is on the centre line."""
    coupling: Size | None = None
    """From the rail up to the couplings."""
    coupling_out: Size | tuple[Size, Size] | None = None
    """From a headstock out to the coupling plane, where the next vehicle's coupling meets it; two
    values if the front and the rear differ. If left out, as far as its buffers or gangways stand
    out."""
    built: VehicleAsBuilt = VehicleAsBuilt.model_construct()
    """The same sizes measured on the model. A panel without its own height as built is moved up or
    down as the couplings are."""
    settles: AnyLength | None = None
    """How much lower the vehicle is in working order than when it was measured."""
    gauge: Size | None = None
    """The distance between the rails; without it, wheels are not drawn on the ends."""
    wheels: tuple[WheelEntry, ...] = ()
    """Wheels to draw for scale."""
    buffers: BufferEntry | None = None
    """Buffers to draw for scale."""
    gangways: GangwayEntry | None = None
    """Gangways to draw for scale."""


class LevelLine(Entry):
    """A line or an edge that should run level along a vehicle and on to the next.

    It is followed on every panel that has a height datum or a lining of that name.
    """

    datum: Name | None = None
    """The height datum, or the level of a rolled sheet, that it runs along."""
    lining: str | None = None
    """The name of the lining whose edge it is."""
    edge: Literal["top", "bottom"] = "bottom"
    """Which edge of the lining."""
    vehicles: tuple[Name, ...] = ()
    """The vehicles it runs through; if left out, all that have it."""
    tolerance: Size = Length(Fraction(1, 2), on_model=True)
    """The largest step that is allowed; if left out, 0.5 mm on the model."""

    @model_validator(mode="after")
    def _is_one_thing(self) -> LevelLine:
        if (self.datum is None) == (self.lining is None):
            raise wrong(
                "line",
                "a line that runs on is a datum or a lining",
                'Write datum = "waist", or lining = "waist band" with its edge.',
            )
        refuse_without_effect(self, {"edge": ("lining",)})
        return self


class BareSurface(Entry):
    """A surface that is painted but not drawn: a roof, an end, frames, wheels, the inside.

    Give its area, or simple sizes from which it follows.
    """

    title: str = ""
    """Its title; if left out, its name."""
    paint: str
    """Its paint."""
    rectangle: tuple[Size, Size] | None = None
    """[length, height] of a flat surface, or [length, width between its edges] of an arched one."""
    arch: Size | None = None
    """How high the middle of an arched rectangle, such as a roof, is above its two long edges."""
    disc: Size | None = None
    """The diameter of a round, flat surface."""
    cylinder: tuple[Size, Size] | None = None
    """[diameter, length] of the outside of a round bar, barrel or tube, without its ends."""
    area: SquareMm | None = None
    """Its area on the model: "120 cm2"."""
    count: Annotated[int, Field(ge=1, le=500)] = 1
    """How many there are."""
    system: str | None = None
    """Its paint system, if not that of the job."""
    material: Material | None = None
    """Its material, if not that of the panels."""
    place: PanelPlace | tuple[PanelPlace, ...] | None = None
    """The place of a rectangle or a disc on the vehicle's elevations; a list if there are
    several."""

    @model_validator(mode="after")
    def _is_one_size(self) -> BareSurface:
        ways = ("rectangle", "disc", "cylinder", "area")
        given = [w for w in ways if getattr(self, w) is not None]
        if len(given) != 1:
            found = f"as {' and as '.join(given)}" if given else "no size"
            raise wrong(
                "surface",
                f"this surface has {found}" if not given else f"this surface is given {found}",
                'Write one of rectangle = ["8 ft", "3 ft"], disc = "3 ft", '
                'cylinder = ["6 in", "4 ft"] or area = "120 cm2".',
            )
        if self.arch is not None and self.rectangle is None:
            raise wrong(
                "surface",
                "only a rectangle can be arched",
                "Give its rectangle, or leave arch out.",
            )
        if len(self.places) > self.count:
            raise wrong(
                "surface",
                f"this surface has {len(self.places)} places, and count is {self.count}",
                f"Write count = {len(self.places)}.",
            )
        return self

    @property
    def places(self) -> tuple[PanelPlace, ...]:
        """Where it is seen."""
        if self.place is None:
            return ()
        return self.place if isinstance(self.place, tuple) else (self.place,)

    def painted_mm2(self, scale: Scale) -> float:
        """Return the area to paint on the model, of all there are, in square millimetres."""
        one = 0.0
        if self.rectangle is not None:
            length, across = (scale.to_model(side) for side in self.rectangle)
            arch = 0.0 if self.arch is None else scale.to_model(self.arch)
            one = length * arc_length(across, arch)
        elif self.disc is not None:
            one = math.pi * (scale.to_model(self.disc) / 2.0) ** 2
        elif self.cylinder is not None:
            one = math.pi * math.prod(scale.to_model(size) for size in self.cylinder)
        elif self.area is not None:
            one = self.area
        return one * self.count


def arc_length(chord: float, rise: float) -> float:
    """Return the length of an arc by its chord and how high its middle stands over it."""
    half = 2.0 * math.atan2(2.0 * rise, chord)
    return chord if half == 0.0 else chord * half / math.sin(half)
