"""Surfaces that are painted but not drawn: their areas, worked by hand, and their paint."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from pydantic import ValidationError

from livery.describe.entries.vehicle import BareSurface
from livery.make.making import plan_making
from livery.make.quantities.job_quantities import quantities
from livery.paints.paint_colours import screen_colours
from livery.pipeline import Examined
from livery.units import read_scale

SCALE = read_scale("1:10")


@pytest.mark.parametrize(
    ("entry", "mm2"),
    [
        ({"rectangle": ["2 m", "500 mm"]}, 200.0 * 50.0),
        (
            {"rectangle": ["2 m", "500 mm"], "arch": "125 mm"},
            200.0 * 31.25 * 2.0 * math.asin(25.0 / 31.25),
        ),
        ({"disc": "1 m"}, math.pi * 50.0**2),
        ({"cylinder": ["1 m", "3 m"]}, math.pi * 100.0 * 300.0),
        ({"area": "120 cm2"}, 12_000.0),
        ({"area": "0.3 m²", "count": 2}, 600_000.0),
    ],
)
def test_simple_sizes_give_the_area_on_the_model(entry: dict[str, object], mm2: float) -> None:
    surface = BareSurface.model_validate({"paint": "black", **entry})
    assert surface.painted_mm2(SCALE) == pytest.approx(mm2)


def test_the_paint_of_bare_surfaces_is_in_the_quantities(look: Callable[..., Examined]) -> None:
    """A roof of 500 x 200 mm in two coats: 20 m2 a litre at 20 um, half of it lost."""
    examined = look()
    model = examined.description.model
    assert model is not None
    making = plan_making(examined.plan, model, screen_colours(model.paint))
    (grey,) = (row for row in quantities(making) if row.item == "grey")
    assert grey.need == pytest.approx(0.1 / 20.0 * 2 / 0.5 * 1000.0)


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ({"disc": "1 m", "arch": "1 ft"}, "only a rectangle can be arched"),
        (
            {"disc": "1 m", "place": [{"face": "front", "height": "1 m"}] * 2},
            "this surface has 2 places, and count is 1",
        ),
    ],
)
def test_what_does_not_fit_a_surface_is_refused(entry: dict[str, object], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        BareSurface.model_validate({"paint": "black", **entry})
