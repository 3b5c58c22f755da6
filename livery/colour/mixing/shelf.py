"""The tints on the shelf, as the practitioner writes them down in TOML.

::

    title = "Workshop shelf"
    white = "white"
    wavelengths = { from = 400, to = 700, step = 10 }   # nm
    specular = "included"                                # or "excluded"; a tint or a card may differ
    surface = { k1 = 0.04, k2 = 0.6 }                    # where their fit starts
    scatter_per_micron = 0.1                             # of the white, if known

    model = "enamels.json"          # what livery calibrate made of its drawdowns, if anything
    record = "cards.toml"           # the test cards of its mixtures, where they have a file of their own

    [tint.blue]
    masstone = [0.045, 0.047, ...]      # or { lab = [24.0, 12.0, -30.0] }
    reduction = { tint = 10, white = 90, reading = [0.295, 0.402, ...] }
    density = 1.10          # g/ml
    price = "38 per l"
    stock = "250 ml"         # or "400 g"
    strength = 1.0          # against the tin that was drawn down
    nature = "transparent"  # opaque, transparent or metallic
    safety = "Flammable: see the product's safety sheet."

    [[card]]                            # a test card of a mixture, as livery adjust-batch keeps it
    mixture = "white 62.4 + blue 11.2"
    lab = [61.2, -4.4, -18.0]           # D65, 2 degrees, or with observer = 10

A reduction ``with`` another tint than the white, ``with = "zinc white"``, shows how the other
white scatters; several stand in a list.  Parts are by weight.  With a model the tints need no masstone here.  Where only Lab (D65, 2 degrees) is known the smoothest reflectance
with that colour stands in (see :mod:`livery.colour.mixing.smoothest`); ``observer = 10`` beside
the Lab says that it was read for the 10 degree observer.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from livery.colour.mixing.calibrate import model_of_few_cards
from livery.colour.mixing.card import Card
from livery.colour.mixing.drawdowns import Drawdowns
from livery.colour.mixing.gloss_reading import INCLUDED, reading_as, words_if_gloss_left_out
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.saunderson import FilmSurface
from livery.colour.mixing.shelf_entry import SHELF, LabReading, Reduction, ShelfEntry, TintEntry
from livery.colour.mixing.smoothest import reflectance_from_lab
from livery.colour.mixing.stacking import surface_no_darker
from livery.colour.mixing.viewing import viewing
from livery.findings import Finding, LiveryError, Severity, fault
from livery.toml.places import Key
from livery.toml.read import TomlFile, read_toml

Floats = NDArray[np.float64]

NATURES = ("opaque", "transparent", "metallic")


@dataclass(frozen=True, slots=True)
class Tint:
    """One tin on the shelf; ``stock_ml`` is ``None`` where nobody has counted."""

    name: str
    density_g_per_ml: float = 1.2
    price_per_litre: float | None = None
    stock_ml: float | None = None
    strength: float = 1.0
    nature: str = "opaque"
    safety: str = ""

    @property
    def in_stock(self) -> bool:
        """Whether some of it is left, as far as is known."""
        return self.stock_ml is None or self.stock_ml > 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Shelf:
    """The tins, the drawdowns written beside them, and what was remarked in reading them.

    ``model`` and ``record`` are the files the shelf names for what was fitted to its tints and
    what test cards of them have read, if it names them; ``cards`` are the test cards in the shelf's
    own file.
    """

    title: str
    white: str
    tints: tuple[Tint, ...]
    drawdowns: Drawdowns
    surface: FilmSurface
    scatter_per_micron: float | None
    findings: tuple[Finding, ...]
    model: Path | None = None
    record: Path | None = None
    cards: tuple[Card, ...] = ()

    def tint(self, name: str) -> Tint:
        """Return the tin of that name."""
        for tint in self.tints:
            if tint.name == name:
                return tint
        raise unknown_tint(name, tuple(t.name for t in self.tints))


def unknown_tint(name: str, known: tuple[str, ...]) -> LiveryError:
    """Return the error for a tint that is not there, with the nearest name that is."""
    near = difflib.get_close_matches(name, known, 1)
    remedy = f"Did you mean {near[0]}?" if near else f"Write one of: {', '.join(known)}."
    return fault("mixing-tint-unknown", f'there is no tint "{name}"', remedy)


def read_shelf(path: Path, modelled: bool = False) -> Shelf:
    """Return the shelf of a TOML file.

    ``modelled``: a model of its tints comes from elsewhere, so that no drawdowns are needed.

    Raises:
        LiveryError: every fault in the file, with its line.
    """
    read = read_toml(path, SHELF)
    return _Reader(path, read, read.require(SHELF), modelled).shelf()


def model_from_shelf(shelf: Shelf) -> MixingModel:
    """Return the mixing model that the shelf's own drawdowns give, at each tin's strength."""
    return at_strengths(model_of_drawdowns(shelf), shelf)


def model_of_drawdowns(shelf: Shelf) -> MixingModel:
    """Return the mixing model of the tins that the shelf's readings were drawn down from."""
    d = shelf.drawdowns
    white = d.tints.index(shelf.white)
    model = model_of_few_cards(d, white, surface_no_darker(d.readings, shelf.surface))
    if model.scatter_per_micron is None:
        model = replace(model, scatter_per_micron=shelf.scatter_per_micron)
    return model


