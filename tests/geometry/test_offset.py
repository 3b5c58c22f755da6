import math

import numpy as np
import pytest
import shapely
from fontTools.misc.transform import Transform
from gallery import regular_polygon
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.geometry.boolean import union
from livery.geometry.flatten import flatten, to_shapely
from livery.geometry.measure import area, bounds, length
from livery.geometry.offset import band, inset, outset, parallel, stroke
from livery.geometry.outline import EMPTY, Arc, Contour, Cubic, Line, Outline, Point, chain
from livery.geometry.path_text import in_order, write_path
from livery.geometry.segments import direction
from livery.geometry.shapes import Corner, circle, oval, polygon, rectangle
from livery.geometry.validity import faults

P = Point


def edge_points(outline):
    return [p for c in outline for p in flatten(c, 0.01)]


@pytest.mark.parametrize("distance", [0.7, 3, 7.5, 13, -1, -6, -20])
def test_every_place_of_the_edge_keeps_the_distance_and_none_is_lost(specimen, distance):
    moved = inset(specimen, distance, "round")
    assert faults(moved) == []
    if not specimen:
        assert moved == EMPTY
        return
    region = to_shapely(specimen, 2e-4)
    edge = region.boundary
    if moved:
        away = shapely.distance(shapely.points(edge_points(moved)), edge)
        assert np.abs(away - abs(distance)).max() < 0.005
    box = bounds(specimen)
    spare = max(-distance, 0) + 1
    rng = np.random.default_rng(7)
    low = (box.left - spare, box.bottom - spare)
    places = shapely.points(rng.uniform(low, (box.right + spare, box.top + spare), (800, 2)))
    depth = shapely.distance(edge, places) * np.where(shapely.contains(region, places), 1, -1)
    sure = np.abs(depth - distance) > 0.005
    inside = shapely.contains(to_shapely(moved, 2e-4), places)
    assert (inside == (depth > distance))[sure].all()


def test_rounded_sheet_has_eight_nodes_and_the_right_radius():
    done = inset(rectangle(1650, 500, corners=Corner("round", 60)), 40)
    assert done.node_count == 8
    radii = {round(s.radius, 9) for s in done.contours[0].segments if isinstance(s, Arc)}
    assert radii == {20}
    asked = rectangle(1570, 420, P(40, 40), Corner("round", 20))
    assert write_path(done) == write_path(in_order(asked))


@pytest.mark.parametrize(("distance", "nodes"), [(59.999, 8), (60, 4), (60.001, 4), (249, 4)])
def test_corners_that_vanish_leave_four_sharp_ones(distance, nodes):
    done = inset(rectangle(1650, 500, corners=Corner("round", 60)), distance)
    assert done.node_count == nodes
    assert bounds(done) == pytest.approx((distance, distance, 1650 - distance, 500 - distance))


@pytest.mark.parametrize("distance", [250, 250.5, 1e6])
def test_nothing_left(distance):
    assert inset(rectangle(1650, 500, corners=Corner("round", 60)), distance) == EMPTY


def test_lines_and_arcs_stay_so(specimen):
    if any(isinstance(s, Cubic) for c in specimen for s in c.segments):
        pytest.skip("has cubics")
    for distance in (0.01, 2, -2):
        assert not any(isinstance(s, Cubic) for c in inset(specimen, distance) for s in c.segments)


@settings(max_examples=40)
@given(
    st.one_of(
        st.builds(rectangle, st.floats(20, 90), st.floats(20, 90)),
        st.builds(oval, st.floats(20, 90), st.floats(20, 90)),
        st.builds(regular_polygon, st.integers(3, 9), st.floats(20, 60)),
        st.builds(circle, st.just(P(1, 2)), st.floats(20, 50)),
    ),
    st.floats(0.1, 8),
    st.floats(0.1, 8),
    st.floats(-3, 3),
)
def test_insets_add_up_on_convex_outlines(outline, a, b, turned):
    outline = outline.transformed(Transform().rotate(turned))
    twice, once = inset(inset(outline, a), b), inset(outline, a + b)
    assert area(twice) == pytest.approx(area(once), abs=1e-6)
    assert twice.node_count == once.node_count


