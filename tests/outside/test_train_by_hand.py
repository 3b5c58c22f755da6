"""The demo train's heights and places, worked by hand from what its drawings and its rule say.

At 1 1/16 in to the foot a foot is 1.0625 x 25.4 = 26.9875 mm on the model.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.describe.entries.description import DescriptionModel
from livery.describe.load import load_description
from livery.geometry.measure import bounds
from livery.make.drawings.running_gear import gear_behind
from livery.vehicles.consist import in_train
from livery.vehicles.placed import PlacedVehicle, place_of, place_vehicles
from livery.vehicles.standing import Seen, stand
from livery.vehicles.view import View

FOOT = 26.9875
TRAIN = Path(__file__).parents[2] / "demo" / "train" / "train.toml"


@pytest.fixture(scope="module")
def model() -> DescriptionModel:
    found = load_description(TRAIN)
    assert not found.faults
    assert found.model is not None
    return found.model


@pytest.fixture(scope="module")
def vehicles(model: DescriptionModel) -> dict[str, PlacedVehicle]:
    return {vehicle.name: vehicle for vehicle in place_vehicles(model, {})}


@pytest.mark.parametrize(
    ("carriage", "coupling", "floor"),
    [
        # Drawn: couplings 3 ft 5 in, floors 4 ft above rail: 92.207 and 107.950 mm.
        ("27", 92.2073, 108.0),  # measured: 108 mm to the bottom of the side
        ("40", 91.5, 107.2427),  # 0.707 mm low
        ("31", 91.5, 107.2427),
        ("28", 96.2, 112.0),  # measured, 4 mm high
        ("41", 84.2, 99.9427),  # 8.007 mm low
    ],
)
def test_couplings_and_floors_are_as_high_as_worked_by_hand(
    model: DescriptionModel,
    vehicles: dict[str, PlacedVehicle],
    carriage: str,
    coupling: float,
    floor: float,
) -> None:
    sizes = vehicles[carriage].sizes
    assert sizes.coupling == pytest.approx(coupling, abs=1e-4)
    place = place_of(model.panel[f"{carriage}-side"], model.panel)
    assert place is not None
    at = stand(place, sizes, Seen(42 * FOOT, 0.0), vehicles[carriage].scale)
    assert at.place(0.0, 0.0).height == pytest.approx(floor, abs=1e-4)
    assert at.place(0.0, 0.0).right == pytest.approx(-4.25 * FOOT)


def test_buffers_go_up_and_down_with_the_body(vehicles: dict[str, PlacedVehicle]) -> None:
    """3 ft 5 in at their middles, as the couplings are: each as high as its couplings as built."""
    for name in ("27", "40", "28", "41"):
        heads = [m for m in gear_behind(vehicles[name], View.LEFT) if m.name == "buffers"]
        middles = {round(bounds(m.outline).centre.y, 4) for m in heads}
        coupling = vehicles[name].sizes.coupling
        assert coupling is not None
        assert middles == {round(coupling, 4)}


def test_vehicles_stand_coupling_plane_to_coupling_plane(
    model: DescriptionModel, vehicles: dict[str, PlacedVehicle]
) -> None:
    """Over headstocks 30 1/2, 22 1/2, 17 1/2 and 42 ft; gaps 14 in, 3 ft 3 in, 3 ft 3 in, 3 ft 6 in."""
    starts = {one.vehicle.name: one.start for one in in_train(model, vehicles)}
    feet = {
        "318-engine": 0.0,
        "318-tender": 30.5 + 14 / 12,
        "van": 30.5 + 14 / 12 + 22.5 + 3.25,
        "40": 30.5 + 14 / 12 + 22.5 + 3.25 + 17.5 + 3.25,
    }
    for i, name in enumerate(("27", "31", "28", "41"), start=1):
        feet[name] = feet["40"] + 45.5 * i
    assert list(starts) == list(feet)
    assert list(starts.values()) == pytest.approx([f * FOOT for f in feet.values()])


def test_the_house_style_and_a_further_carriage_are_short() -> None:
    def lines(*names: str) -> int:
        return sum(len((TRAIN.parent / n).read_text(encoding="utf-8").splitlines()) for n in names)

    assert lines("../house-style.toml", "coach.toml") <= 150
    for own in ("third-27", "third-28", "first-31", "brake-40", "brake-41", "brake"):
        assert lines(f"{own}.toml") <= 40
