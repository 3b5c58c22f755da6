from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon

from livery.alphabet.joining import flattened, join
from livery.alphabet.strokes import Node, box, dot, pen, ring_stroke, serif, slant, zigzag
from livery.geometry.measure import area
from livery.geometry.outline import Cubic, Line, Point


def polygon(contour):
    return Polygon(flattened(contour, 32))


def test_ring_of_four_nodes_is_a_circle_within_its_cubics_error():
    nodes = [Node(-90, 0, 90, 20), Node(0, 90, 0, 20), Node(90, 0, 270, 20), Node(0, -90, 180, 20)]
    outer, inner = sorted(ring_stroke(nodes), key=lambda c: -abs(area(c)))
    for contour, radius in ((outer, 100), (inner, 80)):
        for p in flattened(contour, 16):
            assert math.hypot(*p) == pytest.approx(radius, rel=3e-4)


def test_ring_turns_its_two_edges_opposite_ways():
    nodes = [Node(-90, 0, 90, 20), Node(0, 90, 0, 20), Node(90, 0, 270, 20), Node(0, -90, 180, 20)]
    a, b = ring_stroke(nodes)
    assert area(a) * area(b) < 0
    assert abs(area(a) + area(b)) == pytest.approx(math.pi * (100**2 - 80**2), rel=1e-3)


@given(
    st.floats(0, 360),
    st.floats(20, 500),
    st.floats(2, 100),
)
def test_straight_pen_stroke_is_length_by_thickness(heading, length, thickness):
    dx, dy = (
        length * math.cos(math.radians(heading)),
        length * math.sin(math.radians(heading)),
    )
    stroke = pen([Node(3, 5, heading, thickness), Node(3 + dx, 5 + dy, heading, thickness)])
    assert all(isinstance(s, Line) for s in stroke.segments)
    assert abs(area(stroke)) == pytest.approx(length * thickness, rel=1e-6)


def test_corner_sharper_than_the_stroke_is_square_inside():
    """Outside radius 20, thickness 50: the inner edge has no room for a curve."""
    bend = pen(
        [Node(25, 0, 90, 50), Node(25, 180, 90, 50), Node(20, 175, 0, 50), Node(200, 175, 0, 50)]
    )
    assert Point(50, 150) in {
        Point(round(s.start.x, 6), round(s.start.y, 6)) for s in bend.segments
    }
    assert sum(isinstance(s, Cubic) for s in bend.segments) == 1


def test_square_corner_needs_no_curve_at_all():
    bend = pen(
        [Node(25, 0, 90, 50), Node(25, 200, 90, 50), Node(0, 175, 0, 50), Node(200, 175, 0, 50)]
    )
    assert not any(isinstance(s, Cubic) for s in bend.segments)
    assert abs(area(bend)) == pytest.approx(200 * 50 + 150 * 50)


@given(st.floats(40, 200), st.floats(600, 1400), st.floats(0.3, 1.0))
def test_arms_of_a_v_are_as_thick_as_asked(thickness, width, share):
    flat = share * thickness
    v = polygon(
        zigzag([thickness] * 2, flat, [Point(0, 1000), Point(width / 2, 0), Point(width, 1000)])
    )
    assert v.is_valid
    # Across the left arm, square to its outer edge, near its top.
    foot, top = (width / 2 - flat / 2, 0.0), (0.0, 1000.0)
    along = ((top[0] - foot[0]) / math.dist(foot, top), (top[1] - foot[1]) / math.dist(foot, top))
    at = (foot[0] + 0.85 * (top[0] - foot[0]), foot[1] + 0.85 * (top[1] - foot[1]))
    probe = LineString(
        [at, (at[0] + 1.2 * thickness * along[1], at[1] - 1.2 * thickness * along[0])]
    )
    assert v.buffer(1e-6).intersection(probe).length == pytest.approx(thickness, rel=1e-3)
    assert (v.bounds[0], v.bounds[2]) == pytest.approx((0, width), abs=1e-6)


def test_slant_keeps_its_width_across():
    assert area(slant(0, 0, 300, 700, 100)) == pytest.approx(70_000)


def test_serif_without_a_bracket_is_a_slab():
    slab = serif(100, 250, 0, 80, 80, up=1, thickness=90, bracket=0)
    assert area(slab) == pytest.approx((80 + 150 + 80) * 90)


def test_bracketed_serif_stands_between_the_slab_and_the_full_block():
    bracketed = abs(area(serif(100, 250, 0, 80, 80, up=1, thickness=40, bracket=90)))
    assert 310 * 40 + 150 * 90 < bracketed < 310 * 130


def test_head_mirrors_the_foot():
    foot = polygon(serif(100, 250, 0, 80, 60, up=1, thickness=40, bracket=90))
    head = polygon(serif(100, 250, 1000, 80, 60, up=-1, thickness=40, bracket=90))
    turned = Polygon([(x, 1000 - y) for x, y in head.exterior.coords])
    assert foot.symmetric_difference(turned).area < 1e-6


def test_dot_is_an_ellipse():
    assert area(dot(0, 0, 50, 30)) == pytest.approx(math.pi * 50 * 30, rel=1e-3)


def test_joining_overlapping_boxes_leaves_only_corners():
    joined = join([box(0, 0, 1000, 300), box(0, 0, 300, 1000), box(0, 700, 1000, 1000)])
    assert [len(c.segments) for c in joined] == [8]
    assert area(joined.contours[0]) == 1000 * 300 * 2 + 400 * 300


def test_joining_makes_holes_clockwise():
    joined = join([box(0, 0, 1000, 1000)], cuts=[box(300, 300, 700, 700)])
    assert sorted(area(c) for c in joined) == [-160_000, 1_000_000]