@settings(max_examples=25)
@given(st.floats(0.2, 6), st.floats(0.2, 6))
def test_area_only_falls(a, b):
    small, large = sorted((a, b))
    star = polygon(
        [P(0, 0), P(50, 8), P(90, 0), P(80, 30), P(95, 60), P(45, 50), P(5, 60), P(20, 30)]
    )
    assert area(inset(star, large)) <= area(inset(star, small)) + 1e-9 <= area(star) + 1e-9


def test_mirror_image_has_the_mirrored_inset(specimen):
    mirror = Transform(-1, 0, 0, 1, 7, 3)
    one = inset(specimen.transformed(mirror), 2.5)
    other = inset(specimen, 2.5).transformed(mirror)
    assert area(one) == pytest.approx(area(other), abs=0.003 * max(length(other), 1) * 0.5)
    assert len(one.contours) == len(other.contours)


def test_inward_corner_is_sharp_or_round():
    ell = polygon([P(0, 0), P(40, 0), P(40, 20), P(20, 20), P(20, 40), P(0, 40)])
    sharp, soft = inset(ell, 5), inset(ell, 5, "round")
    assert write_path(sharp) == "M5 5 L35 5 L35 15 L15 15 L15 35 L5 35 Z"
    assert area(soft) - area(sharp) == pytest.approx(25 * (1 - math.pi / 4), abs=1e-9)
    arcs = [s for s in soft.contours[0].segments if isinstance(s, Arc)]
    assert [a.radius for a in arcs] == pytest.approx([5])
    assert arcs[0].centre == pytest.approx((20, 20))


def test_a_very_sharp_inward_corner_is_rounded_even_with_a_mitre():
    notch = polygon([P(0, 0), P(100, 0), P(100, 60), P(52, 60), P(50, 20), P(48, 60), P(0, 60)])
    done = inset(notch, 3)
    assert any(isinstance(s, Arc) for s in done.contours[0].segments)
    assert bounds(done).bottom == pytest.approx(3)


@pytest.mark.parametrize(("times", "is_sharp"), [(3.9, True), (4.1, False)])
def test_a_corner_moved_out_by_four_times_the_distance_is_still_sharp(times, is_sharp):
    half = math.asin(1.0 / times)
    away = P(-60 * math.cos(half), 60 * math.sin(half))
    back = P(away.x, -away.y)
    done = outset(polygon([P(0, 0), away, P(-90, 0), back]), 2.0)
    assert bounds(done).right == pytest.approx(2.0 * times if is_sharp else 2.0)


def test_outset_of_an_incurved_corner_is_carried_on_to_meet():
    done = outset(rectangle(100, 60, corners=Corner("incurved", 10)), 2)
    assert done.node_count == 8
    assert {round(s.radius, 9) for s in done.contours[0].segments if isinstance(s, Arc)} == {8}


def test_a_neck_parts():
    dumbbell = polygon(
        [
            P(0, 0),
            P(40, 0),
            P(40, 17),
            P(60, 17),
            P(60, 0),
            P(100, 0),
            P(100, 40),
            P(60, 40),
            P(60, 23),
            P(40, 23),
            P(40, 40),
            P(0, 40),
        ]
    )
    assert [round(area(Outline((c,)))) for c in inset(dumbbell, 4)] == [32 * 32, 32 * 32]
    assert len(inset(dumbbell, 2.9).contours) == 1
    assert len(inset(dumbbell, 3).contours) == 2


