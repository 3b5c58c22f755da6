"""The solid of a plate, against volumes worked out by hand and checked by another library."""

from __future__ import annotations

import io
import math
from dataclasses import replace
from itertools import pairwise

import manifold3d
import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.geometry.boolean import difference, union
from livery.geometry.measure import area, length
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import Corner, circle, rectangle, ring
from livery.mesh import Mesh
from livery.plate.contraction import Allowance
from livery.plate.limits import PlateShaping
from livery.plate.pattern import pattern_of, solid_of
from livery.plate.plate import Plate, RaisedOrSunk
from livery.plate.relief import Back, Edges, relief_solid
from livery.write.stl import stl_bytes


def reread(mesh: Mesh) -> trimesh.Trimesh:
    return trimesh.load(io.BytesIO(stl_bytes(mesh, "plate")), file_type="stl")


def widened(outline: Outline, height: float, draft: float) -> float:
    """Volume of a convex prism whose walls lean out going down: the integral of A + P r + pi r^2."""
    t = math.tan(math.radians(draft))
    return (
        area(outline) * height
        + length(outline) * t * height**2 / 2
        + math.pi * t**2 * height**3 / 3
    )


@pytest.mark.parametrize("draft", [1.0, 3.0, 7.0, 15.0])
def test_a_round_boss_is_a_frustum(draft: float) -> None:
    """The volume of a cone's frustum, pi h (R^2 + R r + r^2) / 3, twice over."""
    mesh = relief_solid(circle(Point(0, 0), 10), circle(Point(0, 0), 20), (2.0, 3.0), draft)
    t = math.tan(math.radians(draft))

    def frustum(r: float, h: float) -> float:
        big = r + h * t
        return math.pi * h * (big * big + big * r + r * r) / 3

    assert mesh.volume == pytest.approx(frustum(10, 2) + frustum(20, 3), rel=1e-3)


@pytest.mark.parametrize("draft", [1.0, 3.0, 10.0])
def test_a_square_boss_has_flat_walls_and_round_corners(draft: float) -> None:
    top, body = rectangle(10, 6, Point(10, 10)), rectangle(40, 30)
    mesh = relief_solid(top, body, (2.0, 3.0), draft)
    assert mesh.volume == pytest.approx(widened(top, 2, draft) + widened(body, 3, draft), rel=1e-5)


def test_a_counter_narrows_going_down() -> None:
    """A ring of 6 and 3 mm: the hole is a frustum that stands on its head."""
    mesh = relief_solid(ring(Point(20, 15), 6, 3), rectangle(40, 30), (1.5, 2.0), 5.0)
    t = math.tan(math.radians(5.0))
    inner = 3 - 1.5 * t
    hole = math.pi * 1.5 * (9 + 3 * inner + inner**2) / 3
    disc = widened(circle(Point(0, 0), 6), 1.5, 5.0)
    assert mesh.volume == pytest.approx(disc - hole + widened(rectangle(40, 30), 2, 5.0), rel=2e-4)


def test_walls_that_meet_leave_a_ridge_within_the_flat_allowed() -> None:
    """Two blocks 0.1 mm apart, 3 degrees: the gap closes 0.954 mm down, as a plain V."""
    top = Outline(
        (*rectangle(10, 10, Point(10, 10)).contours, *rectangle(10, 10, Point(20.1, 10)).contours)
    )
    mesh = relief_solid(top, rectangle(40, 30), (1.5, 2.0), 3.0)
    t = math.tan(math.radians(3.0))
    whole = relief_solid(rectangle(20.1, 10, Point(10, 10)), rectangle(40, 30), (1.5, 2.0), 3.0)
    gap = 0.1 * (0.05 / t) / 2 * 10
    ends = whole.volume - mesh.volume - gap
    assert abs(ends) < 0.02
    assert reread(mesh).is_volume


