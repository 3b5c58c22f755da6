"""A shelf of tints as it is written in TOML: its tables and their keys."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from livery.colour.lab_entry import MeasuredLab
from livery.colour.mixing.card import CardEntry
from livery.colour.mixing.shelf_amounts import Price, Stock
from livery.toml.entry import Entry, wrong
from livery.toml.read import FileKind

Readings = tuple[float, ...]


class LabReading(Entry):
    """A reading as Lab, where no reflectance is known."""

    lab: MeasuredLab
    """Its Lab under D65."""
    observer: Literal[2, 10] = 2
    """The observer of the Lab, in degrees."""


class Reduction(Entry):
    """A tint drawn down with white, or with another tint of the shelf."""

    tint: Annotated[float, Field(gt=0, examples=[10])]
    """Its parts by weight."""
    white: Annotated[float, Field(gt=0, examples=[90])]
    """The parts by weight of what it is reduced with."""
    other: Annotated[str | None, Field(alias="with", examples=["zinc white"])] = None
    """The other tint that it is reduced with; the white of the shelf if left out."""
    reading: Readings | None = None
    """Its reflectance at each wavelength, 0 to 1."""
    lab: MeasuredLab | None = None
    """Its Lab under D65, instead of a reading."""
    observer: Literal[2, 10] = 2
    """The observer of its Lab, in degrees."""


def _not_numbers_alone(value: Any) -> Any:
    if isinstance(value, list) and value and all(isinstance(v, int | float) for v in value):
        shown = ", ".join(f"{v:g}" for v in value)
        kind = "lab" if len(value) == 3 else "reading"
        raise wrong(
            "shelf-reduction",
            "a reduction says what was mixed and what it read",
            f"Write reduction = {{ tint = 10, white = 90, {kind} = [{shown}] }}, with the parts by "
            "weight.",
        )
    return value


class TintEntry(Entry):
    """A tin on the shelf."""

    masstone: Readings | LabReading | None = None
    """The colour of the tint alone, in a film that hides: its reflectance at each wavelength, or
    { lab = [24, 12, -30] }."""
    reduction: Annotated[
        Reduction | tuple[Reduction, ...] | None, BeforeValidator(_not_numbers_alone)
    ] = None
    """The tint with white, which shows how strong it is; several in a list."""
    density: Annotated[float, Field(gt=0, examples=[1.1])] = 1.2
    """Its density in g/ml."""
    price: Price | None = None
    """Its price, and for how much: "38 per l", "12.50 per 250 ml", "30 per kg"."""
    stock: Stock | None = None
    """How much of it you have: "250 ml", "1 l", "400 g". If left out, enough."""
    strength: Annotated[float, Field(gt=0, examples=[1.1])] = 1.0
    """How strong this tin is against the one that was drawn down."""
    nature: str = "opaque"
    """Whether it is opaque, transparent or metallic; a metallic tint is left out of recipes."""
    safety: str = ""
    """A caution of its safety sheet."""
    specular: Literal["included", "excluded"] | None = None
    """Whether its readings include the gloss; as the shelf says if left out."""

    @property
    def reductions(self) -> tuple[Reduction, ...]:
        """Every reduction of the tint."""
        if self.reduction is None or isinstance(self.reduction, tuple):
            return self.reduction or ()
        return (self.reduction,)


class Wavelengths(Entry):
    """The wavelengths of all readings of a shelf, in nm."""

    first: Annotated[float, Field(alias="from", ge=200, le=2000)] = 400.0
    """The first, in nm."""
    last: Annotated[float, Field(alias="to", ge=200, le=2000)] = 700.0
    """The last, in nm."""
    step: Annotated[float, Field(ge=1)] = 10.0
    """From one to the next, in nm."""


class SurfaceEntry(Entry):
    """How the surface of a film reflects, where its fit starts."""

    k1: Annotated[float, Field(ge=0, lt=0.2)] = 0.04
    """The share of light from outside that the surface reflects."""
    k2: Annotated[float, Field(ge=0, lt=0.95)] = 0.6
    """The share of light from inside that the surface reflects."""


class ShelfEntry(Entry):
    """A shelf file: the tints that recipes are mixed from."""

    title: str = ""
    """What the shelf is called on cards."""
    white: str
    """The name of the tint that the others are reduced with."""
    wavelengths: Wavelengths = Wavelengths()
    """The wavelengths of all readings."""
    specular: str = "included"
    """Whether readings include the gloss, "included" or "excluded"."""
    surface: SurfaceEntry = SurfaceEntry()
    """How the surface of a film reflects, where its fit starts."""
    scatter_per_micron: Annotated[float | None, Field(gt=0, examples=[0.1])] = None
    """How strongly the white scatters, per micron of dry film; then a recipe says whether it hides."""
    model: str | None = None
    """The file that "livery calibrate" made of the drawdowns; it replaces the masstones."""
    record: str | None = None
    """Another file that holds the test cards."""
    card: tuple[CardEntry, ...] = ()
    """A test card of a mixture, as "livery adjust-batch --keep" adds it."""
    tint: dict[str, TintEntry]
    """A tin on the shelf."""


SHELF = FileKind(
    "shelf of tints",
    ShelfEntry,
    'Name a shelf file, or "demo"; a tint is [tint.NAME]. "livery keys shelf" shows its keys.',
)
