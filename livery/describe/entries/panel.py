"""Panels, with their datums, keep-outs and fields."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, field_validator, model_validator

from livery.describe.entries.field import FieldEntry
from livery.describe.entries.lining import Lining, Ornament
from livery.describe.entries.names import Material, Name, Side
from livery.describe.entries.shape import AsBuilt, BoxShape, PlacedShape, Shape
from livery.describe.metal_values import MetalLength
from livery.describe.values import AnyLength, Size, Where
from livery.toml.entry import Entry, later, wrong
from livery.toml.without_effect import refuse_beside

if TYPE_CHECKING:
    from livery.describe.entries.built_keep_out import BuiltKeepOut
    from livery.describe.entries.lettering import Lettering
    from livery.describe.entries.sheet import Sheet
    from livery.describe.entries.vehicle import PanelPlace
else:  # what few panels have
    BuiltKeepOut = later("livery.describe.entries.built_keep_out", "BuiltKeepOut")
    Lettering = later("livery.describe.entries.lettering", "Lettering")
    Sheet = later("livery.describe.entries.sheet", "Sheet")
    PanelPlace = later("livery.describe.entries.vehicle", "PanelPlace")


NO_OUTLINE = "missing-outline"
"""The code of the fault of a panel without an outline."""


class DatumEntry(Entry):
    """A named height or station, on the prototype's drawing and on the model as built."""

    height: AnyLength | None = None
    """Its height on the drawing."""
    station: AnyLength | None = None
    """Its place along the drawing."""
    built: MetalLength | None = None
    """Where it is on the model's metal, from the bottom or the left, standing before this panel."""

    @model_validator(mode="after")
    def _is_height_or_station(self) -> DatumEntry:
        # On the other hand of a panel its built place alone will do; the references are checked.
        given = [p for p in (self.height, self.station) if p is not None]
        if len(given) > 1 or (not given and self.built is None):
            raise wrong(
                "datum",
                "a datum is a height or a station",
                'Write { height = "3 ft 6 in" } or { station = "9 ft" }.',
            )
        return self

    def on_other_hand_of(self, first: DatumEntry | None) -> DatumEntry:
        """Return the datum; one with its built place alone has that on the drawing from the first's."""
        if first is None or self.height is not None or self.station is not None:
            return self
        return first.model_copy(update={"built": self.built})


class TakeUp(BoxShape):
    """Where on the panel the difference between scale and as built is taken up.

    Left and right are those of this panel as you see it, also on a ``mirror_of`` panel; a plain
    length is a place on the drawing.
    """

    width: Literal["in proportion", "in the middle"] | tuple[Where, Where] = "in proportion"
    """Where the difference in width is taken up, or [from, to]."""
    height: Literal["in proportion", "in the middle"] | tuple[Where, Where] = "in proportion"
    """Where the difference in height is taken up, or [from, to]."""


class Repeat(Entry):
    """Copies at a pitch, across or up: ``count`` in total."""

    count: Annotated[int, Field(ge=2, le=500)]
    """How many there are in total."""
    pitch: Size
    """From each to the next."""
    up: bool = False
    """Whether the copies go up instead of across."""


class RivetRow(Entry):
    """Rivets or studs in a row between two points, at a pitch."""

    start: tuple[Where, Where]
    """The first rivet: [across, up]."""
    end: tuple[Where, Where]
    """The last rivet."""
    pitch: Size
    """The distance from each rivet to the next; the nearest that divides the row evenly is used."""
    diameter: Size
    """The heads' diameter."""


class Rail(Entry):
    """A handrail or pipe along points."""

    along: Annotated[tuple[tuple[Where, Where], ...], Field(min_length=2)]
    """The points it runs through."""
    diameter: Size
    """Its diameter."""


class NamedArea(PlacedShape):
    """A named area of the panel, such as a beaded compartment; it may be repeated at a pitch."""

    repeat: Repeat | None = None
    """Copies of the area at a pitch."""


