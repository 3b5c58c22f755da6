"""The job book as pages: how the job looks, each paint with what was really used, what was done.

Below each paint's entries ruled lines are left to write on at the bench.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from livery.describe.entries.description import DescriptionModel
from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.geometry.outline import Point, chain
from livery.geometry.shapes import rectangle
from livery.layout.plan import PanelPlan
from livery.make.making import Making
from livery.make.sheets.page_flow import (
    FAINT,
    HEADING_MM,
    INK,
    LEADING,
    SMALL_MM,
    TEXT_MM,
    TITLE_MM,
    PageFlow,
)
from livery.make.sheets.paint_cards import paints_used
from livery.make.sheets.panel_pictures import PICTURE_HIGH_MM, panel_rows
from livery.paints.job_book_lines import entry_heading, entry_lines
from livery.paints.paint_colours import PaintColour
from livery.paints.panel_batches import entries_on, last_batch
from livery.vehicles.placed import vehicle_of, vehicles_of_panels
from livery.write.label_face import label_width

if TYPE_CHECKING:
    from livery.describe.entries.book import BookEntry

SWATCH_MM = (16.0, 11.0)
"""The size of a paint's colour, in millimetres (chosen: words stand beside it). Larger, and fewer
paints fit a page."""

WORDS_IN_MM = 20.0
"""How far words stand in from the margin, beside the colour, in millimetres (chosen: the colour
and a gap). Smaller, and they run into it."""

BLANK_MM = 7.0
"""The height of the lines left to write on, in millimetres (common practice: ruled paper has 7 to
8). Smaller, and handwriting does not fit."""

BLANKS = (("day", 26.0), ("mixed or bought, with the batch", 0.0), ("card, L a b", 38.0))
"""What there is to write in by hand, and how wide its line is; 0 takes the room that is left."""


def job_book_pages(
    making: Making, colours: Mapping[str, PaintColour], entries: Sequence[BookEntry]
) -> tuple[Drawing, ...]:
    """Return the pages of the job book; ``entries`` are in the order of their days."""
    job = making.model.job
    of_other_jobs = [e for e in entries if e.job]
    entries = [e for e in entries if not e.job]
    book = PageFlow("job-book", f"{job.title}: job book", job.paper)
    book.need(TITLE_MM)
    book.text(f"{job.title}: job book", height=TITLE_MM)
    scales = ", ".join(dict.fromkeys(str(panel.frame.scale) for panel in making.plan.panels))
    if scales:
        book.text(f"Panels as built, {scales}", colour=FAINT)
    book.gap(2.0)
    for vehicle, panels in _by_vehicle(making):
        if vehicle is not None:
            book.heading(making.model.vehicle[vehicle].title or vehicle, follows=PICTURE_HIGH_MM)
            for line in _worn(vehicle, panels, making.model, entries):
                book.text(line, colour=FAINT)
        panel_rows(book, panels, making)
    book.heading("Paints, and what was really used", follows=30.0)
    used = paints_used(making.plan, making.model)
    for name in making.model.paint:
        own = [e for e in entries if e.paint == name]
        if own or name in used:
            _paint(book, name, making, colours, own)
    others = [e for e in entries if e.paint not in making.model.paint]
    for title, listed in (("Other entries", others), ("Other jobs of this book", of_other_jobs)):
        if listed:
            book.heading(title, follows=12.0)
        for entry in listed:
            _entry(book, entry, colours, 0.0)
    return book.drawings()


def _by_vehicle(making: Making) -> Iterator[tuple[str | None, list[PanelPlan]]]:
    """Yield every vehicle with its panels, in their order; panels without one come first."""
    model = making.model
    by_vehicle: dict[str | None, list[PanelPlan]] = {None: [], **{n: [] for n in model.vehicle}}
    vehicles = vehicles_of_panels(model)
    for plan in making.plan.panels:
        by_vehicle[vehicles[plan.name]].append(plan)
    yield from ((name, plans) for name, plans in by_vehicle.items() if plans)


def _carried_by(surface: str, model: DescriptionModel) -> set[str | None]:
    """Return the vehicles that have a bare surface: by its places, or else by its name in a train."""
    placed = {vehicle_of(place, model) for place in model.surface[surface].places}
    if placed or len(model.vehicle) == 1:
        return placed or set(model.vehicle)
    named = [name for name in model.vehicle if surface.startswith(f"{name}-")]
    return {max(named, key=len)} if named else set()


def _worn(
    vehicle: str, panels: Sequence[PanelPlan], model: DescriptionModel, entries: Sequence[BookEntry]
) -> Iterator[str]:
    """Yield what was last used of every paint a vehicle wears: a line for all, or for each batch."""
    worn: dict[str, dict[str, None]] = {}
    for panel in panels:
        for piece in panel.pieces:
            worn.setdefault(piece.paint, {})[panel.name] = None
    for name, surface in model.surface.items():
        if vehicle in _carried_by(name, model):
            worn.setdefault(surface.paint, {})[name] = None
    for paint in (name for name in model.paint if name in worn):
        own = [e for e in entries if e.paint == paint]
        by_words: dict[str, list[str]] = {}
        for place in worn[paint]:
            last = last_batch(entries_on(own, place, vehicle))
            used = (
                "nothing entered yet" if last is None else f"{last.on.isoformat()}  {_used(last)}"
            )
            by_words.setdefault(used, []).append(place)
        for used, places in by_words.items():
            on = f" on {', '.join(places)}" if len(by_words) > 1 else ""
            yield f"{paint}{on}: {used}"


def _used(entry: BookEntry) -> str:
    return entry.bought or entry.mixed or entry.note or "a test card"


def _paint(
    book: PageFlow,
    name: str,
    making: Making,
    colours: Mapping[str, PaintColour],
    entries: Sequence[BookEntry],
) -> None:
    """Show a paint: a patch, what it is and where it goes, its entries, and lines for more."""
    rows = _report(name, making, colours)
    book.need(SWATCH_MM[1] + 2.0 + BLANK_MM + len(rows) * TEXT_MM * LEADING)
    book.gap(3.5)
    if making.model.paint[name].kind != "clear":
        at = Point(0.0, -SWATCH_MM[1])
        book.picture([Area(rectangle(*SWATCH_MM, at), making.colours[name], INK, 0.1)], 0.0)
    top = book.y
    book.text(name, height=HEADING_MM * 0.85, indent=WORDS_IN_MM)
    for line in rows:
        book.text(line, indent=WORDS_IN_MM, colour=FAINT)
    book.y = min(book.y, top - SWATCH_MM[1]) - 1.0
    for entry in entries:
        _entry(book, entry, colours, WORDS_IN_MM)
    pages = len(book.pages)
    book.need(BLANK_MM)
    if entries and len(book.pages) > pages:
        book.text(name, indent=WORDS_IN_MM)
    _blanks(book)


def _report(name: str, making: Making, colours: Mapping[str, PaintColour]) -> tuple[str, ...]:
    """Return what the description says of a paint, and what it goes on."""
    lines = []
    if name in colours:
        target = colours[name].target
        lab = "Lab {:.1f} {:.1f} {:.1f}".format(*target.lab)
        paint = making.model.paint[name]
        finish = "leaf" if paint.kind == "leaf" else paint.finish
        lines.append(f"target: {lab} (D65, 2 degrees), {finish}")
        lines += target.origin
    on = _places(name, making.plan.panels, making.model)
    return (*lines, *on)


def _places(name: str, panels: Sequence[PanelPlan], model: DescriptionModel) -> tuple[str, ...]:
    """Return a line for every process the paint is put on by, with the panels."""
    by_process: dict[str, dict[str, None]] = {}
    for panel in panels:
        for piece in panel.pieces:
            if piece.paint == name:
                by_process.setdefault(piece.process.value, {})[panel.name] = None
    for plate, entry in model.plate.items():
        if entry.paint == name:
            by_process.setdefault("plate", {})[plate] = None
    return tuple(f"{process}: {', '.join(on)}" for process, on in by_process.items())


def _entry(
    book: PageFlow, entry: BookEntry, colours: Mapping[str, PaintColour], indent: float
) -> None:
    lines = entry_lines(entry, colours)
    book.need((1 + len(lines)) * TEXT_MM * LEADING)
    book.text(entry_heading(entry), indent=indent)
    for line in lines:
        book.text(line, indent=indent + 4.0)
    book.gap(1.0)


def _blanks(book: PageFlow) -> None:
    """Leave lines to write on."""
    left = WORDS_IN_MM
    spare = book.room - left - sum(width for _, width in BLANKS) - 3.0 * (len(BLANKS) - 1)
    marks: list[Mark] = []
    for words, width in BLANKS:
        line = width or spare
        ends = (Point(left, 2.2), Point(left + line, 2.2))
        marks.append(Stroke(chain(ends, closed=False), FAINT, 0.13))
        marks.append(Label(words, Point(left, -0.4), SMALL_MM, Anchor.START, FAINT))
        assert label_width(words, SMALL_MM) < line
        left += line + 3.0
    book.picture(marks, BLANK_MM)
    book.gap(1.0)
