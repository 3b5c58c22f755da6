"""Surfaces in space: lengths are kept, what is seen stands at the corner, patches lie on it."""

import math
from itertools import pairwise

import pytest
import shapely
from fontTools.misc.transform import Identity
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds, length, point_at
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.geometry.shapes import rectangle
from livery.surfaces.cone import Barrel, OnBarrel
from livery.surfaces.cone_surface import ConeSurface
from livery.surfaces.gore_surface import GoreSurface, _sag
from livery.surfaces.gores import Gores
from livery.surfaces.surface import (
    FlatSurface,
    OtherHand,
    chord_count,
    cylinder_surface,
    folded_surface,
)

QUARTER = math.pi / 2
SAG_MM = 0.05


def coned(barrel: Barrel) -> tuple[ConeSurface, Outline]:
    corner = bounds(barrel.outline)
    move = Identity.translate(-corner.left, -corner.bottom)
    return ConeSurface(barrel, move), barrel.outline.transformed(move)


def dome(count: int) -> tuple[GoreSurface, Outline]:
    """A quarter of a circle of 30 mm turned round: a hemisphere, base down, in gores."""
    gores = Gores(Contour((Arc(Point(0, 30), Point(30, 0), -math.tan(math.pi / 8)),), False), count)
    box = bounds(gores.outline)
    middles = tuple(i * (box.width + 2) - box.left for i in range(count))
    row = [gores.outline.transformed(Identity.translate(x, 0)) for x in middles]
    return GoreSurface(gores, middles), Outline(tuple(c for g in row for c in g))


# A flat of 100, a bend of a quarter turn away over 10 mm, a flat of 50.
ANGLE = folded_surface([100, 10 * QUARTER, 50], [0, QUARTER, 0], 0.0, upright=False)
# Like a coach side: a turn-under towards the viewer, the side, and a cant over the roof.
SIDE = folded_surface([15, 8, 60, 25, 5], [0, -0.4, 0, 1.1, 0], 3.0, upright=True)
TANK = cylinder_surface(0.0, math.pi * 10, 0.0, math.pi)
DEVELOPED = {
    "flat": (FlatSurface(), rectangle(120, 40)),
    "angle": (ANGLE, rectangle(150 + 10 * QUARTER, 40)),
    "side": (SIDE, rectangle(200, 113, Point(0, 3))),
    "cylinder": (TANK, rectangle(80, math.pi * 10)),
    "most of a cylinder": (cylinder_surface(0, 50, -0.5, 4.5), rectangle(90, 50)),
    "cone": coned(Barrel(20, 12, 90, 0.2, 2.9)),
    "cone the other way, its seam askew": coned(Barrel(9, 20, 60, -1.0, 3.0, 0.2)),
    "cone whose seam goes back": coned(Barrel(9, 20, 60, 0.5, 2.9, -0.2)),
    "narrow cone, its seam askew": coned(Barrel(9, 20, 60, 0.2, 1.2, 0.2)),
    "other hand of an angle": (
        OtherHand(ANGLE, 190 + 10 * QUARTER, 110),
        rectangle(150 + 10 * QUARTER, 30, Point(20, 0)),
    ),
    "slight cone": coned(Barrel(20, 20.001, 100, 0.0, math.pi)),
}
EVERY = DEVELOPED | {"dome": dome(8)}
shares = st.floats(0.0, 1.0)


def between(outline: Outline, across: float, up: float) -> Point:
    box = bounds(outline)
    return Point(box.left + across * box.width, box.bottom + up * box.height)


@pytest.mark.parametrize("name", DEVELOPED)
@settings(max_examples=25, deadline=None)
@given(st.tuples(shares, shares), st.tuples(shares, shares))
def test_a_line_is_as_long_in_space_as_on_the_panel(name, start, end):
    surface, panel = DEVELOPED[name]
    a, b = between(panel, *start), between(panel, *end)
    count = 400
    places = [
        surface.in_space(Point(a.x + (b.x - a.x) * i / count, a.y + (b.y - a.y) * i / count))
        for i in range(count + 1)
    ]
    found = sum(math.dist(p, q) for p, q in pairwise(places))
    assert found == pytest.approx(math.dist(a, b), rel=1e-4, abs=1e-6)


