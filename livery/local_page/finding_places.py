"""Where a finding stands on the figures of the page: on its panel, on its vehicle, on the train."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from livery.findings import Finding
from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.layout.plan import PanelPlan
from livery.local_page.figures import DECIMALS, DrawnFigure
from livery.rounding import rounded_value
from livery.vehicles.placed import PlacedPanel, PlacedVehicle
from livery.vehicles.view import EDGE_ON, View


def finding_places(
    finding: Finding,
    plan: PanelPlan,
    vehicles: Sequence[PlacedVehicle],
    figures: Mapping[str, DrawnFigure],
) -> list[dict[str, Any]]:
    """Return every figure that shows a finding of a panel, with the place from its top left corner.

    ``figures`` are those of the answer, by name.  A view shows it where the panel faces the viewer
    there; what may stand before it is not looked at.
    """
    at = _place_on(finding, plan)
    found = []
    panel = figures.get(f"panel {plan.name}")
    if panel is not None:
        found.append(_on_figure(panel, at.x, at.y))
    for vehicle in vehicles:
        for placed in vehicle.panels:
            if placed.plan.name == plan.name:
                found += _on_views(vehicle, placed, at, figures)
    return found


def _place_on(finding: Finding, plan: PanelPlan) -> Point:
    """Return a finding's place on its panel: where it says, or the middle of what it is about.

    What runs off the panel is shown at its edge.
    """
    whole = bounds(plan.frame.outline)
    x, y = _named_place(finding, plan)
    return Point(min(max(x, whole.left), whole.right), min(max(y, whole.bottom), whole.top))


def _named_place(finding: Finding, plan: PanelPlan) -> Point:
    if finding.where_mm is not None:
        return Point(*finding.where_mm)
    own = [p.outline for p in plan.pieces if _is_about(finding.key, p.key) and p.outline]
    boxes = [bounds(outline) for outline in own] or [bounds(plan.frame.outline)]
    left, right = min(b.left for b in boxes), max(b.right for b in boxes)
    bottom, top = min(b.bottom for b in boxes), max(b.top for b in boxes)
    return Point((left + right) / 2.0, (bottom + top) / 2.0)


def _is_about(key: str, entry: str) -> bool:
    return key == entry or key.startswith(f"{entry}.")


def _on_views(
    vehicle: PlacedVehicle, placed: PlacedPanel, at: Point, figures: Mapping[str, DrawnFigure]
) -> Iterator[dict[str, Any]]:
    space = placed.in_space(at)
    facing = placed.standing.turned(*placed.plan.frame.surface.facing(at))
    for view in View:
        side = figures.get(f"vehicle {vehicle.name} {view.value}")
        if side is None or view.seen(facing)[2] <= EDGE_ON:
            continue
        right, up, _ = view.seen(space)
        own = _on_figure(side, right, up)
        yield own
        yield from _on_trains(side, own, figures)


def _on_trains(
    side: DrawnFigure, own: Mapping[str, Any], figures: Mapping[str, DrawnFigure]
) -> Iterator[dict[str, Any]]:
    """Yield the same place on each view of the train that shows the vehicle from this side."""
    for view in View:
        train = figures.get(f"train {view.value}")
        for part in () if train is None else train.content["parts"]:
            if part["digest"] == side.digest:
                yield {
                    "figure": f"train {view.value}",
                    "x": rounded_value(own["x"] + part["x"], DECIMALS),
                    "y": rounded_value(own["y"] + part["y"], DECIMALS),
                }


def _on_figure(figure: DrawnFigure, x: float, y: float) -> dict[str, Any]:
    """Return a place of a figure's own coordinates, y up, from its top left corner, y down."""
    c = figure.content
    return {
        "figure": figure.name,
        "x": rounded_value(x - c["left"], DECIMALS),
        "y": rounded_value(c["top"] - y, DECIMALS),
    }
