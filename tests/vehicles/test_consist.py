"""How far apart vehicles stand: coupling plane meets coupling plane."""

from __future__ import annotations

from typing import Any

import pytest

from livery.describe.entries.description import DescriptionModel
from livery.vehicles.consist import in_train
from livery.vehicles.placed import place_vehicles

BUFFERS = {"height": "3 ft", "diameter": "1 ft", "length": "500 mm"}
GANGWAY = {"width": "1 m", "height": "1 m", "tall": "2 m", "length": "300 mm"}


def starts(first: dict[str, Any], second: dict[str, Any], **entry: object) -> list[float]:
    """Return where two vehicles, each 500 mm long on the model, begin in their train."""
    model = DescriptionModel.model_validate(
        {
            "job": {"title": "Trial", "scale": "1:10"},
            "paint": {"red": {"lab": [40, 40, 20]}},
            "vehicle": {"a": {"length": "5 m", **first}, "b": {"length": "5 m", **second}},
            "panel": {"loose": {"outline": {"rectangle": ["1 m", "1 m"]}}},
            "train": {
                "vehicle": [
                    {"called": "a", "file": "a.toml"},
                    {"called": "b", "file": "b.toml", **entry},
                ]
            },
        }
    )
    vehicles = {vehicle.name: vehicle for vehicle in place_vehicles(model, {})}
    return [one.start for one in in_train(model, vehicles)]


@pytest.mark.parametrize(
    ("fitted", "front", "rear"),
    [
        ({"buffers": BUFFERS}, 50.0, 50.0),
        ({"gangways": GANGWAY}, 30.0, 30.0),
        ({"buffers": {**BUFFERS, "ends": "rear"}, "gangways": GANGWAY}, 30.0, 50.0),
        ({"coupling_out": ["200 mm", "350 mm"], "buffers": BUFFERS}, 20.0, 35.0),
        ({"coupling_out": "250 mm"}, 25.0, 25.0),
        ({"coupling_out": "1 m", "built": {"coupling_out": ["21 mm", "34 mm"]}}, 21.0, 34.0),
        ({"built": {"coupling_out": "22.5 mm"}}, 22.5, 22.5),
        ({}, 0.0, 0.0),
    ],
)
def test_the_gap_is_what_both_coupling_planes_stand_out(
    fitted: dict[str, Any], front: float, rear: float
) -> None:
    other = {"coupling_out": "70 mm"}
    assert starts(fitted, other) == pytest.approx([0.0, 500.0 + rear + 7.0])
    assert starts(other, fitted) == pytest.approx([0.0, 500.0 + 7.0 + front])
    assert starts(other, fitted, turned=True) == pytest.approx([0.0, 500.0 + 7.0 + rear])


def test_a_gap_that_is_given_goes_before_the_coupling_planes() -> None:
    assert starts({"buffers": BUFFERS}, {}, gap="80 mm") == pytest.approx([0.0, 508.0])
