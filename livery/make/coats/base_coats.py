"""What a panel or surface is built up in below its colours, by its paint system."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from livery.describe.entries.description import DescriptionModel
from livery.describe.systems import PaintSystem, find_system, undercoat_of
from livery.layout.plan import PanelPlan
from livery.paints.grounds import ground_of

BASE = ("prime", "undercoat")
"""What of a system is sprayed below the colours."""


@dataclass(frozen=True, slots=True)
class Build:
    """What a panel, surface or plate is built up in, and what it is made of."""

    system: PaintSystem | None
    material: str


def build_of_panel(panel: PanelPlan, model: DescriptionModel) -> Build:
    """Return what a panel says, else the panel it is the other hand of, else the job."""
    entry, first = model.panel[panel.name], panel.entry
    system = find_system(entry.system or first.system or model.spraying.system, model)
    return Build(system, entry.material or first.material or model.spraying.material)


def base_products(
    build: Build, paints: Iterable[str], model: DescriptionModel, kinds: tuple[str, ...] = BASE
) -> tuple[str, ...]:
    """Return the primer and the undercoat below paints, as they are called, the first first."""
    if build.system is None:
        return ()
    ground = ground_of(paints, model)
    steps = build.system.steps_on(build.material)
    return tuple(undercoat_of(s, ground) for s in steps if s.do in kinds and s.product)
