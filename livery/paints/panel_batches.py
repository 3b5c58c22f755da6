"""Which batch of a paint is on which panel, as the job book has it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from livery.findings import Finding, LiveryError

if TYPE_CHECKING:
    from livery.describe.entries.book import BookEntry


def entries_on(
    entries: Iterable[BookEntry], panel: str, vehicle: str | None
) -> tuple[BookEntry, ...]:
    """Return the entries that are of a panel: all are that name neither panel nor vehicle."""
    return tuple(
        e for e in entries if (panel in e.panels if e.panels else _is_of_vehicle(e, vehicle))
    )


def _is_of_vehicle(entry: BookEntry, vehicle: str | None) -> bool:
    return not entry.vehicles or vehicle in entry.vehicles


def last_batch(entries: Sequence[BookEntry]) -> BookEntry | None:
    """Return the entry that says what was bought or mixed last; else the last of all."""
    said = [e for e in entries if e.bought or e.mixed] or entries
    return said[-1] if said else None


def require_one_batch(
    paint: str, entries: Sequence[BookEntry], vehicles: Mapping[str, str | None]
) -> None:
    """Refuse a paint of which panels had different batches, or cards that read differently.

    ``vehicles`` are the vehicles of all panels, by their names.
    """
    had: dict[str, dict[str, None]] = {}
    named = dict.fromkeys(panel for e in entries for panel in e.panels)
    for panel in {**named, **dict.fromkeys(vehicles)}:
        vehicle = vehicles.get(panel)
        if words := _had(entries_on(entries, panel, vehicle)):
            is_of_vehicle = any(vehicle in e.vehicles for e in entries if not e.panels)
            rest = f"vehicle {vehicle}" if is_of_vehicle else "the other panels"
            had.setdefault(words, {})[panel if panel in named else rest] = None
    if len(had) < 2:
        return
    listed = "; ".join(f"{', '.join(panels)}: {words}" for words, panels in had.items())
    raise LiveryError(
        [
            Finding(
                "again-panels",
                f'"{paint}" is not the same on all panels: {listed}',
                f'Say which one is to be met: --panel "{next(iter(named or vehicles))}", for example.',
            )
        ]
    )


def _had(entries: Sequence[BookEntry]) -> str:
    """Return in words what a panel had last; panels that had the same have the same words."""
    used = [e.bought or f"mixed {e.mixed}" for e in entries if e.bought or e.mixed]
    cards = [e.card for e in entries if e.card is not None]
    card = "card {:g} {:g} {:g}".format(*cards[-1]) if cards else "no card"
    return ", ".join([*used[-1:], card]) if used or cards else ""
