"""Places, lines and shapes on a tapered barrel, on its development."""

from __future__ import annotations

import math

import pytest
from fontTools.misc.transform import Identity

from livery.describe.entries.lining import Lining
from livery.describe.values import to_position
from livery.findings import LiveryError
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Line, carry
from livery.geometry.shapes import rectangle
from livery.layout.fit import AxisFit, PanelFit
from livery.layout.frame import Frame
from livery.layout.free_line import paths_of
from livery.layout.rolled import Level, Rolled
from livery.surfaces.cone import Barrel, OnBarrel
from livery.units import read_length, read_scale

BARREL = Barrel(70.0, 85.0, 300.0, first=0.4, last=5.2, slope=0.3)
MOVE = Identity.translate(30.0, 400.0)
ROLLED = Rolled(
    BARREL, MOVE, read_scale("1:1"), {"side": math.pi / 2}, {"handrail": Level(30.0, True)}
)


def places(contour: Contour) -> list[OnBarrel]:
    """Return where the nodes of a line on the panel are on the barrel."""
    return [BARREL.rolled(carry(MOVE.inverse(), p)) for p in contour.nodes]


def ends(contour: Contour) -> tuple[float, ...]:
    """Return station and angle of the first node, and of the last."""
    first, *_, last = places(contour)
    return *first, *last


@pytest.mark.parametrize(
    ("height", "angle"),
    [
        ("side + 20 mm", math.pi / 2 + 20.0 / 75.0),
        ("bottom", 0.4 + BARREL.seam_shift(100.0)),
        ("top - 15 mm", 5.2 + BARREL.seam_shift(100.0) - 15.0 / 75.0),
        ("middle", 2.8 + BARREL.seam_shift(100.0)),
        ("handrail + 15 mm", math.pi + math.acos(30.0 / 75.0) + 15.0 / 75.0),
    ],
)
def test_a_height_on_a_barrel_is_measured_round_it(height: str, angle: float) -> None:
    assert ROLLED.angle(100.0, to_position(height)) == pytest.approx(angle)


def test_lines_along_and_round_a_barrel_run_over_its_edges_or_to_where_they_are_ended() -> None:
    side, up = to_position("side"), to_position("side + 17 mm")
    quarter = math.pi / 2
    assert ends(ROLLED.line(side, None, None)) == pytest.approx((-1.0, quarter, 301.0, quarter))
    assert ends(ROLLED.line(side, 40.0, 90.0)) == pytest.approx((40.0, quarter, 90.0, quarter))
    seam, over = BARREL.seam_shift(100.0), 1.0 / 75.0
    assert ends(ROLLED.ring(100.0, None, None)) == pytest.approx(
        (100.0, 0.4 + seam - over, 100.0, 5.2 + seam + over)
    )
    assert ends(ROLLED.ring(100.0, side, up)) == pytest.approx(
        (100.0, quarter, 100.0, quarter + 17.0 / 75.0)
    )
    with pytest.raises(LiveryError, match="no length"):
        ROLLED.ring(100.0, up, side)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_level_line_is_refused_above_the_smaller_end(side: float) -> None:
    levels = {"low": Level(69.0 * side, False), "high": Level(71.0 * side, False)}
    rolled = Rolled(BARREL, MOVE, ROLLED.scale, {}, levels)
    assert ends(rolled.line(to_position("low"), None, None))[0] == pytest.approx(-1.0)
    with pytest.raises(LiveryError, match="not on this barrel"):
        rolled.line(to_position("high"), None, None)
    assert ends(rolled.line(to_position("high"), 100.0, None))[0] == pytest.approx(100.0)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_place_at_a_level_is_refused_where_the_barrel_does_not_reach_it(side: float) -> None:
    """Its radius is 70 mm at the left, and 75 mm at 100 mm."""
    rolled = Rolled(BARREL, MOVE, ROLLED.scale, {}, {"high": Level(74.0 * side, False)})
    high = to_position("high")
    words = 'does not reach "high" here, where its radius is 74.0 mm'
    for place in (rolled.point, rolled.over):
        with pytest.raises(LiveryError, match=words):
            place(79.0, high)
    assert rolled.angle(81.0, high) == pytest.approx(math.acos(-74.0 * side / 74.05))
    # What lies above the level is nothing at the left, and widens from there.
    if side > 0.0:
        (contour,) = rolled.box(0.0, 300.0, high, None)
        assert min(p.angle for p in places(contour) if p.station < 1.0) == pytest.approx(math.pi)


