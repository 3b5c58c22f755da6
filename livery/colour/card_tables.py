"""A person's own measured cards, from an instrument's table or exchange file, as a palette.

A table (CSV, or separated by semicolons or tabs) has a row of headings that says what
its columns are, whatever their order: a name, a number, ``L* a* b*``, ``X Y Z`` or one
column a wavelength (``400``, ``R400``, ``400 nm``, ``SPECTRAL_NM400``).  Lines before it
that begin with ``#`` may say what the numbers hold for::

    # illuminant: D50
    # observer: 2
    # geometry: specular excluded

CxF files (ISO 17972-1) say that themselves: see :mod:`livery.colour.cxf`.  Spectra go
before Lab and Lab before XYZ where a file has more than one.
"""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path
from typing import NamedTuple

from livery.colour.card_readings import (
    ASSUMED_UNCERTAINTY,
    HEADINGS,
    LEAST,
    Conditions,
    Reading,
    palette_of,
    read_text,
)
from livery.colour.conversion import OBSERVERS, illuminants
from livery.colour.cxf import read_cxf
from livery.colour.palette import LIGHTEST, Geometry, Palette
from livery.colour.palette_file import palette_text, read_palette
from livery.findings import Finding, LiveryError, Place

_NAMES = ("name", "samplename", "sample", "colour", "color", "description", "label")
_KEYS = ("key", "number", "no", "code", "id", "sampleid", "sampleno")
_COLUMNS = {
    "lab": (("l", "a", "b"), ("labl", "laba", "labb"), ("ciel", "ciea", "cieb")),
    "xyz": (("x", "y", "z"), ("xyzx", "xyzy", "xyzz")),
}
_WAVELENGTH = re.compile(r"(?:spectralnm|spectral|specnm|spec|refl|r|nm)?(\d{3})(?:nm)?")
_REMARK = re.compile(r"#\s*(?P<key>[a-z]+)\s*[:=]\s*(?P<value>.+)", re.IGNORECASE)


def read_cards(path: Path) -> Palette:
    """Return the palette in a file: TOML, CSV (also ``.tsv`` and ``.txt``) or CxF."""
    suffix = path.suffix.lower()
    if suffix == ".toml":
        return read_palette(path)
    if suffix in (".cxf", ".xml"):
        return read_cxf(path)
    if suffix in (".csv", ".tsv", ".txt"):
        return read_table(path)
    raise LiveryError(
        [
            Finding(
                "cards-kind",
                f"{path} is not a kind of colour table known here.",
                "Give a .toml palette, a .csv table or a .cxf file.",
            )
        ]
    )


def write_palette(palette: Palette, path: Path) -> None:
    """Write a palette as TOML."""
    path.write_text(palette_text(palette), encoding="utf-8", newline="\n")


def read_table(path: Path) -> Palette:
    """Return the palette in a table with headings; everything wrong with it is told at once."""
    text = read_text(path)
    lines = text.splitlines()
    remarks = {
        found["key"].lower(): (number, found["value"].strip())
        for number, line in enumerate(lines, 1)
        if (found := _REMARK.match(line.strip()))
    }
    delimiter = _delimiter(lines)
    rows = [
        (number, [cell.strip() for cell in cells])
        for number, line in enumerate(lines, 1)
        if line.strip() and not line.lstrip().startswith("#")
        for cells in csv.reader([line], delimiter=delimiter)
    ]
    if not rows:
        raise LiveryError([Finding("cards-empty", f"{path} has no rows.", HEADINGS)])
    heading, *body = rows
    columns = _columns(path, lines, heading)
    conditions = _conditions(path, lines, remarks, columns.wavelengths_nm)
    readings, faults = [], []
    for number, cells in body:
        try:
            readings.append(columns.reading(cells, decimal_comma=delimiter != ","))
        except ValueError as error:
            faults.append(_fault(path, lines, number, str(error)))
    if faults:
        raise LiveryError(faults)
    return palette_of(path, readings, conditions)


