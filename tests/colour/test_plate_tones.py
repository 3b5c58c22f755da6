"""Old pictures: a colour that was there is seldom excluded, one far from it is.

The plates here are made apart from the package: published surfaces, a response whose edges lie
off those taken, sun or shade, a print of any contrast with a veil over it.
"""

from __future__ import annotations

from functools import cache

import colour
import numpy as np
import pytest

from livery.colour.emulsions import EMULSIONS, WAVELENGTHS_NM
from livery.colour.photo.plate_tones import GreyTone, ToneFit, exposure_of
from livery.colour.seen_under import SurfaceReflectance
from livery.colour.spectra import lab_from_reflectance
from livery.colour.value import Colour, triple


@cache
def surfaces() -> np.ndarray:
    charts = (colour.SDS_COLOURCHECKERS[name] for name in ("BabelColor Average", "ISO 17321-1"))
    curves = [sd for chart in charts for sd in chart.values()]
    return np.array([np.interp(WAVELENGTHS_NM, sd.wavelengths, sd.values) for sd in curves])


def printed(reflectances: np.ndarray, name: str, rng: np.random.Generator) -> np.ndarray:
    """Return the log tones of surfaces in a print that the package knows nothing of."""
    waves, response = np.array(EMULSIONS[name].response).T
    plate = np.interp(WAVELENGTHS_NM, waves + rng.normal(0, 5), response, right=0)
    lamp = colour.SDS_ILLUMINANTS[rng.choice(["D50", "D55", "D65", "D75"])]
    weights = plate * np.interp(WAVELENGTHS_NM, lamp.wavelengths, lamp.values)
    light = reflectances @ weights / weights.sum() * 10 ** rng.normal(0, 0.05, len(reflectances))
    tone = 0.7 * light ** np.exp(rng.normal(0, 0.3))
    return np.log10(tone + abs(rng.normal(0, 0.01)))


GREYS = (0.8, 0.05)


def verdicts(name: str, greys: tuple[float, ...], seed: int) -> tuple[float, float, float]:
    """Return how often the true colour is excluded, others are, and a share is missed."""
    rng = np.random.default_rng(seed)
    found = surfaces()[:24]
    labs = lab_from_reflectance(found, WAVELENGTHS_NM)
    shares = [exposure_of(Colour(triple(lab)), EMULSIONS[name]) for lab in labs]
    wrong, apart, missed = [], [], []
    for _ in range(4):
        true = [found, np.array([np.full(36, g) for g in greys])]
        tones = printed(np.vstack(true), name, rng)
        known = [
            GreyTone("grey", tone, 0.005, np.log10(g), 0.05)
            for tone, g in zip(tones[24:], greys, strict=True)
        ]
        fit = ToneFit(known, tones.max())
        places = [GreyTone("place", tone, 0.005) for tone in tones[:24]]
        for i, place in enumerate(places):
            wrong.append(not fit.judge(place, "true", shares[i]).agrees)
            far = (j for j in range(24) if abs(np.log10(shares[j][0] / shares[i][0])) > 0.4)
            apart += [not fit.judge(place, "other", shares[j]).agrees for j in far]
            seen = fit.seen(place)
            real = 10 ** np.log10(shares[i][0])
            missed.append(not seen.least <= real <= seen.most)
    return float(np.mean(wrong)), float(np.mean(apart)), float(np.mean(missed))


@pytest.mark.parametrize("name", sorted(EMULSIONS))
def test_two_greys_exclude_what_is_far_and_seldom_what_is_true(name: str) -> None:
    wrong, apart, _ = verdicts(name, GREYS, 4)
    assert wrong < 0.07
    assert apart > 0.75
    alone, fewer, _ = verdicts(name, GREYS[:1], 4)
    assert alone < 0.09
    assert fewer < apart


def test_a_tone_as_light_as_a_grey_has_its_exposure() -> None:
    greys = [
        GreyTone("white", -0.2, 0.0, np.log10(0.8), 0.05),
        GreyTone("b", -1.4, 0.0, -1.3, 0.05),
    ]
    seen = ToneFit(greys, -0.2).seen(GreyTone("place", -0.2, 0.0))
    assert seen.share == pytest.approx(0.8, rel=0.05)
    assert seen.least < 0.7 < 0.9 < seen.most
    # With nothing known a place may have had any exposure at all.
    blind = ToneFit([], -0.2).seen(GreyTone("place", -0.8, 0.0))
    assert blind.most / blind.least > 1e6


def test_a_measured_reflectance_leaves_less_open_than_a_lab() -> None:
    plate = EMULSIONS["blue-sensitive"]
    reflectance = surfaces()[7]
    measured = exposure_of(SurfaceReflectance(reflectance, measured=True), plate)[1]
    known = exposure_of(Colour(triple(lab_from_reflectance(reflectance, WAVELENGTHS_NM))), plate)[1]
    assert measured < plate.spread < known
