"""A small van of odd sizes that the tests of whole vehicles share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from livery.examined import Examined
from livery.pipeline import examine
from livery.vehicles.survey import Vehicles

VAN = """
[job]
title = "Van 9"
scale = "1:10"
[paint.green]
lab = [40, -30, 20]
[paint.cream]
lab = [86, 1, 19]
[paint.grey]
lab = [50, 0, 0]
[vehicle.van]
length = "5000 mm"
width = "2000 mm"
wheels = [{ station = "1000 mm", diameter = "900 mm" }]
buffers = { height = "1050 mm", diameter = "400 mm", length = "500 mm" }
[surface.roof]
paint = "grey"
rectangle = ["5000 mm", "2000 mm"]
place = { face = "top", height = "3200 mm" }
[panel.side]
outline = { rectangle = ["5000 mm", "2000 mm"] }
place = { face = "left", height = "1200 mm", lean = "30 deg" }
[[panel.side.field]]
paint = "green"
[[panel.side.field]]
paint = "cream"
area = { bottom = "1000 mm" }
[[panel.side.keep_out]]
called = "hatch"
rectangle = ["500 mm", "500 mm"]
at = ["1000 mm", "1200 mm"]
[panel.other]
mirror_of = "side"
[panel.step]
outline = { rectangle = ["1000 mm", "200 mm"] }
place = { face = "left", station = "2000 mm", height = "1300 mm", out = "1100 mm" }
[[panel.step.field]]
paint = "cream"
"""


@pytest.fixture()
def van_text() -> str:
    """The van's description, to be changed."""
    return VAN


@pytest.fixture()
def look(tmp_path: Path) -> Callable[..., Examined]:
    """Examine a description written as text; it must be sound."""

    def examined(text: str = VAN) -> Examined:
        file = tmp_path / "job.toml"
        file.write_text(text, encoding="utf-8")
        found = examine(file)
        assert not found.exit_status, [f.as_text() for f in found.findings]
        return found

    return examined


@pytest.fixture()
def van(look: Callable[..., Examined]) -> Vehicles:
    """The van as it stands."""
    return look().vehicles
