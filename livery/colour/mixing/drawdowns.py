"""Drawdowns as a table: which tints, in what parts, over what ground, and what was read.

A CSV file, one row per card::

    card, mixture,             ground, film_um, 400,   410,   ... 700
    1,    white 100,           opaque, ,        0.364, 0.712, ...
    2,    blue 10 + white 90,  opaque, ,        0.295, 0.402, ...
    3,    blue 100,            black,  25,      0.051, ...
    4,    blue 100,            white,  25,      0.064, ...

Parts are by weight.  Readings are reflectances, 0 to 1 or per cent (``%`` after the
wavelength: ``400%``), or ``L``, ``a`` and ``b`` where the instrument gives no more.
``ground`` is ``opaque`` if it is left out.  A row with no mixture is the bare chart.  A
film that does not hide has to be read over black and white both.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from livery.colour.mixing.kubelka_munk import (
    Coefficients,
    coefficients_over_black_and_white,
    reflectance_from_ks,
)
from livery.colour.mixing.saunderson import (
    GLOSS,
    Surface,
    internal_from_measured,
    measured_from_internal,
)
from livery.colour.mixing.smoothest import reflectance_from_lab
from livery.colour.mixing.viewing import viewing
from livery.findings import Finding, LiveryError, Place

Floats = NDArray[np.float64]

GROUNDS = ("opaque", "black", "white")
_LAB = ("L", "a", "b")
_LAB_WAVELENGTHS = np.arange(400.0, 701.0, 10.0)
_PART = re.compile(r"^(?P<tint>.+?)\s+(?P<parts>\d+(?:\.\d+)?)$|^(?P<alone>.+)$")
# Two readings this close over black and white mean that the film hides.
_HIDES = 0.003
_CHART_BLACK, _CHART_WHITE = 0.05, 0.80


@dataclass(frozen=True, slots=True, eq=False)
class Drawdown:
    """One card: its name, tints with parts by weight, ground, film and reading."""

    card: str
    mixture: tuple[tuple[str, float], ...]
    reading: Floats
    ground: str = "opaque"
    film_um: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Film:
    """K and S per micron (NaN where it hides) of parts (tints) read over black and white."""

    parts: Floats
    per_micron: Coefficients


@dataclass(frozen=True, slots=True, eq=False)
class Drawdowns:
    """Cards as arrays: ``parts`` (cards, tints) and opaque ``readings`` (cards, wavelengths)."""

    tints: tuple[str, ...]
    wavelengths_nm: Floats
    cards: tuple[str, ...]
    parts: Floats
    readings: Floats
    films: tuple[Film, ...] = ()

    def without(self, card: int) -> Drawdowns:
        """Return the same without one card."""
        keep = np.arange(len(self.cards)) != card
        names = tuple(name for i, name in enumerate(self.cards) if i != card)
        return Drawdowns(
            self.tints,
            self.wavelengths_nm,
            names,
            self.parts[keep],
            self.readings[keep],
            self.films,
        )


def read_drawdowns(path: Path, surface: Surface = GLOSS) -> Drawdowns:
    """Return the cards of a CSV file, films over black and white made opaque.

    Raises:
        LiveryError: the table cannot be read; every fault with its line.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise LiveryError(
            [Finding("drawdowns-unread", f"{path} cannot be read: {error}.", "Name a CSV file.")]
        ) from error
    return _Table(path, text).drawdowns(surface)


