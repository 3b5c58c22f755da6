"""Reading measured colours from CxF, the colour exchange format of ISO 17972-1 (XML).

Elements are found by their local names, so that a file reads whatever prefix or edition
of the namespace it carries.  The colour specification that a colour refers to gives its
illuminant, observer, geometry and wavelengths.  Values for a screen are not measured
colours and are not read.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from livery.colour.card_readings import (
    ASSUMED_UNCERTAINTY,
    CardReading,
    Conditions,
    palette_of,
)
from livery.colour.conversion import illuminants
from livery.colour.lab_limits import lab_fault, light_fault
from livery.colour.palette import Geometry, Palette
from livery.findings import Finding, LiveryError, fault
from livery.input_limits import LONGEST_NM, SHORTEST_NM
from livery.parsing import parsing

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

_TAGS = {
    "ReflectanceSpectrum": "reflectance",
    "ColorCIELab": "lab",
    "ColorCIELCh": "lch",
    "ColorCIEXYZ": "xyz",
    "ColorCIExyY": "xyy",
}
_RANK = {kind: rank for rank, kind in enumerate(_TAGS.values())}
_AXES = {
    "lab": ("L", "A", "B"),
    "lch": ("L", "C", "H"),
    "xyz": ("X", "Y", "Z"),
    "xyy": ("x", "y", "Y"),
}
_STATED_AS = {"lch": "lab", "xyy": "xyz"}
"""What a colour in other coordinates is turned into."""
_USUAL_STEP_NM = 10.0
"""The step of a spectrum that names none, in nanometres (common practice: 10). Another reads it at
other wavelengths."""

_LARGEST_BYTES = 100_000_000
"""Of a CxF file, in bytes (chosen: far more than any deck of cards). Larger, and a damaged file
fills memory."""

_FLUORESCENT = re.compile(r"F(\d+)")

Way = tuple[str, str]
"""How a colour is given: its kind and the specification it refers to."""


def read_cxf(path: Path) -> Palette:
    """Return the palette in a CxF file.

    An object may be given in several ways, for D50 and for D65 say.  Taken is one that all
    objects have: a spectrum before Lab, LCh, XYZ and xyY, then one for D65, then for 2 degrees.

    Raises:
        LiveryError: the file is no CxF, or its colours have no way in common.
    """
    root = _root(path)
    specifications = {e.get("Id", ""): e for e in _all(root, "ColorSpecification")}
    objects = [(o, ways) for o in _all(root, "Object") if (ways := _ways(o))]
    if not objects:
        raise _wrong(path, f"has no measured colours{_instead(root)}")
    kind, reference = way = _common_way(path, objects, specifications)
    try:
        stated = _STATED_AS.get(kind, kind)
        readings = [
            CardReading(_name(o), "", stated, _values(ways[way], kind)) for o, ways in objects
        ]
    except ValueError as error:
        raise _wrong(path, str(error)) from None
    values = [ways[way] for _, ways in objects]
    conditions = _conditions(path, specifications.get(reference), values, readings)
    return palette_of(path, readings, conditions)


def _ways(thing: Element) -> dict[Way, Element]:
    """Return the colours of an object, in the order they are written."""
    ways: dict[Way, Element] = {}
    for element in thing.iter():
        if kind := _TAGS.get(_local(element)):
            ways.setdefault((kind, element.get("ColorSpecification", "")), element)
    return ways


def _common_way(
    path: Path,
    objects: list[tuple[Element, dict[Way, Element]]],
    specifications: dict[str, Element],
) -> Way:
    def preference(way: Way) -> tuple[int, bool, bool]:
        kind, reference = way
        if kind == "reflectance":
            return _RANK[kind], False, False
        illuminant, observer = _light(specifications.get(reference))
        return _RANK[kind], illuminant != "D65", observer != 2

    counts = Counter(way for _, ways in objects for way in ways)
    shared = [way for way, count in counts.items() if count == len(objects)]
    if shared:
        return min(shared, key=preference)
    usual = max(counts, key=counts.__getitem__)
    odd = next(_name(thing) for thing, ways in objects if usual not in ways)
    raise _wrong(path, f'measures "{odd}" in another way than the other colours')


def _instead(root: Element) -> str:
    """Return what there is instead of measured colours, in words."""
    given = {_local(e) for values in _all(root, "ColorValues") for e in values}
    return f", only {', '.join(sorted(given))}" if given else ""


def _root(path: Path) -> Element:
    from xml.etree.ElementTree import fromstring
    from xml.parsers import expat

    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise _wrong(path, f"is larger than {_LARGEST_BYTES // 1_000_000} MB")
        text = path.read_bytes()
    except OSError as error:
        message = f"{path} cannot be read: {error.strerror}"
        raise fault("cards-file", message, "Check its name.") from None
    # Without a document type there are no entities, so nothing to expand or fetch.
    checker = expat.ParserCreate()
    checker.StartDoctypeDeclHandler = partial(_refuse_document_type, path)
    try:
        checker.Parse(text, True)
    except expat.ExpatError as error:
        raise _wrong(path, f"is not well-formed XML: {error}") from None
    except (LookupError, ValueError) as error:
        raise _wrong(path, f"is in an encoding that cannot be read: {error}") from None
    with parsing(path, "a CxF file", "Export the measurements again.", code="cards-cxf"):
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


def _values(value: Element, kind: str) -> tuple[float, ...]:
    words = (
        (value.text or "").split()
        if kind == "reflectance"
        else [_text(value, axis) for axis in _AXES[kind]]
    )
    if not words:
        raise ValueError("has a colour without numbers")
    try:
        numbers = tuple(float(word) for word in words)
    except ValueError:
        numbers = (math.nan,)
    if not all(math.isfinite(number) for number in numbers):
        raise ValueError(f'has a colour that is not numbers: "{" ".join(words)}"')
    numbers = _restated(numbers, kind)
    if wrong := lab_fault(numbers) if kind in ("lab", "lch") else light_fault(numbers):
        raise ValueError(f"has a colour that cannot be: {wrong}")
    return numbers


def _restated(numbers: tuple[float, ...], kind: str) -> tuple[float, ...]:
    """Return LCh, its hue in degrees, as Lab, and xyY as XYZ; all else as it is."""
    if kind == "lch":
        lightness, chroma, hue = numbers
        angle = math.radians(hue)
        return lightness, chroma * math.cos(angle), chroma * math.sin(angle)
    if kind == "xyy":
        x, y, luminance = numbers
        if y <= 0.0 or x + y > 1.0:
            raise ValueError(f"has a colour with x {x:g} and y {y:g}, which is not a chromaticity")
        return x * luminance / y, luminance, (1.0 - x - y) * luminance / y
    return numbers


def _conditions(
    path: Path, specification: Element | None, values: list[Element], readings: list[CardReading]
) -> Conditions:
    illuminant, observer = _light(specification)
    spectral = readings[0].kind == "reflectance"
    if illuminant not in illuminants():
        if not spectral:
            raise _wrong(path, f'is for illuminant "{illuminant}", which is not known')
        illuminant = "D65"  # a spectrum is for no light in particular
    silent = specification is None and not spectral
    return Conditions(
        title="",
        illuminant=illuminant,
        observer=observer,
        geometry=_geometry(specification),
        uncertainty=ASSUMED_UNCERTAINTY,
        wavelengths_nm=_wavelengths(path, specification, values, readings) if spectral else (),
        note="The file does not say for which light; D65 and 2 degrees are assumed."
        if silent
        else "",
    )


def _light(specification: Element | None) -> tuple[str, int]:
    """Return illuminant and observer; F11 is the FL11 of CIE 15."""
    illuminant = _FLUORESCENT.sub(r"FL\1", _text(specification, "Illuminant")) or "D65"
    return illuminant, 10 if _text(specification, "Observer").startswith("10") else 2


def _wavelengths(
    path: Path, specification: Element | None, values: list[Element], readings: list[CardReading]
) -> tuple[float, ...]:
    found = None if specification is None else next(_all(specification, "WavelengthRange"), None)
    grid = {} if found is None else found.attrib
    starts = {value.get("StartWL", grid.get("StartWL", "")) for value in values}
    counts = {len(reading.values) for reading in readings}
    if starts == {""}:
        raise _wrong(path, "does not say at which wavelength its spectra start")
    if len(starts) > 1 or len(counts) > 1:
        raise _wrong(path, "has spectra at different wavelengths")
    try:
        start, step = float(starts.pop()), float(grid.get("Increment", _USUAL_STEP_NM))
    except ValueError:
        start = step = math.nan
    count = counts.pop()
    if not (0 < start < math.inf and 0 < step < math.inf):
        raise _wrong(path, "has a wavelength that is not a number above 0")
    last = start + step * (count - 1)
    if not (start >= SHORTEST_NM and last <= LONGEST_NM):
        raise _wrong(path, f"has wavelengths from {start:g} to {last:g} nm, where no light is")
    return tuple(start + step * i for i in range(count))


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
        [Finding("cards-cxf", f"{path} {what}", "Export the measurements as CxF or as CSV.")]
    )
