"""Whether a raw parallel is the inset already, against Shapely."""

import math
import sys

import numpy as np
import pytest
import shapely
from fontTools.misc.transform import Transform

from livery.geometry import inset_many, offset
from livery.geometry.chords import chords_of_pieces
from livery.geometry.corners import recornered
from livery.geometry.flatten import CHORD_MM, flatten
from livery.geometry.inset_many import _is_inset_already, _lie_apart, _runs_lie_apart
from livery.geometry.offset import inset
from livery.geometry.outline import EMPTY, Arc, Contour, Line, Outline, Point, chain
from livery.geometry.path_text import in_order
from livery.geometry.pieces import pieces_of
from livery.geometry.shapes import Corner, circle, polygon, rectangle

P = Point


def scrawl(rng, count, noise):
    """A ring of straight sides round the origin, crossed more often the more noise there is."""
    angles = np.linspace(0, 2 * math.pi, count, endpoint=False) + rng.normal(0, noise, count)
    away = 20 + 4 * np.sin(3 * angles) + rng.normal(0, noise, count)
    return np.stack((away * np.cos(angles), away * np.sin(angles)), axis=1)


def lie_apart(*rings):
    pieces = pieces_of([chain([P(x, y) for x, y in r.tolist()]) for r in rings])
    return _lie_apart(chords_of_pieces(pieces, CHORD_MM), pieces)


@pytest.mark.parametrize("count", [5, 30, 70])
def test_chords_lie_apart_where_their_rings_are_simple(count):
    rng = np.random.default_rng(count)
    answers = []
    for _ in range(30):
        ring_ = scrawl(rng, count, rng.choice([0.3, 1.0, 3.0]) * math.tau / count)
        answers.append(lie_apart(ring_))
        assert answers[-1] == shapely.LinearRing(ring_).is_simple
    assert 4 < sum(answers) < 26


@pytest.mark.parametrize(("one", "other"), [(5, 7), (6, 30), (9, 5)])
def test_chords_of_two_rings_lie_apart_where_both_are_simple_together(one, other):
    rng = np.random.default_rng(one)
    answers = []
    for _ in range(40):
        rings = [scrawl(rng, n, 0.05) * size for n, size in ((one, 1.0), (other, 0.6))]
        rings[1] += rng.uniform(-1, 1, 2) * rng.choice([3.0, 12.0])
        answers.append(lie_apart(*rings))
        lines = [shapely.LinearRing(r) for r in rings]
        expected = all(r.is_simple for r in lines) and not lines[0].intersects(lines[1])
        assert answers[-1] == expected
    assert 4 < sum(answers) < 36


@pytest.mark.parametrize(("gap", "apart"), [(1.5e-6, True), (0.5e-6, False), (-1.0, False)])
def test_rings_and_sides_that_all_but_meet_do_not_lie_apart(gap, apart):
    square = np.array([(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)])
    for shift in ((9.0 + gap, 1.0), (-9.0 - gap, -2.0), (1.0, 9.0 + gap), (2.0, -9.0 - gap)):
        assert lie_apart(square, square + shift) is apart
    slot = [(0, 0), (9, 0), (9, 9), (4 + gap, 9), (4 + gap, 2), (4, 2), (4, 9), (0, 9)]
    if gap > 0:
        assert lie_apart(np.array(slot, dtype=float)) is apart


@pytest.mark.parametrize(("gap", "apart"), [(0.0025, True), (0.0015, False)])
def test_arcs_nearer_than_their_chords_are_off_do_not_lie_apart(gap, apart):
    pieces = pieces_of([*circle(P(0, 0), 5), *circle(P(10 + gap, 0), 5)])
    assert _lie_apart(chords_of_pieces(pieces, CHORD_MM), pieces) is apart


