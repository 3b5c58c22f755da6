"""Fields of colour, plain, striped or chequered."""

from __future__ import annotations

from pydantic import model_validator

from livery.describe.entries.shape import PlacedShape
from livery.describe.values import Degrees, Size
from livery.process import Process
from livery.toml.entry import Entry, wrong


class Stripes(Entry):
    """Slanting stripes of a second paint over a field; one stripe passes through its middle."""

    paint: str
    """Their paint."""
    width: Size
    """The width of a stripe, measured square to it."""
    gap: Size | None = None
    """The space between stripes; if left out, as wide as the stripes."""
    slant: Degrees = 45.0
    """Their angle from the horizontal: "45 deg" leans to the right, "135 deg" to the left."""
    meet: bool = False
    """Whether stripes left of the middle lean the other way, and meet the others there in
    points."""


class Chequers(Entry):
    """Squares of a second paint that alternate over a field, from its bottom edge up."""

    paint: str
    """Their paint."""
    side: Size
    """The side of a square."""


class FieldEntry(Entry):
    """A field of colour; the whole panel unless an area is given."""

    called: str = ""
    """A name, by which a file that includes this one can change or drop it."""
    paint: str
    """Its paint."""
    process: Process = Process.SPRAY
    """How it is put on."""
    area: str | PlacedShape = PlacedShape.model_construct()
    """A shape, or the name of an area; if left out, the whole panel."""
    stripes: Stripes | None = None
    """Slanting stripes over it: { paint = "black", width = "3 in" }."""
    chequers: Chequers | None = None
    """Chequers over it: { paint = "black", side = "3 in" }."""

    @model_validator(mode="after")
    def _has_one_pattern(self) -> FieldEntry:
        if self.stripes is not None and self.chequers is not None:
            words = "this field is striped and chequered at once"
            raise wrong("field", words, "Give each a [[….field]] with an area of its own.")
        return self
