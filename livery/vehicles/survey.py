"""Every vehicle of a description as it stands, its train, and the lines followed through them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from livery.describe.entries.description import DescriptionModel
from livery.layout.plan import PanelPlan

if TYPE_CHECKING:
    from livery.vehicles.consist import InTrain
    from livery.vehicles.level_lines import FollowedLine
    from livery.vehicles.placed import PlacedVehicle


@dataclass(frozen=True)
class Vehicles:
    """A description's vehicles, its train in order, and the lines followed through them."""

    placed: tuple[PlacedVehicle, ...] = ()
    train: tuple[InTrain, ...] = ()
    lines: tuple[FollowedLine, ...] = ()


def survey_vehicles(model: DescriptionModel, plans: Sequence[PanelPlan]) -> Vehicles:
    """Return a description's vehicles as they stand, and follow every line that runs on."""
    if not (model.vehicle or model.line):
        return Vehicles()
    from livery.vehicles.consist import in_train
    from livery.vehicles.level_lines import follow
    from livery.vehicles.placed import place_vehicles

    placed = place_vehicles(model, {plan.name: plan for plan in plans})
    train = in_train(model, {vehicle.name: vehicle for vehicle in placed})
    scale = model.job.read_scale()
    lines = tuple(follow(name, line, train, scale) for name, line in model.line.items())
    return Vehicles(placed, train, lines)
