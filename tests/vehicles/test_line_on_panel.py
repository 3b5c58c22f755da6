"""Where a level line begins and ends on panels that are not flat, or not drawn level, by hand."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from livery.describe.entries.vehicle import Face
from livery.describe.load import load_description
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import rectangle
from livery.layout.compose import lay_out
from livery.surfaces.surface import cylinder_surface, folded_surface
from livery.vehicles.level_lines import End, FollowedLine, Reach, _round_order, levelling
from livery.vehicles.line_on_panel import _by_side, _face_at, _in_steps, _run, edge_in_space
from livery.vehicles.placed import PlacedPanel
from livery.vehicles.standing import Space, Standing
from livery.vehicles.survey import survey_vehicles

# At 1:10. The cone is 60 mm in radius at its left and 90 mm at its right, 300 mm long, its axis
# 200 mm above rail; the saddle goes 70 mm up, half round, and 70 mm down again.
JOB = """
[job]
title = "Level"
scale = "1:10"
[paint]
red = { lab = [45, 55, 38] }
[vehicle.w]
length = "5000 mm"
width = "2000 mm"
[panel.cone]
place = { face = "left", station = "0 mm", axis = "2000 mm" }
[panel.cone.sheet]
cone = { left = "1200 mm", right = "1800 mm", length = "3000 mm" }
[panel.cone.sheet.level]
rail = { height = "300 mm" }
[[panel.cone.lining]]
called = "on cone"
paint = "red"
width = "12 mm"
level = "rail"
process = "bow pen"
[panel.cone-right]
mirror_of = "cone"
[panel.flat]
outline = { rectangle = ["3000 mm", "2000 mm"] }
place = { face = "left", station = "0 mm", height = "1000 mm" }
[[panel.flat.lining]]
called = "rising"
paint = "red"
process = "bow pen"
width = "12 mm"
along = [["0 mm", "300 mm"], ["3000 mm", "1050 mm"]]
[[panel.flat.lining]]
called = "rounded"
paint = "red"
process = "bow pen"
width = "120 mm"
ends = "round"
level = "300 mm"
start = "500 mm"
end = "2500 mm"
[[panel.flat.lining]]
called = "ring"
paint = "red"
process = "bow pen"
width = "12 mm"
round = { rectangle = ["2000 mm", "1000 mm"], at = ["500 mm", "400 mm"], corner = "200 mm" }
[panel.saddle]
place = { face = "left", station = "1000 mm", height = "1500 mm", out = "500 mm" }
[panel.saddle.sheet]
along = "height"
across = "2000 mm"
radii_of = "outside"
faces = [
  { called = "near", flat = "700 mm" },
  { called = "over", bend = "180 deg", radius = "500 mm" },
  { called = "off", flat = "700 mm" },
]
[[panel.saddle.lining]]
called = "far"
paint = "red"
process = "bow pen"
width = "12 mm"
level = "off-end - 300 mm"
[line.on-cone]
lining = "on cone"
[line.level]
datum = "rail"
[line.rising]
lining = "rising"
[line.rounded]
lining = "rounded"
[line.ring]
lining = "ring"
edge = "top"
[line.far]
lining = "far"
[line.far-top]
lining = "far"
edge = "top"
"""

CORNER = """
[job]
title = "Corner"
scale = "1:10"
[vehicle.w]
length = "3000 mm"
width = "1000 mm"
[panel.fold]
place = { face = "left", station = "0 mm", height = "1000 mm" }
[panel.fold.sheet]
across = "1000 mm"
radii_of = "outside"
faces = [{ flat = "2800 mm" }, { bend = "90 deg", radius = "200 mm" }, { flat = "300 mm" }]
[panel.fold.datum.waist]
height = "500 mm"
built = "50.6 mm"
[panel.fold-right]
mirror_of = "fold"
datum = { waist = { built = "50.0 mm" } }
[line.waist]
datum = "waist"
"""


def lines_of(folder: Path, text: str) -> dict[str, FollowedLine]:
    file = folder / "job.toml"
    file.write_text(text, encoding="utf-8")
    description = load_description(file)
    model = description.model
    assert model is not None
    plans = lay_out(description).panels
    return {one.name: one for one in survey_vehicles(model, plans).lines}


@pytest.fixture(scope="module")
def lines(tmp_path_factory: pytest.TempPathFactory) -> dict[str, FollowedLine]:
    return lines_of(tmp_path_factory.mktemp("level"), JOB)


def heights(reach: Reach) -> tuple[float, float]:
    return reach.left.height, reach.right.height


def test_a_level_line_on_a_cone_is_level_from_end_to_end(lines: dict[str, FollowedLine]) -> None:
    """Half of its width lies down the slope of the cone, which is steeper where it is larger."""
    cosine = 300.0 / math.hypot(300.0, 30.0)
    slopes = [math.sqrt(1.0 - (cosine * 30.0 / radius) ** 2) for radius in (60.0, 90.0)]
    small, large = (230.0 - 0.6 * slope for slope in slopes)
    near, far = lines["on-cone"].reaches
    assert heights(near) == pytest.approx((small, large), abs=0.004)
    assert (near.left.station, near.right.station) == pytest.approx((0.0, 300.0), abs=0.01)
    # Of its other hand, the small end is at the front as well: at the right as one faces it.
    assert (far.face, heights(far)) == ("right", pytest.approx((large, small), abs=0.004))


def test_a_level_of_a_cone_is_a_line_by_its_name(lines: dict[str, FollowedLine]) -> None:
    assert [r.panel for r in lines["level"].reaches] == ["cone", "cone-right"]
    for reach in lines["level"].reaches:
        assert heights(reach) == pytest.approx((230.0, 230.0), abs=1e-3)


def test_a_line_that_rises_ends_where_its_own_edge_does(lines: dict[str, FollowedLine]) -> None:
    """It rises 75 mm to 300: cut square at its start, and at the panel's edge at its end."""
    (reach,) = lines["rising"].reaches
    along, long = 300.0, math.hypot(300.0, 75.0)
    low, high = 130.0 - 0.6 * along / long, 205.0 - 0.6 * long / along
    assert heights(reach) == pytest.approx((low, high), abs=0.001)
    assert reach.left.station == pytest.approx(0.6 * 75.0 / long, abs=0.001)