def gather(cards: list[Drawdown], wavelengths_nm: Floats, surface: Surface = GLOSS) -> Drawdowns:
    """Return cards as arrays; pairs over black and white become one opaque card and a film."""
    charts = {c.ground: c.reading for c in cards if not c.mixture}
    mixed = [c for c in cards if c.mixture]
    tints = tuple(dict.fromkeys(tint for c in mixed for tint, _ in c.mixture))

    def row(card: Drawdown) -> Floats:
        found = np.zeros(len(tints))
        for tint, parts in card.mixture:
            found[tints.index(tint)] += parts
        return found

    opaque = [c for c in mixed if c.ground == "opaque"]
    names, parts = [c.card for c in opaque], [row(c) for c in opaque]
    readings, films = [c.reading for c in opaque], []
    for dark, light in _pairs(mixed):
        made, per_micron = _opaque(dark, light, charts, surface)
        names.append(f"{dark.card} and {light.card}")
        parts.append(row(dark))
        readings.append(made)
        if dark.film_um is not None:
            films.append(Film(row(dark), per_micron))
    return Drawdowns(
        tints,
        wavelengths_nm,
        tuple(names),
        np.array(parts),
        np.array(readings),
        tuple(films),
    )


def _pairs(cards: list[Drawdown]) -> list[tuple[Drawdown, Drawdown]]:
    """Return each black card with its white one; a card alone is a fault."""
    waiting = [c for c in cards if c.ground == "white"]
    pairs, findings = [], []
    for dark in (c for c in cards if c.ground == "black"):
        same = [c for c in waiting if c.mixture == dark.mixture and c.film_um == dark.film_um]
        if same:
            pairs.append((dark, same[0]))
            waiting = [c for c in waiting if c is not same[0]]
        else:
            findings.append(_alone(dark, "white"))
    findings += [_alone(light, "black") for light in waiting]
    if findings:
        raise LiveryError(findings)
    return pairs


def _alone(card: Drawdown, other: str) -> Finding:
    return Finding(
        "drawdown-alone",
        f"Card {card.card} is over {card.ground} and the same mixture over {other} is missing.",
        f"Add the reading over {other} (same mixture, same film), or write the ground as "
        "opaque if the film hides it.",
    )


def _opaque(
    dark: Drawdown, light: Drawdown, charts: dict[str, Floats], surface: Surface
) -> tuple[Floats, Coefficients]:
    """Return what the film would read if it hid, and K and S for each micron."""
    black = internal_from_measured(charts.get("black", np.array(_CHART_BLACK)), surface)
    white = internal_from_measured(charts.get("white", np.array(_CHART_WHITE)), surface)
    r0 = internal_from_measured(dark.reading, surface)
    r1 = internal_from_measured(light.reading, surface)
    found = coefficients_over_black_and_white(
        r0, r1, np.maximum(black, 0.0), white, dark.film_um or 1.0
    )
    hides = np.abs(light.reading - dark.reading) < _HIDES
    known = np.isfinite(found.s) & ~hides
    ks = np.where(known, found.k / np.where(known, found.s, 1.0), 1.0)
    made = np.where(known, reflectance_from_ks(ks), (r0 + r1) / 2.0)
    per_micron = Coefficients(np.where(known, found.k, np.nan), np.where(known, found.s, np.nan))
    return measured_from_internal(made, surface), per_micron


