"""Rings of very many pieces made contours again."""

import math

import pytest

from livery.geometry.outline import Arc, Contour, Line, Point, chain
from livery.geometry.pieces import pieces_of
from livery.geometry.recover_many import finished_rings
from livery.geometry.shapes import rectangle

P = Point


@pytest.mark.parametrize(("high", "kept"), [(0.0019, 0), (0.0021, 1)])
@pytest.mark.parametrize("at", [P(0, 0), P(4000, -3000)])
def test_a_ring_thinner_on_average_than_the_chord_error_is_left_out(at, high, kept):
    strip = rectangle(90, high, at).contours
    square = rectangle(5, 5, P(at.x + 200, at.y)).contours
    assert len(finished_rings(pieces_of((*strip, *square)), 0.002)) == 1 + kept


def test_how_thick_a_ring_of_an_arc_and_its_chord_is():
    arc = Arc(P(4040, -3000), P(4000, -3000), 0.5)
    area = arc.radius**2 * (arc.sweep - math.sin(arc.sweep)) / 2
    thick = 2 * area / (arc.radius * arc.sweep + 40)
    pieces = pieces_of((Contour((arc, Line(arc.end, arc.start))),))
    assert len(finished_rings(pieces, 0.99 * thick)) == 1
    assert finished_rings(pieces, 1.01 * thick) == []


def test_neighbours_that_are_one_segment_become_one():
    halves = chain([P(0, 0), P(5, 0), P(9, 0), P(9, 4), P(9, 9), P(0, 9)])
    turned = Contour(halves.segments[1:] + halves.segments[:1])
    for contour in (halves, turned):
        (made,) = finished_rings(pieces_of((contour,)), 0.002)
        assert set(made.nodes) == {P(0, 0), P(9, 0), P(9, 9), P(0, 9)}
