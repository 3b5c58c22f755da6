"""Plates of the fictional Marram Coast Railway, lettered with plain strokes."""

from __future__ import annotations

import pytest

from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import Corner, ellipse, rectangle, ring
from livery.plate.outlines import border, drilled
from livery.plate.plate import Plate


def bars(*places: tuple[float, float, float, float]) -> Outline:
    return Outline(tuple(c for x, y, w, h in places for c in rectangle(w, h, Point(x, y))))


@pytest.fixture
def number_plate() -> Plate:
    outline = rectangle(70, 28, corners=Corner("incurved", 3.5))
    figures = Outline((*bars((20, 6, 4, 16)).contours, *ring(Point(44, 14), 8, 4).contours))
    return Plate("number-plate", outline, figures, border(outline, 1.5, 1.0))


@pytest.fixture
def builders_plate() -> Plate:
    outline = drilled(ellipse(Point(0, 0), 45, 26), [Point(-39, 0), Point(39, 0)], 2.5)
    letters = bars((-10, -5, 1.6, 10), (-6, -5, 1.6, 10), (0, -5, 8, 1.6))
    return Plate("builders-plate", outline, letters, border(outline, 1.6))
