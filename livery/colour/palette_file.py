"""Reading and writing palettes as TOML.

A file has a table ``[palette]`` that says where the colours come from and a table
``[colours]`` with one line a colour, keyed by its number::

    226 = { name = "Middle Brunswick Green", hex = "#33533b" }
    A1 = { name = "body, sprayed", lab = [29.6, -20.8, 5.3] }

A colour is given as ``lab``, as ``xyz`` (Y = 100 for white), as a screen ``hex`` or as
``reflectance`` (0 to 1) at the palette's ``wavelengths = [first, last, step]`` in nm.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from livery.colour.conversion import illuminants, lab_from_srgb, lab_from_xyz, white
from livery.colour.palette import LIGHTEST, Basis, Geometry, Palette, Standard, Swatch, find
from livery.colour.spectra import lab_from_reflectance
from livery.colour.value import Triple, triple
from livery.data_folder import data_folder
from livery.findings import Finding, LiveryError, Place

_STRICT = ConfigDict(extra="forbid", frozen=True)
_KINDS = ("lab", "xyz", "hex", "reflectance")
Factor = Annotated[float, Field(ge=-0.05, le=2)]


class _Header(BaseModel):
    model_config = _STRICT
    title: str
    source: str
    licence: str
    basis: Basis
    uncertainty: float = Field(ge=0)
    illuminant: str = "D65"
    observer: Literal[2, 10] = 2
    geometry: Geometry = Geometry.NOT_STATED
    gloss: str = "not stated"
    note: str = ""
    wavelengths: tuple[int, int, int] | None = None

    @model_validator(mode="after")
    def _known_light(self) -> _Header:
        if self.illuminant not in illuminants():
            raise ValueError(f"there is no illuminant {self.illuminant!r}; D65, D50, C and A are")
        return self

    def wavelengths_nm(self) -> tuple[float, ...]:
        if self.wavelengths is None:
            return ()
        first, last, step = self.wavelengths
        return tuple(float(w) for w in range(first, last + 1, step))


class _Entry(BaseModel):
    model_config = _STRICT
    name: str = ""
    lab: Triple | None = None
    xyz: Triple | None = None
    hex: str | None = Field(default=None, pattern=r"^#[0-9a-fA-F]{6}$")
    reflectance: tuple[Factor, ...] | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> _Entry:
        given = [kind for kind in _KINDS if getattr(self, kind) is not None]
        if len(given) != 1:
            raise ValueError("give exactly one of lab, xyz, hex and reflectance")
        if self.lab is not None and not 0 <= self.lab[0] <= LIGHTEST:
            raise ValueError(f"L* is {self.lab[0]:g}; it runs from 0 to 100")
        return self


class _File(BaseModel):
    model_config = _STRICT
    palette: _Header
    colours: dict[str, _Entry] = Field(min_length=1)

    @model_validator(mode="after")
    def _spectra_fit(self) -> _File:
        count = len(self.palette.wavelengths_nm())
        for key, entry in self.colours.items():
            if entry.reflectance is not None and len(entry.reflectance) != count:
                raise ValueError(
                    f"colour {key} has {len(entry.reflectance)} readings for {count} wavelengths; "
                    "give palette.wavelengths = [first, last, step]"
                )
        return self


def read_palette(path: Path) -> Palette:
    """Return the palette in a TOML file; everything wrong with it is told at once."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise _cannot_read(path, error) from None
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise LiveryError([_syntax_finding(path, text, error)]) from None
    try:
        file = _File.model_validate(data)
    except ValidationError as error:
        raise LiveryError(
            _finding(path, text, detail["loc"], detail["msg"])
            for detail in error.errors(include_url=False)
        ) from None
    return _palette(path.stem, file)


def _palette(name: str, file: _File) -> Palette:
    header = file.palette
    wavelengths = header.wavelengths_nm()
    labs = _labs(file)
    swatches = tuple(
        Swatch(key, entry.name, labs[key], entry.reflectance or ())
        for key, entry in file.colours.items()
    )
    fields = header.model_dump(exclude={"wavelengths"})
    return Palette(name=name, swatches=swatches, wavelengths_nm=wavelengths, **fields)


