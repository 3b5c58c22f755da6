"""Fields of colour, plain, striped or chequered."""

from __future__ import annotations

from pydantic import model_validator

from livery.describe.entries.shape import PlacedShape
from livery.describe.values import Degrees, Size
from livery.process import Process
from livery.toml.entry import Entry, wrong


class Stripes(Entry):
    """Slanting stripes of a second paint over a field, one of them through its middle."""

    paint: str
    """Their paint."""
    width: Size
    """Their width, square to them."""
    gap: Size | None = None
    """What is left between them; as wide as they are, if left out."""
    slant: Degrees = 45.0
    """How far they lean from the level, toward the right: "45 deg"; toward the left "135 deg"."""
    meet: bool = False
    """Whether they lean the other way left of the middle, and meet there in points."""


class Chequers(Entry):
    """Squares of a second paint over a field, in turn, standing on its bottom edge."""

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
    """A shape, or an area's name; left out, the whole panel."""
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
