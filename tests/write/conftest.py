"""The drawing every writer is tried on: each kind of mark and segment, on several layers."""

from __future__ import annotations

import pytest

from livery.drawing import Anchor, Area, Drawing, Label, Stroke
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.shapes import rectangle, ring

LEAF = Contour(
    (
        Cubic(Point(60, 30), Point(100, 60), Point(90, 110), Point(60, 90)),
        Cubic(Point(60, 90), Point(30, 110), Point(20, 60), Point(60, 30)),
    )
)


@pytest.fixture
def specimen() -> Drawing:
    return Drawing(
        "tender-side",
        "Marram Coast No. 318: tender side <& more>",
        603,
        142,
        (
            Area(rectangle(600, 140, Point(1.5, 1)), "#2d5a3d", "#000000", 0.3, "field", "side"),
            Area(ring(Point(300, 70), 40, 30), "#e8dcb0", layer="lining", name="ring"),
            Area(Outline((LEAF,)), "#b03020", layer="lining", name="ring"),
            Stroke(
                Contour(
                    (
                        Line(Point(120, 20), Point(200, 20)),
                        Arc(Point(200, 20), Point(200, 60), 0.5),
                    ),
                    False,
                ),
                "#ffffff",
                1.0,
                (4, 2),
                "centre lines",
            ),
            Label("Datum: 4 ft 1½ in → ⅜″", Point(120, 110), 4, colour="#ffffff"),
            Label("turned", Point(420, 60), 6, Anchor.MIDDLE, "#ffff00", 30),
        ),
    )
