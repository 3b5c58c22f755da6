"""Corrections from the cards of the job book: every later recipe starts from what really came out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from livery.colour.matching import Mixing
from livery.colour.mixing.gloss_reading import INCLUDED
from livery.colour.mixing.record import Card, apply_cards, as_model_reads
from livery.colour.value import Colour
from livery.findings import Finding, LiveryError, Severity
from livery.paints.paint_colours import PaintColour

if TYPE_CHECKING:
    from livery.colour.mixing.model import MixingModel
    from livery.describe.entries.book import BookEntry


def apply_test_cards(
    colours: Mapping[str, PaintColour], entries: Sequence[BookEntry]
) -> tuple[dict[str, PaintColour], tuple[Finding, ...]]:
    """Return paints with the shelves they are mixed from updated by the cards of a job book.

    A card of any paint corrects every shelf that has its tints.  One that cannot be used is
    reported in a warning.
    """
    cards = [e for e in entries if e.mixture and e.card]
    found: dict[str, Finding] = {}
    made = {}
    # Paints mixed from one shelf share its model, which is updated once for all.
    updated: dict[int, MixingModel] = {}
    for name, colour in colours.items():
        mixing = colour.mixing
        if mixing is not None and cards:
            before = mixing.setup.model
            if id(before) not in updated:
                updated[id(before)], findings = _with_cards(mixing, cards)
                found |= {f.message: f for f in findings}
            mixing = replace(mixing, setup=replace(mixing.setup, model=updated[id(before)]))
        made[name] = replace(colour, mixing=mixing)
    return made, tuple(found.values())


def _with_cards(mixing: Mixing, cards: Iterable[BookEntry]) -> tuple[MixingModel, list[Finding]]:
    model, found = mixing.setup.model, []
    for entry in cards:
        if entry.card and is_on_shelf(entry, mixing):
            try:
                model = apply_cards(model, [_card_of(entry)])
            except LiveryError as error:
                found += [_of_day(entry, f) for f in error.findings]
    return model, found


def _card_of(entry: BookEntry) -> Card:
    included = None if entry.specular is None else entry.specular == INCLUDED
    return Card(entry.mixture, entry.card, gloss_included=included, observer=entry.observer)


def lab_of_card(entry: BookEntry, mixing: Mixing | None) -> tuple[float, float, float] | None:
    """Return what an entry's card reads for D65 and 2 degrees, as the tints of a shelf were read.

    With the gloss as given where there is no shelf.
    """
    if entry.card is None:
        return None
    card = _card_of(entry)
    if mixing is not None and entry.mixture and is_on_shelf(entry, mixing):
        return as_model_reads(card, mixing.setup.model).lab
    card = replace(
        card, lab=Colour(entry.card, observer=entry.observer).canonical().lab, observer=2
    )
    return card.lab if mixing is None else as_model_reads(card, mixing.setup.model).lab


def is_on_shelf(entry: BookEntry, mixing: Mixing) -> bool:
    """Whether every tint of an entry's mixture is on the shelf."""
    known = {name.casefold() for name in mixing.setup.model.tints}
    return all(tint.casefold() in known for tint, _ in entry.mixture)


def _of_day(entry: BookEntry, finding: Finding) -> Finding:
    """Return what stands in the way of using an entry, as a warning that names it."""
    message = f"the card of {entry.on} in the job book corrects nothing: {finding.message}"
    return replace(finding, message=message, severity=Severity.WARNING)