@pytest.mark.parametrize("name", EVERY)
@settings(max_examples=25, deadline=None)
@given(st.floats(0.02, 0.98), st.floats(0.02, 0.98))
def test_what_it_faces_is_square_to_it(name, across, up):
    surface, panel = EVERY[name]
    if name == "dome":  # a place on a gore, not between two
        middle = surface.middles[int(across * 8)]
        at = Point(middle + 0.5 * (up - 0.5), up * surface.gores.height)
    else:
        at = between(panel, across, up)
    normal, here = surface.facing(at), surface.in_space(at)
    assert math.hypot(*normal) == pytest.approx(1.0)
    ways = [
        surface.in_space(Point(at.x + dx, at.y + dy)).less(here)
        for dx, dy in ((1e-5, 0.0), (0.0, 1e-5))
    ]
    for way in ways:
        assert sum(n * w for n, w in zip(normal, way, strict=True)) == pytest.approx(0, abs=1e-9)
    (ax, ay, az), (bx, by, bz) = ways
    cross = (ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx)
    assert sum(n * c for n, c in zip(normal, cross, strict=True)) > 0.0


@pytest.mark.parametrize("name", EVERY)
def test_what_is_seen_begins_at_the_corner(name):
    surface, panel = EVERY[name]
    nodes = [p for c in panel for s in c.segments for p in (s.start, _middle(s))]
    if name != "dome":
        nodes += [between(panel, i / 60, j / 60) for i in range(61) for j in range(61)]
    if "cone" in name:  # only what is on the sheet
        nodes += [surface.move.transformPoint(p) for p in _round_edges(surface.barrel)]
        nodes = [Point(*p) for p in nodes if _is_on(surface, p)]
    places = [surface.in_space(p) for p in nodes]
    assert min(p.x for p in places) == pytest.approx(0.0, abs=0.6 if name == "dome" else 1e-6)
    assert min(p.y for p in places) == pytest.approx(0.0, abs=0.02)
    assert max(p.z for p in places) == pytest.approx(0.0, abs=0.6 if name == "dome" else 0.02)


def _round_edges(barrel):
    for station in (0.0, barrel.length):
        ring = barrel.ring(station)
        yield from (point_at(ring, length(ring) * i / 200)[0] for i in range(201))


def _middle(segment):
    return segment.middle if isinstance(segment, Arc) else segment.start


def _is_on(surface, point):
    barrel = surface.barrel
    place = barrel.rolled(Point(*surface.move.inverse().transformPoint(point)))
    shift = barrel.seam_shift(min(max(place.station, 0.0), barrel.length))
    return (
        -1e-9 <= place.station <= barrel.length + 1e-9
        and barrel.first + shift - 1e-9 <= place.angle <= barrel.last + shift + 1e-9
    )


@pytest.mark.parametrize("name", EVERY)
def test_patches_cover_the_panel_and_lie_on_the_surface(name):
    surface, panel = EVERY[name]
    sag = 0.5 if name == "dome" else SAG_MM
    patches = surface.patches(panel, sag)
    for patch in patches:
        corners = [p for contour in patch.region for p in contour.nodes]
        x, y = (sum(p[i] for p in corners) / len(corners) for i in (0, 1))
        for p in (Point(x, y), *(Point((p.x + x) / 2, (p.y + y) / 2) for p in corners)):
            assert math.dist(patch.place(p), surface.in_space(p)) < 1.5 * sag
    covered = shapely.union_all([to_shapely(patch.region) for patch in patches])
    bare = to_shapely(panel).difference(covered).area
    # A gore's round edges are cut off by its panes, by less than the sag.
    assert bare < (0.02 * area(panel) if name == "dome" else 0.05)
    assert (len(patches) == 1) == (name == "flat")


def test_an_angle_by_hand():
    assert ANGLE.in_space(Point(30, 7)) == pytest.approx((30, 7, 0))
    assert ANGLE.in_space(Point(100 + 10 * QUARTER, 0)) == pytest.approx((110, 0, -10))
    assert ANGLE.in_space(Point(150 + 10 * QUARTER, 5)) == pytest.approx((110, 5, -60))
    half = math.sqrt(0.5)
    assert ANGLE.in_space(Point(100 + 5 * QUARTER, 0)) == pytest.approx(
        (100 + 10 * half, 0, 10 * half - 10)
    )
    assert ANGLE.facing(Point(150 + 10 * QUARTER, 5)) == pytest.approx((1, 0, 0))
    assert ANGLE.facing(Point(30, 7)) == pytest.approx((0, 0, 1))


