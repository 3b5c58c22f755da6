"""Panels that pass through each other in an elevation: what is nearer shows, place by place."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from livery.examined import Examined
from livery.geometry.flatten import to_shapely
from livery.make.drawings.vehicle_elevation import vehicle_marks
from livery.vehicles.crossing import _where_above, hidden_parts, joined_regions, left_of
from livery.vehicles.hiding import Shown
from livery.vehicles.placed import PlacedVehicle
from livery.vehicles.view import View

COLOURS = {"green": "#00ff00", "red": "#ff0000"}
SIDES = {View.LEFT: 1.0, View.RIGHT: -1.0}

# At 1:10 a saddle of 90 mm radius about an axis 220 mm above rail, and through its top an upright
# dome of 45 mm radius, its centre 300 mm behind the front.
TANK = """
[job]
title = "Saddle tank 5"
scale = "1:10"
[paint.green]
lab = [30, -20, 10]
[paint.red]
lab = [40, 50, 30]
[vehicle.tank]
length = "8 m"
width = "2600 mm"
[panel.saddle]
sheet = { cylinder = { length = "2400 mm", diameter = "1800 mm", start = "90 deg", end = "270 deg" } }
place = { face = "left", station = "1800 mm", axis = "2200 mm" }
[[panel.saddle.field]]
paint = "green"
[panel.dome]
sheet = { gores = { unit = "mm", path = "M 0 450 L 700 450 A 400 450 0 0 0 1100 0", within = "2 mm on model" } }
place = { face = "left", station = "3 m", height = "2400 mm", out = "0 ft" }
[[panel.dome.field]]
paint = "red"
"""


def seen(vehicle: PlacedVehicle, view: View) -> list[tuple[str, BaseGeometry]]:
    """Return each region that a view fills, with its colour, in the order in which it is drawn."""
    marks = vehicle_marks(vehicle, view, COLOURS)
    return [(mark.fill, to_shapely(mark.outline, 0.1)) for mark in marks if mark.fill]


def test_a_dome_shows_in_front_of_its_tank_down_to_where_they_meet(
    look: Callable[..., Examined],
) -> None:
    (vehicle,) = look(TANK).vehicles.placed
    for view, way in SIDES.items():
        shown = seen(vehicle, view)
        for aside in (0.0, 15.0, 30.0):
            # The dome is as near as its circle; the tank is so near at this height of its own.
            near = math.sqrt(45.0**2 - aside**2)
            meet = 220.0 + math.sqrt(90.0**2 - near**2)
            for up, colour in ((meet + 1.0, "#ff0000"), (meet - 1.0, "#00ff00")):
                at = shapely.Point(way * 300.0 + aside, up)
                over = [fill for fill, region in shown if region.contains(at)]
                assert over[-1] == colour, (view, aside, up)


def test_planes_that_cross_hide_half_of_each_other() -> None:
    square = shapely.box(-10.0, -10.0, 10.0, 10.0)
    level = Shown(square, (0.0, 0.0, 0.0))
    tilted = Shown(square, (0.0, 1.0, 0.0))
    folded = level._replace(parts=(level,))
    hidden = hidden_parts([folded, tilted])
    assert list(hidden) == [0]  # of two that lose as much, the first is cut
    assert hidden[0].area == pytest.approx(20.0 * 9.8, abs=0.01)
    assert hidden[0].bounds == pytest.approx((-10.0, 0.2, 10.0, 10.0), abs=0.03)
    assert hidden_parts([level, tilted]) == {}


@pytest.mark.parametrize(("over", "lost"), [(5.0, 4.8), (-5.0, 4.8)])
def test_of_two_that_cross_the_one_that_loses_less_is_cut(over: float, lost: float) -> None:
    square = shapely.box(-10.0, -10.0, 10.0, 10.0)
    level = Shown(square, (0.0, 0.0, 0.0), (Shown(square, (0.0, 0.0, 0.0)),))
    tilted = Shown(square, (0.0, 1.0, over))
    for own, cut in (([level, tilted], over < 0.0), ([tilted, level], over > 0.0)):
        hidden = hidden_parts(own)
        assert list(hidden) == [0 if cut else 1]
        assert next(iter(hidden.values())).area == pytest.approx(20.0 * lost, abs=0.01)


def test_panels_that_only_touch_are_left_whole() -> None:
    square = shapely.box(-10.0, -10.0, 10.0, 10.0)
    ridge = Shown(square, (0.0, 0.0, 0.0), (Shown(square, (0.0, 0.0, 0.0)),))
    assert hidden_parts([ridge, Shown(square, (0.01, 0.0, 0.0))]) == {}
    assert hidden_parts([ridge, Shown(square, (0.0, 1.0, 20.0))]) == {}


def test_planes_that_cross_aslant_part_along_the_line_where_they_meet() -> None:
    square = shapely.box(-10.0, -10.0, 10.0, 10.0)
    level = Shown(square, (0.0, 0.0, 0.0), (Shown(square, (0.0, 0.0, 0.0)),))
    hidden = hidden_parts([level, Shown(square, (0.6, 0.8, 1.0))])[1]
    # Below the line 0.6 x + 0.8 y + 1 = -0.2, down to the corners on its side.
    beyond = shapely.Polygon([(-10.0, 6.0), (10.0, -9.0), (10.0, -10.0), (-10.0, -10.0)])
    assert hidden.symmetric_difference(beyond).area == pytest.approx(0.0, abs=0.1)


@pytest.mark.parametrize(("hidden", "cross"), [(0.9, False), (1.1, True)])
def test_panels_that_hide_a_square_millimetre_of_each_other_cross(
    hidden: float, *, cross: bool
) -> None:
    square = shapely.box(0.0, -0.2 - hidden, 1.0, 0.2 + hidden)
    level = Shown(square, (0.0, 0.0, 0.0), (Shown(square, (0.0, 0.0, 0.0)),))
    assert bool(hidden_parts([level, Shown(square, (0.0, 1.0, 0.0))])) is cross


@pytest.mark.parametrize(("apart", "parts"), [(0.035, 1), (0.045, 2)])
def test_facets_nearer_than_four_hundredths_of_a_millimetre_are_joined(
    apart: float, parts: int
) -> None:
    found = joined_regions([shapely.box(0, 0, 5, 5), shapely.box(5 + apart, 0, 9, 5)])
    assert len(shapely.get_parts(found)) == parts


def test_what_lies_above_a_plane_is_all_nothing_or_the_part_beyond_their_line() -> None:
    def above(region: shapely.Polygon, *plane: float) -> float:
        return sum(part.area for part in _where_above(region, np.array(plane)))

    square = shapely.box(-10.0, -10.0, 10.0, 10.0)
    assert above(square, 0.1, 0.0, 5.0) == 400.0
    assert above(square, 0.1, 0.0, -5.0) == 0.0
    # A sliver of which only the foot is below the line, and whose top leans away from it.
    sliver = shapely.Polygon([(0.0, 0.0), (25.0, 97.0), (24.0, 97.0)])
    assert above(sliver, 0.0, 1.0, -1.0) == pytest.approx(48.5 * (1.0 - (1.2 / 97.0) ** 2))


def test_a_line_that_rounding_leaves_beside_what_shows_is_no_part_of_it() -> None:
    """The spike at the right, 3e-12 mm wide, is left as a line where the rest is cut."""
    spiked = shapely.Polygon(
        [
            (56.217707612761885, 342.97602205375097),
            (437.0174670176584, 383.06296143923817),
            (437.0904811415207, 369.153962482933),
            (437.1, 369.2),
            (437.0904811415206, 369.1539624829228),
        ]
    )
    corners = [(313.76615352073117, 370.0882475343389), (418.7027639, 381.1349655), (298.0, 343.0)]
    hidden = shapely.Polygon(corners)
    left = left_of(spiked, hidden)
    assert {part.geom_type for part in shapely.get_parts(left)} == {"Polygon"}
    assert left.area == pytest.approx(spiked.area - spiked.intersection(hidden).area)
    assert shapely.intersection(spiked, left, grid_size=0.001).area == pytest.approx(
        left.area, abs=0.5
    )
