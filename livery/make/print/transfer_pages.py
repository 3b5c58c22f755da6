"""Transfers laid out for printing: every paint in its place, a film edge round each, spares.

Several go on a page, with a bar of 100 mm and a test patch of every paint.  A page is drawn in
the paints' own colours here; :mod:`~livery.make.print.spot_pages` gives its plates.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from fontTools.misc.transform import Identity, Transform

from livery.describe.entries.description import DescriptionModel
from livery.drawing import Area, Drawing, Label, Mark
from livery.findings import fault
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle
from livery.make.film.cut_part import CutPart
from livery.make.film.laid_sheet import LaidPart
from livery.make.limits.printable import (
    FOOT_MM,
    MARGIN_MM,
    printable_room,
    printed_paper,
    printed_paper_name,
)
from livery.make.nest.packing import NestPiece, NestSettings, nest, room_on
from livery.make.print.transfer_numbers import (
    numbers_lie_on_films,
    transfer_numbers,
    with_number_under,
)
from livery.make.print.transfers import PrintedTransfer, fits, printed_transfers
from livery.write.label_face import CAPTION_LEADING, LEAST_CAP_MM, wrapped
from livery.write.measuring_bar import HUNDRED_MM

APART_MM = 4.0
"""Between transfers, in millimetres (chosen: room for scissors, and for the number under each).
Larger, and fewer go on a page."""
CELL_MM = 1.0
"""The grid that transfers are laid on, in millimetres (chosen). Larger, and some paper is lost."""
PATCH_MM = 8.0
"""A patch to try a paint by, in millimetres (chosen: seen at arm's length). Larger, and fewer go at
the foot of a page."""
BAR_ROOM_MM = 112.0
"""What the bar of 100 mm takes of the foot, in millimetres (chosen: it begins 110 from the edge).
Smaller, and patches run into it."""
LEAST_STEP_MM = 5.0
"""From one patch to the next, at least, in millimetres (chosen: a patch of 4 is still seen). Larger,
and many paints stand in more rows, each lower."""
EDGE_LINE_MM = 0.2
"""The line to cut along, in millimetres (chosen: seen, and cut away). Larger, and some of it is
left on the film."""
WORDS_MM = 2.2
"""The height of the words at the foot of a page, in millimetres (chosen). Larger, and they run into
the bar."""
MOST_LARGE_LINES = 2
"""In so many lines the words at a page's foot are written at that height (chosen: clear of the
transfers); more are written at the least height that is read. Larger, and the words reach further
up."""
EDGE_COLOUR = "#c0307f"


@dataclass(frozen=True)
class LaidTransfer:
    """A transfer where it lies on its page; ``spare`` counts its spares from 1."""

    transfer: PrintedTransfer
    onto: Transform
    spare: int

    @property
    def words(self) -> str:
        """The number beside it, and whether it is a spare."""
        return f"{self.transfer.label} spare" if self.spare else self.transfer.label

    @cached_property
    def parts(self) -> tuple[LaidPart, ...]:
        """Its parts on the page."""
        return tuple(_laid(part, self.onto, self.spare) for part in self.transfer.parts)


@dataclass(frozen=True)
class PrintPage:
    """A page of transfers in millimetres, y up; ``number`` of ``count`` pages."""

    title: str
    paper: str
    width_mm: float
    height_mm: float
    laid: tuple[LaidTransfer, ...]
    paints: tuple[str, ...]
    mirrored: bool
    number: int
    count: int
    white: Literal["", "first", "last"] = ""
    """When its white is printed, if any: last where the side that is printed is not seen."""

    @property
    def name(self) -> str:
        """The name of its file."""
        return f"print-transfers-{self.number}"

    @property
    def parts(self) -> tuple[LaidPart, ...]:
        """All parts on the page, in the order in which they are printed."""
        return tuple(part for one in self.laid for part in one.parts)

    @property
    def films(self) -> tuple[tuple[str, Outline], ...]:
        """The words and the film's edge of each transfer on the page."""
        return tuple((one.words, one.transfer.edge.transformed(one.onto)) for one in self.laid)

    @property
    def numbered_room(self) -> Bounds:
        """Where numbers may stand: above the foot, and into the margins."""
        side = MARGIN_MM / 2.0
        return Bounds(side, FOOT_MM, self.width_mm - side, self.height_mm)

    @property
    def patches(self) -> tuple[tuple[str, Outline], ...]:
        """The paints tried at its foot, and the patch of each: clear of the bar, in rows if many."""
        room = self.width_mm - MARGIN_MM - BAR_ROOM_MM
        rows = math.ceil(len(self.paints) * LEAST_STEP_MM / room)
        columns = max(1, math.ceil(len(self.paints) / max(1, rows)))
        step, up = min(PATCH_MM + 2.0, room / columns), (PATCH_MM + 1.0) / max(1, rows)
        wide, high = step * PATCH_MM / (PATCH_MM + 2.0), up - 1.0
        found = []
        for i, paint in enumerate(self.paints):
            x, y = MARGIN_MM + i % columns * step, MARGIN_MM + i // columns * up
            at = Point(self.width_mm - wide - x if self.mirrored else x, y)
            found.append((paint, rectangle(wide, high, at)))
        return tuple(found)

    @property
    def bar(self) -> Point:
        """Where the bar of 100 mm begins: at the other side of the foot than the patches."""
        return Point(10.0 if self.mirrored else self.width_mm - 110.0, 9.0)


