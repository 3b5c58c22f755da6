"""Elevations of whole vehicles against orthographic projection worked by hand."""

from __future__ import annotations

import io
import math
from collections.abc import Callable

import pytest
import trimesh

from livery.drawing import Area
from livery.examined import Examined
from livery.geometry.measure import area, bounds
from livery.make.drawings.vehicle_elevation import (
    VehicleViews,
    train_marks,
    vehicle_elevation,
    vehicle_marks,
)
from livery.vehicles.consist import InTrain
from livery.vehicles.solid import vehicle_solid
from livery.vehicles.survey import Vehicles
from livery.vehicles.view import View
from livery.write.gltf import glb_bytes
from livery.write.svg import svg_text

COLOURS = {"green": "#00ff00", "cream": "#ffffcc", "grey": "#808080"}


def marks(van: Vehicles, view: View) -> tuple[Area, ...]:
    return vehicle_marks(van.placed[0], view, COLOURS)


def edge(van: Vehicles, view: View, panel: str) -> tuple[float, ...]:
    (found,) = (m for m in marks(van, view) if m.layer == "edge" and m.name == panel)
    return tuple(bounds(found.outline))


def test_a_leaning_side_is_foreshortened_by_the_cosine(van: Vehicles) -> None:
    """200 mm of side leaning 30 degrees is 173.2 mm high and 100 mm deep."""
    assert edge(van, View.LEFT, "side") == pytest.approx(
        (0.0, 120.0, 500.0, 120.0 + 200.0 * math.cos(math.pi / 6))
    )
    assert edge(van, View.ABOVE, "side") == pytest.approx((0.0, -100.0, 500.0, 0.0))


def test_each_side_has_the_front_at_its_own_end(van: Vehicles) -> None:
    """The hatch is 100 mm from the front: at the left of the left side, the right of the right."""

    def hatch(view: View, panel: str) -> tuple[float, float]:
        (found,) = (m for m in marks(van, view) if m.name == f"{panel} hatch")
        return bounds(found.outline).left, bounds(found.outline).right

    assert hatch(View.LEFT, "side") == pytest.approx((100.0, 150.0))
    assert hatch(View.RIGHT, "other") == pytest.approx((-150.0, -100.0))


def test_nearer_panels_are_drawn_over_farther_ones(van: Vehicles) -> None:
    names = [m.name for m in marks(van, View.LEFT) if m.layer == "edge"]
    assert names == ["side", "step"]


def test_what_faces_away_is_not_seen(van: Vehicles) -> None:
    assert {m.name for m in marks(van, View.RIGHT) if m.layer == "edge"} == {"other"}
    assert not [m for m in marks(van, View.FRONT) if m.layer == "edge"]


def test_the_roof_is_seen_from_above_in_its_paint(van: Vehicles) -> None:
    (roof,) = (m for m in marks(van, View.ABOVE) if m.layer == "bare surfaces")
    assert roof.fill == "#808080"
    assert tuple(bounds(roof.outline)) == pytest.approx((0.0, -100.0, 500.0, 100.0))


def gear(vehicles: Vehicles, view: View, name: str) -> list[tuple[float, ...]]:
    found = (m for m in marks(vehicles, view) if m.layer == "running gear" and m.name == name)
    return [tuple(round(n, 6) for n in bounds(m.outline)) for m in found]


def test_wheels_and_buffers_stand_on_the_rail_for_scale(van: Vehicles) -> None:
    """A buffer 50 mm long and 40 mm over its head, its middle 105 mm up: a shank half as high."""
    assert gear(van, View.LEFT, "wheel")[0] == (55.0, 0.0, 145.0, 90.0)
    assert gear(van, View.LEFT, "frame") == [(0.0, 85.0, 500.0, 125.0)]
    shank, head, _, rear = gear(van, View.LEFT, "buffers")
    assert head == (-50.0, 85.0, -41.0, 125.0)
    assert shank == (-41.0, 95.0, 0.0, 115.0)
    assert rear == (541.0, 85.0, 550.0, 125.0)
    assert gear(van, View.RIGHT, "wheel")[0] == (-145.0, 0.0, -55.0, 90.0)
    assert gear(van, View.ABOVE, "buffers") == []


WHEELS = 'diameter = "900 mm" }]'


def test_wheels_are_seen_on_the_ends_where_the_gauge_is_known(
    look: Callable[..., Examined], van_text: str
) -> None:
    """Tyres a tenth of the gauge wide outside it, the axle between them at half their height."""
    end = '[panel.end]\noutline = { rectangle = ["2000 mm", "2000 mm"] }\n'
    end += 'place = { face = "front", height = "1200 mm" }\n[[panel.end.field]]\npaint = "green"\n'
    assert gear(look(van_text + end).vehicles, View.FRONT, "wheel") == []
    other = '{ station = "4000 mm", diameter = "1000 mm" }], gauge = "1400 mm"'
    known = van_text.replace(WHEELS, WHEELS[:-1] + ", " + other.replace("], ", "]\n")) + end
    van = look(known).vehicles
    far, near = (-84.0, 0.0, -70.0, 100.0), (-84.0, 0.0, -70.0, 90.0)
    assert gear(van, View.FRONT, "wheel")[::2] == [far, near]
    assert gear(van, View.FRONT, "wheel")[1] == (70.0, 0.0, 84.0, 100.0)
    assert gear(van, View.FRONT, "axle")[1] == (-70.0, 37.8, 70.0, 52.2)
    names = [m.name for m in marks(van, View.FRONT)]
    assert names.index("wheel") < names.index("end")


