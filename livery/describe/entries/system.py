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
    latest_in_order,
    mix_has_densities,
    wrinkles_in_order,
)
from livery.describe.values import DryFilm
from livery.toml.entry import Entry, wrong
from livery.toml.without_effect import is_given

BY_HAND = ("prepare", "fill", "flat")
_RUBBED = (*BY_HAND, "polish")
_SPRAYED = ("prime", "undercoat", "colour", "clear")
_TAKEN_IN = {
    "words": _RUBBED,
    "takes": _RUBBED,
    "grits": _RUBBED,
    "grade": ("prepare",),
    "after": ("fill", "flat", "polish"),
    "compound": ("polish",),
    "of": ("polish",),
    "product": ("prime", "fill", "undercoat"),
    "latest": ("prepare", *_SPRAYED),
    "recoat": (*BY_HAND, *_SPRAYED),
}
"""The kinds of step that take up a key.  Any other key is of a coat that is sprayed."""


class SystemStep(Entry):
    """One step of a paint system; its times are for 20 °C."""

    do: Literal["prepare", "prime", "fill", "flat", "undercoat", "colour", "clear", "polish"]
    """The kind of work; to polish is to cut a cured coat back with fine grades and compound."""
    of: Literal["colour", "clear"] = "clear"
    """The coat that is polished: the clear coat, or the colour before it is lettered."""
    on: tuple[Material, ...] = ()
    """The materials on which it is done; if left out, all materials of the system."""
    words: str = ""
    """How it is done, in a few words."""
    grade: Literal["St 2", "St 3", "Sa 2", "Sa 2 1/2", "Sa 3"] | None = None
    """The grade to which steel is prepared, as ISO 8501-1 defines it; other materials have none."""
    product: str = ""
    """The product that is sprayed or filled with: "epoxy primer"."""
    takes: Hours = 0.5
    """The time it takes by hand on a panel: 30 min."""
    after: Hours | None = None
    """The time from the coat below until it may be flatted, filled or polished; if left out, the
    recoat of that coat, or its full cure before it is polished."""
    grits: tuple[Annotated[int, Field(ge=40, le=5000)], ...] = ()
    """The grades of abrasive, in order; if left out, 1500, 2000 and 2500 before polishing."""
    compound: str = "fine cutting compound"
    """The compound it is polished with."""
    by: Literal["spray", "brush", "roller"] | None = None
    """How it is put on; if left out, sprayed."""
    coats: Annotated[int, Field(ge=1, le=20)] | None = None
    """The number of coats."""
    dry_film: DryFilm | None = None
    """The dry film thickness of one coat: "25 um"."""
    flash_off: Hours | None = None
    """The time for the thinner to leave a coat before the next one of the same session."""
    touch_dry: Hours | None = None
    """The time until it may be touched."""
    recoat: Hours | None = None
    """The time until it may be recoated; shorter than touch_dry if it is sprayed wet on wet."""
    latest: Hours | None = None
    """The time after which it must be keyed before recoating; of bare metal that is prepared, the
    time within which it must have its first coat, else it is rubbed again."""
    wrinkles: tuple[Hours, Hours] | None = None
    """The period in which it must not be sprayed over, because it wrinkles: ["8 h", "48 h"]."""
    lifts: tuple[Lifted, ...] | None = None
    """What this paint lifts or wrinkles when it is sprayed over it: leaf, film, decal, pen
    lines, enamel."""
    tape_after: Hours | None = None
    """The time until tape may lie on it."""
    pull_tape: Hours | None = None
    """The time from the last coat until the tape is pulled."""
    cure: Hours | None = None
    """The time until it is fully cured."""
    forced: Forced | None = None
    """Its times when it is dried in an oven: { at = 60, tape_after = "3 h" }."""
    volume_solids: Part | None = None
    """The solids by volume, with its hardener, before thinning."""
    mix: Mix | None = None
    """The parts of paint, hardener and thinner: "4:1:1"."""
    mix_by: Literal["volume", "weight"] | None = None
    """Whether the parts are by volume or by weight; if left out, by volume."""
    density: Density | None = None
    """The paint's density in kilograms per litre."""
    hardener_density: Density | None = None
    """The hardener's density in kilograms per litre."""
    thinner_density: Density | None = None
    """The thinner's density in kilograms per litre."""
    hardener: str | None = None
    """The hardener it is mixed with."""
    thinner: str | None = None
    """The thinner it is mixed with."""
    induction: Hours | None = None
    """The time a mix must stand before it is sprayed."""
    pot_life: Hours | None = None
    """The time for which a mix may be sprayed."""

    @model_validator(mode="after")
    def _is_sound(self) -> SystemStep:
        dry_film_in_range(self.dry_film)
        latest_in_order(self)
        wrinkles_in_order(self.wrinkles)
        if self.volume_solids == 0.0:
            raise wrong("volume-solids", "0 % solids leave no film", 'Write "45 %".')
        mix_has_densities(self)
        return self

    @model_validator(mode="after")
    def _has_no_key_without_effect(self) -> SystemStep:
        loose = [
            key
            for key in type(self).model_fields
            if key not in ("do", "on")
            and self.do not in _TAKEN_IN.get(key, _SPRAYED)
            and is_given(self, key)
        ]
        if loose:
            have, them = ("has", "it") if len(loose) == 1 else ("have", "them")
            steps = [f'"{do}"' for do in _TAKEN_IN.get(loose[0], _SPRAYED)]
            where = ", ".join(steps[:-1]) + " or " + steps[-1] if steps[1:] else steps[0]
            raise wrong(
                "without-effect",
                f'{" and ".join(loose)} {have} no effect in a step that does "{self.do}"',
                f"Delete {them}, or write {loose[0]} in a step that does {where}.",
            )
        return self


class System(Entry):
    """A paint system: one of those that come as common practice, your own, or one changed.

    With ``like``, a step written here changes the figures of the same step of that system; all
    figures you write count as those of your data sheet.
    """

    title: str = ""
    """Its title; if left out, its name."""
    like: str | None = None
    """The system it changes: "two-pack", "cellulose", "acrylic", "enamel", "water-borne"."""
    sheet: str = ""
    """The data sheet that its figures are from, to be named on your papers."""
    on: tuple[Material, ...] = ()
    """The materials it is for; if left out, those of the system it is like, or all."""
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