def transfer_pages(parts: Sequence[CutPart], model: DescriptionModel) -> tuple[PrintPage, ...]:
    """Return the pages of a job's transfers; empty if nothing is printed.

    ``parts`` are what is put on by decal, parted as it is laid.

    Raises:
        LiveryError: a transfer is larger than the page.
    """
    entry = model.transfer
    made = printed_transfers(parts, model)
    if not made:
        return ()
    _require_room(made, model)
    pages: list[PrintPage] = []
    for own in _printed_alike(made) if entry.white else [made]:
        pages += _pages_of(own, model)
    count = len(pages)
    return tuple(replace(page, number=i, count=count) for i, page in enumerate(pages, start=1))


def _printed_alike(made: Sequence[PrintedTransfer]) -> list[list[PrintedTransfer]]:
    """Return transfers in groups whose white is printed first, or last: those read through glass."""
    groups: dict[bool, list[PrintedTransfer]] = {}
    for transfer in made:
        groups.setdefault(transfer.is_behind_glass, []).append(transfer)
    return list(groups.values())


def _pages_of(made: Sequence[PrintedTransfer], model: DescriptionModel) -> tuple[PrintPage, ...]:
    """Return the pages of transfers whose white is printed alike."""
    items = [NestPiece(str(i), t.edge, 1 + model.transfer.spares) for i, t in enumerate(made)]
    pages = _pages(made, items, model)
    if any(numbers_lie_on_films(page.films, page.numbered_room) for page in pages):
        roomy = [_with_its_number(t, model) for t in made]
        pages = _pages(
            made, [replace(i, outline=o) for i, o in zip(items, roomy, strict=True)], model
        )
    return pages


def _with_its_number(transfer: PrintedTransfer, model: DescriptionModel) -> Outline:
    """Return what a transfer keeps clear of others so that its number has room, where it fits."""
    words = f"{transfer.label} spare" if model.transfer.spares else transfer.label
    both = with_number_under(words, transfer.edge)
    return both if fits(both, model) else transfer.edge


def _pages(
    made: Sequence[PrintedTransfer], items: Sequence[NestPiece], model: DescriptionModel
) -> tuple[PrintPage, ...]:
    """Return the pages that transfers and their spares are laid on."""
    entry = model.transfer
    width, height = printed_paper(model)
    laid = nest(items, printable_room(model), NestSettings(APART_MM, CELL_MM, 0))
    # The nest runs along the paper's height: turned a quarter, it stands above the foot.
    upright = Transform(0, 1, -1, 0, width, FOOT_MM)
    over = Transform(-1, 0, 0, 1, width, 0) if entry.mirrored else Identity
    paints = tuple(dict.fromkeys(p.piece.paint for t in made for p in t.parts))
    white: Literal["", "first", "last"] = ""
    if entry.white:
        white = "last" if entry.mirrored is not made[0].is_behind_glass else "first"
    count = len(laid.lengths_mm)
    pages = []
    for i in range(count):
        own = tuple(
            LaidTransfer(
                made[int(place.piece)],
                over.transform(upright.transform(place.transform)),
                place.copy,
            )
            for place in laid.placements
            if place.sheet == i
        )
        pages.append(
            PrintPage(
                model.job.title,
                printed_paper_name(model),
                width_mm=width,
                height_mm=height,
                laid=own,
                paints=paints,
                mirrored=entry.mirrored,
                number=i + 1,
                count=count,
                white=white,
            )
        )
    return tuple(pages)


def _laid(part: CutPart, onto: Transform, spare: int) -> LaidPart:
    whole = onto.transform(part.turn)
    return LaidPart(part, part.outline.transformed(whole), whole.inverse(), spare)


def _require_room(made: Sequence[PrintedTransfer], model: DescriptionModel) -> None:
    wide, long = sorted(room_on(printable_room(model)))
    for transfer in made:
        if not fits(transfer.edge, model):
            box = bounds(transfer.edge)
            raise fault(
                "transfer-too-large",
                f"{transfer.name} is {box.width:.1f} x {box.height:.1f} mm with its film edge; the "
                f"paper leaves {long:.0f} x {wide:.0f} mm",
                'Print on larger paper, [transfer] paper = "A3"; make it smaller; or describe it in two '
                "entries.",
                exit_status=1,
            )


def page_drawing(page: PrintPage, colours: Mapping[str, str]) -> Drawing:
    """Return a page as it looks printed, without the white beneath; the paper stays clear."""
    marks: list[Mark] = []
    for one in page.laid:
        for part in one.parts:
            fill = colours[part.part.piece.paint]
            marks.append(Area(part.outline, fill, layer="printed", name=part.element))
        edge = one.transfer.edge.transformed(one.onto)
        marks.append(Area(edge, None, EDGE_COLOUR, EDGE_LINE_MM, layer="film-edge"))
    for paint, patch in page.patches:
        marks.append(Area(patch, colours[paint], layer="patches"))
    marks += page_labels(page)
    marks += HUNDRED_MM.marks(page.bar)
    words = f"transfers, page {page.number} of {page.count}"
    return Drawing(page.name, f"{page.title}: {words}", page.width_mm, page.height_mm, tuple(marks))


def page_labels(page: PrintPage) -> Iterator[Label]:
    """Yield the words at the foot of a page, then the numbers under the transfers."""
    side = ", printed mirrored" if page.mirrored else ""
    side += f"; white is printed {page.white}" if page.white else ""
    words = f": transfers, page {page.number} of {page.count}{side}; print at 100 %, no fitting"
    room = page.width_mm - 2.0 * MARGIN_MM
    lines = wrapped(f"{page.title}{words}", WORDS_MM, room)
    height = WORDS_MM if len(lines) <= MOST_LARGE_LINES else LEAST_CAP_MM
    lines = wrapped(f"{page.title}{words}", height, room)
    for i, line in enumerate(lines, start=1):
        up = FOOT_MM - 3.5 + (len(lines) - i) * height * CAPTION_LEADING
        yield Label(line, Point(MARGIN_MM, up), height)
    yield from transfer_numbers(page.films, page.numbered_room)