def test_an_angle_as_built_is_as_long_as_it_was_made():
    # The first flat came out 2 mm long, the last 1 mm short.
    built = {0.0: 0.0, 100.0: 102.0, 100 + 10 * QUARTER: 102 + 10 * QUARTER}
    fitted = ANGLE.fitted(lambda x: built.get(x, x + 1.0), lambda y: y)
    assert fitted.in_space(Point(151 + 10 * QUARTER, 0)) == pytest.approx((112, 0, -59))


def test_half_a_tank_by_hand():
    assert TANK.in_space(Point(4, 0)) == pytest.approx((4, 0, -10))
    assert TANK.in_space(Point(4, 5 * math.pi)) == pytest.approx((4, 10, 0))
    assert TANK.in_space(Point(4, 10 * math.pi)) == pytest.approx((4, 20, -10))
    assert TANK.facing(Point(4, 0)) == pytest.approx((0, -1, 0), abs=1e-12)
    assert TANK.facing(Point(4, 5 * math.pi)) == pytest.approx((0, 0, 1), abs=1e-12)


def test_half_a_cone_by_hand():
    # 40 mm across at the left, 80 at the right: its sides rise by 20 in 90.
    barrel = Barrel(20, 40, 90, 0.0, math.pi)
    surface, _ = coned(barrel)

    def at(station: float, angle: float) -> Point:
        return Point(*surface.move.transformPoint(barrel.developed(OnBarrel(station, angle))))

    assert surface.in_space(at(0, 0)) == pytest.approx((0, 20, -40), abs=1e-9)
    assert surface.in_space(at(90, 0)) == pytest.approx((90, 0, -40), abs=1e-9)
    assert surface.in_space(at(0, QUARTER)) == pytest.approx((0, 40, -20))
    assert surface.in_space(at(90, QUARTER)) == pytest.approx((90, 40, 0))
    slant = math.hypot(90, 20)
    assert surface.facing(at(45, QUARTER)) == pytest.approx((-20 / slant, 0, 90 / slant), abs=1e-9)


def test_a_dome_by_hand():
    surface, _ = dome(8)
    left, right = surface.middles[3], surface.middles[4]
    eighth = math.pi / 8
    # The two middle gores stand an eighth of a half turn to the left and right of the viewer.
    for x, sign in ((left, -1), (right, 1)):
        assert surface.in_space(Point(x, 0)) == pytest.approx(
            (30 + sign * 30 * math.sin(eighth), 0, 30 * math.cos(eighth) - 30)
        )
    assert surface.in_space(Point(left, 15 * math.pi)) == pytest.approx((30, 30, -30), abs=1e-6)
    half_up = surface.in_space(Point(right, 7.5 * math.pi))
    assert half_up.y == pytest.approx(30 * math.sqrt(0.5))
    assert surface.facing(Point(left, 15 * math.pi)) == pytest.approx((0, 1, 0), abs=1e-6)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 7), st.floats(0.05, 0.95))
def test_a_gore_keeps_its_middle_line_and_its_levels(gore, share):
    surface, _ = dome(8)
    gores, x = surface.gores, surface.middles[gore]
    up = share * gores.height
    places = [surface.in_space(Point(x, up * i / 200)) for i in range(201)]
    found = sum(math.dist(p, q) for p, q in pairwise(places))
    assert found == pytest.approx(up, rel=1e-4)
    level = [gores.on_gore(gores.half_angle * (i / 100 - 1.0), up) for i in range(201)]
    places = [surface.in_space(Point(x + p.x, p.y)) for p in level]
    found = sum(math.dist(p, q) for p, q in pairwise(places))
    assert found == pytest.approx(2 * gores.half_angle * gores.radius_at(up), rel=1e-4)
    assert max(p.y for p in places) - min(p.y for p in places) < 1e-6


