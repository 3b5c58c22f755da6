"""Developed cones against the formulas of sheet-metal pattern drafting and solid geometry.

Source: the radial-line development of a right cone's frustum as any text on sheet-metal
pattern drafting gives it (from memory): radii of the arcs s D / (D - d) and s d / (D - d)
for slant height s, angle 360 deg x r / slant radius; its area, pi (r1 + r2) s, from solid
geometry (Euclid XII and Archimedes, On the Sphere and Cylinder I.16).
"""

from __future__ import annotations

import math

import pytest

from livery.geometry.measure import area, length
from livery.geometry.outline import Arc, Line
from livery.surfaces.cone import Barrel


@pytest.mark.parametrize(("small", "large", "tall"), [(60, 90, 120), (152, 167, 310), (10, 200, 5)])
@pytest.mark.parametrize("widens", [True, False])
def test_a_frustum_develops_as_the_drafting_formulas_give(
    small: float, large: float, tall: float, widens: bool
) -> None:
    left, right = (small, large) if widens else (large, small)
    barrel = Barrel(left / 2, right / 2, tall)
    s = math.hypot(tall, (large - small) / 2)
    outer, inner = s * large / (large - small), s * small / (large - small)
    angle = math.radians(360.0 * (large / 2) / outer)
    arcs = [x for x in barrel.outline.contours[0].segments if isinstance(x, Arc)]
    radii = sorted(a.radius for a in arcs)
    assert radii == pytest.approx([inner, outer])
    assert [abs(a.sweep) for a in arcs] == pytest.approx([angle, angle])
    chords = sorted(math.dist(a.start, a.end) for a in arcs)
    assert chords == pytest.approx([2 * r * abs(math.sin(angle / 2)) for r in (inner, outer)])
    assert math.dist(arcs[0].centre, arcs[1].centre) < 1e-6 * outer
    assert area(barrel.outline) == pytest.approx(math.pi * (small + large) / 2 * s)


def test_a_worked_pattern() -> None:
    # Ends of 40 and 100 mm, 72.111 mm upright, so 78.102 mm slant: radii 130.17 and 52.07 mm,
    # 138.3 deg; worked by the formulas above on a pocket calculator.
    barrel = Barrel(50.0, 20.0, 72.111)
    assert barrel.slant == pytest.approx(78.102, abs=0.001)
    (outer,) = (s for s in barrel.outline.contours[0].segments[3:] if isinstance(s, Arc))
    assert math.degrees(abs(outer.sweep)) == pytest.approx(138.28, abs=0.01)
    assert barrel.outline.contours[0].segments[3].radius == pytest.approx(130.17, abs=0.01)  # type: ignore[union-attr]
    assert barrel.outline.contours[0].segments[1].radius == pytest.approx(52.07, abs=0.01)  # type: ignore[union-attr]


def test_a_cylinder_develops_to_its_girth() -> None:
    barrel = Barrel(75.0, 75.0, 300.0)
    assert all(isinstance(s, Line) for s in barrel.outline.contours[0].segments)
    assert area(barrel.outline) == pytest.approx(math.pi * 150.0 * 300.0)
    assert length(barrel.ring(120.0)) == pytest.approx(math.pi * 150.0)


def test_the_blank_of_a_rolled_sheet_is_its_mean_diameter_round() -> None:
    # Mean diameter times pi: the rule of every boiler shop for a rolled ring (common practice).
    barrel = Barrel(75.0, 75.0, 300.0)
    assert length(barrel.within(0.8).ring(0.0)) == pytest.approx(math.pi * (150.0 - 1.6))


def test_a_very_slight_taper_is_a_cylinder_to_the_last_figure() -> None:
    slight, parallel = Barrel(75.0, 75.0 + 1e-9, 300.0), Barrel(75.0, 75.0, 300.0)
    ends = zip(slight.outline.contours[0].nodes, parallel.outline.contours[0].nodes, strict=True)
    assert max(math.dist(a, b) for a, b in ends) < 1e-6