class _Table:
    """A CSV table under reading; gathers every fault before it gives up."""

    def __init__(self, path: Path, text: str) -> None:
        self.path, self.lines = path, text.splitlines()
        self.findings: list[Finding] = []
        rows = list(csv.reader(self.lines, skipinitialspace=True))
        self.header = [cell.strip() for cell in rows[0]] if rows else []
        self.rows = [
            (number, [cell.strip() for cell in row])
            for number, row in enumerate(rows[1:], start=2)
            if any(cell.strip() for cell in row)
        ]

    def drawdowns(self, surface: Surface) -> Drawdowns:
        columns, wavelengths, scale = self._wavelengths()
        cards = [] if self.findings else [self._card(n, r, columns, scale) for n, r in self.rows]
        good = [c for c in cards if c is not None]
        if not self.findings and not any(c.mixture for c in good):
            self._fault(1, "drawdowns-empty", "The table has no card.", "Write a row for each.")
        if self.findings:
            raise LiveryError(self.findings)
        return gather(good, wavelengths, surface)

    def _wavelengths(self) -> tuple[list[int], Floats, float]:
        """Return the columns of the reading, their wavelengths and the scale to 0 to 1."""
        found = [
            (i, float(name.rstrip("%")))
            for i, name in enumerate(self.header)
            if re.fullmatch(r"\d+(\.\d+)?%?", name)
        ]
        if "mixture" not in self.header:
            self._fault(1, "drawdowns-columns", "There is no column mixture.", _COLUMNS)
        if found:
            percent = self.header[found[0][0]].endswith("%")
            return [i for i, _ in found], np.array([w for _, w in found]), 100.0 if percent else 1.0
        if all(name in self.header for name in _LAB):
            return [self.header.index(name) for name in _LAB], _LAB_WAVELENGTHS, 0.0
        self._fault(1, "drawdowns-columns", "There are no columns of readings.", _COLUMNS)
        return [], _LAB_WAVELENGTHS, 1.0

    def _card(
        self, number: int, row: list[str], columns: list[int], scale: float
    ) -> Drawdown | None:
        cells = dict(zip(self.header, row, strict=False))
        before = len(self.findings)
        values = self._numbers(number, row, columns)
        ground = cells.get("ground") or "opaque"
        if ground not in GROUNDS:
            self._fault(
                number,
                "drawdown-ground",
                f"There is no ground {ground!r}.",
                "Write opaque, black or white.",
            )
        film = self._film(number, cells.get("film_um", ""))
        mixture = self._mixture(number, cells.get("mixture", ""))
        if len(self.findings) > before:
            return None
        if scale == 0.0:
            reading = reflectance_from_lab(values, viewing(_LAB_WAVELENGTHS))
        else:
            reading = values / scale
            if reading.max() > 1.5 or reading.min() < -0.01:
                self._fault(
                    number,
                    "drawdown-reading",
                    f"A reading of {values.max():g} is no reflectance from 0 to 1.",
                    "Divide per cent by 100, or write 400% and so on at the head of the columns.",
                )
                return None
        name = cells.get("card") or f"row {number}"
        return Drawdown(name, mixture, reading, ground, film)

    def _numbers(self, number: int, row: list[str], columns: list[int]) -> Floats:
        try:
            return np.array([float(row[i]) for i in columns])
        except (ValueError, IndexError):
            self._fault(
                number,
                "drawdown-number",
                "A reading is missing or no number.",
                "Fill every column.",
            )
            return np.zeros(len(columns))

    def _film(self, number: int, text: str) -> float | None:
        if not text:
            return None
        try:
            film = float(text)
        except ValueError:
            film = 0.0
        if film <= 0.0:
            self._fault(
                number, "drawdown-film", f"{text!r} is no film thickness.", "Write microns, as 25."
            )
        return film

    def _mixture(self, number: int, text: str) -> tuple[tuple[str, float], ...]:
        if not text:
            return ()
        try:
            return parse_mixture(text)
        except ValueError as error:
            self._fault(number, "drawdown-mixture", str(error), "Write it as: blue 10 + white 90.")
            return ()

    def _fault(self, line: int, code: str, message: str, remedy: str) -> None:
        text = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        self.findings.append(Finding(code, message, remedy, place=Place(self.path, line, 1, text)))


_COLUMNS = (
    "Head the table: card, mixture, ground, film_um, then a column for each wavelength in nm "
    "(or L, a and b)."
)


def parse_mixture(text: str) -> tuple[tuple[str, float], ...]:
    """Return tints with parts from text such as ``blue 10 + white 90``.

    Raises:
        ValueError: the text is no mixture; the message says why.
    """
    pieces = [piece.strip() for piece in text.split("+")]
    found: list[tuple[str, float]] = []
    for piece in pieces:
        match = _PART.match(piece)
        if match is None or (match["alone"] and len(pieces) > 1):
            raise ValueError(f"{piece!r} is no tint with its parts.")
        if match["alone"]:
            found.append((match["alone"], 1.0))
        elif float(match["parts"]) > 0.0:
            found.append((match["tint"], float(match["parts"])))
    if not found:
        raise ValueError(f"{text!r} has no parts.")
    return tuple(found)
