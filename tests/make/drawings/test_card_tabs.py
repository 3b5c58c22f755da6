"""The tabs and fold lines of a mock-up in card."""

from __future__ import annotations

import math

import pytest
import shapely

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Contour, Line, Outline, Point, chain
from livery.geometry.shapes import circle, rectangle
from livery.layout.sheet import straight_guide
from livery.make.drawings.card_tabs import _inside, card_slots, card_tabs
from livery.surfaces.folded import Bend, Flat, FoldedSheet
from livery.surfaces.surface import FLAT, cylinder_surface

BENT = FoldedSheet((Flat(60.0), Bend(math.pi / 2.0, 20.0), Flat(40.0)), 0.0)
"""Flats of 60 and 40 mm with a bend of 31.416 mm between them."""


def polygons(tabs: tuple[Contour, ...]) -> list[shapely.Polygon]:
    assert all(tab.closed for tab in tabs)
    return [shapely.Polygon([s.start for s in tab.segments]) for tab in tabs]


def feet(tabs: tuple[Contour, ...]) -> list[float]:
    """Return how wide each tab is on its edge."""
    return [round(math.dist(t.segments[0].start, t.segments[0].end), 3) for t in tabs]


def test_a_flat_sheet_has_one_tab_on_each_edge_outside_it() -> None:
    tabs = card_tabs(rectangle(100.0, 40.0), (), FLAT)
    assert sorted(feet(tabs)) == [40.0, 40.0, 100.0, 100.0]
    sheet = shapely.box(0.0, 0.0, 100.0, 40.0)
    assert [round(p.intersection(sheet).area, 6) for p in polygons(tabs)] == [0.0] * 4
    around = shapely.union_all(polygons(tabs)).bounds
    assert around == pytest.approx((-8.0, -8.0, 108.0, 48.0))
    # A trapezoid of 8 mm whose ends slope in by 0.6 of that: 100 x 8 - 4.8 x 8.
    assert max(p.area for p in polygons(tabs)) == pytest.approx(761.6)


def test_between_the_folds_of_a_bend_an_edge_has_teeth() -> None:
    length = BENT.length
    at = (60.0, 60.0 + 5.0 * math.pi, 60.0 + 10.0 * math.pi)
    guides = [straight_guide(str(x), Point(x, 0.0), Point(x, 30.0)) for x in at]
    surface = BENT.surface(0.0, upright=False)
    widths = feet(card_tabs(rectangle(length, 30.0), guides, surface))
    assert sorted(widths)[-6:] == [30.0, 30.0, 40.0, 40.0, 60.0, 60.0]
    assert sorted(widths)[:-6] == [round(5.0 * math.pi / 3.0, 3)] * 12  # six a side, under 6 mm


def test_a_rolled_sheet_without_folds_has_teeth_round_it() -> None:
    surface = cylinder_surface(0.0, 120.0, 0.0, math.pi)
    widths = feet(card_tabs(rectangle(50.0, 120.0), (), surface))
    assert sorted(widths) == [6.0] * 40 + [50.0] * 2


def test_where_edges_of_a_barrel_meet_one_has_tabs_and_the_other_slots_for_them() -> None:
    girth = 120.0
    barrel = cylinder_surface(0.0, girth, 0.0, 2.0 * math.pi)
    sheet = rectangle(100.0, girth)
    slots = card_slots(sheet, (), barrel)
    tabs = [t for t in polygons(card_tabs(sheet, (), barrel)) if t.bounds[2] > t.bounds[0] + 10.0]
    # Three tabs of 20 mm on the lower edge, and none on the upper, which has the slots.
    assert [round(t.bounds[2] - t.bounds[0], 3) for t in tabs] == [20.0] * 3
    assert all(t.bounds[3] <= 0.0 for t in tabs)
    assert [slot.closed for slot in slots] == [False] * 3
    ends = sorted(sorted((s.start.x, s.end.x)) for s in slots)
    feet_of = sorted((t.bounds[0], t.bounds[2]) for t in tabs)
    for (low, high), (left, right) in zip(ends, feet_of, strict=True):
        assert (left - low, high - right) == pytest.approx((0.5, 0.5))
    assert all(s.start.y == pytest.approx(girth - 3.0) for s in slots)
    assert card_slots(sheet, (), FLAT) == ()


def test_a_curved_edge_has_teeth_and_an_opening_has_none() -> None:
    (disc,), (hole,) = (
        circle(Point(0.0, 0.0), 30.0).contours,
        circle(Point(0.0, 0.0), 10.0).contours,
    )
    tabs = card_tabs(Outline((disc, hole.reversed())), (), FLAT)
    assert len(tabs) == len(card_tabs(Outline((disc,)), (), FLAT)) == 32
    assert max(feet(tabs)) < 6.0
    assert all(math.hypot(*p.centroid.coords[0]) > 30.0 for p in polygons(tabs))


