"""The whole description."""

from __future__ import annotations

from pydantic import Field

from livery.describe.entries.entry import Entry, Name
from livery.describe.entries.job import Job
from livery.describe.entries.lettering import AlphabetEntry
from livery.describe.entries.lining import Band
from livery.describe.entries.making import Film, KitLimits, Leaf, Spraying, TapeEntry
from livery.describe.entries.paint import Paint
from livery.describe.entries.panel import Panel
from livery.process import Process


class DescriptionModel(Entry):
    """The whole description."""

    include: tuple[str, ...] = ()
    job: Job
    paint: dict[Name, Paint] = Field(default_factory=dict)
    band: dict[Name, Band] = Field(default_factory=dict)
    alphabet: dict[str, AlphabetEntry] = Field(default_factory=dict)
    panel: dict[Name, Panel] = Field(min_length=1)
    spraying: Spraying = Spraying()
    film: dict[Name, Film] = Field(default_factory=dict)
    tape: dict[Name, TapeEntry] = Field(default_factory=dict)
    leaf: Leaf = Leaf()
    kit: dict[Process, KitLimits] = Field(default_factory=dict)
