"""The solid read back by other libraries: areas, sizes, colours and axes."""

from __future__ import annotations

import io
import json
import math
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pygltflib
import pytest
import trimesh

from livery.geometry.measure import area, bounds
from livery.make.drawings.vehicle_elevation import vehicle_marks
from livery.vehicles.solid import vehicle_solid
from livery.vehicles.survey import Vehicles
from livery.vehicles.view import View
from livery.write.gltf import glb_bytes

COLOURS = {"green": "#00ff00", "cream": "#ffffcc", "grey": "#808080"}
METAL = "#b4b8ba"


@pytest.fixture()
def glb(van: Vehicles) -> bytes:
    return glb_bytes(vehicle_solid(van.placed[0], COLOURS, METAL))


def test_the_same_vehicle_gives_the_same_bytes(van: Vehicles, glb: bytes) -> None:
    assert glb_bytes(vehicle_solid(van.placed[0], COLOURS, METAL)) == glb
    assert glb[:4] == b"glTF"


def test_another_library_reads_it_in_metres_with_y_up_and_the_front_at_z(glb: bytes) -> None:
    """The side leans in from 1200 mm up; its foot is 100 mm to the left, which is +x."""
    scene = trimesh.load(io.BytesIO(glb), file_type="glb")
    low, high = scene.bounds
    assert high[1] == pytest.approx(0.32)
    assert low[1] == pytest.approx(0.12)
    assert (low[2], high[2]) == pytest.approx((-0.5, 0.0))
    assert (low[0], high[0]) == pytest.approx((-0.1, 0.11))


def test_areas_in_space_are_those_on_the_panel(van: Vehicles, glb: bytes) -> None:
    plan = van.placed[0].panels[0].plan
    scene = trimesh.load(io.BytesIO(glb), file_type="glb")
    painted = sum(g.area for n, g in scene.geometry.items() if n.split("_")[0] == "side")
    hatch = 50.0 * 50.0
    assert painted == pytest.approx(area(plan.frame.outline) - hatch, rel=1e-6)


def test_every_colour_is_its_own_and_linear(glb: bytes) -> None:
    """sRGB #808080 is 0.2159 in linear light (IEC 61966-2-1)."""
    file = pygltflib.GLTF2.load_from_bytes(glb)
    colours = {m.name: m.pbrMetallicRoughness.baseColorFactor for m in file.materials}
    assert colours["#808080"][:3] == pytest.approx([0.215861] * 3, abs=1e-6)
    assert colours["#00ff00"] == pytest.approx([0.0, 1.0, 0.0, 1.0])
    assert {m.name for m in file.materials} == {"#00ff00", "#ffffcc", "#808080"}
    assert file.accessors[0].max is not None
    assert {v.target for v in file.bufferViews} == {pygltflib.ARRAY_BUFFER}


def test_faces_look_outwards(glb: bytes) -> None:
    scene = trimesh.load(io.BytesIO(glb), file_type="glb")
    roof = scene.geometry["roof"]
    assert np.allclose(roof.face_normals, [0.0, 0.0, 1.0])
    side = scene.geometry["side"]
    assert np.allclose(
        side.face_normals, [0.0, -math.cos(math.pi / 6), math.sin(math.pi / 6)], atol=1e-6
    )


def test_a_section_of_the_solid_is_what_the_elevation_projects(van: Vehicles, glb: bytes) -> None:
    """50 mm above its foot the side leans in by 50 tan 30 = 28.87 mm, along its whole length."""
    scene = trimesh.load(io.BytesIO(glb), file_type="glb")
    mesh = trimesh.util.concatenate(
        [g for n, g in scene.geometry.items() if n.split("_")[0] == "side"]
    )
    section = mesh.section(plane_origin=[0.0, 0.0, 170.0], plane_normal=[0.0, 0.0, 1.0])
    stations = [p[0] for p in section.vertices]
    assert (min(stations), max(stations)) == pytest.approx((0.0, 500.0), abs=1e-3)
    assert {round(float(p[1]), 2) for p in section.vertices} == {-71.13}
    edges = [m for m in vehicle_marks(van.placed[0], View.FRONT, COLOURS) if m.layer == "edge"]
    assert edges == []
    (side,) = (
        m
        for m in vehicle_marks(van.placed[0], View.LEFT, COLOURS)
        if m.name == "side" and m.layer == "edge"
    )
    low, high = mesh.bounds
    box = bounds(side.outline)
    assert (box.left, box.right) == pytest.approx((low[0], high[0]), abs=1e-3)
    assert (box.bottom, box.top) == pytest.approx((low[2], high[2]), abs=1e-3)


def test_the_validator_of_the_open_standard_finds_nothing(glb: bytes, tmp_path: Path) -> None:
    """Khronos's gltf-validator from npm, where node and it are at hand."""
    node = shutil.which("node")
    package = Path(__file__).parents[2] / ".venv" / "node_modules" / "gltf-validator"
    if node is None or not package.is_dir():
        pytest.skip("needs node and: npm install --prefix .venv gltf-validator")
    file = tmp_path / "van.glb"
    file.write_bytes(glb)
    script = (
        f"require({json.dumps(str(package))})"
        f".validateBytes(new Uint8Array(require('fs').readFileSync({json.dumps(str(file))})))"
        ".then(r => console.log(JSON.stringify(r)))"
    )
    said = subprocess.run([node, "-e", script], check=True, capture_output=True, text=True)
    report = json.loads(said.stdout)
    assert report["issues"]["messages"] == []
    assert report["info"]["totalTriangleCount"] > 0
