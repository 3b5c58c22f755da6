"""Places of a flat panel that is built to scale."""

from __future__ import annotations

from dataclasses import replace

import pytest

from livery.describe.values import to_position
from livery.findings import LiveryError
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.layout.fit import AxisFit, PanelFit
from livery.layout.frame import Frame
from livery.layout.framing import _of_a_size
from livery.layout.misfit import panel_misfits
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
    wide, high = panel_misfits("panel.side", Bounds(0.0, 0.0, 100.0, 100.0), built, built)
    for found, way in ((wide, "wide"), (high, "high")):
        assert f"{built} mm {way}, {words} than the 100.0 mm at scale" in found.message


@pytest.mark.parametrize(
    ("size_mm", "code"),
    [(29_999.0, ""), (30_001.0, "too-large"), (1.01, ""), (0.99, "too-small")],
)
def test_a_panel_of_no_vehicle_is_refused(size_mm: float, code: str) -> None:
    outline = rectangle(size_mm, size_mm / 2.0)
    if not code:
        assert _of_a_size(outline, "panel.side").width == size_mm
        return
    with pytest.raises(LiveryError) as caught:
        _of_a_size(outline, "panel.side")
    assert [f.code for f in caught.value.findings] == [code]
