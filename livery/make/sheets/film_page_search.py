"""The search for the pages of steps: as few as may be, then with the largest pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from livery.make.sheets.film_steps import LayingStep, StepSetting
from livery.make.sheets.page_flow import MARGIN_MM, PageFlow

STEPS_APART_MM = 3.0
"""Between two steps, one under the other on one page, in millimetres (chosen). Larger, and fewer
share a page."""

MOST_ON_PAGE = 6
"""The most steps on one page (chosen: more have never had room on A4). More only take time."""

RowOfSteps = tuple[LayingStep, ...]


class PageOfSteps(NamedTuple):
    """The steps of a page, in rows of one or two, how each is set, and how large its pictures are.

    ``shares`` adds up the shares of their largest scales at which they are drawn.
    """

    rows: tuple[RowOfSteps, ...]
    settings: tuple[StepSetting, ...]
    shares: float


def pages_of_steps(
    book: PageFlow, steps: Sequence[LayingStep], end_mm: float
) -> Sequence[PageOfSteps]:
    """Return the pages of steps in their order: as few as may be, then with the largest pictures.

    There is none if the last cannot have ``end_mm`` left.
    """
    whole = book.size[1] - 2.0 * MARGIN_MM - book.foot_mm
    ways: list[tuple[tuple[int, float], tuple[PageOfSteps, ...]]] = [((0, 0.0), ())]
    for end in range(1, len(steps) + 1):
        found = []
        for begin in range(max(0, end - MOST_ON_PAGE), end):
            high = whole if begin else book.y - MARGIN_MM - book.foot_mm
            page = _page(steps[begin:end], high - end_mm * (end == len(steps)))
            if page:
                (count, less), before = ways[begin]
                found.append(((count + 1, round(less - page.shares, 6)), (*before, page)))
        if not found:
            return ()
        ways.append(min(found, key=lambda way: way[0]))
    return ways[-1][1]


def _page(steps: Sequence[LayingStep], high: float) -> PageOfSteps | None:
    """Return steps on one page, with the largest pictures, or None if they have no room on one."""
    pages = [page for rows in _in_rows(tuple(steps)) if (page := _set(rows, high))]
    return max(pages, key=lambda page: round(page.shares, 6), default=None)


def _in_rows(steps: RowOfSteps) -> Iterator[tuple[RowOfSteps, ...]]:
    """Yield every division of steps, in their order, into rows of one or two."""
    if not steps:
        yield ()
    for count in (1, 2)[: len(steps)]:
        for rest in _in_rows(steps[count:]):
            yield (steps[:count], *rest)


def _set(rows: tuple[RowOfSteps, ...], high: float) -> PageOfSteps | None:
    """Return rows of steps on one page: as low as may be, then larger one by one while there is room."""
    is_alone = sum(map(len, rows)) == 1
    steps = [step for row in rows for step in row]
    ways = [step.settings(len(row), high, any_size=is_alone) for row in rows for step in row]
    if not all(ways):
        return None
    chosen = [way[0] for way in ways]
    if _height(rows, chosen) > high:
        return None
    while True:
        larger = _enlarged(rows, ways, chosen, high)
        if larger is None:
            break
        chosen = larger
    shares = sum(one.scale / step.largest for one, step in zip(chosen, steps, strict=True))
    return PageOfSteps(rows, tuple(chosen), shares)


def _enlarged(
    rows: tuple[RowOfSteps, ...],
    ways: Sequence[Sequence[StepSetting]],
    chosen: Sequence[StepSetting],
    high: float,
) -> list[StepSetting] | None:
    """Return settings with one picture larger, that with the least share first, or None.

    Panels of one size, such as two hands, keep one scale where both can have it.
    """
    steps = [step for row in rows for step in row]
    order = sorted(range(len(chosen)), key=lambda i: round(chosen[i].scale / steps[i].largest, 6))
    for i in order:
        alike = [j for j, step in enumerate(steps) if step.size == steps[i].size]
        for scale in sorted({way.scale for way in ways[i] if way.scale > chosen[i].scale}):
            tried = list(chosen)
            for j in alike:
                larger = (way for way in ways[j] if way.scale == scale > chosen[j].scale)
                tried[j] = next(larger, chosen[j])
            if _height(rows, tried) <= high:
                return tried
    return None


def _height(rows: tuple[RowOfSteps, ...], settings: Sequence[StepSetting]) -> float:
    """Return what rows of steps take of a page's height."""
    heights = (max(one.height for one in own) for own in by_row(rows, settings))
    return sum(heights) + STEPS_APART_MM * (len(rows) - 1)


def by_row(
    rows: tuple[RowOfSteps, ...], settings: Sequence[StepSetting]
) -> Iterator[Sequence[StepSetting]]:
    """Yield the settings of each row's steps."""
    begin = 0
    for row in rows:
        yield settings[begin : begin + len(row)]
        begin += len(row)
