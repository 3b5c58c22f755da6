"""Vehicles as the drawing has them: every panel and every place at scale, nothing fitted to the model."""

from __future__ import annotations

from dataclasses import replace

from livery.describe.entries.panel import Panel
from livery.describe.load import Description
from livery.layout.compose import lay_out
from livery.layout.drift import panel_at_scale
from livery.vehicles.placed import PlacedVehicle, place_vehicles

_AT_SCALE = "laid out at scale"
"""A key that no file can have."""


def vehicles_as_drawn(description: Description) -> tuple[PlacedVehicle, ...]:
    """Return a description's vehicles as if they had been built to scale; none where it has no model."""
    model = description.model
    if model is None or not model.panel:
        return ()
    drawn = model.model_copy(
        update={
            "panel": {name: _drawn_panel(panel) for name, panel in model.panel.items()},
            "vehicle": {
                name: vehicle.model_copy(update={"built": type(vehicle.built)()})
                for name, vehicle in model.vehicle.items()
            },
        }
    )
    # What is kept of layouts is known by what the files say, which does not change here.
    panels = {name: {**own, _AT_SCALE: True} for name, own in description.data["panel"].items()}
    data = {**description.data, "panel": panels}
    plan = lay_out(replace(description, model=drawn, data=data))
    return place_vehicles(drawn, {panel.name: panel for panel in plan.panels})


def _drawn_panel(panel: Panel) -> Panel:
    place = panel.place
    if place is not None:
        place = place.model_copy(update={"built": type(place.built)()})
    return panel_at_scale(panel).model_copy(update={"place": place})
