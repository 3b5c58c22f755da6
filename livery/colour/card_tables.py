"""A person's own measured cards, from an instrument's table or exchange file, as a palette.

A table (CSV, or separated by semicolons or tabs; with decimal points or commas) has a row
of headings that says what its columns are, whatever their order: a name, a number,
``L* a* b*``, ``X Y Z`` or one column a wavelength (``400``, ``R400``, ``400 nm``,
``SPECTRAL_NM400``).  What an instrument writes above that row is passed over.  Headings
may say the light, ``L* (D65/10)``, and so may lines that begin with ``#``::

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
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from livery.colour.card_readings import (
    ASSUMED_UNCERTAINTY,
    HEADINGS,
    CardReading,
    Conditions,
    palette_of,
)
from livery.colour.conversion import OBSERVERS, illuminants
from livery.colour.cxf import read_cxf
from livery.colour.lab_limits import lab_fault, light_fault
from livery.colour.palette import Geometry, Palette
from livery.colour.palette_file import read_palette
from livery.colour.text_table import read_text_file
from livery.findings import Finding, LiveryError, Place

_NAMES = ("name", "samplename", "sample", "colour", "color", "description", "label")
_KEYS = ("key", "number", "no", "nr", "code", "id", "sampleid", "sampleno")
_COLUMNS = {
    "lab": (("l", "a", "b"), ("labl", "laba", "labb"), ("ciel", "ciea", "cieb")),
    "xyz": (("x", "y", "z"), ("xyzx", "xyzy", "xyzz")),
}
_WAVELENGTH = re.compile(r"(?:spectralnm|spectral|specnm|spec|refl|r|nm)?(\d{3})(?:nm)?")
_WHOLE_NM = re.compile(r"[.,]0+(?!\d)")
_BRACKETS = re.compile(r"[(\[].*?[)\]]")
_LIGHT = re.compile(
    r"[(\[]\s*(?P<illuminant>[A-Z][A-Z0-9]*)\s*(?:[/,]\s*(?P<observer>2|10)\s*°?)?\s*[)\]]"
)
_REMARK = re.compile(r"#\s*(?P<key>[a-z]+)\s*[:=]\s*(?P<value>.+)", re.IGNORECASE)


def read_cards(path: Path) -> Palette:
    """Return the palette in a file: TOML, CSV (also ``.tsv`` and ``.txt``) or CxF."""
    suffix = path.suffix.lower()
    if suffix == ".toml":
        return read_palette(path)
    if suffix in (".cxf", ".xml"):
        return read_cxf(path)
    if suffix in (".csv", ".tsv", ".txt"):
        return read_card_table(path)
    raise LiveryError(
        [
            Finding(
                "cards-kind",
                f"{path} is not a kind of colour table known here",
                "Give a .toml palette, a .csv table or a .cxf file.",
            )
        ]
    )


def read_card_table(path: Path) -> Palette:
    """Return the palette in a table with headings; everything wrong with it is reported at once."""
    text = read_text_file(path)
    lines = text.splitlines()
    remarks = {
        found["key"].lower(): (number, found["value"].strip())
        for number, line in enumerate(lines, 1)
        if (found := _REMARK.match(line.strip()))
    }
    heading, columns = _heading(path, lines)
    remarks = _light_of(lines[heading - 1], heading) | remarks
    conditions = _conditions(path, lines, remarks, columns.wavelengths_nm)
    readings, faults = [], []
    for number, cells in _rows(path, lines, heading, columns.delimiter):
        try:
            readings.append(columns.reading(cells))
        except ValueError as error:
            faults.append(_fault(path, lines, number, str(error)))
    if faults:
        raise LiveryError(faults)
    return palette_of(path, readings, conditions)


def _rows(
    path: Path, lines: list[str], start: int, delimiter: str
) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows after so many lines, each with its line number; empty ones are left out."""
    kept = ("\n" if _is_remark(line) else f"{line}\n" for line in lines[start:])
    reader = csv.reader(kept, delimiter=delimiter)
    line = start
    try:
        for cells in reader:
            number, line = line + 1, start + reader.line_num
            if any(cell.strip() for cell in cells):
                yield number, [" ".join(cell.split()) for cell in cells]
    except csv.Error as error:
        raise LiveryError(
            [_fault(path, lines, line + 1, f"this row cannot be read: {error}")]
        ) from None


def _is_remark(line: str) -> bool:
    return line.lstrip().startswith("#")


