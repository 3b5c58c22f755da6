"""Colours under lamps, by other eyes, on plates and from afar, against colour-science."""

from __future__ import annotations

import colour
import numpy as np
import pytest

from livery.colour.difference import delta_e_00
from livery.colour.emulsions import EMULSIONS, WAVELENGTHS_NM, exposure, read_emulsion
from livery.colour.seen_under import (
    EYES,
    LAB_UNCERTAINTY,
    SurfaceReflectance,
    WayOfSeeing,
    lab_uncertainty,
    reflectance_of,
    seen_by,
    seen_from_afar,
    seen_under,
)
from livery.colour.spectra import lab_from_reflectance
from livery.colour.value import Colour, triple
from livery.findings import LiveryError

GREEN = Colour((30.5, -21.0, 9.5))


@pytest.fixture(scope="module")
def surfaces() -> np.ndarray:
    """The 99 surfaces of all kinds of CIE 224:2017, by which the figures were set."""
    from colour.quality.cfi2017 import load_TCS_CIE2017

    every_5 = np.asarray(load_TCS_CIE2017(colour.SpectralShape(380, 780, 5)).values)
    return every_5[::2][: WAVELENGTHS_NM.size].T


@pytest.fixture(scope="module")
def patches() -> np.ndarray:
    """The patches of a chart as measured by two laboratories, which set none of the figures."""
    charts = (colour.SDS_COLOURCHECKERS[name] for name in ("BabelColor Average", "ISO 17321-1"))
    curves = [sd for chart in charts for sd in chart.values()]
    return np.array([np.interp(WAVELENGTHS_NM, sd.wavelengths, sd.values) for sd in curves])


