"""The steps in which film is laid on a panel, and the ways in which each may be set on a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from livery.geometry.measure import Bounds
from livery.layout.plan import PanelPlan
from livery.make.film.laid_sheet import FilmSheet
from livery.make.print.transfer_pages import PrintPage
from livery.make.sheets.film_tables import APART_MM, LINE_MM, StepTable, step_tables
from livery.make.sheets.laying_steps import MOST_PARTS, Numbered, laying_steps
from livery.make.sheets.page_flow import (
    HEADING_MM,
    HEADING_UNDER_MM,
    LEADING,
    MARGIN_MM,
    TEXT_MM,
    PageFlow,
)
from livery.make.sheets.pointed_numbers import NUMBER_MM, margin_mm, most_numbers
from livery.make.sheets.round_scale import REDUCTIONS
from livery.write.label_face import label_width, wrapped
from livery.write.measuring_bar import reduction_words

COLUMNS_APART_MM = 8.0
"""Between two steps side by side, in millimetres (chosen: rules and tables are read apart). Larger,
and pictures are smaller."""

STILL_LARGE = 0.65
"""The share of its largest size at which a picture is drawn where it then shares a page (chosen: a
third less is still read). Larger, and more pages have blank feet; smaller, and pictures shrink."""

LARGE_MM = 115.0
"""A picture so wide on paper is large whatever its share, in millimetres (chosen: 24 numbers stand
round it apart). Larger, and more pages have blank feet; smaller, and pictures shrink."""

SCALES = tuple(1.0 / r for r in sorted((*REDUCTIONS, 4.0, 8.0, 40.0, 80.0, 400.0, 1000.0)))
"""Scales of pictures, the largest first: the round ones, and halves of them, as no size is taken off
these pictures. Fewer, and pictures are smaller than there is room for."""

FEWER = 4
"""How many parts fewer a step may have where their numbers find no room (chosen: fine enough, soon
done). Larger, and steps are shorter than they need be."""


class StepSetting(NamedTuple):
    """How a step is set: the scale of its picture, its table, and whether that stands beside it.

    ``height`` counts its headings.
    """

    scale: float
    is_beside: bool
    height: float
    table: StepTable


class LayingStep(NamedTuple):
    """A step of laying on a panel, and how it may be set in the whole width of a page and in half.

    ``largest`` is the scale of its picture on a page of its own.
    """

    panel: PanelPlan
    parts: Sequence[Numbered]
    whole: Sequence[StepSetting]
    half: Sequence[StepSetting]
    largest: float

    def settings(self, count: int, high: float, *, any_size: bool) -> list[StepSetting]:
        """Return how it may be set as one of ``count`` side by side, the lowest first.

        Pictures that are not large are left out, unless they may have any size.
        """
        ways = (one for one in (self.whole, self.half)[count - 1] if one.height <= high)
        large = [one for one in ways if any_size or self._is_large(one.scale)]
        return sorted(large, key=lambda one: one.height)

    @property
    def size(self) -> tuple[float, float]:
        """How wide and high the panel is, to a millimetre."""
        box = self.panel.frame.extent
        return round(box.width), round(box.height)

    def _is_large(self, scale: float) -> bool:
        is_wide = self.panel.frame.extent.width * scale >= LARGE_MM
        return is_wide or scale >= STILL_LARGE * self.largest


def steps_of_panel(
    book: PageFlow, panel: PanelPlan, sheets: Sequence[FilmSheet | PrintPage]
) -> Sequence[LayingStep]:
    """Return the steps in which a panel's parts are laid, as long as their numbers have room.

    A long step has a tall table, so a small picture, round which fewer numbers have room.  As many
    shorter steps are taken where their pictures are larger.
    """
    best: Sequence[LayingStep] = ()
    smallest = 0.0
    for most in (*range(MOST_PARTS, 1, -FEWER), 1):
        parts = laying_steps(panel.name, sheets, most)
        if best and len(parts) > len(best):
            break
        steps = [_step(book, panel, own) for own in parts]
        has_room = all(step.whole for step in steps)
        own = min((step.largest for step in steps), default=0.0)
        is_better = own > smallest or (own == smallest and _longest(steps) < _longest(best))
        if (has_room and is_better) or (most == 1 and not best):
            best, smallest = steps, own
        if len(steps) == 1 and best:
            break
    return best


def _longest(steps: Sequence[LayingStep]) -> int:
    return max((len(step.parts) for step in steps), default=0)


def _step(book: PageFlow, panel: PanelPlan, parts: Sequence[Numbered]) -> LayingStep:
    """Return a step with every way in which it may be set on a page of its own."""
    high = book.size[1] - 2.0 * MARGIN_MM - book.foot_mm
    whole, half = (tuple(_settings(panel, parts, column_mm(book, count), high)) for count in (1, 2))
    return LayingStep(panel, parts, whole, half, max((one.scale for one in whole), default=0.0))


def _settings(
    panel: PanelPlan, parts: Sequence[Numbered], wide: float, high: float
) -> Iterator[StepSetting]:
    """Yield every way to set a step in so much room in which its numbers have room."""
    box = shown_box(panel, parts)
    numbers = [str(one.part.number) for one in parts]
    longest = max(numbers, key=lambda n: label_width(n, NUMBER_MM))
    side, above = margin_mm(numbers)
    for table in step_tables(panel, parts):
        half = max(sum(r.height for r in column) for column in table.columns(wide))
        for scale in SCALES:
            across, up = box.width * scale + 2.0 * side, box.height * scale + 2.0 * above
            picture = (0.0, 0.0, box.width * scale, box.height * scale)
            if across > wide or len(parts) > most_numbers(picture, longest):
                continue
            heads = _heads_mm(panel, parts, scale, wide)
            below = heads + up + APART_MM + half
            beside = heads + max(up, table.height)
            if across + APART_MM + table.width <= wide and beside <= high:
                yield StepSetting(scale, True, beside, table)
            if table.width <= wide and below <= high:
                yield StepSetting(scale, False, below, table)


def _heads_mm(panel: PanelPlan, parts: Sequence[Numbered], scale: float, wide: float) -> float:
    """Return the height of what stands over a picture."""
    titles = len(wrapped(panel.title, HEADING_MM, wide)) * HEADING_MM * LEADING
    return (
        titles
        + HEADING_UNDER_MM
        + len(wrapped(step_heading(parts, scale), TEXT_MM, wide)) * LINE_MM
    )


def column_mm(book: PageFlow, count: int) -> float:
    """Return the width of one of ``count`` columns."""
    return (book.room - (count - 1) * COLUMNS_APART_MM) / count


def step_heading(parts: Sequence[Numbered], scale: float) -> str:
    """Return the line under a step's title: its parts, their paints, and the scale of its picture."""
    paints = ", ".join(dict.fromkeys(one.part.piece.paint for one in parts))
    first, last = parts[0].part.number, parts[-1].part.number
    numbers = f"Part {first}" if first == last else f"Parts {first} to {last}"
    return f"{numbers}: {paints} ({reduction_words(1.0 / scale)})"


def shown_box(panel: PanelPlan, step: Sequence[Numbered]) -> Bounds:
    """Return what a picture shows: the panel, and how far parts of the step run past its edges."""
    box, past = panel.frame.extent, max((one.part.past_edges_mm for one in step), default=0.0)
    return Bounds(box.left - past, box.bottom - past, box.right + past, box.top + past)
