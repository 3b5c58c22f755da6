"""Values that a description takes from a survey by name: ``height = { measured = "waist" }``.

A size, a colour (``sample = { measured = "cab-green" }``) or what was traced (``outline =
{ measured = "cab-side" }``, a letter also with its ``foot``) stands under the name it was kept by.
With ``round = "1/8 in"`` the size is taken to the nearest such part, as a drawing office would have
written it.  What comes of it stands in the description as if it had been written there.
"""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from livery.describe.changes import Written
from livery.describe.outside_note import outside_note
from livery.findings import Finding, LiveryError, Place, Severity
from livery.toml.places import Key, nearest_place
from livery.toml.read import is_file
from livery.units import Length, UnitError, read_length

if TYPE_CHECKING:
    from livery.survey.named_sizes import NamedSize
    from livery.survey.survey_file import SurveyFile

MEASURED = "measured"
"""The code of every fault of a size taken by name."""
_KEYS = {"measured", "round", "foot", "beside"}
_BUILT = ("as_built", "built")


def with_measured(written: Written) -> Written:
    """Return a description with all values of its survey filled in."""
    used = list(_uses((), written.data))
    if not used:
        return written
    survey, sizes, found = _survey(written)
    names = {str(use["measured"]) for _, use in used}
    others = {f for name, size in sizes.items() if name not in names for f in size.findings}
    faults = [*written.faults, *(_of_other(f) if _is_one_of(f, others) else f for f in found)]
    data = written.data
    for key, use in used:
        place = nearest_place(written.places, key)
        named = use["measured"]
        value: Any
        findings: tuple[Finding, ...]
        wrong = None if survey is None else _wrong_kind(key, named, survey)
        wrong = wrong or _wrong_scale(key, sizes.get(str(named)))
        wrong = wrong or _angle_as_length(key, sizes.get(str(named)))
        if wrong is not None:
            value, findings = None, (wrong,)
        elif survey is not None and named in survey.model.colour:
            value, findings = _sample(survey, named)
        elif survey is not None and named in survey.model.trace:
            value, findings = _outline(survey, use)
        else:
            value, one = _size(use, sizes, _others(survey), is_known=not found or bool(sizes))
            findings = () if one is None else (one,)
        faults += [f if f.place else replace(f, place=place) for f in findings]
        if value is not None:
            data = _put(data, key, value)
    return replace(written, data=data, faults=tuple(faults))


def _is_one_of(finding: Finding, others: Collection[Finding]) -> bool:
    """Return whether a finding, placed, is one of sizes that the description does not use."""
    return replace(finding, place=None) in others


def _of_other(finding: Finding) -> Finding:
    """Return what is wrong with a size that is not used: no reason to refuse the description."""
    return replace(finding, severity=Severity.WARNING)


def _wrong_kind(key: Key, name: object, survey: SurveyFile) -> Finding | None:
    """Return that a colour is taken where none can stand, or something else where one must."""
    model = survey.model
    kinds = {"size": set(model.measure), "colour": set(model.colour), "outline": set(model.trace)}
    kind = next((kind for kind, names in kinds.items() if name in names), None)
    if kind is None or (kind == "colour") == (key[-1] == "sample"):
        return None
    place = "only sample takes a colour" if kind == "colour" else "sample takes a colour"
    return _fault(f'"{name}" is {"an" if kind == "outline" else "a"} {kind}; {place}', "Name another of the survey.")  # fmt: skip


def _wrong_scale(key: Key, size: NamedSize | None) -> Finding | None:
    """Return that a size of the prototype is taken where the metal's own must stand."""
    built = next((part for part in key if part in _BUILT), None)
    if built is None or size is None or size.on_model or size.is_angle:
        return None
    return _fault(
        f"this is a size of the prototype; {built} takes what was measured on the model",
        "Measure a photograph of the model with livery measure --on-model, or write the size.",
    )


_ANGLES = frozenset(("lean", "slant", "bend", "draft", "turned", "seam_slope", "sheet"))
"""Keys that take an angle, and tables with such keys."""


def _angle_as_length(key: Key, size: NamedSize | None) -> Finding | None:
    """Return that an angle is taken where a length must stand."""
    if size is None or not size.is_angle or any(part in _ANGLES for part in key):
        return None
    name = next(part for part in reversed(key) if isinstance(part, str))
    return _fault(
        f'"{size.name}" is an angle, {size.value:.2f}°; {name} takes a length',
        "Name a distance, a height or a radius of the survey.",
    )


def _others(survey: SurveyFile | None) -> tuple[str, ...]:
    return () if survey is None else (*survey.model.colour, *survey.model.trace)


