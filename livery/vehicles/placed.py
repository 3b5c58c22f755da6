"""A vehicle laid out: its sizes as built, its panels where they stand, and its bare surfaces."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.panel import Panel
from livery.describe.entries.vehicle import BareSurface, Face, PanelPlace, Vehicle, arc_length
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import circle, rectangle
from livery.layout.first_hand import described_panel
from livery.layout.plan import PanelPlan
from livery.surfaces.surface import FLAT, Surface, folded_surface
from livery.units import Length, Scale
from livery.vehicles.facets import Facet, facets_of, seen_of
from livery.vehicles.standing import Space, Standing, VehicleSizes, stand, vehicle_sizes

ENDS = ("front", "rear")
_OPPOSITE = {"left": "right", "right": "left", "front": "rear", "rear": "front", "top": "top"}


@dataclass(frozen=True)
class PlacedPanel:
    """A panel with where it stands.

    ``linings`` are the dotted keys of its linings that have a name, by it, ``cut_linings`` the
    keys of those whose ends are cut square.
    """

    plan: PanelPlan
    face: Face
    standing: Standing
    linings: Mapping[str, str]
    cut_linings: frozenset[str] = frozenset()

    @cached_property
    def facets(self) -> tuple[Facet, ...]:
        """Its facets in the vehicle's space; only pictures need them."""
        return facets_of(self.plan.frame.outline, self.plan.frame.surface, self.standing)

    def in_space(self, at: Point) -> Space:
        """Return where a point of the panel, laid flat, is in the vehicle's space."""
        return self.standing.place(*self.plan.frame.surface.in_space(at))


@dataclass(frozen=True)
class PlacedSurface:
    """A bare surface shown on elevations: its paint, and the facets of each copy."""

    name: str
    paint: str
    sheets: tuple[tuple[Facet, ...], ...]


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
        place = _place_as_built(model.panel[panel], model.panel, sizes, scale)
        if place is None or vehicle_of(place, model) != name:
            continue
        surface = plan.frame.surface
        seen = seen_of(plan.frame.outline, surface, place)
        standing = stand(place, sizes, seen, scale, surface.axis)
        described = described_panel(panel, model.panel)[0].lining
        keys = [f"panel.{panel}.lining.{i}" for i in range(len(described))]
        linings = {x.called: key for x, key in zip(described, keys, strict=True) if x.called}
        cut = (
            k for k, x in zip(keys, described, strict=True) if not x.is_closed and x.ends == "butt"
        )
        panels.append(PlacedPanel(plan, place.face, standing, linings, frozenset(cut)))
    return PlacedVehicle(
        name,
        entry.title or (model.job.title if len(model.vehicle) == 1 else name),
        entry,
        scale,
        sizes,
        panels=tuple(panels),
        surfaces=tuple(_surfaces(name, model, sizes, scale)),
    )


def vehicle_of(place: PanelPlace, model: DescriptionModel) -> str | None:
    """Return the vehicle of a place: the one it names, or the only one."""
    if place.vehicle is not None or len(model.vehicle) != 1:
        return place.vehicle
    return next(iter(model.vehicle))


def vehicles_of_panels(model: DescriptionModel) -> dict[str, str | None]:
    """Return the vehicle that each panel is on, by the panel's name; None for a loose one."""
    places = {name: place_of(panel, model.panel) for name, panel in model.panel.items()}
    return {n: None if place is None else vehicle_of(place, model) for n, place in places.items()}


def place_of(panel: Panel, panels: Mapping[str, Panel]) -> PanelPlace | None:
    """Return where a panel stands; the other hand of a panel stands opposite it.

    Its own place goes first; what that does not say is its first hand's.
    """
    first = _first_of(panel, panels)
    if first is None:
        return panel.place
    assert first.place is not None
    update: dict[str, object] = {"face": _OPPOSITE[first.place.face]}
    if first.place.face in ENDS:
        built = first.place.built.model_copy(update={"station": None})
        update |= {"station": None, "built": built}
    return first.place.model_copy(update=update)


def _first_of(panel: Panel, panels: Mapping[str, Panel]) -> Panel | None:
    """Return the first hand that a panel has its place from."""
    first = panels.get(panel.mirror_of) if panel.mirror_of is not None else None
    return None if panel.place is not None or first is None or first.place is None else first


def _place_as_built(
    panel: Panel, panels: Mapping[str, Panel], sizes: VehicleSizes, scale: Scale
) -> PanelPlace | None:
    """Return a panel's place; the other hand of an end is as far from the other headstock."""
    place, first = place_of(panel, panels), _first_of(panel, panels)
    if place is None or first is None or first.place is None or first.place.face not in ENDS:
        return place
    other = first.place
    own = {"front": 0.0, "rear": sizes.length}[other.face]
    if other.built.station is not None:
        own = other.built.station.mm
    elif other.station is not None:
        own = scale.to_model(other.station)
    station = Length(Fraction(sizes.length - own), on_model=True)
    built = place.built.model_copy(update={"station": station})
    return place.model_copy(update={"built": built})


def _surfaces(
    vehicle: str, model: DescriptionModel, sizes: VehicleSizes, scale: Scale
) -> Iterator[PlacedSurface]:
    for name, surface in model.surface.items():
        places = [place for place in surface.places if vehicle_of(place, model) == vehicle]
        if places:
            outline, bent = _sheet_of(surface, scale)
            sheets = (
                facets_of(outline, bent, stand(p, sizes, seen_of(outline, bent, p), scale))
                for p in places
            )
            yield PlacedSurface(name, surface.paint, tuple(sheets))


def _sheet_of(surface: BareSurface, scale: Scale) -> tuple[Outline, Surface]:
    """Return a disc or a rectangle, arched or flat, as a panel would be."""
    if surface.disc is not None:
        radius = scale.to_model(surface.disc) / 2.0
        return circle(Point(radius, radius), radius), FLAT
    assert surface.rectangle is not None
    width, height = (scale.to_model(side) for side in surface.rectangle)
    if surface.arch is None:
        return rectangle(width, height), FLAT
    rise = scale.to_model(surface.arch)
    girth, turn = arc_length(height, rise), 4.0 * math.atan2(2.0 * rise, height)
    return rectangle(width, girth), folded_surface([girth], [turn], 0.0, upright=True)
