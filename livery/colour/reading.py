"""Reading a colour as a person writes it: in a colour space, as Munsell or a standard's number."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from livery.colour.conversion import lab_from_lch, white, xyz_from_xyy
from livery.colour.lab_limits import BRIGHTEST, lab_fault
from livery.colour.value import Colour, Triple, triple
from livery.findings import LiveryError, fault

if TYPE_CHECKING:
    from livery.colour.palette import Standard

_MARKED = re.compile(
    r"(?P<space>lab|lch|rgb|srgb|display\s+p3|adobe\s+rgb|xyz|xyy|munsell)\b[\s:(\[]*(?P<rest>.*?)[\s)\]]*",
    re.IGNORECASE,
)
_HEX = re.compile(r"#\s*[0-9a-z]*", re.IGNORECASE)
_MUNSELL = re.compile(
    r"N\s*(?P<neutral>\d+(?:\.\d+)?)/?"
    r"|(?P<hue>\d+(?:\.\d+)?)\s*(?P<letters>R|YR|Y|GY|G|BG|B|PB|P|RP)"
    r"\s+(?P<value>\d+(?:\.\d+)?)\s*/\s*(?P<chroma>\d+(?:\.\d+)?)",
    re.IGNORECASE,
)
_NUMBERS = re.compile(r"[-+−\d.,;eE\s]*|.*\b(?:nan|inf|infinity)\b.*", re.IGNORECASE)
WAYS = (
    'Write "50 2.7 -79.8" (L* a* b*), "#1f4e3d", "rgb 31 78 61", "lch 50 30 120", "5R 4/8" or '
    'a standard\'s number, "bs381c 226".'
)


def read_colour(text: str, illuminant: str = "D65", observer: int = 2) -> Colour:
    """Return the colour a text names; the name of a CSV file stands for the reflectance in it.

    Three bare numbers are L*, a* and b*; ``rgb`` marks 0 to 255 in sRGB, ``display p3`` and
    ``adobe rgb`` the same in those, ``xyz`` and
    ``xyy`` are on the scale Y = 100 for white.  The illuminant and observer say what
    Lab, LCh, XYZ, xyY and a reflectance are seen under; a screen colour and a standard's are
    under D65 and a Munsell notation under C, all for 2 degrees.
    """
    text = text.strip()
    if is_reading(text):
        return _reading(Path(text), illuminant, observer)
    if _HEX.fullmatch(text):
        return Colour.from_hex(text)
    if _MUNSELL.fullmatch(text):
        return from_munsell(text)
    standard = standard_named(text)
    if standard is not None:
        return standard.colour
    marked = _MARKED.fullmatch(text)
    space = " ".join(marked["space"].lower().split()) if marked else "lab"
    rest = marked["rest"] if marked else text
    if space == "munsell":
        return from_munsell(rest)
    return _COORDINATES[space](_three(rest, text), illuminant, observer)


def is_reading(text: str) -> bool:
    """Return whether a text names a file of reflectances rather than a colour."""
    return text.strip().lower().endswith(".csv")


def _reading(path: Path, illuminant: str, observer: int) -> Colour:
    """Return the colour under a light of the reflectance in a file."""
    from livery.colour.spectra import lab_from_reflectance
    from livery.colour.spectrum_file import common_grid, read_spectrum

    wavelengths, (reflectance,) = common_grid(read_spectrum(path))
    lab = lab_from_reflectance(reflectance, wavelengths, illuminant, observer)
    return Colour(triple(lab), illuminant, observer)


def standard_named(text: str) -> Standard | None:
    """Return the standard that a text names; None where it gives a colour by figures.

    Raises LiveryError where it is neither.
    """
    text = text.strip()
    ways = (_HEX, _MUNSELL, _MARKED, _NUMBERS)
    if is_reading(text) or any(way.fullmatch(text) for way in ways):
        return None
    from livery.colour.palette_file import find_standard

    try:
        return find_standard(text)
    except LiveryError as error:
        if error.findings[0].code == "palette-ambiguous":
            raise
        remedy = f"{WAYS} {error.findings[0].remedy}".rstrip()
        raise fault("colour-text", f'"{text}" is not a colour', remedy) from None


def _three(rest: str, text: str) -> Triple:
    words = [word for word in re.split(r"[\s,;]+", rest.replace("−", "-")) if word]
    try:
        numbers = [float(word) for word in words]
    except ValueError:
        raise fault("colour-text", f'"{text}" is not a colour', WAYS) from None
    if not numbers:
        raise fault("colour-text", f'there is no colour in "{text}"', WAYS)
    if len(numbers) != 3:
        count = f"{len(numbers)} number{'s' * (len(numbers) != 1)}"
        raise fault("colour-text", f'"{text}" has {count}; a colour takes three', WAYS)
    if not all(math.isfinite(number) for number in numbers):
        raise fault("colour-text", f'"{text}" has a number that is not finite', WAYS)
    if max(map(abs, numbers)) > BRIGHTEST:
        message = f'"{text}" has a number beyond {BRIGHTEST:g}, which no colour has'
        raise fault("colour-text", message, WAYS)
    return (numbers[0], numbers[1], numbers[2])


def _lab(numbers: Triple, illuminant: str, observer: int) -> Colour:
    lightness = numbers[0]
    if not 0 <= lightness <= 100:
        raise fault(
            "colour-lightness",
            f"L* is {lightness:g}; it runs from 0 to 100",
            f'Three bare numbers are L* a* b*. For screen values write "rgb '
            f'{" ".join(f"{n:g}" for n in numbers)}".',
        )
    if wrong := lab_fault(numbers):
        raise fault("colour-text", wrong, WAYS)
    white(illuminant, observer)
    return Colour(numbers, illuminant, observer)


def _lch(numbers: Triple, illuminant: str, observer: int) -> Colour:
    if numbers[1] < 0:
        raise fault("colour-chroma", "chroma cannot be below 0", 'Write "lch 50 30 120".')
    return _lab(triple(lab_from_lch(numbers)), illuminant, observer)


def _rgb(numbers: Triple, illuminant: str, observer: int, space: str = "sRGB") -> Colour:
    if not all(0 <= number <= 255 for number in numbers):
        raise fault(
            "colour-rgb", "R, G and B run from 0 to 255", 'Write for example "rgb 31 78 61".'
        )
    return Colour.from_rgb([number / 255 for number in numbers], space)


def _xyz(numbers: Triple, illuminant: str, observer: int) -> Colour:
    if min(numbers) < 0:
        raise fault("colour-xyz", "X, Y and Z cannot be below 0", 'Write "xyz 20.1 21.5 18.0".')
    return Colour.from_xyz([number / 100 for number in numbers], illuminant, observer)


def _xyy(numbers: Triple, illuminant: str, observer: int) -> Colour:
    x, y, luminance = numbers
    if not (0 <= x <= 1 and 0 < y <= 1 and x + y <= 1 and luminance >= 0):
        raise fault(
            "colour-xyy",
            "x and y lie between 0 and 1 and together make at most 1; Y is 0 to 100",
            'Write for example "xyY 0.3127 0.3290 18.4".',
        )
    xyz = xyz_from_xyy([x, y, luminance / 100])
    return Colour.from_xyz(xyz, illuminant, observer)


_COORDINATES: dict[str, Callable[[Triple, str, int], Colour]] = {
    "lab": _lab,
    "lch": _lch,
    "rgb": _rgb,
    "srgb": _rgb,
    "display p3": partial(_rgb, space="Display P3"),
    "adobe rgb": partial(_rgb, space="Adobe RGB"),
    "xyz": _xyz,
    "xyy": _xyy,
}


def from_munsell(notation: str) -> Colour:
    """Return the colour, under C, of a Munsell notation such as ``5R 4/8`` or ``N 5``.

    Interpolated in the renotation of Newhall, Nickerson and Judd (1943) by
    colour-science, lightness by ASTM D1535.
    """
    from livery.colour.science import colour_science

    found = _MUNSELL.fullmatch(notation.strip())
    if not found:
        raise _no_munsell(notation)
    if found["neutral"]:
        plain = f"N{found['neutral']}"
    else:
        letters = found["letters"].upper()
        plain = f"{found['hue']}{letters} {found['value']}/{found['chroma']}"
    try:
        xyy = colour_science().munsell_colour_to_xyY(plain)
    except (ValueError, AssertionError):
        raise _no_munsell(notation) from None
    return Colour.from_xyz(xyz_from_xyy(xyy), "C", 2)


def _no_munsell(notation: str) -> LiveryError:
    return fault(
        "colour-munsell",
        f'"{notation}" is not a colour of the Munsell renotation',
        'Write hue, value and chroma, such as "5R 4/8", or "N 5" for a grey.',
    )
