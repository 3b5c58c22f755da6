"""Places of a flat panel that is built to scale."""

from __future__ import annotations

from dataclasses import replace

import pytest

from livery.describe.values import to_position
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.layout.fit import AxisFit, PanelFit
from livery.layout.frame import Frame
from livery.layout.framing import _misfit
from livery.units import read_scale

EDGE = rectangle(400.0, 200.0)
TRUE = PanelFit(AxisFit(((0.0, 0.0), (400.0, 400.0))), AxisFit(((0.0, 0.0), (200.0, 200.0))))
FRAME = Frame("side", read_scale("1:1"), EDGE, EDGE, TRUE, {"right": 400.0}, {"top": 200.0})


def test_a_run_from_one_station_to_another_has_its_direction() -> None:
    first, last = to_position("100 mm"), to_position("right - 50 mm")
    assert FRAME.run(first, last) == pytest.approx(250.0)
    assert FRAME.run(last, first) == pytest.approx(-250.0)
    assert FRAME.reach(last, first, 100.0) == pytest.approx(250.0)
    assert FRAME.reach(last, None, 20.0) == pytest.approx(330.0)


def test_a_bare_size_on_the_model_is_measured_from_the_origin_of_the_metal() -> None:
    frame = replace(FRAME, origin=Point(30.0, 7.0))
    at = to_position("100 mm on model")
    assert (frame.x(at), frame.y(at)) == (130.0, 107.0)
    assert frame.x(to_position("right - 100 mm on model")) == 300.0


@pytest.mark.parametrize(("built", "words"), [(106.0, "6.0% more"), (94.0, "6.0% less")])
def test_a_size_far_from_scale_is_given_with_its_difference(built: float, words: str) -> None:
    found = _misfit("panel.side", "width", "wide", 100.0, built)
    assert found is not None
    assert f"{built} mm wide, {words} than the 100.0 mm at scale" in found.message