def test_an_end_or_a_corner_that_is_round_is_no_part_of_the_edge(
    lines: dict[str, FollowedLine],
) -> None:
    assert heights(lines["rounded"].reaches[0]) == pytest.approx((124.0, 124.0), abs=0.01)
    # The ring's corners, 20 mm in radius, are left out where they rise by 1 in 20.
    (ring,) = lines["ring"].reaches
    assert heights(ring) == pytest.approx((240.0, 240.0), abs=0.04)
    assert ring.left.station == pytest.approx(70.0 - 20.0 * math.sin(math.atan(0.05)), abs=0.4)


def test_the_lower_edge_on_the_far_side_is_the_lower_in_space(
    lines: dict[str, FollowedLine],
) -> None:
    (low,), (high,) = lines["far"].reaches, lines["far-top"].reaches
    assert (low.face, high.face) == ("right", "right")
    assert heights(low) == pytest.approx((179.4, 179.4))
    assert heights(high) == pytest.approx((180.6, 180.6))
    # Seen from the right, its front is at the right.
    assert (low.left.station, low.right.station) == pytest.approx((300.0, 100.0))


def test_two_sheets_bent_round_the_rear_meet_in_its_middle(tmp_path: Path) -> None:
    line = lines_of(tmp_path, CORNER)["waist"]
    sides = [(r.panel, r.face) for r in line.reaches]
    assert sides == [
        ("fold", "left"),
        ("fold", "rear"),
        ("fold-right", "rear"),
        ("fold-right", "right"),
    ]
    (step,) = line.steps
    assert (step.step_mm, step.between) == (pytest.approx(-0.6), "panels")
    assert (step.before.right.aside, step.after.left.aside) == pytest.approx((0.0, 0.0))
    # The corner, 20 mm in radius about the station 280, turns half way round it.
    turn = step.before.left
    half = 20.0 * math.sin(math.pi / 4.0)
    assert (turn.station, turn.aside) == pytest.approx((280.0 + half, -30.0 - half), abs=1e-4)
    # No move of the whole vehicle can level it.
    assert "move the line on fold by up to -0.3 mm, the line on fold-right by up to +0.3 mm" in (
        levelling(line)
    )


UPRIGHT = Standing(Space(0, 0, 0), Space(1, 0, 0), Space(0, 0, 1), Space(0, -1, 0))


def on_left(surface: object) -> PlacedPanel:
    plan = SimpleNamespace(frame=SimpleNamespace(surface=surface))
    return PlacedPanel(plan, "left", UPRIGHT, {})  # type: ignore[arg-type]


@pytest.mark.parametrize(("past", "face"), [(0.009, "left"), (0.011, "right"), (-0.5, "left")])
def test_a_line_at_the_top_of_a_barrel_is_on_its_panels_side(past: float, face: str) -> None:
    barrel = on_left(cylinder_surface(0.0, 100.0 * math.pi, 0.0, 2.0 * math.pi))
    assert _face_at(barrel, Point(0.0, 50.0 * (math.pi + past))) == face