HOLED = [
    *rectangle(40, 30, corners=Corner("round", 5)),
    chain([P(9, 9), P(11, 9), P(10, 12)]).reversed(),
    *(c.reversed() for c in rectangle(8, 6, P(26, 12), Corner("round", 2))),
]


def test_a_raw_parallel_is_the_inset_if_every_ring_runs_as_before_and_holes_are_inside():
    pieces = pieces_of(HOLED)
    assert _is_inset_already(pieces, pieces)
    # A hole turned over; one outside; one in another; two shells.
    turned = [HOLED[0], HOLED[1].reversed(), HOLED[2]]
    away = [HOLED[0], HOLED[1].transformed(Transform().translate(50, 0)), HOLED[2]]
    within = [HOLED[0], HOLED[1].transformed(Transform().translate(20, 5)), HOLED[2]]
    shells = [*rectangle(9, 9), *rectangle(9, 9, P(20, 0)), HOLED[1]]
    assert not _is_inset_already(pieces, pieces_of(turned))
    for contours in (away, within, shells):
        assert not _is_inset_already(pieces_of(contours), pieces_of(contours))


def test_of_a_strip_with_many_nodes_that_is_as_wide_as_both_insets_nothing_is_left():
    """Two microns short of nothing, as of one with few nodes: thinner than chords are off."""
    low = [P(0.5 * i, 0.0004 * (i % 2)) for i in range(300)]
    high = [P(p.x, 2.0015 - p.y) for p in reversed(low)]
    strip = Outline((chain([*low, *high]),))
    assert inset(strip, 0.9, "round").node_count > 0
    assert inset(strip, 1.0, "round") == inset(rectangle(150, 2.0015), 1.0) == EMPTY


@pytest.mark.parametrize("one_by_one", [False, True])
def test_an_outset_by_a_hundredth_keeps_each_pocket_whose_neck_it_closes(monkeypatch, one_by_one):
    """Its edge is so near to the outline's that chords of it may be as near as a gap."""
    count = 60
    if one_by_one:
        monkeypatch.setattr(offset, "MANY", 10**9)
        monkeypatch.setattr(offset, "VERY_MANY", 0)
        count = 6
    places = []
    for k in range(count):
        teeth = ((40, -0.02), (40, -1.4e-4), (38, -0.03), (36, 0.03), (38, 0.02), (40, 1.4e-4))
        for radius, turned in (*teeth, (40, 0.02)):
            a = k * math.tau / count + turned
            places.append(P(radius * math.cos(a), radius * math.sin(a)))
    soft = recornered(
        polygon(places), lambda p: Corner("round", 0.05 if math.hypot(*p) < 39 else 0.0)
    )
    assert len(inset(soft, -0.01, "round").contours) == 1 + count


def trace(nodes):
    """A wavy edge of short sides with noise."""
    rng = np.random.default_rng(nodes)
    turned = np.linspace(0, math.tau, nodes, endpoint=False)
    away = nodes * (0.03 + 0.004 * np.sin(9 * turned)) + rng.uniform(-0.02, 0.02, nodes)
    places = np.stack((away * np.cos(turned), away * np.sin(turned)), axis=1)
    return Outline((chain([P(x, y) for x, y in places.tolist()]),))


def test_a_noisy_trace_takes_as_many_calls_with_many_nodes_as_with_few_and_no_chords(monkeypatch):
    monkeypatch.setattr(inset_many, "chords_of_pieces", None)
    calls = []
    for nodes in (1000, 4000):
        given, made = trace(nodes), []
        sys.setprofile(
            lambda frame, event, _, made=made: (
                made.append(frame.f_code) if event == "call" else None
            )
        )
        try:
            inset(given, 0.5, "round")
        finally:
            sys.setprofile(None)
        # A value at a time only where two arcs may be one: a few in a hundred.
        calls.append(len([c for c in made if "/geometry/" in c.co_filename]))
    assert calls[0] < 400
    assert calls[1] < calls[0] + 300


