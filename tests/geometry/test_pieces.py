"""Lines and arcs as arrays, against the same lines and arcs one by one."""

import gc
import math

import numpy as np
import pytest

from livery.geometry.chords import chord_counts
from livery.geometry.flatten import steps
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point, chain
from livery.geometry.pieces import bulge_of, pieces_of
from livery.geometry.segments import direction, segment_length
from livery.geometry.shapes import Corner, circle, rectangle

P = Point
RINGS = (
    *rectangle(40, 30, P(3, -2), corners=[Corner("round", 5), *[Corner("incurved", 4)] * 3]),
    *circle(P(20, 13), 6),
    chain([P(30, 20), P(32, 25), P(27, 24)]),
    Contour((Arc(P(9, 9), P(10, 11), -2.2), Line(P(10, 11), P(9, 9)))),
)


@pytest.mark.parametrize("backward", [False, True])
def test_each_piece_is_its_segment(backward):
    rings = [c.reversed() for c in RINGS] if backward else list(RINGS)
    pieces = pieces_of(RINGS)
    pieces = pieces.reversed_rings() if backward else pieces
    segments = [s for c in rings for s in c.segments]
    assert len(pieces) == len(segments)
    leaving, arriving = pieces.directions()
    lengths = pieces.length()
    for i, segment in enumerate(pieces):
        k = next(k for k, s in enumerate(segments) if s == segment)
        assert lengths[i] == pytest.approx(segment_length(segments[k]))
        assert leaving[i] == pytest.approx(direction(segments[k], 0), abs=1e-12)
        assert arriving[i] == pytest.approx(direction(segments[k], 1), abs=1e-12)
        if isinstance(segment, Arc):
            assert pieces.centre[i] == pytest.approx(segment.centre)
            assert pieces.radius[i] == pytest.approx(segment.radius)
            assert pieces.sweep[i] == pytest.approx(segment.sweep)


@pytest.mark.parametrize("count", [1, 5, 79])
def test_an_arc_has_as_many_chords_as_by_itself(count):
    """A whole number of them just fits, but for rounding."""
    sweep = count * 2 * math.acos(1 - 0.002 / 10)
    end = P(10 * math.cos(sweep), 10 * math.sin(sweep))
    arc = Arc(P(10, 0), end, math.tan(sweep / 4))
    tiny = Arc(end, P(end.x + 1e-3, end.y), 1.0)
    contour = Contour((arc, tiny, Line(tiny.end, arc.start)))
    assert chord_counts(pieces_of([contour]), 0.002).tolist() == [count, 2, 1]
    assert [steps(s, 0.002) for s in contour.segments] == [count, 2, 1]


def test_pieces_make_their_contours_again():
    assert tuple(pieces_of(RINGS).contours()) == RINGS
    back = pieces_of(RINGS).reversed_rings().reversed_rings()
    assert tuple(back.contours()) == RINGS


@pytest.mark.parametrize("searching", [True, False])
def test_garbage_is_searched_for_or_not_as_before_once_contours_are_made(searching):
    before = gc.isenabled()
    try:
        (gc.enable if searching else gc.disable)()
        pieces_of(RINGS).contours()
        assert gc.isenabled() is searching
    finally:
        (gc.enable if before else gc.disable)()


def test_cubics_and_open_lines_are_no_pieces():
    cubic = Cubic(P(0, 0), P(1, 1), P(2, 1), P(3, 0))
    assert pieces_of((Contour((cubic, Line(P(3, 0), P(0, 0)))),)) is None
    assert pieces_of((chain([P(0, 0), P(3, 0)], closed=False),)) is None


def test_a_bulge_keeps_its_digits_at_every_angle():
    angles = np.array([1e-9, 1e-4, 0.5, 1.5, 1.6, 3.0, math.pi - 1e-4, math.pi - 1e-9])
    found = bulge_of(3 * np.sin(angles), 3 * np.cos(angles), 3.0)
    assert found == pytest.approx(np.tan(angles / 4), rel=1e-9)
    assert bulge_of(-np.sin(angles), np.cos(angles)) == pytest.approx(-np.tan(angles / 4), rel=1e-9)
