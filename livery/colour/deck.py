"""A person's own fan deck, read card by card, from a photograph or by an instrument.

Each reading becomes a value of a palette that says what it rests on, and goes into a file
that grows: a card read again replaces its older reading.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from math import hypot
from pathlib import Path

from livery.colour.card_readings import ASSUMED_UNCERTAINTY
from livery.colour.palette import OTHER_OBSERVER_ERROR, Basis, Palette, Swatch
from livery.colour.value import Colour, Triple
from livery.findings import Finding, Severity, fault

_CARD = re.compile(r"(?P<label>[^=]+)=(?P<colour>.+)")
_SEVERAL_WORDS = (
    'If the number has several words, end it with a colon: "08 B 15: stone". Read each card once.'
)
CARD_WAYS = 'Write each card as "226 middle green = 32.3 -17.7 10.4".'


def new_deck(path: Path, title: str) -> Palette:
    """Return a deck without a card yet, named after the file that it will be kept in."""
    return Palette(
        name=path.stem,
        title=title or path.stem,
        source="own readings of the cards",
        licence="own measurements",
        basis=Basis.MEASURED,
        uncertainty=ASSUMED_UNCERTAINTY,
        swatches=(),
    )


def split_label(label: str) -> tuple[str, str]:
    """Return the number and the name of a card: of "08 B 15: magnolia", the parts by the colon.

    Without a colon the first word is the number.
    """
    number, colon, name = label.partition(":")
    if not colon:
        number, _, name = label.strip().partition(" ")
    return number.strip(), name.strip()


def read_card_text(text: str, observer: int = 2) -> Swatch:
    """Return the card of ``226 middle green = 32.3 -17.7 10.4``, as an instrument read it.

    A Lab for 10 degrees becomes one for 2, and less certain.

    Raises:
        LiveryError: there is no number or no colour in it.
    """
    from livery.colour.reading import read_colour

    found = _CARD.fullmatch(text.strip())
    key, name = split_label(found["label"]) if found else ("", "")
    if found is None or not key:
        raise fault("deck-card", f'"{text}" is not a card with its reading', CARD_WAYS)
    colour = read_colour(found["colour"], observer=observer)
    support = "read with an instrument, card by card"
    if colour.observer == 2:
        return Swatch(key, name, colour.canonical().lab, support=support)
    within = round(hypot(ASSUMED_UNCERTAINTY, OTHER_OBSERVER_ERROR), 2)
    support += f"; from {colour.observer} degrees"
    return Swatch(key, name, colour.canonical().lab, support=support, uncertainty=within)


def photographed_card(label: str, lab: Triple, within: float, photo: str, method: str) -> Swatch:
    """Return a card as a photograph shows it, with the uncertainty of the photograph."""
    key, name = split_label(label)
    words = f"from the photograph {photo}: {method}"
    uncertainty = round(max(within, ASSUMED_UNCERTAINTY), 2)
    return Swatch(key, name, lab, support=words, uncertainty=uncertainty)


def instrument_cards(table: Palette, file: str) -> tuple[Swatch, ...]:
    """Return the cards of an instrument's table, each under D65 for 2 degrees."""
    return tuple(
        Swatch(
            swatch.key,
            swatch.name,
            _rounded(table.colour(swatch)),
            support=f"read with an instrument: {file}",
            uncertainty=round(table.error(swatch), 2),
        )
        for swatch in table.swatches
    )


def _rounded(colour: Colour) -> Triple:
    lightness, a, b = (round(value, 3) + 0.0 for value in colour.lab)
    return (lightness, a, b)


def with_cards(deck: Palette, cards: Iterable[Swatch]) -> Palette:
    """Return a deck with more cards; one of the same number takes the older one's place.

    Raises:
        LiveryError: the deck is not of D65 and 2 degrees, as the cards are, or two of the cards
            have the same number.
    """
    cards = tuple(cards)
    keys = [card.key for card in cards]
    twice = next((card for card in cards if keys.count(card.key) > 1), None)
    if twice is not None:
        raise fault("deck-twice", f"the number {twice.key} is read twice", _SEVERAL_WORDS)
    if (deck.illuminant, deck.observer) != ("D65", 2):
        raise fault(
            "deck-light",
            f"{deck.title} is kept for {deck.illuminant} and {deck.observer} degrees",
            "Cards are added to a deck of D65 and 2 degrees: write a new file.",
        )
    found = {swatch.key: swatch for swatch in deck.swatches}
    found |= {card.key: replace(card, lab=_rounded(Colour(card.lab))) for card in cards}
    return replace(deck, swatches=tuple(found.values()))


def renamed_cards(deck: Palette, cards: Iterable[Swatch]) -> list[Finding]:
    """Return a warning for each card that replaces one of another name."""
    names = {swatch.key: swatch.name for swatch in deck.swatches}
    return [
        Finding(
            "deck-renamed",
            f"{card.key} {card.name} replaces {card.key} {names[card.key]}",
            _SEVERAL_WORDS,
            Severity.WARNING,
        )
        for card in cards
        if names.get(card.key, card.name) != card.name
    ]
