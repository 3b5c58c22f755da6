"""The paths of a cutter, swept by another library: nothing that stays is cut, all it can reach is."""

from __future__ import annotations

import math

import pytest
import shapely

from livery.findings import Severity
from livery.geometry.boolean import difference
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import circle, polygon, rectangle
from livery.plate.cutting import cutter_findings, cutter_paths, unreached_corners
from livery.plate.outlines import border, drilled
from livery.plate.plate import Plate, RaisedOrSunk

L = polygon([Point(x, y) for x, y in ((10, 5), (18, 5), (18, 8), (13, 8), (13, 17), (10, 17))])
EDGE = rectangle(40, 22)


def swept(path: Outline, radius: float) -> shapely.Geometry:
    rings = [shapely.LinearRing(shapely.get_coordinates(p.exterior)) for p in _parts(path)]
    rings += [r for p in _parts(path) for r in p.interiors]
    return shapely.union_all([ring.buffer(radius, quad_segs=64) for ring in rings])


def _parts(path: Outline) -> list[shapely.Polygon]:
    return list(shapely.get_parts(to_shapely(path, 0.001)))


@pytest.mark.parametrize("sunk", [False, True])
def test_the_cutter_goes_along_the_letters_and_never_into_what_stays(sunk: bool) -> None:
    kind = RaisedOrSunk.SUNK if sunk else RaisedOrSunk.RAISED
    plate = Plate("a", EDGE, L, border(EDGE, 1.5, 1.0), kind)
    paths = cutter_paths(plate, 0.5)
    cut = swept(paths.letters, 0.25)
    letters, edging = to_shapely(plate.letters), to_shapely(plate.border)
    stays = to_shapely(EDGE).difference(letters.union(edging)) if sunk else letters.union(edging)
    assert cut.intersection(stays).area < 1e-3
    # Along every straight run it takes the ground right up to the letter.
    beside = letters.buffer(-0.02) if sunk else letters.buffer(0.02).difference(letters)
    near = beside.intersection(letters.boundary.buffer(0.03))
    assert near.difference(cut).area < 0.04 * near.area


def test_the_edge_is_cut_round_outside_and_holes_inside() -> None:
    plate = Plate("a", drilled(EDGE, [Point(4, 11), Point(36, 11)], 2.0), L)
    paths = cutter_paths(plate, 0.8)
    box = bounds(paths.edge)
    assert (box.left, box.right, box.top) == pytest.approx((-0.4, 40.4, 22.4))
    assert [bounds(Outline((c,))).width for c in paths.holes] == pytest.approx([1.2, 1.2])
    assert not paths.drilled
    small = cutter_paths(Plate("a", drilled(EDGE, [Point(4, 11)], 0.6), L), 0.8)
    assert not small.holes and bounds(small.drilled).width == pytest.approx(0.6)


def test_corners_it_cannot_reach_are_counted_and_measured() -> None:
    """A square corner keeps r^2 (1 - pi/4) of its ground; raised letters have but inner corners."""
    raised = Plate("a", EDGE, L)
    (corner,) = unreached_corners(raised, 1.0)
    assert corner.area == pytest.approx(0.25 * (1 - math.pi / 4), rel=0.1)
    assert (corner.centroid.x, corner.centroid.y) == pytest.approx((13.1, 8.1), abs=0.1)
    sunk = Plate("a", EDGE, L, lettering=RaisedOrSunk.SUNK)
    assert len(unreached_corners(sunk, 1.0)) == 5
    (note,) = cutter_findings(sunk, 1.0)
    assert note.severity is Severity.NOTE and "leaves 5 corners" in note.message
    ring = difference(circle(Point(20, 11), 6), circle(Point(20, 11), 3))
    assert cutter_findings(Plate("a", EDGE, ring), 1.0) == []
