"""What one sees of a panel, in which order panels are drawn, and where a level line leaves one."""

from __future__ import annotations

import math
from types import SimpleNamespace

import pytest
import shapely

from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import circle, rectangle
from livery.surfaces.surface import FLAT, cylinder_surface
from livery.vehicles.facets import Facet, _feet, facets_of, seen_of
from livery.vehicles.hiding import Shown, drawing_order
from livery.vehicles.level_lines import End, Reach, _round_order, turned
from livery.vehicles.line_on_panel import across_at, edge_in_space
from livery.vehicles.placed import PlacedPanel, PlacedSurface
from livery.vehicles.solid import _surface, _triangles
from livery.vehicles.standing import Space, Standing
from livery.vehicles.standing_check import _is_in_one_place
from livery.vehicles.view import View

AS_DRAWN = Standing(Space(0, 0, 0), Space(1, 0, 0), Space(0, 0, 1), Space(0, -1, 0))
FLAT_PANEL = PlacedPanel(
    SimpleNamespace(frame=SimpleNamespace(surface=FLAT)),  # type: ignore[arg-type]
    "left",
    AS_DRAWN,
    linings={},
)


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
    # Three quarters of its width are too little for one edge.
    most = panel((0.0, 9.0), (75.0, 0.0), (100.0, 30.0), (100.0, 90.0), (0.0, 90.0))
    assert _feet(most) == (0.0, 0.0)
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
    assert across_at(box, 20.0) == (Point(0.0, 20.0), Point(100.0, 20.0))
    assert across_at(box, 60.0) == (Point(0.0, 60.0), Point(100.0, 60.0))


def test_a_line_goes_round_a_vehicle_and_forward_along_its_right_side() -> None:
    def on(face: str, station: float) -> Reach:
        end = End(station, 10.0, 0.0)
        return Reach("van", f"{face} {station:g}", face, end, end, key="")  # type: ignore[arg-type]

    found = [on(f, s) for f in ("right", "left") for s in (100.0, 500.0)]
    assert [one.panel for one in sorted(found, key=_round_order)] == [
        "left 100",
        "left 500",
        "right 500",
        "right 100",
    ]


def test_a_line_of_lining_ends_as_high_as_its_own_ends_are() -> None:
    corners = ((0, -2), (40, -2), (40, 1), (100, 1), (100, 14), (60, 14), (60, 10), (0, 10))
    stepped = panel(*((float(x), float(y)) for x, y in corners))
    top, bottom = (edge_in_space(FLAT_PANEL, stepped, e, is_cut=True) for e in ("top", "bottom"))
    assert (top[0], top[-1]) == (Point(0.0, 10.0), Point(100.0, 14.0))
    assert (bottom[0], bottom[-1]) == (Point(0.0, -2.0), Point(100.0, 1.0))


def test_stations_of_a_vehicle_that_runs_turned_round_count_from_its_other_end() -> None:
    reach = turned(
        Reach("van", "side", "left", End(30.0, 5.0, -40.0), End(80.0, 6.0, -40.0), key=""), 200.0
    )
    assert (reach.face, reach.left, reach.right) == (
        "right",
        End(170.0, 5.0, 40.0),
        End(120.0, 6.0, 40.0),
    )


def test_a_panel_that_stands_on_its_end_is_seen_from_its_painted_side() -> None:
    upended = Facet(Outline(()), Space(0, 0, 0), across=Space(0, 0, 1), up=Space(-1, 0, 0))
    assert View.LEFT.faces(upended) and not View.RIGHT.faces(upended)


def test_a_flat_panel_on_the_top_is_as_wide_and_as_high_as_it_is_and_not_deep() -> None:
    on_top = SimpleNamespace(face="top")
    seen = seen_of(rectangle(40.0, 20.0), FLAT, on_top)  # type: ignore[arg-type]
    assert tuple(seen) == (40.0, 20.0, 0.0, (0.0, 0.0), 0.0, 0.0)


def test_facets_of_a_round_panel_are_a_twentieth_of_a_millimetre_off_it() -> None:
    half = rectangle(80.0, math.pi * 30.0)
    facets = facets_of(half, cylinder_surface(0.0, math.pi * 30.0, 0.0, math.pi), AS_DRAWN)
    assert len(facets) == math.ceil(math.pi / (2.0 * math.acos(1.0 - 0.05 / 30.0)))


