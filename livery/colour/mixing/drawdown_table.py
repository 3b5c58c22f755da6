"""The columns and rows of a table of drawdowns, as people and instruments write them.

See :mod:`livery.colour.mixing.drawdowns` for what the table says.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from livery.colour.mixing.mixture_text import Mixture, number_of, parse_mixture, weighed
from livery.colour.mixing.smoothest import reflectance_from_lab
from livery.colour.mixing.viewing import viewing
from livery.findings import Finding, LiveryError, Place

Floats = NDArray[np.float64]

GROUNDS = ("opaque", "black", "white")
_LAB = ("l", "a", "b")
_LAB_WAVELENGTHS = np.arange(400.0, 701.0, 10.0)
"""The wavelengths at which a Lab's smoothest reflectance is worked out, in nanometres (chosen:
every 10, as instruments read). More only take time."""

_WAVELENGTH = re.compile(
    r"(?:spectralnm|spectral|spec|reflectance|refl|r|nm|wl|λ)?(?P<nm>[3-9]\d\d(?:\.\d+)?)(?:nm)?%?"
)
# Lines before the headings: empty, a remark, or the separator as a spreadsheet writes it.
_BEFORE = re.compile(r"[\s;,]*(#\s*\w.*|\"?sep=.\"?[;,]*)?$", re.IGNORECASE)
_NAMES = ("card", "drawdown", "sample", "name", "id", "no", "number")
_TINT = re.compile(r"(?:tint|paint|pigment)s?(?P<place>\d*)")
_WEIGHT = re.compile(r"(?:weight|part|gram|percent|amount)s?(?P<place>\d*)(?:g|grams)?")
_WEIGHED = re.compile(
    r"(?P<tint>.*?\w)\s*(?:[([]\s*(?:wt)?\s*(?:g|grams?|%|parts?)\s*[)\]]|%|\s(?:g|grams?|parts?))",
    re.IGNORECASE,
)
# Columns and words that say whether the mirror reflection was in the reading.
_GLOSS_TITLES = ("specular", "gloss", "geometry")
_GLOSS_WORDS = {
    f"{before}{word}": included
    for words, included in (
        (("included", "in", "sci", "spin", "rsin"), True),
        (("excluded", "out", "sce", "spex", "rsex", "450", "045"), False),
    )
    for word in words
    for before in ("", "specular", "gloss", "specularcomponent", "d8", "di8", "de8")
}
_GLOSS_REMARK = re.compile(
    r"[\s;,]*#\s*(?:geometry|specular|gloss)\s*[:=]\s*(?P<how>.+)", re.IGNORECASE
)
_HIGHEST = 1.5
"""A reading above this is in per cent (chosen: a fluorescent card returns more than falls on it,
but not so much more). Larger, and dark cards in per cent are taken for factors."""

# What stands between the tints of a cell, or their weights, the likeliest first.
_BETWEEN = (r"[+;/|:&]|,\s+", r",", r"\s+")
_COLUMNS = (
    "Head the table: card, mixture, ground, film_um, then a column for each wavelength in nm "
    "(or L, a and b). Mixture is as blue 10 + white 90; a column for each tint will do too, "
    "headed blue (g), or with its share of 1 or 100 on every card."
)


@dataclass(frozen=True, slots=True, eq=False)
class Drawdown:
    """One card: its name, tints with parts by weight, ground, film and reading.

    ``gloss_included`` is ``None`` where the table does not say how the card was read.
    """

    card: str
    mixture: Mixture
    reading: Floats
    ground: str = "opaque"
    film_um: float | None = None
    gloss_included: bool | None = None


class Table:
    """A table under reading; gathers every fault before it gives up."""

    def __init__(self, path: Path, text: str) -> None:
        self.path, self.lines = path, text.splitlines()
        self.findings: list[Finding] = []
        first = 0
        while first < len(self.lines) and _BEFORE.match(self.lines[first]):
            first += 1
        self.head = first + 1
        self.remark = next((r for line in self.lines[:first] if (r := _remarked(line))), "")
        heading = self.lines[first] if first < len(self.lines) else ""
        delimiter = max(",;\t", key=heading.count)
        reader = csv.reader(self.lines[first:], delimiter=delimiter, skipinitialspace=True)
        rows = [(first + reader.line_num, [cell.strip() for cell in row]) for row in reader]
        self.titles = rows[0][1] if rows else []
        self.places = {_plain(title): i for i, title in reversed(list(enumerate(self.titles)))}
        self.rows = [(number, row) for number, row in rows[1:] if any(row)]

    def cards(self) -> tuple[list[Drawdown], Floats]:
        """Return the cards and the wavelengths of their readings.

        Raises:
            LiveryError: every fault of the table, each with its line.
        """
        columns, wavelengths = self._readings()
        mixture_of = self._mixtures(columns)
        self._give_up()
        scale = self._scale(columns) if wavelengths.size else 0.0
        read = [self._card(n, row, columns, scale, mixture_of) for n, row in self.rows]
        cards = _spelt_alike([card for card in read if card is not None])
        if not self.findings and not any(card.mixture for card in cards):
            self._fault(
                self.head, "drawdowns-empty", "the table has no card", "Write a row for each."
            )
        self._give_up()
        if not wavelengths.size:
            return cards, _LAB_WAVELENGTHS
        evened, grid = in_tens(np.array([card.reading for card in cards]), wavelengths)
        return [replace(c, reading=r) for c, r in zip(cards, evened, strict=True)], grid

    def _readings(self) -> tuple[list[int], Floats]:
        """Return the columns of the reading and their wavelengths, none for Lab."""
        bare = [re.sub(r"[\s_()\[\]]", "", title.lower()) for title in self.titles]
        found = sorted(
            (float(match["nm"]), i)
            for i, title in enumerate(bare)
            if (match := _WAVELENGTH.fullmatch(title))
        )
        wavelengths = np.array([nm for nm, _ in found])
        twice = wavelengths[1:][np.diff(wavelengths) == 0.0]
        if twice.size:
            self._fault(
                self.head,
                "drawdowns-twice",
                f"two columns are for {twice[0]:g} nm",
                "Leave one reading of each card, with or without its gloss.",
            )
        if found:
            return [i for _, i in found], wavelengths
        if all(name in self.places for name in _LAB):
            return [self.places[name] for name in _LAB], wavelengths
        self._fault(self.head, "drawdowns-columns", "there are no columns of readings", _COLUMNS)
        return [], wavelengths

    def _mixtures(self, readings: list[int]) -> Callable[[list[str]], Mixture]:
        """Return what reads the mixture of a row, by the columns there are."""
        at = self.places.get("mixture")
        if at is not None:
            return lambda row: parse_mixture(row[at]) if at < len(row) and row[at] else ()
        pairs = [
            (i, j)
            for one, i in self.places.items()
            for other, j in self.places.items()
            if (tint := _TINT.fullmatch(one))
            and (weight := _WEIGHT.fullmatch(other))
            and tint["place"] == weight["place"]
        ]
        if pairs:
            return lambda row: _listed(row, sorted(pairs))
        tints = {
            i: match["tint"]
            for i, title in enumerate(self.titles)
            if i not in readings and (match := _WEIGHED.fullmatch(title))
        }
        tints = tints or self._shares(readings)
        if not tints:
            self._fault(self.head, "drawdowns-columns", "there is no column mixture", _COLUMNS)
        return lambda row: _amounts([(t, row[i]) for i, t in tints.items() if i < len(row)])

    def _shares(self, readings: list[int]) -> dict[int, str]:
        """Return the columns that are tints as they add up to 1 or 100 on every card."""
        known = {
            self.places.get(name) for name in (*_NAMES, *_GLOSS_TITLES, "ground", "filmum", "film")
        }
        found: dict[int, str] = {}
        total = np.zeros(len(self.rows))
        for i in sorted(set(range(len(self.titles))) - {*readings, *known}):
            cells = [row[i] if i < len(row) else "" for _, row in self.rows]
            numbers = [number_of(cell) if cell else 0.0 for cell in cells]
            if self.titles[i] and None not in numbers and any(numbers):
                found[i] = self.titles[i]
                total += np.array(numbers, float)
        add_up = [bool(np.all(np.abs(total[total > 0] / whole - 1) < 0.01)) for whole in (1, 100)]
        return found if any(add_up) else {}

    def _scale(self, columns: list[int]) -> float:
        """Return what readings are divided by: 100 for a table of per cent."""
        cells = (number_of(row[i]) for _, row in self.rows for i in columns if i < len(row))
        highest = max((number for number in cells if number is not None), default=0.0)
        return 100.0 if "%" in self.titles[columns[0]] or highest > _HIGHEST else 1.0

    def _card(
        self,
        number: int,
        row: list[str],
        columns: list[int],
        scale: float,
        mixture_of: Callable[[list[str]], Mixture],
    ) -> Drawdown | None:
        before = len(self.findings)
        values = self._numbers(number, row, columns)
        ground = self._ground(number, row)
        film = self._film(number, self._cell(row, "filmum") or self._cell(row, "film"))
        gloss = self._gloss(number, row)
        try:
            mixture = mixture_of(row)
        except ValueError as error:
            self._fault(number, "drawdown-mixture", str(error), "Write it as: blue 10 + white 90.")
            mixture = (("", 1.0),)
        if not mixture and ground == "opaque":
            self._fault(
                number,
                "drawdown-mixture",
                "the row has no mixture",
                "Write it as: blue 10 + white 90; of the bare chart write the ground, black or "
                "white.",
            )
        if len(self.findings) > before:
            return None
        reading = self._reading(number, values, scale)
        name = next((text for key in _NAMES if (text := self._cell(row, key))), f"row {number}")
        if reading is None:
            return None
        return Drawdown(name, mixture, reading, ground, film, gloss_included=gloss)

    def _reading(self, number: int, values: Floats, scale: float) -> Floats | None:
        if scale == 0.0:
            return reflectance_from_lab(values, viewing(_LAB_WAVELENGTHS))
        reading = values / scale
        if reading.min() >= -0.01 and reading.max() <= _HIGHEST:
            return np.asarray(reading)
        worst = values.min() if reading.min() < -0.01 else values.max()
        self._fault(
            number,
            "drawdown-reading",
            f"a reading of {worst:g} is not a reflectance from 0 to 1, or from 0 to 100 per cent",
            "Write all cards as fractions, or all in per cent.",
        )
        return None

    def _cell(self, row: list[str], key: str) -> str:
        at = self.places.get(key, len(row))
        return row[at] if at < len(row) else ""

    def _numbers(self, number: int, row: list[str], columns: list[int]) -> Floats:
        found = [number_of(row[i]) if i < len(row) else None for i in columns]
        if None in found:
            self._fault(
                number,
                "drawdown-number",
                "a reading is missing or no number",
                "Fill every column.",
            )
        return np.array([value or 0.0 for value in found])

    def _ground(self, number: int, row: list[str]) -> str:
        text = self._cell(row, "ground")
        ground = text.lower().removeprefix("over ").removeprefix("on ") or "opaque"
        if ground not in GROUNDS:
            self._fault(
                number,
                "drawdown-ground",
                f'there is no ground "{text}"',
                "Write opaque, black or white.",
            )
        return ground

    def _gloss(self, number: int, row: list[str]) -> bool | None:
        """Return whether a card was read with the gloss included; ``None`` if nothing says."""
        text = next((t for key in _GLOSS_TITLES if (t := self._cell(row, key))), self.remark)
        if not text:
            return None
        included = _GLOSS_WORDS.get(_plain(text))
        if included is None:
            self._fault(
                number,
                "drawdown-gloss",
                f'"{text}" does not say how the gloss was read',
                "Write included or excluded.",
            )
        return included

    def _film(self, number: int, text: str) -> float | None:
        if not text:
            return None
        film = number_of(text) or 0.0
        if film <= 0.0:
            self._fault(
                number,
                "drawdown-film",
                f'"{text}" is not a film thickness',
                "Write microns, as 25.",
            )
        return film

    def _fault(self, line: int, code: str, message: str, remedy: str) -> None:
        text = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        self.findings.append(Finding(code, message, remedy, place=Place(self.path, line, 1, text)))

    def _give_up(self) -> None:
        if [f.code for f in self.findings].count("drawdowns-columns") > 1:
            # It has neither readings nor mixtures: nothing is quoted of what may be secret.
            words = "this is not a table of drawdowns: its heading has no readings and no mixtures"
            place = Place(self.path)
            raise LiveryError([Finding("drawdowns-columns", words, _COLUMNS, place=place)])
        if self.findings:
            raise LiveryError(self.findings)


def in_tens(readings: Floats, wavelengths_nm: Floats) -> tuple[Floats, Floats]:
    """Return readings (..., n) every 10 nm with their wavelengths.

    Even steps of 10 or 20 nm are left as they are.  Finer readings are averaged with the
    triangular weight that an instrument of 10 nm has; coarser ones are interpolated.
    """
    steps = np.diff(wavelengths_nm)
    if not steps.size or (np.ptp(steps) < 1e-6 and round(float(steps[0]), 6) in (10.0, 20.0)):
        return readings, wavelengths_nm
    first, last = np.ceil(wavelengths_nm[0] / 10.0), np.floor(wavelengths_nm[-1] / 10.0)
    grid = np.arange(first, last + 1.0) * 10.0
    if steps.max() > 10.0:
        return np.array([np.interp(grid, wavelengths_nm, r) for r in readings]), grid
    weight = np.maximum(1.0 - np.abs(wavelengths_nm[:, None] - grid) / 10.0, 0.0)
    return readings @ (weight / weight.sum(axis=0)), grid


def _remarked(line: str) -> str:
    """Return what a line before the headings says of the gloss: ``# specular: excluded``."""
    found = _GLOSS_REMARK.match(line)
    return found["how"].strip(" ;,") if found else ""