def test_the_end_of_an_arched_roof_is_seen_behind_the_end_of_the_body(
    look: Callable[..., Examined], van_text: str
) -> None:
    flat = 'rectangle = ["5000 mm", "2000 mm"]\nplace = { face = "top"'
    end = '[panel.end]\noutline = { rectangle = ["2000 mm", "2000 mm"] }\n'
    end += 'place = { face = "front", height = "1200 mm" }\n'
    van = look(van_text.replace(flat, f'arch = "300 mm"\n{flat}') + end).vehicles
    roof = marks(van, View.FRONT)[0]
    assert (roof.name, roof.fill) == ("roof", "#808080")
    assert tuple(bounds(roof.outline)) == pytest.approx((-100.0, 320.0, 100.0, 350.0), abs=0.05)
    # A segment of a circle: radius (100^2 + 30^2) / 60, half its angle 2 atan(0.3).
    radius, half = (100.0**2 + 30.0**2) / 60.0, 2.0 * math.atan2(30.0, 100.0)
    segment = radius**2 * (half - math.sin(half) * math.cos(half))
    assert abs(area(roof.outline)) == pytest.approx(segment, rel=2e-3)
    assert not [m for m in marks(look(van_text + end).vehicles, View.FRONT) if m.name == "roof"]


FITTED = (
    'length = "500 mm", centres = "1700 mm", ends = "rear" }\n'
    'gangways = { width = "900 mm", height = "1000 mm", tall = "2000 mm", length = "300 mm" }\n'
    'coupling = "1000 mm"\n'
    'built = { coupling = "103 mm" }\n'
    'settles = "10 mm"'
)


def test_what_is_on_the_ends_is_seen_from_every_side(
    look: Callable[..., Examined], van_text: str
) -> None:
    """All of it stands 3 mm higher than drawn, by the couplings, and settles by 1 mm."""
    ends = '[panel.end]\noutline = { rectangle = ["2000 mm", "2000 mm"] }\n'
    ends += 'place = { face = "front", height = "1200 mm" }\n[panel.tail]\nmirror_of = "end"\n'
    van = look(van_text.replace('length = "500 mm" }', FITTED) + ends).vehicles
    assert gear(van, View.FRONT, "gangway") == [(-45.0, 102.0, 45.0, 302.0)]
    assert gear(van, View.FRONT, "buffers") == []
    assert gear(van, View.REAR, "buffers") == [
        (-105.0, 87.0, -65.0, 127.0),
        (65.0, 87.0, 105.0, 127.0),
    ]
    assert gear(van, View.ABOVE, "buffers") == [
        (500.0, -105.0, 550.0, -65.0),
        (500.0, 65.0, 550.0, 105.0),
    ]
    assert gear(van, View.ABOVE, "gangway") == [
        (-30.0, -45.0, 0.0, 45.0),
        (500.0, -45.0, 530.0, 45.0),
    ]
    assert gear(van, View.LEFT, "gangway") == [
        (-30.0, 102.0, 0.0, 302.0),
        (500.0, 102.0, 530.0, 302.0),
    ]
    front, rear = gear(van, View.RIGHT, "coupling")
    assert (front[0], front[2]) == (0.0, 30.0)
    assert (rear[0], rear[2]) == (-550.0, -500.0)
    assert (front[1] + front[3]) / 2.0 == pytest.approx(102.0)
    assert [m.name for m in marks(van, View.FRONT)][-1] == "gangway"


def test_an_arched_roof_has_the_length_of_its_arc_and_stands_over_the_sides(
    look: Callable[..., Examined], van_text: str
) -> None:
    """Edges 200 mm apart and 50 mm of arch: radius (100^2 + 50^2) / 100 = 125 mm."""
    roof_entry = 'rectangle = ["5000 mm", "2000 mm"]\n'
    van = look(van_text.replace(roof_entry, roof_entry + 'arch = "500 mm"\n', 1))
    angle = 2.0 * math.asin(100.0 / 125.0)
    (roof,) = van.vehicles.placed[0].surfaces
    assert sum(area(f.region) for f in roof.sheets[0]) == pytest.approx(500.0 * 125.0 * angle)
    for view, box in (
        (View.LEFT, (0.0, 320.0, 500.0, 370.0)),
        (View.ABOVE, (0.0, -100.0, 500.0, 100.0)),
    ):
        (seen,) = (m for m in marks(van.vehicles, view) if m.layer == "bare surfaces")
        assert tuple(bounds(seen.outline)) == pytest.approx(box, abs=0.06)


