"""Sizes that a description takes from a survey by name: ``height = { measured = "waist" }``.

With ``round = "1/8 in"`` the size is taken to the nearest such part, as a drawing office would have
written it.  What comes of it stands in the description as if it had been written there.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from livery.describe.changes import Written
from livery.findings import Finding, LiveryError, Place, Severity
from livery.toml.places import Key, nearest_place
from livery.toml.read import is_file
from livery.units import Length, UnitError, read_length

if TYPE_CHECKING:
    from livery.survey.named_sizes import NamedSize

MEASURED = "measured"
"""The code of every fault of a size taken by name."""
_KEYS = {"measured", "round"}


def with_measured(written: Written) -> Written:
    """Return a description with every size that it takes from a survey in its place."""
    used = list(_uses((), written.data))
    if not used:
        return written
    sizes, found = _survey(written)
    faults = [*written.faults, *found]
    data = written.data
    for key, use in used:
        place = nearest_place(written.places, key)
        text, finding = _size(use, sizes, is_known=not found or bool(sizes))
        if finding is not None:
            faults.append(replace(finding, place=place))
        if text is not None:
            data = _put(data, key, text)
    return replace(written, data=data, faults=tuple(faults))


def _uses(key: Key, data: Any) -> Iterator[tuple[Key, Mapping[str, Any]]]:
    """Yield every table that takes a size by name, by its key."""
    if isinstance(data, dict):
        if "measured" in data and set(data) <= _KEYS:
            yield key, data
            return
        inner: Iterator[tuple[str | int, Any]] = iter(data.items())
    elif isinstance(data, list):
        inner = iter(enumerate(data))
    else:
        return
    for name, value in inner:
        yield from _uses((*key, name), value)


def _survey(written: Written) -> tuple[Mapping[str, NamedSize], tuple[Finding, ...]]:
    """Return the sizes of the survey that the job names, and what was found wrong in it."""
    from livery.survey.named_sizes import named_sizes
    from livery.survey.survey_file import load_survey

    job = written.data.get("job")
    name = job.get("survey") if isinstance(job, dict) else None
    if not isinstance(name, str) or not name:
        return {}, ()
    place = nearest_place(written.places, ("job", "survey"))
    file = (place.file.parent if place is not None else Path()) / name
    if not is_file(file):
        return {}, (_fault(f'there is no file "{name}"', "Check the name.", place),)
    try:
        return named_sizes(load_survey(file))
    except LiveryError as error:
        return {}, error.findings


def _size(
    use: Mapping[str, Any], sizes: Mapping[str, NamedSize], *, is_known: bool
) -> tuple[str | None, Finding | None]:
    """Return what a use comes to as text, and what is wrong with it or to be known."""
    name = use["measured"]
    if not isinstance(name, str) or name not in sizes:
        return None, _unknown(name, sizes) if is_known else _unread(name)
    size = sizes[name]
    if "round" not in use:
        return size.text, None
    try:
        step = read_length(use["round"])
        if step.exact <= 0 or size.is_angle:
            raise ValueError
    except (UnitError, ValueError, TypeError):
        return None, _fault("this is no step to round a length to", 'Write round = "1/8 in".')
    exact = round(Fraction(size.value) / step.exact) * step.exact
    text = str(Length(exact, size.on_model))
    off = abs(float(exact) - size.value)
    if off <= size.within:
        return text, None
    return text, replace(
        _fault(
            f'rounded to {use["round"]}, "{name}" is {off:.1f} mm off what was measured, more than '
            f"its uncertainty of {size.within:.1f} mm",
            "Round it to a finer part.",
        ),
        severity=Severity.WARNING,
    )


def _unread(name: object) -> Finding:
    return _fault(
        f'the size "{name}" is not known: the survey has faults', "Put those right first."
    )


def _unknown(name: object, sizes: Mapping[str, NamedSize]) -> Finding:
    if not sizes:
        return _fault(
            f'no survey has a size "{name}"',
            'Name the survey in [job], survey = "survey.toml", and measure it there.',
        )
    close = difflib.get_close_matches(str(name), list(sizes), n=1, cutoff=0.6)
    remedy = f'Did you mean "{close[0]}"? ' if close else ""
    return _fault(f'the survey has no size "{name}"', f"{remedy}It has {', '.join(sizes)}.")


def _fault(message: str, remedy: str, place: Place | None = None) -> Finding:
    return Finding(MEASURED, message, remedy, place=place, exit_status=2)


def _put(data: Any, key: Key, value: str) -> Any:
    """Return nested data with another value at a key; what is beside it is shared."""
    if not key:
        return value
    first, rest = key[0], key[1:]
    if isinstance(data, dict):
        return {**data, first: _put(data[first], rest, value)}
    changed = list(data)
    changed[int(first)] = _put(data[int(first)], rest, value)
    return changed
