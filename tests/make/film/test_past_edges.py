"""Film past the edges of the metal: far enough to trim, and nowhere else."""

import math

import pytest
import shapely

from livery.geometry.boolean import difference
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Arc, Contour, Point
from livery.geometry.shapes import Corner, circle, polygon, rectangle
from livery.layout.edges import facing_edge
from livery.layout.plan import PlacedEdge
from livery.make.film.past_edges import MetalEdges

SHEET = rectangle(400, 120)
PORT = circle(Point(100, 60), 25)
EDGES = MetalEdges(SHEET, [PORT])


def test_a_line_across_runs_past_both_ends_and_no_side():
    line = rectangle(400, 4, Point(0, 10))
    grown = EDGES.run_past(line, 3.0)[0]
    assert tuple(bounds(grown)) == pytest.approx((-3, 10, 403, 14), abs=1e-3)
    assert area(grown) == pytest.approx(406 * 4, abs=0.05)


def test_what_ends_short_of_the_edge_stays_as_it_is():
    line = rectangle(399.9, 4, Point(0.05, 10))
    assert EDGES.run_past(line, 3.0)[0] is line
    whole = rectangle(400, 4, Point(0, 10))
    assert EDGES.run_past(whole, 0.0)[0] is whole


@pytest.mark.parametrize(("short", "reach"), [(0.008, 3.0), (0.012, 0.0)])
def test_what_ends_within_a_hundredth_of_the_edge_runs_past_it(short, reach):
    assert EDGES.run_past(rectangle(50, 4, Point(short, 10)), 3.0)[1] == reach


@pytest.mark.parametrize(("width", "is_run"), [(0.04, False), (0.06, True)])
def test_a_hundredth_of_a_square_millimetre_past_an_edge_is_left_out(width, is_run):
    """0.18 mm past the edge, and 0.02 mm within it."""
    grown, _ = EDGES.run_past(rectangle(width, 4, Point(50, 0)), 0.18)
    assert (bounds(grown).bottom < -0.1) is is_run


@pytest.mark.parametrize(("slot", "is_closed"), [(0.18, True), (0.22, False)])
def test_slits_of_a_fifth_of_a_millimetre_are_closed_past_an_edge(slot, is_closed):
    said = [PlacedEdge(side_of(SHEET, "left"), "free", 2.0)]
    line = difference(rectangle(50, 9, Point(0, 50)), rectangle(9, slot, Point(0, 54)))
    grown, _ = MetalEdges(SHEET, [], said).run_past(line, 0.0)
    assert to_shapely(grown).covers(shapely.Point(-1.0, 54 + slot / 2)) is is_closed


def test_a_line_along_an_edge_runs_past_it_all_along_and_round_the_corner():
    grown = EDGES.run_past(rectangle(400, 5), 3.0)[0]
    assert area(grown) == pytest.approx(406 * 8, abs=0.05)


def test_a_line_runs_into_an_opening_along_its_curve():
    line = difference(rectangle(400, 4, Point(0, 58)), PORT)
    grown = EDGES.run_past(line, 3.0)[0]
    shape = to_shapely(grown)
    left = max(part.bounds[2] for part in shape.geoms if part.bounds[0] < 75)
    half = math.sqrt(25**2 - 2**2)
    assert left == pytest.approx(100 - half + 3 * half / 25, abs=0.02)
    # Its own edge keeps its arcs' ends; the rest of the port stays open.
    assert to_shapely(PORT).intersection(shape).area == pytest.approx(2 * 4 * 3, rel=0.07)


def test_a_rounded_corner_is_followed_round():
    sheet = rectangle(100, 100, corners=Corner("round", 20))
    field = difference(sheet, rectangle(60, 60, Point(20, 20)))
    grown = MetalEdges(sheet, []).run_past(field, 2.0)[0]
    outer = 104 * 104 - (4 - math.pi) * 22**2
    assert area(grown) == pytest.approx(outer - 3600, abs=0.2)
    assert any(isinstance(s, Arc) for c in field for s in c.segments)


def test_a_slanting_line_covers_all_the_edge_it_meets():
    line = polygon([Point(200, 0), Point(210, 0), Point(330, 120), Point(320, 120)])
    grown = EDGES.run_past(line, 3.0)[0]
    extra = to_shapely(grown).difference(to_shapely(line))
    assert extra.area == pytest.approx(2 * 10 * 3, abs=0.1)
    assert tuple(bounds(grown))[1::2] == pytest.approx((-3, 123))


def side_of(sheet, contour_kind):
    """The runs of a sheet's edge that face one way."""
    segments = [s for s in sheet.contours[0].segments if facing_edge(s) == contour_kind]
    return Contour(tuple(segments), closed=False)


def test_film_ends_on_an_edge_that_butts_and_runs_past_a_free_one_as_far_as_it_says():
    sheet = rectangle(400, 120, corners=Corner("round", 20))
    said = [
        PlacedEdge(side_of(sheet, "left"), "butted", None),
        PlacedEdge(side_of(sheet, "right"), "free", 5.0),
        PlacedEdge(PORT.contours[0], "butted", None),
    ]
    edges = MetalEdges(sheet, [PORT], said)
    line = difference(rectangle(400, 4, Point(0, 58)), PORT)
    grown, reach = edges.run_past(line, 3.0)
    assert reach == 5.0
    assert tuple(bounds(grown)) == pytest.approx((0, 58, 405, 62), abs=1e-3)
    assert area(grown) == pytest.approx(area(line) + 5 * 4, abs=0.05)
    whole, _ = edges.run_past(sheet, 3.0)
    assert tuple(bounds(whole)) == pytest.approx((-3, -3, 405, 123), abs=0.02)
    # Where one run follows another no slit is left between them.
    assert to_shapely(whole).buffer(-0.2).buffer(0.2).area == pytest.approx(area(whole), abs=0.1)
    nearest_left, reach = edges.run_past(rectangle(100, 4, Point(0, 58)), 3.0)
    assert (reach, bounds(nearest_left).left) == (0.0, 0.0)


def test_what_the_user_says_of_an_edge_goes_before_what_the_film_says():
    said = [PlacedEdge(side_of(SHEET, "left"), "free", 2.0)]
    grown, reach = MetalEdges(SHEET, [], said).run_past(rectangle(50, 4, Point(0, 58)), 0.0)
    assert (reach, bounds(grown).left) == (2.0, pytest.approx(-2.0, abs=1e-3))
