"""Where the letters of one line go along it, and how far they are condensed for it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from typing import NamedTuple

from livery.findings import LiveryError, fault
from livery.geometry.measure import Bounds, bounds
from livery.lettering import optical
from livery.lettering.cells import Cell
from livery.lettering.setting import Setting, Spread, Tracked

_TIGHT = 0.15
"""Letters of a spread line are condensed, where that is allowed, before the white between them
falls below this share of the cap height (chosen by eye). Larger, and they are condensed sooner."""

_CLOSER = 0.04
"""How much closer than the font sets them letters come before they are condensed, of the cap height
(common practice: a fifth of the usual white). Larger, and fitted words look crowded."""
_WORDS_CLOSER = 0.25
"""How much of a word space goes before letters are condensed (common practice). Larger, and words
run together."""


class Closing(NamedTuple):
    """By how much a line was closed up to fit its width, in millimetres.

    ``tracking`` is what was taken out of the space asked for between letters, ``letters`` the most
    by which two letters, and ``words`` two words, then stand closer than their font sets them.
    """

    tracking: float = 0.0
    letters: float = 0.0
    words: float = 0.0


class SpacedRow(NamedTuple):
    """A row condensed as need be, the origins of its inked cells, and how far it was closed up."""

    row: LetterRow
    xs: list[float]
    closing: Closing = Closing()


@dataclass(frozen=True)
class LetterRow:
    """The cells of a line, its cap height and its em, all in millimetres."""

    text: str
    cells: tuple[Cell, ...]
    cap: float
    em: float

    @cached_property
    def inked(self) -> tuple[int, ...]:
        """The places of the cells that have ink."""
        return tuple(i for i, c in enumerate(self.cells) if c.outline)

    @cached_property
    def inks(self) -> tuple[Bounds, ...]:
        """The ink bounds of those cells about their own origins."""
        return tuple(bounds(self.cells[i].outline) for i in self.inked)

    @cached_property
    def natural(self) -> tuple[float, ...]:
        """The x of every cell's origin by advances and kerning alone."""
        return tuple(accumulate((c.advance for c in self.cells[:-1]), initial=0.0))

    def condensed(self, factor: float) -> LetterRow:
        """Return the row with the widths of its letters and spaces multiplied by ``factor``."""
        return LetterRow(
            self.text, tuple(c.condensed(factor) for c in self.cells), self.cap, self.em
        )

    def ink_edges(self, xs: Sequence[float]) -> list[tuple[float, float]]:
        """Return the left and right ink edge of each inked cell, the cells standing at ``xs``."""
        return [
            (xs[i] + b.left, xs[i] + b.right) for i, b in zip(self.inked, self.inks, strict=True)
        ]

    def ink_width(self, xs: Sequence[float]) -> float:
        """Return the width from the first ink to the last."""
        edges = self.ink_edges(xs)
        return edges[-1][1] - edges[0][0]

    @cached_property
    def sides(self) -> tuple[optical.LetterSides, ...]:
        """The sides of the inked cells, up to the usual height of this line's letters."""
        tops = sorted(b.top for b in self.inks)
        top = max(min(tops[len(tops) // 2], self.cap), self.cap / 2.0)
        return tuple(optical.letter_sides(self.cells[i].outline, 0.0, top) for i in self.inked)

    @cached_property
    def gaps(self) -> tuple[optical.Gap, ...]:
        """What bears on the gap after each inked cell but the last."""
        return self.gaps_condensed(1.0)

    def gaps_condensed(self, factor: float) -> tuple[optical.Gap, ...]:
        """Return what would bear on the gaps if the row were condensed by ``factor``."""
        sides = [x.condensed(factor) for x in self.sides]
        found = []
        for n in range(len(self.inked) - 1):
            between = self.cells[self.inked[n] + 1 : self.inked[n + 1]]
            space = factor * sum(c.advance for c in between) / max(len(between), 1)
            found.append(optical.gap_between(sides[n], sides[n + 1], self.cap, len(between), space))
        return tuple(found)

    def hung_edges(self, xs: Sequence[float]) -> tuple[float, float]:
        """Return the edges of the line as an eye takes them, open ends hanging out."""
        edges, depth = self.ink_edges(xs), optical.DEPTH * self.cap
        left, right = self.sides[0].recess(depth)[0], self.sides[-1].recess(depth)[1]
        return edges[0][0] + left, edges[-1][1] - right

    def white_within(self, total: float, factor: float = 1.0) -> float | None:
        """Return the even white at which the row, condensed by ``factor``, is ``total`` wide.

        None where it cannot be so narrow.
        """
        ink = factor * sum(b.width for b in self.inks)
        return optical.white_for(self.gaps_condensed(factor), total - ink)

    def evened(self, xs: Sequence[float], white: float) -> list[float]:
        """Return the origins of the inked cells with every gap showing ``white``."""
        shifts = optical.evened(self.ink_edges(xs), self.gaps, white)
        return [xs[i] + s for i, s in zip(self.inked, shifts, strict=True)]


def spaced(row: LetterRow, setting: Setting) -> SpacedRow:
    """Return the row condensed as need be and the origins of its inked cells.

    Raises a finding where the asked-for width or stations cannot be kept to.
    """
    if isinstance(setting.spacing, Spread):
        return SpacedRow(*_spread(row, setting.spacing, setting))
    return _tracked(row, setting.spacing, setting)


def _tracked(row: LetterRow, spacing: Tracked, setting: Setting) -> SpacedRow:
    asked, kept = spacing.mm + spacing.em * row.em, spacing.kept_mm
    own, closing = list(row.natural), Closing()
    if setting.width_mm is not None:
        count = row.inked[-1] - row.inked[0]
        room = setting.width_mm - kept * count
        if row.ink_width(own) + asked * count > room:
            own, closing = _closed_up(row, room, asked, even=setting.equal_figures)
            asked -= closing.tracking
        factor = (room - asked * count) / row.ink_width(own)
        factor = 1.0 if math.isclose(factor, 1.0) else _allowed(row, factor, setting)
        row, own = row.condensed(factor), [x * factor for x in own]
    xs = [x + (asked + kept) * i for i, x in enumerate(own)]
    white = row.white_within(row.ink_width(xs)) if spacing.optical and row.gaps else None
    inked = [xs[i] for i in row.inked] if white is None else row.evened(xs, white)
    return SpacedRow(row, inked, closing)


def _closed_up(
    row: LetterRow, room: float, asked: float, *, even: bool
) -> tuple[list[float], Closing]:
    """Return every cell's origin, closed up towards a width, and by how much; tracking first.

    Where the figures are to stand ``even``, in columns, only tracking is taken out.
    """
    count = row.inked[-1] - row.inked[0]
    over = row.ink_width(row.natural) + asked * count - room
    tracking = min(max(asked, 0.0), over / count) if count else 0.0
    over -= tracking * count
    slack, words = [0.0] * len(row.gaps), [0.0] * len(row.gaps)
    if not even:
        edges, reach = row.ink_edges(row.natural), _CLOSER * row.cap + min(asked, 0.0)
        for n, gap in enumerate(row.gaps):
            between = edges[n + 1][0] - edges[n][1] - gap.spaces * gap.space
            least = gap.least - min(asked, 0.0)
            slack[n] = min(max(between - least, 0.0), max(reach, 0.0))
            words[n] = _WORDS_CLOSER * gap.spaces * gap.space
    total = sum(slack) + sum(words)
    share = min(over / total, 1.0) if total > 0.0 and over > 0.0 else 0.0
    moved = list(accumulate(((s + w) * share for s, w in zip(slack, words, strict=True))))
    xs = list(row.natural)
    for n, i in enumerate(row.inked[1:]):
        until = row.inked[n + 2] if n + 2 < len(row.inked) else len(xs)
        xs[i:until] = [x - moved[n] for x in row.natural[i:until]]
    most = [share * max(each, default=0.0) for each in (slack, words)]
    return xs, Closing(tracking, *most)


def _allowed(row: LetterRow, factor: float, setting: Setting) -> float:
    """Return the width factor to use for one that would fill the width, or raise a finding."""
    if factor >= 1.0 and setting.widest <= 1.0:
        return 1.0
    if not setting.narrowest <= factor <= setting.widest:
        raise _will_not_fit(row, f"{setting.width_mm:.2f} mm", factor, setting)
    return factor


def _spread(row: LetterRow, spacing: Spread, setting: Setting) -> tuple[LetterRow, list[float]]:
    width = spacing.last_mm - spacing.first_mm
    if len(row.inked) < 2:
        raise fault(
            "lettering-spread-one",
            f'"{row.text}" has fewer than two letters to spread',
            "Give its place and an alignment instead of two stations.",
        )
    row = row.condensed(_factor_for_spread(row, width, setting))
    white = row.white_within(width)
    if white is None:
        raise _will_not_fit(
            row, f"{width:.2f} mm between its stations", _least(row, width), setting
        )
    xs = row.evened(row.natural, white) if spacing.optical else _widened(row, width)
    move = spacing.first_mm - (xs[0] + row.inks[0].left)
    xs = [x + move for x in xs]
    xs[-1] = spacing.last_mm - row.inks[-1].right
    return row, xs


def _widened(row: LetterRow, width: float) -> list[float]:
    """Return the origins with every gap of the font's own widened alike."""
    added = width - row.ink_width(row.natural)
    step = added / (row.inked[-1] - row.inked[0])
    return [row.natural[i] + step * (i - row.inked[0]) for i in row.inked]


def _factor_for_spread(row: LetterRow, width: float, setting: Setting) -> float:
    """Return 1, or the widest allowed factor at which the white is not tight."""

    def roomy(factor: float) -> bool:
        white = row.white_within(width, factor)
        return white is not None and white >= _TIGHT * row.cap

    if setting.narrowest >= 1.0 or roomy(1.0):
        return 1.0
    low, high = setting.narrowest, 1.0
    if not roomy(low):
        return low
    for _ in range(30):
        middle = (low + high) / 2.0
        low, high = (middle, high) if roomy(middle) else (low, middle)
    return low


def _least(row: LetterRow, width: float) -> float:
    """Return about how far a row would have to be condensed to fit between its stations."""
    clear = optical.CLEAR * row.cap * (len(row.inked) - 1)
    return max(width - clear, 0.0) / sum(b.width for b in row.inks)


def _will_not_fit(row: LetterRow, room: str, factor: float, setting: Setting) -> LiveryError:
    limit = setting.narrowest if factor < 1.0 else setting.widest
    verb = "condensing" if factor < 1.0 else "extending"
    size = "smaller" if factor < 1.0 else "larger"
    return fault(
        "lettering-width",
        f'"{row.text}" will not fit {room}: it would need {verb} to {max(factor, 0.0) * 100:.1f} %, '
        f"and {limit * 100:g} % is the limit",
        f"Make the letters {size}, change the width, or allow more {verb}.",
    )
