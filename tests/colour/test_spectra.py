import numpy as np
import pytest

from livery.colour.science import colour_science
from livery.colour.spectra import (
    lab_from_reflectance,
    metamerism,
    weights,
    xyz_from_reflectance,
)
from livery.findings import LiveryError

USUAL = np.arange(400, 701, 10)


@pytest.mark.parametrize("grid", [(400, 700, 10), (380, 730, 10), (360, 740, 20), (350, 850, 1)])
@pytest.mark.parametrize("light", [("D65", 2), ("A", 10), ("LED-B3", 2)])
def test_the_perfect_diffuser_is_white_under_every_lamp(grid, light):
    wavelengths = np.arange(grid[0], grid[1] + 1, grid[2])
    lab = lab_from_reflectance(np.ones(wavelengths.size), wavelengths, *light)
    assert lab == pytest.approx([100, 0, 0], abs=1e-9)
    assert xyz_from_reflectance(np.ones(wavelengths.size), wavelengths, *light)[1] == pytest.approx(
        1
    )


def test_light_outside_360_to_780_is_left_out():
    wide = np.arange(300, 901, 10)
    curve = 0.2 + 0.001 * (wide - 300)
    inside = (wide >= 360) & (wide <= 780)
    assert xyz_from_reflectance(curve, wide) == pytest.approx(
        xyz_from_reflectance(curve[inside], wide[inside])
    )


def test_any_shape_of_samples():
    curves = np.random.default_rng(3).random((2, 4, USUAL.size))
    found = xyz_from_reflectance(curves, USUAL)
    assert found.shape == (2, 4, 3)
    assert found[1, 2] == pytest.approx(xyz_from_reflectance(curves[1, 2], USUAL))


def test_a_lamps_own_spectrum_is_taken_as_the_named_one():
    spectrum = colour_science().SDS_ILLUMINANTS["D65"]
    pairs = tuple(zip(spectrum.wavelengths.tolist(), spectrum.values.tolist(), strict=True))
    curve = 0.5 + 0.3 * np.sin(USUAL / 50)
    found = xyz_from_reflectance(curve, USUAL, pairs)
    # CIE 15 interpolates the D illuminants linearly, any other lamp smoothly.
    assert found == pytest.approx(xyz_from_reflectance(curve, USUAL), abs=1e-4)


def test_intervals_agree_on_a_smooth_curve():
    def lab(step):
        grid = np.arange(360, 781, step)
        return lab_from_reflectance(0.4 + 0.2 * np.sin(grid / 60), grid)

    for step in (5, 10, 20):
        assert lab(step) == pytest.approx(lab(1), abs=0.05)


def test_weights_name_the_wavelengths_they_are_for():
    table, used = weights(np.arange(350, 801, 10))
    assert table.shape == (43, 3)
    assert np.arange(350, 801, 10)[used][[0, -1]].tolist() == [360, 780]


@pytest.mark.parametrize(
    ("wavelengths", "message"),
    [
        (np.arange(400, 701, 7), "not evenly spaced"),
        ([400, 410, 425, 430], "not evenly spaced"),
        (np.arange(403, 704, 10), "not evenly spaced"),
        ([550], "not evenly spaced"),
        (np.arange(450, 701, 10), "leaves out light the eye sees"),
        (np.arange(400, 651, 10), "leaves out light the eye sees"),
    ],
)
def test_unusable_wavelengths_are_told(wavelengths, message):
    with pytest.raises(LiveryError, match=message):
        xyz_from_reflectance(np.ones(len(wavelengths)), wavelengths)


def test_unknown_lamp_is_told():
    with pytest.raises(LiveryError, match='no illuminant "LED-X"'):
        xyz_from_reflectance(np.ones(USUAL.size), USUAL, "LED-X")


def test_the_first_lamp_is_the_reference_of_the_metamerism_index():
    first = 0.3 + 0.1 * np.sin(USUAL / 30)
    found = metamerism(first, first * 1.1, USUAL, ("A", "D65"))
    assert [m.illuminant for m in found] == ["A", "D65"]
    assert found[0].delta_e_00 > 1
    # A curve that is only lighter mismatches alike under every lamp.
    assert [m.index_76 for m in found] == pytest.approx([0, 0], abs=1e-6)
