"""A vehicle laid out: its sizes as built, its panels where they stand, and its bare surfaces."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.panel import Panel
from livery.describe.entries.vehicle import Face, PanelPlace, Vehicle, arc_length
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.layout.first_hand import described_panel
from livery.layout.plan import PanelPlan
from livery.surfaces.surface import FLAT, folded_surface
from livery.units import Scale
from livery.vehicles.facets import Facet, facets_of, seen_of
from livery.vehicles.standing import Space, Standing, VehicleSizes, stand, vehicle_sizes

_OPPOSITE = {"left": "right", "right": "left", "front": "rear", "rear": "front", "top": "top"}


@dataclass(frozen=True)
class PlacedPanel:
    """A panel with where it stands.

    ``linings`` are the dotted keys of its linings that have a name, by it.
    """

    plan: PanelPlan
    face: Face
    standing: Standing
    linings: Mapping[str, str]

    @cached_property
    def facets(self) -> tuple[Facet, ...]:
        """Its facets in the vehicle's space; only pictures need them."""
        return facets_of(self.plan.frame.outline, self.plan.frame.surface, self.standing)

    def in_space(self, at: Point) -> Space:
        """Return where a point of the panel, laid flat, is in the vehicle's space."""
        return self.standing.place(*self.plan.frame.surface.in_space(at))


@dataclass(frozen=True)
class PlacedSurface:
    """A bare surface that is seen on elevations: its facets and its paint."""

    name: str
    paint: str
    facets: tuple[Facet, ...]


@dataclass(frozen=True)
class PlacedVehicle:
    """A vehicle as built, with everything that has a place on it; lengths in mm on the model."""

    name: str
    title: str
    entry: Vehicle
    scale: Scale
    sizes: VehicleSizes
    panels: tuple[PlacedPanel, ...]
    surfaces: tuple[PlacedSurface, ...]


def place_vehicles(
    model: DescriptionModel, plans: Mapping[str, PanelPlan]
) -> tuple[PlacedVehicle, ...]:
    """Return a description's vehicles in its order; none where it describes loose panels only.

    ``plans`` are its panels as laid out, by name; a panel that could not be laid is missing.
    """
    return tuple(_placed(name, entry, model, plans) for name, entry in model.vehicle.items())


def _placed(
    name: str, entry: Vehicle, model: DescriptionModel, plans: Mapping[str, PanelPlan]
) -> PlacedVehicle:
    scale = model.job.read_scale()
    sizes = vehicle_sizes(entry, scale)
    panels = []
    for panel, plan in plans.items():
        place = place_of(model.panel[panel], model.panel)
        if place is None or vehicle_of(place, model) != name:
            continue
        surface = plan.frame.surface
        seen = seen_of(plan.frame.outline, surface, place.face)
        standing = stand(place, sizes, seen, scale, surface.axis)
        described = described_panel(panel, model.panel)[0].lining
        linings = {
            x.called: f"panel.{panel}.lining.{i}" for i, x in enumerate(described) if x.called
        }
        panels.append(PlacedPanel(plan, place.face, standing, linings))
    return PlacedVehicle(
        name,
        entry.title or (model.job.title if len(model.vehicle) == 1 else name),
        entry,
        scale,
        sizes,
        tuple(panels),
        tuple(_surfaces(name, model, sizes, scale)),
    )


def vehicle_of(place: PanelPlace, model: DescriptionModel) -> str | None:
    """Return the vehicle a place is on: the one it names, or the only one there is."""
    if place.vehicle is not None or len(model.vehicle) != 1:
        return place.vehicle
    return next(iter(model.vehicle))


def place_of(panel: Panel, panels: Mapping[str, Panel]) -> PanelPlace | None:
    """Return where a panel stands; the other hand of a panel stands opposite it.

    Its own place goes first; what that does not say is its first hand's.
    """
    first = panels.get(panel.mirror_of) if panel.mirror_of is not None else None
    if panel.place is not None or first is None or first.place is None:
        return panel.place
    return first.place.model_copy(
        update={"face": _OPPOSITE[first.place.face], "station": _opposite_station(first.place)}
    )


def _opposite_station(place: PanelPlace) -> object:
    """Return the station of the other hand: the same on a side, the default on an end."""
    return place.station if place.face in ("left", "right", "top") else None


def _surfaces(
    vehicle: str, model: DescriptionModel, sizes: VehicleSizes, scale: Scale
) -> Iterator[PlacedSurface]:
    for name, surface in model.surface.items():
        place = surface.place
        if place is None or surface.rectangle is None or vehicle_of(place, model) != vehicle:
            continue
        width, height = (scale.to_model(side) for side in surface.rectangle)
        rise = 0.0 if surface.arch is None else scale.to_model(surface.arch)
        girth = arc_length(height, rise)
        turn = 4.0 * math.atan2(2.0 * rise, height)
        bent = FLAT if turn == 0.0 else folded_surface([girth], [turn], 0.0, upright=True)
        outline = rectangle(width, girth)
        standing = stand(place, sizes, seen_of(outline, bent, place.face), scale)
        yield PlacedSurface(name, surface.paint, facets_of(outline, bent, standing))
