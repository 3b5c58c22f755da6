"""What one sees of a panel, in which order panels are drawn, and where a level line leaves one."""

from __future__ import annotations

import pytest
import shapely

from livery.geometry.outline import Outline, Point, chain
from livery.vehicles.facets import Facet, _feet
from livery.vehicles.hiding import Shown, drawing_order
from livery.vehicles.level_lines import End, Reach, _across_at, _edge_of, _round_order, turned
from livery.vehicles.standing import Space
from livery.vehicles.view import View


def panel(*corners: tuple[float, float]) -> Outline:
    return Outline((chain([Point(x, y) for x, y in corners]),))


def test_the_feet_of_a_panel_are_where_its_bottom_edge_would_end() -> None:
    # The bottom rises 1 in 4 from 10 mm on: at the left it would be 2.5 mm below its lowest corner.
    tilted = panel((10.0, 3.5), (100.0, 26.0), (100.0, 90.0), (0.0, 90.0), (0.0, 20.0))
    assert _feet(tilted) == pytest.approx((-2.5, 22.5))
    # The edge that goes the furthest across counts: here the one of 85 mm, and not that of 20.
    longest = panel((-40.0, 12.0), (45.0, 2.0), (65.0, 2.0), (65.0, 90.0), (-40.0, 90.0))
    assert _feet(longest) == pytest.approx((10.0, 10.0 - 105.0 / 8.5))


def test_a_panel_without_one_long_bottom_edge_stands_on_its_lowest() -> None:
    vee = panel((0.0, 30.0), (50.0, 0.0), (100.0, 30.0), (100.0, 90.0), (0.0, 90.0))
    assert _feet(vee) == (0.0, 0.0)
    # So far off that a width of its places would be long enough, were they added.
    far = panel((500.0, 30.0), (550.0, 0.0), (600.0, 30.0), (600.0, 90.0), (500.0, 90.0))
    assert _feet(far) == (0.0, 0.0)


def test_of_two_as_near_the_first_is_drawn_first() -> None:
    square = Shown(shapely.box(0.0, 0.0, 10.0, 10.0), (0.0, 0.0, 0.0))
    assert drawing_order([square, square, square]) == [0, 1, 2]
    assert drawing_order([square._replace(plane=(0.0, 0.0, 1.0)), square]) == [1, 0]


def test_a_level_line_leaves_a_panel_at_its_very_edge() -> None:
    box = panel((0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0))
    assert _across_at(box, 20.0) == (Point(0.0, 20.0), Point(100.0, 20.0))
    assert _across_at(box, 60.0) == (Point(0.0, 60.0), Point(100.0, 60.0))


def test_a_line_goes_round_a_vehicle_and_forward_along_its_right_side() -> None:
    def on(face: str, station: float) -> Reach:
        end = End(station, 10.0)
        return Reach("van", f"{face} {station:g}", face, end, end, key="")  # type: ignore[arg-type]

    found = [on(f, s) for f in ("right", "left") for s in (100.0, 500.0)]
    assert [one.panel for one in sorted(found, key=_round_order)] == [
        "left 100",
        "left 500",
        "right 500",
        "right 100",
    ]


def test_a_line_of_lining_ends_as_high_as_each_half_of_it_reaches() -> None:
    corners = ((0, -2), (40, -2), (40, 1), (100, 1), (100, 14), (60, 14), (60, 10), (0, 10))
    stepped = panel(*((float(x), float(y)) for x, y in corners))
    assert _edge_of(stepped, "top") == (Point(0.0, 10.0), Point(100.0, 14.0))
    assert _edge_of(stepped, "bottom") == (Point(0.0, -2.0), Point(100.0, 1.0))


def test_stations_of_a_vehicle_that_runs_turned_round_count_from_its_other_end() -> None:
    reach = turned(Reach("van", "side", "left", End(30.0, 5.0), End(80.0, 6.0), key=""), 200.0)
    assert (reach.face, reach.left, reach.right) == ("right", End(170.0, 5.0), End(120.0, 6.0))


def test_a_panel_that_stands_on_its_end_is_seen_from_its_painted_side() -> None:
    upended = Facet(Outline(()), Space(0, 0, 0), across=Space(0, 0, 1), up=Space(-1, 0, 0))
    assert View.LEFT.faces(upended) and not View.RIGHT.faces(upended)