def test_a_box_on_a_barrel_has_its_corners_on_stations_and_heights() -> None:
    side, up = to_position("side"), to_position("side + 17 mm")
    low, high = BARREL.seam_shift(100.0), BARREL.seam_shift(220.0)
    quarter = math.pi / 2
    for heights, angles in (
        ((None, None), (0.4 + low, 0.4 + high, 5.2 + high, 5.2 + low)),
        ((side, up), (quarter, quarter, quarter + 17.0 / 81.0, quarter + 17.0 / 75.0)),
    ):
        (contour,) = ROLLED.box(100.0, 220.0, *heights)
        found = places(contour)
        for station, angle in zip((100.0, 220.0, 220.0, 100.0), angles, strict=True):
            assert any(p == pytest.approx((station, angle), abs=1e-6) for p in found)


def test_a_shape_moved_over_a_barrel_is_the_shape_set_down_there() -> None:
    shape = rectangle(30.0, 12.0)
    here = ROLLED.set_down(shape, OnBarrel(60.0, 1.2))
    radius = BARREL.radius_at(150.0)
    there = ROLLED.set_down(shape, OnBarrel(150.0, 1.2 + 25.0 / radius))
    moved = ROLLED.shifted(here, 90.0, 25.0)
    for one, other in zip(moved.contours[0].nodes, there.contours[0].nodes, strict=True):
        assert one == pytest.approx(other)
    # Its long sides run along the barrel: square to the ring through its middle.
    middle = bounds(there).centre
    turned = ROLLED.tilt(middle)
    a, b = there.contours[0].nodes[:2]
    assert math.tan(turned) == pytest.approx((b.y - a.y) / (b.x - a.x))
    foot = ROLLED.at(OnBarrel(149.0, 1.2 + 25.0 / radius))
    assert (middle.y - foot.y) / (middle.x - foot.x) == pytest.approx(math.tan(turned))


def test_a_path_is_drawn_over_stations_and_girths() -> None:
    up = to_position("side + 17 mm")
    start, end = ROLLED.over(40.0, to_position("side")), ROLLED.over(250.0, up)
    assert start == pytest.approx((40.0, math.pi / 2 * 77.5))
    assert ends(ROLLED.laid(Contour((Line(start, end),), closed=False))) == pytest.approx(
        (40.0, math.pi / 2, 250.0, ROLLED.angle(250.0, up))
    )
    assert ROLLED.run(40.0, 240.0) == pytest.approx(200.0 * math.hypot(300.0, 15.0) / 300.0)


def test_lines_along_points_at_one_height_end_at_the_last_and_the_second_lies_below() -> None:
    """To the right of travel, as on a flat panel."""
    fit, edge = AxisFit(((0.0, 0.0), (300.0, 300.0))), rectangle(300.0, 400.0)
    frame = Frame("barrel", ROLLED.scale, edge, edge, PanelFit(fit, fit), {}, {}, rolled=ROLLED)
    stations = ("40 mm", "100 mm", "250 mm")
    along = tuple((to_position(station), to_position("side")) for station in stations)
    entry = Lining(
        paint="cream", width=read_length("2 mm"), along=along, count=2, spacing=read_length("12 mm")
    )
    first, second = paths_of(entry, frame, "panel.barrel.lining.0")
    assert ends(first) == pytest.approx((40.0, math.pi / 2, 250.0, math.pi / 2))
    for upper, lower in zip(places(first), places(second), strict=True):
        there = OnBarrel(lower.station, upper.angle)
        # Square to the upper line, which is straight as laid flat.
        away = math.dist(BARREL.developed(lower), BARREL.developed(there))
        assert lower.angle < upper.angle and away == pytest.approx(12.0, abs=0.2)
