"""A description that has been read, checked and laid out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from livery.colour.value import Colour
from livery.describe.load import Description
from livery.findings import Finding, Severity
from livery.layout.plan import Plan
from livery.paints.paint_colours import PaintColour
from livery.vehicles.survey import Vehicles

if TYPE_CHECKING:
    from livery.describe.entries.book import BookEntry


@dataclass(frozen=True)
class Examined:
    """A description with its layout, and everything found about either, in file order.

    ``colours`` are the paints' colours, with what is known of each; ``book`` what the job
    book beside the description holds.
    """

    description: Description
    plan: Plan
    findings: tuple[Finding, ...]
    colours: Mapping[str, PaintColour]
    book: tuple[BookEntry, ...] = ()
    vehicles: Vehicles = field(default_factory=Vehicles)

    @property
    def exit_status(self) -> int:
        """0 where nothing is wrong, 2 for a bad description, 1 for work that cannot be made."""
        faults = [f for f in self.findings if f.severity is Severity.ERROR]
        return max((f.exit_status or 1 for f in faults), default=0)

    @property
    def shown_colours(self) -> dict[str, str]:
        """Each paint's ``#rrggbb`` on a screen; clear paints are invisible and left out."""
        model = self.description.model
        if model is None:
            return {}
        return {
            name: Colour(colour.target.lab).screen().hex
            for name, colour in self.colours.items()
            if name not in model.clear_paints
        }
