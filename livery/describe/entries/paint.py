"""Paints, by their colour and by how they behave."""

from __future__ import annotations

from typing import Annotated, Literal, Protocol

from pydantic import Field, StringConstraints, model_validator

from livery.describe.amounts import Hours, Litres, Mix, Part
from livery.describe.entries.paint_colour import HazeAsked, PhotoSample, Shelf
from livery.describe.values import DryFilm, Lab
from livery.toml.entry import Entry, wrong
from livery.toml.without_effect import is_given, refuse_without_effect
from livery.units import Length


class PaintPack(Entry):
    """A tin with a known content."""

    holds: Litres
    price: Annotated[float, Field(ge=0.0)] | None = None


_THICKEST_COAT_MM = 1.0
"""The most of a dry film, in millimetres (chosen: far beyond any sprayed coat). Larger, and a slip
of unit passes."""

Density = Annotated[float, Field(ge=0.5, le=5.0)]
"""Kilograms a litre: thinners are about 0.8, heavy primers below 2."""


def dry_film_in_range(dry_film: Length | None) -> None:
    """Raise where a dry film is no single coat."""
    if dry_film is not None and not 0.0 < dry_film.mm <= _THICKEST_COAT_MM:
        raise wrong(
            "dry-film",
            f"a dry film of {dry_film.mm * 1000:g} microns is not a single coat",
            'Write what one coat dries to, most often 15 to 60 microns: "25 um".',
        )


Lifted = Literal["leaf", "film", "decal", "pen lines", "enamel"]
"""What a strong solvent can lift or wrinkle."""


def wrinkles_in_order(wrinkles: tuple[float, float] | None) -> None:
    """Raise where a time in which paint wrinkles ends before it begins."""
    if wrinkles is not None and not wrinkles[0] < wrinkles[1]:
        raise wrong(
            "dry-times",
            "the time in which it wrinkles ends before it begins",
            'Write from when until when, hours after it was sprayed: ["8 h", "48 h"].',
        )


class _Recoated(Protocol):
    """From when until when a coat may be recoated."""

    @property
    def flash_off(self) -> float | None: ...
    @property
    def recoat(self) -> float | None: ...
    @property
    def latest(self) -> float | None: ...


def is_latest_in_order(coat: _Recoated) -> bool:
    """Return whether a coat can be recoated before its latest recoating."""
    return coat.latest is None or coat.latest >= max(coat.recoat or 0.0, coat.flash_off or 0.0)


LATEST_BEFORE = "the latest recoating is before the earliest"
CHECK_LATEST = "Check latest against recoat and flash_off."


def latest_in_order(coat: _Recoated) -> None:
    """Raise where the latest recoating of a coat is before it can be recoated."""
    if not is_latest_in_order(coat):
        raise wrong("dry-times", LATEST_BEFORE, CHECK_LATEST)


class Forced(Entry):
    """Drying times in an oven or under lamps."""

    at: Annotated[int, Field(ge=30, le=120)] = 60
    """The temperature of the metal, in °C: 60."""
    touch_dry: Hours | None = None
    """The time until it may be touched, including oven and cooling."""
    recoat: Hours | None = None
    """The time until it may first be recoated."""
    tape_after: Hours | None = None
    """The time until tape may lie on it."""
    cure: Hours | None = None
    """The time until it is fully cured."""

    def times(self) -> dict[str, float]:
        """Return the times that are given, by the keys they replace."""
        keys = ("touch_dry", "recoat", "tape_after", "cure")
        return {k: v for k in keys if (v := getattr(self, k)) is not None}


class _Mixture(Protocol):
    """A mixture: its parts, and how they are measured."""

    @property
    def mix(self) -> tuple[float, float, float] | None: ...
    @property
    def mix_by(self) -> str | None: ...
    @property
    def density(self) -> float | None: ...
    @property
    def hardener_density(self) -> float | None: ...
    @property
    def thinner_density(self) -> float | None: ...


def mix_has_densities(paint: _Mixture) -> None:
    """Raise where parts by weight cannot be turned to volumes."""
    if paint.mix_by != "weight" or paint.mix is None:
        return
    densities = (paint.density, paint.hardener_density, paint.thinner_density)
    names = ("density", "hardener_density", "thinner_density")
    missing = [
        name
        for name, part, density in zip(names, paint.mix, densities, strict=True)
        if part > 0.0 and density is None
    ]
    if missing:
        raise wrong(
            "mix-weight",
            f"a mix by weight needs {' and '.join(missing)}",
            f"Add {missing[0]} = 1.2, kilograms a litre, from its data sheet.",
        )


