"""Which colours agree with the tones of an old black-and-white picture, and which are excluded.

A print's tone is taken to rise as a power of the exposure: log tone = contrast * log
exposure + level.  Greys whose reflectance is known fix the level, and two of them the
contrast as well; what they leave open keeps its usual spread, over which everything is
averaged.  A candidate's exposure is that of its reflectance under the plate's response.  All logarithms are
to base 10.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from livery.colour.emulsions import Emulsion, exposure
from livery.colour.photo.sampling import Sample
from livery.colour.science import FloatArray
from livery.colour.seen_under import SurfaceReflectance, reflectance_of
from livery.colour.value import Colour

_CONTRAST, _GREY, _UNEVEN, _VEIL = 0.35, 0.05, 0.05, 0.015
"""Standard deviations of the log of the contrast of plate, print and scan together; of log
exposure for a grey that has weathered and for light that falls unevenly; and of a veil of light
over a print, as a part of its lightest tone (chosen: on the wide side). Larger, and fewer colours
are excluded."""

_LEVEL = 3.0
"""Standard deviation of the level of exposure before looking, in log10 (chosen: none is expected).
Smaller, and greys move it less. Larger changes nothing."""

_EXCLUDED = 0.05
"""The chance below which a colour is excluded (common practice: 1 in 20). Larger, and more are."""

_DARKEST = 1e-4
"""The least light that is read, of white (chosen: below it noise rules). Larger, and dark tones
say less."""

# Old pictures were made in the sun as in the shade of a shed's door.
_SUN, _SHADE = "D50", "D75"
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
_GRID = np.linspace(-3.0, 3.0, 61)
"""Contrasts that are tried, in standard deviations (chosen). More only take time."""


@dataclass(frozen=True, slots=True)
class GreyTone:
    """A place in the picture: the log of its tone, how well that is known, its log exposure.

    ``exposure`` is ``None`` for a place whose colour is not known.
    """

    name: str
    tone: float
    noise: float
    exposure: float | None = None
    exposure_spread: float = 0.0


@dataclass(frozen=True, slots=True)
class SeenExposure:
    """The share of a perfect white's exposure that a place had, and the 95 in 100 about it."""

    name: str
    share: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class CandidateVerdict:
    """Whether a colour agrees with a place.

    ``share`` is what the colour gives the plate of a white's exposure; ``chance`` how often a tone
    so far from it, or further, would be met if the place were of that colour.
    """

    candidate: str
    place: str
    share: float
    chance: float
    lighter: bool

    @property
    def agrees(self) -> bool:
        """Whether the tone seen does not exclude the colour, 19 times in 20."""
        return self.chance >= _EXCLUDED


def tone_of(
    name: str, taken: Sample, known: Colour | None = None, emulsion: Emulsion | None = None
) -> GreyTone:
    """Return the tone of a sample; of a known surface with the exposure it had on a plate."""
    light = max(float(np.array(taken.linear) @ _LUMINANCE), _DARKEST)
    variance = float(_LUMINANCE @ np.array(taken.linear_covariance) @ _LUMINANCE)
    tone, noise = np.log10(light), np.sqrt(variance) / (light * np.log(10.0))
    if known is None or emulsion is None:
        return GreyTone(name, float(tone), float(noise))
    share, spread = exposure_of(known, emulsion)
    grey = float(np.hypot(spread, _GREY))
    return GreyTone(name, float(tone), float(noise), float(np.log10(share)), grey)


def exposure_of(colour: Colour | SurfaceReflectance, emulsion: Emulsion) -> tuple[float, float]:
    """Return a surface's share of a white's exposure, and the standard deviation of its log.

    What is uncertain: the reflectance where only a Lab is known, where the plate's
    sensitivity ends, and how blue the light was.
    """
    surface = reflectance_of(colour)
    share = float(exposure(surface.reflectance, emulsion))
    moved = [
        float(exposure(surface.reflectance, emulsion, moved_nm=by))
        for by in (-emulsion.edge_nm, emulsion.edge_nm)
    ]
    light = [float(exposure(surface.reflectance, emulsion, lamp)) for lamp in (_SUN, _SHADE)]
    # Two lamps at the ends of what is usual stand two deviations apart.
    parts = [
        np.log10(moved[1] / moved[0]) / 2,
        np.log10(light[1] / light[0]) / 2,
        0.0 if surface.measured or _is_grey(surface) else emulsion.spread,
    ]
    return max(share, _DARKEST), float(np.linalg.norm(parts))


