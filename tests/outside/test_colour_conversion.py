"""Conversions against the standards' own constants and against coloraide, which shares no code."""

import numpy as np
import pytest
from coloraide import Color
from coloraide.cat import CAT02, CAT16, Bradford
from coloraide.spaces.lab import lab_to_xyz, xyz_to_lab

from livery.colour.conversion import (
    adapt,
    lab_from_xyz,
    lch_from_lab,
    linear_rgb_from_xyz,
    rgb_from_xyz,
    rgb_matrix,
    white,
    xyy_from_xyz,
    xyz_from_lab,
    xyz_from_rgb,
    xyz_from_xyy,
)
from livery.colour.science import colour_science

RNG = np.random.default_rng(61966)
RGB = RNG.random((200, 3))

# IEC 61966-2-1:1999: equation for linear RGB to XYZ, four decimals as printed.
IEC_MATRIX = [
    [0.4124, 0.3576, 0.1805],
    [0.2126, 0.7152, 0.0722],
    [0.0193, 0.1192, 0.9505],
]

# CIE 15:2004, table T.3: XYZ of the illuminants, 1931 and 1964 observers, Y = 100.
CIE_15 = {
    ("A", 2): (109.85, 35.58),
    ("C", 2): (98.07, 118.22),
    ("D50", 2): (96.42, 82.51),
    ("D55", 2): (95.68, 92.14),
    ("D65", 2): (95.04, 108.88),
    ("D75", 2): (94.97, 122.61),
    ("A", 10): (111.14, 35.20),
    ("C", 10): (97.29, 116.14),
    ("D50", 10): (96.72, 81.43),
    ("D55", 10): (95.80, 90.93),
    ("D65", 10): (94.81, 107.32),
    ("D75", 10): (94.42, 120.64),
}


def _srgb_to_linear(v: float) -> float:
    """IEC 61966-2-1:1999, equations for the nonlinear values, with the standard's constants."""
    return v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4


def test_srgb_matrix_is_the_standards():
    assert np.array_equal(np.round(rgb_matrix("sRGB"), 4), IEC_MATRIX)


@pytest.mark.parametrize("code", [0, 1, 10, 11, 64, 128, 200, 255])
def test_srgb_curve_is_the_standards(code):
    value = code / 255
    linear = linear_rgb_from_xyz(xyz_from_rgb([value] * 3))
    assert linear == pytest.approx([_srgb_to_linear(value)] * 3, abs=1e-12)


def test_srgb_white_is_the_reference_white():
    assert xyz_from_rgb([1, 1, 1]) == pytest.approx(white(), abs=1e-12)
    assert rgb_from_xyz(xyz_from_lab([100, 0, 0])) == pytest.approx([1, 1, 1], abs=1e-12)


@pytest.mark.parametrize(("light", "expected"), CIE_15.items(), ids=str)
def test_white_points_of_cie_15(light, expected):
    x, y, z = white(*light) * 100
    assert y == pytest.approx(100)
    assert (x, z) == pytest.approx(expected, abs=0.03)


def test_lab_below_the_linear_threshold_by_cie_15():
    """CIE 15:2004, 8.2.1.1: f(t) = 841/108 t + 16/116 where t <= (24/116)^3."""
    t = 0.001
    f = 841 / 108 * t + 16 / 116
    lab = lab_from_xyz(np.array([t, t, t]) * white())
    assert lab == pytest.approx([116 * f - 16, 0, 0], abs=1e-9)


@pytest.mark.parametrize(
    ("space", "theirs"),
    [("sRGB", "srgb"), ("Display P3", "display-p3"), ("Adobe RGB", "a98-rgb")],
)
def test_rgb_spaces_against_coloraide(space, theirs):
    expected = [Color(theirs, rgb).convert("xyz-d65").coords() for rgb in RGB.tolist()]
    assert xyz_from_rgb(RGB, space) == pytest.approx(np.array(expected), abs=2e-7)
    assert rgb_from_xyz(expected, space) == pytest.approx(RGB, abs=2e-6)


