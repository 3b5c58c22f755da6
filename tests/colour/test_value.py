import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.colour.difference import delta_e_00
from livery.colour.scale_effect import lightened
from livery.colour.value import Colour
from livery.findings import LiveryError


@settings(deadline=None)
@given(st.integers(0, 0xFFFFFF))
def test_hex_there_and_back(number):
    text = f"#{number:06x}"
    screen = Colour.from_hex(text).screen()
    assert screen.hex == text
    assert screen.in_gamut
    assert screen.delta_e_00 == pytest.approx(0, abs=1e-4)


def test_short_hex():
    assert Colour.from_hex("#abc") == Colour.from_hex("aabbcc")


def test_out_of_gamut_is_told_and_keeps_lightness_and_hue():
    target = Colour((50.0, -70.0, 40.0))
    screen = target.screen()
    assert not screen.in_gamut
    assert screen.delta_e_00 > 3
    shown = Colour.from_hex(screen.hex).lch()
    lightness, chroma, hue = target.lch()
    assert shown[0] == pytest.approx(lightness, abs=0.5)
    assert shown[1] < chroma
    assert shown[2] == pytest.approx(hue, abs=0.7)


def test_adapting_to_its_own_light_changes_nothing():
    colour = Colour((40.0, 20.0, 10.0), "C")
    assert colour.under("C", 2) is colour
    there_and_back = colour.canonical().under("C")
    assert there_and_back.lab == pytest.approx(colour.lab, abs=1e-9)


def test_grey_stays_grey_under_another_light():
    assert Colour((50.0, 0.0, 0.0), "A").canonical().lab == pytest.approx((50, 0, 0), abs=1e-9)


@pytest.mark.filterwarnings("ignore")
def test_a_surface_for_the_other_observer_beats_adaptation():
    """Of the 24 published reflectances of a chart, by colour-science's own sums."""
    colour = pytest.importorskip("colour")
    missed, adapted = [], []
    for curve in colour.SDS_COLOURCHECKERS["BabelColor Average"].values():
        ten, two = (
            colour.XYZ_to_Lab(
                colour.sd_to_XYZ(
                    curve,
                    cmfs=colour.MSDS_CMFS[f"CIE {name} Standard Observer"],
                    illuminant=colour.SDS_ILLUMINANTS["D65"],
                )
                / 100,
                colour.CCS_ILLUMINANTS[f"CIE {name} Standard Observer"]["D65"],
            )
            for name in ("1964 10 Degree", "1931 2 Degree")
        )
        read = Colour(tuple(ten.tolist()), observer=10)
        missed.append(float(delta_e_00(read.canonical().lab, two)))
        adapted.append(float(delta_e_00(read.adapted("D65").lab, two)))
    assert np.median(missed) < 1.0 < 1.8 < np.median(adapted)
    assert max(missed) < 3.5


def test_a_colour_no_surface_has_is_adapted_to_the_other_observer():
    strong = Colour((60.0, 120.0, 90.0), observer=10)
    assert strong.canonical().lab == pytest.approx(strong.adapted("D65").lab)


def test_bad_hex_is_told():
    with pytest.raises(LiveryError, match="is not a screen colour"):
        Colour.from_hex("#12345g")


def test_haze_is_nothing_at_nothing_and_all_haze_at_all():
    colour = Colour((30.0, -20.0, 5.0), "D50")
    assert lightened(colour, 0).lab == pytest.approx(colour.lab, abs=1e-9)
    haze = Colour((80.0, 1.0, -6.0))
    assert lightened(colour, 1, haze).canonical().lab == pytest.approx(haze.lab, abs=1e-6)


def test_haze_mixes_in_linear_light():
    mixed = lightened(Colour((30.0, 0.0, 0.0)), 0.25, Colour((90.0, 0.0, 0.0)))
    dark, light = Colour((30.0, 0.0, 0.0)).xyz(), Colour((90.0, 0.0, 0.0)).xyz()
    assert mixed.xyz() == pytest.approx(0.75 * dark + 0.25 * light)


def test_more_than_all_haze_is_told():
    with pytest.raises(LiveryError, match="150 % is not possible"):
        lightened(Colour((30.0, 0.0, 0.0)), 1.5)
