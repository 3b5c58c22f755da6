"""Lengths, angles and scales as drawings write them.

An inch is 25.4 mm and a foot 12 inches by definition (international yard and
pound agreement of 1959; ISO 80000-3).  Lengths are read exactly, as fractions,
and turned into float millimetres once.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from livery.input_limits import LARGEST_SCALE, SMALLEST_SCALE

INCH = Fraction(254, 10)
"""Millimetres to the inch, exactly (ISO 31-1, the inch of 1959). Another value changes
every size in feet and inches."""
MOST_DEGREES = 360.0
"""Degrees of one turn: an angle that is read is no more (chosen). A larger limit lets slips through."""
_UNITS: dict[str, Fraction] = {
    "um": Fraction(1, 1000),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "thou": INCH / 1000,
    "in": INCH,
    "ft": INCH * 12,
    "yd": INCH * 36,
}
_ALIASES = {
    "µm": "um",
    "μm": "um",
    "micron": "um",
    "microns": "um",
    "millimetre": "mm",
    "millimetres": "mm",
    "millimeter": "mm",
    "millimeters": "mm",
    "centimetre": "cm",
    "centimetres": "cm",
    "centimeter": "cm",
    "centimeters": "cm",
    "metre": "m",
    "metres": "m",
    "meter": "m",
    "meters": "m",
    "inch": "in",
    "inches": "in",
    "foot": "ft",
    "feet": "ft",
    "yard": "yd",
    "yards": "yd",
    '"': "in",
    "″": "in",
    "”": "in",
    "“": "in",
    "''": "in",
    "′′": "in",
    "'": "ft",
    "′": "ft",
    "’": "ft",
    "‘": "ft",
}
_UNIT_WORDS = sorted({*_UNITS, *_ALIASES}, key=len, reverse=True)
_NUMBER = r"(?:\d+\s*[- ]\s*\d+\s*/\s*\d+|\d+\s*/\s*\d+|\d+\.\d+|\.\d+|\d+)"
_TERM = re.compile(
    rf"\s*-?\s*(?P<number>{_NUMBER})\s*-?\s*"
    rf"(?P<unit>{'|'.join(re.escape(u) for u in _UNIT_WORDS)})\.?(?![a-zµμ])",
    re.IGNORECASE,
)
_ON_MODEL = re.compile(r"\s+(?:on\s+(?:the\s+)?)?model\s*$", re.IGNORECASE)

HOW_TO_WRITE_A_LENGTH = (
    'Write the number with its unit in quotes: "4 1/2 in", "22 ft 6 in", "4\' 8 1/2\\"", "603 mm".'
)


LEAST_ALIKE = 3
"""Units of more letters are looked up for a misspelt one (chosen: shorter ones are like any word).
Smaller, and a wrong unit is proposed."""


class UnitError(ValueError):
    """A length, angle or scale that cannot be read; ``remedy`` says what to write instead.

    ``lacks_unit`` says that a number only lacks its unit.
    """

    def __init__(
        self, message: str, remedy: str = HOW_TO_WRITE_A_LENGTH, *, lacks_unit: bool = False
    ) -> None:
        super().__init__(message)
        self.remedy = remedy
        self.lacks_unit = lacks_unit


@dataclass(frozen=True, slots=True)
class Length:
    """A length: exact millimetres, and whether it is a size on the model.

    A length that is not ``on_model`` is the prototype's and is brought to scale.
    """

    exact: Fraction
    on_model: bool = False

    @property
    def mm(self) -> float:
        """The length in millimetres."""
        return float(self.exact)

    def __str__(self) -> str:
        return write_length(self)


@dataclass(frozen=True, slots=True)
class Scale:
    """Model size over prototype size, exact, with the words that gave it."""

    ratio: Fraction
    text: str

    def to_model(self, length: Length) -> float:
        """Return a length's size on the model, in millimetres."""
        return length.mm if length.on_model else float(length.exact * self.ratio)

    def to_prototype(self, model_mm: float) -> float:
        """Return the prototype size, in millimetres, of a size on the model."""
        return model_mm / float(self.ratio)

    def __str__(self) -> str:
        ratio = f"1:{float(1 / self.ratio):.4g}"
        return ratio if self.text == ratio else f"{self.text} ({ratio})"


def is_unit(word: str) -> bool:
    """Return whether a word is the name of a unit of length, or the "model" of "on model".

    >>> is_unit("ft"), is_unit("waist")
    (True, False)
    """
    return word in _UNIT_WORDS or word == "model"


