"""Developed lengths of bent sheet against handbook formulas.

Sources, all from memory: Machinery's Handbook, "Bending sheet metal", the formulas for
the straight stock a 90 degree bend takes, L = 0.55 T + 1.57 R (soft brass and copper),
0.64 T + 1.57 R (half-hard copper and brass, soft steel, aluminium) and 0.71 T + 1.57 R
(bronze, hard copper, cold-rolled and spring steel), other angles in proportion, with its
first worked example; DIN 6935, the compensation value v for bent flat steel.
"""

from __future__ import annotations

import math

import pytest

from livery.surfaces.bend_allowance import bend_allowance, neutral_factor, setback
from livery.surfaces.folded import Bend, Flat, FoldedSheet, to_tangents

QUARTER = math.pi / 2.0


@pytest.mark.parametrize("coefficient", [0.55, 0.64, 0.71])
@pytest.mark.parametrize(("thickness", "radius"), [(0.9, 1.5), (1.6, 6.0), (3.0, 25.0)])
def test_a_right_angle_takes_what_the_handbook_gives(
    coefficient: float, thickness: float, radius: float
) -> None:
    stated = coefficient * thickness + 1.57 * radius
    found = bend_allowance(QUARTER, radius, thickness, coefficient / QUARTER)
    assert found == pytest.approx(stated, abs=0.001 * radius)  # 1.57 for a quarter turn


def test_the_handbook_s_worked_example_comes_out() -> None:
    # Soft steel 0.125 in thick: bends of 180 deg at 3/8 in and 60 deg at 5/8 in inside
    # radius, and 3.5 in of straights: 1.338 + 0.707 + 3.5 = 5.545 in.
    k = 0.64 / QUARTER
    sheet = FoldedSheet(
        (Flat(1.0), Bend(math.pi, 0.375), Flat(1.5), Bend(-math.radians(60), 0.625), Flat(1.0)),
        0.125,
        k,
    )
    half_turn, sixty = sheet.faces[1], sheet.faces[3]
    assert sheet.blank_length_of(half_turn) == pytest.approx(1.338, abs=0.001)
    assert sheet.blank_length_of(sixty) == pytest.approx(0.707, abs=0.001)
    assert sheet.blank_length == pytest.approx(5.545, abs=0.001)


def din_6935_v(opening: float, radius: float, thickness: float) -> float:
    """The compensation for an opening angle in degrees, added to the outside lengths."""
    k = min(0.65 + 0.5 * math.log10(radius / thickness), 1.0)
    bent = math.radians(180.0 - opening)
    arc = bent * (radius + thickness / 2.0 * k)
    if opening <= 90.0:
        return arc - 2.0 * (radius + thickness)
    return arc - 2.0 * (radius + thickness) * math.tan(bent / 2.0)


@pytest.mark.parametrize("opening", [90.0, 120.0, 150.0])
@pytest.mark.parametrize(("radius", "thickness"), [(1.0, 1.0), (4.0, 1.5), (10.0, 1.5)])
def test_legs_drawn_to_the_outside_corner_develop_as_din_6935_gives(
    opening: float, radius: float, thickness: float
) -> None:
    bend = Bend(math.radians(180.0 - opening), radius)
    legs = to_tangents([Flat(50.0), bend, Flat(80.0)], "outside corner", thickness)
    sheet = FoldedSheet(tuple(legs), thickness)
    assert sheet.blank_length == pytest.approx(130.0 + din_6935_v(opening, radius, thickness))


def test_the_neutral_line_of_an_easy_bend_is_the_middle() -> None:
    assert neutral_factor(5.02, 1.0) == pytest.approx(0.5, abs=1e-3)
    assert neutral_factor(100.0, 1.0) == 0.5
    assert neutral_factor(1.0, 1.0) == pytest.approx(0.325)


def test_the_setback_of_a_right_angle_is_radius_and_thickness() -> None:
    assert setback(QUARTER, 6.0, 1.6) == pytest.approx(7.6)