def test_a_line_round_three_sides_is_a_run_on_each() -> None:
    turn = math.pi / 2.0
    wrapped = on_left(folded_surface([100, 8, 60, 8, 90], [0, turn, 0, turn, 0], 0, upright=False))
    runs = _by_side(wrapped, (Point(0.0, 5.0), Point(266.0, 5.0)))
    assert [run.face for run in runs] == ["left", "rear", "right"]
    assert [run.left for run in runs[1:]] == [run.right for run in runs[:-1]]
    # So it is of a line that has a place between, on its first side.
    parted = _by_side(wrapped, (Point(0.0, 5.0), Point(40.0, 5.0), Point(266.0, 5.0)))
    assert [run.face for run in parted] == ["left", "rear", "right"]


def test_a_line_is_asked_in_64_steps_which_way_it_faces() -> None:
    bent = (Point(0.0, 0.0), Point(16.0, 0.0), Point(16.0, 48.0))
    assert [p.x for p in _in_steps(bent)][:17] == pytest.approx(list(range(17)))
    assert len(list(_in_steps(bent))) == 65


@pytest.mark.parametrize(("slope", "first"), [(0.99, 0.0), (1.01, 10.0)])
def test_an_edge_steeper_than_half_upright_is_the_end_of_the_line(
    slope: float, first: float
) -> None:
    flat = on_left(folded_surface([100.0], [0.0], 0.0, upright=False))
    corners = ((0.0, 10.0 * slope), (10.0, 0.0), (100.0, 0.0), (100.0, 20.0), (0.0, 20.0))
    line = Outline((chain([Point(x, y) for x, y in corners]),))
    assert edge_in_space(flat, line, "bottom", is_cut=True)[0].x == first


def test_of_two_lines_side_by_side_the_lower_is_followed_at_the_bottom() -> None:
    flat = on_left(folded_surface([100.0], [0.0], 0.0, upright=False))
    two = Outline((*rectangle(100.0, 2.0), *rectangle(90.0, 2.0, Point(5.0, 5.0))))
    assert [edge_in_space(flat, two, e, is_cut=True)[0] for e in ("bottom", "top")] == [
        Point(0.0, 0.0),
        Point(0.0, 2.0),
    ]


def test_a_line_of_several_places_ends_at_the_last_and_is_parted_between_them() -> None:
    side = on_left(cylinder_surface(0.0, 100.0, 1.0, 2.0))
    edge = (Point(0.0, 20.0), Point(40.0, 20.0), Point(90.0, 60.0))
    (run,) = _by_side(side, edge)
    ends = [side.in_space(edge[i]) for i in (0, 2)]
    assert (run.left, run.right) == (ends[0], ends[1])
    steps = list(_in_steps((Point(0.0, 0.0), Point(64.0, 128.0))))
    assert steps[32] == Point(32.0, 64.0) and steps[-1] == Point(64.0, 128.0)


@pytest.mark.parametrize(
    ("face", "ends", "is_swapped"),
    [
        ("left", ((10.0, -5.0), (90.0, -5.0)), False),
        ("rear", ((99.0, -5.0), (99.0, 5.0)), False),
        ("right", ((90.0, 5.0), (10.0, 5.0)), False),
        ("front", ((0.0, 5.0), (0.0, -5.0)), False),
        ("front", ((0.0, -5.0), (0.0, 5.0)), True),
    ],
)
def test_a_run_goes_from_left_to_right_as_its_side_is_faced(
    face: Face, ends: tuple[tuple[float, float], tuple[float, float]], is_swapped: bool
) -> None:
    """Facing the front of a vehicle, its own right is at the left."""
    spaces = {Point(float(i), 0.0): Space(back, right, 7.0) for i, (back, right) in enumerate(ends)}
    panel: Any = SimpleNamespace(in_space=spaces.__getitem__)
    run = _run(panel, face, Point(0.0, 0.0), Point(1.0, 0.0))
    assert [run.left, run.right] == list(spaces.values())[:: -1 if is_swapped else 1]


def test_reaches_on_the_front_are_ordered_from_the_vehicles_right() -> None:
    def reach(face: Face, station: float, aside: float) -> Reach:
        return Reach("w", "p", face, End(station, 5.0, aside), End(station, 5.0, aside), key="")

    ordered = [
        reach("left", 10.0, -50.0), reach("left", 20.0, -50.0),
        reach("rear", 99.0, -30.0), reach("rear", 99.0, 30.0),
        reach("right", 20.0, 50.0), reach("right", 10.0, 50.0),
        reach("front", 0.0, 30.0), reach("front", 0.0, -30.0),
    ]  # fmt: skip
    mixed = ordered[3:] + ordered[:3]
    assert sorted(mixed, key=_round_order) == ordered
