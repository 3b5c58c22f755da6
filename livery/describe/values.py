"""The small values a description is written in: lengths, positions and angles.

Each is read from the user's text by pydantic; what cannot be read becomes an
error that carries its own remedy: every ``to_...`` function raises
:class:`pydantic_core.PydanticCustomError` by :func:`livery.toml.entry.wrong`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, BeforeValidator, PlainSerializer, WithJsonSchema
from pydantic_core import PydanticCustomError

from livery.colour.lab_limits import lab_fault
from livery.input_limits import LEAST_MM, LONGEST_MM
from livery.toml.entry import wrong
from livery.units import HOW_TO_WRITE_A_LENGTH, Length, UnitError, is_unit, read_angle, read_length

T = TypeVar("T")

LONGEST_TEXT = 100
"""Characters of a small value as it is written (chosen: far more than any needs). Longer, and a
damaged file takes long to read."""


SHARES = {"left": 0.0, "centre": 0.5, "right": 1.0, "bottom": 0.0, "middle": 0.5, "top": 1.0}
"""The panel's own places, and how much of what stands there lies to the left or below."""

_POSITION = re.compile(
    r"(?P<datum>[A-Za-z][\w-]*|(?:[A-Za-z]|\d+(?:st|nd|rd|th)\b).*?\s(?P<edge>[A-Za-z][\w-]*))"
    r"(?:\s+(?P<sign>[+-])\s*(?P<offset>.+))?"
)
"""A place by a name: a datum's, or an opening's with its edge or its middle, as "window left"."""


@dataclass(frozen=True, slots=True)
class Position:
    """A place along the panel's width or height: a datum, a length from it, or both.

    The datum may be an edge or the middle of an opening or a fitting: "window left".  Without a
    datum the length runs from the drawing's own origin.
    """

    datum: str | None
    offset: Length

    @property
    def share(self) -> float | None:
        """The share of an item here that lies to the left or below, by the name of the place.

        Nothing at "left" and "bottom", half at "centre" and "middle", also those of an opening,
        all at "right" and "top"; None at any other place.
        """
        own = SHARES.get(self.datum or "")
        if own is None and self.is_of_opening:
            return 0.5 if (self.datum or "").endswith((" centre", " middle")) else None
        return own

    @property
    def is_of_opening(self) -> bool:
        """Whether it is measured from an edge or the middle of an opening or a fitting."""
        return self.datum is not None and " " in self.datum

    def __str__(self) -> str:
        if self.datum is None:
            return str(self.offset)
        if not self.offset.exact:
            return self.datum
        sign = "-" if self.offset.exact < 0 else "+"
        return f"{self.datum} {sign} {Length(abs(self.offset.exact), self.offset.on_model)}"


def to_length(value: Any) -> Length:
    """Read a length from a description's value."""
    if isinstance(value, Length):
        return value
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise wrong("length", "a length is needed here", HOW_TO_WRITE_A_LENGTH)
    if not isinstance(value, str):
        raise wrong(
            "missing-unit",
            f"{value} has no unit",
            f'Write "{value} in", "{value} ft" or "{value} mm" for the prototype\'s size, '
            f'or "{value} mm on model" for a size on the model.',
        )
    if len(value) > LONGEST_TEXT:
        raise wrong("length", "this is too long to be a length", HOW_TO_WRITE_A_LENGTH)
    if re.search(r"\d,\d", value):
        point, plain = value.replace(",", "."), value.replace(",", "")
        remedy = f'Write "{point}" if it stands for the decimal point; otherwise "{plain}".'
        if re.search(r"\d\.\d+,\d", value):  # a point in thousands, then a decimal comma
            remedy = f'Write "{value.replace(".", "").replace(",", ".")}".'
        raise wrong("length", f'"{value}" has a comma within its number', remedy)
    if (place := _POSITION.fullmatch(value.strip())) and place["offset"]:
        raise wrong(
            "length",
            f'"{value}" is a place, and a distance is needed here',
            f'Write a distance: "{place["offset"]}". Places stand in at, level, upright, start, end and '
            "the edges of an area.",
        )
    try:
        length = read_length(value)
    except UnitError as error:
        code = "missing-unit" if error.lacks_unit else "length"
        raise wrong(code, str(error), error.remedy) from None
    if abs(length.exact) > LONGEST_MM:
        raise wrong("length", f'"{value}" is longer than any train', "Check its unit.")
    if 0 < abs(length.exact) < LEAST_MM:
        raise wrong("length", f'"{value}" is shorter than anything made', "Check its fraction.")
    return length


