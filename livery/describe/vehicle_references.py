"""Check a description's vehicles: their names, the places on them, their paints."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.panel import Panel
from livery.describe.load import Description
from livery.describe.undeclared import undeclared
from livery.findings import Finding, Severity

if TYPE_CHECKING:
    from livery.describe.entries.vehicle import PanelPlace


def check_vehicles(description: Description) -> list[Finding]:
    """Return a fault for each undeclared vehicle and paint, and each impossible place."""
    model = description.model
    if model is None:
        return []
    found = [*_panels(model), *_surfaces(model), *_lines(model), *_bare(description, model)]
    if "vehicle" in description.misread:  # it stands under a heading that has its fault
        return [f for f in found if f.code not in ("vehicle", "undeclared-vehicle")]
    return found


def _panels(model: DescriptionModel) -> Iterator[Finding]:
    for name, panel in model.panel.items():
        if panel.place is not None:
            yield from _place(panel.place, f"panel.{name}.place", model)
            yield from _leading(name, panel, panel.place)
            yield from _axis(name, panel, model)


def _place(place: PanelPlace, key: str, model: DescriptionModel) -> Iterator[Finding]:
    if not model.vehicle:
        yield Finding(
            "vehicle",
            "this panel has a place and the description has no vehicle",
            'Add [vehicle.NAME] with its length: length = "42 ft".',
            key=key,
        )
    elif place.vehicle is None and len(model.vehicle) > 1:
        yield Finding(
            "vehicle",
            "this place does not name one of the vehicles",
            f'Add vehicle = "…" to it: {", ".join(model.vehicle)}.',
            key=key,
        )
    elif place.vehicle is not None and place.vehicle not in model.vehicle:
        yield undeclared(
            "undeclared-vehicle", f"{key}.vehicle", "vehicle", place.vehicle, list(model.vehicle)
        )


def _axis(name: str, panel: Panel, model: DescriptionModel) -> Iterator[Finding]:
    """Refuse the height of an axis for a panel that has none lying along it."""
    place = panel.place
    if place is None or (place.axis is None and place.built.axis is None):
        return
    first = model.panel.get(panel.mirror_of or "", panel)
    if first.sheet is None or (first.sheet.cylinder is None and first.sheet.cone is None):
        yield Finding(
            "place",
            "this panel is not a barrel, and has no axis to place it by",
            "Write height, up to the lowest of it.",
            key=f"panel.{name}.place.axis",
        )


def _leading(name: str, panel: Panel, place: PanelPlace) -> Iterator[Finding]:
    """Refuse a panel that says that the other end goes first than its place does."""
    first = {"left": "left", "right": "right"}.get(place.face)
    if "leading" in panel.model_fields_set and first not in (None, panel.leading):
        yield Finding(
            "leading",
            f'the front of a vehicle is on the {first} of its {place.face} side, and leading is "{panel.leading}"',
            f'Leave leading out, or write leading = "{first}".',
            key=f"panel.{name}.leading",
        )


def _surfaces(model: DescriptionModel) -> Iterator[Finding]:
    for name, surface in model.surface.items():
        key = f"surface.{name}"
        if surface.paint not in model.paint:
            yield undeclared(
                "undeclared-paint", f"{key}.paint", "paint", surface.paint, list(model.paint)
            )
        for i, place in enumerate(surface.places):
            at = f"{key}.place.{i}" if isinstance(surface.place, tuple) else f"{key}.place"
            yield from _place(place, at, model)
            if place.axis is not None or place.built.axis is not None:
                message = "a surface is not a barrel, and has no axis to place it by"
                yield Finding("place", message, "Write height.", key=f"{at}.axis")
        if surface.places and surface.rectangle is None and surface.disc is None:
            yield Finding(
                "surface",
                "only a rectangle or a disc can be seen on the elevations",
                'Write rectangle = ["8 ft", "3 ft"], or leave its place out.',
                key=f"{key}.place",
            )


def _bare(description: Description, model: DescriptionModel) -> Iterator[Finding]:
    """Yield a warning for each vehicle on which nothing has its place: it is not drawn."""
    if description.faults:  # what is placed on it may be left out of the model
        return
    placed = [p.place for p in model.panel.values() if p.place is not None]
    placed += [place for surface in model.surface.values() for place in surface.places]
    named = {place.vehicle for place in placed}
    for name in model.vehicle:
        if name not in named and None not in named:
            yield Finding(
                "vehicle-bare",
                f'nothing is placed on vehicle "{name}", so it is not drawn',
                'Give its panels their places: place = { face = "left", station = "0 ft", '
                'height = "4 ft" }; or delete it.',
                Severity.WARNING,
                f"vehicle.{name}",
            )


def _lines(model: DescriptionModel) -> Iterator[Finding]:
    for name, line in model.line.items():
        for i, vehicle in enumerate(line.vehicles):
            if vehicle not in model.vehicle:
                key = f"line.{name}.vehicles.{i}"
                yield undeclared("undeclared-vehicle", key, "vehicle", vehicle, list(model.vehicle))
