"""Colours taken off faded prints that dyes made: three dyes, each with side absorptions.

The dyes' spectra are invented, their peaks and breadths those of chromogenic prints from memory;
each fades by its own share and the paper yellows.  Surfaces are the published 24 patches of a chart.
Nothing here is shared with the correction, which knows gains and contrasts of channels only.
"""

from __future__ import annotations

import re

import colour
import numpy as np

from livery.colour.conversion import linear_rgb_from_xyz
from livery.colour.difference import delta_e_00
from livery.colour.photo.correction import correct
from livery.colour.photo.known_correction import Known, PictureKind, correct_by_knowns
from livery.colour.photo.sampling import Sample
from livery.colour.photo.uncertainty import lab_from_linear
from livery.colour.spectra import lab_from_reflectance, xyz_from_reflectance

WAVES = np.arange(380.0, 731.0, 10.0)
CURVES = colour.SDS_COLOURCHECKERS["BabelColor Average"].values()
SURFACES = np.array([np.interp(WAVES, sd.wavelengths, sd.values) for sd in CURVES])
LABS = lab_from_reflectance(SURFACES, WAVES)
WHITE, MIDDLE, BLACK = 18, 21, 23


def peak(centre: float, breadth: float) -> np.ndarray:
    return np.exp(-0.5 * ((WAVES - centre) / breadth) ** 2)


DYES = np.array(
    [
        peak(655, 55) + 0.12 * peak(540, 40) + 0.10 * peak(440, 35),
        peak(545, 42) + 0.22 * peak(440, 40) + 0.06 * peak(650, 40),
        peak(445, 40) + 0.08 * peak(540, 40),
    ]
)
BANDS = [(low < WAVES) & (high > WAVES) for low, high in ((600, 690), (510, 580), (420, 480))]


def scanned(fade: np.ndarray, contrast: float, yellowing: float) -> np.ndarray:
    """Return linear RGB of every surface in a print whose dyes have faded to these shares."""
    scene = np.clip(linear_rgb_from_xyz(xyz_from_reflectance(SURFACES, WAVES)), 0.004, 1.0)
    blocks = np.array([[dye[band].mean() for band in BANDS] for dye in DYES])
    amounts = np.maximum(-np.log10(scene) * contrast @ np.linalg.inv(blocks), 0.0) * fade
    density = amounts @ DYES + yellowing * peak(440, 60)
    return np.maximum(linear_rgb_from_xyz(xyz_from_reflectance(0.88 * 10**-density, WAVES)), 1e-3)


def taken(linear: np.ndarray) -> Sample:
    noise = np.eye(3) * (0.004 * max(float(linear.mean()), 0.02)) ** 2
    return Sample(
        linear=tuple(linear),
        linear_covariance=tuple(map(tuple, noise)),
        lab=tuple(lab_from_linear(linear)),
        spread=0.0,
        uncertainty=0.0,
        gradient=0.0,
        where=(0.0, 0.0),
        kept=100,
        clipped=0,
        cut=0,
        specks=0,
    )


def test_colours_of_faded_prints_lie_where_the_known_greys_say() -> None:
    rng = np.random.default_rng(17)
    for greys, most in (((WHITE, BLACK), 5.0), ((WHITE, MIDDLE, BLACK), 5.0)):
        misses, within, dyes = [], [], []
        for _ in range(6):
            fade = rng.uniform((0.3, 0.5, 0.55), 1.0)
            contrast = rng.uniform(0.9, 1.3)
            linear = scanned(fade, contrast, abs(rng.normal(0.0, 0.05)))
            knowns = [Known(str(i), tuple(LABS[i]), taken(linear[i])) for i in greys]
            correction = correct_by_knowns(knowns, 1000.0, PictureKind.FADED)
            read = [correct(taken(colour), correction) for colour in linear[:18:2]]
            misses += [
                float(delta_e_00(r.lab, lab)) for r, lab in zip(read, LABS[:18:2], strict=True)
            ]
            within += [r.within for r in read]
            note = next(f for f in correction.findings if f.code == "photo-dyes")
            found = re.findall(r"(\d+) % \((\d+) to (\d+)\)", note.message)
            held = np.array(found, float) / 100.0
            dyes += list((held[:, 1] <= fade * contrast) & (fade * contrast <= held[:, 2]))
        assert np.median(misses) < most
        assert np.mean(np.array(misses) <= np.array(within)) >= 0.93
        assert np.mean(dyes) >= 0.9
