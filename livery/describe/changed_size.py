"""A size or a place of a description moved by steps or by a distance, in the way it is written.

A size in inches and fractions stays one, decimals stay decimals, and a datum keeps its name.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from pydantic_core import PydanticCustomError

from livery.describe.values import Position, to_position
from livery.units import INCH, Length, Scale

_WORDS = re.compile(r"(?<![\w.-])(?:um|mm|cm|m|thou|in|ft|yd)(?![\w-])")


class StepSize(Enum):
    """How far one step goes: the parts of an inch, and of a millimetre."""

    FINE = "fine"
    PLAIN = "plain"
    COARSE = "coarse"


_INCHES = {
    StepSize.FINE: Fraction(1, 32),
    StepSize.PLAIN: Fraction(1, 8),
    StepSize.COARSE: Fraction(1),
}
_PROTOTYPE_MM = {
    StepSize.FINE: Fraction(1),
    StepSize.PLAIN: Fraction(5),
    StepSize.COARSE: Fraction(25),
}
_MODEL_MM = {
    StepSize.FINE: Fraction(1, 100),
    StepSize.PLAIN: Fraction(1, 10),
    StepSize.COARSE: Fraction(1),
}


@dataclass(frozen=True, slots=True)
class _Way:
    """How a size is written: its unit, whether feet go before inches, and whether in decimals."""

    unit: str
    feet: bool
    decimal: bool


def is_size_or_place(text: object) -> bool:
    """Return whether a value of a description is a length or a place that has one."""
    if not isinstance(text, str):
        return False
    try:
        to_position(text)
    except PydanticCustomError:
        return False
    return True


def stepped(text: str, steps: int, step: StepSize = StepSize.PLAIN) -> str:
    """Return a size or a place so many steps larger; whole steps in the unit it is written in.

    Raises ValueError for what is neither.
    """
    place, way = _read(text)
    exact = place.offset.exact
    if way.unit == "in":
        size = _INCHES[step] * INCH
    else:
        size = (_MODEL_MM if place.offset.on_model else _PROTOTYPE_MM)[step]
    return _written(place, exact + steps * size, way)


def shifted(text: str, model_mm: float, scale: Scale) -> str:
    """Return a size or a place larger by a distance on the model, to the nearest fine step.

    Raises ValueError for what is neither.
    """
    place, way = _read(text)
    offset = place.offset
    way_there = Fraction(model_mm) if offset.on_model else Fraction(model_mm) / scale.ratio
    if way.unit == "in":
        step = _INCHES[StepSize.FINE] * INCH
    else:
        step = (_MODEL_MM if offset.on_model else _PROTOTYPE_MM)[StepSize.FINE]
    return _written(place, offset.exact + round(way_there / step) * step, way)


def _read(text: str) -> tuple[Position, _Way]:
    try:
        place = to_position(text)
    except PydanticCustomError as error:
        raise ValueError(str(error)) from None
    own = text if place.datum is None else text.partition(place.datum)[2]
    plain = own.replace('"', " in").replace("”", " in").replace("'", " ft ").replace("″", " in")
    units = _WORDS.findall(re.sub(r"(?<=\d)(?=[a-z])", " ", plain.partition(" on model")[0]))
    metric = place.offset.on_model and not units
    smallest = units[-1] if units else "mm" if metric else "in"
    unit = "in" if smallest in ("in", "ft", "yd") else "mm"
    feet = "ft" in units or "yd" in units or not units
    return place, _Way(unit, feet, "." in own)


def _written(place: Position, exact: Fraction, way: _Way) -> str:
    if place.datum is None:
        return _length(exact, way, on_model=place.offset.on_model)
    if not exact:
        return place.datum
    sign = "-" if exact < 0 else "+"
    return f"{place.datum} {sign} {_length(abs(exact), way, on_model=place.offset.on_model)}"


def _length(exact: Fraction, way: _Way, *, on_model: bool) -> str:
    suffix = " on model" if on_model else ""
    inches = exact / INCH
    if (
        way.unit == "mm"
        or inches.denominator > 128
        or (inches.denominator & (inches.denominator - 1))
    ):
        # What is no part of an inch a rule has is written in the millimetres it is, exactly.
        return _millimetres(exact) + suffix
    if way.decimal:
        return f"{_decimal(inches)} in{suffix}"
    if way.feet:
        return str(Length(exact, on_model))
    sign, inches = ("-", -inches) if inches < 0 else ("", inches)
    whole, part = divmod(inches, 1)
    words = [str(whole)] if whole or not part else []
    words += [f"{part.numerator}/{part.denominator}"] if part else []
    return f"{sign}{' '.join(words)} in{suffix}"


def _millimetres(exact: Fraction) -> str:
    """Return millimetres as a decimal where there is one, else to a millionth."""
    return f"{_decimal(exact)} mm"


def _decimal(value: Fraction) -> str:
    text = f"{float(value):.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
