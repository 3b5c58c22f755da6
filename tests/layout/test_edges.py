"""Insets that differ from edge to edge, and the names of edges and corners."""

from __future__ import annotations

import math

import pytest

from livery.geometry.measure import Bounds, area, bounds
from livery.geometry.offset import inset
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, chain
from livery.geometry.shapes import Corner, polygon, rectangle
from livery.layout.edges import corner_name, facing_edge, inset_by_edge

AT = Point(700.0, -400.0)
BOX = rectangle(120.0, 80.0, AT)
# Its top is an arc that rises 20 mm above sides of 80 mm.
ARCHED = Outline(
    (
        Contour(
            (
                *BOX.contours[0].segments[:2],
                Arc(Point(820.0, -320.0), Point(700.0, -320.0), 1.0 / 3.0),
                Line(Point(700.0, -320.0), AT),
            )
        ),
    )
)
ROUNDED = rectangle(120.0, 80.0, AT, corners=Corner("round", 15.0))
ALCOVE = rectangle(120.0, 80.0, AT, corners=Corner("incurved", 15.0))


@pytest.mark.parametrize("outline", [BOX, ARCHED, ROUNDED, ALCOVE])
def test_one_inset_of_all_edges_is_the_plain_inset(outline: Outline) -> None:
    moved, numbers = inset_by_edge(outline, lambda _: 5.0, "k")
    plain = inset(outline, 5.0)
    assert area(moved) == pytest.approx(area(plain))
    assert bounds(moved) == pytest.approx(bounds(plain))
    assert numbers == tuple(range(len(outline.contours[0].segments)))


@pytest.mark.parametrize(("top", "sides"), [(4.0, 9.0), (9.0, 4.0)])
def test_an_arched_top_and_its_sides_keep_their_own_insets(top: float, sides: float) -> None:
    by_edge = {"top": top, "left": sides, "right": sides, "bottom": 0.0}
    segments = ARCHED.contours[0].segments
    moved, _ = inset_by_edge(ARCHED, lambda i: by_edge[facing_edge(segments[i])], "k")
    before, after = (
        next(s for s in o.contours[0].segments if isinstance(s, Arc)) for o in (ARCHED, moved)
    )
    assert after.centre == pytest.approx(before.centre)
    assert after.radius == pytest.approx(before.radius - top)
    assert math.copysign(1.0, after.bulge) == math.copysign(1.0, before.bulge)
    assert abs(after.sweep) < math.pi
    box = bounds(moved)
    assert (box.left, box.right, box.bottom) == pytest.approx((700 + sides, 820 - sides, -400))
    assert box.top == pytest.approx(-300.0 - top)


def test_a_side_that_vanishes_exactly_is_left_out() -> None:
    corners = [Point(0, 0), Point(100, 0), Point(100, 50), Point(90, 60), Point(0, 60)]
    # The chamfer stays; the sides beside it meet on it when they move in by 5 mm.
    moved, numbers = inset_by_edge(polygon(corners), lambda i: 0.0 if i == 2 else 5.0, "k")
    assert numbers == (0, 1, 3, 4)
    assert bounds(moved) == pytest.approx((5, 5, 95, 55))
    assert area(moved) == pytest.approx(90 * 50)


def test_edges_face_outward_and_corners_are_named_by_their_quarter() -> None:
    way = chain([Point(0, 0), Point(9, 1), Point(8, 7), Point(-1, 6)])
    assert [facing_edge(s) for s in way.segments] == ["bottom", "right", "top", "left"]
    box = Bounds(100, 200, 140, 260)
    names = {(110, 210): "bottom_left", (130, 210): "bottom_right", (130, 250): "top_right"}
    names |= {(110, 250): "top_left", (110, 230): "top_left", (120, 210): "bottom_right"}
    assert {at: corner_name(Point(*at), box) for at in names} == names
