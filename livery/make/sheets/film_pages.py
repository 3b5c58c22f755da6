"""The placing sheets: every panel with the numbers of the parts to be laid on it, step by step."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fontTools.misc.transform import Transform

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.outline import Point, chain
from livery.layout.plan import PanelPlan, Plan
from livery.make.film.laid_sheet import FilmSheet
from livery.make.print.transfer_pages import PrintPage
from livery.make.sheets.film_page_search import STEPS_APART_MM, PageOfSteps, by_row, pages_of_steps
from livery.make.sheets.film_steps import (
    COLUMNS_APART_MM,
    LayingStep,
    StepSetting,
    column_mm,
    shown_box,
    step_heading,
    steps_of_panel,
)
from livery.make.sheets.film_tables import APART_MM, LINE_MM, written_rows
from livery.make.sheets.laying_steps import Numbered
from livery.make.sheets.laying_words import HEADINGS, Advice, AdviceKind
from livery.make.sheets.page_flow import (
    HEADING_MM,
    HEADING_UNDER_MM,
    INK,
    LEADING,
    MARGIN_MM,
    TEXT_MM,
    TITLE_MM,
    PageFlow,
    with_no_short_page,
)
from livery.make.sheets.pointed_numbers import (
    margin_mm,
    pointed_numbers,
)
from livery.work_cache import kept
from livery.write.label_face import wrapped

GROUND = "#f2f2f0"

OTHERS = "#d4d4d4"

EDGE = "#8a8a8a"


@kept
def film_pages(
    sheets: Sequence[FilmSheet | PrintPage],
    plan: Plan,
    colours: Mapping[str, str],
    title: str,
    paper: str,
    *,
    advice: Sequence[Advice],
) -> tuple[Drawing, ...]:
    """Return the placing sheets of a job; empty if nothing is cut."""

    def filled(tightness: float) -> PageFlow:
        book = PageFlow(
            "film", f"{title}: placing the film", paper, sideways=True, tightness=tightness
        )
        steps = [step for panel in plan.panels for step in steps_of_panel(book, panel, sheets)]
        if steps:
            _begin(book)
        for i, page in enumerate(_pages_with_end(book, steps, advice)):
            if i:
                book.start_page()
            _fill(book, page, colours)
        _end(book, advice)
        return book

    return with_no_short_page(filled).drawings()


def _begin(book: PageFlow) -> None:
    """Write how the sheets are read, over the first step."""
    book.text(book.title, height=TITLE_MM)
    book.text(
        "Lay the parts in the order of their numbers, which are those of the cut sheets. "
        "Left and right are as you look at the painted face."
    )
    book.text(
        "Pictures drawn to the scale that each states: take sizes from the setting-out sheet, "
        "not off them."
    )
    book.gap(STEPS_APART_MM)


def _end(book: PageFlow, advice: Sequence[Advice]) -> None:
    """Write how it is laid; the cautions stay together."""
    book.repeats_heading = True
    for kind in AdviceKind if book.count else ():
        own = [one.words for one in advice if one.kind is kind]
        if own:
            together = own if kind is AdviceKind.CAUTION else own[:1]
            lines = sum(len(wrapped(words, TEXT_MM, book.room)) for words in together)
            book.heading(HEADINGS[kind], follows=lines * TEXT_MM * LEADING * book.tightness)
        for words in own:
            book.text(words)


def _pages_with_end(
    book: PageFlow, steps: Sequence[LayingStep], advice: Sequence[Advice]
) -> Sequence[PageOfSteps]:
    """Return the pages of steps, the last with room for the advice if that takes no page more."""
    pages = pages_of_steps(book, steps, 0.0)
    end = PageFlow(book.name, book.title, book.paper, sideways=True, tightness=book.tightness)
    end.start_page()
    _end(end, advice)
    with_end = (
        pages_of_steps(book, steps, end.size[1] - MARGIN_MM - end.y) if end.count == 1 else ()
    )
    return with_end if len(with_end) == len(pages) else pages


def _fill(book: PageFlow, page: PageOfSteps, colours: Mapping[str, str]) -> None:
    """Draw the steps of a page."""
    for i, (row, own) in enumerate(zip(page.rows, by_row(page.rows, page.settings), strict=True)):
        if i:
            book.gap(STEPS_APART_MM)
        high = max(one.height for one in own)
        book.picture(_blocks(row, own, colours, (column_mm(book, len(row)), high)), high)


def _blocks(
    row: Sequence[LayingStep],
    own: Sequence[StepSetting],
    colours: Mapping[str, str],
    size: tuple[float, float],
) -> Iterator[Mark]:
    """Yield the steps of a row beside each other, each so wide and high."""
    wide, high = size
    for j, (step, setting) in enumerate(zip(row, own, strict=True)):
        yield from _block(step, setting, colours, Point(j * (wide + COLUMNS_APART_MM), high), wide)


def _block(
    step: LayingStep, setting: StepSetting, colours: Mapping[str, str], corner: Point, wide: float
) -> Iterator[Mark]:
    """Yield a step under its heading, its upper left corner at ``corner``."""
    left, top = corner
    panel, parts, (scale, is_beside, _, table) = step.panel, step.parts, setting
    for words in wrapped(panel.title, HEADING_MM, wide):
        yield Label(words, Point(left, top - HEADING_MM), HEADING_MM, colour=INK)
        top -= HEADING_MM * LEADING
    yield Stroke(chain((Point(left, top), Point(left + wide, top)), closed=False), INK, 0.25)
    top -= HEADING_UNDER_MM
    for words in wrapped(step_heading(parts, scale), TEXT_MM, wide):
        yield Label(words, Point(left, top - TEXT_MM), TEXT_MM, colour=INK)
        top -= LINE_MM
    box = shown_box(panel, parts)
    side, above = margin_mm([str(one.part.number) for one in parts])
    up = top - above - box.height * scale
    onto = Transform().translate(left + side, up).scale(scale).translate(-box.left, -box.bottom)
    yield from _picture(panel, parts, colours, onto)
    if is_beside:
        across = left + 2.0 * side + box.width * scale + APART_MM
        yield from written_rows(table.rows, table.stops, across, top)
        return
    first, second = table.columns(wide)
    below = up - above - APART_MM
    yield from written_rows(first, table.stops, left, below)
    yield from written_rows(second, table.stops, left + table.width + APART_MM, below)


def _picture(
    panel: PanelPlan, step: Sequence[Numbered], colours: Mapping[str, str], onto: Transform
) -> Iterator[Mark]:
    """Yield the panel with the parts of a step, each pointed at by its number."""
    yield Area(panel.frame.outline.transformed(onto), GROUND)
    own = {one.part.piece.level for one in step}
    for piece in panel.pieces:
        if piece.level not in own and piece.kind.value != "field":
            yield Area(piece.outline.transformed(onto), None, OTHERS, 0.1)
    shapes = [one.part.outline.transformed(onto) for one in step]
    # Behind glass, what goes on first is seen over what follows.
    lowest_first = sorted(zip(step, shapes, strict=True), key=lambda one: one[0].part.piece.level)
    for one, outline in lowest_first:
        yield Area(outline, colours[one.part.piece.paint], "#404040", 0.06)
    for keep_out in panel.keep_outs:
        fill = "#ffffff" if keep_out.is_opening else None
        yield Area(keep_out.outline.transformed(onto), fill, EDGE, 0.12)
    yield Area(panel.frame.outline.transformed(onto), None, "#000000", 0.25)
    box = shown_box(panel, step)
    low = onto.transformPoint((box.left, box.bottom))
    high = onto.transformPoint((box.right, box.top))
    numbered = tuple((str(one.part.number), outline) for one, outline in lowest_first)
    marks = pointed_numbers(numbered, (*low, *high))
    yield from (mark for mark in marks if not isinstance(mark, Label))
    labels = [mark for mark in marks if isinstance(mark, Label)]
    yield from sorted(labels, key=lambda label: int(label.text))