@pytest.fixture(scope="module")
def smoothest(surfaces: np.ndarray, patches: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
    """Reflectances, and those made of their Lab alone."""
    return [
        (curves, np.array([reflectance_of(Colour(triple(lab))).reflectance for lab in labs]))
        for curves in (surfaces, patches)
        for labs in [lab_from_reflectance(curves, WAVELENGTHS_NM)]
    ]


def test_a_white_stays_white_and_a_grey_grey() -> None:
    for way in (
        *(WayOfSeeing(lamp) for lamp in ("D50", "A", "LED-B3", "FL11")),
        *(WayOfSeeing(eyes=eyes) for eyes in EYES),
        *(WayOfSeeing(plate=plate) for plate in EMULSIONS.values()),
        WayOfSeeing("A", observer=10),
    ):
        for lightness in (100.0, 50.0):
            assert (
                np.abs(np.subtract(way.see(Colour((lightness, 0, 0))).lab, (lightness, 0, 0))).max()
                < 0.02
            )


def test_a_reflectance_under_a_lamp_is_what_its_own_lab_there_looks_like() -> None:
    reflectance = 0.04 + 0.3 / (1 + np.exp(-(WAVELENGTHS_NM - 590) / 15))
    lab = lab_from_reflectance(reflectance, WAVELENGTHS_NM, "A")
    expected = Colour(triple(lab), "A").canonical()
    seen = seen_under(SurfaceReflectance(reflectance, measured=True), lamp="A")
    assert delta_e_00(seen.lab, expected.lab) < 0.05


def test_a_lab_tells_the_colour_under_a_lamp_as_nearly_as_is_said(
    smoothest: list[tuple[np.ndarray, np.ndarray]],
) -> None:
    for lamp, observer in (("D50", 2), ("A", 2), ("LED-B3", 2), ("FL11", 2), ("D65", 10)):
        for true, found in smoothest:
            seen = [lab_from_reflectance(r, WAVELENGTHS_NM, lamp, observer) for r in (true, found)]
            miss = delta_e_00(*seen)
            assert np.mean(miss <= lab_uncertainty(lamp, observer)) >= 0.94, lamp
    assert lab_uncertainty("D65") == LAB_UNCERTAINTY["D65"] == 0.0


def test_a_lab_tells_the_tone_on_a_plate_as_nearly_as_is_said(
    smoothest: list[tuple[np.ndarray, np.ndarray]],
) -> None:
    for emulsion in EMULSIONS.values():
        for true, found in smoothest:
            off = np.log10(exposure(found, emulsion) / exposure(true, emulsion))
            assert np.mean(np.abs(off) <= 1.96 * emulsion.spread) >= 0.94, emulsion.name
            assert np.abs(off).max() > 0.7 * emulsion.spread


def test_a_missing_cone_agrees_with_the_matrices_of_another_library() -> None:
    """Machado, Oliveira and Fernandes (2009), as colour-science carries their matrices."""
    for eyes, kind in (
        ("protan", "Protanomaly"),
        ("deutan", "Deuteranomaly"),
        ("tritan", "Tritanomaly"),
    ):
        matrix = colour.matrix_cvd_Machado2009(kind, 0.6)
        linear = colour.models.eotf_sRGB(np.array(GREEN.rgb())) @ matrix.T
        expected = Colour.from_rgb(colour.models.eotf_inverse_sRGB(linear))
        assert delta_e_00(seen_by(GREEN, eyes, 0.6).lab, expected.lab) < 0.05


def test_red_and_green_that_most_eyes_part_meet_without_green_cones() -> None:
    red, green = Colour((45.0, 30.0, 30.0)), Colour((45.0, -8.0, 30.0))
    apart = delta_e_00(red.lab, green.lab)
    assert delta_e_00(seen_by(red, "deutan").lab, seen_by(green, "deutan").lab) < 0.5 * apart


def test_plates_see_red_and_blue_as_their_makers_said() -> None:
    red, yellow, blue = (Colour(lab) for lab in ((45, 65, 40), (80, 5, 80), (35, 5, -45)))
    light = {
        name: [seen_under(c, plate=name).lab[0] for c in (red, yellow, blue)] for name in EMULSIONS
    }
    assert light["blue-sensitive"][2] > 45 > 40 > max(light["blue-sensitive"][:2])
    assert light["orthochromatic"][0] < 30 < 60 < light["orthochromatic"][1]
    assert light["panchromatic"][0] > 40


def test_exposure_is_the_share_of_a_perfect_white() -> None:
    plate = read_emulsion("Orthochromatic")
    assert exposure(np.full(36, 0.18), plate) == pytest.approx(0.18)
    assert exposure(np.ones(36), plate, "A", moved_nm=10) == pytest.approx(1.0)


def test_a_line_fades_into_its_ground_with_distance() -> None:
    ground, line = GREEN, Colour((85.0, 0.0, 20.0))
    near = seen_from_afar(line, ground, 2.0, 500.0)
    assert delta_e_00(near.lab, line.lab) < 0.01
    far = [seen_from_afar(line, ground, 0.5, d).lab[0] for d in (1000.0, 3000.0, 10000.0)]
    assert far == sorted(far, reverse=True)
    # A line as wide as the blur keeps erf(sqrt(ln 2)), 0.761, of its light in the middle.
    wide = seen_from_afar(Colour((100, 0, 0)), Colour((0, 0, 0)), 1.0, 1.0 / np.radians(1 / 60))
    assert wide.xyz()[1] == pytest.approx(0.761, abs=0.001)


def test_what_no_surface_can_be_is_said_and_shown_as_in_daylight() -> None:
    screen_green = Colour.from_hex("#00ff00")
    with pytest.raises(LiveryError, match="stronger than any plain paint"):
        seen_under(screen_green, lamp="A")
    seen, findings = WayOfSeeing("A").see_paints({"lamp green": screen_green})
    assert seen["lamp green"] == screen_green.canonical()
    assert [f.message.split(":")[0] for f in findings] == ["lamp green"]
    grey, _ = WayOfSeeing(plate=EMULSIONS["panchromatic"]).see_paints({"g": screen_green})
    assert grey["g"].lab[1:] == (0.0, 0.0)


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ({"lamp": "Q"}, "colour-illuminant"),
        ({"eyes": "cat"}, "seen-eyes"),
        ({"eyes": "protan", "amount": 1.5}, "seen-amount"),
        ({"observer": 3}, "colour-observer"),
    ],
)
def test_an_unknown_name_is_refused(wrong: dict, code: str) -> None:
    with pytest.raises(LiveryError) as refused:
        seen_under(GREEN, **wrong)
    assert refused.value.findings[0].code == code
    with pytest.raises(LiveryError):
        read_emulsion("wet")