def test_lab_and_lch_against_coloraide():
    colours = [Color("srgb", rgb) for rgb in RGB.tolist()]
    xyz = [c.convert("xyz-d65").coords() for c in colours]
    lab = np.array([c.convert("lab-d65").coords() for c in colours])
    lch = np.array([c.convert("lch-d65").coords() for c in colours])
    assert lab_from_xyz(xyz) == pytest.approx(lab, abs=1e-6)
    assert xyz_from_lab(lab) == pytest.approx(np.array(xyz), abs=1e-8)
    assert lch_from_lab(lab) == pytest.approx(lch, abs=1e-6)


@pytest.mark.parametrize("light", [("C", 2), ("D50", 2), ("A", 10)], ids=str)
def test_lab_under_other_whites_against_coloraide(light):
    own = white(*light)
    lab = RNG.uniform([1, -60, -60], [99, 60, 60], (50, 3))
    expected = np.array([lab_to_xyz(row, own.tolist()) for row in lab.tolist()])
    assert xyz_from_lab(lab, own) == pytest.approx(expected, abs=1e-9)
    again = np.array([xyz_to_lab(row, own.tolist()) for row in expected.tolist()])
    assert lab_from_xyz(expected, own) == pytest.approx(again, abs=1e-9)


def test_xyy_by_definition():
    xyz = np.array([0.2, 0.3, 0.1])
    assert xyy_from_xyz(xyz) == pytest.approx([1 / 3, 0.5, 0.3])
    assert xyz_from_xyy([1 / 3, 0.5, 0.3]) == pytest.approx(xyz)


@pytest.mark.parametrize(
    ("method", "theirs"), [("Bradford", Bradford), ("CAT02", CAT02), ("CAT16", CAT16)]
)
@pytest.mark.parametrize("source", [("C", 2), ("D50", 2), ("A", 2)], ids=str)
def test_adaptation_against_coloraide(method, theirs, source):
    points = [tuple(xyy_from_xyz(white(*light))[:2].tolist()) for light in (source, ("D65", 2))]
    xyz = RNG.random((30, 3))
    expected = [theirs().adapt(*points, row) for row in xyz.tolist()]
    found = adapt(xyz, white(*source), white(), method)
    # CAT matrices are published to 4 decimals and inverted by each library itself.
    assert found == pytest.approx(np.array(expected), abs=1e-6)


# ISO 17321-1 annex chart, values of the chart's maker for charts made after November 2014,
# CIELAB under D50 for 2 degrees, as colour-science 0.4.7 carries them.
CHART = {
    "dark skin": (37.54, 14.37, 14.92),
    "white 9.5 (.05 D)": (95.19, -1.03, 2.93),
    "black 2 (1.5 D)": (20.64, 0.07, -0.46),
}


@pytest.mark.parametrize(("patch", "expected"), CHART.items(), ids=str)
def test_chart_values(patch, expected):
    chart = colour_science().CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
    own = xyz_from_xyy([*chart.illuminant, 1.0])
    assert lab_from_xyz(xyz_from_xyy(chart.data[patch]), own) == pytest.approx(expected, abs=0.006)


def test_bradford_from_d50_to_d65_as_lindbloom_prints_it():
    """B. Lindbloom, "Chromatic adaptation", Bradford D50 to D65, seven decimals.

    His whites are D50 0.96422 1 0.82521 and D65 0.95047 1 1.08883.
    """
    published = [
        [0.9555766, -0.0230393, 0.0631636],
        [-0.0282895, 1.0099416, 0.0210077],
        [0.0122982, -0.0204830, 1.3299098],
    ]
    found = adapt(np.eye(3), [0.96422, 1, 0.82521], [0.95047, 1, 1.08883]).T
    assert np.abs(found - published).max() < 2e-6
