"""The vehicle a description is of: its sizes, where its panels stand, and what is not drawn."""

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
from livery.units import Length, Scale

Face = Literal["left", "right", "front", "rear", "top"]
Ends = Literal["front", "rear", "both"]


class PlaceAsBuilt(Entry):
    """Where a panel stands on the model, off the metal, with the vehicle on its wheels."""

    station: MetalLength | None = None
    """From the front headstock back to its leading edge."""
    height: MetalLength | tuple[MetalLength, MetalLength] | None = None
    """From the rail up to its bottom edge; two where that is not level: to the metal at its leading and its trailing end, or at its left and its right end on the front, rear and top."""
    axis: MetalLength | tuple[MetalLength, MetalLength] | None = None
    """From the rail up to a barrel's axis; two where it is not level, as for height."""
    out: MetalLength | None = None
    """From the vehicle's centre line out to its bottom edge; for a barrel placed by its axis, and for gores, out to the axis."""
    across: MetalLength | None = None
    """From the vehicle's centre line to its middle, positive to the vehicle's right."""


class PanelPlace(Entry):
    """Where a panel stands on a vehicle.

    Left and right are the vehicle's own, looking the way it goes; the front is the end that
    goes first.
    """

    vehicle: Name | None = None
    """The vehicle it stands on; needed only where the description has several."""
    face: Face
    """The face it is seen on: left, right, front, rear or top."""
    station: AnyLength | None = None
    """From the front headstock back to its leading edge, for gores back to their axis; left out, 0 at the front and the sides, the vehicle's length at the rear."""
    height: AnyLength | None = None
    """From the rail up to its bottom edge; on what is bent or rolled, up to the lowest of it."""
    axis: AnyLength | None = None
    """Instead of height, for a barrel: from the rail up to its axis, which then stands on the centre line unless out or across says otherwise."""
    out: AnyLength | None = None
    """From the vehicle's centre line out to its bottom edge, on what is bent or rolled to the outermost of it; left out, half the vehicle's width. For a barrel placed by its axis, and for gores, out to the axis; left out, none."""
    across: AnyLength | None = None
    """On an end or the top, from the vehicle's centre line to its middle, positive to the vehicle's right."""
    lean: Degrees = 0.0
    """How far it leans inwards from upright, going up; negative outwards."""
    built: PlaceAsBuilt = PlaceAsBuilt.model_construct()
    """The same as measured on the model."""

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
                "how high above the rail does this panel stand?",
                'Add height = "4 ft 1 in", or built = { height = "110 mm" }.',
            )
        return self


class WheelEntry(Entry):
    """A wheel, or the same wheel at a pitch, drawn for scale."""

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
    """From the middle of one to the middle of the other; only with it are they seen on the ends and from above."""
    ends: Ends = "both"
    """On which ends it has them."""

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
    """How far it stands out from the headstock when coupled."""
    ends: Ends = "both"
    """On which ends it has them."""

    def is_on(self, end: str) -> bool:
        """Return whether the front or the rear has one."""
        return self.ends in (end, "both")


class VehicleAsBuilt(Entry):
    """The vehicle's sizes on the model, off the metal."""

    length: MetalSize | None = None
    """Over headstocks."""
    width: MetalSize | None = None
    """Over its sides."""
    coupling: MetalSize | None = None
    """From the rail up to the couplings."""
    coupling_out: MetalSize | tuple[MetalSize, MetalSize] | None = None
    """From a headstock out to the coupling plane; two where the front and the rear differ."""


class Vehicle(Entry):
    """A vehicle; panels that have a place on it are seen together.

    Heights are above the rail, measured with the vehicle standing on its wheels.
    """

    title: str = ""
    """What it is; left out, the job's title."""
    length: Size
    """Over headstocks or buffer beams."""
    width: Size | None = None
    """Over its sides."""
    coupling: Size | None = None
    """From the rail up to the couplings."""
    coupling_out: Size | tuple[Size, Size] | None = None
    """From a headstock out to the coupling plane, where the next vehicle's coupling meets it; two where the front and the rear differ. Left out, as far as its buffers or its gangways stand out."""
    built: VehicleAsBuilt = VehicleAsBuilt.model_construct()
    """The same as measured on the model; panels without a height of their own as built stand as much higher or lower than drawn as the couplings do."""
    settles: AnyLength | None = None
    """How much lower it stands in working order than when it was measured."""
    gauge: Size | None = None
    """Between the rails; only with it are wheels seen on the ends."""
    wheels: tuple[WheelEntry, ...] = ()
    """Wheels to draw for scale."""
    buffers: BufferEntry | None = None
    """Buffers to draw for scale."""
    gangways: GangwayEntry | None = None
    """Gangways to draw for scale."""


class LevelLine(Entry):
    """A line or an edge that is to run on level, through a vehicle and from one to the next.

    It is followed on every panel that has it, by the name of a height datum or of a lining.
    """

    datum: Name | None = None
    """The height datum it runs along."""
    lining: str | None = None
    """What the lining is called that it is the edge of."""
    edge: Literal["top", "bottom"] = "bottom"
    """Which edge of the lining."""
    vehicles: tuple[Name, ...] = ()
    """The vehicles it runs through; left out, every one that has it."""
    tolerance: Size = Length(Fraction(1, 2), on_model=True)
    """The largest step that is allowed; left out, 0.5 mm on the model."""

    @model_validator(mode="after")
    def _is_one_thing(self) -> LevelLine:
        if (self.datum is None) == (self.lining is None):
            raise wrong(
                "line",
                "a line that runs on is a datum or a lining",
                'Write datum = "waist", or lining = "waist band" with its edge.',
            )
        return self


class BareSurface(Entry):
    """A surface that is painted but not drawn: a roof, an end, frames, wheels, the inside.

    Give its area, or simple sizes that it follows from.
    """

    title: str = ""
    """What it is; left out, its name."""
    paint: str
    """Its paint."""
    rectangle: tuple[Size, Size] | None = None
    """[length, height] of a flat one, or of an arched one [length, width between its edges]."""
    arch: Size | None = None
    """How high the middle of an arched rectangle, such as a roof, stands over its two long edges."""
    disc: Size | None = None
    """The diameter of a round flat one."""
    cylinder: tuple[Size, Size] | None = None
    """[diameter, length] of the outside of a round bar, barrel or tube, without its ends."""
    area: SquareMm | None = None
    """Its area on the model: "120 cm2"."""
    count: Annotated[int, Field(ge=1, le=500)] = 1
    """How many there are."""
    system: str | None = None
    """Its paint system, if not the job's."""
    material: Material | None = None
    """What it is made of, if not as the panels."""
    place: PanelPlace | tuple[PanelPlace, ...] | None = None
    """Where a rectangle or a disc is seen on the vehicle's elevations; a list where there are several of it."""

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