def read_length(text: str) -> Length:
    """Read a length such as ``4' 8 1/2"``, ``4-1/2"``, ``22 ft 6 in``, ``1.5 mm`` or ``½ in``.

    A trailing ``on model`` marks a size on the model.  Raises :class:`UnitError`.

    >>> read_length("5 ft 3 in").mm
    1600.2
    >>> read_length("3/8 in").exact
    Fraction(381, 40)
    """
    plain = _plain(text)
    on_model = bool(_ON_MODEL.search(plain))
    body = _ON_MODEL.sub("", plain).strip()
    negative = body.startswith("-")
    body = body.lstrip("+-").strip()
    if not body:
        raise UnitError("there is no length here")
    total, position, last_size = Fraction(0), 0, None
    while position < len(body):
        match = _TERM.match(body, position)
        if match is None:
            raise _unread(text, body[position:], first=position == 0)
        size = _unit_size(match["unit"])
        if last_size is not None and size >= last_size and "," in text:
            each = ", ".join(f'"{part.strip()}"' for part in text.split(","))
            raise UnitError(f'"{text}" is two sizes in one text', f"Write {each}.")
        if last_size is not None and size >= last_size:
            raise UnitError(f'"{text}" names its units out of order: the larger comes first')
        part = _number(match["number"]) * size
        if last_size is not None and part >= last_size:
            raise UnitError(f'in "{text}" the smaller unit is one of the larger or more')
        total += part
        last_size, position = size, match.end()
        while position < len(body) and body[position] in " ,":
            position += 1
    return Length(-total if negative else total, on_model)


def write_length(length: Length) -> str:
    """Write a length so that :func:`read_length` gives the very same length back.

    Feet and inches where it is a whole number of 1/128 in, else millimetres.
    """
    suffix = " on model" if length.on_model else ""
    sign, exact = ("-", -length.exact) if length.exact < 0 else ("", length.exact)
    inches = exact / INCH
    if exact and inches.denominator <= 128 and inches.denominator & (inches.denominator - 1) == 0:
        return sign + _feet_and_inches(inches) + suffix
    return f"{sign}{_decimal_or_fraction(exact)} mm{suffix}"


def write_feet_and_inches(
    mm: float, denominator: int = 64, whole: Callable[[float], int] = round
) -> str:
    """Write millimetres as feet and inches to the nearest ``1/denominator`` inch.

    ``whole`` may be ``math.floor`` or ``math.ceil`` for a size that must not be larger, or smaller.

    >>> write_feet_and_inches(1600.2)
    '5 ft 3 in'
    >>> write_feet_and_inches(126.0, 8, math.ceil)
    '5 in'
    """
    steps = whole(abs(mm) / 25.4 * denominator)
    sign = "-" if mm < 0 and steps else ""
    return sign + _feet_and_inches(Fraction(steps, denominator))


def read_scale(text: str) -> Scale:
    """Read a scale: ``1:8``, ``1 1/2 in/ft``, ``7 mm/ft`` or ``1 1/16 in to the foot``.

    Raises :class:`UnitError`.

    >>> read_scale("1:8").ratio
    Fraction(1, 8)
    >>> read_scale("1:8").to_model(read_length("5 ft 3 in"))
    200.025
    """
    plain = " ".join(_plain(text).split())
    ratio = re.fullmatch(rf"({_NUMBER})\s*[:/]\s*({_NUMBER})", plain)
    if ratio is not None and ":" in plain and _number(ratio[2]):
        return _checked_scale(_number(ratio[1]) / _number(ratio[2]), text)
    to_the_foot = re.fullmatch(r"(.+?)\s*(?:/|per|to the|to)\s*(?:1\s*)?(?:ft|foot|')", plain, re.I)
    if to_the_foot is not None:
        return _checked_scale(read_length(to_the_foot[1]).exact / (INCH * 12), text)
    raise UnitError(
        f'"{text}" is not a scale',
        _meant_scale(plain)
        or 'Write "1:8", "1 1/2 in/ft", "7 mm/ft", or { gauge = "5 in", prototype_gauge = "4 ft 8 1/2 in" }.',
    )


def _meant_scale(plain: str) -> str:
    """Return what to write for a ratio in other signs, or nothing: 1/8, 1-8, 1:7,5, 8."""
    ratio = re.match(r"(?:1\s*[:/-]\s*)?(\d+(?:[.,]\d+)?)(?:\s*scale)?$", plain, re.IGNORECASE)
    number = ratio[1].replace(",", ".") if ratio else "0"
    return f'Write "1:{number}".' if _number(number) else ""


