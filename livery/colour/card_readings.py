"""Readings of a person's own cards, from whatever file they came, made a palette."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from livery.colour.conversion import lab_from_xyz, white
from livery.colour.palette import Basis, Geometry, Palette, Swatch
from livery.colour.spectra import lab_from_reflectance
from livery.colour.value import triple
from livery.findings import Finding, LiveryError

HEADINGS = 'Head the columns "name, L*, a*, b*", "name, X, Y, Z" or "name, 400, 410, … 700".'

ASSUMED_UNCERTAINTY = 0.5
"""DeltaE00 between two good instruments on the same card (common practice, not measured). Larger,
and matches to the card are called less sure."""

_HIGHEST_FACTOR = 2.0
"""A reading above this is in per cent, not a factor (chosen: no paint, fluorescent ones included,
sends back twice the light). Larger, and dark cards in per cent are taken for factors."""


class CardReading(NamedTuple):
    """One card as measured: name, number if it has one, and Lab, XYZ (Y = 100) or reflectance."""

    name: str
    key: str
    kind: str
    values: tuple[float, ...]


class Conditions(NamedTuple):
    """What a file's numbers hold for."""

    title: str
    illuminant: str = "D65"
    observer: int = 2
    geometry: Geometry = Geometry.NOT_STATED
    uncertainty: float = ASSUMED_UNCERTAINTY
    wavelengths_nm: tuple[float, ...] = ()
    note: str = ""


def palette_of(path: Path, readings: Iterable[CardReading], conditions: Conditions) -> Palette:
    """Return measured cards as a palette; cards without a number take their name as one."""
    readings = list(readings)
    if not readings:
        raise LiveryError([Finding("cards-empty", f"{path} has no colours", HEADINGS)])
    highest = max(max(reading.values) for reading in readings)
    per_cent = readings[0].kind == "reflectance" and highest > _HIGHEST_FACTOR
    swatches: list[Swatch] = []
    taken: set[str] = set()
    for count, reading in enumerate(readings, 1):
        key = reading.key or reading.name or f"card {count}"
        key = key if key not in taken else f"{key} ({count})"
        taken.add(key)
        swatches.append(_swatch(key, reading, conditions, per_cent=per_cent))
    return Palette(
        name=path.stem,
        title=conditions.title or path.stem,
        source=f"own measurement, {path.name}",
        licence="own",
        basis=Basis.MEASURED,
        uncertainty=conditions.uncertainty,
        swatches=tuple(swatches),
        illuminant=conditions.illuminant,
        observer=conditions.observer,
        geometry=conditions.geometry,
        note="Read as per cent." if per_cent else conditions.note,
        wavelengths_nm=conditions.wavelengths_nm,
    )


def _swatch(key: str, reading: CardReading, conditions: Conditions, *, per_cent: bool) -> Swatch:
    light = (conditions.illuminant, conditions.observer)
    name = reading.name if reading.key else ""
    if reading.kind == "lab":
        return Swatch(key, name, triple(reading.values))
    if reading.kind == "xyz":
        xyz = [value / 100 for value in reading.values]
        return Swatch(key, name, triple(lab_from_xyz(xyz, white(*light))))
    factors = tuple(value / 100 if per_cent else value for value in reading.values)
    lab = triple(lab_from_reflectance(factors, conditions.wavelengths_nm, *light))
    return Swatch(key, name, lab, factors)
