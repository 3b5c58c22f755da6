"""Where panels stand: worked by hand as a drawing office projects them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.describe.entries.panel import Panel
from livery.describe.entries.vehicle import PanelPlace, Vehicle
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import rectangle
from livery.surfaces.surface import FLAT, InSpace, RoundAxis, folded_surface
from livery.units import read_scale
from livery.vehicles.facets import seen_of
from livery.vehicles.standing import Seen, Space, Standing, VehicleSizes, stand, vehicle_sizes

SCALE = read_scale("1:10")
SIZES = VehicleSizes(1000.0, 200.0, None, (0.0, 0.0), settles=0.0, rises=0.0)


def standing(width: float = 400.0, sizes: VehicleSizes = SIZES, **place: object) -> Standing:
    return stand(PanelPlace.model_validate(place), sizes, Seen(width, 300.0, 20.0), SCALE)


def test_the_left_side_runs_back_from_its_leading_edge() -> None:
    at = standing(face="left", station="500 mm", height="1200 mm")
    assert at.place(0.0, 0.0) == pytest.approx((50.0, -100.0, 120.0))
    assert at.place(400.0, 30.0) == pytest.approx((450.0, -100.0, 150.0))
    assert at.outward == pytest.approx((0.0, -1.0, 0.0))


def test_the_right_side_runs_forward_and_its_station_is_still_its_leading_edge() -> None:
    at = standing(face="right", station="500 mm", height="1200 mm")
    assert at.place(400.0, 0.0) == pytest.approx((50.0, 100.0, 120.0))
    assert at.place(0.0, 0.0) == pytest.approx((450.0, 100.0, 120.0))
    assert at.outward == pytest.approx((0.0, 1.0, 0.0))


def test_ends_stand_about_the_centre_line_and_face_away() -> None:
    front = standing(180.0, face="front", height="1000 mm")
    assert front.place(0.0, 0.0) == pytest.approx((0.0, 90.0, 100.0))
    assert front.outward == pytest.approx((-1.0, 0.0, 0.0))
    rear = standing(180.0, face="rear", height="1000 mm", across="50 mm")
    assert rear.place(0.0, 0.0) == pytest.approx((1000.0, -85.0, 100.0))
    assert rear.outward == pytest.approx((1.0, 0.0, 0.0))


def test_the_top_lies_flat_with_the_right_hand_up_the_page() -> None:
    """300 mm wide and 20 mm deep, its middle 50 mm to the left: from 200 to the left to 100."""
    top = standing(400.0, face="top", height="3000 mm", across="-500 mm")
    assert top.place(10.0, 0.0) == pytest.approx((10.0, -200.0, 320.0))
    assert top.place(10.0, 300.0) == pytest.approx((10.0, 100.0, 320.0))
    assert top.place(0.0, 0.0, -20.0).height == pytest.approx(300.0)
    assert top.outward == pytest.approx((0.0, 0.0, 1.0))


@pytest.mark.parametrize(
    ("face", "inwards"),
    [("left", (0, 1)), ("right", (0, -1)), ("front", (1, 0)), ("rear", (-1, 0))],
)
def test_a_leaning_panel_goes_inwards_by_the_sine_and_up_by_the_cosine(
    face: str, inwards: tuple[int, int]
) -> None:
    upright = standing(face=face, height="1000 mm").place(0.0, 100.0)
    leaning = standing(face=face, height="1000 mm", lean="30 deg").place(0.0, 100.0)
    moved = [b - a for a, b in zip(upright, leaning, strict=True)]
    assert moved == pytest.approx([50.0 * inwards[0], 50.0 * inwards[1], 86.6025403784 - 100.0])


def test_what_was_measured_goes_before_what_was_drawn() -> None:
    at = standing(
        face="left",
        station="500 mm",
        height="1200 mm",
        built={"station": "52 mm", "height": "121.5 mm", "out": "99 mm"},
    )
    assert at.place(0.0, 0.0) == pytest.approx((52.0, -99.0, 121.5))


def test_a_vehicle_settles_on_its_springs_in_working_order() -> None:
    sizes = replace(SIZES, settles=1.5)
    assert standing(sizes=sizes, face="left", height="1200 mm").origin.height == 118.5


def test_a_body_stands_as_high_as_its_coupling_plane_does() -> None:
    """Drawn 1000 mm, 100 mm at scale, and measured 103.5: all is 3.5 mm up but what was measured."""
    vehicle = Vehicle.model_validate(
        {"length": "10 m", "coupling": "1000 mm", "built": {"coupling": "103.5 mm"}}
    )
    sizes = vehicle_sizes(vehicle, SCALE)
    assert standing(sizes=sizes, face="left", height="1200 mm").origin.height == 123.5
    measured = standing(sizes=sizes, face="left", height="1200 mm", built={"height": "121 mm"})
    assert measured.origin.height == 121.0


def test_two_heights_tilt_the_panel_about_its_leading_end() -> None:
    left = standing(face="left", height="0 mm", built={"height": ["100 mm", "104 mm"]})
    assert left.place(0.0, 0.0).height == pytest.approx(100.0)
    assert left.place(400.0, 0.0).height == pytest.approx(104.0)
    right = standing(face="right", height="0 mm", built={"height": ["100 mm", "104 mm"]})
    assert right.place(400.0, 0.0) == pytest.approx((0.0, 100.0, 100.0), abs=1e-9)
    assert right.place(0.0, 0.0).height == pytest.approx(104.0)


def test_two_heights_are_of_the_metal_s_own_bottom_edge() -> None:
    """A bottom edge that rises by 3 mm on the panel and by 4 mm above rail."""
    metal = Outline(
        (chain([Point(0, 0), Point(400, 3), Point(400, 90), Point(50, 90), Point(0, 60)]),)
    )
    for face, lean in (("left", "0 deg"), ("right", "10 deg"), ("front", "0 deg")):
        heights = ["100 mm", "104 mm"] if face != "right" else ["104 mm", "100 mm"]
        place = PanelPlace.model_validate(
            {"face": face, "lean": lean, "height": "0 mm", "built": {"height": heights}}
        )
        seen = seen_of(metal, FLAT, place)
        assert seen.feet == pytest.approx((0.0, 3.0))
        at = stand(
            place, vehicle_sizes(Vehicle.model_validate({"length": "10 m"}), SCALE), seen, SCALE
        )
        assert at.place(0.0, 0.0).height == pytest.approx(100.0)
        assert at.place(400.0, 3.0).height == pytest.approx(104.0)
    level = PanelPlace.model_validate(
        {"face": "left", "height": "0 mm", "built": {"height": "100 mm"}}
    )
    assert seen_of(metal, FLAT, level).feet == (0.0, 0.0)
    rounded = Outline(
        (chain([Point(0, 40), Point(150, 0), Point(250, 0), Point(400, 40), Point(200, 90)]),)
    )
    assert seen_of(rounded, FLAT, place).feet == (0.0, 0.0)


def test_two_heights_are_of_both_ends_of_a_bottom_edge_that_is_lowest_between_them() -> None:
    place = {"face": "left", "height": "0 mm", "built": {"height": ["100 mm", "104 mm"]}}
    seen = Seen(400.0, 300.0, feet=(2.0, 5.0))
    at = stand(PanelPlace.model_validate(place), SIZES, seen, SCALE)
    assert at.place(0.0, 2.0).height == pytest.approx(100.0)
    assert at.place(400.0, 5.0).height == pytest.approx(104.0)


@pytest.mark.parametrize(
    ("face", "aside"), [("left", -3.0), ("right", 3.0), ("top", 7.0), ("front", 7.0), ("rear", 7.0)]
)
@pytest.mark.parametrize("upright", [True, False])
def test_a_round_panel_is_put_where_its_axis_is_asked_for(
    face: str, aside: float, upright: bool
) -> None:
    place: dict[str, object] = {"face": face, "station": "1000 mm", "axis": "2000 mm"}
    place["out" if face in ("left", "right") else "across"] = (
        "30 mm" if abs(aside) == 3 else "70 mm"
    )
    axis = RoundAxis(InSpace(11.0, 23.0, -41.0), upright)
    sizes = replace(SIZES, rises=1.5, settles=0.25)
    at = stand(PanelPlace.model_validate(place), sizes, Seen(400.0, 90.0, 50.0), SCALE, axis)
    station, right, height = at.place(*axis.at)
    if upright:
        assert station == pytest.approx(100.0)
    else:
        assert height == pytest.approx(200.0 + 1.5 - 0.25)
    if upright or face not in ("front", "rear"):
        assert right == pytest.approx(aside)


@pytest.mark.parametrize("lean", [-8, 10])
def test_a_bent_sheet_that_leans_keeps_its_lowest_and_its_outermost_where_they_are_given(
    lean: int,
) -> None:
    """A quarter turn of 10 mm radius at the bottom, and 100 mm of flat above it.

    Square to the viewer its foot is 10 mm in from the flat.  At 10 degrees that foot is the lowest,
    and the outermost is on the bend; at -8 the outermost is the top edge.
    """
    metal = rectangle(400.0, 100.0 + 5.0 * math.pi)
    bent = folded_surface([5.0 * math.pi, 100.0], [math.pi / 2.0, 0.0], 0.0, upright=True)
    place = PanelPlace.model_validate(
        {"face": "left", "lean": f"{lean} deg", "height": "1200 mm", "out": "900 mm"}
    )
    at = stand(place, SIZES, seen_of(metal, bent, place), SCALE)
    corners = [at.place(*bent.in_space(Point(0.0, y))) for y in np.linspace(0.0, 115.7, 1158)]
    assert min(c.height for c in corners) == pytest.approx(120.0, abs=0.05)
    assert min(c.right for c in corners) == pytest.approx(-90.0, abs=0.05)
    rise = corners[-1].height - corners[157].height
    assert rise == pytest.approx(100.0 * math.cos(math.radians(lean)), abs=0.05)


@given(
    st.sampled_from(["left", "right", "front", "rear", "top"]),
    st.floats(-80.0, 80.0),
    st.floats(-3.0, 3.0),
)
def test_standing_moves_and_turns_but_never_stretches_or_mirrors(
    face: str, lean: float, rise: float
) -> None:
    own = 0.0 if face == "top" else lean
    at = standing(
        face=face, lean=f"{own:.6f} deg", built={"height": ["100 mm", f"{100 + rise:.6f} mm"]}
    )
    for axis in (at.across, at.up, at.outward):
        assert math.hypot(*axis) == pytest.approx(1.0)
    a, b, c = at.across, at.up, at.outward
    assert sum(x * y for x, y in zip(a, b, strict=True)) == pytest.approx(0.0, abs=1e-12)
    volume = (
        a.station * (b.right * c.height - b.height * c.right)
        - a.right * (b.station * c.height - b.height * c.station)
        + a.height * (b.station * c.right - b.right * c.station)
    )
    assert volume == pytest.approx(1.0)


def test_space_is_a_place_in_millimetres() -> None:
    assert Space(1.0, 2.0, 3.0).along(Space(0.0, 0.0, 1.0), 4.0) == (1.0, 2.0, 7.0)


def test_the_front_of_a_side_is_where_its_place_has_it() -> None:
    def panel(face: str) -> Panel:
        outline = {"rectangle": ["4 ft", "2 ft"]}
        place = {"face": face, "height": "4 ft"}
        return Panel.model_validate({"outline": outline, "place": place})

    assert [panel(face).front for face in ("left", "right", "rear")] == ["left", "right", "left"]
