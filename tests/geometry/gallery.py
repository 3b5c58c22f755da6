"""Named specimen outlines, plain, awkward and empty, that every operation is run on."""

from __future__ import annotations

import math

from fontTools.misc.transform import Transform

from livery.geometry.outline import EMPTY, Arc, Contour, Cubic, Line, Outline, Point, chain
from livery.geometry.shapes import (
    Corner,
    circle,
    ellipse,
    oval,
    polygon,
    rectangle,
    ring,
)

P = Point


def regular_polygon(sides: int, radius: float) -> Outline:
    """A regular polygon in a circle of ``radius``, its first corner to the right."""
    step = math.tau / sides
    return polygon(
        [P(radius * math.cos(i * step), radius * math.sin(i * step)) for i in range(sides)]
    )


def _blob() -> Outline:
    """Four cubics with an inflection in each."""
    a, b, c, d = P(0, 0), P(80, 10), P(70, 60), P(-5, 50)
    return Outline(
        (
            Contour(
                (
                    Cubic(a, P(30, -25), P(50, 25), b),
                    Cubic(b, P(95, 25), P(60, 40), c),
                    Cubic(c, P(50, 80), P(30, 40), d),
                    Cubic(d, P(-20, 30), P(15, 20), a),
                )
            ),
        )
    )


def _holed() -> Outline:
    """A side sheet with three windows."""
    side = rectangle(200, 60, corners=Corner("round", 6)).contours
    windows = tuple(
        c.reversed()
        for x in (20, 80, 140)
        for c in rectangle(40, 25, P(x, 25), Corner("round", 4)).contours
    )
    return Outline(side + windows)


def _arched() -> Outline:
    """A roof end: straight sides and foot, one arc over the top."""
    a, b, c, d = P(0, 0), P(90, 0), P(90, 30), P(0, 30)
    return Outline((Contour((Line(a, b), Line(b, c), Arc(c, d, 0.35), Line(d, a))),))


def _teardrop() -> Outline:
    """A single cubic that comes back to its own start at a point."""
    return Outline((Contour((Cubic(P(0, 0), P(60, -20), P(60, 60), P(0, 0)),)),))


def _comb() -> Outline:
    """Teeth with narrow gaps between."""
    points = [P(0, 0), P(100, 0)]
    for i in range(10):
        x = 100 - i * 10
        points += [P(x, 30), P(x - 8, 30), P(x - 8, 5), P(x - 10, 5)]
    return Outline((chain(points),))


def _star() -> Outline:
    return polygon(
        [
            P(
                (40 if i % 2 == 0 else 15) * math.cos(i * math.pi / 5),
                (40 if i % 2 == 0 else 15) * math.sin(i * math.pi / 5),
            )
            for i in range(10)
        ]
    )


def _dumbbell() -> Outline:
    """Two blocks joined by a neck that an inset cuts through."""
    return polygon(
        [
            P(0, 0),
            P(40, 0),
            P(40, 17),
            P(60, 17),
            P(60, 0),
            P(100, 0),
            P(100, 40),
            P(60, 40),
            P(60, 23),
            P(40, 23),
            P(40, 40),
            P(0, 40),
        ]
    )


SPECIMENS: dict[str, Outline] = {
    "empty": EMPTY,
    "square": rectangle(50, 50),
    "sheet with round corners": rectangle(165, 50, P(-3, 7), Corner("round", 6)),
    "sheet with incurved corners": rectangle(165, 50, corners=Corner("incurved", 8)),
    "sheet with chamfers": rectangle(165, 50, corners=Corner("chamfered", 8)),
    "sheet with notches": rectangle(165, 50, corners=Corner("notched", 8)),
    "each corner its own": rectangle(
        120,
        60,
        corners=[
            Corner("square"),
            Corner("round", 10),
            Corner("incurved", 9),
            Corner("notched", 7),
        ],
    ),
    "circle": circle(P(10, 10), 25),
    "ring": ring(P(-10, 5), 30, 22),
    "ellipse": ellipse(P(0, 0), 60, 25),
    "oval": oval(90, 30),
    "upright oval": oval(20, 70, P(5, 5)),
    "hexagon": regular_polygon(6, 30),
    "blob": _blob(),
    "side with windows": _holed(),
    "arched end": _arched(),
    "teardrop": _teardrop(),
    "comb": _comb(),
    "star": _star(),
    "dumbbell": _dumbbell(),
    "two apart": Outline(rectangle(30, 30).contours + circle(P(60, 15), 12).contours),
    "island in a hole": Outline(
        ring(P(0, 0), 50, 40).contours + rectangle(30, 20, P(-15, -10)).contours
    ),
    "touching at a corner": Outline(
        rectangle(20, 20).contours + rectangle(20, 20, P(20, 20)).contours
    ),
    "turned sheet": rectangle(80, 40, corners=Corner("round", 10)).transformed(
        Transform().rotate(0.3).translate(12.3, -4.5)
    ),
    "far away": rectangle(80, 40, P(4000, -3000), Corner("round", 10)),
    "tiny": rectangle(0.05, 0.03),
    "needle": polygon([P(0, 0), P(100, 0.4), P(0, 0.8)]),
}
"""Outlines that keep the promise of an outline: closed, not crossing, right way round."""

NASTY: dict[str, Outline] = {
    "bow tie": Outline((chain([P(0, 0), P(40, 30), P(40, 0), P(0, 30)]),)),
    "clockwise square": Outline((rectangle(30, 30).contours[0].reversed(),)),
    "the same twice": Outline(rectangle(30, 30).contours * 2),
    "there and back": Outline((chain([P(0, 0), P(50, 0), P(50, 30), P(50, 0)]),)),
    "repeated node": Outline(
        (
            Contour(
                (
                    Line(P(0, 0), P(30, 0)),
                    Line(P(30, 0), P(30, 0)),
                    Line(P(30, 0), P(30, 30)),
                    Line(P(30, 30), P(0, 0)),
                )
            ),
        )
    ),
    "hair": Outline((chain([P(0, 0), P(50, 0), P(50, 1e-7), P(0, 1e-7)]),)),
    "overlapping pair": Outline(circle(P(0, 0), 20).contours + circle(P(15, 0), 20).contours),
    "looped cubic": Outline(
        (
            Contour(
                (
                    Cubic(P(0, 0), P(90, 60), P(-40, 60), P(50, 0)),
                    Line(P(50, 0), P(0, 0)),
                )
            ),
        )
    ),
}
"""Outlines that break it."""
