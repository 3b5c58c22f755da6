"""The named colours and the named outlines of a survey: worked out from its pictures when asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from livery.colour.photo.known_correction import picture_kind
from livery.findings import Finding, LiveryError, fault
from livery.survey.colours import chart_place
from livery.survey.match import targets_in_photo
from livery.survey.places import NamedRegion, read_known_colour, read_region
from livery.survey.survey_file import ColourEntry, PictureEntry, SurveyFile, TraceEntry

if TYPE_CHECKING:
    from livery.colour.target_colour import TargetColour
    from livery.survey.traced_outline import TracedOutline


def named_colour(survey: SurveyFile, name: str) -> TargetColour:
    """Return a named colour, corrected, with its uncertainty; raises LiveryError at its place."""
    entry = survey.model.colour[name]
    try:
        _picture_of(survey, entry)
        values = survey.file.parent / entry.chart_values if entry.chart_values else None
        (target,) = targets_in_photo(
            survey.picture_file(entry.picture),
            [NamedRegion(name, read_region(entry.region).region)],
            knowns=[read_known_colour(text) for text in entry.card],
            chart=chart_place(entry.chart or None, values),
            kind=picture_kind(faded=entry.faded, daylight=entry.daylight),
        )
    except LiveryError as error:
        raise _placed(survey, error, ("colour", name)) from None
    return target


def named_outline(survey: SurveyFile, name: str) -> TracedOutline:
    """Return a named outline or letter, traced; raises LiveryError at its place."""
    from livery.survey.traced_outline import traced

    entry = survey.model.trace[name]
    try:
        picture = _picture_of(survey, entry)
        return traced(survey.picture_file(entry.picture), picture, entry.way, entry.box)
    except LiveryError as error:
        raise _placed(survey, error, ("trace", name)) from None


def named_looks(
    survey: SurveyFile,
) -> tuple[Mapping[str, TargetColour], Mapping[str, TracedOutline], tuple[Finding, ...]]:
    """Return every colour and every outline that can be worked out, and all that is wrong."""
    colours: dict[str, TargetColour] = {}
    outlines: dict[str, TracedOutline] = {}
    found: list[Finding] = []
    for name in survey.model.colour:
        try:
            colours[name] = named_colour(survey, name)
        except LiveryError as error:
            found += error.findings
    for name in survey.model.trace:
        try:
            outlines[name] = traced = named_outline(survey, name)
            place = survey.read.place_of(("trace", name))
            found += [replace(f, place=f.place or place) for f in traced.remarks]
        except LiveryError as error:
            found += error.findings
    return colours, outlines, tuple(found)


def _picture_of(survey: SurveyFile, entry: ColourEntry | TraceEntry) -> PictureEntry:
    picture = survey.model.picture.get(entry.picture)
    if picture is None:
        raise fault(
            "measure-picture",
            f'"{entry.picture}" is not a picture of this survey',
            f"Declare it in a [picture.{entry.picture}], or name one that is there.",
        )
    return picture


def _placed(survey: SurveyFile, error: LiveryError, key: tuple[str, str]) -> LiveryError:
    place = survey.read.place_of(key)
    return LiveryError(
        (replace(f, place=f.place or place) for f in error.findings), error.exit_status
    )
