"""Block shades against sweeps made in other ways by other libraries.

Sources: Shapely's union of the outline, its shifted copy and the parallelogram swept
by each short edge of the flattened outline; manifold3d's hull of each convex part of
the outline with its shifted copy, united as cross sections; and Cavalieri's
principle, by which each line along the shade is lengthened by its depth.
"""

from __future__ import annotations

import math
from importlib.metadata import files
from pathlib import Path

import manifold3d
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import translate

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.swept_region import sweep
from livery.lettering.effects import BlockShade, Role, lettered, shift
from livery.lettering.face import Face
from livery.lettering.set_text import set_text
from livery.lettering.setting import Setting

LETTERS = "ABDGKOQRSWZ&0358aegy"
ANGLES = (0.0, 33.0, 90.0, 135.0, 225.0, 270.0, 315.0)
DEPTH_MM = 4.0
CHORD_MM = 0.001


@pytest.fixture(
    scope="module", params=[("font-lato", "Lato-Black.ttf"), ("font-caladea", "Caladea-Bold.ttf")]
)
def face(request):
    package, name = request.param
    return Face.read(next(Path(str(f.locate())) for f in files(package) or () if f.name == name))


@pytest.mark.parametrize("angle", ANGLES)
def test_the_shade_is_the_union_of_what_every_edge_sweeps(face, angle):
    move = shift(angle, DEPTH_MM)
    for letter in LETTERS:
        outline = set_text(face, letter, Setting(20.0)).outline
        ours = to_shapely(sweep(outline, move), CHORD_MM)
        other = swept_by_shapely(to_shapely(outline, CHORD_MM), move)
        differing = ours.symmetric_difference(other)
        assert differing.area < 1e-4 * other.area, letter
        assert differing.buffer(-0.002).is_empty, letter


@settings(max_examples=60, deadline=None)
@given(
    radii=st.lists(st.floats(1.0, 10.0), min_size=4, max_size=14),
    hole=st.floats(0.1, 0.8),
    move=st.tuples(st.integers(-800, 800), st.integers(1, 800)).map(
        lambda hundredths: (hundredths[0] / 100, hundredths[1] / 100)
    ),
)
def test_spiked_rings_are_swept_alike(radii, hole, move):
    """Outlines with many inward corners and a counter, whose shade overlaps itself."""
    turns = [(math.cos(a), math.sin(a)) for a in np.linspace(0, math.tau, len(radii) + 1)[:-1]]
    points = [Point(r * x, r * y) for r, (x, y) in zip(radii, turns, strict=True)]
    inner = [Point(hole * p.x, hole * p.y) for p in points]
    outline = Outline((chain(points), chain(inner).reversed()))
    other = swept_by_shapely(to_shapely(outline), np.array(move))
    ours = to_shapely(sweep(outline, Point(*move)))
    assert ours.symmetric_difference(other).area < 0.02 * (1.0 + math.hypot(*move))


@pytest.mark.parametrize("angle", (315.0, 200.0))
def test_the_shade_is_the_union_of_hulls_of_triangles(face, angle):
    move = shift(angle, DEPTH_MM)
    for letter in "AOR&8":
        outline = set_text(face, letter, Setting(20.0)).outline
        region = to_shapely(outline, 0.01)
        hulls = []
        for triangle in shapely.constrained_delaunay_triangles(region).geoms:
            corners = np.array(triangle.exterior.coords)[:3]
            hulls.append(manifold3d.CrossSection.hull_points(np.vstack((corners, corners + move))))
        solid = manifold3d.CrossSection.batch_boolean(hulls, manifold3d.OpType.Add)
        assert sweep_area(outline, move) == pytest.approx(solid.area(), rel=2e-3), letter


def test_every_line_along_the_shade_is_lengthened_by_its_depth(face):
    outline = set_text(face, "I", Setting(20.0)).outline
    region, box = to_shapely(outline, CHORD_MM), to_shapely(outline).bounds
    swept = to_shapely(sweep(outline, Point(DEPTH_MM, 0.0)), CHORD_MM)
    for y in np.linspace(box[1] + 0.01, box[3] - 0.01, 25):
        line = shapely.LineString([(-50.0, y), (50.0, y)])
        before = line.intersection(region)
        if before.geom_type == "LineString":
            assert line.intersection(swept).length == pytest.approx(
                before.length + DEPTH_MM, abs=0.01
            )


@pytest.mark.parametrize("angle", (315.0, 330.0, 225.0, 45.0))
def test_split_faces_are_those_a_ray_back_to_the_letter_meets_first(face, angle):
    move = np.array(shift(angle, DEPTH_MM))
    outline = set_text(face, "SAGE2", Setting(20.0)).outline
    layers = {
        x.role: x.outline for x in lettered(outline, [BlockShade(angle, DEPTH_MM, split=True)])
    }
    letter = to_shapely(outline, CHORD_MM)
    whole = to_shapely(layers[Role.SIDE_SHADE], CHORD_MM).difference(letter)
    lower = to_shapely(layers[Role.LOWER_SHADE], CHORD_MM)
    edges = edges_of(letter)
    generator = np.random.default_rng(7)
    left, bottom, right, top = whole.bounds
    tried = 0
    while tried < 400:
        place = np.array([generator.uniform(left, right), generator.uniform(bottom, top)])
        point = shapely.Point(place)
        near = min(lower.boundary.distance(point), letter.boundary.distance(point))
        if near < 0.05 or not whole.contains(point):
            continue
        expected = first_edge_is_lower(edges, place, move)
        if expected is None:
            continue
        tried += 1
        assert lower.contains(point) == expected, place


def swept_by_shapely(region, move):
    edges = edges_of(region)
    rings = np.stack((edges[:, 0], edges[:, 1], edges[:, 1] + move, edges[:, 0] + move), axis=1)
    swept = shapely.polygons(rings)
    swept = swept[shapely.area(swept) > 0.0]
    # On a fine grid: without one the union can take in a triangle that none of its parts covers.
    return shapely.union_all([*swept, region, translate(region, *move)], grid_size=1e-9)


def edges_of(region):
    rings = [
        np.array(r.coords) for p in shapely.get_parts(region) for r in (p.exterior, *p.interiors)
    ]
    return np.concatenate([np.stack((r[:-1], r[1:]), axis=1) for r in rings])


def sweep_area(outline, move) -> float:
    return to_shapely(sweep(outline, move), CHORD_MM).area


def first_edge_is_lower(edges, place, move) -> bool | None:
    """Shoot a ray from a place in the shade back along the sweep; tell how the first edge lies.

    None where it lies so near a diagonal that the chord of a curve cannot tell.
    """
    back = -move / math.hypot(*move)
    a, along = edges[:, 0] - place, edges[:, 1] - edges[:, 0]
    cross = back[0] * along[:, 1] - back[1] * along[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        far = (a[:, 0] * along[:, 1] - a[:, 1] * along[:, 0]) / cross
        share = (a[:, 0] * back[1] - a[:, 1] * back[0]) / cross
    hit = (np.abs(cross) > 1e-12) & (far > 0.0) & (share >= 0.0) & (share <= 1.0)
    first = np.flatnonzero(hit)[np.argmin(far[hit])]
    across, up = np.abs(along[first])
    return None if 0.97 < across / max(up, 1e-9) < 1.03 else bool(across > up)
