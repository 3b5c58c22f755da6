"""Correction from a few known colours: a grey card, a surface, the dyes left in an old print.

Each channel is taken to hold  gain * (light - veil) ** contrast,  dimmed evenly across the
picture and, where its middle is known, towards its corners.  The fall within every plain surface
shows both (:mod:`.light`).  A grey card fixes the gains and nothing else; every further known adds what it
can.  What the knowns leave open is not set to nothing but to a usual value with a usual
spread, and that spread goes on into the uncertainty of every corrected colour (a Bayesian fit,
with the covariance from the curvature at the best fit).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from livery.colour.difference import delta_e_00
from livery.colour.photo.correction import Residual
from livery.colour.photo.light import (
    NO_VIGNETTE,
    USUAL_VIGNETTE,
    FallsAcross,
    Tone,
    darker_corners,
    light_terms,
    stray_variance,
)
from livery.colour.photo.sampling import Sample
from livery.colour.photo.uncertainty import jacobian, lab_from_linear, metric_at
from livery.colour.science import FloatArray
from livery.findings import Finding, Severity, fault


@dataclass(frozen=True, slots=True)
class Known:
    """A surface in the picture whose colour is known (CIELAB, D65) to ``tolerance`` DeltaE00."""

    name: str
    lab: tuple[float, float, float]
    sample: Sample
    tolerance: float = 0.7


@dataclass(frozen=True, slots=True)
class Usual:
    """What is usual where the picture does not show it: standard deviations.

    ``exposure`` and ``cast`` are of the log of the gain, common and per channel;
    ``contrast`` and ``contrast_cast`` of the log of the exponent in the same way; ``veil`` is a
    part of white; ``light`` the log of the light per picture diagonal, each way; what a corner
    lacks is usual as :data:`.light.USUAL_VIGNETTE` says.
    ``rendering`` is the DeltaE00 by which a maker's colour rendering misses a colour: a
    part for all, and a part per unit of difference in a*b* from the nearest known, to a most;
    ``any_light`` widens it where nothing says whether the light was day or lamp.
    """

    exposure: float
    cast: float
    contrast: float
    contrast_cast: float
    veil: float
    light: float
    rendering: tuple[float, float, float]
    any_light: float = 1.35


class PictureKind(Enum):
    """Where the picture comes from, and so what has most likely happened to its colours."""

    PHOTOGRAPH = "photograph"
    DAYLIGHT = "photograph by daylight"
    FADED = "faded print or slide"


def picture_kind(*, faded: bool, daylight: bool) -> PictureKind:
    """Return the kind of picture that two answers make; a fault where they contradict."""
    if faded and daylight:
        raise fault(
            "photo-kind",
            "the picture is marked both as faded and as taken by daylight",
            "Give one of the two: the colours of a faded print have changed, whatever its light was.",
        )
    if faded:
        return PictureKind.FADED
    return PictureKind.DAYLIGHT if daylight else PictureKind.PHOTOGRAPH


USUAL = {
    PictureKind.PHOTOGRAPH: Usual(
        0.5, 0.3, 0.06, 0.02, 0.002, light=0.15, rendering=(0.8, 0.06, 2.3)
    ),
    PictureKind.DAYLIGHT: Usual(
        0.5, 0.3, 0.06, 0.02, 0.002, light=0.15, rendering=(0.8, 0.06, 2.3), any_light=0.95
    ),
    PictureKind.FADED: Usual(0.7, 0.6, 0.25, 0.15, 0.03, light=0.05, rendering=(1.0, 0.07, 4.0)),
}
"""The house's working figures.  For a photograph ``rendering`` and ``any_light`` were set on two
measured cameras and one like the eye, so that by one grey card 95 in 100 of 129 published surfaces
come within what is said: over three daylights and five lamps, or over the daylights alone.  The
rest is judgement and errs on the wide side."""

_DYE = 0.25
"""What the contrast of a channel may differ by from the dye that makes most of it, in log (chosen:
dyes also dim their neighbours' channels, and prints had a contrast of their own). Larger, and more
is said to be open."""

_EXPOSURE, _CAST, _CONTRAST, _CONTRAST_CAST, _VEIL, _LIGHT = 0, 1, 4, 5, 8, 11
"""Where each unknown stands among the numbers of the fit (by definition). Another mixes them
up."""

_COUNT = 14
"""How many unknowns there are (by definition). Another has no place for some."""

_AS_STORED = Tone(np.zeros(3))
"""The file's tones left as they are: the light falls before contrast is undone (by definition).
Another counts contrast as light."""

_PIVOT = 0.18
"""The light, of white, that contrast leaves as it is (common practice: a mid grey of 18 %).
Another moves exposure with contrast."""


@dataclass(frozen=True, slots=True, eq=False)
class KnownCorrection:
    """A correction learnt from a few knowns; see :func:`correct_by_knowns`."""

    method: str
    residual: Residual | None
    findings: tuple[Finding, ...]
    numbers: FloatArray
    covariance: FloatArray
    origin: FloatArray
    middle: FloatArray
    diagonal: float
    support: FloatArray
    known_labs: FloatArray
    rendering: tuple[float, float, float]
    any_light: float

    def lab(self, linear: FloatArray, where: FloatArray) -> FloatArray:
        """Return CIELAB (n, 3) of linear-light colours (n, 3) at places (n, 2)."""
        terms = light_terms(where, self.origin, self.middle, self.diagonal)
        return lab_from_linear(_brought(self.numbers[None], linear, terms))

    def uncertainties(self, linear: FloatArray, where: FloatArray) -> Mapping[str, FloatArray]:
        """Return covariances (3, 3) of the CIELAB of one colour, by their causes."""
        terms = light_terms(where[None], self.origin, self.middle, self.diagonal)
        slope = jacobian(lambda n: lab_from_linear(_brought(n, linear, terms)), self.numbers)
        light, rest, brighter = slope[:, _LIGHT:], slope[:, :_LIGHT], slope[:, [_EXPOSURE]]
        lit = light @ self.covariance[_LIGHT:, _LIGHT:] @ light.T
        lit = lit + brighter @ brighter.T * self._strays(where, terms[0])
        tone = rest @ self.covariance[:_LIGHT, :_LIGHT] @ rest.T
        lab = self.lab(linear[None], where[None])[0]
        size = self.any_light * float(_rendering(lab[None], self.known_labs, self.rendering)[0])
        inverse = np.linalg.inv(metric_at(lab))
        return {
            "exposure, cast and contrast": tone,
            "unevenness of the light": lit,
            "colour rendering of the camera": size**2 * inverse @ inverse.T,
        }

    def _strays(self, where: FloatArray, terms: FloatArray) -> float:
        """Return the variance of the log of the light at a place (2,) that strays from the model."""
        if not len(self.support):
            return 0.0
        near = float(np.linalg.norm(self.support - where, axis=1).min()) / self.diagonal
        return stray_variance(float(self.numbers[-1] * terms[-1]), near)


def _brought(numbers: FloatArray, linear: FloatArray, terms: FloatArray) -> FloatArray:
    """Return corrected linear light; ``numbers`` (n, 14), ``linear`` and ``terms`` (n, 3) broadcast."""
    gain = numbers[:, [_EXPOSURE]] + numbers[:, _CAST : _CAST + 3]
    exponent = np.exp(numbers[:, [_CONTRAST]] + numbers[:, _CONTRAST_CAST : _CONTRAST_CAST + 3])
    fall = numbers[:, _LIGHT:] * terms
    lifted = (linear - numbers[:, _VEIL : _VEIL + 3]) * np.exp(-fall.sum(axis=1, keepdims=True))
    ratio = lifted * np.exp(gain) / _PIVOT
    return np.asarray(_PIVOT * np.sign(ratio) * np.abs(ratio) ** exponent)


def _rendering(
    labs: FloatArray, known_labs: FloatArray, figures: tuple[float, float, float]
) -> FloatArray:
    """Return the standard deviation (n,), in DeltaE00 per axis, of the maker's rendering."""
    least, slope, most = figures
    known = np.vstack([known_labs, np.zeros(3)]) if not len(known_labs) else known_labs
    far = np.linalg.norm(labs[:, None, 1:] - known[None, :, 1:], axis=2).min(axis=1)
    return np.asarray(np.minimum(least + slope * far, most))


def correct_by_knowns(
    knowns: Sequence[Known],
    diagonal: float,
    kind: PictureKind = PictureKind.PHOTOGRAPH,
    *,
    middle: tuple[float, float] | None = None,
    surfaces: Sequence[Sample] = (),
) -> KnownCorrection:
    """Learn a correction from any number of known colours in a picture.

    Args:
        knowns: Grey cards and surfaces of known colour; none leaves the picture as it is
            and gives it the uncertainty of an uncorrected photograph.
        diagonal: The picture's diagonal in pixels.
        kind: What the picture is; an old print may have faded and yellowed.
        middle: Middle of the picture as the lens saw it, about which it may darken.
        surfaces: Samples of any other plain surfaces: the light's fall across each is used.
    """
    from scipy.optimize import least_squares

    usual = USUAL[kind]
    vignette = NO_VIGNETTE if middle is None or not knowns else USUAL_VIGNETTE
    spreads = _spreads(usual, vignette[1])
    expected = np.append(np.zeros(_COUNT - 1), vignette[0])
    labs = np.array([k.lab for k in knowns]).reshape(-1, 3)
    linear = np.array([k.sample.linear for k in knowns]).reshape(-1, 3)
    where = np.array([k.sample.where for k in knowns]).reshape(-1, 2)
    origin = where.mean(axis=0) if len(knowns) else np.zeros(2)
    axis = origin if middle is None else np.array(middle)
    terms = light_terms(where, origin, axis, diagonal)
    plain = () if middle is None else (*(k.sample for k in knowns), *surfaces)
    falls = FallsAcross(plain, axis, diagonal)
    weights = _weights(knowns, labs, usual) if knowns else np.zeros((0, 3, 3))

    def off(scaled: FloatArray) -> FloatArray:
        if not knowns:
            return scaled
        numbers = expected + scaled * spreads
        got = lab_from_linear(_brought(numbers[None], linear, terms))
        misfit = np.einsum("nij,nj->ni", weights, got - labs).ravel()
        fall = falls.off(_AS_STORED, numbers[_LIGHT:])
        # A curved surface is shaded of itself: far-off falls sway the fit little.
        return np.concatenate([misfit, fall * np.sqrt(2 / (1 + np.hypot(1, fall))), scaled])

    found = least_squares(off, np.zeros(_COUNT), x_scale=1.0)
    covariance = np.linalg.inv(found.jac.T @ found.jac) * np.outer(spreads, spreads)
    numbers = expected + found.x * spreads
    got = lab_from_linear(_brought(numbers[None], linear, terms)) if knowns else labs
    return KnownCorrection(
        method=_method(knowns, kind),
        residual=_residual(knowns, got, labs),
        findings=(
            *_unknowable(knowns, kind),
            *_dyes_left(numbers, covariance, knowns, kind),
            *darker_corners(numbers[-1]),
        ),
        numbers=numbers,
        covariance=covariance,
        origin=origin,
        middle=axis,
        diagonal=diagonal,
        support=where,
        known_labs=labs,
        rendering=usual.rendering,
        any_light=usual.any_light,
    )


def _spreads(usual: Usual, vignette: float) -> FloatArray:
    return np.array(
        [usual.exposure]
        + [usual.cast] * 3
        + [usual.contrast]
        + [usual.contrast_cast] * 3
        + [usual.veil] * 3
        + [usual.light] * 2
        + [vignette]
    )


def _weights(knowns: Sequence[Known], labs: FloatArray, usual: Usual) -> FloatArray:
    """Return whitening matrices (n, 3, 3) for the CIELAB misfit of each known."""
    weights = []
    rendering = _rendering(labs, np.zeros((1, 3)), usual.rendering)
    for known, lab, size in zip(knowns, labs, rendering, strict=True):
        metric = metric_at(lab)
        to_lab = jacobian(lab_from_linear, known.sample.linear)
        noise = metric @ to_lab @ np.array(known.sample.linear_covariance) @ to_lab.T @ metric.T
        spread = noise + np.eye(3) * ((known.tolerance / 1.96) ** 2 + size**2)
        weights.append(np.linalg.inv(np.linalg.cholesky(spread)) @ metric)
    return np.array(weights)


def _method(knowns: Sequence[Known], kind: PictureKind) -> str:
    if not knowns:
        return f"{kind.value}, not corrected"
    names = ", ".join(k.name for k in knowns)
    return f"{kind.value}, corrected by {names}"


def _residual(knowns: Sequence[Known], got: FloatArray, labs: FloatArray) -> Residual | None:
    if not knowns:
        return None
    off = np.atleast_1d(delta_e_00(got, labs))
    worst = int(np.argmax(off))
    return Residual(float(np.median(off)), float(off[worst]), knowns[worst].name, left_out=False)


def _dyes_left(
    numbers: FloatArray, covariance: FloatArray, knowns: Sequence[Known], kind: PictureKind
) -> tuple[Finding, ...]:
    """Return how much of each dye of a faded print is left, by its contrast in each channel."""
    if kind is not PictureKind.FADED or len(knowns) < 2:
        return ()
    own = slice(_CONTRAST_CAST, _CONTRAST_CAST + 3)
    logs = -(numbers[_CONTRAST] + numbers[own])
    tone = covariance[_CONTRAST, _CONTRAST] + 2.0 * covariance[_CONTRAST, own]
    spread = np.sqrt(tone + np.diag(covariance)[own] + _DYE**2)
    words = ", ".join(
        f"{dye} {100 * np.exp(log):.0f} % ({100 * np.exp(log - 2 * by):.0f} to "
        f"{100 * np.exp(log + 2 * by):.0f})"
        for dye, log, by in zip(("cyan", "magenta", "yellow"), logs, spread, strict=True)
    )
    message = f"dye left in the print, compared with a print of usual contrast: {words}"
    return (Finding("photo-dyes", message, "", Severity.NOTE),)


def _unknowable(knowns: Sequence[Known], kind: PictureKind) -> tuple[Finding, ...]:
    """Return in words what this many knowns cannot show."""
    remarks = []

    def say(code: str, message: str, remedy: str, severity: Severity = Severity.WARNING) -> None:
        remarks.append(Finding(code, message, remedy, severity))

    if not knowns:
        say(
            "photo-uncorrected",
            "nothing of known colour is in the picture: exposure and cast of the light are "
            "those the camera chose",
            "Photograph it again with a grey card or a 24-patch chart beside the paint.",
        )
    elif kind is not PictureKind.FADED:
        say(
            "photo-few-knowns",
            "cards and single surfaces fix exposure and cast, not the contrast and the colour "
            "rendering that the camera's maker chose; strong colours may be several DeltaE00 off",
            "Use a 24-patch chart, or a known surface close to the target colour.",
            Severity.NOTE,
        )
    if kind is PictureKind.FADED and len(knowns) < 3:
        say(
            "photo-fading-open",
            f"{len(knowns) or 'no'} known {'colour' if len(knowns) == 1 else 'colours'} cannot "
            "separate fading from a cast: light tones may be right while dark ones are not",
            "Give a light, a middle and a dark known, such as white paint, weathered wood "
            "and tyre black.",
        )
    lightness = [k.lab[0] for k in knowns]
    if len(knowns) >= 2 and max(lightness) - min(lightness) < 25:
        say(
            "photo-knowns-alike",
            "the known colours are all about equally light, so they say little of the contrast",
            "Add a known that is much darker or lighter.",
        )
    return tuple(remarks)
