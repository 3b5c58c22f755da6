import itertools
import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.geometry.boolean import difference
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, length
from livery.geometry.outline import Point
from livery.geometry.shapes import Corner, circle, rectangle, ring
from livery.make.joins import JoinPlace, JoinRules
from livery.make.stripes import strip_block, stripe_pieces


def loop(width, height, corner, stroke):
    """A rounded loop of lining and its middle line."""

    def at(inset):
        return rectangle(
            width - 2 * inset,
            height - 2 * inset,
            Point(inset, inset),
            Corner("round", corner - inset),
        )

    return difference(at(0), at(stroke)), at(stroke / 2).contours[0]


def test_a_loop_becomes_strips_and_corners_that_cover_it():
    stripe, centre = loop(600, 150, 20, 3)
    pieces = stripe_pieces(stripe, centre, 3, JoinRules(300, 2))
    strips = [p for p in pieces if p.straight]
    corners = [p for p in pieces if not p.straight]
    assert len(corners) == 4
    # The long sides, 540 mm between the tails, are joined once each.
    assert len(strips) == 6
    covered = shapely.union_all([to_shapely(p.outline, 0.002) for p in pieces])
    assert covered.symmetric_difference(to_shapely(stripe, 0.002)).area < 0.1
    laps = sum(area(p.outline) for p in pieces) - area(stripe)
    assert laps == pytest.approx(len(pieces) * 2 * 3, rel=0.01)
    for p in strips:
        assert area(p.outline) == pytest.approx(3 * p.length_mm, abs=0.01)
        assert p.length_mm <= 302 + 1e-6


def test_joins_of_a_loop_keep_to_the_places_given():
    stripe, centre = loop(600, 150, 20, 3)
    rail = JoinPlace(200, 260, 0, "under the handrail")
    pieces = stripe_pieces(stripe, centre, 3, JoinRules(400, 2), [rail])
    ends = [p.end_mm - 2 for p in pieces if p.straight]
    assert any(200 <= e <= 260 for e in ends)


def test_a_ring_without_straights_is_cut_in_even_arcs():
    stripe = ring(Point(0, 0), 101, 99)
    centre = circle(Point(0, 0), 100).contours[0]
    pieces = stripe_pieces(stripe, centre, 2, JoinRules(250, 1))
    assert len(pieces) == 3
    covered = shapely.union_all([to_shapely(p.outline, 0.002) for p in pieces])
    assert (
        covered.symmetric_difference(to_shapely(stripe, 0.002)).area < 2.0
    )  # 1260 mm of edge in chords of 0.002
    assert length(centre) == pytest.approx(200 * math.pi)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.floats(5, 300), min_size=1, max_size=20), st.floats(1, 8))
def test_strips_lie_edge_to_edge_and_none_overlaps(lengths, width):
    block = strip_block([(f"s{i}", v) for i, v in enumerate(lengths)], width, 300)
    for name, size in [(f"s{i}", v) for i, v in enumerate(lengths)]:
        (strip,) = [s for s in block.strips if s.name == name]
        assert strip.end_mm - strip.start_mm == pytest.approx(size)
        assert strip.end_mm <= 300 + 1e-6
    for row in range(block.rows):
        spans = [(s.start_mm, s.end_mm) for s in block.strips if s.row == row]
        assert all(a[1] == pytest.approx(b[0]) for a, b in itertools.pairwise(spans))
    # Every strip is bounded by cuts on all four sides.
    cuts = shapely.union_all([shapely.LineString([c.start, c.end]) for c in block.cuts])
    for s in block.strips:
        y = s.row * width
        edge = shapely.box(s.start_mm, y, s.end_mm, y + width).boundary
        assert edge.difference(cuts.buffer(1e-6)).length < 1e-3


def test_side_by_side_strips_share_their_cuts():
    block = strip_block([(str(i), 200.0) for i in range(10)], 3, 300)
    # Ten loose strips would need 10 x 2 x 203 mm of cut.
    total = sum(math.dist(c.start, c.end) for c in block.cuts)
    assert total == pytest.approx(11 * 200 + 10 * 2 * 3)
    with pytest.raises(LiveryError, match=r"Strip a is 400\.0 mm long"):
        strip_block([("a", 400.0)], 3, 300)
