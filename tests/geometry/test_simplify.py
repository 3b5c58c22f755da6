import math

import numpy as np
import pytest
from fontTools.misc.transform import Transform
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry.flatten import flatten, to_shapely
from livery.geometry.measure import area, length, split_at
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, chain
from livery.geometry.segments import point_on, trimmed
from livery.geometry.shapes import Corner, circle, rectangle
from livery.geometry.simplify import MANY, fitted_contour, merged, simplified

P = Point


def in_pieces(contour, count):
    return Contour(
        tuple(
            trimmed(s, i / count, (i + 1) / count) for s in contour.segments for i in range(count)
        ),
        contour.closed,
    )


def test_pieces_are_put_together_again(specimen):
    for contour in specimen:
        again = merged(in_pieces(contour, 3))
        assert len(again.segments) <= len(contour.segments)
        assert area(again) == pytest.approx(area(contour), abs=1e-6 * length(contour))


def test_an_open_run_of_pieces():
    arc = Contour((Arc(P(0, 0), P(10, 0), 0.6),), closed=False)
    (one,) = merged(in_pieces(arc, 5)).segments
    assert one.bulge == pytest.approx(0.6)


def test_very_many_pieces_of_slanting_sides_are_put_together_again():
    turned = rectangle(40, 30).transformed(Transform().rotate(0.7))
    (whole,) = turned
    assert len(merged(in_pieces(whole, MANY)).segments) == 4


@pytest.mark.parametrize("bulge", [1.0, -1.0])
def test_arcs_are_joined_up_to_three_quarters_of_a_turn_and_no_further(bulge):
    half = Arc(P(50, 70), P(30, 70), bulge)
    for share, count in ((0.5, 1), (0.51, 2)):
        further = Arc(P(30, 70), point_on(half, 1 + share), bulge * math.tan(share * math.pi / 4))
        joined = merged(Contour((half, further), closed=False)).segments
        assert len(joined) == count
        assert sum(s.sweep for s in joined) == pytest.approx(math.pi * bulge * (1 + share))


def test_there_and_back_is_not_joined():
    back = Contour((Line(P(0, 0), P(5, 0)), Line(P(5, 0), P(2, 0))), closed=False)
    assert merged(back) == back


@pytest.mark.parametrize("is_hole", [False, True], ids=["edge", "hole"])
@pytest.mark.parametrize("chord", [0.001, 0.01, 0.05])
def test_lines_and_arcs_are_found_in_points(chord, is_hole):
    turn = Transform().rotate(0.4)
    sheet = rectangle(165, 50, corners=Corner("round", 12)).transformed(turn)
    (edge,) = sheet
    points = chain(flatten(edge.reversed() if is_hole else edge, chord))
    found = fitted_contour(points, 2 * chord)
    assert len(found.segments) <= 9
    assert math.copysign(1, area(found)) == (-1 if is_hole else 1)
    assert (
        to_shapely(Outline((found,)), 1e-3).hausdorff_distance(to_shapely(sheet, 1e-3))
        < 3 * chord + 2e-3
    )


def test_a_closed_run_begins_at_its_sharpest_turn():
    """Two arcs that meet at 30 degrees, which is less than a corner, are found as two."""
    bulge = math.tan(math.radians(150) / 4)
    lens = (Arc(P(0, 0), P(0, 40), bulge), Arc(P(0, 40), P(0, 0), bulge))
    points = flatten(Contour(lens), 0.01)
    found = fitted_contour(chain(points[20:] + points[:20]), 0.02)
    assert [type(s) for s in found.segments] == [Arc, Arc]
    assert sorted(found.nodes) == [P(0, 0), P(0, 40)]


def test_a_circle_of_points():
    found = fitted_contour(chain(flatten(circle(P(3, 4), 25).contours[0], 0.005)), 0.01)
    assert len(found.segments) <= 3
    assert all(
        isinstance(s, Arc) and s.radius == pytest.approx(25, abs=0.01) for s in found.segments
    )


def test_corners_are_kept():
    square = chain(
        [P(x, 0) for x in range(10)]
        + [P(10, y) for y in range(10)]
        + [P(10 - x, 10) for x in range(10)]
        + [P(0, 10 - y) for y in range(10)]
    )
    found = fitted_contour(square, 0.05)
    assert sorted(found.nodes) == [P(0, 0), P(0, 10), P(10, 0), P(10, 10)]
    turn = Transform().rotate(0.4)
    slanting = fitted_contour(square.transformed(turn), 0.05)
    assert sorted(slanting.nodes) == sorted(found.transformed(turn).nodes)


def test_four_corners_of_a_square_are_no_circle():
    assert simplified(rectangle(10, 10), 0.1) == rectangle(10, 10)


@settings(max_examples=30)
@given(st.integers(0, 10_000), st.floats(0.03, 0.2))
def test_traced_edges_keep_within_the_tolerance(seed, tolerance):
    rng = np.random.default_rng(seed)
    angles = np.linspace(0, 2 * math.pi, 240, endpoint=False)
    swell = 40 + 6 * np.sin(3 * angles + rng.uniform(0, 6)) + rng.uniform(-0.004, 0.004, 240)
    trace = Outline(
        (
            chain(
                [
                    P(float(r * math.cos(a)), float(r * math.sin(a)))
                    for r, a in zip(swell, angles, strict=True)
                ]
            ),
        )
    )
    done = simplified(trace, tolerance)
    assert done.node_count < 120
    assert to_shapely(done).hausdorff_distance(to_shapely(trace)) <= tolerance + 0.004


def test_tiny_segments_go():
    ragged = Outline((chain([P(0, 0), P(30, 0), P(30, 0.004), P(30.003, 20), P(0, 20)]),))
    assert simplified(ragged, 0.02).node_count == 4
    assert simplified(rectangle(0.003, 0.004), 0.1).contours == ()


def test_every_specimen_keeps_its_area(specimen):
    done = simplified(specimen, 0.01)
    assert done.node_count <= specimen.node_count
    assert area(done) == pytest.approx(area(specimen), abs=0.01 * length(specimen) + 1e-9)


def test_split_pieces_of_a_cubic_join():
    cubic = Cubic(P(0, 0), P(10, 30), P(60, 30), P(50, 0))
    line = Contour((cubic,), closed=False)
    total = length(line)
    halves = split_at(line, 0, 17).segments + split_at(line, 17, total).segments
    (one,) = merged(Contour(halves, closed=False)).segments
    assert one.control1 == pytest.approx(cubic.control1, abs=1e-6)
