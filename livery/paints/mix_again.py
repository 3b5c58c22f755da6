"""Mixing a paint again: for the next vehicle of a rake, or to touch up years later.

What to meet is what was really put on: the dry card last read, else what the last mixture
is expected to read, else the colour that was wanted.  Paint that has weathered is met as it
reads now.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from livery.colour.difference import delta_e_00
from livery.colour.matching import (
    Matched,
    Mixing,
    Parts,
    match_colour,
    recipes_for,
    target_of_recipe,
)
from livery.colour.mixing.recipe import target_from_reading
from livery.colour.mixing.record import tint_parts
from livery.colour.target_colour import TargetColour
from livery.colour.value import Triple
from livery.colour.words import describe, grade
from livery.findings import Finding, Severity
from livery.paints.paint_colours import PaintColour
from livery.paints.test_cards import is_on_shelf, lab_of_card

if TYPE_CHECKING:
    from livery.describe.entries.book import BookEntry


@dataclass(frozen=True, slots=True)
class Again:
    """How a paint is had again.

    ``target`` is what to meet.  ``matched`` has the recipe, None for a paint that is not
    mixed from a shelf; with ``is_same`` it is the mixture used last, measured out again, and
    its DeltaE00 are from that mixture.
    ``moved`` is the DeltaE00 between the paint as it was and as it reads now, and ``way``
    says it in words.
    """

    entries: tuple[BookEntry, ...]
    target: TargetColour
    matched: Matched | None
    is_same: bool
    moved: float | None = None
    way: str = ""
    findings: tuple[Finding, ...] = ()


def mix_again(
    colour: PaintColour,
    entries: Sequence[BookEntry],
    *,
    panel: str | None = None,
    volume_ml: float | None = None,
    now: Triple | None = None,
) -> Again:
    """Return how a paint is had again.

    Args:
        colour: the paint's colour as described, with what it is mixed from, updated by the
            book (:func:`livery.paints.test_cards.apply_test_cards`).
        entries: its entries in the job book, the earliest first.
        panel: the panel that the entries are of; None for all.
        volume_ml: how much; left out, as much as the description says.
        now: Lab (D65, 2 degrees) of the paint on the vehicle as it reads today.

    Raises:
        LiveryError: so little of the mixture cannot be measured out.
    """
    findings = list(_remarks(colour, entries, "" if panel is None else f" on {panel}"))
    mixing = colour.mixing
    if mixing is not None:
        mixing = replace(mixing, volume_ml=volume_ml or mixing.volume_ml)
    was = _as_it_was(colour, entries, mixing)
    if now is None:
        target, moved, way = was, None, ""
        parts = () if mixing is None else _last_mixture(colour, entries, mixing, findings)
    else:
        target, parts = TargetColour(was.name, now, origin=("as it reads now",)), ()
        moved = float(delta_e_00(was.lab, now))
        way = f"{grade(moved)}: {describe(was.lab, now)}"
    matched = None
    if mixing is not None:
        matched = _same(target, parts, mixing) if parts else match_colour(target, (), mixing)
        findings += matched.findings
    return Again(
        tuple(entries), target, matched, bool(parts), moved, way=way, findings=tuple(findings)
    )


def _same(target: TargetColour, parts: Parts, mixing: Mixing) -> Matched:
    """Return a mixture measured out to be what it was: how that looks, its card has shown."""
    setup = mixing.setup
    reading = setup.model.predict(tint_parts(setup.model, parts))
    answer = recipes_for(target_from_reading(reading, setup.view), mixing, parts=parts)
    return Matched(target, (), mixing, answer, answer.findings)


def _last_mixture(
    colour: PaintColour, entries: Sequence[BookEntry], mixing: Mixing, findings: list[Finding]
) -> Parts:
    """Return the mixture used last, if it can still be mixed; else that of the description."""
    last = next((e for e in reversed(entries) if e.mixture), None)
    if last is None:
        return colour.parts
    if not is_on_shelf(last, mixing):
        findings.append(
            Finding(
                "again-tints",
                f"the mixture of {last.on} has tints that are not on the shelf any more",
                "What follows is a new mixture to meet it: spray a card and hold it to the vehicle.",
                Severity.WARNING,
            )
        )
        return ()
    return last.mixture


def _as_it_was(
    colour: PaintColour, entries: Sequence[BookEntry], mixing: Mixing | None
) -> TargetColour:
    """Return the paint as it was put on, as well as the book records it."""
    name = colour.target.name
    for entry in reversed(entries):
        if (lab := lab_of_card(entry, mixing)) is not None:
            return TargetColour(name, lab, origin=(f"the card read on {entry.on}",))
        if entry.mixture and mixing is not None and is_on_shelf(entry, mixing):
            return target_of_recipe(name, entry.mixture, mixing)
    return colour.target


def _remarks(colour: PaintColour, entries: Sequence[BookEntry], on: str) -> list[Finding]:
    """Return what the book leaves open; ``on`` names the panel, if it is of one."""
    found = []
    if not entries:
        found.append(
            Finding(
                "again-no-entry",
                f"the job book has no entry of this paint{on}; what follows is as described",
                'Enter what was used with "livery book".',
                Severity.WARNING,
            )
        )
    elif not any(e.card for e in entries):
        found.append(
            Finding(
                "again-no-card",
                f"no card of this paint{on} was ever read, so what it looks like is only expected",
                "Spray a card of what is left in the tin, or read the vehicle, and enter it.",
                Severity.WARNING,
            )
        )
    if colour.mixing is None and not any(e.bought or e.mixed for e in entries):
        found.append(
            Finding(
                "again-no-shelf",
                "the description has no shelf to mix this paint from, and no tin is entered",
                'Add shelf = "tints.toml" to the paint, or take its colour card to a paint shop.',
                Severity.WARNING,
            )
        )
    return found