class KeepOut(PlacedShape):
    """A place that the livery stays clear of: an opening in the sheet, or something fixed to it."""

    called: str = ""
    """Its name, so that lining can run round it, letters can be allowed over it, and places can be
    given from its edges and its middle: "window left", "window centre", "window top - 2 in". If
    several have one name, they are numbered in their order: "window 2 left"."""
    kind: Literal["opening", "fitting"] = "opening"
    """An opening in the sheet, or a fitting on it."""
    as_built: BuiltKeepOut | None = None
    """Where it is on the metal, as measured; what is placed by its name follows the metal."""
    repeat: Repeat | None = None
    """Copies at a pitch."""
    rivets: RivetRow | None = None
    """A row of rivets."""
    rail: Rail | None = None
    """A handrail or pipe."""

    @model_validator(mode="after")
    def _is_one_thing(self) -> KeepOut:
        given = [w for w in ("rivets", "rail") if getattr(self, w) is not None]
        given += ["a shape"] if self.is_given else []
        if len(given) > 1:
            message = f"this keep-out is {' and '.join(given)} at once"
            raise wrong("shape", message, "Give each a [[….keep_out]] of its own.")
        refuse_beside(self, [(g, "corner") for g in given], "a keep-out")
        if self.as_built is not None:
            _refuse_built(self)
        return self

    @property
    def is_opening(self) -> bool:
        """Whether the sheet is cut away there."""
        return self.kind == "opening" and self.rivets is None and self.rail is None


def _refuse_built(entry: KeepOut) -> None:
    """Raise where an entry that stands for several things is given one place on the metal."""
    if entry.repeat is not None:
        raise wrong(
            "shape",
            "one place on the metal cannot be that of every copy",
            "Write a [[….keep_out]] for each copy that was measured; they may have one name.",
        )
    row = "rivets" if entry.rivets is not None else "rail" if entry.rail is not None else None
    if row is not None:
        raise wrong(
            "shape",
            f"{row} have no as_built",
            'Write their places as measured: ["31 mm on model", "80 mm on model"].',
        )


class PanelEdge(Entry):
    """What film and decals do at edges of the panel; if left out, they run past every edge."""

    on: Annotated[tuple[str, ...], Field(min_length=1)]
    """The edges: "top", "bottom", "left", "right", "leading", "trailing", or the names of
    openings."""
    kind: Literal["handled", "butted", "free"]
    """"handled": film stays back from the edge. "butted" against another sheet: film ends at the
    edge. "free": film runs past the edge."""
    by: Size | None = None
    """How far film stays back (1 mm on the model if left out), or how far it runs past (if left
    out, as its film says)."""

    @model_validator(mode="after")
    def _ends_on_a_butt(self) -> PanelEdge:
        if self.kind == "butted" and self.by is not None:
            message = "film ends on an edge that butts: it is neither held back nor runs past"
            raise wrong("edge", message, 'Leave out by, or write kind = "free" or "handled".')
        return self

    def sides(self, leading: Side) -> tuple[str, ...]:
        """Return the edges with the leading and trailing ones by left and right."""
        names = {"leading": leading, "trailing": "right" if leading == "left" else "left"}
        return tuple(names.get(e, e) for e in self.on)


PUT_ON = ("area", "keep_out", "field", "lining", "ornament", "lettering")
"""What is put on a panel, entry by entry; the other hand of a panel can change any of it."""


