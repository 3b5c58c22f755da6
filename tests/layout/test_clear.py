"""What counts when a band is led round a keep-out: just below each limit, and just above."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from livery.findings import LiveryError
from livery.geometry.boolean import difference
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.offset import inset
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.layout import clear
from livery.layout.clear import _carried_out, _led_round, _made_new, eased, passed_round
from livery.layout.plan import Obstacle, PlacedKeepOut

PANEL = rectangle(100.0, 50.0)


@pytest.mark.parametrize(("mm2", "goes"), [(0.009, True), (0.011, False)])
def test_a_way_round_may_spill_a_hundredth_of_a_square_millimetre(mm2: float, goes: bool) -> None:
    ground: Any = SimpleNamespace(frame=SimpleNamespace(outline=PANEL))
    fitting = PlacedKeepOut("step", rectangle(4.0, 4.0, Point(48.0, 10.0)), Obstacle.FITTING, "k")

    def covered(edge: Outline) -> Outline:
        """Cover the panel, and once the edge is led round a spot beside it."""
        return PANEL if edge is PANEL else rectangle(mm2**0.5, mm2**0.5, Point(110.0, 10.0))

    def led() -> Outline:
        return _led_round(fitting, PANEL, PANEL, 2.0, 1.0, ground=ground, covered=covered)

    if goes:
        assert led() is not PANEL
    else:
        with pytest.raises(LiveryError, match="no room on the panel to pass round"):
            led()


@pytest.mark.parametrize(("away", "is_led"), [(0.09, True), (0.11, False)])
def test_a_band_without_a_gap_passes_a_fitting_at_a_tenth_of_a_millimetre(
    away: float, is_led: bool
) -> None:
    fitting = PlacedKeepOut("", rectangle(4.0, 4.0, Point(48.0, 2 + away)), Obstacle.FITTING, "k")
    ground: Any = SimpleNamespace(frame=SimpleNamespace(outline=PANEL), keep_outs=[fitting])
    lining: Any = SimpleNamespace(at_keep_outs="pass round", gap=None, round=None)

    def covered(edge: Outline) -> Outline:
        return difference(edge, inset(edge, 2.0))

    led = passed_round(PANEL, 2.0, lining, ground, covered)
    assert (led is not PANEL) is is_led
    if is_led:
        assert to_shapely(covered(led)).distance(to_shapely(fitting.outline)) == pytest.approx(
            0.1, abs=0.003
        )


@pytest.mark.parametrize(("deep", "count"), [(0.0008, 0), (0.0012, 1)])
def test_edges_a_thousandth_of_a_millimetre_apart_are_the_same(deep: float, count: int) -> None:
    led = difference(PANEL, rectangle(100.0, deep))
    part = rectangle(10.0, 1.0, Point(20.0, 0.0))
    assert len(_made_new(part, led, PANEL)) == count


@pytest.mark.parametrize(("away", "count"), [(0.0019, 1), (0.0031, 0)])
def test_a_part_is_new_that_touches_what_the_edges_differ_in(away: float, count: int) -> None:
    led = difference(PANEL, rectangle(100.0, 1.0))
    part = rectangle(10.0, 1.0, Point(20.0, 1.0 + away - 0.0005))
    assert len(_made_new(part, led, PANEL)) == count


def test_easing_that_never_comes_to_an_end_is_given_up_after_four_rounds(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rounds: list[Outline] = []

    def opened(edge: Outline, radius: float) -> Outline:
        rounds.append(edge)
        return difference(edge, rectangle(2.0, 2.0, Point(10.0 * len(rounds), 0.0)))

    monkeypatch.setattr(clear, "opened", opened)
    monkeypatch.setattr(clear, "_made_new", lambda parts, led, before: [parts] if parts else [])
    eased(PANEL, PANEL, 2.0, 1.0)
    assert len(rounds) == 4


@pytest.mark.parametrize("low", [-3.0, -1.0])  # its middle is outside the edge, and inside
def test_what_lies_on_an_edge_is_carried_outward_whichever_side_its_middle_is_on(
    low: float,
) -> None:
    fitting = rectangle(4.0, 4.0, Point(48.0, low))
    box = bounds(_carried_out(fitting, Point(50.0, low + 2.0), PANEL))
    assert (box.left, box.right, box.top) == pytest.approx((48.0, 52.0, low + 4.0))
    assert box.bottom < low - 4.0