def test_a_surface_is_seen_at_every_place_it_has(
    look: Callable[..., Examined], van_text: str
) -> None:
    """Solebars on both sides, a disc on the front; their paint is that of all of them."""
    more = """
[surface.solebar]
paint = "grey"
rectangle = ["5000 mm", "300 mm"]
count = 2
place = [{ face = "left", height = "900 mm" }, { face = "right", height = "900 mm" }]
[surface.door]
paint = "cream"
disc = "1200 mm"
place = { face = "front", height = "1500 mm", across = "100 mm" }
"""
    van = look(van_text + more).vehicles

    def seen(view: View, name: str) -> list[tuple[float, ...]]:
        return [tuple(bounds(m.outline)) for m in marks(van, view) if m.name == name]

    assert seen(View.LEFT, "solebar") == [pytest.approx((0.0, 90.0, 500.0, 120.0))]
    assert seen(View.RIGHT, "solebar") == [pytest.approx((-500.0, 90.0, 0.0, 120.0))]
    assert seen(View.FRONT, "door") == [pytest.approx((-70.0, 150.0, 50.0, 270.0))]
    scene = trimesh.load(
        io.BytesIO(glb_bytes(vehicle_solid(van.placed[0], COLOURS, "#b4b8ba"))), file_type="glb"
    )
    assert scene.geometry["solebar"].area == pytest.approx(2 * 500.0 * 30.0)
    assert scene.geometry["door"].area == pytest.approx(math.pi * 60.0**2, rel=1e-3)


@pytest.mark.parametrize(
    ("given", "front", "rear"),
    [
        ("", 0.0, 500.0),
        ('station = "400 mm", ', 40.0, 460.0),
        ('station = "-100 mm", ', -10.0, 510.0),
        ('built = { station = "38.5 mm" }, ', 38.5, 461.5),
    ],
)
def test_the_other_hand_of_an_end_is_as_far_from_the_other_headstock(
    look: Callable[..., Examined], van_text: str, given: str, front: float, rear: float
) -> None:
    ends = f"""
[panel.end]
outline = {{ rectangle = ["2000 mm", "2000 mm"] }}
place = {{ face = "front", {given}height = "1200 mm" }}
[panel.tail]
mirror_of = "end"
"""
    panels = {p.plan.name: p for p in look(van_text + ends).vehicles.placed[0].panels}
    assert panels["end"].standing.origin.station == pytest.approx(front)
    assert panels["tail"].standing.origin.station == pytest.approx(rear)


def test_a_view_that_shows_nothing_is_not_drawn(van: Vehicles) -> None:
    assert vehicle_elevation(van.placed[0], View.FRONT, VehicleViews(COLOURS)) is None


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("view", [View.LEFT, View.RIGHT])
def test_a_vehicle_fills_its_own_length_of_the_train(
    van: Vehicles, view: View, turned: bool
) -> None:
    train = [InTrain(van.placed[0], start=1000.0, turned=turned)]
    edges = [
        bounds(m.outline)
        for m in train_marks(train, view, VehicleViews(COLOURS))
        if m.layer == "edge"
    ]
    left, right = min(e.left for e in edges), max(e.right for e in edges)
    expected = (1000.0, 1500.0) if view is View.LEFT else (-1500.0, -1000.0)
    assert (left, right) == pytest.approx(expected)


def test_a_turned_vehicle_shows_its_right_side_on_the_trains_left(van: Vehicles) -> None:
    train = [InTrain(van.placed[0], start=0.0, turned=True)]
    names = {
        m.name for m in train_marks(train, View.LEFT, VehicleViews(COLOURS)) if m.layer == "edge"
    }
    assert names == {"other"}


def test_what_is_hidden_stays_hidden_in_the_file(van: Vehicles) -> None:
    """The step stands before the side: all of the side is drawn first, its edge too."""
    drawing = vehicle_elevation(van.placed[0], View.LEFT, VehicleViews(COLOURS))
    assert drawing is not None
    fills = [m for m in drawing.marks if isinstance(m, Area)]
    assert {m.layer for m in fills} == {"vehicles"}
    svg = svg_text(drawing)
    side = svg.rindex("#00ff00")
    step = svg.rindex("#ffffcc")
    assert svg.rindex("#eef1f2") < step
    assert side < step


def test_a_keep_out_without_a_name_does_not_take_the_panels(
    look: Callable[..., Examined], van_text: str
) -> None:
    found = look(van_text.replace('called = "hatch"\n', ""))
    shown = vehicle_marks(found.vehicles.placed[0], View.LEFT, COLOURS)
    assert [m.layer for m in shown if m.name.strip() == "side"] == ["edge"]