def test_holes_grow_as_the_sheet_shrinks():
    sheet = Outline((*rectangle(100, 60).contours, circle(P(50, 30), 10).contours[0].reversed()))
    assert area(inset(sheet, 5)) == pytest.approx(90 * 50 - math.pi * 225)
    assert len(inset(sheet, 10).contours) == 2
    assert len(inset(sheet, 10.001).contours) == 2


def test_inset_of_a_cubic_has_few_nodes():
    blob = Outline(
        (
            Contour(
                (
                    Cubic(P(0, 0), P(30, -25), P(50, 25), P(80, 10)),
                    Cubic(P(80, 10), P(95, 25), P(60, 40), P(70, 60)),
                    Cubic(P(70, 60), P(50, 80), P(30, 40), P(-5, 50)),
                    Cubic(P(-5, 50), P(-20, 30), P(15, 20), P(0, 0)),
                )
            ),
        )
    )
    assert inset(blob, 3).node_count <= 14


def test_a_parallel_has_as_few_cubics_as_keep_within_three_thousandths():
    line = Contour((Cubic(P(0, 0), P(20, 95), P(80, -47.5), P(100, 30)),), closed=False)
    (beside,) = parallel(line, 2.0)
    assert len(beside.segments) == 5  # six within 0.002 mm, four within 0.004


def test_band_is_as_wide_as_it_should_be(specimen):
    strand = band(specimen, 1.5, 2.25, "round")
    outer, inner = inset(specimen, 1.5, "round"), inset(specimen, 2.25, "round")
    assert area(strand) == pytest.approx(area(outer) - area(inner))
    with pytest.raises(LiveryError, match="no width"):
        band(specimen, 2, 2)


def test_distances_that_are_no_distance():
    assert inset(rectangle(5, 5), 0) == rectangle(5, 5)
    with pytest.raises(LiveryError):
        inset(rectangle(5, 5), math.nan)


@pytest.mark.parametrize("bulge", [-0.2, 0.2], ids=["ogive", "flame"])
def test_a_mitre_carries_on_what_bends_away_and_the_tangents_of_what_bends_round(bulge):
    """Of a hollow with a peak into the sheet, between two arcs."""
    peak, sides = P(50, 20), [P(70, 0), P(100, 0), P(100, 60), P(0, 60), P(0, 0), P(30, 0)]
    arcs = Arc(P(30, 0), peak, bulge), Arc(peak, P(70, 0), bulge)
    moved = inset(Outline((Contour((*arcs, *chain(sides, closed=False).segments)),)), 2)
    if bulge < 0:
        centre, radius = arcs[0].centre, arcs[0].radius
        top = centre.y + math.sqrt((radius + 2) ** 2 - (50 - centre.x) ** 2)
    else:
        top = 20 + 2 / direction(arcs[0], 1.0).x
    assert any(p == pytest.approx((50, top)) for p in moved.contours[0].nodes)


@pytest.mark.parametrize(
    ("ends", "extra"),
    [("butt", 0), ("square", 16), ("round", 4 * math.pi), ("pointed", 8)],
)
def test_stroke_ends(ends, extra):
    line = chain([P(0, 0), P(30, 0)], closed=False)
    done = stroke(line, 4, ends)
    assert area(done) == pytest.approx(120 + extra)
    assert faults(done) == []


@pytest.mark.parametrize("ends", ["butt", "square", "round", "pointed"])
def test_the_ends_of_a_slanting_stroke_are_those_of_a_level_one(ends):
    level, turn = chain([P(3, 1), P(30, 1)], closed=False), Transform().rotate(2.2)
    slanting, expected = stroke(level.transformed(turn), 4, ends), stroke(level, 4, ends)
    differs = to_shapely(slanting).symmetric_difference(to_shapely(expected.transformed(turn)))
    assert differs.area < 1e-6


def test_stroke_of_an_arc_has_concentric_sides():
    arc = Contour((Arc(P(0, 0), P(40, 0), 0.4),), closed=False)
    done = stroke(arc, 3)
    radius = arc.segments[0].radius
    assert done.node_count == 4
    assert sorted(
        s.radius for s in done.contours[0].segments if isinstance(s, Arc)
    ) == pytest.approx([radius - 1.5, radius + 1.5])


