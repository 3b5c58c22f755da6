"""Segments, contours and outlines by themselves: what carrying and cutting leaves of them."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from fontTools.misc.transform import Identity, Transform

from livery.geometry.outline import Arc, Cubic, Line, Point, carry, chain
from livery.geometry.segments import nearest_parameter, point_on

P = Point
ARC = Arc(P(31.7, -4.9), P(33.1, 6.3), 1.3)


@pytest.mark.parametrize(
    "transform",
    [
        Transform(1, 0, 0.3, 1, 5, -2),
        Transform(1, 0, -0.3, 1),
        Transform(1, 0.4, 0, 1),
        Transform(1, 0, 0.3, -1),
        Transform(0, 1, 0.6, 0),
        Transform(0, 1, -0.6, 0),
        Transform(2, 0, 0, 1),
        Transform(0.5, 0.8, 1.1, 0.2),
    ],
    ids=str,
)
def test_an_arc_that_is_stretched_or_slanted_runs_by_the_places_it_was_carried_to(
    transform: Transform,
) -> None:
    made = ARC.transformed(transform)
    assert {type(s) for s in made} == {Cubic}
    for k in range(41):
        place = carry(transform, point_on(ARC, k / 40))
        feet = (point_on(s, nearest_parameter(s, place)) for s in made)
        assert min(math.dist(place, foot) for foot in feet) < 1e-5 * ARC.radius


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turned", [0.0, 0.4, math.pi / 2, 2.0, math.pi, -1.0])
def test_an_arc_that_is_turned_mirrored_or_scaled_stays_an_arc(
    turned: float, mirrored: bool
) -> None:
    transform = Identity.translate(3, 4).rotate(turned).scale(2.5, -2.5 if mirrored else 2.5)
    (made,) = ARC.transformed(transform)
    assert made.bulge == (-ARC.bulge if mirrored else ARC.bulge)
    for k in range(5):
        assert point_on(made, k / 4) == pytest.approx(carry(transform, point_on(ARC, k / 4)))


@pytest.mark.parametrize("bulge", [0.1, -0.7, 1.3, -4.0])
def test_cubics_along_an_arc_begin_and_end_exactly_where_it_does(bulge: float) -> None:
    cubics = ARC._replace(bulge=bulge).as_cubics()
    assert (cubics[0].start, cubics[-1].end) == (ARC.start, ARC.end)
    assert all(one.end == other.start for one, other in pairwise(cubics))


def test_a_chain_leaves_out_points_that_are_said_twice() -> None:
    a, b, c = P(0, 0), P(4, 0), P(4, 3)
    triangle = (Line(a, b), Line(b, c), Line(c, a))
    assert chain([a, b, c]).segments == triangle
    assert chain([a, a, b, c, c, a]).segments == triangle
    assert chain([a, b, c, a], closed=False).segments == triangle
    assert chain([a, b, b], closed=False).segments == triangle[:1]