def _is_grey(surface: SurfaceReflectance) -> bool:
    return float(np.ptp(surface.reflectance)) < 1e-3


class ToneFit:
    """How tones of one print follow exposure, learnt from the greys known in it."""

    def __init__(self, greys: Sequence[GreyTone], lightest: float) -> None:
        """Fit to greys; ``lightest`` is the log of the lightest tone, which a veil is a part of."""
        self._lightest = lightest
        known = [grey for grey in greys if grey.exposure is not None]
        tones = np.array([grey.tone for grey in known])
        shares = np.array([grey.exposure for grey in known], float)
        noise = np.array([self._noise(grey) for grey in known])
        spread = np.hypot(_UNEVEN, [grey.exposure_spread for grey in known])
        self._contrast = np.exp(_CONTRAST * _GRID)
        self._level, self._level_variance, log_weight = np.empty((3, _GRID.size))
        for i, contrast in enumerate(self._contrast):
            variance = noise**2 + (contrast * spread) ** 2
            # Known to within the prior; then each grey adds what it shows of the level.
            levels = np.concatenate([[0.0], tones - contrast * shares])
            weight = 1.0 / np.concatenate([[_LEVEL**2], variance])
            self._level_variance[i] = 1.0 / weight.sum()
            self._level[i] = self._level_variance[i] * (weight * levels).sum()
            off = (weight * (levels - self._level[i]) ** 2).sum()
            fit = np.log(self._level_variance[i]) + np.log(weight).sum() - off
            log_weight[i] = 0.5 * fit - 0.5 * _GRID[i] ** 2
        weights = np.exp(log_weight - log_weight.max())
        self._weights = weights / weights.sum()

    def _noise(self, place: GreyTone) -> float:
        """Return the standard deviation of a log tone: its noise and the veil over it."""
        veil = _VEIL * 10.0 ** (self._lightest - place.tone) / np.log(10.0)
        return float(np.hypot(place.noise, veil))

    def _exposures(self, place: GreyTone) -> tuple[FloatArray, FloatArray]:
        """Return the log exposure of a place, and its standard deviation, at each contrast."""
        middle = (place.tone - self._level) / self._contrast
        variance = (self._noise(place) ** 2 + self._level_variance) / self._contrast**2
        return middle, np.sqrt(variance + _UNEVEN**2)

    def seen(self, place: GreyTone) -> SeenExposure:
        """Return what share of a white's exposure a place had."""
        middle, spread = self._exposures(place)
        at = np.linspace((middle - 4 * spread).min(), (middle + 4 * spread).max(), 2001)
        below = (self._weights * _below((at[:, None] - middle) / spread)).sum(axis=1)
        least, share, most = 10.0 ** np.interp([0.025, 0.5, 0.975], below, at)
        return SeenExposure(place.name, float(share), float(least), float(most))

    def judge(self, place: GreyTone, name: str, candidate: tuple[float, float]) -> CandidateVerdict:
        """Return whether a candidate, its share and the spread of its log, agrees with a place."""
        share, own = candidate
        middle, spread = self._exposures(place)
        score = (np.log10(share) - middle) / np.hypot(spread, own)
        darker = float((self._weights * _below(-score)).sum())
        chance = 2.0 * min(darker, 1.0 - darker)
        return CandidateVerdict(name, place.name, share, chance, lighter=darker < 0.5)


def _below(score: FloatArray) -> FloatArray:
    """Return the share of a normal distribution below a score."""
    from scipy.special import ndtr

    return np.asarray(ndtr(score))
