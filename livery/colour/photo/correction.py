"""A sampled colour brought to what the surface itself would measure, with its uncertainty.

A correction is learnt from known colours in the picture: a chart (:mod:`.chart_correction`)
or a few cards and surfaces (:mod:`.known_correction`).  Either gives the colour and its
separate uncertainties; here they are put together with the noise of the sample.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import hypot
from typing import Protocol

import numpy as np

from livery.colour.palette import OTHER_OBSERVER_ERROR
from livery.colour.photo.sampling import Sample
from livery.colour.photo.uncertainty import jacobian, within_95
from livery.colour.science import FloatArray
from livery.colour.value import Colour
from livery.findings import Finding, Severity


@dataclass(frozen=True, slots=True)
class Residual:
    """How well a correction reproduces the colours it was fitted to, in DeltaE00.

    ``left_out`` says whether each known was predicted from all the others (an honest
    test) or was itself used in the fit.
    """

    median: float
    worst: float
    worst_name: str
    left_out: bool


class Correction(Protocol):
    """What :func:`correct` needs of a correction."""

    @property
    def method(self) -> str:
        """How it was learnt, in words."""

    @property
    def residual(self) -> Residual | None:
        """How well it reproduces the colours it was fitted to; None if there were none."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What cannot be known from this picture."""

    def lab(self, linear: FloatArray, where: FloatArray) -> FloatArray:
        """Return CIELAB (n, 3), D65, of linear-light colours (n, 3) at places (n, 2)."""

    def uncertainties(self, linear: FloatArray, where: FloatArray) -> Mapping[str, FloatArray]:
        """Return covariances (3, 3) of the CIELAB of one colour, by their causes."""


@dataclass(frozen=True, slots=True)
class PhotoReading:
    """A surface's colour from a photograph.

    Attributes:
        lab: CIELAB (D65), for an observer of 2 degrees unless :func:`for_observer` gave it.
        within: DeltaE00 from ``lab`` that holds the truth 95 times in 100.
        causes: The same figure for each cause of uncertainty taken alone, in DeltaE00.
        spread: DeltaE00 that holds 95 of 100 pixels: the surface and the camera's noise.
        method: How it was corrected.
        residual: How well the correction gives back the known values.
        findings: Warnings, always to be shown with the colour.
    """

    lab: tuple[float, float, float]
    within: float
    causes: Mapping[str, float]
    spread: float
    method: str
    residual: Residual | None
    findings: tuple[Finding, ...]


MIXABLE = 2.0
"""DeltaE00 within which a colour is worth mixing from without a reference beside it (chosen).
Larger, and less sure colours are called so."""


def correct(sample: Sample, correction: Correction) -> PhotoReading:
    """Return a sample's corrected colour with everything known about its trustworthiness."""
    linear, where = np.array(sample.linear), np.array(sample.where)
    lab = correction.lab(linear[None], where[None])[0]

    def brought(colours: FloatArray) -> FloatArray:
        return correction.lab(colours, np.broadcast_to(where, (len(colours), 2)))

    covariance = np.array(sample.linear_covariance)
    to_lab = jacobian(brought, linear, np.sqrt(np.diag(covariance)))
    noise = to_lab @ covariance @ to_lab.T
    uncertainties = {"noise of the sample": noise, **correction.uncertainties(linear, where)}
    of_each = list(uncertainties.values())
    within, *causes = (float(size) for size in within_95(lab, np.array([sum(of_each), *of_each])))
    return PhotoReading(
        lab=(float(lab[0]), float(lab[1]), float(lab[2])),
        within=within,
        causes=dict(zip(uncertainties, causes, strict=True)),
        spread=sample.spread,
        method=correction.method,
        residual=correction.residual,
        findings=(*sample.findings, *correction.findings, _trust(within)),
    )


def for_observer(reading: PhotoReading, observer: int) -> PhotoReading:
    """Return a reading, made for 2 degrees, as an observer of 2 or 10 degrees sees it."""
    if observer == 2:
        return reading
    within = hypot(reading.within, OTHER_OBSERVER_ERROR)
    return replace(
        reading,
        lab=Colour(reading.lab).under("D65", observer).lab,
        within=within,
        causes={**reading.causes, "observer": OTHER_OBSERVER_ERROR},
        findings=(*(f for f in reading.findings if f.code not in _TRUST_CODES), _trust(within)),
    )


_TRUST_CODES = ("photo-colour", "photo-colour-loose")


def _trust(within: float) -> Finding:
    if within <= MIXABLE:
        return Finding(
            _TRUST_CODES[0],
            f"a colour read from a photograph: the paint lies within {within:.1f} DeltaE00 of it "
            "95 times in 100, under daylight (D65)",
            "Hold a sprayed test card against the original before coating anything.",
            Severity.NOTE,
        )
    return Finding(
        _TRUST_CODES[1],
        f"a colour read from a photograph: the paint may lie up to {within:.1f} DeltaE00 from it, "
        "a difference that shows",
        "Use it to choose a starting point, and settle the colour by a test card or a sample "
        "of the original.",
        Severity.WARNING,
    )