def test_stroke_of_a_closed_line_is_a_ring():
    done = stroke(rectangle(40, 30), 2)
    assert area(done) == pytest.approx(42 * 32 - 38 * 28)
    assert [len(c.segments) for c in done] == [4, 4]


def test_stroke_that_crosses_itself_is_one_region():
    cross = chain([P(0, 0), P(40, 0), P(40, 30), P(20, 30), P(20, -20)], closed=False)
    done = stroke(cross, 4)
    assert faults(done) == []
    assert len(done.contours) == 2


def test_stroke_against_shapely():
    wave = Contour(
        (Cubic(P(0, 0), P(40, 50), P(20, -50), P(80, 0)), Line(P(80, 0), P(60, 25))), closed=False
    )
    line = shapely.LineString(flatten(wave, 0.001))
    for ends, style in (("round", "round"), ("butt", "flat")):
        done = stroke(wave, 6, ends, "round")
        reference = line.buffer(3, quad_segs=128, cap_style=style)
        assert area(done) == pytest.approx(reference.area, abs=0.3)
        assert to_shapely(done).hausdorff_distance(reference) < 0.02


def test_parallel_of_an_open_line():
    line = chain([P(0, 0), P(40, 0), P(40, 30)], closed=False)
    (left,) = parallel(line, 5)
    assert left == chain([P(0, 5), P(35, 5), P(35, 30)], closed=False)
    (right,) = parallel(line, -5)
    assert right == chain([P(0, -5), P(45, -5), P(45, 30)], closed=False)
    (soft,) = parallel(line, -5, "round")
    assert [type(s) for s in soft.segments] == [Line, Arc, Line]


def test_parallel_cuts_out_its_loops():
    notch = chain([P(0, 0), P(20, 0), P(22, -6), P(24, 0), P(44, 0)], closed=False)
    (left,) = parallel(notch, 2, "round")
    assert left.start == pytest.approx((0, 2))
    assert left.end == pytest.approx((44, 2))
    assert [type(s) for s in left.segments] == [Line, Arc, Line, Line, Arc, Line]
    assert left.segments[2].end == pytest.approx((22, math.sqrt(40) - 6))
    assert parallel(Contour((Arc(P(0, 0), P(20, 0), 1.0),), closed=False), 10.5) == ()


def test_nasty_outlines_can_be_inset_once_settled(nasty):
    assert faults(inset(union(nasty), 1.0)) == []


def noisy_edge(nodes, size, waves, noise):
    """A traced edge: a circle with waves of given counts and heights, and every node a little off."""
    rng = np.random.default_rng(5)
    angles = np.linspace(0, 2 * math.pi, nodes, endpoint=False)
    away = size + rng.uniform(-noise, noise, nodes)
    for count, height in waves:
        away += height * np.sin(count * angles)
    xs, ys = (away * np.cos(angles)).tolist(), (away * np.sin(angles)).tolist()
    return chain([P(x, y) for x, y in zip(xs, ys, strict=True)])


def assert_same_edge(one, other):
    """Both go by the same places: where two sides are all but in line, their node may be anywhere."""
    assert area(one) == pytest.approx(area(other), abs=1e-4)
    assert len(one.contours) == len(other.contours)
    for nodes, edge in ((one, other), (other, one)):
        line = to_shapely(edge, 1e-5).boundary
        points = shapely.points([s.start for c in nodes for s in c.segments])
        assert shapely.distance(points, line).max() < 1.5e-5


@pytest.fixture
def one_by_one(monkeypatch):
    """Insets made one segment at a time, however many there are: what arrays are held to."""

    def made(outline, distance, join, *, cut_short=True):
        from livery.geometry import offset, sweep

        with monkeypatch.context() as patch:
            patch.setattr(offset, "MANY", 10**9)
            patch.setattr(offset, "VERY_MANY", 10**9)
            if not cut_short:
                patch.setattr(sweep, "MANY", 10**9)
            return inset(outline, distance, join)

    return made