def chords_off(places: list[tuple[float, float]], radius: float) -> float:
    """Return how far the chords between places on a circle about (0, 0) are off it, at most."""
    pairs = zip(places, [*places[1:], places[0]], strict=True)
    middles = (math.hypot((a + c) / 2.0, (b + d) / 2.0) for (a, b), (c, d) in pairs)
    return radius - min(middles)


def test_a_round_edge_is_followed_within_a_fiftieth_of_a_millimetre() -> None:
    disc = circle(Point(0.0, 0.0), 200.0)
    # So nearly flat a sheet is seen as the disc it is.
    sheet = cylinder_surface(-300.0, 600.0, math.pi / 2.0 - 0.06, math.pi / 2.0 + 0.06)
    corners = [p for f in facets_of(disc, sheet, AS_DRAWN) for c in f.region for p in c.nodes]
    around = sorted({(math.atan2(p.y, p.x), p) for p in corners if math.hypot(*p) > 199.9})
    assert 0.0185 < chords_off([p for _, p in around], 200.0) <= 0.02
    facet = Facet(disc, Space(0, 0, 0), across=Space(1, 0, 0), up=Space(0, 0, 1))
    (colour,) = _surface(PlacedSurface("disc", "red", ((facet,),)), "#ff0000").colours
    rim = {(round(x, 6), round(z, 6)) for x, _, z in colour.corners.reshape(-1, 3).tolist()}
    around = sorted({(math.atan2(z, x), (x, z)) for x, z in rim})
    assert 0.0185 < chords_off([p for _, p in around], 200.0) <= 0.02


@pytest.mark.parametrize(("side", "count"), [(1.3e-3, 0), (1.5e-3, 1)])
def test_a_scrap_of_a_millionth_of_a_square_millimetre_is_left_out(side: float, count: int) -> None:
    scrap = shapely.Polygon([(0.0, 0.0), (side, 0.0), (0.0, side)])
    assert len(_triangles(scrap, Outline(()), whole=True)) == count


@pytest.mark.parametrize(("shared", "order"), [(0.8e-6, [0, 1]), (1.2e-6, [1, 0])])
def test_panels_that_share_a_millionth_of_a_square_millimetre_hide_each_other(
    shared: float, order: list[int]
) -> None:
    near = Shown(shapely.box(0.0, 0.0, 1.0, 1.0), (0.0, 0.0, 9.0))
    far = Shown(shapely.box(1.0 - shared, 0.0, 2.0, 1.0), (0.0, 0.0, 0.0))
    assert drawing_order([near, far]) == order


@pytest.mark.parametrize(("out", "same"), [(0.45, True), (0.55, False)])
def test_panels_half_a_millimetre_apart_are_not_in_one_place(out: float, *, same: bool) -> None:
    corners = ((0.0, 0.0), (50.0, 0.0), (50.0, 20.0), (0.0, 20.0))
    one, other = ((tuple(AS_DRAWN.place(x, y, away) for x, y in corners),) for away in (0.0, out))
    assert _is_in_one_place(AS_DRAWN, one, other) is same


@pytest.mark.parametrize(
    ("view", "seen"),
    [
        (View.LEFT, (1.0, 100.0, -10.0)),
        (View.RIGHT, (-1.0, 100.0, 10.0)),
        (View.FRONT, (-10.0, 100.0, -1.0)),
        (View.REAR, (10.0, 100.0, 1.0)),
        (View.ABOVE, (1.0, 10.0, 100.0)),
    ],
)
def test_a_place_is_seen_as_from_before_each_side(view: View, seen: tuple[float, ...]) -> None:
    """A place 1 mm back from the front, 10 mm to the right and 100 mm up."""
    assert view.seen(Space(1.0, 10.0, 100.0)) == seen


@pytest.mark.parametrize(("share", "is_seen"), [(0.9e-3, False), (1.1e-3, True)])
def test_a_facet_that_shows_a_thousandth_of_itself_is_seen(share: float, *, is_seen: bool) -> None:
    slight = Facet(Outline(()), Space(0, 0, 0), Space(1, 0, 0), Space(0, 1, share))
    assert View.LEFT.faces(slight) is is_seen
