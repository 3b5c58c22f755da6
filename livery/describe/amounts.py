"""Amounts a description writes with their unit: durations, parts, volumes, mixes, hours of work."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Annotated, Any

from pydantic import BeforeValidator, PlainSerializer, WithJsonSchema

from livery.input_limits import FIRST_YEAR, LARGEST_AMOUNT, LAST_YEAR
from livery.toml.entry import wrong

_HOURS = {
    **dict.fromkeys(("min", "mins", "minute", "minutes"), 1 / 60),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), 1.0),
    **dict.fromkeys(("d", "day", "days"), 24.0),
    **dict.fromkeys(("week", "weeks"), 168.0),
}
_LITRES = {
    **dict.fromkeys(("ml", "millilitre", "millilitres", "milliliter", "milliliters"), 0.001),
    "cl": 0.01,
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), 1.0),
}
_SQUARE_MM = {"mm2": 1.0, "cm2": 100.0, "m2": 1e6, "mm²": 1.0, "cm²": 100.0, "m²": 1e6}
_METRES = {"mm": 0.001, "cm": 0.01, "m": 1.0}
_NUMBER = r"(\d+(?:\.\d+)?)"

_DURATION = 'Write it with its unit: "45 min", "4 h" or "2 days".'
_PART = 'Write a number and the sign for per cent: "40 %".'
_VOLUME = 'Write it with its unit: "250 ml" or "1 l".'
_AREA = 'Write it with its unit, as it is on the model: "120 cm2".'
_BOOTH = 'Write the area that panels can lie on, "0.5 m2", or how many lie in it: "2 panels".'
_REEL = 'Write it with its unit: "33 m".'
_MIX = (
    'Write the parts by volume of paint, hardener and thinner: "4:1:1"; "1:0:0.5" without hardener.'
)
_WORK = 'Write it by the 24 hour clock: "9:00 to 17:30".'
_START = 'Write the day and the hour: "2027-03-06 9:00".'


def to_hours(value: Any) -> float:
    """Read a duration; return hours."""
    return _with_unit(value, _HOURS, "a duration", _DURATION)


def to_litres(value: Any) -> float:
    """Read a volume; return litres."""
    return _with_unit(value, _LITRES, "a volume", _VOLUME)


def to_square_mm(value: Any) -> float:
    """Read an area on the model; return square millimetres."""
    return _with_unit(value, _SQUARE_MM, "an area", _AREA)


@dataclass(frozen=True, slots=True)
class BoothSize:
    """What a booth holds at a time: panels, or else an area in square millimetres."""

    most: float
    is_count: bool = False

    def __str__(self) -> str:
        if self.is_count:
            return "1 panel" if self.most == 1.0 else f"{self.most:g} panels"
        return f"{self.most / 1e6:g} m2"


def to_booth(value: Any) -> BoothSize:
    """Read what a booth holds: an area, or a number of panels."""
    match = isinstance(value, str) and re.fullmatch(r"\s*([1-9]\d{0,5})\s*panels?\s*", value)
    if match:
        return BoothSize(float(match[1]), is_count=True)
    if isinstance(value, int) and not isinstance(value, bool) and value > 0:
        words = "1 panel" if value == 1 else f"{value} panels"
        remedy = f'For so many panels at a time write "{words}"; for an area, "0.5 m2".'
        raise wrong("missing-unit", f"{value} has no unit: what a booth holds is needed", remedy)
    return BoothSize(_with_unit(value, _SQUARE_MM, "an area", _BOOTH))


def to_metres(value: Any) -> float:
    """Read the length of a roll; return metres."""
    return _with_unit(value, _METRES, "the length of a roll", _REEL)


def to_part(value: Any) -> float:
    """Read a part of the whole, written in hundredths; return 0 to 1."""
    match = isinstance(value, str) and re.fullmatch(rf"\s*{_NUMBER}\s*%\s*", value)
    if not match or float(match[1]) > 100.0:
        raise wrong(
            "part", f'"{value}" is not a share in per cent', _instead("share", value) or _PART
        )
    return float(match[1]) / 100.0


def to_mix(value: Any) -> tuple[float, float, float]:
    """Read a mixing ratio; return parts of paint, hardener and thinner."""
    match = isinstance(value, str) and re.fullmatch(
        rf"\s*{_NUMBER}\s*:\s*{_NUMBER}(?:\s*:\s*{_NUMBER})?\s*", value
    )
    if not match or float(match[1]) <= 0.0 or _too_much(*match.groups(default="0")):
        raise wrong(
            "mix", f'"{_shown(value)}" is not a mixing ratio', _instead("mix", value) or _MIX
        )
    return float(match[1]), float(match[2]), float(match[3] or 0.0)


def to_working_hours(value: Any) -> tuple[time, time]:
    """Read the hours of a day given to the work."""
    match = isinstance(value, str) and re.fullmatch(
        r"\s*(\d{1,2}):(\d\d)\s*(?:to|-|–)\s*(\d{1,2}):(\d\d)\s*", value
    )
    try:
        if match:
            a, b, c, d = (int(g) for g in match.groups())
            if (a, b) < (c, d):
                return time(a, b), time(c, d)
    except ValueError:
        pass  # no such hour; reported below like any other
    message = f'"{_shown(value)}" is not the working hours of a day'
    raise wrong("working-hours", message, _instead("hours", value) or _WORK)


def to_day(value: Any) -> date:
    """Read a day."""
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    try:
        return date.fromisoformat(value.strip())
    except (ValueError, TypeError, AttributeError):
        is_written_so = isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value.strip())
        message = f'there is no day "{value}"' if is_written_so else f'"{value}" is not a date'
        remedy = _instead("day", value) or 'Write year, month and day: "2027-03-06".'
        raise wrong("day", message, remedy) from None


def to_start(value: Any) -> datetime:
    """Read the day and the hour work begins."""
    if isinstance(value, datetime) and FIRST_YEAR <= value.year <= LAST_YEAR:
        return value.replace(tzinfo=None)
    match = isinstance(value, str) and re.fullmatch(
        r"\s*(\d{4})-(\d\d)-(\d\d)[ T]+(\d{1,2}):(\d\d)\s*", value
    )
    try:
        if match and FIRST_YEAR <= int(match[1]) <= LAST_YEAR:
            return datetime(*(int(g) for g in match.groups()))  # type: ignore[arg-type]
    except ValueError:
        pass  # no such day; reported below like any other
    raise wrong("start", f'"{value}" is not a day and an hour', _instead("start", value) or _START)


def _with_unit(value: Any, units: dict[str, float], what: str, remedy: str) -> float:
    match = isinstance(value, str) and re.fullmatch(rf"\s*{_NUMBER}\s*([a-zA-Z]+[23²³]?)\s*", value)
    if not match or match[2] not in units:
        shown = f'"{value}"' if isinstance(value, str) else f"{value} has no unit:"
        message = (
            f"{shown} is not {what}" if isinstance(value, str) else f"{shown} {what} is needed"
        )
        remedy = _instead(what, value) or remedy
        raise wrong("missing-unit" if not isinstance(value, str) else "amount", message, remedy)
    if _too_much(match[1]):
        raise wrong("amount", f'"{value[:40]}" is more than any job takes', remedy)
    return float(match[1]) * units[match[2]]


def _instead(what: str, value: Any) -> str:
    """Return what to write instead of a value, or nothing; imported only where one is wrong."""
    from livery.describe.meant_amounts import MEANT_AMOUNTS

    return MEANT_AMOUNTS[what](value)


def _shown(value: Any) -> str:
    """Return a value as it is written; of a list, its values."""
    if isinstance(value, list | tuple):
        return ", ".join(map(str, value))
    return str(value).lower() if isinstance(value, bool) else str(value)


def _too_much(*numbers: str) -> bool:
    return any(float(n) > LARGEST_AMOUNT for n in numbers)


def _hours_text(value: float) -> str:
    return f"{value * 60:g} min" if value < 1.0 else f"{value:g} h"


def _litres_text(value: float) -> str:
    return f"{value * 1000:g} ml" if value < 1.0 else f"{value:g} l"


def _day_text(value: tuple[time, time]) -> str:
    return f"{value[0]:%H:%M} to {value[1]:%H:%M}"


def _text(
    reader: Callable[[Any], Any], writer: Callable[[Any], str], words: str, *examples: str
) -> Any:
    schema: Any = {"type": "string", "description": words, "examples": list(examples)}
    return (BeforeValidator(reader), PlainSerializer(writer), WithJsonSchema(schema))


Hours = Annotated[float, *_text(to_hours, _hours_text, "A duration", "45 min", "4 h", "2 days")]
Litres = Annotated[float, *_text(to_litres, _litres_text, "A volume", "250 ml", "1 l")]
SquareMm = Annotated[
    float,
    *_text(to_square_mm, lambda v: f"{v / 100:g} cm2", "An area on the model", "120 cm2", "0.3 m2"),
]
Booth = Annotated[
    BoothSize, *_text(to_booth, str, "What a booth holds at a time", "0.5 m2", "2 panels")
]
Metres = Annotated[float, *_text(to_metres, lambda v: f"{v:g} m", "The length of a roll", "33 m")]
Part = Annotated[float, *_text(to_part, lambda v: f"{v * 100:g} %", "A share in per cent", "40 %")]
Mix = Annotated[
    tuple[float, float, float],
    *_text(
        to_mix,
        lambda v: ":".join(f"{p:g}" for p in v),
        "Parts of paint, hardener and thinner",
        "4:1:1",
    ),
]
DayHours = Annotated[
    tuple[time, time],
    *_text(to_working_hours, _day_text, "The hours of a day", "9:00 to 17:30"),
]
Day = Annotated[date, *_text(to_day, lambda v: f"{v:%Y-%m-%d}", "A day", "2027-03-06")]
Start = Annotated[
    datetime,
    *_text(to_start, lambda v: f"{v:%Y-%m-%d %H:%M}", "A day and an hour", "2027-03-06 9:00"),
]
