"""A train's vehicles in a row: how far each stands from the front, and which way it goes.

A vehicle that runs turned round shows its right side on the train's left.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from livery.describe.entries.description import DescriptionModel
from livery.vehicles.placed import PlacedVehicle

if TYPE_CHECKING:
    from livery.describe.entries.train import TrainVehicle

SIDES = {"left": "right", "right": "left"}


@dataclass(frozen=True)
class InTrain:
    """A vehicle in its train: ``start`` is from the train's front to its own leading headstock."""

    vehicle: PlacedVehicle
    start: float
    turned: bool

    @property
    def end(self) -> float:
        """From the train's front to its trailing headstock, in mm."""
        return self.start + self.vehicle.sizes.length

    @property
    def reaches(self) -> tuple[float, float]:
        """How far the coupling plane stands out from its leading and its trailing headstock, in mm."""
        front, rear = self.vehicle.sizes.reach
        return (rear, front) if self.turned else (front, rear)


def in_train(model: DescriptionModel, vehicles: Mapping[str, PlacedVehicle]) -> tuple[InTrain, ...]:
    """Return a train's vehicles in their order; those of a description without a train, in its own."""
    placed: list[InTrain] = []
    for vehicle, entry in _in_order(model, vehicles):
        one = InTrain(vehicle, 0.0, entry is not None and entry.turned)
        if placed:
            given = None if entry is None else entry.gap
            gap = (
                placed[-1].reaches[1] + one.reaches[0]
                if given is None
                else vehicle.scale.to_model(given)
            )
            one = replace(one, start=placed[-1].end + gap)
        placed.append(one)
    return tuple(placed)


def _in_order(
    model: DescriptionModel, vehicles: Mapping[str, PlacedVehicle]
) -> Iterator[tuple[PlacedVehicle, TrainVehicle | None]]:
    """Yield vehicles in the train's order, each with the entry that starts with it."""
    if model.train is None:
        yield from ((vehicle, None) for vehicle in vehicles.values())
        return
    for entry in model.train.vehicle:
        own = held_by(entry, list(vehicles))
        for i, name in enumerate(reversed(own) if entry.turned else own):
            first = entry if i == 0 else entry.model_copy(update={"gap": None})
            yield vehicles[name], first


def held_by(entry: TrainVehicle, names: Sequence[str]) -> list[str]:
    """Return the vehicles of one entry of a train: one, or an engine and its tender."""
    return [n for n in names if n == entry.called or n.startswith(f"{entry.called}-")]