def to_positive_length(value: Any) -> Length:
    """Read a length that must be greater than zero."""
    length = to_length(value)
    if length.exact <= 0:
        raise wrong(
            "length", f'"{value}" must be greater than zero', 'Write a size such as "4 1/2 in".'
        )
    return length


def _not_negative(length: Length) -> Length:
    if length.exact < 0:
        raise wrong("length", f'"{length}" is negative', HOW_TO_WRITE_A_LENGTH)
    return length


def to_radius(value: Any) -> Length:
    """Read a length that is zero or greater."""
    length = to_length(value)
    if length.exact < 0:
        raise wrong("length", f'"{value}" must not be negative', HOW_TO_WRITE_A_LENGTH)
    return length


def to_position(value: Any) -> Position:
    """Read a position: a length, a name, or ``name + length``; a name may be "window left"."""
    if isinstance(value, Position):
        return value
    if isinstance(value, str) and (meant := _meant_place(value)):
        raise wrong("place", f'"{value}" is not a place', meant)
    match = _POSITION.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None or is_unit(match["edge"] or ""):  # "waist 2 in" lacks its sign
        return Position(None, to_length(value))
    datum = " ".join(match["datum"].split())
    if match["offset"] is None:
        return Position(datum, Length(Fraction(0)))
    offset = to_length(match["offset"])
    exact = -offset.exact if match["sign"] == "-" else offset.exact
    return Position(datum, Length(exact, offset.on_model))


def _meant_place(text: str) -> str:
    """Return how to write a place in another form: a share, waist-2 in, 2 in above waist."""
    if re.fullmatch(r"\s*\d+(\.\d+)?\s*%\s*", text):
        return 'Write a length such as "3 ft", or "centre" across and "middle" up.'
    edge = re.fullmatch(
        r"\s*(?:the )?(left|right|top|bottom|centre|middle) of (?:the )?([A-Za-z][\w ]*\w)\s*", text
    )
    if edge is not None and not is_unit(edge[2]):
        return f'Write "{edge[2]} {edge[1]}".'
    beside = re.fullmatch(r"\s*(below|above|under|over) (?:the )?([A-Za-z][\w ]*\w)\s*", text)
    if beside is not None:
        sign = "-" if beside[1] in ("below", "under") else "+"
        return f'Write how far: "{beside[2]} {sign} 2 in".'
    joined = re.fullmatch(r"\s*([A-Za-z]\w*)([+-])\s*(\d.*\S)\s*", text)
    if joined and _is_length(joined[3]):
        return f'Write "{joined[1]} {joined[2]} {joined[3]}".'
    after = re.fullmatch(
        r"\s*(\d.*?\S)\s*(\+|above|over|up from|right of|below|under|down from|left of)\s+"
        r"(?:the )?([A-Za-z][\w ]*\w)\s*",
        text,
    )
    if after is None or is_unit(after[3]):
        return ""
    sign = "-" if after[2] in ("below", "under", "down from", "left of") else "+"
    return f'Write "{after[3]} {sign} {after[1]}".'


def _is_length(text: str) -> bool:
    try:
        read_length(text)
    except UnitError:
        return False
    return True


