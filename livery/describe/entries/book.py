"""The job book: what was really used, entry by entry."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from livery.colour.mixing.mixture_text import Mixture, parse_mixture
from livery.describe.amounts import to_day
from livery.describe.values import Lab
from livery.toml.entry import Entry, wrong


class BookEntry(Entry):
    """One piece of work: the day, what was used, and the panels.

    An entry is about a paint, a plate, or the whole job; an entry about the whole job is a note.
    """

    on: Annotated[date, BeforeValidator(to_day)]
    """The day: 2026-11-27."""
    paint: str | None = None
    """The paint, film or leaf used, by its name in the description."""
    plate: str | None = None
    """The plate fitted, by its name in the description."""
    job: str = ""
    """The description it was made for, as a file beside this book; if left out, that of the book's own
    name, else every job that shares the book: "second.toml"."""
    vehicles: tuple[str, ...] = ()
    """The vehicles it was used on; if left out, all."""
    panels: tuple[str, ...] = ()
    """The panels it was used on; if left out, all."""
    mixed: str | None = None
    """What was mixed, grams of each tint: "green 174 + white 129.8"."""
    bought: str | None = None
    """What was bought: the name and the batch, as the tin or the roll says."""
    card: Lab | None = None
    """What the dry test card read: [L, a, b] (D65, 2 degrees unless observer says 10)."""
    observer: Literal[2, 10] = 2
    """The observer of the card's Lab, in degrees."""
    specular: Literal["included", "excluded"] | None = None
    """Whether the gloss was in the card's reading; if left out, as the tints of the shelf were read."""
    note: str = ""
    """Anything worth knowing when it is done again."""

    @property
    def mixture(self) -> Mixture:
        """Tints with their grams; empty where nothing was mixed."""
        return parse_mixture(self.mixed) if self.mixed else ()

    @model_validator(mode="after")
    def _says_something(self) -> BookEntry:
        if self.paint and self.plate:
            raise wrong("book-entry", "an entry is of a paint or of a plate", "Make it two.")
        if not self.paint and (self.mixed or self.card):
            raise wrong(
                "book-paint",
                "a mixture or a card is of some paint, and none is named",
                'Add paint = "its name in the description".',
            )
        if self.specular and self.card is None:
            raise wrong(
                "book-specular",
                "how a card was read is said, and no card",
                "Add card = [L, a, b], or leave specular out.",
            )
        if self.observer != 2 and self.card is None:
            raise wrong(
                "book-observer",
                "the observer of a card is given, and no card",
                "Add card = [L, a, b], or leave observer out.",
            )
        if not (self.mixed or self.bought or self.card or self.note):
            raise wrong(
                "book-empty",
                "this entry does not say what was used",
                "Give mixed, bought, card or note.",
            )
        return self

    @model_validator(mode="after")
    def _can_be_read_again(self) -> BookEntry:
        remedy = 'Write it as "white 62.4 + blue 11.2".'
        if self.mixed and not any(sign.isdigit() for sign in self.mixed):
            raise wrong("book-mixed", f'"{self.mixed}" says no grams', remedy)
        try:
            self.mixture  # noqa: B018
        except ValueError as error:
            raise wrong("book-mixed", str(error), remedy) from None
        return self


class Book(Entry):
    """A whole job book."""

    entry: tuple[BookEntry, ...] = Field(default=())
