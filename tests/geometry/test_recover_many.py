"""Rings of very many pieces made contours again."""

import math

import numpy as np
import pytest
from fontTools.misc.transform import Transform

from livery.geometry import chords
from livery.geometry.chords import ChordRuns
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, chain
from livery.geometry.path_text import from_lowest, in_order, write_path
from livery.geometry.pieces import pieces_of
from livery.geometry.recover import _edge, winding_region
from livery.geometry.recover_many import _begun_lowest, _parts, finished_rings
from livery.geometry.segments import direction, segment_length, trimmed
from livery.geometry.shapes import Corner, circle, polygon, rectangle
from livery.geometry.validity import faults

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
    (disc,) = circle(P(3, 4), 9)
    eighths = tuple(trimmed(s, k / 4, (k + 1) / 4) for s in disc.segments for k in range(4))
    (made,) = finished_rings(pieces_of((Contour(eighths),)), 0.002)
    assert len(made.segments) == 2


@pytest.fixture(scope="module")
def disc_of_many():
    """A polygon of 250 rounded corners: 250 lines and as many arcs."""
    angles = [k * math.tau / 250 + 0.003 for k in range(250)]
    return polygon([P(40 * math.cos(a), 40 * math.sin(a)) for a in angles], Corner("round", 9))


def test_what_stays_of_a_region_is_exactly_what_was_given(disc_of_many):
    (given,), (made,) = disc_of_many, winding_region(disc_of_many.contours)
    assert set(made.segments) == set(given.segments)
    apart = rectangle(3, 3, P(100, 0)).contours
    both = winding_region((*disc_of_many.contours, *apart))
    assert {s for c in both for s in c.segments} == {*given.segments, *apart[0].segments}


@pytest.mark.parametrize("gap", [1.5e-6, 0.7e-6])
def test_stretches_shorter_than_the_weld_are_left_out(disc_of_many, gap):
    """Of a line at its end, or of an arc between two triangles that cover the rest of it."""
    (given,) = disc_of_many
    covers = []

    def cover(at, along, places):
        return polygon(
            [
                P(at.x - back * along.x + out * along.y, at.y - back * along.y - out * along.x)
                for back, out in places
            ]
        ).contours

    for segment in given.segments[::21]:
        if isinstance(segment, Line):
            at, along = segment.end, direction(segment, 1)
            covers += cover(at, along, ((1.5e-6, 0.3), (1.5e-6, -0.3), (0.3, 0.02)))
        else:
            at, along = segment.middle, direction(segment, 0.5)
            for way in (1, -1):
                near, far = way * (gap / 2 - 3e-6), way * (gap / 2 + 3e-6)
                covers += cover(at, along, ((far, 0.3), (near, -0.3), (way * 0.1, 0.02)))
    union = winding_region((given, *covers))
    assert faults(union) == []
    assert min(segment_length(s) for c in union for s in c.segments) > (
        1e-3 if gap < 1e-6 else 1e-6
    )


KEYHOLE = Contour(
    (
        Arc(P(5, 0), P(-5, 0), math.tan(math.radians(310) / 4)),
        *chain([P(-5, 0), P(-5, -20), P(5, -20), P(5, 0)], closed=False).segments,
    )
)


@pytest.mark.parametrize("quarters", range(4))
@pytest.mark.parametrize(("x", "y"), [(3, 12), (-14, 8), (0, 15)])
def test_parts_of_arcs_of_more_than_half_a_turn_are_as_one_by_one(monkeypatch, quarters, x, y):
    turn = Transform().rotate(quarters * math.pi / 2)
    cut = rectangle(4, 30, P(x, y)).contours
    shapes = [c.transformed(turn) for c in (KEYHOLE, *cut, *circle(P(x + 9, y), 8))]
    expected = in_order(Outline(tuple(_edge(tuple(shapes), 1, 0.002))))
    monkeypatch.setattr(chords, "MANY", 0)
    found = in_order(Outline(tuple(_edge(tuple(shapes), 1, 0.002))))
    assert any(isinstance(s, Arc) and abs(s.bulge) > 1.01 for c in found for s in c.segments)
    assert write_path(found, 6) == write_path(expected, 6)


@pytest.mark.parametrize("first", range(6))
def test_a_ring_that_passes_its_lowest_node_twice_begins_as_it_would_by_itself(first):
    around = [P(0, 0), P(4, 3), P(2, 4), P(0, 0), P(-2, 4), P(-4, 3)]
    ring = chain(around[first:] + around[:first])
    other = chain([P(9, 9), P(12, 8), P(13, 11), P(11, 12), P(10, 11)])
    begun = _begun_lowest(pieces_of([ring, other])).contours()
    assert begun == [from_lowest(ring), from_lowest(other)]


@pytest.mark.parametrize("bulge", [0.3, -1.7])
def test_an_arc_that_is_run_backwards_is_the_very_arc_the_other_way(bulge):
    ring = Contour((Arc(P(1, 2), P(7, 4), bulge), Line(P(7, 4), P(1, 2))))
    pieces = pieces_of([ring])
    back, on = np.array([1.0, 1.0]), np.array([0.0, 0.0])
    starts = np.array([[1.0, 2.0], [7.0, 4.0]])
    runs = ChordRuns(np.array([1, 0]), back, on, starts, np.array([0, 0]))
    assert _parts(pieces, runs, starts).contours() == [ring.reversed()]