def test_runs_that_lie_apart_are_simple_and_most_simple_ones_of_few_bends_do():
    rng = np.random.default_rng(4)
    answers = []
    for _ in range(30):
        ring_ = scrawl(rng, 400, rng.choice([0.01, 0.1, 0.6]) * math.tau / 400)
        nodes = [P(x, y) for x, y in ring_.tolist()]
        bulges = rng.choice([0.0, 0.02, -0.04], 400).tolist()
        sides = zip(nodes, [*nodes[1:], nodes[0]], bulges, strict=True)
        contour = Contour(tuple(Arc(p, q, b) if b else Line(p, q) for p, q, b in sides))
        is_simple = shapely.LinearRing(flatten(contour, 1e-3)).is_simple
        answers.append((_runs_lie_apart(pieces_of((contour,))), is_simple))
    assert (True, False) not in answers
    assert min(answers.count((True, True)), answers.count((False, False))) > 5


def test_runs_with_an_arc_that_goes_all_round_are_not_known_to_lie_apart():
    """It crosses its neighbours, though its two ends run one way."""
    for bulge in (0.0, 0.9, 20.0, -20.0):
        turned = np.linspace(0, math.tau, 300)[:-1]
        nodes = [P(100 * math.cos(a), 100 * math.sin(a)) for a in turned.tolist()]
        near = P(nodes[5].x - 0.02, nodes[5].y + 0.2)
        nodes.insert(6, near)
        sides = [Line(p, q) for p, q in zip(nodes, [*nodes[1:], nodes[0]], strict=True)]
        sides[5] = Arc(nodes[5], near, bulge) if bulge else sides[5]
        assert _runs_lie_apart(pieces_of((Contour(tuple(sides)),))) is (bulge == 0.0)


@pytest.mark.parametrize(("gap", "apart"), [(0.0040025, True), (0.0040015, False)])
def test_runs_lie_apart_beyond_what_their_arcs_are_off_their_chords_on_both_sides(gap, apart):
    """A long slot with round ends; in its middle an arc of each side comes near to the other's."""
    turned = np.linspace(-math.pi / 2, math.pi / 2, 61).tolist()
    rim = [P(100 + 5 * math.cos(a), 5 * math.sin(a)) for a in turned]
    half = [*rim, *(P(x, 5) for x in range(90, -100, -10) if abs(x) > 10)]
    nodes = [*half, *(P(-p.x, -p.y) for p in half)]
    sides = [Line(p, q) for p, q in zip(nodes, [*nodes[1:], nodes[0]], strict=True)]
    middle = [k for k, s in enumerate(sides) if math.dist(s.start, s.end) == 40]
    for k in middle:
        sides[k] = Arc(*sides[k], -(5 - gap / 2) / 20)
    assert len(middle) == 2
    assert _runs_lie_apart(pieces_of((Contour(tuple(sides)),))) is apart


def test_an_inset_of_many_pieces_begins_and_is_ordered_as_settled():
    """Also where the lowest node is none, two arcs being one there, or two are as low."""
    rng = np.random.default_rng(5)
    holes = [
        c.reversed()
        for i in range(30)
        for c in recornered(
            polygon([P(x, y) for x, y in (scrawl(rng, 5, 0.1) / 9 + (9 * i, 50)).tolist()]),
            lambda _: Corner("round", 0.3),
        )
    ]
    (disc,) = circle(P(200, 10), 6)
    plate = Outline((*rectangle(320, 100, P(-30, 0)).contours, *holes, disc.reversed()))
    for outline in (plate, trace(500)):
        for distance in (-0.2, 0.6):
            made = inset(outline, distance, "round")
            assert made == in_order(made)
            turned = Outline(tuple(_begun_at(c, len(c.segments) // 3) for c in outline))
            assert inset(turned, distance, "round").node_count == made.node_count


def _begun_at(contour, place):
    return Contour(contour.segments[place:] + contour.segments[:place])