def at_strengths(model: MixingModel, shelf: Shelf) -> MixingModel:
    """Return the model with each tint as strong as its tin on the shelf."""
    for tint in shelf.tints:
        if tint.name in model.tints and tint.strength != 1.0:
            model = model.with_strength(tint.name, tint.strength)
    return model


def _as_lab(key: Key, reading: tuple[float, ...]) -> str:
    """Return how to write three values, which are those of a Lab; empty for other readings."""
    if len(reading) != 3:
        return ""
    lab = f"lab = [{', '.join(f'{v:g}' for v in reading)}]"
    return f"If these are L, a and b, write {f'masstone = {{ {lab} }}' if 'masstone' in key else f'{lab} instead of reading'}."


class _Reader:
    """Turns a well-formed entry into a shelf, or says what in it cannot be."""

    def __init__(self, path: Path, read: TomlFile, entry: ShelfEntry, modelled: bool) -> None:
        self.folder, self.read, self.entry = path.parent, read, entry
        self.modelled = modelled or entry.model is not None
        self.model = None if modelled or entry.model is None else path.parent / entry.model
        reductions = (one for tint in entry.tint.values() for one in tint.reductions)
        self.whites = {entry.white, *(one.other for one in reductions if one.other)}
        w = entry.wavelengths
        self.wavelengths = np.arange(w.first, w.last + w.step / 2, w.step)
        self.findings: list[Finding] = []

    def shelf(self) -> Shelf:
        entry = self.entry
        if entry.specular not in ("included", "excluded"):
            self._find(
                "shelf-specular",
                ("specular",),
                f'there is no reading with specular "{entry.specular}"',
                "Write included or excluded.",
            )
        if not entry.tint:
            self._find(
                "shelf-empty",
                ("tint",),
                "there is no tint on the shelf",
                "Write a table [tint.NAME] with the masstone of each tin.",
            )
        elif entry.white not in entry.tint:
            self._find(
                "shelf-white",
                ("white",),
                f'the white, "{entry.white}", is not on the shelf',
                f"Write one of: {', '.join(entry.tint)}.",
            )
        try:
            viewing(self.wavelengths)
        except LiveryError as error:
            (finding,) = error.findings
            self._find(finding.code, ("wavelengths",), finding.message, finding.remedy)
            raise LiveryError(self.findings) from None
        names = tuple(entry.tint)
        surface = FilmSurface(entry.surface.k1, entry.surface.k2, entry.specular == INCLUDED)
        cards, parts, readings = [], [], []
        for name, tint in entry.tint.items():
            for card, row, reading in self._cards(name, tint):
                cards.append(card)
                parts.append([row.get(other, 0.0) for other in names])
                included = None if tint.specular is None else tint.specular == INCLUDED
                readings.append(reading_as(reading, included, surface))
        self._check_gloss(np.array(readings), surface)
        if self.model is not None and not self.model.is_file():
            self._find(
                "shelf-model",
                ("model",),
                f"there is no file {self.model}",
                "Name the file that livery calibrate wrote, as seen from the shelf's folder.",
            )
        if any(f.severity is Severity.ERROR for f in self.findings):
            raise LiveryError(self.findings)
        return Shelf(
            entry.title,
            entry.white,
            tuple(self._tint(name, tint) for name, tint in entry.tint.items()),
            Drawdowns(names, self.wavelengths, tuple(cards), np.array(parts), np.array(readings)),
            surface,
            scatter_per_micron=entry.scatter_per_micron,
            findings=tuple(self.findings),
            model=None if entry.model is None else self.folder / entry.model,
            record=None if entry.record is None else self.folder / entry.record,
            cards=tuple(card.card() for card in entry.card),
        )

    def _check_gloss(self, readings: Floats, surface: FilmSurface) -> None:
        words = words_if_gloss_left_out(readings, surface)
        if words is not None:
            self._find(
                "shelf-gloss",
                ("tint",),
                words,
                'If the instrument left the gloss out, as those of 45/0 do, write specular = "excluded" '
                "at the head of the file.",
                Severity.WARNING,
            )

    def _cards(self, name: str, tint: TintEntry) -> list[tuple[str, dict[str, float], Floats]]:
        """Return card, parts by tint and reading, of the masstone and of every reduction."""
        key: Key = ("tint", name)
        if tint.nature not in NATURES:
            self._find(
                "shelf-nature",
                (*key, "nature"),
                f'{name}: there is no nature "{tint.nature}"',
                f"Write {', '.join(NATURES[:-1])} or {NATURES[-1]}.",
            )
        if tint.nature == "metallic":
            self._find_metallic(name, key)
        if self.modelled:
            return []
        if tint.masstone is None:
            self._find(
                "shelf-no-masstone",
                key,
                f"{name} has no masstone, and no model of its tints is named",
                "Write masstone = [...], or at the head of the file model = with the file that "
                "livery calibrate wrote.",
            )
            return []
        if isinstance(tint.masstone, LabReading):
            masstone = self._reading(
                (*key, "masstone"), None, tint.masstone.lab, tint.masstone.observer
            )
        else:
            masstone = self._reading((*key, "masstone"), tint.masstone, None)
        found = [(f"{name} alone", {name: 1.0}, masstone)]
        for number, reduction in enumerate(tint.reductions):
            at: Key = (*key, "reduction", *([number] if isinstance(tint.reduction, tuple) else []))
            found += self._reduced(name, at, reduction)
        if len(found) == 1 and name not in self.whites:
            self._find(
                "shelf-no-reduction",
                key,
                f"{name} has no reduction with white, so its strength in a mixture is a guess",
                "Draw down 1 part with 9 of white and write the reading as its reduction.",
                Severity.WARNING,
            )
        return found

    def _reduced(
        self, name: str, key: Key, reduction: Reduction
    ) -> list[tuple[str, dict[str, float], Floats]]:
        """Return a reduction as a card; none where it names no other tint of the shelf."""
        white = reduction.other or self.entry.white
        if reduction.other is not None and (white == name or white not in self.entry.tint):
            self._find(
                "shelf-reduction-with",
                (*key, "with"),
                f'{name} cannot be reduced with "{white}": no other tint of the shelf is called so',
                f"Write one of: {', '.join(n for n in self.entry.tint if n != name)}.",
            )
            return []
        reading = self._reading(key, reduction.reading, reduction.lab, reduction.observer)
        return [(f"{name} with {white}", {name: reduction.tint, white: reduction.white}, reading)]

    def _find_metallic(self, name: str, key: Key) -> None:
        self._find(
            "shelf-metallic",
            key,
            f"{name} is metallic: flakes mirror light, which this model does not describe, and "
            "it is left out of recipes",
            'Match metallic colours by eye with test cards: "livery finish --metallic" says which.',
            Severity.NOTE,
        )

    def _reading(
        self,
        key: Key,
        reading: tuple[float, ...] | None,
        lab: tuple[float, float, float] | None,
        observer: int = 2,
    ) -> Floats:
        named = ".".join(map(str, key))
        if (reading is None) == (lab is None):
            self._find(
                "shelf-reading",
                key,
                f"{named} needs a reading or a Lab, one of the two",
                "Write reading = [...] or lab = [L, a, b].",
            )
        elif lab is not None:
            self._find(
                "shelf-lab-only",
                key,
                f"{named} has a Lab only; the smoothest reflectance is used in its place",
                "Read the card with a spectrophotometer for a better match.",
                Severity.NOTE,
            )
            try:
                return reflectance_from_lab(lab, viewing(self.wavelengths, observer=observer))
            except LiveryError as error:
                (finding,) = error.findings
                self._find(finding.code, key, f"{named}: {finding.message}", finding.remedy)
        elif reading is not None and len(reading) != self.wavelengths.size:
            self._find(
                "shelf-wavelengths",
                key,
                f"{named} has {len(reading)} values for {self.wavelengths.size} wavelengths",
                _as_lab(key, reading)
                or "Write one for each wavelength, or correct wavelengths at the head of the file.",
            )
        elif reading is not None and not (min(reading) >= -0.01 and max(reading) <= 1.5):
            self._find(
                "shelf-reflectance",
                key,
                f"{named} goes from {min(reading):g} to {max(reading):g}; a reflectance runs from 0 to 1",
                "Divide per cent by 100.",
            )
        else:
            return np.array(reading, float)
        return np.full(self.wavelengths.size, 0.5)

    def _tint(self, name: str, tint: TintEntry) -> Tint:
        return Tint(
            name,
            tint.density,
            None if tint.price is None else tint.price.per_litre(tint.density),
            None if tint.stock is None else tint.stock.millilitres(tint.density),
            tint.strength,
            nature=tint.nature,
            safety=tint.safety,
        )

    def _find(
        self, code: str, key: Key, message: str, remedy: str, severity: Severity = Severity.ERROR
    ) -> None:
        place = self.read.place_of(key)
        words = ".".join(map(str, key))
        self.findings.append(Finding(code, message, remedy, severity, words, place=place))
