"""Sizes of a vehicle and places on it, as built, that are far from the drawing's: a slip or a unit."""

from __future__ import annotations

from collections.abc import Iterator

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.vehicle import PanelPlace, Vehicle
from livery.findings import Finding
from livery.layout.misfit import SMALL_SIZE_MM, place_misfit, size_misfit
from livery.units import Length, Scale

SIZES = {"length": "long", "width": "wide"}
"""The sizes of a vehicle, and the way each is measured in words."""
HEIGHTS = {"height": "the height", "axis": "the height of the axis"}
PLACES = {"station": "the station", "out": "the distance out", "across": "the distance across"}


def vehicle_misfits(model: DescriptionModel) -> Iterator[Finding]:
    """Yield what is to be said of vehicles as built, and of the places of panels and surfaces."""
    scale = model.job.read_scale()
    for name, vehicle in model.vehicle.items():
        yield from _of_vehicle(name, vehicle, scale)
    for name, panel in model.panel.items():
        if panel.place is not None:
            yield from _of_place(name, panel.place, scale, f"panel.{name}.place")
    for name, surface in model.surface.items():
        key, is_one = f"surface.{name}.place", isinstance(surface.place, PanelPlace)
        for i, place in enumerate(surface.places):
            yield from _of_place(name, place, scale, key if is_one else f"{key}.{i}")


def _of_vehicle(name: str, vehicle: Vehicle, scale: Scale) -> Iterator[Finding]:
    built, key = vehicle.built, f"vehicle.{name}.built"
    for size, way in SIZES.items():
        drawn, measured = getattr(vehicle, size), getattr(built, size)
        if drawn is not None and measured is not None:
            found = size_misfit(
                f'"{name}"',
                way,
                scale.to_model(drawn),
                measured.mm,
                f"{key}.{size}",
                small_mm=SMALL_SIZE_MM,
            )
            if found is not None:
                yield found
    yield from _places(
        "the height of the couplings",
        vehicle.coupling,
        built.coupling,
        scale,
        key=f"{key}.coupling",
    )
    what = "the distance from a headstock to the coupling plane"
    yield from _places(
        what, vehicle.coupling_out, built.coupling_out, scale, key=f"{key}.coupling_out"
    )


def _of_place(name: str, place: PanelPlace, scale: Scale, key: str) -> Iterator[Finding]:
    for size, words in (HEIGHTS | PLACES).items():
        drawn, built = getattr(place, size), getattr(place.built, size)
        what = f'{words} of "{name}"'
        yield from _places(what, drawn, built, scale, key=f"{key}.built.{size}")


def _places(
    what: str,
    drawn: Length | tuple[Length, Length] | None,
    built: Length | tuple[Length, Length] | None,
    scale: Scale,
    *,
    key: str,
) -> Iterator[Finding]:
    """Yield what is to be said of a place as built, or of one at each end."""
    if drawn is None or built is None:
        return
    due = drawn if isinstance(drawn, tuple) else (drawn, drawn)
    measured = built if isinstance(built, tuple) else (built,)
    for at, place in zip(due, measured, strict=False):
        found = place_misfit(what, scale.to_model(at), place.mm, key)
        if found is not None:
            yield found