class _Columns(NamedTuple):
    name: int | None
    key: int | None
    kind: str
    values: tuple[int, ...]
    wavelengths_nm: tuple[float, ...]
    delimiter: str

    def reading(self, cells: list[str]) -> CardReading:
        """Return one row; raises ValueError with what is wrong."""
        if max(self.values) >= len(cells):
            raise ValueError(f"this row has {len(cells)} columns, fewer than its headings")
        values = tuple(_number(cells[i]) for i in self.values)
        if wrong := lab_fault(values) if self.kind == "lab" else light_fault(values):
            raise ValueError(wrong)
        key = "" if self.key is None or self.key >= len(cells) else cells[self.key]
        name = "" if self.name is None or self.name >= len(cells) else cells[self.name]
        return CardReading(name, key, self.kind, values)


def _number(cell: str) -> float:
    """Return the number in a cell; a comma in it, with no point, is a decimal one."""
    text = cell.replace("−", "-").removesuffix("%").strip()
    if not text:
        raise ValueError("a value is missing")
    try:
        number = float(text if "." in text else text.replace(",", "."))
    except ValueError:
        raise ValueError(f'"{cell}" is not a number') from None
    if not math.isfinite(number):
        raise ValueError(f'"{cell}" is not a number')
    return number


def _heading(path: Path, lines: list[str]) -> tuple[int, _Columns]:
    """Return the number of the first line that heads colours, and its columns."""
    filled = [i for i, line in enumerate(lines, 1) if line.strip() and not _is_remark(line)]
    if not filled:
        raise LiveryError([Finding("cards-empty", f"{path} has no rows", HEADINGS)])
    for number in filled:
        line = lines[number - 1]
        delimiter = max("\t;,", key=line.count)
        columns = _columns(line, delimiter)
        if columns is not None:
            return number, columns
    message = "these headings name no Lab, XYZ or reflectance"
    place = Place(path, filled[0], 1)  # its text is not shown: it may be no such table at all
    raise LiveryError([Finding("cards-headings", message, HEADINGS, place=place)])


def _columns(line: str, delimiter: str) -> _Columns | None:
    """Return what the columns are; None where the line heads no colours."""
    try:
        titles = next(csv.reader([line], delimiter=delimiter))
    except csv.Error:
        return None
    plain = [_plain(title) for title in titles]
    found = _values(plain)
    if found is None:
        return None
    kind, values, wavelengths_nm = found
    key = next((plain.index(word) for word in _KEYS if word in plain), None)
    name = next((plain.index(word) for word in _NAMES if word in plain), None)
    if name is None and 0 not in (key, *values):
        name = 0  # a heading in another language
    return _Columns(name, key, kind, values, wavelengths_nm, delimiter=delimiter)


def _plain(title: str) -> str:
    return re.sub(r"[^a-z0-9]", "", _BRACKETS.sub("", _WHOLE_NM.sub("", title)).lower())


def _values(plain: list[str]) -> tuple[str, tuple[int, ...], tuple[float, ...]] | None:
    """Return the kind of colour, the columns it stands in and its wavelengths."""
    spectral = sorted(
        (int(m[1]), i) for i, t in enumerate(plain) if (m := _WAVELENGTH.fullmatch(t))
    )
    if len(spectral) > 3:
        return "reflectance", tuple(i for _, i in spectral), tuple(float(w) for w, _ in spectral)
    for kind, ways in _COLUMNS.items():
        for way in ways:
            if all(title in plain for title in way):
                return kind, tuple(plain.index(title) for title in way), ()
    return None


def _light_of(heading: str, number: int) -> dict[str, tuple[int, str]]:
    """Return illuminant and observer as headings give them, ``L* (D65/10)``."""
    found = _LIGHT.search(heading)
    given = {} if found is None else found.groupdict()
    return {key: (number, value) for key, value in given.items() if value}


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
        _fault(path, lines, remarks[key][0], f'{key} "{values[key]}" is not known; {choices} are')
        for key, allowed in known.items()
        if key in values and values[key] not in allowed
        for choices in [", ".join(allowed[:4])]
    ]
    uncertainty = ASSUMED_UNCERTAINTY
    if "uncertainty" in values:
        try:
            uncertainty = abs(_number(values["uncertainty"]))
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
        wavelengths_nm=wavelengths_nm,
    )


def _fault(path: Path, lines: list[str], line: int, message: str) -> Finding:
    return Finding(
        "cards-row",
        message,
        place=Place(path, line, 1, lines[line - 1]),
    )
