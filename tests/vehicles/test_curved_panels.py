"""Panels that are not flat, on their vehicle: their areas, sizes and elevation by hand."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from pathlib import Path

import pytest
import trimesh

from livery.examined import Examined
from livery.findings import Severity
from livery.geometry.measure import area, bounds, length
from livery.make.drawings.vehicle_elevation import vehicle_marks
from livery.pipeline import examine
from livery.vehicles.solid import vehicle_solid
from livery.vehicles.survey import Vehicles
from livery.vehicles.view import View
from livery.write.gltf import glb_bytes

COLOURS = {"green": "#00ff00", "cream": "#ffffcc"}

# At 1:10 a boiler 200 mm long and 100 mm across, of which half faces left, and before it a
# smokebox side that is folded over: a flat of 80 mm, a quarter turn and a flat of 30 mm.
LOCOMOTIVE = """
[job]
title = "Tank 3"
scale = "1:10"
[paint.green]
lab = [40, -30, 20]
[paint.cream]
lab = [86, 1, 19]
[vehicle.tank]
length = "4000 mm"
width = "1200 mm"
[panel.boiler]
place = { face = "left", station = "1000 mm", height = "1500 mm", out = "500 mm" }
[panel.boiler.sheet]
cylinder = { diameter = "1000 mm", length = "2000 mm", start = "0 deg", end = "180 deg" }
[[panel.boiler.field]]
paint = "green"
[[panel.boiler.lining]]
level = "middle"
width = "40 mm"
paint = "cream"
process = "spray"
[panel.cab]
place = { face = "left", station = "3200 mm", height = "1200 mm" }
[panel.cab.sheet]
across = "600 mm"
along = "width"
faces = [{ flat = "800 mm" }, { bend = "90 deg", radius = "100 mm" }, { flat = "300 mm" }]
[[panel.cab.field]]
paint = "cream"
"""


@pytest.fixture()
def tank(look: Callable[..., Examined]) -> Vehicles:
    return look(LOCOMOTIVE).vehicles


def test_a_boiler_and_a_folded_cab_have_their_sizes_in_space(tank: Vehicles) -> None:
    solid = vehicle_solid(tank.placed[0], COLOURS, "#b4b8ba")
    scene = trimesh.load(io.BytesIO(glb_bytes(solid)), file_type="glb")
    boiler = [g for n, g in scene.geometry.items() if n.split("_")[0] == "boiler"]
    # Station, right and height in mm: half a boiler, its nearest 50 mm left of the middle.
    low = [min(g.bounds[0][i] for g in boiler) for i in range(3)]
    high = [max(g.bounds[1][i] for g in boiler) for i in range(3)]
    assert low == pytest.approx([100, -50, 150], abs=0.01)
    assert high == pytest.approx([300, 0, 250], abs=0.01)
    # The facets are chords: they fall short of the half barrel by less than their sag allows.
    assert sum(g.area for g in boiler) == pytest.approx(math.pi * 50 * 200, rel=1e-3)
    cab = [g for n, g in scene.geometry.items() if n.split("_")[0] == "cab"]
    along = max(g.bounds[1][0] for g in cab) - min(g.bounds[0][0] for g in cab)
    across = max(g.bounds[1][1] for g in cab) - min(g.bounds[0][1] for g in cab)
    assert (along, across) == pytest.approx((90, 40), abs=0.01)


def test_the_elevation_shows_a_boiler_as_wide_as_it_stands(tank: Vehicles) -> None:
    marks = [m for m in vehicle_marks(tank.placed[0], View.LEFT, COLOURS) if m.layer == "livery"]
    green = [m.outline for m in marks if m.name.startswith("boiler") and m.fill == "#00ff00"]
    boxes = [bounds(outline) for outline in green]
    assert max(b.top for b in boxes) - min(b.bottom for b in boxes) == pytest.approx(100, abs=0.01)
    # The line half way up is seen square on, and so as wide as it is; the field beneath is not.
    line = [m.outline for m in marks if m.name.startswith("boiler") and m.fill == "#ffffcc"]
    assert sum(area(outline) for outline in line) == pytest.approx(4.0 * 200.0, rel=2e-3)
    assert sum(area(outline) for outline in green) == pytest.approx(100.0 * 200.0, rel=1e-3)


def test_the_front_view_shows_the_fold_of_the_cab(tank: Vehicles) -> None:
    marks = [m for m in vehicle_marks(tank.placed[0], View.REAR, COLOURS) if m.layer == "livery"]
    boxes = [bounds(m.outline) for m in marks if m.name.startswith("cab")]
    assert max(b.right for b in boxes) - min(b.left for b in boxes) == pytest.approx(40, abs=0.01)


# ---------------------------------------------------------------- a barrel by its axis

BARREL = """
[job]
title = "Boiler"
scale = "1:10"
[paint.green]
lab = [40, -30, 20]
[paint.cream]
lab = [86, 1, 19]
[vehicle.engine]
length = "4000 mm"
[panel.boiler]
place = { face = "left", station = "1000 mm", axis = "2000 mm" }
[panel.boiler.sheet]
cylinder = { diameter = "1000 mm", length = "2000 mm", start = "20 deg", end = "200 deg" }
[panel.boiler.sheet.level]
quarter = { height = "250 mm" }
axis = { height = "0 mm" }
[[panel.boiler.field]]
paint = "green"
[[panel.boiler.field]]
paint = "cream"
area = { bottom = "axis", top = "quarter" }
[line.quarter]
datum = "quarter"
"""


def test_a_barrel_stands_by_its_axis_on_the_centre_line(look: Callable[..., Examined]) -> None:
    """50 mm of radius about an axis 200 mm up: from 20 degrees off the bottom over the top."""
    (vehicle,) = look(BARREL).vehicles.placed
    corners = [
        f.place(p.x, p.y) for f in vehicle.panels[0].facets for c in f.region for p in c.nodes
    ]
    assert min(p.height for p in corners) == pytest.approx(200 - 50 * math.cos(math.radians(20)))
    assert max(p.height for p in corners) == pytest.approx(250, abs=0.05)
    assert min(p.right for p in corners) == pytest.approx(-50, abs=0.05)
    for p in corners:
        assert math.hypot(p.right, p.height - 200.0) == pytest.approx(50.0, abs=1e-6)


def test_level_lines_of_a_barrel_close_up_towards_its_top(look: Callable[..., Examined]) -> None:
    """A field from the axis to 25 mm above it is 50 asin(0.5) = 26.18 mm on the sheet, 25 seen."""
    vehicles = look(BARREL).vehicles
    boiler = vehicles.placed[0].panels[0]
    (field,) = [p.outline for p in boiler.plan.pieces if p.paint == "cream"]
    assert bounds(field).height == pytest.approx(50 * math.asin(0.5))
    marks = vehicle_marks(vehicles.placed[0], View.LEFT, COLOURS)
    cream = [bounds(m.outline) for m in marks if getattr(m, "fill", "") == "#ffffcc"]
    assert min(b.bottom for b in cream) == pytest.approx(200, abs=0.01)
    # A chord stands up to its sag of 0.05 mm within the curve.
    assert max(b.top for b in cream) == pytest.approx(225, abs=0.06)
    assert vehicles.lines[0].reaches[0].height == pytest.approx(225)


def test_a_section_of_the_solid_by_another_library_is_the_circle(
    look: Callable[..., Examined],
) -> None:
    (vehicle,) = look(BARREL).vehicles.placed
    scene = trimesh.load(
        io.BytesIO(glb_bytes(vehicle_solid(vehicle, COLOURS, "#b4b8ba"))), file_type="glb"
    )
    # As the file stands inside: station, right and height in millimetres.
    mesh = trimesh.util.concatenate(list(scene.geometry.values()))
    section = mesh.section(plane_origin=[150.0, 0.0, 0.0], plane_normal=[1.0, 0.0, 0.0])
    radii = [math.hypot(y, z - 200.0) for _, y, z in section.vertices]
    assert min(radii) > 50.0 - 0.05
    assert max(radii) < 50.0 + 1e-4
    assert section.length == pytest.approx(math.pi * 50.0, rel=1e-3)
    level = mesh.section(plane_origin=[0.0, 0.0, 225.0], plane_normal=[0.0, 0.0, 1.0])
    nearest = min(y for _, y, _ in level.vertices)
    assert nearest == pytest.approx(-50.0 * math.cos(math.asin(0.5)), abs=0.06)


def test_areas_in_space_are_those_of_the_panels_laid_flat(tank: Vehicles) -> None:
    """Facets are chords: a quarter turn of 10 mm in chords of 0.05 mm sag is 0.3 % short at most."""
    (vehicle,) = tank.placed
    solid = vehicle_solid(vehicle, COLOURS, "#b4b8ba")
    scene = trimesh.load(io.BytesIO(glb_bytes(solid)), file_type="glb")
    for panel in vehicle.panels:
        name = panel.plan.name
        there = sum(g.area for n, g in scene.geometry.items() if n.split("_")[0] == name)
        assert there == pytest.approx(area(panel.plan.frame.outline), rel=3e-3)
        assert there <= area(panel.plan.frame.outline) * (1.0 + 1e-6)


def test_the_edge_of_a_barrel_is_drawn_and_its_joints_are_not(
    look: Callable[..., Examined],
) -> None:
    (vehicle,) = look(BARREL).vehicles.placed
    marks = vehicle_marks(vehicle, View.LEFT, COLOURS)
    (edge,) = [m.outline for m in marks if m.layer == "edge"]
    # Seen from the left: its foot, its limb at the top, and its two ends; 200 by 97 mm.
    high = 50 + 50 * math.cos(math.radians(20))
    assert tuple(bounds(edge)) == pytest.approx((100, 250 - high, 300, 250), abs=0.06)
    assert sum(length(c) for c in edge) == pytest.approx(2 * 200 + 2 * high, rel=1e-3)
    assert len([m for m in marks if m.layer == "livery"]) == 2


def test_what_is_no_barrel_has_no_axis(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text(LOCOMOTIVE.replace('station = "3200 mm", height', "axis"), encoding="utf-8")
    (fault,) = [f for f in examine(file).findings if f.severity is Severity.ERROR]
    assert fault.message == "this panel is not a barrel, and has no axis to place it by"
    file.write_text(BARREL.replace("axis =", 'height = "1 m", axis =', 1), encoding="utf-8")
    (fault,) = [f for f in examine(file).findings if f.severity is Severity.ERROR]
    assert fault.message == "this place has a height and the height of an axis"


DOME = """
[panel.dome]
place = { face = "left", station = "1500 mm", height = "2400 mm" }
[panel.dome.sheet.gores]
path = "M 0 300 A 300 300 0 0 0 300 0"
unit = "mm"
count = 12
[[panel.dome.field]]
paint = "green"
"""


def test_gores_stand_about_their_axis(look: Callable[..., Examined]) -> None:
    (vehicle,) = look(BARREL + DOME).vehicles.placed
    dome = next(p for p in vehicle.panels if p.plan.name == "dome")
    corners = [f.place(p.x, p.y) for f in dome.facets for c in f.region for p in c.nodes]
    for axis, middle in ((0, 150.0), (1, 0.0)):
        values = [p[axis] for p in corners]
        assert (min(values) + max(values)) / 2.0 == pytest.approx(middle, abs=1.2)
    assert min(p.height for p in corners) == pytest.approx(240.0, abs=0.01)
