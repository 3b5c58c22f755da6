"""Measurements entered in a survey file: what is there stays, byte for byte."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from livery.findings import fault
from livery.survey.survey_file import NAME, PictureEntry, SurveyModel, load_survey
from livery.toml.read import reading
from livery.toml.text import toml_value
from livery.write.file import update_file, with_paragraph

_HEAD = """\
# Drawings and photographs of the prototype, how each is calibrated, and what was measured of them.
# A description names this file, survey = "{name}" in its [job], and uses a size by its name:
# height = {{ measured = "NAME" }}.

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


def keep_in_survey(
    survey: Path,
    picture: PictureEntry,
    measures: Sequence[NewMeasure],
    *,
    reads: Iterable[Path] = (),
) -> None:
    """Add a picture, unless it is there already, and measurements on it.

    ``picture.file`` is relative to the working folder.  Raises LiveryError where a name cannot
    be kept, or the picture is there with another calibration; nothing is written then.
    """
    for measure in measures:
        _require_name(measure.name)
    beside = picture.model_copy(update={"file": _from_beside(survey, picture.file)})

    def grown(before: bytes | None) -> bytes:
        model = SurveyModel() if before is None else _read_as(survey, before)
        name = _known_name(model, beside)
        lines: list[str] = []
        if name is None:
            name = _new_name(model, beside)
            lines += [f"[picture.{name}]", *_picture_lines(beside), ""]
        for measure in measures:
            lines += [*_measure_lines(name, measure), ""]
        start = _HEAD.format(name=survey.name).encode() if before is None else before
        after = with_paragraph(start, "\n".join(lines))
        _require_kept(_read_as(survey, after), model, len(measures))
        return after

    update_file(survey, grown, reads=set(reads) - {survey})


def _read_as(survey: Path, content: bytes) -> SurveyModel:
    """Return what a survey would say with this content."""
    with reading({survey.resolve(): content}):
        return load_survey(survey).model


def _require_kept(after: SurveyModel, before: SurveyModel, more: int) -> None:
    """See to it that the file says what was added and all that it said before."""
    counts = [sum(map(len, model.measure.values())) for model in (before, after)]
    same = all(after.picture[name] == entry for name, entry in before.picture.items())
    same = same and all(after.measure[n][: len(e)] == e for n, e in before.measure.items())
    if not same or counts[1] != counts[0] + more:
        raise AssertionError("a survey with more in it says what it said before, and that")


def _require_name(name: str) -> None:
    if not re.fullmatch(NAME, name):
        raise fault(
            "measure-name",
            f'"{name}" cannot be the name of a size',
            "Use letters, digits, hyphens and underscores, beginning with a letter or digit.",
        )


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
        if is_bare(picture):
            return name
        raise fault(
            "picture-known",
            f'the survey has this picture as "{name}", calibrated otherwise',
            "Measure by what stands there, or change it there.",
            exit_status=1,
        )
    return None


def is_bare(picture: PictureEntry) -> bool:
    """Return whether nothing is known in a picture."""
    return not (picture.lengths or picture.rectangle or picture.points)


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
    elif isinstance(value, tuple):
        yield f"{key} = [{', '.join(map(str, value))}]"
    elif isinstance(value, bool):
        yield f"{key} = {'true' if value else 'false'}"
    elif isinstance(value, str | int | float):
        yield f"{key} = {toml_value(value)}"


def _measure_lines(picture: str, measure: NewMeasure) -> Iterator[str]:
    yield f"[[measure.{measure.name}]]"
    yield f"picture = {toml_value(picture)}"
    yield f"{measure.way} = {toml_value(measure.places)}"
    if measure.pick_error is not None:
        yield f"pick_error = {toml_value(measure.pick_error)}"
    if measure.note:
        yield f"note = {toml_value(measure.note)}"
