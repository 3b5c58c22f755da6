import math
from itertools import pairwise

import pytest
import shapely

from livery.geometry.flatten import points_along, to_shapely
from livery.geometry.outline import Outline, Point
from livery.geometry.segments import direction
from livery.geometry.shapes import circle, rectangle
from livery.geometry.swept_region import facing_pieces, sweep
from livery.geometry.validity import faults

P = Point


@pytest.mark.parametrize("shift", [P(-14, 3), P(0, -6)])
def test_a_sweep_is_all_that_the_edges_pass_over(specimen, shift):
    swept = sweep(specimen, shift)
    assert faults(swept) == ([] if specimen else faults(specimen))
    passed = [to_shapely(specimen), to_shapely(specimen.transformed((1, 0, 0, 1, *shift)))]
    for contour in specimen:
        for segment in contour.segments:
            ends = points_along(segment)
            for p, q in pairwise(ends):
                there = [(q.x + shift.x, q.y + shift.y), (p.x + shift.x, p.y + shift.y)]
                passed.append(shapely.Polygon((p, q, *there)).buffer(0))
    expected = shapely.unary_union(passed)
    assert to_shapely(swept).symmetric_difference(expected).area < 0.003 * (1 + expected.length)


def test_a_sweep_by_nothing_is_the_outline_itself():
    assert sweep(rectangle(3, 4), P(0, 0)) == rectangle(3, 4)


def test_how_far_each_piece_of_an_edge_faces_a_direction(specimen):
    """The cosine between its outward normal and the direction; parted where that changes sign."""
    towards = P(2, 1)
    for contour in specimen:
        for piece, facing in facing_pieces(contour, towards):
            signs = set()
            for t in (0.01, 0.5, 0.99):
                along = direction(piece, t)
                cosine = (along.y * 2 - along.x) / math.sqrt(5)
                signs.add(math.copysign(1, cosine) if abs(cosine) > 1e-3 else 0.0)
                if t == 0.5:
                    assert facing == pytest.approx(cosine, abs=1.1e-7)
            assert len(signs - {0.0}) < 2


def test_pieces_are_parted_along_other_directions_too():
    (disc,) = circle(P(0, 0), 5)
    pieces = [piece for piece, _ in facing_pieces(disc, P(0, 1), (P(3, 4),))]
    starts = {(round(p.start.x, 9), round(p.start.y, 9)) for p in pieces}
    assert starts == {(5, 0), (-5, 0), (4, -3), (-4, 3)}
    assert Outline((disc,)) == circle(P(0, 0), 5)