def test_a_closed_line_of_gores_meets_itself():
    surface, _ = dome(6)
    edge = surface.gores.on_gore(math.pi / 6, 20.0)
    first = surface.in_space(Point(surface.middles[0] - edge.x, edge.y))
    last = surface.in_space(Point(surface.middles[-1] + edge.x, edge.y))
    assert first == pytest.approx(last)
    assert isinstance(surface.gores.profile.segments[0], Arc | Line)


@pytest.mark.parametrize("upright", [True, False])
def test_where_a_folded_sheet_begins_on_its_panel_moves_nothing_in_space(upright: bool) -> None:
    shapes = [([30, 20, 30, 40], [0, 2.5, 0, -1.9]), ([12, 50, 20], [0.8, -2.2, 0.0])]
    for lengths, angles in shapes:
        end = sum(lengths)
        for start in (0.0, 7.0):
            sheet = folded_surface(lengths, angles, start, upright=upright)
            at = [start + end * i / 2000 for i in range(2001)]
            places = [sheet.in_space(Point(0.0, s) if upright else Point(s, 0.0)) for s in at]
            along = [p.y if upright else p.x for p in places]
            assert min(along) == pytest.approx(0.0, abs=1e-3)
            assert max(p.z for p in places) == pytest.approx(0.0, abs=1e-3)
            if not upright:
                assert sheet.width_seen(rectangle(9, 9)) == pytest.approx(max(along), abs=1e-3)
            panel = (
                rectangle(5, end, Point(0, start))
                if upright
                else rectangle(end, 5, Point(start, 0))
            )
            strips = sheet.patches(panel, SAG_MM)
            assert len(strips) == {4: 28, 3: 23}[len(lengths)]


def test_beyond_its_ends_a_folded_sheet_goes_straight_on() -> None:
    sheet = folded_surface([30, 20, 30], [0.4, 1.0, -0.5], 7.0, upright=False)
    for end, way in ((7.0, -1.0), (87.0, 1.0)):
        here = sheet.in_space(Point(end, 0.0))
        for far in (3.0, 9.0):
            there = sheet.in_space(Point(end + way * far, 0.0))
            across = sheet.facing(Point(end, 0.0))
            assert math.dist(here, there) == pytest.approx(far)
            assert sum(
                a * b for a, b in zip(there.less(here), across, strict=True)
            ) == pytest.approx(0.0, abs=1e-9)


def test_of_flats_as_long_the_first_is_square_to_the_viewer() -> None:
    sheet = folded_surface([40, 10, 40], [0, 1.0, 0], 0.0, upright=False)
    assert sheet.facing(Point(20.0, 0.0)) == pytest.approx((0, 0, 1))


def test_where_there_is_no_flat_the_middle_of_the_longest_bend_is_square_to_the_viewer() -> None:
    sheet = folded_surface([10, 40], [0.3, 1.0], 0.0, upright=False)
    assert sheet.facing(Point(30.0, 0.0)) == pytest.approx((0, 0, 1))


def test_an_arc_of_whole_chords_has_no_more_of_them() -> None:
    most = 2.0 * math.acos(1.0 - SAG_MM / 10.0)
    for count in range(1, 40):
        assert chord_count(count * most, 10.0, SAG_MM) == count


@pytest.mark.parametrize("bottom", [0.0, 7.0])
def test_every_place_of_a_rolled_sheet_is_as_far_from_its_axis_as_its_radius(bottom: float) -> None:
    tank = cylinder_surface(bottom, math.pi * 10, 0.3, math.pi)
    radius = math.pi * 10 / (math.pi - 0.3)
    assert tank.axis is not None and not tank.axis.upright
    _, y, z = tank.axis.at
    for share in (0.0, 0.2, 0.7, 1.0):
        place = tank.in_space(Point(4.0, bottom + share * math.pi * 10))
        assert math.hypot(place.y - y, place.z - z) == pytest.approx(radius)


@pytest.mark.parametrize("name", [name for name in DEVELOPED if "cone" in name])
def test_every_place_of_a_cone_is_as_far_from_its_axis_as_its_ring(name: str) -> None:
    surface, panel = DEVELOPED[name]
    assert isinstance(surface, ConeSurface) and not surface.axis.upright
    _, y, z = surface.axis.at
    for across, up in ((0.1, 0.2), (0.5, 0.9), (0.9, 0.5)):
        at = between(panel, across, up)
        place = surface.in_space(at)
        radius = surface.barrel.radius_at(place.x)
        assert math.hypot(place.y - y, place.z - z) == pytest.approx(radius)


