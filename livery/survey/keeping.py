"""Measurements entered in a survey file: the text already there stays, byte for byte."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from livery.findings import Finding, LiveryError, fault
from livery.survey.survey_file import NAME, PictureEntry, SurveyModel, load_survey
from livery.toml.read import reading
from livery.toml.text import toml_value
from livery.write.file import update_file, with_paragraph

_HEAD = """\
# Drawings and photographs of the prototype, how each is calibrated, what was measured of them,
# colours sampled, outlines traced.
# A description names this file, survey = "{name}" in its [job], and uses each by its name:
# height = {{ measured = "NAME" }}; of a colour sample = {{ measured = "NAME" }}, of what was traced
# outline = {{ measured = "NAME" }}.

"""
_LEFT_OUT = {"page": 1, "dots_per_inch": 300.0, "pick_error": 1.0, "uneven": False,
             "on_model": False}  # fmt: skip


@dataclass(frozen=True, slots=True)
class NewMeasure:
    """A measurement to be kept: its name, how and by which places it is taken, and their error."""

    name: str
    way: str
    places: str
    pick_error: float | None = None
    note: str = ""

    def lines(self, picture: str) -> Iterator[str]:
        """Yield its lines for the survey, under the name of its picture there."""
        yield f"[[measure.{self.name}]]"
        yield f"picture = {toml_value(picture)}"
        yield f"{self.way} = {toml_value(self.places)}"
        if self.pick_error is not None:
            yield f"pick_error = {toml_value(self.pick_error)}"
        if self.note:
            yield f"note = {toml_value(self.note)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class NewColour:
    """A sampled colour to be kept: its name, where it was sampled, and what is known in the picture."""

    name: str
    region: str
    card: tuple[str, ...] = ()
    chart: str = ""
    chart_values: str = ""
    faded: bool = False
    daylight: bool = False

    def lines(self, picture: str) -> Iterator[str]:
        """Yield its lines for the survey, under the name of its picture there."""
        yield f"[colour.{self.name}]"
        yield f"picture = {toml_value(picture)}"
        for key in ("region", "card", "chart", "chart_values", "faded", "daylight"):
            if value := getattr(self, key):
                yield from _value_lines(key, value)


@dataclass(frozen=True, slots=True)
class NewTrace:
    """An outline or a letter to be kept: its name, which of the two, and the box round it."""

    name: str
    way: str
    box: str

    def lines(self, picture: str) -> Iterator[str]:
        """Yield its lines for the survey, under the name of its picture there."""
        yield f"[trace.{self.name}]"
        yield f"picture = {toml_value(picture)}"
        yield f"{self.way} = {toml_value(self.box)}"


Kept = NewMeasure | NewColour | NewTrace


def keep_in_survey(
    survey: Path,
    picture: PictureEntry,
    new: Sequence[Kept],
    *,
    reads: Iterable[Path] = (),
) -> None:
    """Add a picture, unless it is there already, and what was measured, sampled or traced on it.

    ``picture.file`` is relative to the working folder.  Raises LiveryError where a name cannot
    be kept, or the picture is there with another calibration; nothing is written then.
    """
    require_named((one.name, one.name) for one in new)
    beside = picture.model_copy(update={"file": _from_beside(survey, picture.file)})
    new = [_beside(survey, one) for one in new]

    def grown(before: bytes | None) -> bytes:
        model = SurveyModel() if before is None else _read_as(survey, before)
        _require_free(model, new)
        name = _known_name(model, beside)
        lines: list[str] = []
        if name is None:
            name = _new_name(model, beside)
            lines += [f"[picture.{name}]", *_picture_lines(beside), ""]
        for one in new:
            lines += [*one.lines(name), ""]
        start = _HEAD.format(name=survey.name).encode() if before is None else before
        after = with_paragraph(start, "\n".join(lines))
        _require_kept(_read_as(survey, after), model, len(new))
        return after

    update_file(survey, grown, reads=set(reads) - {survey})


def _read_as(survey: Path, content: bytes) -> SurveyModel:
    """Return what a survey would say with this content."""
    with reading({survey.resolve(): content}):
        return load_survey(survey).model


def _require_kept(after: SurveyModel, before: SurveyModel, more: int) -> None:
    """See to it that the file says what was added and all that it said before."""
    counts = [_count(model) for model in (before, after)]
    same = all(after.picture[name] == entry for name, entry in before.picture.items())
    same = same and all(after.measure[n][: len(e)] == e for n, e in before.measure.items())
    same = same and all(after.colour[n] == e for n, e in before.colour.items())
    same = same and all(after.trace[n] == e for n, e in before.trace.items())
    if not same or counts[1] != counts[0] + more:
        raise AssertionError("a survey with more in it still has what it had, and that")


def _count(model: SurveyModel) -> int:
    return sum(map(len, model.measure.values())) + len(model.colour) + len(model.trace)


def _require_free(model: SurveyModel, new: Sequence[Kept]) -> None:
    """Refuse a name that something else has: only a size is measured again under its own."""
    taken = set(model.names)
    for one in new:
        again = isinstance(one, NewMeasure) and one.name not in (*model.colour, *model.trace)
        if one.name in taken and not again:
            raise fault(
                "survey-name",
                f'the survey has "{one.name}" already',
                "Give it another name, or delete the one in the survey.",
                exit_status=1,
            )
        if not again:
            taken.add(one.name)


def require_named(named: Iterable[tuple[str, str]]) -> None:
    """Refuse what has no name to be kept under, or none that can be: pairs of a name and what it is of.

    Raises LiveryError with every such name.
    """
    found = [
        Finding("measure-name", *_name_words(name, of))
        for name, of in named
        if not re.fullmatch(NAME, name)
    ]
    if found:
        raise LiveryError(found)


def _name_words(name: str, of: str) -> tuple[str, str]:
    """Return what is wrong with a name, and what to write."""
    if not name:
        return f'"{of}" has no name to keep it under', 'Write "waist: " before its places.'
    return (
        f'"{name}" cannot be a name in a survey',
        "Use letters, digits, hyphens and underscores, beginning with a letter or digit.",
    )


def _beside(survey: Path, one: Kept) -> Kept:
    """Return what is kept with the files it names relative to the survey's folder."""
    if isinstance(one, NewColour) and one.chart_values:
        return replace(one, chart_values=_from_beside(survey, one.chart_values))
    return one


