"""A vehicle's solid for the page: triangles in millimetres, with paints by name and not by colour."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from typing import Any

from livery.local_page.figures import PAINT
from livery.vehicles.placed import PlacedVehicle
from livery.vehicles.solid import vehicle_solid


def solid_data(vehicle: PlacedVehicle, paints: Sequence[str]) -> dict[str, Any]:
    """Return a vehicle's coloured triangles: corners as little-endian float32, in base64.

    Each corner is station, right and height; seen from the painted side, corners run anticlockwise.
    """
    import numpy as np

    solid = vehicle_solid(vehicle, {paint: PAINT + paint for paint in paints}, "metal")
    corners: dict[str, list[Any]] = {}
    for part in solid.parts:
        for own in part.colours:
            corners.setdefault(own.colour, []).append(own.corners.reshape(-1, 3))
    return {
        "title": vehicle.title,
        "parts": [
            {
                "fill": fill,
                "corners": b64encode(np.concatenate(own).astype("<f4").tobytes()).decode(),
            }
            for fill, own in corners.items()
        ],
    }
