"""The whole description."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import Field, model_validator

from livery.describe.entries.job import Job
from livery.describe.entries.lining import Band
from livery.describe.entries.making import Film, KitLimits, Leaf, Spraying, TapeEntry, Transfer
from livery.describe.entries.names import Name
from livery.describe.entries.paint import Paint
from livery.describe.entries.panel import Panel
from livery.process import Process
from livery.toml.entry import Entry, later, wrong

if TYPE_CHECKING:
    from livery.describe.entries.alphabet import AlphabetEntry
    from livery.describe.entries.plate import PlateEntry
    from livery.describe.entries.supply import Supply
    from livery.describe.entries.system import System
    from livery.describe.entries.train import RowEntry, Train
    from livery.describe.entries.vehicle import BareSurface, LevelLine, Vehicle
else:  # what few descriptions have
    AlphabetEntry = later("livery.describe.entries.alphabet", "AlphabetEntry")
    PlateEntry = later("livery.describe.entries.plate", "PlateEntry")
    Supply = later("livery.describe.entries.supply", "Supply")
    System = later("livery.describe.entries.system", "System")
    RowEntry = later("livery.describe.entries.train", "RowEntry")
    Train = later("livery.describe.entries.train", "Train")
    BareSurface = later("livery.describe.entries.vehicle", "BareSurface")
    LevelLine = later("livery.describe.entries.vehicle", "LevelLine")
    Vehicle = later("livery.describe.entries.vehicle", "Vehicle")


class DescriptionModel(Entry):
    """The whole description."""

    include: tuple[str, ...] = ()
    row: RowEntry | None = None
    job: Job
    train: Train | None = None
    vehicle: dict[Name, Vehicle] = Field(default_factory=dict)
    line: dict[Name, LevelLine] = Field(default_factory=dict)
    paint: dict[Name, Paint] = Field(default_factory=dict)
    band: dict[Name, Band] = Field(default_factory=dict)
    alphabet: dict[str, AlphabetEntry] = Field(default_factory=dict)
    panel: dict[Name, Panel] = Field(default_factory=dict)
    plate: dict[Name, PlateEntry] = Field(default_factory=dict)
    surface: dict[Name, BareSurface] = Field(default_factory=dict)
    system: dict[Name, System] = Field(default_factory=dict)
    spraying: Spraying = Spraying.model_construct()
    film: dict[Name, Film] = Field(default_factory=dict)
    tape: dict[Name, TapeEntry] = Field(default_factory=dict)
    supply: dict[str, Supply] = Field(default_factory=dict)
    leaf: Leaf = Leaf.model_construct()
    transfer: Transfer = Transfer.model_construct()
    kit: dict[Process, KitLimits] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _has_work(self) -> DescriptionModel:
        if not self.panel and not self.plate and not self.surface:
            raise wrong(
                "missing-key",
                "there is nothing here to make: no panel, no plate and no surface",
                "Add [panel.NAME] or [plate.NAME] with its outline, or [surface.NAME] with its area.",
            )
        return self

    @property
    def clear_paints(self) -> tuple[str, ...]:
        """The names of its clear coats, which are not seen."""
        return tuple(name for name, paint in self.paint.items() if paint.kind == "clear")

    def film_of(self, paint: str) -> tuple[str, Film]:
        """Return the film of a paint and its name; a common film, without name, if none holds it.

        The film that names the paint comes first, then the first that names no paints.
        """
        naming = ((name, film) for name, film in self.film.items() if paint in film.paints)
        for_all = ((name, film) for name, film in self.film.items() if not film.paints)
        return next(naming, None) or next(for_all, ("", Film()))
