"""A test card: what was mixed and what it read, as an entry of a TOML file and as a value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from livery.colour.lab_entry import MeasuredLab
from livery.colour.mixing.gloss_reading import INCLUDED, gloss_words
from livery.colour.mixing.mixture_text import Mixture, parse_mixture
from livery.toml.entry import Entry, wrong
from livery.toml.text import toml_value


def _to_mixture(value: Any) -> Mixture:
    remedy = 'Write the grams as mixed: "white 9 + blue 1".'
    if not isinstance(value, str):
        raise wrong("record-mixture", "a mixture is needed here", remedy)
    try:
        return parse_mixture(value)
    except ValueError as error:
        raise wrong("record-mixture", str(error), remedy) from None


class CardEntry(Entry):
    """A test card of a mixture: what was mixed, and what it read."""

    mixture: Annotated[Mixture, BeforeValidator(_to_mixture)]
    """The grams as mixed: "white 62.4 + blue 11.2"."""
    lab: MeasuredLab | None = None
    """Its Lab under D65."""
    reading: tuple[Annotated[float, Field(ge=-0.05, le=2)], ...] | None = None
    """Its reflectance at each wavelength of the shelf, 0 to 1, instead of a Lab."""
    note: str = ""
    """For yourself."""
    specular: Literal["included", "excluded"] | None = None
    """Whether the gloss was in the reading; as the shelf says if left out."""
    observer: Literal[2, 10] = 2
    """The observer of its Lab, in degrees."""

    def card(self) -> Card:
        """Return the entry as a value."""
        gloss = None if self.specular is None else self.specular == INCLUDED
        return Card(
            self.mixture,
            self.lab,
            self.reading,
            self.note,
            gloss_included=gloss,
            observer=self.observer,
        )

    @model_validator(mode="after")
    def _was_read(self) -> CardEntry:
        if (self.lab is None) == (self.reading is None):
            words = "a card has what it read: its lab or its reading, one of the two"
            raise wrong("record-card", words, "Write lab = [L, a, b] or reading = [...].")
        return self


@dataclass(frozen=True, slots=True)
class Card:
    """A test card: the mixture by weight and its Lab (D65) or its reading.

    ``gloss_included`` says how it was read; ``None`` as the tints of its shelf.  ``observer`` is
    that of its Lab, 2 or 10 degrees.
    """

    mixture: tuple[tuple[str, float], ...]
    lab: tuple[float, float, float] | None = None
    reading: tuple[float, ...] | None = None
    note: str = ""
    gloss_included: bool | None = None
    observer: int = 2


def card_text(card: Card) -> str:
    """Return a card as it stands in a record, TOML."""
    lines = [
        "[[card]]",
        f"mixture = {toml_value(' + '.join(f'{tint} {grams:g}' for tint, grams in card.mixture))}",
    ]
    if card.reading is not None:
        lines.append(f"reading = [{', '.join(f'{v:.5f}' for v in card.reading)}]")
    elif card.lab is not None:
        lines.append(f"lab = [{', '.join(f'{v:.3f}' for v in card.lab)}]")
    if card.observer != 2:
        lines.append(f"observer = {card.observer}")
    if card.gloss_included is not None:
        lines.append(f"specular = {toml_value(gloss_words(card.gloss_included))}")
    if card.note:
        lines.append(f"note = {toml_value(card.note)}")
    return "\n".join(lines) + "\n"
