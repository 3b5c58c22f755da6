"""Reflectances recovered from Lab against measured ones and against another recovery.

Measured: the 24 patches of the colour rendition chart, BabelColor average, as carried by
colour-science (``SDS_COLOURCHECKERS``).  Other recovery: Meng et al. (2015), as
implemented there, which also seeks a smooth curve.
"""

from __future__ import annotations

import colour
import numpy as np
import pytest

from livery.colour.difference import delta_e_00
from livery.colour.mixing.smoothest import reflectance_from_lab
from livery.colour.mixing.viewing import viewing

WAVELENGTHS = np.arange(400.0, 701.0, 10.0)


@pytest.fixture(scope="module")
def measured() -> np.ndarray:
    chart = colour.SDS_COLOURCHECKERS["BabelColor Average"]
    shape = colour.SpectralShape(400, 700, 10)
    return np.array([sd.copy().align(shape).values for sd in chart.values()])


def test_recovered_curves_have_the_colour_and_keep_it_under_another_lamp(
    measured: np.ndarray,
) -> None:
    view = viewing(WAVELENGTHS, ("D65", "A"))
    target = view.lab(measured)
    found = np.array([reflectance_from_lab(lab, view) for lab in target[:, 0]])
    assert np.all((found > 0) & (found < 1))
    miss = delta_e_00(view.lab(found), target)
    assert miss[:, 0].max() < 1e-5
    # Under tungsten a metamer drifts; a smooth curve stays near what paint really does.
    assert np.median(miss[:, 1]) < 1.5
    assert miss[:, 1].max() < 5.0


def test_no_farther_from_the_measured_curves_than_another_smooth_recovery(
    measured: np.ndarray,
) -> None:
    view = viewing(WAVELENGTHS)
    shape = colour.SpectralShape(400, 700, 10)
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    lamp = colour.SDS_ILLUMINANTS["D65"].copy().align(shape)
    ours, theirs = [], []
    for reflectance in measured[[0, 7, 14]]:
        lab = view.lab(reflectance)[0]
        xyz = colour.Lab_to_XYZ(lab, colour.XYZ_to_xy(view.whites[0]))
        other = colour.recovery.XYZ_to_sd_Meng2015(xyz, cmfs, lamp).values
        ours.append(np.sqrt(((reflectance_from_lab(lab, view) - reflectance) ** 2).mean()))
        theirs.append(np.sqrt(((other - reflectance) ** 2).mean()))
    assert np.mean(ours) < np.mean(theirs) + 0.01
