"""The bounds of what is read again, against those the library that parses it finds."""

from __future__ import annotations

import random

import pytest
import svgelements

from livery.write.reread import svg_edges

CHANCE = random.Random(3)


def anywhere() -> float:
    return CHANCE.uniform(-50.0, 50.0)


def any_path(circular: bool) -> str:
    """An arc of any size and turn, a cubic that may bulge beyond its ends, and a line."""
    rx = CHANCE.uniform(1.0, 80.0)
    ry, turn = (rx, 0.0) if circular else (CHANCE.uniform(1.0, 80.0), 3.0 * anywhere())
    arc = f"A{rx} {ry} {turn} {CHANCE.choice('01')} {CHANCE.choice('01')} {anywhere()} {anywhere()}"
    cubic = "C" + " ".join(str(anywhere()) for _ in range(6))
    return f"M{anywhere()} {anywhere()}{arc}{cubic}L{anywhere()} {anywhere()}Z"


ODD = (
    "M10 0A5 5 0 0 1 0 0A5 5 0 0 1 10 0Z",  # a whole circle
    "M0 0L10 0A0 3 0 0 1 10 5Z",  # an arc without a radius is a line
    "M0 0C1 0 9 5 10 5L0 9Z",  # a cubic between its ends
    "M0 0C1 -6 9 5 10 5L0 9Z",
    "M0 0L3 4",
)


@pytest.mark.parametrize(
    "path", [*ODD, *(any_path(i % 2 == 0) for i in range(40))], ids=lambda path: path[:9]
)
def test_bounds_are_those_of_the_library(path: str) -> None:
    (edge,) = svg_edges(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="7mm"><path d="{path}"/></svg>'.encode()
    )
    x0, y0, x1, y1 = svgelements.Path(path).bbox()
    assert edge.box == pytest.approx((x0, 7.0 - y1, x1, 7.0 - y0), abs=1e-9)


def test_each_contour_has_bounds_of_its_own() -> None:
    far, near = svg_edges(
        b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="7mm">'
        b'<path d="M50 50L60 50L60 60ZM1 1L4 1L4 3Z"/></svg>'
    )
    assert far.box == (50.0, -53.0, 60.0, -43.0)
    assert near.box == (1.0, 4.0, 4.0, 6.0)
