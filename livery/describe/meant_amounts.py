"""What to write instead of a date, hours, a share or an amount that is written in another way.

Each function takes the value as it was written and returns a remedy, or nothing if it cannot say
what is meant.  A remedy never guesses silently: where two values may be meant, it names both.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from livery.units import UnitError, in_figures, read_length

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_NUMBER = r"\d+(?:[.,]\d+)?"
_IMPERIAL_PINT_ML = 568.26125
"""Millilitres of an imperial pint, by definition (SI 1995/1804). Another value changes what is
proposed for pints."""
_US_PINT_ML = 473.176473
"""Millilitres of a US liquid pint, by definition (231/8 cubic inches; NIST Handbook 44). Another
value changes what is proposed for pints."""
_PINTS = {"fl oz": (1 / 20, 1 / 16), "pint": (1.0, 1.0), "quart": (2.0, 2.0), "gallon": (8.0, 8.0)}
"""Imperial and US pints of a measure (by definition)."""


def meant_day(value: Any) -> str:
    """Return how to write a day that is not written as year, month and day."""
    text = str(value).strip().lower()
    days = [_iso(d) for d in re.findall(r"\d{4}-\d\d?-\d\d?", text)]
    if len(days) > 1 and all(days):
        return f'Write each day by itself: "{days[0]}", ... "{days[-1]}".'
    if weekday := next((w for w in _WEEKDAYS if w[:3] == text[:3] and text.isalpha()), ""):
        return (
            f'Write a date, such as "2027-03-06". If no work is done on any {weekday.title()}, write '
            f'days = {{ {weekday} = "off" }} under [spraying].'
        )
    if found := _days_meant(text):
        if len(found) == 1:
            return f'Write "{found[0]}".'
        return (
            f'Write "{found[0]}" if the day comes first, or "{found[1]}" if the month comes first.'
        )
    return ""


def _iso(text: str) -> str:
    """Return a day of year, month and day with all its digits, or nothing if there is no such day."""
    try:
        return date(*(int(part) for part in re.split(r"[-./]", text))).isoformat()
    except ValueError:
        return ""


def _days_meant(text: str) -> list[str]:
    """Return the days that a text may mean, the reading with the day first before the other."""
    if found := re.fullmatch(r"(\d{4})[-./](\d\d?)[-./](\d\d?)", text):
        readings = ["-".join(found.groups())]
    elif found := re.fullmatch(r"(\d\d?)[-./ ](\d\d?)[-./ ](\d{4})", text):
        a, b, year = found.groups()
        readings = [f"{year}-{b}-{a}", f"{year}-{a}-{b}"]
    elif found := re.fullmatch(
        r"(?:\w+,? )?(\d\d?)(?:st|nd|rd|th|\.)? ([a-z]+)\.?,? (\d{4})", text
    ):
        readings = [f"{found[3]}-{_month(found[2])}-{found[1]}"]
    elif found := re.fullmatch(r"([a-z]+)\.? (\d\d?)(?:st|nd|rd|th)?,? (\d{4})", text):
        readings = [f"{found[3]}-{_month(found[1])}-{found[2]}"]
    else:
        return []
    return list(dict.fromkeys(day for day in map(_iso, readings) if day))


def _month(word: str) -> int:
    return _MONTHS.index(word[:3]) + 1 if word[:3] in _MONTHS else 0


def meant_working_hours(value: Any) -> str:
    """Return how to write the hours of a day: 9am to 5pm, 9-17, 9.00 to 17.00."""
    if value is False or str(value).lower() in ("closed", "none", "no", "free", "rest", "holiday"):
        return 'Write "off" for a day without work.'
    text = " to ".join(map(str, value)) if isinstance(value, list | tuple) else str(value).lower()
    found = re.fullmatch(rf"\s*{_CLOCK}\s*(?:to|until|till|[-–,/])\s*{_CLOCK}\s*", text)
    if found is None:
        return ""
    (start, end), (first, last) = _hours(*found.groups()), found.group(1, 4)
    if (
        end <= start
        and not (found[3] or found[6])
        and int(last) <= 12 <= int(last) + 12 > int(first)
    ):
        end += 12 * 60  # 9 to 5: the second is in the afternoon
    if not 0 <= start < end < 24 * 60:
        return "Write the earlier hour first; work past midnight belongs to the next day."
    return f'Write "{start // 60}:{start % 60:02} to {end // 60}:{end % 60:02}".'


_CLOCK = r"(\d\d?)(?:[:.h](\d\d)?)?\s*(am|pm|a\.m\.|p\.m\.|h)?"


def _hours(*parts: str | None) -> tuple[int, int]:
    """Return the minutes of the day of two hours, each in figures with am or pm."""
    start, end = (
        (
            int(h or 0) % 12 + (12 if half[0] == "p" else 0)
            if half and half[0] in "ap"
            else int(h or 0)
        )
        * 60
        + int(m or 0)
        for h, m, half in (parts[:3], parts[3:])
    )
    return start, end


def meant_start(value: Any) -> str:
    """Return how to write a day and an hour."""
    text = str(value).strip().lower().replace(" at ", " ")
    found = re.fullmatch(rf"(.*\d{{4}}|\d{{4}}\S*)[ ,t]+{_CLOCK}", text)
    days = (_days_meant(found[1]) or [_iso(found[1])]) if found else []
    if found is None or not days or not days[0]:
        return ""
    minutes, _ = _hours(*found.groups()[1:], "0", "0", "")
    hour = f"{minutes // 60}:{minutes % 60:02}"
    both = [f'"{day} {hour}"' for day in days]
    return f"Write {both[0]}." if len(both) == 1 else f"Write {both[0]} or {both[1]}."


def meant_share(value: Any) -> str:
    """Return how to write a share in per cent: 0.4, 45, "40 percent", "40,5 %"."""
    if isinstance(value, int | float) and not isinstance(value, bool) and 0.0 < value <= 100.0:
        if value < 1.0:
            return f'Write "{value * 100:g} %", or "{value:g} %" if it is in per cent already.'
        return f'Write "{value:g} %".'
    found = re.fullmatch(rf"\s*({_NUMBER})\s*(?:%|per ?cent|pct\.?)?\s*", str(value), re.IGNORECASE)
    number = found[1].replace(",", ".") if found else "0"
    if float(number) > 100.0:
        return "A share is at most 100 %."
    return f'Write "{number} %".' if found else ""


def meant_duration(value: Any) -> str:
    """Return how to write a duration: "2 months", "1:30", "4-6 h", "two hours"."""
    text = in_figures(str(value).strip().lower())
    if clock := re.fullmatch(r"(\d+):([0-5]\d)", text):
        return f'Write "{int(clock[1]) * 60 + int(clock[2])} min" for hours and minutes.'
    if both := re.fullmatch(r"(\d+)\s*h\w*\s*(\d+)\s*(?:m\w*)?", text):
        return f'Write "{int(both[1]) * 60 + int(both[2])} min".'
    if two := re.fullmatch(rf"({_NUMBER})\s*(?:-|–|to)\s*({_NUMBER})\s*([a-z]+)", text):
        return f'Write one of them: "{two[1]} {two[3]}" or "{two[2]} {two[3]}".'
    if long := re.fullmatch(r"(\d+)\s*(month|year)s?", text):
        return f'Write "{int(long[1]) * (30 if long[2] == "month" else 365)} days".'
    known = r"(min|h|hours?|days?|weeks?)"
    changed = text.replace(",", ".")
    return f'Write "{changed}".' if re.fullmatch(rf"[\d.]+\s*{known}", changed) else ""


def meant_volume(value: Any) -> str:
    """Return how to write a volume: pints and ounces in millilitres, a weight by its density."""
    text = in_figures(str(value).strip().lower())
    if re.fullmatch(rf"{_NUMBER}\s*(kg|g|lb|oz)", text):
        return "Write its volume: the weight divided by the density of the paint on its data sheet."
    found = re.fullmatch(rf"({_NUMBER})\s*(fl\.? ?oz\.?|pints?|quarts?|gallons?|gal)", text)
    if found is None:
        cubic = re.fullmatch(rf"({_NUMBER})\s*(?:cc|cm3|cm³)", text)
        changed = f"{cubic[1]} ml" if cubic else text
        changed = changed.replace(",", ".")
        return (
            f'Write "{changed}".'
            if re.fullmatch(rf"{_NUMBER}\s*(ml|cl|l|litres?)", changed)
            else ""
        )
    kind = next(k for k in _PINTS if k[:2] == found[2][:2])
    number = float(found[1].replace(",", "."))
    british, american = (
        f"{number * pints * ml:.0f} ml"
        for pints, ml in zip(_PINTS[kind], (_IMPERIAL_PINT_ML, _US_PINT_ML), strict=True)
    )
    return f'Write "{british}" if it is an imperial measure, or "{american}" if it is a US one.'


def meant_area(value: Any) -> str:
    """Return how to write an area that is given by two sides."""
    sides = re.split(r"\s*(?:x|×|\*|by)\s*", str(value).strip().lower())
    try:
        first, second = (read_length(side) for side in sides)
    except (UnitError, ValueError):
        square = re.fullmatch(rf"({_NUMBER})\s*(?:sq\.?|square) ?(mm|cm|m)\w*", str(value).lower())
        return f'Write "{square[1]} {square[2]}2".' if square else ""
    square_cm = first.mm * second.mm / 100.0
    written = f"{square_cm:.4g} cm2" if square_cm < 1e4 else f"{square_cm / 1e4:.4g} m2"
    return f'Write "{written}".'


def meant_roll(value: Any) -> str:
    """Return how to write the length of a roll that is in yards or feet."""
    try:
        return f'Write "{read_length(str(value)).mm / 1000.0:.4g} m".'
    except UnitError:
        return ""


def meant_mix(value: Any) -> str:
    """Return how to write a mixing ratio: 4 to 1, [4, 1, 1], 80 % + 20 %, 4:1 and 10 % thinner."""
    if isinstance(value, list | tuple):
        value = ":".join(map(str, value))
    text = str(value).lower().replace(",", ".")
    number = r"(\d+(?:\.\d+)?)"
    if thinned := re.fullmatch(rf"\s*{number}\s*:\s*{number}\s*\W*\s*{number}\s*%.*", text):
        paint, hardener, share = (float(g) for g in thinned.groups())
        thinner = (paint + hardener) * share / 100.0
        return (
            f'Write "{paint:g}:{hardener:g}:{thinner:g}" if the {share:g} % are of paint '
            "and hardener together."
        )
    parts = re.findall(number, text)
    bare = re.sub(rf"{number}|\bto\b|parts?|%|[:+./\-\s]", "", text)
    if bare or not 1 <= len(parts) <= 3 or not float(parts[0]):
        return ""
    least = min(float(p) for p in parts if float(p)) if "%" in text else 1.0
    ratio = ":".join(f"{float(p) / least:g}" for p in parts) + (":1" if len(parts) == 1 else "")
    return f'Write "{ratio}".'


MEANT_AMOUNTS: Mapping[str, Callable[[Any], str]] = {
    "day": meant_day,
    "hours": meant_working_hours,
    "start": meant_start,
    "share": meant_share,
    "a duration": meant_duration,
    "a volume": meant_volume,
    "an area": meant_area,
    "the length of a roll": meant_roll,
    "mix": meant_mix,
}
"""Which function says what is meant, by what was to be read."""
