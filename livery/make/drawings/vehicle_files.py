"""What is drawn and written of whole vehicles and of the train, by file name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from livery.describe.entries.description import DescriptionModel
from livery.drawing import Drawing
from livery.layout.plan import PanelPlan
from livery.make.drawings.elevation import BARE_METAL
from livery.make.drawings.vehicle_elevation import train_elevation, vehicle_elevation
from livery.vehicles.consist import InTrain, in_train
from livery.vehicles.level_lines import FollowedLine, follow
from livery.vehicles.placed import PlacedVehicle, place_vehicles
from livery.vehicles.solid import vehicle_solid
from livery.vehicles.view import View
from livery.write.gltf import glb_bytes


@dataclass(frozen=True)
class Vehicles:
    """A description's vehicles, its train in order, and the lines followed through them."""

    placed: tuple[PlacedVehicle, ...] = ()
    train: tuple[InTrain, ...] = ()
    lines: tuple[FollowedLine, ...] = ()


def survey_vehicles(model: DescriptionModel, plans: Sequence[PanelPlan]) -> Vehicles:
    """Return a description's vehicles as they stand, and follow every line that runs on."""
    placed = place_vehicles(model, {plan.name: plan for plan in plans})
    train = in_train(model, {vehicle.name: vehicle for vehicle in placed})
    scale = model.job.read_scale()
    lines = tuple(follow(name, line, train, scale) for name, line in model.line.items())
    return Vehicles(placed, train, lines)


def vehicle_drawings(
    vehicles: Vehicles, colours: Mapping[str, str], title: str
) -> tuple[Drawing, ...]:
    """Return every elevation that shows anything, of each vehicle and of the train."""
    drawings = [vehicle_elevation(v, view, colours) for v in vehicles.placed for view in View]
    if len(vehicles.train) > 1:
        sides = (View.LEFT, View.RIGHT)
        drawings += [train_elevation(vehicles.train, side, colours, title) for side in sides]
    return tuple(d for d in drawings if d is not None)


def solid_files(vehicles: Vehicles, colours: Mapping[str, str]) -> dict[str, bytes]:
    """Return each vehicle that shows anything as binary glTF."""
    solids = {v.name: vehicle_solid(v, colours, BARE_METAL) for v in vehicles.placed}
    return {f"vehicle-{n}.glb": glb_bytes(solid) for n, solid in solids.items() if solid.parts}
