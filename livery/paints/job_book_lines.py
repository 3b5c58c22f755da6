"""The job book in words and as plain data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from livery.colour.difference import delta_e_00
from livery.colour.words import grade
from livery.paints.paint_colours import PaintColour
from livery.paints.test_cards import lab_of_card

if TYPE_CHECKING:
    from livery.describe.entries.book import BookEntry


def entry_heading(entry: BookEntry) -> str:
    """Return what an entry is of: "2026-11-27  estuary-green on tender-side", and of which other job."""
    what = entry.paint or (f"plate {entry.plate}" if entry.plate else "the job")
    on = (*entry.vehicles, *entry.panels)
    where = f" on {', '.join(on)}" if on else ""
    job = f" ({entry.job})" if entry.job else ""
    return f"{entry.on.isoformat()}  {what}{where}{job}"


def entry_lines(entry: BookEntry, colours: Mapping[str, PaintColour]) -> tuple[str, ...]:
    """Return what an entry says, line by line; its card is held against the target colour."""
    lines = []
    if entry.mixed:
        lines.append(f"mixed: {entry.mixed} (grams)")
    if entry.bought:
        lines.append(f"bought: {entry.bought}")
    if entry.card is not None:
        miss = card_miss(entry, colours)
        judged = "" if miss is None else f", DeltaE00 {miss:.1f} from the target: {grade(miss)}"
        gloss = f"gloss {entry.specular}" if entry.specular else ""
        ways = [gloss, f"{entry.observer} degrees" if entry.observer != 2 else ""]
        way = f" ({', '.join(filter(None, ways))})" if any(ways) else ""
        lines.append("card: Lab {:.1f} {:.1f} {:.1f}".format(*entry.card) + way + judged)
    if entry.note:
        lines.append(entry.note)
    return tuple(lines)


def card_miss(entry: BookEntry, colours: Mapping[str, PaintColour]) -> float | None:
    """Return the DeltaE00 of an entry's card from the target colour, if both are known."""
    colour = colours.get(entry.paint or "")
    if colour is None or (card := lab_of_card(entry, colour.mixing)) is None:
        return None
    return float(delta_e_00(colour.target.lab, card))


def book_text(entries: Sequence[BookEntry], title: str, colours: Mapping[str, PaintColour]) -> str:
    """Return a job book as text."""
    lines = [f"{title}: job book"]
    for entry in entries:
        lines += ["", entry_heading(entry)]
        lines += [f"  {line}" for line in entry_lines(entry, colours)]
    if not entries:
        lines += ["", "Nothing is entered yet."]
    return "\n".join(lines) + "\n"


def book_data(
    entries: Sequence[BookEntry], colours: Mapping[str, PaintColour]
) -> list[dict[str, object]]:
    """Return a job book as plain data for JSON."""
    found = []
    for entry in entries:
        data = entry.model_dump(mode="json", exclude_defaults=True)
        miss = card_miss(entry, colours)
        found.append(data if miss is None else data | {"card_DeltaE00": round(miss, 3)})
    return found
