"""The description as typed values: what may be written, and nothing else.

The same model validates a description and gives its JSON Schema.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    field_validator,
    model_validator,
)

from livery.describe.values import (
    SQUARE,
    AnyLength,
    CornerValue,
    Size,
    Where,
    to_position,
    wrong,
)
from livery.process import Process
from livery.units import Length, Scale, UnitError, read_scale, scale_of_gauges

Name = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*$")]
Edge = Literal["top", "bottom", "left", "right"]
CornerName = Literal["top_left", "top_right", "bottom_left", "bottom_right"]
Lab = tuple[float, float, float]


class Entry(BaseModel):
    """A table of the description: frozen, and closed to keys it does not know."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class GaugePair(Entry):
    """A scale given as the model's gauge and the prototype's."""

    gauge: Size
    prototype_gauge: Size


def read_any_scale(value: Any) -> Scale:
    """Read a scale from text or from a pair of gauges."""
    try:
        if isinstance(value, str):
            return read_scale(value)
        if isinstance(value, dict):
            pair = GaugePair.model_validate(value)
            return scale_of_gauges(pair.gauge, pair.prototype_gauge)
    except UnitError as error:
        raise wrong("scale", str(error), error.remedy) from None
    raise wrong("scale", "a scale is wanted here", 'Write "1:8", "1 1/2 in/ft" or "7 mm/ft".')


class Job(Entry):
    """What is being painted, at what scale, and on what paper its templates are printed."""

    title: str
    scale: str | GaugePair
    paper: Literal["A4", "Letter"] = "A4"
    note: str = ""

    @field_validator("scale", mode="before")
    @classmethod
    def _scale_is_readable(cls, value: Any) -> Any:
        read_any_scale(value)
        return value

    def read_scale(self) -> Scale:
        """Return the scale the job is built to."""
        value = self.scale
        return read_any_scale(value if isinstance(value, str) else value.model_dump())


class Paint(Entry):
    """A paint by its colour: a measured or wanted Lab, a screen colour, or a palette's number."""

    lab: Lab | None = None
    illuminant: str = "D65"
    observer: Literal[2, 10] = 2
    screen: Annotated[str, StringConstraints(pattern=r"^#[0-9A-Fa-f]{6}$")] | None = None
    standard: str | None = None
    finish: Literal["gloss", "satin", "matt"] = "gloss"
    note: str = ""

    @model_validator(mode="after")
    def _has_one_colour(self) -> Paint:
        if sum(v is not None for v in (self.lab, self.screen, self.standard)) != 1:
            raise wrong(
                "paint",
                "a paint wants its colour given in one way",
                'Give one of lab = [L, a, b], screen = "#rrggbb" or standard = "palette number".',
            )
        return self


class Strand(Entry):
    """One strand of a band, or the gap between two."""

    paint: str | None = None
    width: Size | None = None
    gap: Size | None = None
    process: Process | None = None

    @model_validator(mode="after")
    def _is_strand_or_gap(self) -> Strand:
        is_strand = self.paint is not None and self.width is not None and self.gap is None
        is_gap = self.gap is not None and self.paint is None and self.width is None
        if not (is_strand or is_gap):
            raise wrong(
                "strand",
                "a strand has a paint and a width; a gap has only its size",
                'Write { paint = "cream", width = "3/8 in" } or { gap = "1 in" }.',
            )
        return self

    @property
    def size(self) -> Length:
        """The strand's width, or the gap's."""
        return self.width or self.gap  # type: ignore[return-value]  # one is set, see above


class Band(Entry):
    """A lining of strands and gaps, from the outside to the inside."""

    strands: tuple[Strand, ...] = Field(min_length=1)


class AlphabetEntry(Entry):
    """A font file, relative to the description."""

    file: str


class BoxShape(Entry):
    """Where a shape is placed or bounded; edges left out are the panel's own."""

    left: Where | None = None
    right: Where | None = None
    bottom: Where | None = None
    top: Where | None = None


class Circle(Entry):
    """A circle by its centre and diameter."""

    centre: tuple[Where, Where]
    diameter: Size


