import math

import pytest
from fontTools.misc.transform import Transform

from livery.findings import LiveryError
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds, length
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, chain
from livery.geometry.path_text import in_order, orient, read_path, write_path
from livery.geometry.shapes import circle, rectangle


def test_read_after_write_is_the_same_region(specimen):
    again = Outline(read_path(write_path(specimen, decimals=4)))
    assert area(again) == pytest.approx(area(specimen), abs=1e-4 * length(specimen) + 1e-9)
    if specimen and area(specimen) > 1:
        assert bounds(again) == pytest.approx(bounds(specimen), abs=2e-4)
        assert to_shapely(again).hausdorff_distance(to_shapely(specimen)) < 0.003


def test_written_words():
    assert write_path(rectangle(10, 5)) == "M0 0 L10 0 L10 5 L0 5 Z"
    assert write_path(rectangle(10, 5), transform=Transform(1, 0, 0, -1, 0, 5)) == (
        "M0 5 L10 5 L10 0 L0 0 Z"
    )
    assert write_path(
        Contour((Arc(Point(0, 0), Point(2, 2), math.tan(math.pi / 8)),), closed=False)
    ) == ("M0 0 A2 2 0 0 1 2 2")


def test_half_circles_are_written_so_that_the_radius_cannot_spoil_them():
    disc = circle(Point(0.12345, 0), 100.00049)
    (again,) = read_path(write_path(disc))
    for s in again.segments:
        assert math.dist(s.middle, (0.12345, 0)) == pytest.approx(100.00049, abs=0.002)


def test_what_rounds_to_nothing_is_left_out():
    assert write_path(rectangle(1e-5, 1e-5)) == ""


def test_reading_relative_smooth_and_quadratic():
    (one,) = read_path("m 1 1 h 4 v 3 q 2 2 0 4 t -4 0 z")
    assert [type(s) for s in one.segments] == [Line, Line, Cubic, Cubic, Line]
    assert one.closed
    assert one.segments[2].control1 == pytest.approx((5 + 4 / 3, 4 + 4 / 3))
    assert one.segments[2].control2 == pytest.approx((5 + 4 / 3, 8 - 4 / 3))


@pytest.mark.parametrize(
    ("last", "kind"), [("l-0.3 -0.1", Line), ("c-0.1 0.3 -0.2 0.2 -0.3 -0.1", Cubic)]
)
def test_a_closed_path_ends_at_its_very_start_though_its_steps_do_not_add_up(last, kind):
    (triangle,) = read_path(f"M0.1 0.7 l0.1 0.2 l0.2 -0.1 {last} z")
    assert isinstance(triangle.segments[-1], kind)
    assert 0 < abs(0.1 + 0.1 + 0.2 - 0.3 - 0.1) < 1e-15
    assert len(triangle.segments) == 3
    assert triangle.end == triangle.start
    assert triangle.nodes[1] == pytest.approx((0.2, 0.9))
    assert triangle.nodes[2] == pytest.approx((0.4, 0.8))


def test_reading_arcs():
    (circular,) = read_path("M0 0 A5 5 0 0 1 10 0")
    (arc,) = circular.segments
    assert isinstance(arc, Arc)
    assert arc.sweep == pytest.approx(math.pi)
    (oblong,) = read_path("M0 0 A10 5 30 1 0 8 3")
    for s in oblong.segments:
        assert isinstance(s, Cubic)
    assert oblong.end == Point(8, 3)
    back = Transform().rotate(math.radians(30)).scale(10, 5).inverse()
    from livery.geometry.segments import point_on

    ends = [back.transformPoint(s.start) for s in oblong.segments] + [
        back.transformPoint(oblong.end)
    ]
    middles = [back.transformPoint(point_on(s, 0.5)) for s in oblong.segments]
    import numpy as np

    p = np.array(ends + middles)
    a = np.column_stack((2 * p, np.ones(len(p))))
    (cx, cy, k), *_ = np.linalg.lstsq(a, (p**2).sum(axis=1), rcond=None)
    assert k + cx * cx + cy * cy == pytest.approx(1, abs=1e-5)
    assert np.hypot(p[:, 0] - cx, p[:, 1] - cy) == pytest.approx(np.ones(len(p)), abs=1e-5)


def test_an_open_path_stays_open():
    first, second = read_path("M0 0 L5 0 M1 1 L2 2 L0 2 Z")
    assert not first.closed
    assert second.closed


@pytest.mark.parametrize("text", ["not a path", "M0 0 L5", "M 1 1 A 3"])
def test_text_that_is_no_path_is_refused(text):
    with pytest.raises(LiveryError, match="not SVG path"):
        read_path(text)


def test_orient_settles_direction_and_order(specimen):
    shuffled = Outline(tuple(c.reversed() for c in reversed(specimen.contours)))
    once = orient(shuffled)
    assert orient(once) == once
    assert area(once) == pytest.approx(area(specimen))
    assert write_path(once) == write_path(orient(specimen))


def test_of_contours_that_begin_at_one_place_the_larger_comes_first():
    outer = chain([Point(0, 0), Point(9, 0), Point(9, 9), Point(0, 9)])
    hole = chain([Point(0, 0), Point(2, 4), Point(4, 2)])
    for contours in ((outer, hole), (hole, outer), (hole.reversed(), outer.reversed())):
        assert [abs(area(c)) for c in in_order(Outline(contours))] == [81, 6]
