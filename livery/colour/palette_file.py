"""Reading and writing palettes as TOML.

A file has a table ``[palette]`` that says where the colours come from and a table
``[colours]`` with one line a colour, keyed by its number::

    226 = { name = "Middle Brunswick Green", hex = "#33533b" }
    A1 = { name = "body, sprayed", lab = [29.6, -20.8, 5.3] }

A colour is given as ``lab``, as ``xyz`` (Y = 100 for white), as a screen ``hex`` or as
``reflectance`` (0 to 1) at the palette's ``wavelengths = [first, last, step]`` in nm.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import Field, model_validator

from livery.colour.conversion import illuminants, is_illuminant, lab_from_srgb, lab_from_xyz, white
from livery.colour.lab_entry import MeasuredLab
from livery.colour.lab_limits import light_fault
from livery.colour.palette import Basis, Geometry, Palette, PaletteKind, Standard, Swatch, find
from livery.colour.spectra import lab_from_reflectance
from livery.colour.value import Triple, triple
from livery.data_folder import data_folder
from livery.findings import Finding, LiveryError
from livery.toml.entry import Entry, wrong
from livery.toml.read import FileKind, read_toml
from livery.toml.text import toml_key, toml_value

_KINDS = ("lab", "xyz", "hex", "reflectance")
Factor = Annotated[float, Field(ge=-0.05, le=2)]
Wavelength = Annotated[int, Field(ge=200, le=2000)]
Step = Annotated[int, Field(ge=1, le=100)]


class _Header(Entry):
    title: str
    source: str
    licence: str
    basis: Basis
    uncertainty: float = Field(ge=0)
    worst: float | None = Field(default=None, ge=0)
    kind: PaletteKind = PaletteKind.STANDARD
    illuminant: str = "D65"
    observer: Literal[2, 10] = 2
    geometry: Geometry = Geometry.NOT_STATED
    gloss: str = "not stated"
    note: str = ""
    wavelengths: tuple[Wavelength, Wavelength, Step] | None = None

    @model_validator(mode="after")
    def _known_light(self) -> _Header:
        if not is_illuminant(self.illuminant):
            raise wrong(
                "illuminant",
                f'there is no illuminant "{self.illuminant}"',
                f"Choose one of {', '.join(illuminants())}.",
            )
        return self

    def wavelengths_nm(self) -> tuple[float, ...]:
        if self.wavelengths is None:
            return ()
        first, last, step = self.wavelengths
        return tuple(float(w) for w in range(first, last + 1, step))


class _SwatchEntry(Entry):
    name: str = ""
    lab: MeasuredLab | None = None
    xyz: Triple | None = None
    hex: str | None = Field(default=None, pattern=r"^#[0-9a-fA-F]{6}$")
    reflectance: tuple[Factor, ...] | None = None
    suspect: str = ""
    support: str = ""
    uncertainty: float | None = Field(default=None, ge=0)

    @model_validator(mode="after")
    def _one_kind(self) -> _SwatchEntry:
        given = [kind for kind in _KINDS if getattr(self, kind) is not None]
        if len(given) != 1:
            raise wrong(
                "palette-colour",
                "a colour is given in exactly one of the ways",
                "Give one of lab, xyz, hex and reflectance.",
            )
        if self.xyz is not None and (fault := light_fault(self.xyz)):
            raise wrong("xyz", fault, "XYZ is [X, Y, Z], with Y = 100 for white.")
        return self


class _File(Entry):
    palette: _Header
    colours: dict[str, _SwatchEntry] = Field(min_length=1)


_PALETTE = FileKind("palette", _File, "A palette begins with [palette]; see palettes/.")


def read_palette(path: Path) -> Palette:
    """Return the palette in a TOML file; everything wrong with it is reported at once."""
    read = read_toml(path, _PALETTE)
    file = read.require(_PALETTE)
    count = len(file.palette.wavelengths_nm())
    faults = [
        Finding(
            "palette-spectrum",
            f"colour {key} has {len(entry.reflectance)} readings for {count} wavelengths",
            "Give palette.wavelengths = [first, last, step] and one reading for each.",
            place=read.place_of(("colours", key, "reflectance")),
        )
        for key, entry in file.colours.items()
        if entry.reflectance is not None and len(entry.reflectance) != count
    ]
    if faults:
        raise LiveryError(faults)
    return _palette(path.stem, file)


def _palette(name: str, file: _File) -> Palette:
    header = file.palette
    wavelengths = header.wavelengths_nm()
    labs = _labs(file)
    swatches = tuple(
        Swatch(
            key=key,
            name=entry.name,
            lab=labs[key],
            reflectance=entry.reflectance or (),
            suspect=entry.suspect,
            support=entry.support,
            uncertainty=entry.uncertainty,
        )
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
    if palette.worst is not None:
        header["worst"] = palette.worst
    if palette.kind is not PaletteKind.STANDARD:
        header["kind"] = palette.kind.value
    if palette.note:
        header["note"] = palette.note
    if palette.wavelengths_nm:
        first, second, last = (*palette.wavelengths_nm[:2], palette.wavelengths_nm[-1])
        header["wavelengths"] = [round(first), round(last), round(second - first)]
    lines = ["[palette]", *(f"{key} = {toml_value(value)}" for key, value in header.items())]
    lines += ["", "[colours]"]
    for swatch in palette.swatches:
        lines.append(f"{toml_key(swatch.key)} = {{ {_swatch_text(swatch)} }}")
    return "\n".join(lines) + "\n"


def _swatch_text(swatch: Swatch) -> str:
    """Return the keys of a colour and their values."""
    kind = "reflectance" if swatch.reflectance else "lab"
    keys: dict[str, object] = {
        "name": swatch.name or None,
        kind: swatch.reflectance or swatch.lab,
        "suspect": swatch.suspect or None,
        "support": swatch.support or None,
        "uncertainty": swatch.uncertainty,
    }
    return ", ".join(f"{k} = {toml_value(v)}" for k, v in keys.items() if v is not None)


def find_standard(text: str) -> Standard:
    """Return the swatch of the palettes that come with Livery that a person names."""
    return find(shipped_palettes(), text)