@pytest.mark.parametrize(("wide", "depths"), [(20.0, [8.0, 8.0]), (13.0, [8.0, 4.0]), (5.0, [4.0])])
def test_in_a_narrow_notch_tabs_are_shallow_or_left_out(wide: float, depths: list[float]) -> None:
    notch = shapely.box(40.0, 20.0, 40.0 + wide, 50.0)
    ring = shapely.box(0.0, 0.0, 100.0, 50.0).difference(notch).exterior.coords
    outline = Outline((chain([Point(*p) for p in ring[:-1]]),))
    tabs = polygons(card_tabs(outline, (), FLAT))
    sides = [t.bounds for t in tabs if notch.contains(t.centroid) and t.bounds[3] == 50.0]
    assert sorted((right - left for left, _, right, _ in sides), reverse=True) == depths
    together = shapely.union_all(tabs)
    assert together.area == pytest.approx(sum(t.area for t in tabs), abs=0.05)
    assert to_shapely(outline).intersection(together).area < 0.05


@pytest.mark.parametrize(("short", "tabs"), [(2.95, 3), (3.05, 4)])
def test_an_edge_under_3_mm_has_no_tab(short: float, tabs: int) -> None:
    corners = [(0.0, 0.0), (100.0, 0.0), (100.0, short), (0.0, 40.0)]
    outline = Outline((chain([Point(*p) for p in corners]),))
    assert len(card_tabs(outline, (), FLAT)) == tabs


@pytest.mark.parametrize(("gap", "slots"), [(0.48, 3), (0.52, 0)])
def test_edges_of_a_barrel_meet_over_a_gap_of_half_a_millimetre(gap: float, slots: int) -> None:
    barrel = cylinder_surface(0.0, 120.0, 0.0, 2.0 * math.pi)
    assert len(card_slots(rectangle(100.0, 120.0 - gap), (), barrel)) == slots


@pytest.mark.parametrize(("short", "lower"), [(0.045, [50.0, 50.0]), (0.055, [100.0])])
def test_a_fold_that_comes_to_an_edge_divides_its_tab(short: float, lower: list[float]) -> None:
    guide = straight_guide("90", Point(50.0, short), Point(50.0, 30.0))
    tabs = card_tabs(rectangle(100.0, 40.0), [guide], FLAT)
    own = [t for t in tabs if all(s.start.y <= 0.0 for s in t.segments)]
    assert feet(tuple(own)) == lower


def test_a_fold_less_than_3_mm_from_the_end_of_an_edge_leaves_its_tab_whole() -> None:
    guides = [straight_guide("90", Point(x, 0.0), Point(x, 30.0)) for x in (2.9, 97.1)]
    assert sorted(feet(card_tabs(rectangle(100.0, 40.0), guides, FLAT)))[-2:] == [100.0, 100.0]


@pytest.mark.parametrize(("apart", "lower"), [(2.9, [50.0, 47.1]), (3.1, [50.0, 3.1, 46.9])])
def test_between_folds_less_than_3_mm_apart_there_is_no_tab(
    apart: float, lower: list[float]
) -> None:
    guides = [straight_guide("90", Point(x, 0.0), Point(x, 30.0)) for x in (50.0, 50.0 + apart)]
    tabs = card_tabs(rectangle(100.0, 40.0), guides, FLAT)
    assert feet(tuple(t for t in tabs if all(s.start.y <= 0.0 for s in t.segments))) == lower


def test_gores_whose_edges_meet_have_no_slots() -> None:
    """Two strips of a barrel: the foot of one meets the top of the other."""
    barrel = cylinder_surface(0.0, 120.0, 0.0, 2.0 * math.pi)
    strips = (rectangle(100.0, 59.0), rectangle(100.0, 59.0, Point(0.0, 61.0)))
    assert card_slots(Outline(tuple(c for strip in strips for c in strip)), (), barrel) == ()


def test_slots_lie_3_mm_within_an_edge_that_leans() -> None:
    """An edge of 5 to 3 and 4, and a place halfway along it."""
    assert _inside(Line(Point(0.0, 0.0), Point(30.0, 40.0)), 25.0) == pytest.approx((12.6, 21.8))


@pytest.mark.parametrize(("saved", "teeth"), [(0.0095, 1), (0.0105, 9)])
def test_an_edge_that_is_longer_than_its_chord_is_bent(saved: float, teeth: int) -> None:
    """A length of s on a radius of r has a chord shorter by s^3 / (24 r^2)."""
    radius = math.sqrt(50.0**3 / (24.0 * saved))
    surface = cylinder_surface(0.0, 50.0, 0.0, 50.0 / radius)
    tabs = card_tabs(rectangle(30.0, 50.0), (), surface)
    assert len([t for t in tabs if all(s.start.x <= 0.0 for s in t.segments)]) == teeth
