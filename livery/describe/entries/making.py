"""How the job is made: spraying, films, tapes, leaf and what the maker's kit can hold.

Sizes here are those of the workshop, never scaled.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from livery.describe.amounts import DayHours, Hours, Metres, Part, Start
from livery.describe.entries.entry import Entry
from livery.describe.values import AnyLength, Size
from livery.units import Length

Price = Annotated[float, Field(ge=0.0)]
Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]


def _mm(text_mm: str) -> Length:
    from livery.units import read_length

    return read_length(text_mm)


class Spraying(Entry):
    """How the fields are sprayed.

    ``lap`` is how far an earlier paint runs on under a later one; ``before`` are pairs of
    paints, earlier and later; ``never_tape`` are paints no tape may lie on.
    """

    lap: AnyLength = _mm("1.5 mm")
    coats: Annotated[int, Field(ge=1, le=20)] = 2
    loss: Part = 0.5
    before: tuple[tuple[str, str], ...] = ()
    never_tape: tuple[str, ...] = ()
    spraying_takes: Hours = 1.0
    masking_takes: Hours = 1.0
    start: Start | None = None
    hours: DayHours | None = None
    days: dict[Weekday, DayHours | Literal["off"]] = Field(default_factory=dict)


class KnifeEntry(Entry):
    """A drag knife: how far its tip trails, and how it turns corners."""

    offset: AnyLength
    overcut: AnyLength = _mm("0.5 mm")
    loop: AnyLength = _mm("0 mm")


class Film(Entry):
    """A film as it is sold and cut; for all cut paints unless ``paints`` names some.

    Without ``length`` it is a roll.  ``grain`` keeps pieces along the roll as they lie along
    the panel.  Lining longer than ``longest_piece`` is cut in strips and corners, joined
    with ``lap``.  ``words`` are kept together for transfer, or every letter lies by itself.
    """

    paints: tuple[str, ...] = ()
    width: Size = _mm("300 mm")
    length: Size | None = None
    margin: AnyLength = _mm("6 mm")
    spacing: AnyLength = _mm("2 mm")
    grain: bool = False
    longest_piece: Size = _mm("250 mm")
    lap: AnyLength = _mm("3 mm")
    words: Literal["together", "apart"] = "together"
    weed_every: Size = _mm("120 mm")
    knife: KnifeEntry | None = None
    sold_by: Metres = 1.0
    price: Price | None = None


class TapeEntry(Entry):
    """A masking tape; ``tightest`` is the least radius it follows flat, none if only straight."""

    width: Size
    tightest: AnyLength | None = None
    roll: Metres = 33.0
    price: Price | None = None


class Leaf(Entry):
    """How leaf is sold."""

    leaves: Annotated[int, Field(ge=1)] = 25
    side: Size = _mm("80 mm")
    price: Price | None = None


class KitLimits(Entry):
    """The finest work the maker's own kit holds by one process, over common practice.

    ``thicken`` allows lines that are too fine to be thickened to the limit: all, or those
    of some paints.
    """

    line: AnyLength | None = None
    gap: AnyLength | None = None
    radius: AnyLength | None = None
    inside_radius: AnyLength | None = None
    island: AnyLength | None = None
    letter: AnyLength | None = None
    longest: AnyLength | None = None
    thicken: bool | tuple[str, ...] = False
