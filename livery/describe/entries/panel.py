"""Panels, with their datums, keep-outs and fields."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from livery.describe.entries.entry import Entry, Name
from livery.describe.entries.lettering import Lettering
from livery.describe.entries.lining import Lining, Ornament
from livery.describe.entries.shape import AsBuilt, BoxShape, Shape
from livery.describe.values import AnyLength, Size, Where, wrong
from livery.process import Process


class DatumEntry(Entry):
    """A named height or station, on the prototype's drawing and on the model as built."""

    height: AnyLength | None = None
    station: AnyLength | None = None
    built: AnyLength | None = None

    @model_validator(mode="after")
    def _is_height_or_station(self) -> DatumEntry:
        if (self.height is None) == (self.station is None):
            raise wrong(
                "datum",
                "a datum is a height or a station",
                'Write { height = "3 ft 6 in" } or { station = "9 ft" }.',
            )
        return self


class TakeUp(BoxShape):
    """Where the difference between scale and the panel as built is taken."""

    width: Literal["in proportion", "in the middle"] | tuple[Where, Where] = "in proportion"
    height: Literal["in proportion", "in the middle"] | tuple[Where, Where] = "in proportion"


class Repeat(Entry):
    """The same again at a pitch: ``count`` in all, across or up."""

    count: Annotated[int, Field(ge=2, le=500)]
    pitch: Size
    up: bool = False


class Row(Entry):
    """Rivets or studs in a row between two points, at a pitch."""

    start: tuple[Where, Where]
    end: tuple[Where, Where]
    pitch: Size
    diameter: Size


class Rail(Entry):
    """A handrail or pipe along points."""

    along: Annotated[tuple[tuple[Where, Where], ...], Field(min_length=2)]
    diameter: Size


class Area(Shape):
    """A named area of the panel, such as a beaded compartment; it may be repeated."""

    repeat: Repeat | None = None


class KeepOut(Shape):
    """A place the livery keeps clear of: an opening in the sheet, or something fixed to it."""

    called: str = ""
    kind: Literal["opening", "fitting"] = "opening"
    repeat: Repeat | None = None
    rivets: Row | None = None
    rail: Rail | None = None

    @property
    def is_opening(self) -> bool:
        """Whether the sheet is cut away there."""
        return self.kind == "opening" and self.rivets is None and self.rail is None


class FieldEntry(Entry):
    """A field of colour; the whole panel unless an area is given."""

    paint: str
    process: Process = Process.SPRAY
    area: str | Shape = Shape()


class Panel(Entry):
    """A flat face of the vehicle with everything that is put on it."""

    title: str = ""
    outline: Shape
    as_built: AsBuilt = AsBuilt()
    take_up: TakeUp = TakeUp()
    datum: dict[Name, DatumEntry] = Field(default_factory=dict)
    area: dict[Name, Area] = Field(default_factory=dict)
    keep_out: tuple[KeepOut, ...] = ()
    field: tuple[FieldEntry, ...] = ()
    lining: tuple[Lining, ...] = ()
    ornament: tuple[Ornament, ...] = ()
    lettering: tuple[Lettering, ...] = ()
