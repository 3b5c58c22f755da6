"""Thickness measured in triangles, against another library's sections and solids of known size."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from livery.findings import LiveryError
from livery.geometry.outline import EMPTY, Point
from livery.geometry.shapes import circle, rectangle
from livery.mesh import Mesh
from livery.plate.print_bed import CutPlaces, bed_parts, cut_places
from livery.plate.relief import Back, relief_solid
from livery.plate.thickness import thinnest_section, thinnest_wall


@pytest.fixture(scope="module")
def hollow() -> Mesh:
    """40 x 30 x 4 mm, a hollow 2.5 mm deep with walls of 3, 4, 5 and 15 mm, letters 1 mm high."""
    back = Back(rectangle(20, 23, Point(5, 3)), 2.5)
    letters = rectangle(8, 6, Point(10, 10))
    return relief_solid(letters, rectangle(40, 30), (1.0, 4.0), 2.0, back=back)


def test_the_thinnest_metal_lies_over_the_hollow(hollow: Mesh) -> None:
    found = thinnest_section(hollow.points[hollow.triangles])
    assert found.size_mm == pytest.approx(1.5, abs=1e-9)
    assert 5 < found.at.x < 25 and 3 < found.at.y < 26


def test_the_thinnest_wall_is_that_of_the_section(hollow: Mesh) -> None:
    corners = hollow.points[hollow.triangles]
    lean = math.tan(math.radians(2.0))
    for height in (0.01, 1.3):
        found = thinnest_wall(corners, height)
        # The side leans out by what is above it, the hollow by what is below: 3 mm at the field.
        assert found is not None
        assert found.size_mm == pytest.approx(3.0 + 4.0 * lean, abs=0.002 + 2 * 1.3 * lean)
        (outer, inner) = (
            trimesh.Trimesh(hollow.points, hollow.triangles, process=False)
            .section(plane_origin=[0, 0, height], plane_normal=[0, 0, 1])
            .discrete
        )
        ends = [(ring.min(axis=0)[:2], ring.max(axis=0)[:2]) for ring in (outer, inner)]
        sides = np.abs(np.subtract(*ends))  # both are rectangles: the walls of the four sides
        assert found.size_mm == pytest.approx(sides.min(), abs=1e-4)
    assert thinnest_wall(corners, 3.0) is None


def test_a_pattern_larger_than_the_bed_is_cut_beside_its_letters() -> None:
    """100 mm on a bed of 70: the middle lies in a letter, and the cut goes beside it."""
    letters = rectangle(10, 10, Point(48, 10))
    mesh = relief_solid(letters, rectangle(100, 30), (1.0, 2.0), 3.0)
    cuts = cut_places(mesh, letters, (40.0, 70.0))
    assert len(cuts.across) == 1 and not cuts.up
    assert cuts.across[0] <= 48.0 and cuts.across[0] == pytest.approx(48.0, abs=0.6)
    parts = bed_parts(mesh, cuts)
    assert sum(part.volume for part in parts) == pytest.approx(mesh.volume, rel=1e-9)
    assert all(part.is_closed for part in parts)
    assert [np.ptp(part.points[:, 0]) <= 70 for part in parts] == [True, True]
    assert cut_places(mesh, letters, (120.0, 70.0)) == CutPlaces()
    both = cut_places(mesh, EMPTY, (40.0, 20.0))
    assert (len(both.across), len(both.up)) in ((2, 1), (5, 0))
    assert len(bed_parts(mesh, both)) == 6
    with pytest.raises(LiveryError, match="takes"):
        cut_places(mesh, letters, (5.0, 5.0))


def test_a_boss_alone_is_as_thick_as_it_is_high() -> None:
    solid = relief_solid(circle(Point(0, 0), 3), circle(Point(0, 0), 8), (1.0, 2.0), 3.0)
    assert thinnest_section(solid.points[solid.triangles]).size_mm == pytest.approx(2.0)