def _sample(survey: SurveyFile, name: str) -> tuple[dict[str, Any] | None, tuple[Finding, ...]]:
    """Return a colour of the survey as a paint has it: the place on its photograph."""
    entry = survey.model.colour[name]
    if entry.picture not in survey.model.picture:
        return None, (_fault(f'the picture of the colour "{name}" is not in the survey', "Name one that is there."),)  # fmt: skip
    said = entry.model_dump(exclude={"picture", "note"}, exclude_defaults=True)
    if entry.chart_values:
        said["chart_values"] = str((survey.file.parent / entry.chart_values).resolve())
    return {"photo": str(survey.picture_file(entry.picture).resolve()), **said}, ()


def _outline(
    survey: SurveyFile, use: Mapping[str, Any]
) -> tuple[dict[str, Any] | None, tuple[Finding, ...]]:
    """Return what was traced as a description has an outline or a letter: a path, in millimetres."""
    from fontTools.misc.transform import Offset

    from livery.geometry.path_text import write_path
    from livery.survey.named_looks import named_outline

    name = use["measured"]
    try:
        found = named_outline(survey, name)
        foot = read_length(use["foot"]) if "foot" in use else Length(Fraction(0))
    except LiveryError as error:
        return None, error.findings
    except (UnitError, TypeError):
        return None, (_fault("this is not a length", 'Write foot = "-1 in", under the baseline.'),)
    if found.on_model or foot.on_model:
        return None, (
            _fault(
                f'"{name}" is traced at the model\'s size',
                "Calibrate its picture by prototype sizes: an outline is scaled with all else.",
            ),
        )
    path = write_path(found.outline.transformed(Offset(0.0, float(foot.exact))), 3)
    own = {"beside": use["beside"]} if "beside" in use else {}
    file = survey.picture_file(survey.model.trace[name].picture).resolve()
    is_beside = file.is_relative_to(survey.file.parent.resolve())
    notes = (*found.remarks, *(() if is_beside else (outside_note(file.name, file, ""),)))
    return {"path": path, "unit": "mm", **own}, notes


def _uses(key: Key, data: Any) -> Iterator[tuple[Key, Mapping[str, Any]]]:
    """Yield every table that takes something by name, by its key."""
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


def _survey(
    written: Written,
) -> tuple[SurveyFile | None, Mapping[str, NamedSize], tuple[Finding, ...]]:
    """Return the survey that the job names, its sizes, and what was found wrong in it."""
    from livery.survey.named_sizes import named_sizes
    from livery.survey.survey_file import load_survey

    job = written.data.get("job")
    name = job.get("survey") if isinstance(job, dict) else None
    if not isinstance(name, str) or not name:
        return None, {}, ()
    place = nearest_place(written.places, ("job", "survey"))
    file = (place.file.parent if place is not None else Path()) / name
    if not is_file(file):
        return None, {}, (_fault(f'there is no file "{name}"', "Check the name.", place),)
    try:
        survey = load_survey(file)
    except LiveryError as error:
        return None, {}, error.findings
    return survey, *named_sizes(survey)


def _size(
    use: Mapping[str, Any],
    sizes: Mapping[str, NamedSize],
    others: tuple[str, ...],
    *,
    is_known: bool,
) -> tuple[str | None, Finding | None]:
    """Return what a use comes to as text, and what is wrong with it or to be known."""
    name = use["measured"]
    if not isinstance(name, str) or name not in sizes:
        return None, _unknown(name, (*sizes, *others)) if is_known else _unread(name)
    size = sizes[name]
    if "round" not in use:
        return size.text, None
    try:
        step = read_length(use["round"])
        if step.exact <= 0 or size.is_angle:
            raise ValueError
    except (UnitError, ValueError, TypeError):
        return None, _fault("a length cannot be rounded to this step", 'Write round = "1/8 in".')
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


def _unknown(name: object, known: tuple[str, ...]) -> Finding:
    if not known:
        return _fault(
            f'no survey has a size "{name}"',
            'Name the survey in [job], survey = "survey.toml", and measure it there.',
        )
    close = difflib.get_close_matches(str(name), known, n=1, cutoff=0.6)
    remedy = f'Did you mean "{close[0]}"? ' if close else ""
    return _fault(f'the survey has no size "{name}"', f"{remedy}It has {', '.join(known)}.")


def _fault(message: str, remedy: str, place: Place | None = None) -> Finding:
    return Finding(MEASURED, message, remedy, place=place, exit_status=2)


def _put(data: Any, key: Key, value: Any) -> Any:
    """Return nested data with another value at a key; what is beside it is shared."""
    if not key:
        return value
    first, rest = key[0], key[1:]
    if isinstance(data, dict):
        return {**data, first: _put(data[first], rest, value)}
    changed = list(data)
    changed[int(first)] = _put(data[int(first)], rest, value)
    return changed
