"""Paints, by their colour and by how they behave."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from livery.describe.amounts import Hours, Litres, Mix, Part
from livery.describe.entries.paint_colour import HazeAsked, PhotoSample, Shelf
from livery.describe.values import Lab, Size
from livery.toml.entry import Entry, wrong


class PaintPack(Entry):
    """A tin of a stated content."""

    holds: Litres
    price: Annotated[float, Field(ge=0.0)] | None = None


_THICKEST_COAT_MM = 1.0
"""Far beyond any sprayed coat."""


class Paint(Entry):
    """A paint by its colour: a Lab, a screen colour, a standard's number, a photograph, a recipe.

    A ``shelf`` says what to mix it from; its colour card then has a recipe, or tells how
    the ``recipe`` given comes out.  ``haze`` lightens the colour for the scale effect.
    The rest is what its data sheet says.  Left out, times are common practice;
    ``hides_darker`` is then taken from how light the colour is.  ``volume_solids`` is
    that of paint with hardener before thinning, ``dry_film`` that of one coat.
    """

    lab: Lab | None = None
    """The colour as measured: [L, a, b]."""
    illuminant: str = "D65"
    """The light the Lab is for: D65, D50, C, A ..."""
    observer: Literal[2, 10] = 2
    """The observer the Lab is for, in degrees."""
    screen: Annotated[str, StringConstraints(pattern=r"^#[0-9A-Fa-f]{6}$")] | None = None
    """The colour as a screen shows it, "#1f4e3d"."""
    standard: str | None = None
    """A standard colour by its palette and number, "bs381c 226"."""
    palette: str | None = None
    """Your own palette to find the standard in: TOML, CSV or CxF, relative to this file."""
    sample: PhotoSample | None = None
    """The colour of a place on a photograph."""
    recipe: str | None = None
    """Tints with their parts by weight, "white 62 + blue 11"; it needs a shelf."""
    shelf: Shelf | None = None
    """The tints to mix it from: a file, "demo", or a table that says more."""
    haze: HazeAsked = None
    """Haze to lighten it by for the scale effect: "3 %", or seen from "40 yd"; none unless asked."""
    finish: Literal["gloss", "satin", "matt"] = "gloss"
    note: str = ""

    kind: Literal["solid", "metallic", "leaf", "clear"] = "solid"
    """What it is: leaf is laid, a clear coat goes over all else."""
    hides_darker: bool | None = None
    """Whether it hides a darker paint; left out, by its lightness."""
    touch_dry: Hours = 1.0
    """How long until it may be touched and covered with paper: 1 h."""
    recoat: Hours = 4.0
    """How long until it may be sprayed over: 4 h."""
    tape_after: Hours = 24.0
    """How long until tape may lie on it: 24 h."""
    coats: Annotated[int, Field(ge=1, le=20)] | None = None
    """How many coats it is given, if not as many as the others."""
    volume_solids: Part | None = None
    """Solids by volume, with its hardener, before thinning: "45 %"."""
    dry_film: Size | None = None
    """The dry film of one coat: "25 um"."""
    mix: Mix = (1.0, 0.0, 0.0)
    """Parts by volume of paint, hardener and thinner: "4:1:1"."""
    pot_life: Hours | None = None
    """How long a mix may be sprayed: "2 h"."""
    packs: tuple[PaintPack, ...] = ()
    """The tins it is sold in: [{ holds = "250 ml", price = 12.5 }]."""

    @model_validator(mode="after")
    def _has_one_colour(self) -> Paint:
        given = sum(v is not None for v in (self.lab, self.screen, self.standard, self.sample))
        if given != 1 and not (given == 0 and self.recipe):
            raise wrong(
                "paint",
                "a paint wants its colour given in one way",
                'Give one of lab = [L, a, b], screen = "#rrggbb", standard = "palette number" '
                'or sample = { photo = "...", region = "..." }; or a recipe with its shelf.',
            )
        if self.palette and self.standard is None:
            raise wrong(
                "palette-standard",
                "a palette is given, but no number to find in it",
                'Add standard = "the number or name", or take the palette out.',
            )
        if self.recipe and self.shelf is None:
            raise wrong(
                "recipe-shelf",
                "a recipe needs the shelf its tints stand on",
                'Add shelf = "tints.toml", or "demo" for the invented one.',
            )
        return self

    @model_validator(mode="after")
    def _leaves_a_film(self) -> Paint:
        if self.volume_solids is not None and not 0.0 < self.volume_solids <= 1.0:
            raise wrong(
                "volume-solids",
                f"solids of {self.volume_solids * 100:g} % leave no film that could be",
                'Write what the product\'s data sheet says, most often 30 to 70 %: "45 %".',
            )
        if self.dry_film is not None and not 0.0 < self.dry_film.mm <= _THICKEST_COAT_MM:
            raise wrong(
                "dry-film",
                f"a dry film of {self.dry_film.mm * 1000:g} microns is no single coat",
                'Write what one coat dries to, most often 15 to 60 microns: "25 um".',
            )
        return self

    @model_validator(mode="after")
    def _times_rise(self) -> Paint:
        if not self.touch_dry <= self.recoat or not self.touch_dry <= self.tape_after:
            raise wrong(
                "dry-times",
                "a paint is touch dry before it is sprayed over or taped",
                "Check touch_dry against recoat and tape_after.",
            )
        return self
