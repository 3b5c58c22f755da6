"""Reading measured colours from CxF, the colour exchange format of ISO 17972-1 (XML).

Elements are found by their local names, so that a file reads whatever prefix or edition
of the namespace it carries.  Of each object the reflectance spectrum is taken, else
CIELAB, else XYZ; the colour specification it refers to gives illuminant, observer,
geometry and wavelengths.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from livery.colour.card_readings import ASSUMED_UNCERTAINTY, Conditions, Reading, palette_of
from livery.colour.conversion import illuminants
from livery.colour.palette import Geometry, Palette
from livery.findings import Finding, LiveryError

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

_KINDS = (
    ("ReflectanceSpectrum", "reflectance"),
    ("ColorCIELab", "lab"),
    ("ColorCIEXYZ", "xyz"),
)
_AXES = {"lab": ("L", "A", "B"), "xyz": ("X", "Y", "Z")}
_USUAL_STEP_NM = 10.0


def read_cxf(path: Path) -> Palette:
    """Return the palette in a CxF file; all its colours of the kind most of them have."""
    root = _root(path)
    specifications = {e.get("Id", ""): e for e in _all(root, "ColorSpecification")}
    found = [
        (thing, value, kind)
        for thing in _all(root, "Object")
        if (chosen := _best(thing)) is not None
        for value, kind in [chosen]
    ]
    if not found:
        raise _wrong(path, "has no measured colours")
    kind, reference = found[0][2], found[0][1].get("ColorSpecification", "")
    mixed = [
        t.get("Name", "")
        for t, value, k in found
        if k != kind or value.get("ColorSpecification", "") != reference
    ]
    if mixed:
        raise _wrong(path, f"measures {mixed[0]!r} in another way than the colours before it")
    try:
        readings = [Reading(_name(t), "", k, _values(value, k)) for t, value, k in found]
    except ValueError as error:
        raise _wrong(path, str(error)) from None
    conditions = _conditions(path, specifications.get(reference), found[0][1], readings[0])
    return palette_of(path, readings, conditions)


def _root(path: Path) -> Element:
    from xml.etree.ElementTree import fromstring
    from xml.parsers import expat

    try:
        text = path.read_bytes()
    except OSError as error:
        raise _wrong(path, f"cannot be read: {error.strerror}") from None
    # Without a document type there are no entities, hence nothing to expand or fetch.
    checker = expat.ParserCreate()
    checker.StartDoctypeDeclHandler = partial(_refuse_document_type, path)
    try:
        checker.Parse(text, True)
    except expat.ExpatError as error:
        raise _wrong(path, f"is not well-formed XML: {error}") from None
    root = fromstring(text)
    if _local(root) != "CxF":
        raise _wrong(path, f"is not CxF: its outermost element is {_local(root)}")
    return root


def _refuse_document_type(path: Path, *_: object) -> None:
    raise _wrong(path, "declares a document type, which no colour file needs")


def _local(element: Element) -> str:
    return element.tag.rpartition("}")[2]


def _all(element: Element, name: str) -> Iterator[Element]:
    return (e for e in element.iter() if _local(e) == name)


def _text(element: Element | None, name: str) -> str:
    found = next(_all(element, name), None) if element is not None else None
    return (found.text or "").strip() if found is not None else ""


def _name(thing: Element) -> str:
    return " ".join((thing.get("Name") or thing.get("Id") or "").split())


def _best(thing: Element) -> tuple[Element, str] | None:
    for tag, kind in _KINDS:
        value = next(_all(thing, tag), None)
        if value is not None:
            return value, kind
    return None


def _values(value: Element, kind: str) -> tuple[float, ...]:
    words = (
        (value.text or "").split()
        if kind == "reflectance"
        else [_text(value, axis) for axis in _AXES[kind]]
    )
    if not words:
        raise ValueError("has a colour without numbers")
    try:
        return tuple(float(word) for word in words)
    except ValueError:
        raise ValueError(f"has a colour that is not numbers: {' '.join(words)!r}") from None


def _conditions(
    path: Path, specification: Element | None, value: Element, reading: Reading
) -> Conditions:
    illuminant = _text(specification, "Illuminant") or "D65"
    if illuminant not in illuminants():
        raise _wrong(path, f"is for illuminant {illuminant!r}, which is not known")
    observer = 10 if _text(specification, "Observer").startswith("10") else 2
    wavelengths: tuple[float, ...] = ()
    if reading.kind == "reflectance":
        grid = (
            next(_all(specification, "WavelengthRange"), None)
            if specification is not None
            else None
        )
        start = value.get("StartWL") or (grid.get("StartWL") if grid is not None else None)
        if start is None:
            raise _wrong(path, "does not say at which wavelength its spectra start")
        step = float((grid.get("Increment") if grid is not None else None) or _USUAL_STEP_NM)
        wavelengths = tuple(float(start) + step * i for i in range(len(reading.values)))
    return Conditions(
        title="",
        illuminant=illuminant,
        observer=observer,
        geometry=_geometry(specification),
        uncertainty=ASSUMED_UNCERTAINTY,
        wavelengths_nm=wavelengths,
    )


def _geometry(specification: Element | None) -> Geometry:
    if specification is None:
        return Geometry.NOT_STATED
    sphere = next(_all(specification, "Sphere"), None)
    if sphere is not None:
        text = " ".join(" ".join(e.attrib.values()) + f" {e.text or ''}" for e in sphere.iter())
        if re.search(r"\b(SPIN|SCI|included|d/8:i)\b", text, re.IGNORECASE):
            return Geometry.SPECULAR_INCLUDED
        if re.search(r"\b(SPEX|SCE|excluded|d/8:e)\b", text, re.IGNORECASE):
            return Geometry.SPECULAR_EXCLUDED
        return Geometry.NOT_STATED
    angled = next(_all(specification, "SingleAngle"), None) is not None
    return Geometry.SPECULAR_EXCLUDED if angled else Geometry.NOT_STATED


def _wrong(path: Path, what: str) -> LiveryError:
    return LiveryError(
        [Finding("cards-cxf", f"{path} {what}.", "Export the measurements as CxF or as CSV.")]
    )