@pytest.mark.parametrize("sunk", [False, True])
@pytest.mark.parametrize("allowance", [Allowance(0.0), Allowance(1 / 64, 0.3, 0.5, 0.4)])
@pytest.mark.parametrize("which", ["number_plate", "builders_plate"])
def test_plates_are_closed_by_another_librarys_reckoning(
    which: str, allowance: Allowance, sunk: bool, request: pytest.FixtureRequest
) -> None:
    plate: Plate = request.getfixturevalue(which)
    if sunk:
        plate = replace(plate, lettering=RaisedOrSunk.SUNK, border=Outline(()))
    pattern = pattern_of(plate, allowance)
    mesh = solid_of(pattern, PlateShaping(3.0, 0.3, 0.15))
    seen = reread(mesh)
    assert seen.is_watertight and seen.is_winding_consistent and seen.is_volume
    assert seen.volume == pytest.approx(mesh.volume, rel=1e-6)
    assert seen.euler_number % 2 == 0
    solid = manifold3d.Manifold(manifold3d.Mesh64(mesh.points, mesh.triangles.astype(np.uint64)))
    assert solid.status() == manifold3d.Error.NoError
    assert solid.volume() == pytest.approx(mesh.volume, rel=1e-9)
    height = pattern.thickness_mm + pattern.relief_mm
    assert seen.bounds[:, 2] == pytest.approx([0.0, height], abs=1e-5)


def test_every_wall_has_the_draft_asked_for(number_plate: Plate) -> None:
    seen = reread(solid_of(number_plate, PlateShaping(4.0)))
    up = seen.face_normals[:, 2]
    walls = (np.abs(up) < 0.5) & (seen.area_faces > 1e-3)
    lean = np.degrees(np.arcsin(up[walls]))
    weights = seen.area_faces[walls]
    assert lean.min() > 0.0
    assert np.average(np.abs(lean - 4.0), weights=weights) < 0.05


def test_a_hole_in_the_plate_goes_through(builders_plate: Plate) -> None:
    seen = reread(solid_of(builders_plate, PlateShaping(3.0)))
    pieces = seen.split()
    assert len(pieces) == 1
    assert seen.euler_number == 2 - 2 * 2


def _prism(outline: Outline, offsets: list[tuple[float, float]]) -> float:
    """Volume of a convex prism grown by offset at each depth, by the trapezium rule: A + P r + pi r^2."""
    volume = 0.0
    for (r0, z0), (r1, z1) in pairwise(offsets):
        for r, z in ((r0, (z1 - z0) / 2), (r1, (z1 - z0) / 2)):
            volume += z * (area(outline) + length(outline) * r + math.pi * r * r)
    return volume


def test_a_fillet_and_a_rounded_edge_are_arcs_of_their_radius() -> None:
    """Without draft to speak of, a round boss with a fillet of 1.6 mm is a cylinder and the ring that
    a quarter of its empty corner sweeps (Pappus); an edge rounded by 1.2 mm loses such a ring."""
    disc, body, draft = circle(Point(0, 0), 10), circle(Point(0, 0), 20), 0.5
    plain, filleted, rounded = (
        relief_solid(disc, body, (4.0, 3.0), draft, edges=edges).volume
        for edges in (Edges(), Edges(0.0, 1.6), Edges(1.2, 0.0))
    )
    corner = 1 - math.pi / 4  # of a square of the radius: what a quarter disc leaves of it
    centroid = 1 - 0.7766  # of that corner, from its point: 10 - 3 pi over 3 (4 - pi)
    foot = 10 + 4.0 * math.tan(math.radians(draft))
    assert filleted - plain == pytest.approx(
        corner * 1.6**2 * 2 * math.pi * (foot + centroid * 1.6), rel=0.03
    )
    assert plain - rounded == pytest.approx(
        corner * 1.2**2 * 2 * math.pi * (10 - centroid * 1.2), rel=0.04
    )


def test_a_fillet_does_not_reach_over_the_plates_edge(number_plate: Plate) -> None:
    body = rectangle(40, 30)
    frame = difference(body, rectangle(34, 24, Point(3, 3)))
    plain, filleted = (
        reread(relief_solid(frame, body, (1.0, 2.0), 3.0, edges=Edges(0.1, fillet)))
        for fillet in (0.0, 0.3)
    )
    assert filleted.is_volume and filleted.bounds == pytest.approx(plain.bounds, abs=1e-4)
    assert filleted.volume > plain.volume
    with pytest.raises(LiveryError, match="too near the edge"):
        inner = rectangle(10, 10, Point(29.7, 10))
        relief_solid(inner, body, (1.0, 2.0), 3.0, edges=Edges(0.0, 0.4))