@pytest.mark.parametrize("join", ["mitre", "round"])
@pytest.mark.parametrize("distance", [0.3, 4, 15, -3])
def test_cutting_sweeps_short_changes_nothing(one_by_one, distance, join):
    trace = Outline((noisy_edge(500, 40, [(5, 6)], 0.05),))
    full = one_by_one(trace, distance, join, cut_short=False)
    assert write_path(one_by_one(trace, distance, join), 5) == write_path(full, 5)
    assert_same_edge(inset(trace, distance, join), full)


@pytest.mark.parametrize("join", ["mitre", "round"])
@pytest.mark.parametrize("distance", [2, 9, -3, -9])
def test_gaps_left_in_the_sweep_of_very_many_sides_are_not_seen(
    monkeypatch, one_by_one, distance, join
):
    """Of a trace with a hole, and an island so near to the edge that it lies in a gap."""
    from livery.geometry import offset

    trace = noisy_edge(1100, 30, [(5, 5), (31, 2)], 0.05)
    holes = [c.reversed() for o in (circle(P(2, 1), 6), circle(P(-22, 0), 0.3)) for c in o]
    shape = Outline((trace, *holes))
    full = one_by_one(shape, distance, join)
    assert_same_edge(inset(shape, distance, join), full)
    monkeypatch.setattr(offset, "MANY", 10**9)
    assert write_path(inset(shape, distance, join), 5) == write_path(full, 5)


@pytest.mark.parametrize("distance", [0.01, 0.7, 5, -0.3, -4])
@pytest.mark.parametrize("join", ["mitre", "round"])
def test_as_arrays_a_few_segments_give_the_same(monkeypatch, specimen, one_by_one, distance, join):
    from livery.geometry import chords, offset

    expected = one_by_one(specimen, distance, join)
    monkeypatch.setattr(offset, "MANY", 0)
    monkeypatch.setattr(chords, "MANY", 0)
    done = inset(specimen, distance, join)
    assert write_path(done, 5) == write_path(expected, 5)


def test_a_line_that_turns_back_on_itself_has_half_a_round_at_its_end():
    there_and_back = chain([P(0, 0), P(30, 0), P(0, 0)], closed=False)
    done = stroke(there_and_back, 4)
    assert bounds(done) == pytest.approx((0, -2, 32, 2))
    assert area(done) == pytest.approx(120 + 2 * math.pi)


def test_a_bend_that_is_tight_from_its_very_start():
    """The second cubic leaves the first smoothly, and bends at once tighter than the distance."""
    hook = Outline(
        (
            Contour(
                (
                    Line(P(0, 0), P(40, 0)),
                    Line(P(40, 0), P(40, 10)),
                    Line(P(40, 10), P(10, 10)),
                    Cubic(P(10, 10), P(9.9, 10), P(2, 10.2), P(0, 6)),
                    Line(P(0, 6), P(0, 0)),
                )
            ),
        )
    )
    for distance in (-5, -0.4, 2):
        moved = inset(hook, distance, "round")
        edge = to_shapely(hook, 1e-4).boundary
        away = shapely.distance(shapely.points(edge_points(moved)), edge)
        assert np.abs(away - abs(distance)).max() < 0.005
    back = Cubic(P(10, 10), P(9.98, 9.99), P(9.98, 9.0), P(0, 6))
    notch = Outline(
        (Contour((*hook.contours[0].segments[:3], back, hook.contours[0].segments[4])),)
    )
    moved = inset(notch, -3, "round")
    away = shapely.distance(shapely.points(edge_points(moved)), to_shapely(notch, 1e-4).boundary)
    assert np.abs(away - 3).max() < 0.005