def scale_of_gauges(model: Length, prototype: Length) -> Scale:
    """Return the scale that brings the prototype's gauge to the model's."""
    text = f"{Length(model.exact)} gauge for {Length(prototype.exact)}"
    return _checked_scale(model.exact / prototype.exact, text)


def read_angle(text: str) -> float:
    """Read an angle in degrees, such as ``30 deg`` or ``22.5°``; return degrees.

    >>> read_angle("45 deg")
    45.0
    """
    match = re.fullmatch(r"\s*(-?\s*\d+(?:\.\d+)?)\s*(?:deg|degrees?|°)\s*", text, re.IGNORECASE)
    if match is None:
        remedy = _meant_angle(text) or 'Write it in degrees: "30 deg".'
        raise UnitError(f'"{text}" is not an angle', remedy)
    angle = float(match[1].replace(" ", ""))
    if not abs(angle) <= MOST_DEGREES:
        remedy = f"Write an angle from -{MOST_DEGREES:g} deg to {MOST_DEGREES:g} deg."
        raise UnitError(f'"{text[:40]}" is more than a turn', remedy)
    return angle


def _meant_angle(text: str) -> str:
    """Return how to write an angle without its unit, in radians or as a slope, or nothing."""
    found = re.fullmatch(r"\s*(-?\d+(?:\.\d+)?)\s*(rad|radians?|d|dg)?\.?\s*", text, re.IGNORECASE)
    if found is not None:
        in_radians = (found[2] or "").lower().startswith("rad")
        degrees = math.degrees(float(found[1])) if in_radians else float(found[1])
        return f'Write "{degrees:.4g} deg".'
    slope = re.fullmatch(r"\s*1\s*(?:[:/]|in)\s*(\d+(?:\.\d+)?)\s*", text)
    if slope is None or not float(slope[1]):
        return ""
    return f'Write "{math.degrees(math.atan(1.0 / float(slope[1]))):.3g} deg" for that slope.'


def _checked_scale(ratio: Fraction, text: str) -> Scale:
    if ratio <= 0:
        raise UnitError(f'"{text}" is not a scale: it must be greater than zero', 'Write "1:8".')
    if not Fraction(1, SMALLEST_SCALE) <= ratio <= LARGEST_SCALE:
        raise UnitError(f'"{text}" is not the scale of any model', 'Write "1:8".')
    return Scale(ratio, text.strip())


def _plain(text: str) -> str:
    """Spell Unicode fractions and odd spaces in plain characters."""
    out = []
    for c in text:
        if unicodedata.category(c) == "No" and "FRACTION" in unicodedata.name(c, ""):
            out.append(" " + unicodedata.normalize("NFKD", c).replace("⁄", "/"))
        else:
            out.append({"⁄": "/", "\u2212": "-", "\u2010": "-", "\u2013": "-"}.get(c, c))
    return re.sub(r"\s", " ", "".join(out)).strip()


def _unit_size(written: str) -> Fraction:
    word = written.lower()
    return _UNITS[_ALIASES.get(word, word)]


def _number(text: str) -> Fraction:
    try:
        if "/" not in text:
            return Fraction(text)
        parts = re.split(r"[- ]+", re.sub(r"\s*/\s*", "/", text.strip()))
        return sum((Fraction(p) for p in parts if p), Fraction(0))
    except ZeroDivisionError:
        raise UnitError(f'"{text}" divides by zero') from None


def _feet_and_inches(inches: Fraction) -> str:
    feet, rest = divmod(inches, 12)
    whole, part = divmod(rest, 1)
    words = [f"{feet} ft"] if feet else []
    if part:
        words.append(f"{f'{whole} ' if whole else ''}{part.numerator}/{part.denominator} in")
    elif whole or not feet:
        words.append(f"{whole} in")
    return " ".join(words)


def _decimal_or_fraction(value: Fraction) -> str:
    rest = value.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    if rest != 1:
        whole, part = divmod(value, 1)
        return f"{f'{whole} ' if whole else ''}{part.numerator}/{part.denominator}"
    digits = 0
    while (value * 10**digits).denominator != 1:
        digits += 1
    scaled = str(int(value * 10**digits)).rjust(digits + 1, "0")
    return f"{scaled[:-digits]}.{scaled[-digits:]}" if digits else scaled


