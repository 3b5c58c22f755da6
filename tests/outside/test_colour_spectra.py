"""Colour from spectra against published white points and against two other code paths."""

import numpy as np
import pytest
from coloraide import cmfs as coloraide_cmfs

from livery.colour.science import colour_science
from livery.colour.spectra import lab_from_reflectance, metamerism, weights, xyz_from_reflectance

colour = colour_science()
pytestmark = pytest.mark.filterwarnings("ignore")
GRID_10 = np.arange(360, 781, 10)

# CIE 15:2004, table T.3: X and Z of the illuminants, 1931 and 1964 observers, Y = 100.
# For C the library's spectrum gives a Z lower by 0.05 than the table, which is told here.
CIE_15 = {
    ("A", 2): (109.85, 35.58, 0.012),
    ("C", 2): (98.07, 118.22, 0.05),
    ("D50", 2): (96.42, 82.51, 0.012),
    ("D55", 2): (95.68, 92.14, 0.012),
    ("D65", 2): (95.04, 108.88, 0.012),
    ("D75", 2): (94.97, 122.61, 0.012),
    ("A", 10): (111.14, 35.20, 0.012),
    ("D50", 10): (96.72, 81.43, 0.016),
    ("D65", 10): (94.81, 107.32, 0.016),
}


@pytest.mark.parametrize(("light", "expected"), CIE_15.items(), ids=str)
def test_white_points_of_the_weights(light, expected):
    x, y, z = xyz_from_reflectance(np.ones(GRID_10.size), GRID_10, *light) * 100
    assert y == pytest.approx(100, abs=1e-9)
    assert (x, z) == pytest.approx(expected[:2], abs=expected[2])


@pytest.fixture(scope="module")
def patches():
    return list(colour.SDS_COLOURCHECKERS["ISO 17321-1"].values())


@pytest.mark.parametrize("grid", [(400, 700, 10), (380, 730, 10), (380, 780, 5), (360, 780, 1)])
@pytest.mark.parametrize("illuminant", ["D65", "A", "LED-B3"])
@pytest.mark.parametrize("observer", [2, 10])
def test_against_the_library_one_sample_at_a_time(patches, grid, illuminant, observer):
    names = {2: "CIE 1931 2 Degree Standard Observer", 10: "CIE 1964 10 Degree Standard Observer"}
    for sample in patches[::8]:
        cut = sample.copy().align(colour.SpectralShape(*grid))
        expected = colour.sd_to_XYZ(
            cut.copy(),
            colour.MSDS_CMFS[names[observer]],
            colour.SDS_ILLUMINANTS[illuminant],
            method="ASTM E308",
        )
        found = xyz_from_reflectance(cut.values, cut.wavelengths, illuminant, observer)
        assert found * 100 == pytest.approx(expected, abs=1e-9)


def test_a_plain_sum_with_another_librarys_observer(patches):
    """Equal-energy light, 5 nm: sum of R times coloraide's CIE 1931 table, CIE 15:2004, 7.1."""
    table = coloraide_cmfs.CIE_1931_2DEG
    wavelengths = np.arange(380, 781, 5)
    matching = np.array([table[int(w)] for w in wavelengths])
    for sample in patches:
        values = sample.copy().align(colour.SpectralShape(380, 780, 5)).values
        expected = values @ matching / matching[:, 1].sum()
        found = xyz_from_reflectance(values, wavelengths, "E", 2)
        assert found == pytest.approx(expected, abs=5e-5)


def test_a_made_metamer_has_the_index_cie_15_defines():
    """A pair equal under D65 by construction; its index under A is then its plain difference.

    The second curve is the first plus a part of it that D65 and the 2 degree observer do
    not see (the null space of the weights).
    """
    wavelengths = np.arange(400, 701, 10)
    table, _ = weights(wavelengths)
    first = 0.3 + 0.2 * np.sin(wavelengths / 40)
    bump = np.exp(-(((wavelengths - 590) / 25) ** 2))
    unseen = bump - table @ np.linalg.solve(table.T @ table, table.T @ bump)
    second = first + 0.3 * unseen
    daylight, lamp, led = metamerism(first, second, wavelengths)
    assert daylight.delta_e_00 == pytest.approx(0, abs=1e-6)
    assert daylight.index_76 == pytest.approx(0, abs=1e-6)
    assert lamp.index_00 == pytest.approx(lamp.delta_e_00, abs=1e-6)
    labs = lab_from_reflectance([first, second], wavelengths, "A")
    assert lamp.index_76 == pytest.approx(np.linalg.norm(labs[0] - labs[1]), abs=1e-6)
    assert lamp.index_76 > 1
    assert led.illuminant == "LED-B3"
