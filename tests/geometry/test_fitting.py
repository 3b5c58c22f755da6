"""How a cubic is fitted to a smooth curve: at how many places, and in how many steps."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely

from livery.geometry import fitting
from livery.geometry.fitting import SmoothCurve, Stretch, fit_one, fitted, fitted_each
from livery.geometry.outline import Cubic, Point
from livery.geometry.segments import acceleration, direction, point_on, velocity


def sine(asked: list[Any]) -> SmoothCurve:
    """Return a sine curve that notes what places were asked for."""

    def places(t: Any) -> Any:
        asked.append(t)
        return np.stack((t, np.sin(t)), axis=1)

    def direction(t: float) -> Point:
        size = math.hypot(1.0, math.cos(t))
        return Point(1.0 / size, math.cos(t) / size)

    return SmoothCurve(places, direction)


def test_a_cubic_is_judged_at_33_places_of_its_curve() -> None:
    asked: list[Any] = []
    cubic, off = fit_one(sine(asked), 0.0, 2.0, 0.0)
    assert asked[0] == pytest.approx(np.linspace(0.0, 2.0, 33))
    assert (cubic.start, cubic.end) == ((0.0, 0.0), pytest.approx((2.0, math.sin(2.0))))
    drawn = shapely.LineString([point_on(cubic, k / 500.0) for k in range(501)])
    away = [drawn.distance(shapely.Point(x, math.sin(x))) for x in asked[0]]
    assert off == pytest.approx(max(away), abs=0.00001)


def test_a_cubic_is_bettered_ten_times_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    tries: list[Any] = []
    feet = fitting._feet
    monkeypatch.setattr(fitting, "_feet", lambda *args: tries.append(args) or feet(*args))
    fit_one(sine([]), 0.0, 5.0, 0.0)
    assert len(tries) == 10
    fit_one(sine([]), 0.0, 5.0, 1.0)
    assert len(tries) == 11  # the first is near enough


@pytest.mark.parametrize(
    "points",
    [
        ((3, 4), (20, 30), (60, 30), (90, 0)),
        ((0, 0), (40, 30), (60, -30), (100, 0)),
        ((0, 0), (5, 40), (70, 60), (90, 50)),
        ((10, -3), (30, -3), (31, 22), (-4, 18)),
        ((0, 0), (10, 0), (20, 0), (30, 0)),
    ],
    ids=["bow", "wave", "hook", "hairpin", "line"],
)
def test_places_of_a_cubic_are_fitted_by_that_cubic(points: Any) -> None:
    cubic = Cubic(*(Point(*p) for p in points))
    curve = SmoothCurve(
        lambda t: np.array([point_on(cubic, v) for v in t.tolist()]),
        lambda t: direction(cubic, t),
    )
    found, off = fit_one(curve, 0.0, 1.0, 0.0)
    assert off < 1e-12
    for own, true in zip(vars_of(found), vars_of(cubic), strict=True):
        assert own == pytest.approx(true, abs=1e-9)


def vars_of(cubic: Cubic) -> tuple[Point, ...]:
    return cubic.start, cubic.control1, cubic.control2, cubic.end


def test_a_quarter_circle_is_fitted_better_than_by_the_usual_handle() -> None:
    """Which is 4/3 tan(a/4), and 2.7e-4 of the radius off."""
    circle = SmoothCurve(
        lambda t: np.stack((np.cos(t), np.sin(t)), axis=1),
        lambda t: Point(-math.sin(t), math.cos(t)),
    )
    cubic, off = fit_one(circle, 0.0, math.pi / 2, 0.0)
    assert off == pytest.approx(2.02e-4, abs=1e-6)
    assert cubic.control1 == pytest.approx((1.0, 0.55195), abs=1e-5)


@pytest.mark.parametrize(
    ("end", "within", "count"),
    [(6.0, 0.003, 3), (12.0, 0.003, 5), (6.0, 0.1, 1), (12.0, 0.0001, 8)],
)
def test_a_curve_has_no_more_cubics_than_keep_within(end: float, within: float, count: int) -> None:
    cubics = fitted(sine([]), 0.5, end, within)
    assert len(cubics) == count
    for one, other in pairwise(cubics):
        assert one.end == other.start
    for cubic in cubics:
        for t in np.linspace(0, 1, 40):
            x, y = point_on(cubic, float(t))
            assert abs(y - math.sin(x)) < 1.1 * math.sqrt(2) * within


def test_places_that_are_one_make_a_cubic_of_no_length() -> None:
    samples = np.full((33, 2), 7.0)
    cubic, off = fitting.fit_points(samples, Point(1, 0), Point(0, 1), 0.0)
    assert vars_of(cubic) == ((7.0, 7.0),) * 4
    assert off == 0.0


def test_stretches_fitted_together_are_those_fitted_alone_and_take_no_more_goes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One that is halved several times, one that one cubic serves, one run backwards, and a place."""
    wave = sine([])
    back = wave._replace(direction=lambda t: Point(*(-v for v in wave.direction(t))))
    still = SmoothCurve(lambda t: np.full((len(t), 2), 3.0), lambda t: Point(1.0, 0.0))
    stretches = [
        Stretch(wave, 0.5, 12.0),
        Stretch(wave, 0.2, 0.9),
        Stretch(back, 7.0, 1.0),
        Stretch(still, 0.0, 1.0),
    ]
    goes: list[int] = []
    rows = fitting._fit_rows
    monkeypatch.setattr(
        fitting, "_fit_rows", lambda *args: goes.append(len(args[0])) or rows(*args)
    )
    alone = [fitted(*stretch, 0.003) for stretch in stretches]
    by_itself = goes.copy()
    goes.clear()
    assert [len(cubics) for cubics in alone] == [5, 1, 3, 1]
    assert alone[2][0].start.x == 7.0
    each = fitted_each(stretches * 3, 0.003)
    assert each == alone * 3
    levels = max(i for i, rows_ in enumerate(goes) if rows_ > 1) + 1
    assert levels <= 4  # as many as the one that is halved most
    # Only what is joined again is fitted by itself.
    assert goes[levels:] == [1] * (len(goes) - levels)
    assert sum(goes) == 3 * sum(by_itself)


