"""Shapes of four sides from their sides and diagonals, against circles and least squares of others."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

from livery.geometry.outline import Point
from livery.geometry.quadrilateral import Corners, FourSides

NAMES = ("bottom", "right", "top", "left", "rising", "falling")


def lengths_of(corners) -> dict[str, float]:
    a, b, c, d = corners
    pairs = ((a, b), (b, c), (c, d), (d, a), (a, c), (d, b))
    return {name: math.dist(*pair) for name, pair in zip(NAMES, pairs, strict=True)}


def places(corners) -> list[float]:
    return [v for p in corners for v in p]


def test_a_shape_worked_by_hand() -> None:
    """Triangles of 3, 4, 5 and of 5, 12, 13: the diagonal is 5, and both angles on it are right."""
    sides = FourSides(bottom=4.0, right=3.0, top=13.0, left=12.0, rising=5.0)
    a, b, c, d = sides.corners()
    assert places((a, b, c)) == pytest.approx([0, 0, 4, 0, 4, 3])
    # The left side stands square on the diagonal, which runs 4 across and 3 up.
    assert tuple(d) == pytest.approx((-12 * 3 / 5, 12 * 4 / 5))


def test_the_corners_are_where_circles_of_another_library_cross() -> None:
    sides = FourSides(bottom=761.0, right=188.0, top=760.0, left=189.0, rising=784.0)
    a, b, c, d = sides.corners()

    def ring(centre: Point, radius: float):
        return shapely.Point(centre).buffer(radius, quad_segs=20_000).exterior

    for place, one, other in (
        (c, ring(a, 784.0), ring(b, 188.0)),
        (d, ring(a, 189.0), ring(c, 760.0)),
    ):
        crossings = shapely.get_parts(one.intersection(other))
        assert min(shapely.distance(shapely.Point(place), crossings)) < 1e-3


SIDE = st.floats(20.0, 2000.0)


@st.composite
def quadrilaterals(draw) -> Corners:
    wide, high = draw(SIDE), draw(SIDE)
    lean = st.floats(-0.3, 0.3)
    top_right = Point(wide * (1 + draw(lean)), high * (1 + draw(lean)))
    top_left = Point(wide * draw(lean), high * (1 + draw(lean)))
    corners = Corners(Point(0.0, 0.0), Point(wide, 0.0), top_right, top_left)
    assume(corners.is_convex)
    return corners


@given(quadrilaterals(), st.sampled_from(["rising", "falling", "both"]))
def test_corners_come_back_from_edges_and_diagonals(corners, diagonals) -> None:
    lengths = lengths_of(corners)
    if diagonals != "both":
        lengths["falling" if diagonals == "rising" else "rising"] = None
    sides = FourSides(**lengths)
    assert sides.impossible() == () and abs(sides.gap) < 1e-6
    assert places(sides.corners()) == pytest.approx(places(corners), abs=1e-4)


@settings(max_examples=30)
@given(quadrilaterals(), st.lists(st.floats(-0.5, 0.5), min_size=6, max_size=6))
def test_six_lengths_that_do_not_close_are_adjusted_as_another_library_does(corners, slips) -> None:
    lengths = {n: v + s for (n, v), s in zip(lengths_of(corners).items(), slips, strict=True)}
    sides = FourSides(**lengths)
    assume(not sides.impossible())

    def misses(at):
        b, cx, cy, dx, dy = at
        found = lengths_of(((0.0, 0.0), (b, 0.0), (cx, cy), (dx, dy)))
        return [found[n] - lengths[n] for n in NAMES]

    start = [corners[1].x, *corners[2], *corners[3]]
    best = least_squares(misses, start, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    a, b, c, d = sides.corners()
    ours = np.array(misses([b.x, *c, *d]))
    assert float(ours @ ours) <= 2.0 * best.cost + 1e-8
    assert a == (0.0, 0.0) and b.y == 0.0


def test_the_gap_is_how_far_a_diagonal_is_from_the_other_lengths() -> None:
    square = FourSides(100.0, 100.0, 100.0, 100.0, 141.0, 143.0)
    # By Pythagoras, a rhombus's diagonals: (141 / 2)^2 + (d / 2)^2 = 100^2.
    assert square.gap == pytest.approx(143.0 - 2.0 * math.sqrt(100.0**2 - 70.5**2))
    assert FourSides(100.0, 100.0, 100.0, 100.0, 141.0).gap == 0.0


def test_lengths_of_no_triangle_are_named() -> None:
    sides = FourSides(bottom=76.1, right=188.0, top=760.0, left=189.0, rising=784.0, falling=783.0)
    assert sides.impossible() == (("bottom", "right", "rising"), ("bottom", "left", "falling"))
    assert FourSides(3.0, 4.0, 3.0, 4.0, rising=7.0).impossible() == (
        ("bottom", "right", "rising"),
        ("top", "left", "rising"),
    )


@pytest.mark.parametrize("inward", range(4))
@pytest.mark.parametrize(("at", "is_convex"), [(9, True), (5, False), (4, False)])
def test_a_corner_that_points_inward_is_seen(inward, at, is_convex) -> None:
    corners = [Point(0, 0), Point(10, 0), Point(at, at), Point(0, 10)]
    assert Corners(*corners[inward:], *corners[:inward]).is_convex is is_convex
