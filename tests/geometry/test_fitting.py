"""How a cubic is fitted to a smooth curve: at how many places, and in how many steps."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely

from livery.geometry import fitting
from livery.geometry.fitting import SmoothCurve, fit_one
from livery.geometry.outline import Point
from livery.geometry.segments import point_on


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
