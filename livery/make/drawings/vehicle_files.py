"""What is drawn and written of whole vehicles and of the train, by file name."""

from __future__ import annotations

from collections.abc import Mapping

from livery.drawing import Drawing
from livery.make.drawings.elevation import BARE_METAL
from livery.make.drawings.vehicle_elevation import VehicleViews, train_elevation, vehicle_elevation
from livery.vehicles.placed import PlacedVehicle
from livery.vehicles.solid import vehicle_solid
from livery.vehicles.survey import Vehicles
from livery.vehicles.view import View
from livery.work_cache import kept
from livery.write.gltf import glb_bytes


def vehicle_drawings(vehicles: Vehicles, views: VehicleViews, title: str) -> tuple[Drawing, ...]:
    """Return every elevation that shows anything, of each vehicle and of the train."""
    drawings = [vehicle_elevation(v, view, views) for v in vehicles.placed for view in View]
    if len(vehicles.train) > 1:
        sides = (View.LEFT, View.RIGHT)
        drawings += [train_elevation(vehicles.train, side, views, title) for side in sides]
    return tuple(d for d in drawings if d is not None)


def solid_files(vehicles: Vehicles, colours: Mapping[str, str]) -> dict[str, bytes]:
    """Return each vehicle that shows anything as binary glTF."""
    files = {f"vehicle-{v.name}.glb": _solid_file(v, colours) for v in vehicles.placed}
    return {name: held for name, held in files.items() if held is not None}


@kept
def _solid_file(vehicle: PlacedVehicle, colours: Mapping[str, str]) -> bytes | None:
    solid = vehicle_solid(vehicle, colours, BARE_METAL)
    return glb_bytes(solid) if solid.parts else None
