"""The placing sheets: every panel with the numbers of the parts to be laid on it, film by film."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fontTools.misc.transform import Transform

from livery.drawing import Area, Drawing, Mark
from livery.layout.plan import PanelPlan, Plan
from livery.make.film.cut_part import CutPart
from livery.make.film.film_sheets import FilmSheet
from livery.make.film.part_labels import part_labels
from livery.make.sheets.laying_words import HEADINGS, Advice, AdviceKind
from livery.make.sheets.page_flow import HEADING_MM, LEADING, MARGIN_MM, TEXT_MM, TITLE_MM, PageFlow
from livery.write.measuring_bar import reduction_words

NUMBER_MM = 1.85
SIDE_MM = 6.0
"""Room kept beside and above a panel for numbers that stand outside it."""

GROUND = "#f2f2f0"
OTHERS = "#d4d4d4"
EDGE = "#8a8a8a"


def film_pages(
    sheets: Sequence[FilmSheet],
    plan: Plan,
    colours: Mapping[str, str],
    title: str,
    paper: str,
    *,
    advice: Sequence[Advice],
) -> tuple[Drawing, ...]:
    """Return the placing sheets of a job, none where nothing is cut."""
    book = PageFlow("film", f"{title}: placing the film", paper, sideways=True)
    for panel in plan.panels:
        laid = _laid_on(panel, sheets)
        if not laid:
            continue
        book.start_page()
        book.text(f"{title}: {panel.title}", height=TITLE_MM)
        book.text(
            "Lay the parts in the order of their numbers; those of the cut sheets are the same."
        )
        book.text(
            f"Pictures {reduction_words(1.0 / _scale(book, panel))}: take sizes from the setting-out sheet, not off them."
        )
        for name, parts in laid.items():
            _picture_of(book, panel, name, parts, colours)
    for kind in AdviceKind if book.pages else ():
        own = [one.words for one in advice if one.kind is kind]
        if own:
            book.heading(HEADINGS[kind], follows=TEXT_MM * LEADING)
        for words in own:
            book.text(words)
    return book.drawings()


def _laid_on(panel: PanelPlan, sheets: Sequence[FilmSheet]) -> dict[str, list[CutPart]]:
    """Return the parts of each sheet that go on a panel, sheets by the first number they hold."""
    found = {
        sheet.name: sorted(
            (p.part for p in sheet.parts if p.part.piece.panel == panel.name and not p.is_spare),
            key=lambda part: part.number,
        )
        for sheet in sheets
    }
    used = {name: parts for name, parts in found.items() if parts}
    return dict(sorted(used.items(), key=lambda item: item[1][0].number))


def _picture_of(
    book: PageFlow,
    panel: PanelPlan,
    name: str,
    parts: Sequence[CutPart],
    colours: Mapping[str, str],
) -> None:
    box, scale = panel.frame.extent, _scale(book, panel)
    high = box.height * scale + 2 * SIDE_MM
    first, last = parts[0].number, parts[-1].number
    numbers = f"number {first}" if len(parts) == 1 else f"{len(parts)} parts, {first} to {last}"
    book.heading(f"{parts[0].piece.paint}: {numbers}, from {name}", follows=high)
    onto = Transform().translate(SIDE_MM, SIDE_MM).scale(scale).translate(-box.left, -box.bottom)
    book.picture(_marks(panel, parts, colours, onto), high)


def _scale(book: PageFlow, panel: PanelPlan) -> float:
    """Return the scale at which a panel fills a page under its title and heading."""
    box = panel.frame.extent
    heads = 3.0 * TITLE_MM + 4.0 * HEADING_MM + TEXT_MM * LEADING + 10.0
    most_high = book.size[1] - 2 * MARGIN_MM - heads - 2 * SIDE_MM
    return min((book.room - 2 * SIDE_MM) / box.width, most_high / box.height)


def _marks(
    panel: PanelPlan, parts: Sequence[CutPart], colours: Mapping[str, str], onto: Transform
) -> Iterator[Mark]:
    yield Area(panel.frame.outline.transformed(onto), GROUND)
    own = {part.piece.level for part in parts}
    for piece in panel.pieces:
        if piece.level not in own and piece.kind.value != "field":
            yield Area(piece.outline.transformed(onto), None, OTHERS, 0.1)
    shapes = [(str(part.number), part.outline.transformed(onto)) for part in parts]
    for part, (_, outline) in zip(parts, shapes, strict=True):
        yield Area(outline, colours[part.piece.paint], "#404040", 0.06)
    for keep_out in panel.keep_outs:
        fill = "#ffffff" if keep_out.is_opening else None
        yield Area(keep_out.outline.transformed(onto), fill, EDGE, 0.12)
    yield Area(panel.frame.outline.transformed(onto), None, "#000000", 0.25)
    yield from part_labels(shapes, NUMBER_MM)
