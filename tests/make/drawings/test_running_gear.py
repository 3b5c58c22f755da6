"""Where frame, wheels, couplings, buffers and gangways are drawn, worked by hand at 1:10."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import pytest

from livery.describe.load import load_description
from livery.drawing import Area
from livery.geometry.measure import bounds
from livery.make.drawings.running_gear import gear_before, gear_behind
from livery.vehicles.placed import PlacedVehicle, place_vehicles
from livery.vehicles.view import View

JOB = """
[job]
title = "Trial"
scale = "1:10"
[vehicle.van]
length = "2600 mm"
width = "1500 mm"
coupling = "600 mm"
gauge = "750 mm"
wheels = [{ station = "500 mm", diameter = "400 mm" }, { station = "2100 mm", diameter = "500 mm" }]
buffers = { height = "500 mm", diameter = "160 mm", length = "200 mm", centres = "900 mm" }
gangways = { width = "500 mm", height = "600 mm", tall = "900 mm", length = "180 mm" }
[panel.side]
outline = { rectangle = ["2500 mm", "1000 mm"] }
"""
Box = tuple[float, float, float, float]


@pytest.fixture(scope="module")
def van(tmp_path_factory: pytest.TempPathFactory) -> PlacedVehicle:
    """A van whose body stands 3 mm higher than drawn and will settle by 1 mm."""
    file: Path = tmp_path_factory.mktemp("van") / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    found = load_description(file)
    assert found.model is not None
    (van,) = place_vehicles(found.model, {})
    return replace(van, sizes=replace(van.sizes, reach=(30.0, 40.0), rises=3.0, settles=1.0))


def boxes(marks: Iterable[Area]) -> list[tuple[str, Box]]:
    """Return the name and the left, bottom, right and top of each mark."""
    return [(m.name, tuple(round(v, 6) + 0.0 for v in bounds(m.outline))) for m in marks]  # type: ignore[misc]


def test_both_sides_show_the_gear_from_the_front_back(van: PlacedVehicle) -> None:
    left = boxes(gear_behind(van, View.LEFT))
    assert [one for one in left if one[0] != "wheel"] == [
        ("frame", (0.0, 44.0, 260.0, 60.0)),
        ("coupling", (-30.0, 56.5, 0.0, 61.5)),
        ("coupling", (260.0, 56.5, 300.0, 61.5)),
        ("gangway", (-18.0, 62.0, 0.0, 152.0)),
        ("buffers", (-16.4, 48.0, 0.0, 56.0)),
        ("buffers", (-20.0, 44.0, -16.4, 60.0)),
        ("gangway", (260.0, 62.0, 278.0, 152.0)),
        ("buffers", (260.0, 48.0, 276.4, 56.0)),
        ("buffers", (276.4, 44.0, 280.0, 60.0)),
    ]
    wheels = [box for name, box in left if name == "wheel"]
    assert wheels[::2] == [(30.0, 0.0, 70.0, 40.0), (185.0, 0.0, 235.0, 50.0)]
    right = boxes(gear_behind(van, View.RIGHT))
    assert right == [(n, (-b[2] + 0.0, b[1], -b[0] + 0.0, b[3])) for n, b in left]


def test_an_end_shows_the_farthest_wheels_first(van: PlacedVehicle) -> None:
    near = [
        ("axle", (-37.5, 16.8, 37.5, 23.2)),
        ("wheel", (-45.0, 0.0, -37.5, 40.0)),
        ("wheel", (37.5, 0.0, 45.0, 40.0)),
    ]
    far = [
        ("axle", (-37.5, 21.0, 37.5, 29.0)),
        ("wheel", (-45.0, 0.0, -37.5, 50.0)),
        ("wheel", (37.5, 0.0, 45.0, 50.0)),
    ]
    frame = [("frame", (-53.0, 44.0, 53.0, 60.0))]
    assert boxes(gear_behind(van, View.FRONT)) == far + near + frame
    assert boxes(gear_behind(van, View.REAR)) == near + far + frame


def test_buffers_and_gangways_stand_before_an_end_and_out_from_both(van: PlacedVehicle) -> None:
    end = [
        ("gangway", (-25.0, 62.0, 25.0, 152.0)),
        ("buffers", (-53.0, 44.0, -37.0, 60.0)),
        ("buffers", (37.0, 44.0, 53.0, 60.0)),
    ]
    assert boxes(gear_before(van, View.FRONT)) == boxes(gear_before(van, View.REAR)) == end
    assert boxes(gear_before(van, View.ABOVE)) == [
        ("gangway", (-18.0, -25.0, 0.0, 25.0)),
        ("buffers", (-20.0, -53.0, 0.0, -37.0)),
        ("buffers", (-20.0, 37.0, 0.0, 53.0)),
        ("gangway", (260.0, -25.0, 278.0, 25.0)),
        ("buffers", (260.0, -53.0, 280.0, -37.0)),
        ("buffers", (260.0, 37.0, 280.0, 53.0)),
    ]