OF_A_MIX = (
    "mix",
    "mix_by",
    "density",
    "hardener_density",
    "thinner_density",
    "hardener",
    "thinner",
    "induction",
    "pot_life",
)
"""How a paint is mixed."""
_OF_LIQUID = (
    "by",
    "hides_darker",
    "touch_dry",
    "flash_off",
    "recoat",
    "latest",
    "wrinkles",
    "lifts",
    "ground",
    "tape_after",
    "pull_tape",
    "cure",
    "forced",
    "coats",
    "volume_solids",
    "dry_film",
    *OF_A_MIX,
    "packs",
)
"""What leaf has none of."""
_OF_COLOUR = ("hides_darker", "ground", "shelf")
"""What a clear coat has none of: it hides nothing, and is not mixed from tints."""


class Paint(Entry):
    """A paint by its colour: a Lab, a screen colour, a standard's number, a photograph, a recipe.

    A ``shelf`` says what to mix it from; its colour card then has a recipe, or shows the colour of
    the given ``recipe``. ``haze`` lightens the colour for the scale effect. The other figures come
    from its data sheet. If left out, times are common practice, and ``hides_darker`` follows from
    the lightness of the colour. ``volume_solids`` is for paint with hardener before thinning,
    ``dry_film`` for one coat. A clear coat needs no colour.
    """

    lab: Lab | None = None
    """The colour as measured: [L, a, b]."""
    illuminant: str = "D65"
    """The illuminant of the Lab: D65, D50, C, A ..."""
    observer: Literal[2, 10] = 2
    """The observer of the Lab, in degrees."""
    screen: Annotated[str, StringConstraints(pattern=r"^#[0-9A-Fa-f]{6}$")] | None = None
    """The colour as screens write it, "#1f4e3d"."""
    standard: str | None = None
    """A standard colour by its palette and number, "bs381c 226"."""
    palette: str | None = None
    """Your own palette that has the standard: TOML, CSV or CxF, relative to this file."""
    sample: PhotoSample | None = None
    """The colour of a place on a photograph."""
    recipe: str | None = None
    """The recipe, in parts by weight, "white 62 + blue 11"; it needs a shelf."""
    shelf: Shelf | None = None
    """The tints to mix it from: a file, "demo", or a table with more settings."""
    haze: HazeAsked = None
    """Haze that lightens it for the scale effect: "3 %", or as seen from "40 yd"; if left out,
    none."""
    finish: Literal["gloss", "satin", "matt"] = "gloss"
    note: str = ""

    kind: Literal["solid", "metallic", "leaf", "clear"] = "solid"
    """The kind of paint: leaf is laid, and a clear coat (varnish, lacquer or wax) goes over
    everything else, and needs no colour."""
    by: Literal["spray", "brush", "roller", "cloth"] = "spray"
    """How its fields are put on; "cloth" is for wax, a clear coat over cured paint."""
    system: str | None = None
    """The paint system that its figures are from; if left out, that of the job: "enamel"."""
    hides_darker: bool | None = None
    """Whether it hides a darker paint; if left out, its lightness decides."""
    touch_dry: Hours = 1.0
    """The time until it may be touched and covered with paper: 1 h."""
    flash_off: Hours | None = None
    """The time for the thinner to leave a coat before the next one: "10 min"."""
    recoat: Hours = 4.0
    """The time until it may be recoated; shorter than touch_dry if it is sprayed wet on wet: 4
    h."""
    latest: Hours | None = None
    """The time after which it must be keyed before recoating: "24 h"."""
    wrinkles: tuple[Hours, Hours] | None = None
    """The period in which it must not be sprayed over, because it wrinkles: ["8 h", "48 h"]."""
    lifts: tuple[Lifted, ...] = ()
    """What this paint lifts or wrinkles when it is sprayed over it: leaf, film, decal, pen
    lines, enamel."""
    ground: Literal["white", "grey", "red oxide"] | None = None
    """The colour of the undercoat that suits it; if left out, its own colour decides."""
    tape_after: Hours = 24.0
    """The time until tape may lie on it: 24 h."""
    pull_tape: Hours = 0.5
    """The time from the last coat until the tape is pulled: 30 min."""
    cure: Hours | None = None
    """The time until it is fully cured: "7 days"."""
    forced: Forced | None = None
    """Its times when it is dried in an oven: { at = 60, tape_after = "3 h" }; they apply if
    spraying has forced_drying = true."""
    coats: Annotated[int, Field(ge=1, le=20)] | None = None
    """How many coats it gets, if not as many as the others."""
    volume_solids: Part | None = None
    """The solids by volume, with its hardener, before thinning: "45 %"."""
    dry_film: DryFilm | None = None
    """The dry film thickness of one coat: "25 um"."""
    mix: Mix = (1.0, 0.0, 0.0)
    """The parts of paint, hardener and thinner: "4:1:1"."""
    mix_by: Literal["volume", "weight"] = "volume"
    """Whether the parts are by volume or by weight."""
    density: Density | None = None
    """The paint's density in kilograms per litre: 1.2."""
    hardener_density: Density | None = None
    """The hardener's density in kilograms per litre."""
    thinner_density: Density | None = None
    """The thinner's density in kilograms per litre."""
    hardener: str = ""
    """The hardener it is mixed with."""
    thinner: str = ""
    """The thinner it is mixed with."""
    induction: Hours | None = None
    """The time a mix must stand before it is sprayed: "20 min"."""
    pot_life: Hours | None = None
    """The time for which a mix may be sprayed: "2 h"."""
    packs: tuple[PaintPack, ...] = ()
    """The tins it is sold in: [{ holds = "250 ml", price = 12.5 }]."""

    @property
    def has_no_colour(self) -> bool:
        """Whether it is a clear coat for which no colour is given."""
        ways = (self.lab, self.screen, self.standard, self.sample, self.recipe)
        return self.kind == "clear" and all(way is None for way in ways)

    @model_validator(mode="after")
    def _has_one_colour(self) -> Paint:
        given = sum(v is not None for v in (self.lab, self.screen, self.standard, self.sample))
        if given != 1 and not (given == 0 and (self.recipe or self.kind == "clear")):
            raise wrong(
                "paint",
                "a paint needs its colour given in one way",
                'Give one of lab = [L, a, b], screen = "#rrggbb", standard = "palette number" '
                'or sample = { photo = "...", region = "..." }; or a recipe with its shelf.',
            )
        if self.palette and self.standard is None:
            raise wrong(
                "palette-standard",
                "a palette is given, but no number to find in it",
                'Add standard = "the number or name", or delete the palette.',
            )
        if self.recipe and self.shelf is None:
            raise wrong(
                "recipe-shelf",
                "a recipe needs the shelf its tints stand on",
                'Add shelf = "tints.toml", or "demo" for the invented one.',
            )
        chosen = [key for key in ("most", "without") if self.shelf and is_given(self.shelf, key)]
        if self.recipe and chosen:
            have, them = ("has", "it") if len(chosen) == 1 else ("have", "them")
            raise wrong(
                "without-effect",
                f"{' and '.join(chosen)} {have} no effect on a recipe that is written",
                f"Delete {them} from the shelf, or delete the recipe to have one found.",
            )
        refuse_without_effect(self, dict.fromkeys(("illuminant", "observer"), ("lab",)))
        return self

    @model_validator(mode="after")
    def _has_no_key_of_another_kind(self) -> Paint:
        of_clear: tuple[str, ...] = () if self.recipe else _OF_COLOUR
        if self.has_no_colour:
            of_clear = (*_OF_COLOUR, "haze")
        none_of = {"leaf": _OF_LIQUID, "clear": of_clear}
        loose = [key for key in none_of.get(self.kind, ()) if is_given(self, key)]
        if loose:
            have, them = ("has", "it") if len(loose) == 1 else ("have", "them")
            on, remedy = {
                "leaf": ("leaf", f"Delete {them}: how leaf is laid and sold is written in [leaf]."),
                "clear": ("a clear coat", f"Delete {them}."),
            }[self.kind]
            keys = " and ".join(loose)
            raise wrong("without-effect", f"{keys} {have} no effect on {on}", remedy)
        return self

    @model_validator(mode="after")
    def _is_wax_where_by_cloth(self) -> Paint:
        if self.by == "cloth" and self.kind != "clear":
            raise wrong(
                "by-cloth",
                "only a clear coat is put on by cloth: wax",
                'Write kind = "clear" for a wax, or by = "brush" for a colour.',
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
        dry_film_in_range(self.dry_film)
        mix_has_densities(self)
        return self

    @model_validator(mode="after")
    def _times_rise(self) -> Paint:
        if self.touch_dry > self.tape_after:
            raise wrong(
                "dry-times",
                "a paint is touch dry before it is taped",
                "Check touch_dry against tape_after.",
            )
        wrinkles_in_order(self.wrinkles)
        latest_in_order(self)
        return self

    @property
    def mix_by_volume(self) -> tuple[float, float, float]:
        """Parts by volume of paint, hardener and thinner, one part of paint."""
        if self.mix_by == "weight":
            densities = (self.density, self.hardener_density, self.thinner_density)
            volumes = (p / (d or 1.0) for p, d in zip(self.mix, densities, strict=True))
            paint, hardener, thinner = volumes
            return 1.0, hardener / paint, thinner / paint
        return self.mix
