"""Panels that are not flat, on their vehicle: their areas, sizes and elevation by hand."""

from __future__ import annotations

import io
import math
from collections.abc import Callable

import pytest
import trimesh

from livery.geometry.measure import area, bounds
from livery.make.drawings.vehicle_elevation import vehicle_marks
from livery.pipeline import Examined
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
