"""What a view of a vehicle shows of a bent panel, and how large its words are."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest

from livery.drawing import Area, Label
from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.make.drawings.vehicle_elevation import (
    _seen_panel,
    _sheet,
    _shown,
    train_elevation,
    train_places,
)
from livery.make.drawings.vehicle_files import vehicle_drawings
from livery.vehicles.facets import Facet
from livery.vehicles.standing import Space
from livery.vehicles.view import View


@pytest.mark.parametrize(("overlap", "shown"), [(0.19, 1), (0.21, 2)])
def test_a_panel_is_shown_facet_by_facet_where_a_thousandth_of_it_hides_itself(
    overlap: float, shown: int
) -> None:
    """Two facets 100 mm wide, one of them a little behind the other."""
    regions = (rectangle(100.0, 50.0), rectangle(100.0 + overlap, 50.0, Point(100.0 - overlap, 0)))
    facets = [Facet(r, Space(0, 0, 0), Space(1, 0, 0), Space(0, 0, 1)) for r in regions]
    seen = list(_seen_panel(SimpleNamespace(facets=facets), View.LEFT, ()))  # type: ignore[arg-type]
    assert len(seen) == shown


@pytest.mark.parametrize(("length", "high"), [(1000.0, 3.0), (1600.0, 4.0)])
def test_a_long_picture_has_larger_words(length: float, high: float) -> None:
    sheet = _sheet("a", "A", "b", [Area(rectangle(length, 100.0), "#000000")], View.LEFT)
    words = [m.height_mm for m in sheet.marks if isinstance(m, Label)]
    assert words == pytest.approx([high, 0.7 * high])


def test_paint_that_runs_over_a_bend_is_one_area_in_a_view() -> None:
    """A third facet, which it does not reach, leaves it as it is."""
    facets = [
        Facet(rectangle(100.0, 50.0, Point(x, 0)), Space(0, 0, 0), Space(1, 0, 0), Space(0, 0, 1))
        for x in (0.0, 100.0, 200.0)
    ]
    paint = Area(rectangle(100.0, 20.0, Point(50.0, 10.0)), "#123456", layer="livery")
    (seen,) = _seen_panel(SimpleNamespace(facets=facets), View.LEFT, (paint,))  # type: ignore[arg-type]
    (mark,) = seen.marks
    assert bounds(mark.outline) == pytest.approx((50.0, 10.0, 150.0, 30.0))
    assert len(mark.outline.contours) == 1


def test_the_nearness_of_a_facet_that_leans_is_that_of_each_of_its_corners() -> None:
    turn, lean = 0.4, 0.3
    across = Space(math.cos(turn), math.sin(turn), 0.1)
    up = Space(-math.sin(turn) * math.sin(lean), math.cos(turn) * math.sin(lean), math.cos(lean))
    facet = Facet(rectangle(90.0, 40.0), Space(7.0, 11.0, 13.0), across, up)
    x_share, y_share, level = _shown(facet, View.LEFT).plane
    for corner in ((0.0, 0.0), (90.0, 0.0), (90.0, 40.0), (0.0, 40.0)):
        x, y, near = View.LEFT.seen(facet.place(*corner))
        assert x_share * x + y_share * y + level == pytest.approx(near)


def in_train(start: float, *, turned: bool) -> Any:
    """Return a vehicle of 100 mm in a train."""
    vehicle = SimpleNamespace(sizes=SimpleNamespace(length=100.0))
    return SimpleNamespace(vehicle=vehicle, start=start, end=start + 100.0, turned=turned)


def test_every_vehicle_of_a_train_stands_at_its_place_from_both_sides() -> None:
    """From its left a vehicle runs from 0 to its length, from its right from there below 0 to 0."""
    train = [in_train(20.0, turned=False), in_train(130.0, turned=True)]
    places = {v: [(s, at) for _, s, at in train_places(train, v)] for v in (View.LEFT, View.RIGHT)}
    assert places == {
        View.LEFT: [(View.LEFT, 20.0), (View.RIGHT, 230.0)],
        View.RIGHT: [(View.RIGHT, -20.0), (View.LEFT, -230.0)],
    }


def test_a_train_is_as_long_as_from_its_first_vehicle_to_its_last() -> None:
    train = [in_train(start, turned=False) for start in (20.0, 130.0, 240.0)]
    body = Area(rectangle(100.0, 50.0, Point(0.0, 10.0)), "#123456")
    views: Any = SimpleNamespace(of=lambda vehicle, view: (body,))
    drawing = train_elevation(train, View.LEFT, views, "Trial")
    assert drawing is not None
    words = [m.text for m in drawing.marks if isinstance(m, Label)]
    assert words[1].startswith("320 mm over headstocks")
    bodies = [bounds(m.outline).left for m in drawing.marks if isinstance(m, Area)]
    assert bodies == pytest.approx([12.0, 122.0, 232.0])


@pytest.mark.parametrize(("count", "names"), [(1, []), (2, ["train-left", "train-right"])])
def test_a_train_of_one_vehicle_is_not_drawn_again(count: int, names: list[str]) -> None:
    body = Area(rectangle(100.0, 50.0), "#123456")
    views: Any = SimpleNamespace(of=lambda vehicle, view: (body,))
    train = [in_train(110.0 * i, turned=False) for i in range(count)]
    vehicles: Any = SimpleNamespace(placed=(), train=train)
    assert [d.name for d in vehicle_drawings(vehicles, views, "Trial")] == names


def test_what_is_seen_from_above_stands_clear_of_its_words() -> None:
    roof = Area(rectangle(100.0, 50.0, Point(-20.0, -25.0)), "#123456")
    sheet = _sheet("a", "A", "b", [roof], View.ABOVE)
    drawn = next(bounds(m.outline) for m in sheet.marks if isinstance(m, Area))
    assert (drawn.left, drawn.bottom) == pytest.approx((12.0, 12.0 + 3 * 3.0))
