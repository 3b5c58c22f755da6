"""Plates on elevations of vehicles: where they are fixed, by projection worked by hand."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from livery.examined import Examined
from livery.geometry.measure import bounds
from livery.make.drawings.elevation import elevation
from livery.make.drawings.vehicle_elevation import VehicleViews, vehicle_elevation, vehicle_marks
from livery.prove.svg_file import SvgFile, read_svg
from livery.prove.vehicle_view import view_faults
from livery.vehicles.view import View
from livery.write.svg import svg_text

COLOURS = {"green": "#00ff00", "cream": "#ffffcc", "grey": "#808080"}
PLATE = """
[plate.9]
outline = { rectangle = ["600 mm", "400 mm"] }
panel = "PANEL"
at = ["4000 mm", "1000 mm"]
paint = "cream"
[[plate.9.lettering]]
text = "9"
alphabet = "plain block"
cap_height = "250 mm"
at = ["centre", "middle"]
"""


def box_of(found: Examined, view: View, name: str) -> tuple[float, ...]:
    (mark,) = (
        m
        for m in vehicle_marks(found.vehicles.placed[0], view, COLOURS, found.plan.plates)
        if m.name == name
    )
    return tuple(bounds(mark.outline))


@pytest.mark.parametrize(("panel", "view"), [("side", View.LEFT), ("other", View.RIGHT)])
def test_a_plate_leans_with_its_panel(
    look: Callable[..., Examined], van_text: str, panel: str, view: View
) -> None:
    """60 x 40 mm on a side that leans 30 degrees: 34.6 mm high, its middle 100 mm up the slope.

    Each side is measured from its own left as it is seen: the right one ends at the front, at 0.
    """
    found = look(van_text + PLATE.replace("PANEL", panel))
    steep = math.cos(math.pi / 6)
    left = 370.0 if view is View.LEFT else -130.0
    expected = (left, 120.0 + 80.0 * steep, left + 60.0, 120.0 + 120.0 * steep)
    assert box_of(found, view, f"{panel} plate-9") == pytest.approx(expected)
    # The figure stands in the middle of its plate, 25 mm high before it leans.
    figure = box_of(found, view, f"{panel} plate-9-letters")
    assert figure[3] - figure[1] == pytest.approx(25.0 * steep, rel=0.06)
    assert (figure[0] + figure[2]) / 2.0 == pytest.approx(left + 30.0, abs=1.5)


def test_the_proof_looks_for_a_plate_on_the_view(
    look: Callable[..., Examined], van_text: str, tmp_path: Path
) -> None:
    found = look(van_text + PLATE.replace("PANEL", "side"))
    plates, (van,) = found.plan.plates, found.vehicles.placed
    side = next(p for p in found.plan.panels if p.name == "side")

    def read(drawing: object) -> SvgFile:
        file = tmp_path / "drawing.svg"
        file.write_text(svg_text(drawing), encoding="utf-8")  # type: ignore[arg-type]
        return read_svg(file)

    def faults(views: VehicleViews) -> list[str]:
        return list(view_faults(read(vehicle_elevation(van, View.LEFT, views)), own, {"side"}))

    own = {"side": read(elevation(side, COLOURS, plates))}
    assert not faults(VehicleViews(COLOURS, plates))
    assert any("without plate-9" in f for f in faults(VehicleViews(COLOURS)))
    assert plates[0].stands is not None
    astray = replace(plates[0].stands, at=plates[0].stands.at._replace(x=380.0))
    moved = VehicleViews(COLOURS, (replace(plates[0], stands=astray),))
    assert any(f.startswith("plate-9 of side is not as in") for f in faults(moved))