class _Columns(NamedTuple):
    name: int | None
    key: int | None
    kind: str
    values: tuple[int, ...]
    wavelengths_nm: tuple[float, ...]

    def reading(self, cells: list[str], *, decimal_comma: bool) -> Reading:
        """Return one row; raises ValueError with what is wrong."""
        if max(self.values) >= len(cells):
            raise ValueError(f"this row has {len(cells)} columns, fewer than its headings")
        values = tuple(_number(cells[i], decimal_comma=decimal_comma) for i in self.values)
        if self.kind == "lab" and not 0 <= values[0] <= LIGHTEST:
            raise ValueError(f"L* is {values[0]:g}; it runs from 0 to 100")
        if self.kind != "lab" and min(values) < LEAST:
            raise ValueError(f"{min(values):g} is below nothing")
        key = "" if self.key is None or self.key >= len(cells) else cells[self.key]
        name = "" if self.name is None or self.name >= len(cells) else cells[self.name]
        return Reading(name, key, self.kind, values)


def _number(cell: str, *, decimal_comma: bool) -> float:
    text = cell.replace("−", "-").removesuffix("%").strip()
    try:
        number = float(text.replace(",", ".") if decimal_comma else text)
    except ValueError:
        raise ValueError(f"{cell!r} is not a number") from None
    if not math.isfinite(number):
        raise ValueError(f"{cell!r} is not a number")
    return number


def _delimiter(lines: list[str]) -> str:
    heading = next((s for s in lines if s.strip() and not s.lstrip().startswith("#")), "")
    return max("\t;,", key=heading.count)


def _columns(path: Path, lines: list[str], heading: tuple[int, list[str]]) -> _Columns:
    line, titles = heading
    plain = [re.sub(r"[^a-z0-9]", "", title.lower()) for title in titles]
    name = next((plain.index(word) for word in _NAMES if word in plain), None)
    key = next((plain.index(word) for word in _KEYS if word in plain), None)
    spectral = [(int(m[1]), i) for i, t in enumerate(plain) if (m := _WAVELENGTH.fullmatch(t))]
    if len(spectral) > 3:
        spectral.sort()
        places = tuple(i for _, i in spectral)
        return _Columns(name, key, "reflectance", places, tuple(float(w) for w, _ in spectral))
    for kind, ways in _COLUMNS.items():
        for way in ways:
            if all(title in plain for title in way):
                return _Columns(name, key, kind, tuple(plain.index(t) for t in way), ())
    message = "These headings tell of no Lab, XYZ or reflectance."
    place = Place(path, line, 1, lines[line - 1])
    raise LiveryError([Finding("cards-headings", message, HEADINGS, place=place)])


def _conditions(
    path: Path,
    lines: list[str],
    remarks: dict[str, tuple[int, str]],
    wavelengths_nm: tuple[float, ...],
) -> Conditions:
    values = {key: value for key, (_, value) in remarks.items()}
    known = {
        "illuminant": illuminants(),
        "observer": tuple(str(o) for o in OBSERVERS),
        "geometry": tuple(g.value for g in Geometry),
    }
    faults = [
        _fault(path, lines, remarks[key][0], f"{key} {values[key]!r} is not known; {choices} are")
        for key, allowed in known.items()
        if key in values and values[key] not in allowed
        for choices in [", ".join(allowed[:4])]
    ]
    uncertainty = ASSUMED_UNCERTAINTY
    if "uncertainty" in values:
        try:
            uncertainty = abs(_number(values["uncertainty"], decimal_comma=False))
        except ValueError as error:
            faults.append(_fault(path, lines, remarks["uncertainty"][0], str(error)))
    if faults:
        raise LiveryError(faults)
    return Conditions(
        values.get("title", ""),
        values.get("illuminant", "D65"),
        int(values.get("observer", "2")),
        Geometry(values.get("geometry", Geometry.NOT_STATED.value)),
        uncertainty,
        wavelengths_nm,
    )


def _fault(path: Path, lines: list[str], line: int, message: str) -> Finding:
    return Finding(
        "cards-row",
        f"{message[0].upper()}{message[1:]}.",
        place=Place(path, line, 1, lines[line - 1]),
    )
