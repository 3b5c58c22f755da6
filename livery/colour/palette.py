"""Palettes: published standards and a person's own measured cards, each with its provenance."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from enum import Enum
from functools import cached_property
from math import hypot
from typing import NamedTuple

import numpy as np

from livery.colour.conversion import adapted_lab, white
from livery.colour.science import FloatArray
from livery.colour.spectra import lab_from_reflectance
from livery.colour.value import Colour, Triple, triple
from livery.findings import fault

DAYLIGHT_ERROR = 1.0
"""DeltaE00 at about 95 % of 48 measured reflectances brought to D65 and 2 degrees by adaptation
instead of through their spectra, from C, D50, D55 and D75 (measured: 0.5 to 1.2). Larger, and such
standards are called less sure."""

OTHER_OBSERVER_ERROR = 2.5
"""DeltaE00 at 95 % of 123 published reflectances brought from 10 to 2 degrees by the smoothest
reflectance (measured). Larger, and such standards are called less sure."""

OTHER_LIGHT_ERROR = 5.0
"""The same from lamps (measured: 3 to 9). Larger, and such standards are called less sure."""

_DAYLIGHTS = ("C", "D50", "D55", "D60", "D75")


class Basis(Enum):
    """What the numbers of a palette rest on."""

    MEASURED = "measured"
    SPECIFICATION = "converted from a published specification"
    SCREEN = "screen approximation"


class PaletteKind(Enum):
    """Whether the colours are a standard's own, which paint is sold to, or a way to write any."""

    STANDARD = "standard"
    NOTATION = "notation"


class Geometry(Enum):
    """Whether the gloss reflection was in the reading; 45/0 instruments leave it out."""

    SPECULAR_INCLUDED = "specular included"
    SPECULAR_EXCLUDED = "specular excluded"
    NOT_STATED = "not stated"


@dataclass(frozen=True, slots=True)
class Swatch:
    """One colour of a palette.

    ``lab`` is under the palette's own illuminant and observer.  ``reflectance`` is
    empty or runs over the palette's wavelengths.  ``suspect`` says why the value cannot be
    trusted; empty where nothing speaks against it.  ``support`` says what the value rests on where
    that is its own, and ``uncertainty`` how far it may be out, in DeltaE00, instead of the palette's.
    """

    key: str
    name: str
    lab: Triple
    reflectance: tuple[float, ...] = ()
    suspect: str = ""
    support: str = ""
    uncertainty: float | None = None

    def label(self) -> str:
        """Return the number and the name."""
        return f"{self.key} {self.name}".rstrip()


@dataclass(frozen=True)
class Palette:
    """A table of colours and where it comes from.

    ``uncertainty`` is about how far, in DeltaE00, 95 in 100 entries may be from the real thing in
    their own light, ``worst`` how far at worst where that is known; see :meth:`error` for D65.
    """

    name: str
    title: str
    source: str
    licence: str
    basis: Basis
    uncertainty: float
    swatches: tuple[Swatch, ...]
    illuminant: str = "D65"
    observer: int = 2
    geometry: Geometry = Geometry.NOT_STATED
    gloss: str = "not stated"
    note: str = ""
    wavelengths_nm: tuple[float, ...] = ()
    kind: PaletteKind = PaletteKind.STANDARD
    worst: float | None = None

    @cached_property
    def labs(self) -> FloatArray:
        """CIELAB of all swatches (n, 3) under D65 for 2 degrees; from spectra where there are."""
        lab = np.array([swatch.lab for swatch in self.swatches], dtype=np.float64).reshape(-1, 3)
        if self.observer == 2 and self.illuminant != "D65":
            lab = adapted_lab(lab, white(self.illuminant), white())
        elif self.observer != 2:
            own = [Colour(swatch.lab, self.illuminant, self.observer) for swatch in self.swatches]
            lab = np.array([colour.canonical().lab for colour in own]).reshape(-1, 3)
        spectral = [i for i, swatch in enumerate(self.swatches) if swatch.reflectance]
        if spectral:
            curves = np.array([self.swatches[i].reflectance for i in spectral])
            lab[spectral] = lab_from_reflectance(curves, self.wavelengths_nm)
        lab.flags.writeable = False
        return lab

    def error(self, swatch: Swatch) -> float:
        """Return about how far, in DeltaE00, a swatch's Lab under D65 may be from the truth."""
        own = self.uncertainty if swatch.uncertainty is None else swatch.uncertainty
        if swatch.reflectance or (self.illuminant, self.observer) == ("D65", 2):
            return own
        daylight = self.illuminant in _DAYLIGHTS
        light = (
            0.0 if self.illuminant == "D65" else DAYLIGHT_ERROR if daylight else OTHER_LIGHT_ERROR
        )
        return hypot(own, light, OTHER_OBSERVER_ERROR if self.observer != 2 else 0.0)

    def colour(self, swatch: Swatch) -> Colour:
        """Return a swatch's colour under D65 for 2 degrees."""
        return Colour(triple(self.labs[self.swatches.index(swatch)]))


class Standard(NamedTuple):
    """A swatch and the palette it is of."""

    palette: Palette
    swatch: Swatch

    @property
    def colour(self) -> Colour:
        """The swatch's colour under D65 for 2 degrees."""
        return self.palette.colour(self.swatch)


def find(palettes: Iterable[Palette], text: str) -> Standard:
    """Return the swatch a person names: its number, its name or both; case does not matter.

    ``bs381c 226`` asks for a number in one palette.
    """
    named: dict[str, list[Standard]] = {}
    for palette in palettes:
        for swatch in palette.swatches:
            for spelling in _spellings(palette, swatch):
                named.setdefault(spelling, []).append(Standard(palette, swatch))
    asked = " ".join(text.lower().split())
    found = named.get(asked, [])
    if len(found) == 1:
        return found[0]
    if found:
        choices = ", ".join(f'"{palette.name} {swatch.key}"' for palette, swatch in found)
        raise fault(
            "palette-ambiguous", f'"{text}" is in more than one place', f"Write one of: {choices}."
        )
    raise fault("palette-unknown", f'no palette has a colour "{text}"', _where_else(asked, named))


def _where_else(asked: str, named: Mapping[str, list[Standard]]) -> str:
    """Return what to write instead: names that are near, and which palettes there are."""
    palettes = sorted({s.palette.name for found in named.values() for s in found})
    own = next((name for name in palettes if asked.startswith(f"{name} ")), None)
    joined = _without_gaps(asked)
    meant = next((spelling for spelling in named if _without_gaps(spelling) == joined), None)
    if meant is not None:
        return f'Write "{meant}".'
    rest = asked if own is None else asked.removeprefix(own)
    near = ""
    # Numbers that look alike are no nearer to each other than others.
    if not any(sign.isdigit() for sign in rest):
        close = get_close_matches(asked, named, n=3, cutoff=0.6)
        near = f"The nearest names are: {', '.join(close)}. " if close else ""
    elif own is not None:
        return f"Palette {own} has no such number. Check it against the standard's own card."
    other = "Give the colour of another standard as a Lab or a screen colour."
    return f"{near}Palettes: {', '.join(palettes)}; write a palette and its number. {other}"


def _without_gaps(text: str) -> str:
    return "".join(sign for sign in text if sign not in " -_.")


def _spellings(palette: Palette, swatch: Swatch) -> set[str]:
    key = swatch.key.lower()
    names = [name for name in swatch.name.lower().split(", ") if name]
    plain = {key, *names, *(f"{key} {name}" for name in names)}
    return plain | {f"{palette.name.lower()} {spelling}" for spelling in plain}