class Shape(BoxShape):
    """An outline, given in one of several ways."""

    rectangle: tuple[Size, Size] | None = None
    at: tuple[Where, Where] | None = None
    crown: Size | None = None
    polygon: tuple[tuple[Any, ...], ...] | None = None
    circle: Circle | None = None
    path: str | None = None
    unit: Literal["in", "ft", "mm", "cm", "m"] | None = None
    file: str | None = None
    name: str | None = None
    corner: CornerValue = SQUARE
    corners: dict[CornerName, CornerValue] = Field(default_factory=dict)

    @field_validator("polygon")
    @classmethod
    def _points_are_places(cls, value: Any) -> Any:
        return None if value is None else tuple(_polygon_point(p) for p in value)

    @model_validator(mode="after")
    def _is_one_shape(self) -> Shape:
        ways = ("rectangle", "polygon", "circle", "path", "file")
        given = [w for w in ways if getattr(self, w) is not None]
        bounded = any(getattr(self, e) is not None for e in ("left", "right", "bottom", "top"))
        if len(given) + bounded > 1:
            both = " and ".join([*given, "edges"] if bounded else given)
            raise wrong(
                "shape", f"this outline is given twice over, by {both}", "Keep one of them."
            )
        if self.path is not None and self.unit is None:
            raise wrong(
                "missing-unit",
                "the path's numbers have no unit",
                'Add unit = "in" beside the path.',
            )
        if self.file is not None and self.name is None:
            raise wrong("shape", "which outline of the file?", 'Add name = "…" beside the file.')
        return self

    @property
    def is_given(self) -> bool:
        """Whether the shape is its own outline and not only the panel's whole."""
        return bool(self.model_fields_set - {"corner", "corners"})


def _polygon_point(point: tuple[Any, ...]) -> tuple[Any, ...]:
    if len(point) not in (2, 3):
        raise wrong(
            "shape",
            "a polygon's point is [x, y] or [x, y, corner]",
            'Write ["3 ft", "2 ft", "9 in"].',
        )
    from livery.describe.values import to_corner

    x, y = to_position(point[0]), to_position(point[1])
    return (x, y, to_corner(point[2]) if len(point) == 3 else None)


class AsBuilt(Shape):
    """The panel as it was made: its width and height on the model, or its whole outline."""

    width: Size | None = None
    height: Size | None = None

    @property
    def has_outline(self) -> bool:
        """Whether the outline as built is given, not only its overall sizes."""
        return bool(self.model_fields_set - {"width", "height"})


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


class KeepOut(Shape):
    """A place the livery keeps clear of: an opening in the sheet, or something fixed to it."""

    called: str = ""
    kind: Literal["opening", "fitting"] = "opening"
    built: AsBuilt | None = None


class FieldEntry(Entry):
    """A field of colour; the whole panel unless an area is given."""

    paint: str
    process: Process = Process.SPRAY
    area: Shape = Shape()


class InsetByEdge(Entry):
    """A different inset from each edge."""

    top: AnyLength | None = None
    bottom: AnyLength | None = None
    left: AnyLength | None = None
    right: AnyLength | None = None


class Lining(Entry):
    """A band or a single line, set in from the edges of the panel, an area or a keep-out."""

    band: str | None = None
    paint: str | None = None
    width: Size | None = None
    round: str | Shape = "panel"
    inset: AnyLength | InsetByEdge
    edges: tuple[Edge, ...] | None = None
    corner: CornerValue | None = None
    corners: dict[CornerName, CornerValue] = Field(default_factory=dict)
    at_keep_outs: Literal["stop", "carry through"] = "stop"
    gap: Size | None = None
    process: Process = Process.CUT_FILM

    @model_validator(mode="after")
    def _is_band_or_line(self) -> Lining:
        line = self.paint is not None and self.width is not None
        if (self.band is not None) == line or (
            self.band is not None and (self.paint or self.width)
        ):
            raise wrong(
                "lining",
                "a lining is a band, or a single line with its paint and width",
                'Write band = "passenger", or paint = "cream" and width = "3/8 in".',
            )
        return self


class Lettering(Entry):
    """Words set in an alphabet at a stated cap height."""

    text: Annotated[str, StringConstraints(min_length=1)]
    alphabet: str
    cap_height: Size
    paint: str
    at: tuple[Where, Where]
    align: Literal["left", "centre", "right"] = "centre"
    stand: Literal["baseline", "middle", "top"] = "baseline"
    tracking: AnyLength | None = None
    process: Process = Process.CUT_FILM
    mirrored: bool = False
    allow_over: tuple[str, ...] = ()


class Panel(Entry):
    """A flat face of the vehicle with everything that is put on it."""

    title: str = ""
    outline: Shape
    as_built: AsBuilt = AsBuilt()
    take_up: TakeUp = TakeUp()
    datum: dict[Name, DatumEntry] = Field(default_factory=dict)
    keep_out: tuple[KeepOut, ...] = ()
    field: tuple[FieldEntry, ...] = ()
    lining: tuple[Lining, ...] = ()
    lettering: tuple[Lettering, ...] = ()


class DescriptionModel(Entry):
    """The whole description."""

    include: tuple[str, ...] = ()
    job: Job
    paint: dict[Name, Paint] = Field(default_factory=dict)
    band: dict[Name, Band] = Field(default_factory=dict)
    alphabet: dict[str, AlphabetEntry] = Field(default_factory=dict)
    panel: dict[Name, Panel] = Field(min_length=1)
