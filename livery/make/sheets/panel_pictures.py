"""Pictures of panels and plates as they will look, small, side by side in rows with their sizes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from fontTools.misc.transform import Offset, Transform

from livery.drawing import Area, Label, Mark
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Point
from livery.layout.plan import PanelPlan, PlatePlan
from livery.make.drawings.elevation import BARE_METAL, DAYLIGHT
from livery.make.drawings.keep_out_ink import keep_out_inks
from livery.make.drawings.plate_look import marks_on_panel, plate_marks
from livery.make.making import Making
from livery.make.sheets.page_flow import FAINT, INK, LEADING, SMALL_MM, PageFlow
from livery.make.sheets.round_scale import round_scale
from livery.rounding import figure
from livery.write.label_face import label_width
from livery.write.measuring_bar import reduction_words

PICTURE_HIGH_MM = 34.0
"""The most height of a panel's picture, in millimetres (chosen: with its paints on one page).
Larger, and a book takes more pages."""

APART_MM = 8.0
"""Between two pictures of a row, in millimetres (chosen: their words are read apart). Larger, and
fewer stand side by side."""

WORDS_UNDER_MM = 2.0 * SMALL_MM * LEADING + 2.0
"""The room under pictures for their two lines of words, in millimetres (by definition). Larger, and
fewer rows fit a page."""


class _Shown(NamedTuple):
    """What is shown: its name, its size, and its marks from (0, 0) up at a scale."""

    title: str
    box: Bounds
    marks: Callable[[float], Iterable[Area]]

    def scale(self, room: float) -> float:
        """Return the scale of its picture."""
        return round_scale(min(room / self.box.width, PICTURE_HIGH_MM / self.box.height))

    def caption(self, scale: float) -> tuple[str, str]:
        """Return the two lines under its picture."""
        size = f"{figure(self.box.width, 1)} x {figure(self.box.height, 1)} mm"
        return self.title, f"{size}, {reduction_words(1.0 / scale)}"


def panel_rows(flow: PageFlow, panels: Iterable[PanelPlan], making: Making) -> None:
    """Show panels in rows, as they will look, with the plates that are fixed to them."""

    def shown(panel: PanelPlan) -> _Shown:
        def marks(scale: float) -> Iterable[Area]:
            return panel_marks(panel, making.shown, scale, making.plan.plates)

        return _Shown(panel.title, panel.frame.extent, marks)

    _rows(flow, map(shown, panels))


def plate_rows(flow: PageFlow, making: Making) -> None:
    """Show the plates of a job in rows, as they will look."""

    def shown(plan: PlatePlan) -> _Shown:

        def marks(scale: float) -> Iterable[Area]:
            return plate_marks(plan, making.shown, Transform().scale(scale))

        return _Shown(plan.title, bounds(plan.plate.outline), marks)

    _rows(flow, map(shown, making.plan.plates))


def _rows(flow: PageFlow, every: Iterable[_Shown]) -> None:
    """Show things side by side in rows, each at a round scale, with its name and size beneath."""
    x, row = 0.0, list[tuple[float, _Shown, float]]()
    for one in every:
        scale = one.scale(flow.room)
        words = max(label_width(line, SMALL_MM) for line in one.caption(scale))
        wide = max(one.box.width * scale, words) + APART_MM
        if row and x + wide - APART_MM > flow.room:
            _row(flow, row)
            x, row = 0.0, []
        row.append((x, one, scale))
        x += wide
    if row:
        _row(flow, row)


def _row(flow: PageFlow, row: Sequence[tuple[float, _Shown, float]]) -> None:
    high = max(one.box.height * scale for _, one, scale in row)
    marks: list[Mark] = []
    for x, one, scale in row:
        onto = Offset(x, WORDS_UNDER_MM)
        marks += (replace(m, outline=m.outline.transformed(onto)) for m in one.marks(scale))
        for i, words in enumerate(one.caption(scale), start=1):
            at = Point(x, WORDS_UNDER_MM - i * SMALL_MM * LEADING)
            marks.append(Label(words, at, SMALL_MM, colour=FAINT))
    flow.picture(marks, high + WORDS_UNDER_MM)
    flow.gap(4.0)


def panel_marks(
    panel: PanelPlan, colours: Mapping[str, str], scale: float, plates: Iterable[PlatePlan]
) -> Iterator[Area]:
    """Yield a panel as it will look, with those of the plates fixed to it, from (0, 0) up, at a scale."""
    onto = Transform().scale(scale)
    yield Area(panel.frame.outline.transformed(onto), BARE_METAL)
    for piece in panel.pieces:
        if piece.paint in colours:
            yield Area(piece.outline.transformed(onto), colours[piece.paint])
    inks = keep_out_inks(panel, colours, BARE_METAL)
    for keep_out, ink in zip(panel.keep_outs, inks, strict=True):
        fill = DAYLIGHT if keep_out.is_opening else None
        yield Area(keep_out.outline.transformed(onto), fill, ink, 0.1)
    yield Area(panel.frame.outline.transformed(onto), None, INK, 0.15)
    yield from marks_on_panel(plates, panel.name, colours, onto)