def to_dry_film(value: Any) -> Length:
    """Read the thickness of a dry film, which data sheets give in microns or thousandths."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise wrong("missing-unit", f"{value} has no unit", f'Write "{value} um" for microns.')
    if isinstance(value, str) and (mils := re.fullmatch(r"\s*([\d.]+)\s*mils?\s*", value.lower())):
        raise wrong("length", f'"{value}" is not a length', f'Write "{mils[1]} thou".')
    return to_positive_length(value)


def to_angle(value: Any) -> float:
    """Read an angle in degrees from ``"30 deg"``."""
    if not isinstance(value, str):
        shown = (
            f"{value:g}" if isinstance(value, int | float) and not isinstance(value, bool) else ""
        )
        message = f"{shown} has no unit: an angle is needed" if shown else "an angle is needed here"
        raise wrong("angle", message, f'Write it in degrees: "{shown or 30} deg".')
    try:
        return read_angle(value)
    except UnitError as error:
        raise wrong("angle", str(error), error.remedy) from None


_COMPASS = {
    "right": 0.0,
    "upper right": 45.0,
    "up": 90.0,
    "upper left": 135.0,
    "left": 180.0,
    "lower left": -135.0,
    "down": -90.0,
    "lower right": -45.0,
}


def to_direction(value: Any) -> float:
    """Read a direction, in degrees anticlockwise from the right: ``"lower right"`` or an angle."""
    if isinstance(value, str) and value in _COMPASS:
        return _COMPASS[value]
    try:
        return to_angle(value)
    except PydanticCustomError:
        words = ", ".join(f'"{w}"' for w in _COMPASS)
        raise wrong(
            "direction",
            f'"{value}" is not a direction',
            f'{_meant_direction(value)}Write one of {words}, or "-30 deg".',
        ) from None


def _meant_direction(value: Any) -> str:
    """Return the direction that other words stand for, as a question, or nothing."""
    if not isinstance(value, str):
        return f'Did you mean "{value:g} deg"? ' if isinstance(value, int | float) else ""
    word = value.lower().replace("-", " ").strip()
    for other, own in _OTHER_DIRECTIONS:
        word = re.sub(rf"\b{other}\b", own, word)
    return f'Did you mean "{word}"? ' if word in _COMPASS else ""


_OTHER_DIRECTIONS = (
    ("south ?east", "lower right"),
    ("south ?west", "lower left"),
    ("north ?east", "upper right"),
    ("north ?west", "upper left"),
    ("bottom|below|down(?= )|lower(?=left|right)", "lower"),
    ("top|above|up(?= )", "upper"),
)
"""Other words for a direction or a part of it (patterns), and the word for it here."""


def _plain_lab(lab: tuple[float, float, float]) -> tuple[float, float, float]:
    if fault := lab_fault(lab, lightest=100.0):
        remedy = 'Lab is [L, a, b], as a colour reader gives it; screen colours are "#rrggbb".'
        raise wrong("lab", fault, remedy)
    return lab


_BY_NAME = {
    "type": "object",
    "description": 'A size of the survey: { measured = "waist", round = "1/8 in" }',
    "required": ["measured"],
    "additionalProperties": False,
    "properties": {"measured": {"type": "string"}, "round": {"type": "string"}},
}


def or_by_name(schema: dict[str, Any]) -> None:
    """Allow a survey's name instead of the required keys in the published schema."""
    if required := schema.pop("required", None):
        schema["anyOf"] = [{"required": required}, {"required": ["measured"]}]


def read_by(reader: Callable[[Any], Any], words: str, *examples: str, by_name: bool = False) -> Any:
    """Return the annotation that reads a text by ``reader``, for validation and schema.

    ``by_name`` says that a survey may give it; what it gives is in its place before this is read.
    """
    text = {"type": "string", "description": words, "examples": list(examples)}
    schema = {"anyOf": [text, _BY_NAME]} if by_name else text
    return (BeforeValidator(reader), PlainSerializer(str), WithJsonSchema(schema))


_LENGTH = read_by(
    to_length, "A length with its unit", "4 1/2 in", "22 ft 6 in", "603 mm", by_name=True
)
_SIZE = read_by(to_positive_length, "A length with its unit", "4 1/2 in", "603 mm", by_name=True)
_PLACE = read_by(
    to_position,
    "A length, the name of a datum or of an opening's edge or middle, or both",
    "3 ft",
    "waist - 2 in",
    "window centre",
    by_name=True,
)
_TOWARDS = read_by(to_direction, "A direction", "lower right", "-30 deg")
_ANGLE = read_by(to_angle, "An angle in degrees", "30 deg", by_name=True)

AnyLength = Annotated[Length, *_LENGTH]
Size = Annotated[Length, *_SIZE]
DryFilm = Annotated[
    Length, *read_by(to_dry_film, "The thickness of a dry film with its unit", "25 um", "1 thou")
]
NoneOrMore = Annotated[AnyLength, AfterValidator(_not_negative)]
Where = Annotated[Position, *_PLACE]
Towards = Annotated[float, *_TOWARDS]
Degrees = Annotated[float, *_ANGLE]
Lab = Annotated[tuple[float, float, float], AfterValidator(_plain_lab)]