def _plain(title: str) -> str:
    return re.sub(r"[^a-z0-9]", "", title.lower().replace("%", "percent").replace("µ", "u"))


def _bare(tint: str) -> str:
    return " ".join(tint.lower().split())


def _amounts(cells: list[tuple[str, str]]) -> Mixture:
    """Return the mixture of a row with a column for each tint."""
    found = []
    for tint, cell in cells:
        amount = number_of(cell) if cell else 0.0
        if amount is None:
            raise ValueError(f'"{cell}" of {tint} is not a weight')
        found.append((tint, amount))
    return weighed(found, "The row") if any(amount for _, amount in found) else ()


def _listed(row: list[str], pairs: list[tuple[int, int]]) -> Mixture:
    """Return the mixture of a row that lists tints in one column and weights in another."""
    found: list[tuple[str, str]] = []
    for i, j in pairs:
        tints, weights = _split_alike(*(row[at] if at < len(row) else "" for at in (i, j)))
        if tints != [""] and len(tints) == 1 and weights == [""]:
            weights = ["1"]
        if len(tints) != len(weights):
            raise ValueError(f"{len(tints)} tints have {len(weights)} weights")
        found += [(t, w) for t, w in zip(tints, weights, strict=True) if t]
    return _amounts(found)


def _split_alike(tints: str, weights: str) -> tuple[list[str], list[str]]:
    """Return two cells' lists, taken apart by signs, commas or spaces so that they match.

    Spaces part tints only where nothing else does, for names have them too.
    """
    ways = [
        [[piece.strip(" []()'\"") for piece in re.split(mark, cell.strip())] for mark in _BETWEEN]
        for cell in (tints, weights)
    ]
    parted = next((way for way in ways[0][:-1] if len(way) > 1), None)
    for some, numbers in product([parted] if parted else ways[0], ways[1]):
        if len(some) == len(numbers) and all(not n or number_of(n) is not None for n in numbers):
            return some, numbers
    return parted or ways[0][0], ways[1][0]


def _spelt_alike(cards: list[Drawdown]) -> list[Drawdown]:
    """Return cards with each tint spelt as on its first card, capitals and spaces apart.

    ``red 101`` by itself is the tint of that name where a mixture has ``red 101 10``.
    """
    spelling: dict[str, str] = {}
    for card in cards:
        for tint, _ in card.mixture:
            spelling.setdefault(_bare(tint), tint)
    found = []
    for card in cards:
        mixture = card.mixture
        numbered = f"{mixture[0][0]} {mixture[0][1]:g}" if len(mixture) == 1 else ""
        if _bare(numbered) in spelling:
            mixture = ((numbered, 1.0),)
        alike = tuple((spelling[_bare(tint)], parts) for tint, parts in mixture)
        found.append(replace(card, mixture=alike))
    return found
