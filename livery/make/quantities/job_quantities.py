"""What a job takes and what to buy for it: paint, tape, leaf and film, rounded to what is sold."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from livery.build_folder import filed
from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.paint import Paint
from livery.geometry.measure import area, bounds, length
from livery.geometry.parts import parts_of
from livery.geometry.stripe_line import stripe_line
from livery.layout.piece import Piece
from livery.make.coats.coat_schedule import coats_of
from livery.make.coats.panel_coats import tapes_of
from livery.make.coats.tape import ENDS_MM, WRAP_MM, TapeRun, tape_runs, tape_totals
from livery.make.film.laid_sheet import FilmSheet
from livery.make.making import Making
from livery.make.quantities.needs import (
    LEAF_OVERLAP_MM,
    TORN_LEAF,
    LeafBook,
    Mixed,
    MixRatio,
    Pack,
    PaintNeed,
    PaintSheet,
    books_for,
    leaves_for,
    paint_need,
    purchase,
    spreading_rate_m2_per_l,
)
from livery.process import Process

ASSUMED_SOLIDS = 0.40
"""Volume solids of a coat, as a part of it, where no data sheet is described (common practice, from
memory). Larger, and less paint is bought."""
ASSUMED_FILM_UM = 20.0
"""The dry film of such a coat, in micrometres (common practice, from memory). Larger, and more
paint is bought."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """One line: what, how much is needed, what to buy, at what price, and how it was worked out."""

    kind: str
    item: str
    need: float
    unit: str
    buy: str
    price: float | None
    how: tuple[str, ...]


def quantities(making: Making) -> tuple[Quantity, ...]:
    """Return every quantity of a job: paints, tapes, leaf, film, and what is printed."""
    rows = (*_paints(making), *_tapes(making), *_leaf(making), *_film(making))
    return (*rows, *_transfer_paper(making), *_size_masks(making), *_plates(making))


def _plates(making: Making) -> Iterator[Quantity]:
    """Yield the plates to have made, one by one."""
    for plan in making.plan.plates:
        box = bounds(plan.plate.outline)
        metal = "" if plan.metal is None else f" in {plan.metal.title}"
        high = plan.plate.thickness_mm + plan.plate.relief_mm
        how = (
            f"{box.width:.1f} x {box.height:.1f} mm, {high:.1f} mm thick in all, "
            f"{filed(f'plate-{plan.name}.txt')}",
        )
        item = f"{plan.name}, by {plan.making.value}{metal}"
        yield Quantity("plate", item, 1.0, "pieces", "1", price=None, how=how)


def _size_masks(making: Making) -> Iterator[Quantity]:
    """Yield the film that masks for size are cut of."""
    for sheets in _by_film(making.size_masks):
        first = sheets[0]
        files = ", ".join(filed(sheet.name) for sheet in sheets)
        how = (f"masks for the size of {first.paint}, {files}",)
        item = f"{first.film.name} for {first.paint}"
        yield _film_to_buy("size mask", item, sheets, how)


def _transfer_paper(making: Making) -> Iterator[Quantity]:
    """Yield the paper that transfers are printed on."""
    pages = making.prints
    if pages:
        first = pages[0]
        copies = sum(one.spare > 0 for page in pages for one in page.laid)
        whole = sum(len(page.laid) for page in pages) - copies
        how = (f"{whole} transfers and {copies} spares in {', '.join(first.paints)}",)
        words = f"{len(pages)} x {first.paper}"
        item = f"transfer paper {first.paper}"
        yield Quantity("print", item, len(pages), "sheets", words, price=None, how=how)


def total_price(rows: Sequence[Quantity]) -> float | None:
    """Return what all that has a price costs together, None where nothing has one."""
    priced = [r.price for r in rows if r.price is not None]
    return math.fsum(priced) if priced else None


def _paints(making: Making) -> Iterator[Quantity]:
    model = making.model
    covered: dict[str, float] = defaultdict(float)
    for panel in making.coats:
        for one in panel.coats:
            covered[one.coat.paint] += area(one.coat.sprayed) / 1e6
    scale = model.job.read_scale()
    for surface in model.surface.values():
        covered[surface.paint] += surface.painted_mm2(scale) / 1e6
    for plate in making.plan.plates:
        if plate.paint is not None:
            covered[plate.paint] += area(plate.plate.outline) / 1e6
    for name in (n for n in model.paint if n in covered):
        yield _paint(name, model.paint[name], covered[name], model)


def _paint(name: str, paint: Paint, area_m2: float, model: DescriptionModel) -> Quantity:
    solids = (paint.volume_solids or ASSUMED_SOLIDS) * 100.0
    film_um = paint.dry_film.mm * 1000.0 if paint.dry_film is not None else ASSUMED_FILM_UM
    sheet = PaintSheet(name, solids, film_um, MixRatio(*paint.mix_by_volume), paint.pot_life)
    coats = coats_of(name, model)
    loss = model.spraying.loss_by(paint.by)
    need = paint_need(sheet, area_m2, coats, loss, model.spraying.spraying_takes)
    how = [*_how_paint(need, loss)]
    if paint.volume_solids is None or paint.dry_film is None:
        how.append(
            f"{solids:g} % solids and {film_um:g} µm a coat, where not described, are assumed"
        )
    if not paint.packs:
        return Quantity(
            "paint", name, need.whole.paint_l * 1000.0, "ml", "", price=None, how=tuple(how)
        )
    packs = [Pack(_litres(p.holds), p.holds, p.price) for p in paint.packs]
    bought = purchase(name, need.whole.paint_l, "l", packs)
    words = " and ".join(f"{n} x {pack.name}" for pack, n in bought.packs)
    return Quantity(
        "paint", name, need.whole.paint_l * 1000.0, "ml", words, price=bought.price, how=tuple(how)
    )


def _how_paint(need: PaintNeed, loss: float) -> Iterator[str]:
    sheet = need.sheet
    rate = spreading_rate_m2_per_l(sheet.volume_solids_percent, sheet.dry_film_um)
    yield (
        f"{need.area_m2 * 1e4:.0f} cm², {need.coats} coats of {sheet.dry_film_um:g} µm dry "
        f"({need.wet_film_um:.0f} µm wet), {rate:.1f} m² a litre, {loss:.0%} lost"
    )
    if sheet.mix.hardener or sheet.mix.thinner:
        yield f"in all: {_parts(need.whole)}; for one coat: {_parts(need.one_coat)}"
    if need.pots_a_coat > 1:
        yield (
            f"pot life {sheet.pot_life_h:g} h: mix each coat in {need.pots_a_coat} lots of "
            f"{_parts(need.one_pot)}"
        )
    elif sheet.pot_life_h is not None:
        yield f"pot life {sheet.pot_life_h:g} h: one coat is one mix"


def _parts(mixed: Mixed) -> str:
    named = (("paint", mixed.paint_l), ("hardener", mixed.hardener_l), ("thinner", mixed.thinner_l))
    return ", ".join(f"{v * 1000:.1f} ml {n}" for n, v in named if v > 0.0)


def _litres(value: float) -> str:
    return f"{value * 1000:g} ml" if value < 1.0 else f"{value:g} l"


def _tapes(making: Making) -> Iterator[Quantity]:
    tapes = tapes_of(making.model)
    runs: list[TapeRun] = [r for p in making.coats for c in p.coats for r in c.tapes]
    for piece in _pieces(making, Process.TAPE):
        edges = [(*c.nodes, c.nodes[0]) for c in piece.outline]
        runs += tape_runs(edges, tapes)
    prices = {n.replace("-", " "): t.price for n, t in making.model.tape.items()}
    for total in tape_totals(runs, tapes):
        each = prices.get(total.tape.name)
        rolls = f"{total.rolls} x {total.tape.roll_m:g} m"
        price = None if each is None else each * total.rolls
        count = "1 run" if total.runs == 1 else f"{total.runs} runs"
        how = (
            f"{count}, with {ENDS_MM / 2.0:g} mm for each loose end and {WRAP_MM:g} mm for each that "
            "is turned round the edge",
        )
        yield Quantity(
            "tape", total.tape.name, total.length_mm / 1000, "m", rolls, price=price, how=how
        )


def _pieces(making: Making, process: Process) -> Iterator[Piece]:
    for panel in making.plan.panels:
        yield from (p for p in panel.pieces if p.process is process)


def _leaf(making: Making) -> Iterator[Quantity]:
    entry = making.model.leaf
    book = LeafBook(entry.leaves, entry.side.mm)
    runs: dict[str, list[tuple[float, float]]] = {}
    for piece in _pieces(making, Process.LEAF):
        for part in parts_of(piece.outline):
            stripe = stripe_line(part)
            box = bounds(part)
            sides = sorted((box.width, box.height), reverse=True)
            run = (length(stripe.centre), stripe.width_mm) if stripe else (sides[0], sides[1])
            runs.setdefault(piece.paint, []).append(run)
    for paint, own in runs.items():
        leaves = leaves_for(own, book)
        books = books_for(leaves, book)
        price = None if entry.price is None else entry.price * books
        over = f"{LEAF_OVERLAP_MM:g} mm overlaps, {TORN_LEAF:.0%} over for what tears"
        how = (f"leaves {book.side_mm:g} mm square, {over}",)
        words = f"{books} book{'s' if books > 1 else ''} of {book.leaves}"
        yield Quantity("leaf", paint, leaves, "leaves", words, price=price, how=how)


def _film(making: Making) -> Iterator[Quantity]:
    for sheets in _by_film(making.sheets):
        yield _film_to_buy("film", sheets[0].paint, sheets, (sheets[0].film.words,))


def _film_to_buy(
    kind: str, item: str, sheets: Sequence[FilmSheet], how: tuple[str, ...]
) -> Quantity:
    """Return what sheets of one film take: sheets, or a length of the roll as it is sold."""
    film = sheets[0].film
    if film.media.length_mm is not None:
        count = len(sheets)
        words = f"{count} x {film.media.length_mm:g} x {film.media.width_mm:g} mm"
        price = None if film.price is None else film.price * count
        return Quantity(kind, item, count, "sheets", words, price=price, how=how)
    need = math.fsum(sheet.length_mm for sheet in sheets) / 1000.0
    lots = math.ceil(need / film.sold_by_m - 1e-9)
    price = None if film.price is None else film.price * lots
    words = f"{lots * film.sold_by_m:g} m, {film.media.width_mm:g} mm wide"
    return Quantity(kind, item, need, "m", words, price=price, how=how)


def _by_film(sheets: Sequence[FilmSheet]) -> Iterator[list[FilmSheet]]:
    groups: dict[tuple[str, str], list[FilmSheet]] = {}
    for sheet in sheets:
        groups.setdefault((sheet.paint, sheet.film.name), []).append(sheet)
    yield from groups.values()