def test_a_curve_with_a_corner_is_halved_to_a_4096th_round_it() -> None:
    """The lines on either side are one cubic each, and nothing of the curve is left out."""
    corner = 0.37

    def places(t: Any) -> Any:
        return np.stack((t, np.abs(t - corner)), axis=1)

    def along(t: float) -> Point:
        return Point(math.sqrt(0.5), math.copysign(math.sqrt(0.5), t - corner))

    made = fitted(SmoothCurve(places, along), 0.0, 1.0, 1e-9)
    first = math.floor(corner * 4096) / 4096
    bounds = [(c.start.x, c.end.x) for c in made]
    assert bounds == [(0.0, first), (first, first + 1 / 4096), (first + 1 / 4096, 1.0)]


@pytest.mark.parametrize("moved", [(0.0, 0.0), (700.0, -300.0), (-20.0, -10.0)])
def test_a_curve_is_fitted_alike_wherever_it_lies(moved: tuple[float, float]) -> None:
    """The directions asked for are none of its own: so the handles begin as a third of the chord."""
    t = np.linspace(0.0, 1.0, 33)
    samples = np.stack((10.0 * t, np.sin(6.0 * t)), axis=1)
    square = Point(0.0, 1.0), Point(0.0, -1.0)
    cubic, off = fitting.fit_points(samples, *square, 0.0)
    there, as_far_off = fitting.fit_points(samples + np.array(moved), *square, 0.0)
    assert as_far_off == pytest.approx(off, abs=1e-9)
    for p, q in zip(cubic, there, strict=True):
        assert (q.x - moved[0], q.y - moved[1]) == pytest.approx(p, abs=1e-9)


def test_the_least_change_that_serves_is_taken_where_two_rows_are_one_or_one_is_nothing() -> None:
    one, nothing, wanted = [1.0, 2.0], [0.0, 0.0], [2.0, 4.0]
    first, second = np.array([one, nothing, one, nothing]), np.array([one, one, nothing, nothing])
    a, b = fitting._least_squares(first, second, np.array([wanted] * 4))
    assert a.ravel() == pytest.approx([1.0, 0.0, 2.0, 0.0])
    assert b.ravel() == pytest.approx([1.0, 2.0, 0.0, 0.0])


@pytest.mark.parametrize("share", [0.5, -0.5])
def test_the_nearest_places_of_a_cubic_are_found_from_near_ones(share: float) -> None:
    """Of points half as far to either side of it as its circle of curvature reaches."""
    cubic = Cubic(Point(0.0, 0.0), Point(4.0, 9.0), Point(12.0, 9.0), Point(18.0, 0.0))
    own = np.linspace(0.0, 1.0, 9)
    points = []
    for t in own.tolist():
        on, along, bend = point_on(cubic, t), velocity(cubic, t), acceleration(cubic, t)
        speed = math.hypot(*along)
        reach = share * speed**3 / (along.x * bend.y - along.y * bend.x)
        points.append(complex(on.x - reach * along.y / speed, on.y + reach * along.x / speed))
    control = tuple(np.array([[complex(*p)]]) for p in cubic)
    found = fitting._feet(control, np.array([points]), own[None] + 0.03)
    assert found[0] == pytest.approx(own, abs=1e-6)