def _unread(text: str, rest: str, *, first: bool) -> UnitError:
    if meant := _meant_length(text):
        return UnitError(f'"{text}" is not a length', meant)
    if re.fullmatch(rf"\s*{_NUMBER}\s*", rest):
        words = "has no unit" if first else f"ends in {rest.strip()} without a unit"
        return UnitError(f'"{text}" {words}', lacks_unit=True)
    word = re.match(rf"\s*{_NUMBER}\s*([^\W\d]+)", rest)
    if word is not None:
        message = f'"{word[1]}" in "{text}" is not a unit of length'
        unit = _meant_unit(word[1])
        return (
            UnitError(message, f'Write "{text.replace(word[1], unit)}".')
            if unit
            else UnitError(message)
        )
    return UnitError(f'"{text}" is not a length')


def _meant_length(text: str) -> str:
    """Return how to write a length in another form: words, a range, about a size, 1 228 mm."""
    plain = _plain(text)
    unit = rf"(?:{'|'.join(re.escape(u) for u in _UNIT_WORDS)})"
    forms: tuple[tuple[str, Callable[[re.Match[str]], str]], ...] = (
        (r"(.*\S)\s*\(\s*model\s*\)", lambda m: f'"{m[1]} on model"'),
        (
            rf"({_NUMBER})\s*(?:to|\.\.+|or|/|–)\s*({_NUMBER})\s*({unit})",
            lambda m: f'one size: "{m[1]} {m[3]}" or "{m[2]} {m[3]}"',
        ),
        (r"(?:~|≈|ca?\.?|circa|about|approx\.?|approximately)\s*(\d.*)", lambda m: f'"{m[1]}"'),
        (rf"(\d+)\s*({unit})\s+(\d+/\d+)", lambda m: f'"{m[1]} {m[3]} {m[2]}"'),
        (
            r"(?:(\d+)[ -])?(\d+)\s*(8|16|32|64)ths?(?:\s*(?:in|inch|of an inch|\"))?",
            lambda m: f'"{m[1] + " " if m[1] else ""}{m[2]}/{m[3]} in"',
        ),
        (rf"(\d{{1,3}}(?: \d{{3}})+)\s*({unit})", lambda m: f'"{m[1].replace(" ", "")} {m[2]}"'),
        (
            r"(\d.*\S)\s*\(?(?:prototype|full[ -]size|real|drawing)\)?",
            lambda m: f'"{m[1]}": a plain size is one of the prototype',
        ),
    )
    for form, written in forms:
        if found := re.fullmatch(rf"\s*{form}\s*", plain, re.IGNORECASE):
            return f"Write {written(found)}."
    figures = in_figures(plain)
    return f'Write "{figures}".' if figures != plain and _TERM.match(figures) else ""


_WORDS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "twelve")
_IN_FIGURES = {
    **{word: str(i) for i, word in enumerate(_WORDS, start=1)},
    "twelve": "12",
    "half": "1/2",
}


def in_figures(text: str) -> str:
    """Return a text with its numbers in words, one to ten, twelve and half, as figures.

    >>> in_figures("nine inches"), in_figures("two and a half feet")
    ('9 inches', '2 1/2 feet')
    """
    joined = re.sub(r"\b(?:and )?(?:a )?half(?: an?)?\b", "half", text, flags=re.IGNORECASE)
    return re.sub(
        rf"\b({'|'.join(_IN_FIGURES)})\b",
        lambda m: _IN_FIGURES[m[1].lower()],
        joined,
        flags=re.IGNORECASE,
    )


_FOREIGN_UNITS = {
    "zoll": "in",
    "pouce": "in",
    "pouces": "in",
    "pulgada": "in",
    "pulgadas": "in",
    "pollice": "in",
    "pollici": "in",
    "fuss": "ft",
    "fuß": "ft",
    "pied": "ft",
    "pieds": "ft",
    "pie": "ft",
    "pies": "ft",
    "piede": "ft",
    "piedi": "ft",
}
"""Units by their names in other languages (from memory), and how they are written here."""


def _meant_unit(word: str) -> str:
    """Return the unit that an unknown word stands for, or nothing."""
    import difflib

    known = _FOREIGN_UNITS.get(word.lower(), "")
    words = [u for u in _UNIT_WORDS if len(u) > LEAST_ALIKE]
    near = [] if known else difflib.get_close_matches(word.lower(), words, n=1, cutoff=0.75)
    return known or (_ALIASES.get(near[0], near[0]) if near else "")
