"""Fitting a drawing to a panel as built: the laws it keeps."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.segments import point_on
from livery.geometry.shapes import Corner, polygon, rectangle
from livery.layout.fit import (
    AxisFit,
    PanelFit,
    fit_outline,
    is_rising,
    take_between,
    take_in_proportion,
    take_in_the_middle,
)

sizes = st.floats(20.0, 2000.0)
changes = st.floats(-8.0, 15.0)


def panel(width: float, height: float, radius: float) -> Outline:
    return rectangle(width, height, corners=Corner("round", radius))


def over(width: float, height: float, dw: float, dh: float) -> PanelFit:
    x = take_in_proportion([(0.0, 0.0), (width, width + dw)])
    y = take_in_proportion([(0.0, 0.0), (height, height + dh)])
    return PanelFit(x, y)


@given(sizes, sizes, st.floats(0.5, 9.0))
def test_a_panel_built_to_scale_is_its_drawing(width: float, height: float, radius: float) -> None:
    drawn = panel(width, height, radius)
    fitted = fit_outline(drawn, over(width, height, 0.0, 0.0))
    for a, b in zip(drawn.contours[0].segments, fitted.contours[0].segments, strict=True):
        assert type(a) is type(b)
        assert math.dist(a.start, b.start) < 1e-9
        assert math.dist(a.end, b.end) < 1e-9


@given(sizes, sizes, st.floats(0.5, 9.0), changes, changes)
def test_corners_keep_their_radius_and_the_panel_gets_its_size(
    width: float, height: float, radius: float, dw: float, dh: float
) -> None:
    if width + dw < 2.2 * radius or height + dh < 2.2 * radius:
        return
    fitted = fit_outline(panel(width, height, radius), over(width, height, dw, dh))
    box = bounds(fitted)
    assert box.width == pytest.approx(width + dw)
    assert box.height == pytest.approx(height + dh)
    arcs = [s for s in fitted.contours[0].segments if isinstance(s, Arc)]
    assert len(arcs) == 4
    for arc in arcs:
        assert arc.radius == pytest.approx(radius)
        assert abs(arc.sweep) == pytest.approx(math.pi / 2)
    whole = (width + dw) * (height + dh) - (4 - math.pi) * radius**2
    assert area(fitted) == pytest.approx(whole)


@given(sizes, changes, st.floats(0, 1), st.floats(0, 1))
def test_every_way_of_taking_up_keeps_order_and_ends(
    size: float, change: float, a: float, b: float
) -> None:
    knots = [(0.0, 0.0), (size, size + change)]
    if abs(change) > size / 4:
        return
    for fit in (
        take_in_proportion(knots),
        take_in_the_middle(knots),
        take_between(knots, size * 0.3, size * 0.7),
    ):
        assert is_rising(fit)
        assert fit(0.0) == 0.0
        assert fit(size) == pytest.approx(size + change)
        low, high = sorted((a * size, b * size))
        assert fit(low) <= fit(high)


def test_outside_the_datums_the_fit_is_at_scale() -> None:
    fit = take_in_proportion([(0.0, 0.0), (100.0, 98.0), (200.0, 201.0)])
    assert fit(250.0) == 251.0
    assert fit(-10.0) == -10.0
    assert fit(50.0) == 49.0
    assert fit(150.0) == pytest.approx(149.5)


@pytest.mark.parametrize(
    ("take", "knots", "places"),
    [
        (
            take_in_the_middle,
            [(30.0, 10.0), (90.0, 76.0), (390.0, 370.0)],
            [(20, 0), (50, 30), (60, 43), (70, 56), (190, 176), (240, 223), (290, 270), (400, 380)],
        ),
        (
            partial(take_between, start=130.0, end=230.0),
            [(30.0, 10.0), (390.0, 376.0)],
            [(20, 0), (130, 110), (180, 163), (230, 216), (390, 376), (400, 386)],
        ),
        (
            take_in_proportion,
            [(30.0, 10.0), (90.0, 76.0)],
            [(20, 0), (50, 32), (80, 65), (91, 77)],
        ),
    ],
    ids=("in the middle", "between", "in proportion"),
)
def test_the_difference_is_taken_where_it_is_described_and_the_rest_is_at_scale(
    take: Callable[[list[tuple[float, float]]], AxisFit],
    knots: list[tuple[float, float]],
    places: list[tuple[float, float]],
) -> None:
    fit = take(knots)
    for drawn, built in places:
        assert fit(drawn) == pytest.approx(built)
        assert fit.drawn(built) == pytest.approx(drawn)


def test_a_curve_is_carried_point_by_point_where_the_fit_is_in_proportion() -> None:
    fit = PanelFit(
        take_in_proportion([(10.0, 0.0), (110.0, 120.0)]),
        take_in_proportion([(10.0, 0.0), (60.0, 40.0)]),
    )
    up = Cubic(Point(10, 10), Point(40, 15), Point(60, 35), Point(110, 60))
    back = Cubic(Point(110, 60), Point(60, 60), Point(25, 45), Point(10, 10))
    fitted = fit_outline(Outline((Contour((up, back)),)), fit)
    for drawn, built in zip((up, back), fitted.contours[0].segments, strict=True):
        for t in (0.0, 0.3, 0.7, 1.0):
            assert point_on(built, t) == pytest.approx(fit(point_on(drawn, t)))


def test_a_curve_between_ends_of_one_height_keeps_its_rise() -> None:
    ends = Point(10, 10), Point(110, 10)
    arch = Cubic(ends[0], Point(30, 25), Point(90, 25), ends[1])
    fit = PanelFit(
        take_in_proportion([(0.0, 0.0), (100.0, 100.0)]),
        take_in_proportion([(0.0, 0.0), (10.0, 20.0), (60.0, 80.0)]),
    )
    fitted = fit_outline(Outline((Contour((arch, Line(*reversed(ends)))),)), fit)
    assert fitted.contours[0].segments[0] == Cubic(
        Point(10, 20), Point(30, 35), Point(90, 35), Point(110, 20)
    )


def test_a_crossing_of_datums_is_seen() -> None:
    assert not is_rising(AxisFit(((0.0, 0.0), (50.0, 60.0), (100.0, 58.0))))


def test_a_fillet_between_sloping_sides_stays_tangent_at_its_radius() -> None:
    corners = [Corner("square")] * 3 + [Corner("round", 8.0)]
    points = [Point(0, 0), Point(120, 0), Point(120, 60), Point(70, 90)]
    fitted = fit_outline(polygon(points, corners), over(120, 90, -5.0, 6.0))
    (arc,) = (s for s in fitted.contours[0].segments if isinstance(s, Arc))
    assert arc.radius == pytest.approx(8.0)
    lines = [s for s in fitted.contours[0].segments if isinstance(s, Line)]
    into = next(s for s in lines if s.end == arc.start)
    chord = math.atan2(arc.end.y - arc.start.y, arc.end.x - arc.start.x)
    along = math.atan2(into.end.y - into.start.y, into.end.x - into.start.x)
    assert math.remainder(chord - arc.sweep / 2 - along, math.tau) == pytest.approx(0, abs=1e-9)
