"""Chords of a few lines, arcs and cubics, worked out by hand: which points are made one, and where."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from livery.geometry import chords as of_chords
from livery.geometry.boolean import union
from livery.geometry.chords import (
    WELD_MM,
    Chords,
    _begun_at,
    _by_their_ends,
    _lying_on,
    _near,
    _search_rest,
    chords_of,
    runs_along,
    welded,
)
from livery.geometry.measure import area
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.segments import direction, point_on
from livery.geometry.shapes import rectangle

P = Point
CHORD_MM = 0.002
NEARLY = 0.9 * WELD_MM
ARC = Arc(P(50.0, 70.0), P(70.0, 70.0), -1.0)
CUBIC = Cubic(P(50.0, 70.0), P(55.0, 90.0), P(75.0, 60.0), P(80.0, 75.0))


def square(x: float, y: float, size: float = 10.0) -> Contour:
    return rectangle(size, size, P(x, y)).contours[0]


def woven(*contours: Contour) -> Chords:
    segments, chords = chords_of(contours, CHORD_MM)
    return welded(segments, chords, CHORD_MM)


def ring_of(points: Sequence[tuple[float, float]]) -> Chords:
    """Straight chords round one ring, each a segment of its own."""
    count = len(points)
    at = np.array(points, dtype=float)
    return Chords(
        at, np.arange(count), np.zeros(count), np.ones(count), np.zeros(count, dtype=np.int64)
    )


def test_corners_that_all_but_coincide_are_one_point() -> None:
    """Those of the second square move to where those of the first are, and no chord is added."""
    found = woven(square(50.0, 70.0), square(60.0 + NEARLY, 70.0 + 0.1 * NEARLY))
    first, second = (found.at[found.ring == ring].tolist() for ring in (0, 1))
    assert first == [[50.0, 70.0], [60.0, 70.0], [60.0, 80.0], [50.0, 80.0]]
    assert len(second) == 4
    assert [second[0], second[3]] == [[60.0, 70.0], [60.0, 80.0]]


@pytest.mark.parametrize("turned", [False, True])
def test_corners_on_an_edge_part_it_where_they_stand(turned: bool) -> None:
    """At three and seven tenths of an edge of 10 mm, whichever way the edge is run."""
    edge = square(50.0, 70.0)
    found = woven(edge.reversed() if turned else edge, square(60.0, 73.0, 4.0))
    heights = [77.0, 73.0] if turned else [73.0, 77.0]
    first = next(i for i, at in enumerate(found.at.tolist()) if at == [60.0, heights[0]])
    assert found.at[first : first + 2].tolist() == [[60.0, y] for y in heights]
    assert found.t0[first - 1 : first + 2] == pytest.approx([0.0, 0.3, 0.7])
    assert found.t1[first - 1 : first + 2] == pytest.approx([0.3, 0.7, 1.0])


@pytest.mark.parametrize("curve", [ARC, CUBIC], ids=["arc", "cubic"])
@pytest.mark.parametrize(("off", "is_on"), [(0.0, True), (0.9, True), (1.1, False), (-1.1, False)])
def test_a_corner_on_a_curve_parts_its_chord(curve: Arc | Cubic, off: float, is_on: bool) -> None:
    """It lies on the curve within the tolerance, not on the chord, which may be 0.002 mm off."""
    _, alone = chords_of([Contour((curve, Line(curve.end, curve.start)))], CHORD_MM)
    chord = int(len(alone.at) * 0.4)
    t = 0.7 * float(alone.t0[chord]) + 0.3 * float(alone.t1[chord])
    on, along = point_on(curve, t), direction(curve, t)
    corner = P(on.x - along.y * off * WELD_MM, on.y + along.x * off * WELD_MM)
    closed = Contour((curve, Line(curve.end, P(60.0, 0.0)), Line(P(60.0, 0.0), curve.start)))
    spike = Contour(
        (
            Line(corner, P(corner.x - 0.01, 200.0)),
            Line(P(corner.x - 0.01, 200.0), P(corner.x + 0.01, 200.0)),
            Line(P(corner.x + 0.01, 200.0), corner),
        )
    )
    found = woven(closed, spike)
    own = found.at[(found.ring == 0) & (found.t0 > alone.t0[chord]) & (found.t1 < 1.0)]
    assert (list(corner) in own.tolist()) is is_on
    if is_on:
        k = int(np.flatnonzero((found.at == corner).all(axis=1) & (found.ring == 0))[0])
        assert found.t0[k] == pytest.approx(t, abs=1e-4)
        assert found.t1[k] == pytest.approx(alone.t1[chord], abs=1e-12)


@pytest.mark.parametrize("far", [(0.0, 0.9), (0.0, -0.9), (0.9, 0.0), (-0.9, 0.0)])
@pytest.mark.parametrize("way", [(7.0, 0.0), (0.0, 7.0), (-7.0, 0.0), (0.0, -7.0)])
def test_points_are_near_a_chord_on_every_side_of_it(
    far: tuple[float, float], way: tuple[float, float]
) -> None:
    a, b = np.array([[50.0, 70.0]]), np.array([[50.0 + way[0], 70.0 + way[1]]])
    for straight, within in ((True, WELD_MM), (False, CHORD_MM + 0.9 * WELD_MM)):
        for end in (a[0], b[0]):
            point = end + np.array(far) * within
            chord, near = _near(
                np.vstack((a, [point])), np.vstack((b, [point])), np.array([straight] * 2), CHORD_MM
            )
            assert (0, 1) in list(zip(chord.tolist(), near.tolist(), strict=True))


def test_points_beyond_the_chord_error_and_the_tolerance_are_not_near() -> None:
    a, b = np.array([[50.0, 70.0], [53.0, 70.0 + CHORD_MM + 1.1 * WELD_MM]]), np.full((2, 2), 90.0)
    b[0] = (60.0, 70.0)
    chord, point = _near(a, b, np.array([False, False]), CHORD_MM)
    assert (0, 1) not in list(zip(chord.tolist(), point.tolist(), strict=True))
    a[1, 1] -= 0.2 * WELD_MM
    chord, point = _near(a, b, np.array([False, False]), CHORD_MM)
    assert (0, 1) in list(zip(chord.tolist(), point.tolist(), strict=True))


def test_as_many_pairs_are_near_in_several_goes(monkeypatch: pytest.MonkeyPatch) -> None:
    _, chords = chords_of([square(0.0, 0.0), square(10.0, 3.0), square(4.0, 10.0)], CHORD_MM)
    straight = np.ones(len(chords.at), dtype=bool)

    def pairs() -> list[tuple[int, int]]:
        chord, point = _near(chords.at, chords.ends(), straight, CHORD_MM)
        return sorted(zip(chord.tolist(), point.tolist(), strict=True))

    at_once = pairs()
    monkeypatch.setattr(of_chords, "AT_ONCE", 5)
    assert pairs() == at_once


def test_the_ends_of_a_chord_do_not_lie_within_it() -> None:
    chords = ring_of([(50.0, 70.0), (60.0, 75.0), (51.0, 80.0)])
    segments = [Line(P(*a), P(*b)) for a, b in zip(chords.at, chords.ends(), strict=True)]
    chord, point, _ = _lying_on(segments, chords, np.array([0, 0, 1]), np.array([0, 1, 2]))
    assert (chord.tolist(), point.tolist()) == ([], [])


def test_each_place_is_found_among_points_that_stand_there_alone() -> None:
    alone = [(3.0, 7.0), (3.0, 2.0), (3.0, -4.0), (5.0, 9.0), (8.0, 1.0)]
    asked = np.array([*alone[::-1], (3.0, 5.0), (0.0, 0.0), (9.0, 9.0)])
    assert _begun_at(np.array(alone), asked).tolist() == [4, 3, 2, 1, 0, -1, -1, -1]
    twice = np.array([*alone, (5.0, 9.0)])
    assert _begun_at(twice, asked).tolist() == [4, -1, 2, 1, 0, -1, -1, -1]


def test_edges_are_found_by_the_ends_they_share_with_chords() -> None:
    """A whole edge, one cut short at its far end or its near one, each both ways, and one apart."""
    corners = [(50.0, 70.0), (60.0, 70.0), (60.0, 80.0), (50.0, 80.0)]
    chords = ring_of(corners)
    cut, edges = (60.0, 74.0), []
    for way in (1, -1):
        edges += [(a, b)[::way] for a, b in ((corners[0], corners[1]), (corners[1], cut))]
        edges += [(cut, corners[2])[::way]]
    edges.append(((60.0, 72.0), cut))
    p, q = (np.array([edge[k] for edge in edges]) for k in (0, 1))
    found, against = _by_their_ends(chords, p, q, chords.ends())
    assert found.tolist() == [0, 1, 1, 0, 1, 1, -1]
    assert against.tolist() == [False] * 3 + [True] * 3 + [False]


def test_edges_that_share_no_end_are_searched_for_with_the_way_they_are_run() -> None:
    chords = ring_of([(50.0, 70.0), (60.0, 70.0), (60.0, 80.0), (50.0, 80.0)])
    p = np.array([[52.0, 70.0], [60.0, 76.0], [57.0, 80.0]])
    q = np.array([[58.0, 70.0], [60.0, 71.0], [53.0, 80.0]])
    chord, against = np.full(3, -1), np.zeros(3, dtype=bool)
    assert _search_rest(chords, (p, q), np.array([2, 0, 1]), chord, against)
    assert chord.tolist() == [0, 1, 2]
    assert against.tolist() == [False, True, False]
    assert not _search_rest(
        chords, (p + 1.0, q + 1.0), np.array([2, 0, 1]), np.full(3, -1), against
    )


@pytest.mark.parametrize(
    ("apart", "stays"), [(0.0, True), (0.5e-8, True), (2e-8, False)], ids=["on", "near", "off"]
)
@pytest.mark.parametrize("began_on", [0, 1])
def test_where_two_segments_lie_on_each_other_an_edge_stays_on_that_of_the_edge_before(
    apart: float, stays: bool, began_on: int
) -> None:
    """One runs from 40 to 60 and one from 50 to 70; the edge between those ends lies on both.

    One that lies further off than rounding is not taken, whatever the edge before lies on.
    """
    low, high = (70.0 + apart * (began_on == k) for k in (0, 1))
    chords = ring_of(
        [(40.0, low), (60.0, low), (80.0, 90.0), (50.0, high), (70.0, high), (55.0, 0.0)]
    )
    p = np.array([[42.0, 70.0], [52.0, 70.0], [62.0, 70.0]])
    q = p + np.array([6.0, 0.0])
    first, last = 0, 3
    if began_on == 1:
        p, q, first, last = q[::-1], p[::-1], last, first
    chord, against = np.full(3, -1), np.zeros(3, dtype=bool)
    assert _search_rest(chords, (p, q), np.array([2, 0, 1]), chord, against)
    assert chord.tolist() == [first, first if stays else last, last]
    assert against.tolist() == [began_on == 1] * 3


def test_the_edge_before_the_first_of_a_ring_is_the_last_of_that_ring() -> None:
    """The first edge of the second ring lies on both segments, the one before it on one alone."""
    chords = ring_of(
        [(40.0, 70.0), (60.0, 70.0), (80.0, 90.0), (50.0, 70.0), (70.0, 70.0), (55.0, 0.0)]
    )
    rings = [np.array([[x, 70.0] for x in xs]) for xs in ((41.0, 43.0, 49.0), (52.0, 57.0, 69.0))]
    runs = runs_along(chords, rings)
    assert runs is not None
    assert [set(runs.segment[runs.ring == ring].tolist()) for ring in (0, 1)] == [{0}, {3}]


def test_each_curve_of_a_ring_is_one_run_from_its_start_to_its_end() -> None:
    ring = Contour((CUBIC, Line(CUBIC.end, ARC.end), ARC.reversed()))
    segments, chords = chords_of([ring], CHORD_MM)
    runs = runs_along(chords, chords.rings())
    assert runs is not None
    assert runs.segment.tolist() == [0, 1, 2]
    assert (runs.t0.tolist(), runs.t1.tolist()) == ([0.0] * 3, [1.0] * 3)
    assert [tuple(p) for p in runs.start.tolist()] == [s.start for s in segments]


def test_every_ring_of_many_chords_is_one_run_for_each_of_its_lines() -> None:
    """A square within a square, each side in three chords: no side is parted in either ring."""
    outer, inner = square(0.0, 0.0, 90.0), square(30.0, 30.0, 30.0)
    chords = woven(outer, inner)
    rings = [
        np.array([(a.x + (b.x - a.x) * k / 3.0, a.y + (b.y - a.y) * k / 3.0)])
        for contour in (outer, inner)
        for a, b in contour.segments
        for k in range(3)
    ]
    both = [np.concatenate(rings[:12]), np.concatenate(rings[12:])]
    runs = runs_along(chords, both)
    assert runs is not None
    assert runs.segment.tolist() == [0, 1, 2, 3, 4, 5, 6, 7]
    assert runs.ring.tolist() == [0] * 4 + [1] * 4


def test_where_a_curve_crosses_itself_its_loop_is_left_out_of_the_edge() -> None:
    """x = 90t - 210t^2 + 140t^3 and y = 60t(1 - t) cross themselves where t(1 - t) = 1/7."""
    curve = Cubic(P(0.0, 0.0), P(30.0, 20.0), P(-10.0, 20.0), P(20.0, 0.0))
    above = (P(20.0, 0.0), P(20.0, 40.0), P(0.0, 40.0), P(0.0, 0.0))
    found = union(Outline((Contour((curve, *map(Line, above, above[1:]))),)))
    crossing = (10.0, 60.0 / 7.0)
    nodes = np.array(sorted(found.contours[0].nodes))
    assert nodes == pytest.approx(np.array(sorted([*above, crossing])), abs=1e-9)
    t = (1.0 - math.sqrt(3.0 / 7.0)) / 2.0
    # The integral of y over x from the start to the crossing, and as much again.
    below = 5400 * (t**2 / 2 - t**3 / 3) - 25200 * (t**3 / 3 - t**4 / 2 + t**5 / 5)
    assert area(found) == pytest.approx(800.0 - 2.0 * below, abs=1e-9)
