"""Paint systems: what is done to a surface from bare material to the last clear coat."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from livery.describe.amounts import Hours, Mix, Part
from livery.describe.entries.names import Material
from livery.describe.entries.paint import (
    Density,
    Forced,
    Lifted,
    dry_film_in_range,
    mix_has_densities,
    wrinkles_in_order,
)
from livery.describe.values import Size
from livery.toml.entry import Entry, wrong

BY_HAND = ("prepare", "fill", "flat")


class SystemStep(Entry):
    """One step of a paint system; times hold at 20 °C."""

    do: Literal["prepare", "prime", "fill", "flat", "undercoat", "colour", "clear"]
    """What is done."""
    on: tuple[Material, ...] = ()
    """The materials it is done on; left out, all of the system's."""
    words: str = ""
    """How, in a few words."""
    grade: Literal["St 2", "St 3", "Sa 2", "Sa 2 1/2", "Sa 3"] | None = None
    """The grade to which steel is prepared, as ISO 8501-1 defines it; other materials have none."""
    product: str = ""
    """What is sprayed for a primer or an undercoat, or filled with: "epoxy primer"."""
    takes: Hours = 0.5
    """How long it takes by hand on a panel: 30 min."""
    after: Hours | None = None
    """How long after the coat below it may be flatted or filled; left out, its recoat."""
    grits: tuple[Annotated[int, Field(ge=40, le=5000)], ...] = ()
    """The grades of abrasive it takes."""
    by: Literal["spray", "brush", "roller"] | None = None
    """How it is put on; left out, sprayed."""
    coats: Annotated[int, Field(ge=1, le=20)] | None = None
    """How many coats."""
    dry_film: Size | None = None
    """The dry film of one coat: "25 um"."""
    flash_off: Hours | None = None
    """How long the thinner needs to leave a coat before the next one of the same session."""
    touch_dry: Hours | None = None
    """How long until it may be touched."""
    recoat: Hours | None = None
    """The earliest recoating; shorter than touch_dry where it is sprayed wet on wet."""
    latest: Hours | None = None
    """The latest recoating; after it, key it first."""
    wrinkles: tuple[Hours, Hours] | None = None
    """When it must not be sprayed over, as it then wrinkles: ["8 h", "48 h"]."""
    lifts: tuple[Lifted, ...] | None = None
    """What it lifts or wrinkles when it is sprayed over it: leaf, film, decal, pen lines."""
    tape_after: Hours | None = None
    """How long until tape may lie on it."""
    pull_tape: Hours | None = None
    """How long after the last coat the tape is pulled."""
    cure: Hours | None = None
    """How long until it is fully cured."""
    forced: Forced | None = None
    """Its times when it is dried in an oven: { at = 60, tape_after = "3 h" }."""
    volume_solids: Part | None = None
    """Solids by volume, with its hardener, before thinning."""
    mix: Mix | None = None
    """Parts of paint, hardener and thinner: "4:1:1"."""
    mix_by: Literal["volume", "weight"] | None = None
    """Whether the parts are by volume or by weight; left out, by volume."""
    density: Density | None = None
    """The paint's density in kilograms a litre."""
    hardener_density: Density | None = None
    """The hardener's density in kilograms a litre."""
    thinner_density: Density | None = None
    """The thinner's density in kilograms a litre."""
    hardener: str | None = None
    """The hardener it is mixed with."""
    thinner: str | None = None
    """The thinner it is mixed with."""
    induction: Hours | None = None
    """How long a mix must stand before it is sprayed."""
    pot_life: Hours | None = None
    """How long a mix may be sprayed."""

    @model_validator(mode="after")
    def _is_sound(self) -> SystemStep:
        dry_film_in_range(self.dry_film)
        if self.latest is not None and self.latest < (self.recoat or 0.0):
            raise wrong(
                "dry-times",
                "the latest recoating is before the earliest",
                "Check latest against recoat.",
            )
        wrinkles_in_order(self.wrinkles)
        if self.volume_solids == 0.0:
            raise wrong("volume-solids", "0 % solids leave no film", 'Write "45 %".')
        mix_has_densities(self)
        return self


class System(Entry):
    """A paint system: one of those that come as common practice, your own, or one changed.

    With ``like``, a step written here changes the figures of the step that does the same;
    every figure written counts as your data sheet's.
    """

    title: str = ""
    """What it is; left out, its name."""
    like: str | None = None
    """The system it changes: "two-pack", "cellulose", "acrylic", "enamel", "water-borne"."""
    sheet: str = ""
    """The data sheet its figures are from, for your papers."""
    on: tuple[Material, ...] = ()
    """The materials it goes on; left out, those of the system it is like, or all."""
    step: tuple[SystemStep, ...] = ()
    """Its steps, in order."""

    @model_validator(mode="after")
    def _has_steps(self) -> System:
        if self.like is None and not self.step:
            raise wrong(
                "system",
                "this system has no steps",
                'Write like = "two-pack", or its steps as [[system.NAME.step]].',
            )
        return self
