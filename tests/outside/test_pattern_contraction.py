"""Pattern makers' contraction against the pattern maker's table and against physics.

The table is that of shrinkage allowances in Machinery's Handbook, in inches to the
foot, from memory.  Independently, a solid casting cools from its solidus to the
shop: contraction is about the mean coefficient of expansion times that drop.
Coefficients and solidus are handbook figures for the alloys named, from memory;
grey iron is left out, for its graphite expands as it sets, and so is zinc, for which the
table allows more than twice what cooling gives.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from livery.plate.contraction import Metal

INCHES_TO_THE_FOOT = {
    Metal.CAST_IRON: Fraction(1, 8),
    Metal.BRASS: Fraction(3, 16),
    Metal.GUNMETAL: Fraction(5, 32),
    Metal.ALUMINIUM: Fraction(5, 32),
    Metal.ZINC: Fraction(5, 16),
}


@pytest.mark.parametrize("metal", list(Metal))
def test_contraction_is_that_of_the_table(metal: Metal) -> None:
    foot_rule = 12 + INCHES_TO_THE_FOOT[metal]
    assert 12 * (1 + metal.contraction) == pytest.approx(float(foot_rule), abs=1e-12)


@pytest.mark.parametrize(
    ("metal", "per_kelvin", "solidus"),
    [
        (Metal.BRASS, 20.5e-6, 885.0),  # 65/35 yellow brass
        (Metal.GUNMETAL, 18.5e-6, 850.0),  # 88 copper, 10 tin, 2 zinc
        (Metal.ALUMINIUM, 22.5e-6, 565.0),  # aluminium with 12 % silicon
    ],
)
def test_contraction_is_near_what_cooling_gives(
    metal: Metal, per_kelvin: float, solidus: float
) -> None:
    assert metal.contraction == pytest.approx(per_kelvin * (solidus - 20.0), rel=0.25)
