"""Tones of an old black-and-white picture compared with the possible colours of a surface."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from livery.colour.emulsions import Emulsion
from livery.colour.photo.picture import Pixels, every
from livery.colour.photo.plate_tones import (
    CandidateVerdict,
    SeenExposure,
    ToneFit,
    exposure_of,
    tone_of,
)
from livery.colour.photo.sampling import Sample
from livery.colour.reading import is_reading, read_colour
from livery.colour.seen_under import SurfaceReflectance, read_surface
from livery.colour.value import Colour
from livery.findings import Finding, Severity
from livery.survey.colours import sampled
from livery.survey.places import NamedColour, NamedRegion

_COLOURED = 15.0
"""A toned print has one hue; places further apart than this in a*, b* are of a colour picture
(chosen). Larger, and faded colour pictures pass as toned."""

_APART = 0.5
"""Greys whose exposures are nearer than this in log10 say little about the contrast (chosen). Larger
asks for more."""


@dataclass(frozen=True)
class PlateAnswer:
    """What the tones say if the picture was made on one kind of plate."""

    emulsion: Emulsion
    seen: tuple[SeenExposure, ...]
    verdicts: tuple[CandidateVerdict, ...]


@dataclass(frozen=True)
class PictureAnswer:
    """What the tones of a picture say, for each kind of plate, and what must be said of it."""

    answers: tuple[PlateAnswer, ...]
    findings: tuple[Finding, ...]


def judge_picture(
    picture: Pixels,
    places: Sequence[NamedRegion],
    knowns: Sequence[NamedColour],
    candidates: Sequence[str],
    emulsions: Sequence[Emulsion],
    *,
    observer: int = 2,
) -> PictureAnswer:
    """Return which candidate colours agree with the tone of each place, on each kind of plate.

    Args:
        picture: The scan or photograph of the print.
        places: What to judge.
        knowns: Greys or colours known in it.
        candidates: Colours in words, or CSV files of reflectance.
        emulsions: The kinds of plate it may have been made on.
        observer: The observer of the candidates that are Lab, LCh, XYZ or xyY, in degrees.
    """
    taken = [sampled(picture, place.name, place.region) for place in places]
    seen_knowns = [sampled(picture, known.name, known.region) for known in knowns]
    colours = {text: _surface(text, observer) for text in candidates}
    lightest = float(np.log10(np.quantile(every(picture, 7, 7), 0.995)))
    answers = []
    for emulsion in emulsions:
        greys = [
            tone_of(known.name, sample, Colour(known.lab), emulsion)
            for known, sample in zip(knowns, seen_knowns, strict=True)
        ]
        fit = ToneFit(greys, lightest)
        tones = [tone_of(place.name, sample) for place, sample in zip(places, taken, strict=True)]
        shares = {text: exposure_of(colour, emulsion) for text, colour in colours.items()}
        verdicts = [
            fit.judge(tone, text, share) for tone in tones for text, share in shares.items()
        ]
        answers.append(PlateAnswer(emulsion, tuple(map(fit.seen, tones)), tuple(verdicts)))
    findings = [*_coloured([*taken, *seen_knowns]), *_greys(knowns)]
    return PictureAnswer(tuple(answers), tuple(findings))


def _surface(text: str, observer: int) -> Colour | SurfaceReflectance:
    if is_reading(text):
        return read_surface(Path(text))
    return read_colour(text, observer=observer)


def _coloured(samples: Sequence[Sample]) -> list[Finding]:
    """Return a warning where places differ in hue, as they do in a colour picture."""
    ab = np.array([sample.lab[1:] for sample in samples])
    if float(np.linalg.norm(np.ptp(ab, axis=0))) < _COLOURED:
        return []
    return [
        Finding(
            "old-photo-colour",
            "the picture has colours: it was not made on a black-and-white plate",
            'Take its colours with "livery sample", with --faded for an old print.',
            Severity.WARNING,
        )
    ]


def _greys(knowns: Sequence[NamedColour]) -> list[Finding]:
    """Return a note where the known greys do not show the contrast of the print."""
    light = np.log10([max(float(Colour(known.lab).xyz()[1]), 1e-3) for known in knowns])
    if len(knowns) > 1 and float(np.ptp(light)) > _APART:
        return []
    return [
        Finding(
            "old-photo-contrast",
            "the known greys are almost equal, or there is only one: the contrast of the print is hardly known, and "
            "few colours are excluded",
            "Give a light and a dark grey: a white wall or collar, and tyre black or a shadow.",
            Severity.NOTE,
        )
    ]