class Panel(Entry):
    """A surface of the vehicle, flat or developed flat, with everything that is put on it."""

    title: str = ""
    """Its title on drawings."""
    mirror_of: str | None = None
    """The panel that this one is the other hand of; words still read correctly. Give only what
    differs: sizes as built, measured from this panel's own left as you face it; and entries by what
    they are called, with places as on the other panel, which are turned over with the rest."""
    same_as: str | None = None
    """The panel that has the same drawing. Give this panel's own place and sizes as built, and what
    differs, by what it is called."""
    turned: bool = False
    """Whether this panel is the ``same_as`` panel turned by half a turn in its plane, about its
    middle; words, and ornaments with ``mirrored = false``, stay upright. Entries are written as on
    that panel and are turned with the rest; sizes as built are measured as you face this panel. For
    flat panels only."""
    outline: Shape = Shape.model_construct()
    """Its outline on the drawing."""
    leading: Side = "left"
    """Which of its sides goes first; for a panel that is placed on a side, it follows from the
    place."""
    place: PanelPlace | None = None
    """Where it is on the vehicle; if left out, it is a loose panel, shown only by itself."""
    sheet: Sheet | None = None
    """The bent or rolled sheet, cone or gores that it is made of, developed flat."""
    as_built: AsBuilt = AsBuilt.model_construct()
    """Its size or outline as built, measured on the metal as you face this panel."""
    take_up: TakeUp = TakeUp.model_construct()
    """Where the difference between scale and metal is taken up."""
    datum: dict[Name, DatumEntry] = Field(default_factory=dict)
    """Heights and stations known on the drawing and on the metal."""
    area: dict[Name, NamedArea] = Field(default_factory=dict)
    """Named areas, such as beaded panels."""
    keep_out: tuple[KeepOut, ...] = ()
    """Windows, rivets, handles and rails that the livery stays clear of."""
    edge: tuple[PanelEdge, ...] = ()
    """Edges that film must not run past, because hands touch them or another sheet butts against
    them."""
    field: tuple[FieldEntry, ...] = ()
    """Fields of colour, each over those before it."""
    lining: tuple[Lining, ...] = ()
    """Bands and lines."""
    ornament: tuple[Ornament, ...] = ()
    """Corner ornaments and figures."""
    lettering: tuple[Lettering, ...] = ()
    """Words and numbers."""
    system: str | None = None
    """Its paint system below the colours, if not that of the job."""
    material: Material | None = None
    """Its material, if not that of the other panels."""
    hot: bool = False
    """Whether it gets hot in steam, like a boiler or a smokebox: film and decals do not stay on
    it."""

    @property
    def changed(self) -> dict[str, Any]:
        """Return what the other hand of a panel has instead of the first hand's values, by key."""
        return {n: getattr(self, n) for n in PUT_ON if n in self.model_fields_set}

    @property
    def front(self) -> Side:
        """Which of its sides goes first: on a vehicle's side, the one its place has."""
        if self.place is not None and self.place.face in ("left", "right"):
            return self.place.face
        return self.leading

    @model_validator(mode="after")
    def _other_hand_has_nothing_of_its_own(self) -> Panel:
        own = self.model_fields_set - {
            "title",
            "mirror_of",
            "as_built",
            "take_up",
            "datum",
            "place",
            *PUT_ON,
            "system",
            "material",
        }
        if self.mirror_of is not None and own:
            raise wrong(
                "mirror",
                f"the other hand of a panel has no {', '.join(sorted(own))} of its own",
                "Leave that out; or write same_as for a panel that is not the other hand, or describe it in full.",
            )
        return self

    @property
    def laid_out_from(self) -> str | None:
        """The panel that it is laid out as, and then turned over or turned round; None for itself."""
        return self.same_as if self.turned else self.mirror_of

    @field_validator("turned", mode="before")
    @classmethod
    def _is_no_angle(cls, turned: object) -> object:
        if isinstance(turned, bool):
            return turned
        raise wrong(
            "turned",
            f'"{turned}" is not a half turn, and a panel is turned by half a turn only',
            "Write turned = true for half a turn; for a quarter turn describe the panel in full, "
            "its width where the height was.",
        )

    @model_validator(mode="after")
    def _is_turned_flat(self) -> Panel:
        if not self.turned:
            return self
        if self.same_as is None:
            raise wrong(
                "turned",
                "only a panel that is the same as another can be turned round",
                'Write same_as = "…" with it, or leave turned out.',
            )
        if self.sheet is not None:
            raise wrong(
                "turned",
                "a sheet that is bent or rolled cannot be turned round in its plane",
                "Describe the panel in full, its bends as they come from its bottom or its left.",
            )
        return self

    @model_validator(mode="after")
    def _has_an_outline(self) -> Panel:
        if self.mirror_of is not None or self.same_as is not None:
            return self  # a panel that is the same as one not found has its fault already
        if self.sheet is None and not self.outline.is_given:
            raise wrong(
                NO_OUTLINE,
                "this panel has no outline",
                'Write outline = { rectangle = ["6 ft", "4 ft"] }, or the sheet it is made of. '
                "If another panel is meant, check its name.",
            )
        return self
