"""The steps in which a panel's film is laid: parts in their order, as many as one picture can show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from livery.make.film.cut_part import CutPart
from livery.make.film.laid_sheet import FilmSheet
from livery.make.print.transfer_pages import PrintPage
from livery.make.sheets.pointed_numbers import all_seen

MOST_PARTS = 24
"""Numbers round one picture (chosen: with more, its lines are hard to follow). Fewer, and a panel
takes more pages."""


@dataclass(frozen=True, slots=True)
class Numbered:
    """A part and the cut sheet it comes from."""

    part: CutPart
    sheet: str


def laying_steps(
    panel: str, sheets: Sequence[FilmSheet | PrintPage], most: int
) -> list[list[Numbered]]:
    """Return what is laid on a panel, step by step in the order of the numbers.

    A step has ``most`` parts at most, and none that the others of its step hide.
    """
    laid = [
        Numbered(one.part, sheet.name)
        for sheet in sheets
        for one in sheet.parts
        if one.part.piece.panel == panel and not one.is_spare
    ]
    laid.sort(key=lambda one: (one.part.number, one.part.run))
    steps: list[list[Numbered]] = []
    for run in _runs(laid, most):
        joined = [*steps[-1], *run] if steps else run
        if steps and len(joined) <= most and _all_seen(joined):
            steps[-1] = joined
        else:
            steps.append(run)
    return steps


def _runs(laid: Sequence[Numbered], most: int) -> Iterator[list[Numbered]]:
    """Yield parts that follow one another from one sheet, in equal shares where there are many."""
    for _, group in groupby(laid, key=lambda one: one.sheet):
        run = list(group)
        shares = -(-len(run) // most)
        for i in range(shares):
            share = run[i * len(run) // shares : (i + 1) * len(run) // shares]
            yield from ([share] if _all_seen(share) else [[one] for one in share])


def _all_seen(parts: Sequence[Numbered]) -> bool:
    # Behind glass, what goes on first is seen over what follows.
    lowest_first = sorted(parts, key=lambda one: one.part.piece.level)
    return all_seen([one.part.outline for one in lowest_first])