def test_a_strip_of_a_cone_goes_as_far_beyond_its_ring_as_the_ring_bows() -> None:
    barrel = Barrel(9, 20, 60, 1.0, 3.0)
    surface, panel = coned(barrel)
    apex = Point(*surface.move.transformPoint(Point(-9 / barrel.k, 0.0)))
    strips = surface.patches(panel, SAG_MM)
    half = barrel.k * 2.0 / len(strips) / 2.0
    for strip in strips:
        far = max(math.dist(apex, p) for contour in strip.region for p in contour.nodes)
        assert far * math.cos(half) == pytest.approx(20 / barrel.k)


def test_gores_of_a_profile_in_parts_stand_where_it_goes() -> None:
    """A parallel part, a quarter of a circle in and a flat end, which begin 7 mm along."""
    round_in = Arc(Point(27, 50), Point(67, 10), -math.tan(math.pi / 8))
    parts = (Line(Point(7, 50), Point(27, 50)), round_in, Line(Point(67, 10), Point(67, 4)))
    gores = Gores(Contour(parts, False), 8)
    surface = GoreSurface(gores, tuple(100.0 * i for i in range(8)))
    axis = surface.axis.at
    turned = math.sqrt(0.5) * 40.0
    for up, along, radius in (
        (10.0, 10.0, 50.0),
        (20.0 + 10.0 * math.pi, 20.0 + turned, 10.0 + turned),
        (20.0 + 20.0 * math.pi + 3.0, 60.0, 7.0),
    ):
        place = surface.in_space(Point(300.0, up))
        assert place.y == pytest.approx(along)
        assert math.hypot(place.x - axis.x, place.z - axis.z) == pytest.approx(radius)


def test_the_sag_of_a_curve_is_that_of_the_chord_it_leaves_most() -> None:
    curve = Cubic(Point(0, 0), Point(0, 9), Point(0, 9), Point(12, 0))
    assert _sag(curve, 1) == pytest.approx(math.hypot(4.5, 6.75))
    at = [curve_point(t) for t in (0.0, 0.25, 0.5, 0.75, 1.0)]
    halves = [
        math.dist(m, ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)) for a, m, b in (at[:3], at[2:])
    ]
    assert _sag(curve, 2) == pytest.approx(max(halves))


def test_a_dome_has_256_levels_at_most() -> None:
    surface, _ = dome(8)
    assert len(surface._levels(1e-9)) == 257


def curve_point(t: float) -> tuple[float, float]:
    return 12.0 * t**3, 27.0 * t * (1.0 - t)


def test_the_other_hand_is_the_first_seen_in_a_mirror() -> None:
    sheet = folded_surface([50, 20, 90], [0, 1.2, 0], 5.0, upright=False)
    wide = sheet.width_seen(rectangle(160, 40, Point(5, 0)))
    other = OtherHand(sheet, 5.0 + 165.0 + 4.0, wide)  # its panel is 4 mm further right
    for x in (20.0, 60.0, 130.0):
        first, mirrored = sheet.in_space(Point(x, 9.0)), other.in_space(Point(174.0 - x, 9.0))
        assert mirrored == pytest.approx((wide - first.x, first.y, first.z))
        way, back = sheet.facing(Point(x, 9.0)), other.facing(Point(174.0 - x, 9.0))
        assert back == pytest.approx((-way.x, way.y, way.z))
    barrel = dome(8)[0]
    axis = OtherHand(barrel, 10.0, 70.0).axis
    assert axis is not None and axis.upright
    assert axis.at == pytest.approx((40.0, 0.0, -30.0))
    for patch in other.patches(rectangle(160, 40, Point(9, 0)), SAG_MM):
        for p in patch.region.contours[0].nodes:
            assert patch.place(p) == pytest.approx(other.in_space(p), abs=SAG_MM)
    leaning = OtherHand(coned(Barrel(20, 12, 90, 0.2, 2.9))[0], 99.0, 90.0)
    for patch in leaning.patches(rectangle(90, 60), SAG_MM):
        corners = patch.region.contours[0].nodes
        for p in corners:
            assert patch.place(p) == pytest.approx(leaning.in_space(p), abs=3.0 * SAG_MM)