def test_letters_rounded_away_are_refused() -> None:
    fine = rectangle(0.3, 10, Point(10, 10))
    with pytest.raises(LiveryError, match="leave nothing of the stroke"):
        relief_solid(fine, rectangle(40, 30), (1.0, 2.0), 3.0, edges=Edges(0.2, 0.0))


def test_a_hollow_and_studs_are_on_the_back_and_leave_the_sand() -> None:
    body = rectangle(40, 30)
    back = Back(rectangle(20, 10, Point(5, 5)), 2.0, circle(Point(33, 22), 2), 3.0)
    solid = relief_solid(rectangle(8, 6, Point(10, 10)), body, (1.0, 4.0), 3.0, back=back)
    plain = relief_solid(rectangle(8, 6, Point(10, 10)), body, (1.0, 4.0), 3.0)
    seen = reread(solid)
    assert seen.is_volume and seen.bounds[:, 2] == pytest.approx([-3.0, 5.0], abs=1e-5)
    t = math.tan(math.radians(3.0))
    lost = _prism(
        rectangle(20 - 4 * t, 10 - 4 * t), [(2.0 * t * i / 50, 2.0 * i / 50) for i in range(51)]
    )
    stud = math.pi * 3.0 * (2**2 + 2 * (2 + 3 * t) + (2 + 3 * t) ** 2) / 3
    assert solid.volume - plain.volume == pytest.approx(stud - lost, rel=2e-3)
    up = seen.face_normals[:, 2]
    below = (seen.triangles_center[:, 2] < 0) & (seen.area_faces > 1e-3)
    assert (up[below] < -0.04).all()  # all of the studs leaves the other half of the mould
    for wrong in (
        back._replace(hollow_mm=4.0),
        back._replace(studs=circle(Point(24, 10), 2)),
        back._replace(hollow=rectangle(50, 10, Point(5, 5))),
    ):
        with pytest.raises(LiveryError, match="hollow"):
            relief_solid(rectangle(8, 6, Point(10, 10)), body, (1.0, 4.0), 3.0, back=wrong)


FIGURE = st.tuples(st.floats(2, 60), st.floats(2, 20), st.floats(0.3, 8), st.floats(0.3, 8))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(FIGURE, min_size=1, max_size=6), st.sampled_from([1.0, 2.0, 5.0, 15.0]), st.booleans()
)
def test_any_letters_give_a_closed_solid(
    figures: list[tuple[float, float, float, float]], draft: float, sunk: bool
) -> None:
    """Overlapping, touching and nearly touching letters; sunk ones whose floor closes up."""
    letters = Outline(tuple(c for x, y, w, h in figures for c in rectangle(w, h, Point(x, y))))
    body = rectangle(72, 32, corners=Corner("round", 1.0))
    top = difference(body, union(letters)) if sunk else letters
    mesh = relief_solid(top, body, (1.5, 1.5), draft)
    assert mesh.is_closed
    assert reread(mesh).is_watertight
    assert mesh.volume > widened(body, 1.5, draft)
    assert mesh.volume < widened(body, 3.0, draft)


@pytest.mark.parametrize(
    ("top", "draft", "words"),
    [
        (rectangle(10, 10, Point(35, 10)), 3.0, "reach over the edge of the plate"),
        (rectangle(10, 10, Point(29.98, 10)), 3.0, "too near the edge"),
        (rectangle(10, 10, Point(5, 5)), 0.0, "draft of 0 degrees"),
        (Outline(()), 3.0, "something raised"),
    ],
)
def test_what_cannot_be_moulded_is_refused(top: Outline, draft: float, words: str) -> None:
    with pytest.raises(LiveryError, match=words) as caught:
        relief_solid(top, rectangle(40, 30), (1.0, 1.0), draft)
    assert caught.value.exit_status == 1


def test_stl_is_laid_out_as_the_format_says(number_plate: Plate) -> None:
    mesh = solid_of(number_plate, PlateShaping(3.0))
    data = stl_bytes(mesh, number_plate.name)
    assert len(data) == 84 + 50 * len(mesh.triangles)
    assert not data.startswith(b"solid")
    assert int.from_bytes(data[80:84], "little") == len(mesh.triangles)
    assert data == stl_bytes(solid_of(number_plate, PlateShaping(3.0)), number_plate.name)