def _labs(file: _File) -> dict[str, Triple]:
    """Return every colour's Lab under the palette's light, each kind in one go."""
    header = file.palette
    light = (header.illuminant, header.observer)
    labs = {key: entry.lab for key, entry in file.colours.items() if entry.lab is not None}
    kinds: dict[str, Any] = {
        "xyz": lambda values: lab_from_xyz(values / 100, white(*light)),
        "hex": lab_from_srgb,
        "reflectance": lambda values: lab_from_reflectance(values, header.wavelengths_nm(), *light),
    }
    for kind, convert in kinds.items():
        keys = [key for key, entry in file.colours.items() if getattr(entry, kind) is not None]
        if keys:
            given = [getattr(file.colours[key], kind) for key in keys]
            values = np.array([_encoded(v) if kind == "hex" else v for v in given])
            labs.update(zip(keys, map(triple, convert(values)), strict=True))
    return labs


def _encoded(text: str) -> list[float]:
    return [int(text[i : i + 2], 16) / 255 for i in (1, 3, 5)]


@cache
def shipped_palettes() -> tuple[Palette, ...]:
    """Return the palettes that come with Livery, by file name."""
    return tuple(read_palette(path) for path in sorted(data_folder("palettes").glob("*.toml")))


def _cannot_read(path: Path, error: Exception) -> LiveryError:
    reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
    message = f"The palette {path} cannot be read: {reason}."
    return LiveryError([Finding("palette-file", message, "Give the path of a palette file.")])


def _syntax_finding(path: Path, text: str, error: tomllib.TOMLDecodeError) -> Finding:
    at = re.search(r"at line (\d+), column (\d+)", str(error))
    line, column = (int(at[1]), int(at[2])) if at else (len(text.splitlines()), 1)
    what = str(error).split(" (at ")[0]
    place = Place(path, line, column, _line(text, line))
    return Finding("palette-syntax", f"This is not TOML: {what}.", place=place)


def _finding(path: Path, text: str, where: tuple[int | str, ...], message: str) -> Finding:
    key = ".".join(str(part) for part in where)
    line, column = _position(text, where)
    what = message.removeprefix("Value error, ")
    place = Place(path, line, column, _line(text, line)) if line else Place(path)
    if "Extra inputs" in message:
        what = f"there is no key {where[-1]!r} here"
    elif "Field required" in message:
        what = f"the key {where[-1]!r} is missing"
    return Finding("palette-entry", f"{key}: {what}" if key else what, key=key, place=place)


def _position(text: str, where: tuple[int | str, ...]) -> tuple[int, int]:
    """Return line and column, from 1, of an entry; 0 where it cannot be told."""
    if len(where) < 2:
        return 0, 0
    section = re.search(rf"^\[{re.escape(str(where[0]))}\]", text, re.MULTILINE)
    start = section.end() if section else 0
    key = re.escape(str(where[1]))
    found = re.compile(rf"""^[ \t]*(["']?{key}["']?)\s*=""", re.MULTILINE).search(text, start)
    if not found:
        return (text.count("\n", 0, start) + 1, 1) if section else (0, 0)
    at = found.start(1)
    return text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)


def _line(text: str, line: int) -> str:
    lines = text.splitlines()
    return lines[line - 1] if 0 < line <= len(lines) else ""


def palette_text(palette: Palette) -> str:
    """Return a palette as a TOML file; read again it is the same palette."""
    header: dict[str, object] = {
        "title": palette.title,
        "source": palette.source,
        "licence": palette.licence,
        "basis": palette.basis.value,
        "uncertainty": palette.uncertainty,
        "illuminant": palette.illuminant,
        "observer": palette.observer,
        "geometry": palette.geometry.value,
        "gloss": palette.gloss,
    }
    if palette.note:
        header["note"] = palette.note
    if palette.wavelengths_nm:
        first, second, last = (*palette.wavelengths_nm[:2], palette.wavelengths_nm[-1])
        header["wavelengths"] = [round(first), round(last), round(second - first)]
    lines = ["[palette]", *(f"{key} = {_toml(value)}" for key, value in header.items())]
    lines += ["", "[colours]"]
    for swatch in palette.swatches:
        kind = "reflectance" if swatch.reflectance else "lab"
        values = swatch.reflectance or swatch.lab
        name = f"name = {_toml(swatch.name)}, " if swatch.name else ""
        lines.append(f"{_toml_key(swatch.key)} = {{ {name}{kind} = {_toml(values)} }}")
    return "\n".join(lines) + "\n"


def _toml(value: object) -> str:
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return '"' + re.sub(r"[\x00-\x1f\x7f]", lambda c: f"\\u{ord(c[0]):04x}", escaped) + '"'
    if isinstance(value, Iterable):
        return f"[{', '.join(_toml(v) for v in value)}]"
    return repr(value)


def _toml_key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _toml(key)


def find_standard(text: str) -> Standard:
    """Return the swatch of the palettes that come with Livery that a person names."""
    return find(shipped_palettes(), text)