def _from_beside(survey: Path, picture: str) -> str:
    """Return a picture's file relative to the survey's folder."""
    folder = survey.resolve().parent
    return Path(os.path.relpath(Path(picture).resolve(), folder)).as_posix()


def _known_name(model: SurveyModel, picture: PictureEntry) -> str | None:
    """Return under which name a picture is there already, calibrated in the same way."""
    for name, known in model.picture.items():
        if (known.file, known.page) != (picture.file, picture.page):
            continue
        if picture.model_copy(update={"note": known.note}) == known:
            return name
        if known.is_bare:
            continue  # only colours were sampled there: it is calibrated under another name
        if picture.is_bare:
            return name
        raise fault(
            "picture-known",
            f'the survey has this picture as "{name}", calibrated otherwise',
            "Measure by what stands there, or change it there.",
            exit_status=1,
        )
    return None


def _new_name(model: SurveyModel, picture: PictureEntry) -> str:
    stem = re.sub(r"[^A-Za-z0-9_-]+", "-", Path(picture.file).stem).strip("-_") or "picture"
    stem = stem if picture.page == 1 else f"{stem}-{picture.page}"
    name, i = stem, 1
    while name in model.picture:
        i += 1
        name = f"{stem}-{i}"
    return name


def _picture_lines(picture: PictureEntry) -> Iterator[str]:
    for key, value in picture.model_dump().items():
        if value in ("", ()) or _LEFT_OUT.get(key) == value:
            continue
        yield from _value_lines(key, value)


def _value_lines(key: str, value: object) -> Iterator[str]:
    if isinstance(value, tuple) and value and isinstance(value[0], str):
        yield f"{key} = ["
        yield from (f"  {toml_value(one)}," for one in value)
        yield "]"
    elif isinstance(value, tuple | str | int | float):
        yield f"{key} = {toml_value(value)}"
