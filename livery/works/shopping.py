"""Everything to buy for the works, from primer to tack cloth, with its calculation."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from livery.describe.entries.paint import PaintPack
from livery.describe.systems import GROUNDS
from livery.geometry.measure import area
from livery.make.coats.mask import mask_name
from livery.make.coats.mask_words import paper_mm2
from livery.make.drawings.stencil_sheet import stencil_sheets
from livery.make.making import Making
from livery.make.quantities.job_quantities import Quantity, quantities
from livery.make.quantities.needs import Pack, purchase
from livery.process import Process
from livery.works.layers import COMPOUND, FILLER, KEY_GRIT
from livery.works.mixing import Product
from livery.works.supplies import with_supplies
from livery.works.works_plan import Works

CLEANER_ML = 100.0
"""Gun cleaner for a session, in millilitres (common practice for a small gun). Larger, and more is
bought."""

BRUSH_CLEANER_ML = 50.0
"""Cleaner for a brush or a roller after a session, in millilitres (common practice). Larger, and
more is bought."""

ABRASIVE_M2 = 0.25
"""What one sheet of wet-or-dry paper rubs down, in square metres (common practice: about four
times its own size). Larger, and less is bought."""

FILLER_ML_PER_M2, FILLER_LEAST_ML = 150.0, 50.0
"""Stopper to fill grain and dents, and the least that is worked with, in millilitres (common
practice). Larger, and more is bought."""

DEGREASER_ML_PER_M2, DEGREASER_LEAST_ML = 100.0, 50.0
"""Degreaser wiped on and off once, and the least that is worked with, in millilitres (common
practice). Larger, and more is bought."""

WIPE_M2 = 0.5
"""What a lint-free wipe degreases before it is dirty, in square metres (common practice). Larger,
and fewer are bought."""

CLOTH_M2 = 2.0
"""What a tack cloth wipes before it is full, in square metres (common practice). Larger, and fewer
are bought."""

WAX_CLOTHS = 2
"""Soft cloths for a session of waxing (common practice: one to wipe on and one to rub up). More
cost more."""

COMPOUND_ML_PER_M2, COMPOUND_LEAST_ML = 50.0, 30.0
"""Compound to polish with, and the least that is worked with, in millilitres (common practice).
Larger, and more is bought."""

POLISH_CLOTHS = 2
"""Cloths for a polishing (common practice: one for the compound and one to buff). More cost more."""

CARD_M2 = 0.02
"""The test cards of each paint, sprayed with it, in square metres (chosen: two of 100 cm²). Larger,
and more paint is bought."""

PEN_FILM_MM = 0.03
"""The wet film of a pen line, in millimetres (common practice). Larger, and more paint is
thinned."""
PEN_LEAST_ML = 10.0
"""The least paint that can be thinned and filled into a pen, in millilitres (common practice).
Larger, and more is bought."""

SIZE_CLEANER = "white spirit"
"""What the brush of oil size is cleaned with."""

DECAL_ML_PER_M2 = 500.0
"""Setting solution for decals, in millilitres for a square metre (common practice). Larger, and
more is bought."""
DECAL_LEAST_ML = 10.0
"""The least setting solution for a job, in millilitres (common practice). Larger, and more is
bought."""

PAPER_WIDE_M = 0.3
"""The width of a roll of masking paper, in metres (common practice). Larger, and fewer metres are
bought."""

RIDGE_M = 0.005
"""How wide a ridge is rubbed down on both sides of a seam, in metres (common practice). Larger, and
more paper is bought."""


def unplanned_shopping(making: Making) -> tuple[Quantity, ...]:
    """Return what is to buy for a job without a start, and what is not counted without a plan."""
    counted = quantities(making)
    rows = (*_with_hand_work(counted, making), *_leaf_goods(making), *_goods(None, making))
    unknown = tuple(_known_from_plan(making))
    if unknown:
        how = (
            "these follow from the plan of the works, and it is made when the job says when work "
            'begins: [spraying] start = "2027-03-06 9:00"',
        )
        missing = Quantity(
            kind="not counted",
            item=", ".join(unknown),
            need=0.0,
            unit="",
            buy="not known",
            price=None,
            how=how,
        )
        rows = (*rows, missing)
    return with_supplies(rows, making.model.supply, is_whole=False)


def _known_from_plan(making: Making) -> Iterator[str]:
    """Yield what only the sessions of a plan give the amount of."""
    if making.coats or making.model.surface:
        yield from ("primer", "undercoat", "hardener", "thinner", "cleaner", "abrasives")
        yield from ("tack cloths", "surfaces")
    if _laid_mm2(making, Process.LEAF) and making.model.leaf.size != "water-borne":
        yield SIZE_CLEANER


def _goods(works: Works | None, making: Making) -> Iterator[Quantity]:
    """Yield what masks, stencils and transfers need."""
    yield from _masks(works, making)
    yield from _stencils(making)
    yield from _transfer(making)
    yield from _decals(making)


def shopping(works: Works, making: Making) -> tuple[Quantity, ...]:
    """Return everything to buy; paint is counted as mixed, session by session."""
    mixed = tuple(_mixed(works, making))
    sprayed = {r.item for r in mixed if r.kind == "paint"}
    drawn = [r for r in quantities(making) if not (r.kind == "paint" and r.item in sprayed)]
    rows = (
        *_with_hand_work((*mixed, *drawn), making),
        *_leaf_goods(making),
        *_size_cleaner(works, making),
        *_goods(works, making),
        *_fillers(works),
        *_compounds(works),
        *_cleaner(works),
        *_abrasives(works, making),
        *_degreaser(works),
        *_cloths(works),
    )
    return with_supplies(rows, making.model.supply)


def _mixed(works: Works, making: Making) -> Iterator[Quantity]:
    """Yield what every session mixes, its test cards and a reserve."""
    reserve = making.model.spraying.reserve
    need: dict[tuple[str, str, str], list[float]] = {}
    cards: dict[tuple[str, str, str], float] = {}
    density: dict[tuple[str, str, str], float | None] = {}
    mixed_with: dict[tuple[str, str, str], list[str]] = {}
    """The paints that a hardener or thinner without a name of its own goes into."""
    figures: dict[tuple[str, str, str], str] = {}
    for one in works.sessions:
        if one.mix is None:
            continue
        for i, part in enumerate(one.mix.parts):
            name = one.mix.product.name
            kind = part.what.split(":")[0]
            own = part.what.partition(": ")[2]
            if i == 0:
                kind = "paint" if name in making.model.paint else "primer"
                figures[kind, name, name] = _figures(one.mix.product, making)
            shared = _shared(name, making)
            item = name if i == 0 else f"for {shared}" + (f": {own}" if own else "")
            name = name if i == 0 else shared
            key = (kind, item, name)
            need.setdefault(key, []).append(part.ml)
            if i and not own:
                mixed_with.setdefault(key, []).append(one.mix.product.name)
            density[key] = None if part.grams is None or not part.ml else part.grams / part.ml
            is_paint = one.mix.product.name in making.model.paint and one.mix.area_m2 > 0.0
            coats = max(s.coats for s in one.session.steps)
            share = CARD_M2 * coats / one.mix.area_m2 if is_paint else 0.0
            cards[key] = cards.get(key, 0.0) + share * one.mix.sprayed_share * part.ml
    for (kind, item, name), sessions in need.items():
        card = cards[kind, item, name]
        total = (math.fsum(sessions) + card) * (1.0 + reserve)
        count = "1 session" if len(sessions) == 1 else f"{len(sessions)} sessions"
        how = [f"{math.fsum(sessions):.1f} ml mixed in {count}"]
        how += [figures[kind, item, name]] if (kind, item, name) in figures else []
        if card:
            how.append(f"{card:.1f} ml for test cards")
        how.append(f"{reserve:.0%} kept for touching up")
        heavy = density[kind, item, name]
        if heavy is not None:
            how.append(f"{total * heavy:.0f} g, at {heavy:.2f} g a millilitre")
        packs = making.model.paint[name].packs if kind == "paint" else ()
        if (kind, item, name) in mixed_with:
            item = f"for {', '.join(dict.fromkeys(mixed_with[kind, item, name]))}"
        buy, price = _in_packs(item, total, packs)
        yield Quantity(kind, item, total, "ml", buy, price=price, how=tuple(how))


def _figures(product: Product, making: Making) -> str:
    """Return what a paint's volume is worked out from."""
    lost = making.model.spraying.loss_by(product.by)
    assumed = ", assumed" if product.is_assumed else ""
    return (
        f"{product.solids_percent:g} % volume solids, {product.film_um:g} µm dry film a coat{assumed}; "
        f"{lost:.0%} lost"
    )


def _shared(name: str, making: Making) -> str:
    """Return what a hardener or thinner is for: the colours share theirs."""
    paint = making.model.paint.get(name)
    if paint is None:
        return _without_ground(name)
    own = f"{paint.system} " if paint.system else ""
    return f"the {own}clear coats" if paint.kind == "clear" else f"the {own}colours"


def _without_ground(product: str) -> str:
    """Return an undercoat without its colour: its colours share a hardener and a thinner."""
    name, _, ground = product.rpartition(", ")
    return name if ground in GROUNDS else product


def _in_packs(item: str, need_ml: float, packs: tuple[PaintPack, ...]) -> tuple[str, float | None]:
    if not packs:
        return "", None
    sold = [Pack(f"{p.holds * 1000:g} ml", p.holds * 1000.0, p.price) for p in packs]
    bought = purchase(item, need_ml, "ml", sold)
    return " and ".join(f"{n} x {p.name}" for p, n in bought.packs), bought.price


def _with_hand_work(rows: Sequence[Quantity], making: Making) -> Iterator[Quantity]:
    """Yield rows of paint with what goes on by hand: pen lines, stencils and lines by tape.

    A paint that is sprayed too has that in its row; the others have rows of their own, last.
    """
    found: dict[str, float] = {}
    by_hand = (Process.BOW_PEN, Process.STENCIL, Process.TAPE)
    for panel in making.plan.panels:
        for piece in panel.pieces:
            if piece.process in by_hand:
                found[piece.paint] = found.get(piece.paint, 0.0) + area(piece.outline)
    for row in rows:
        mm2 = found.pop(row.item, 0.0) if row.kind == "paint" else 0.0
        yield row if not mm2 else _with_more(row, mm2, making)
    for paint, mm2 in found.items():
        yield _with_more(Quantity("paint", paint, 0.0, "ml", "", price=None, how=()), mm2, making)


def _with_more(row: Quantity, mm2: float, making: Making) -> Quantity:
    """Return a row of paint with what is put on by hand, half of it lost."""
    need = row.need + max(PEN_LEAST_ML, mm2 * PEN_FILM_MM / 1000.0 * 2.0)
    buy, price = _in_packs(row.item, need, making.model.paint[row.item].packs)
    how = (
        f"{mm2 / 100:.1f} cm² by hand, {PEN_FILM_MM * 1000:g} µm wet, half of it lost; "
        f"never less than {PEN_LEAST_ML:g} ml (common practice)"
    )
    return replace(row, need=need, buy=buy, price=price, how=(*row.how, how))


def _leaf_goods(making: Making) -> Iterator[Quantity]:
    mm2 = _laid_mm2(making, Process.LEAF)
    if not mm2:
        return
    covers = making.model.leaf.size_covers
    need = max(5.0, mm2 / 1e6 / covers * 1000.0 * 2.0)
    how = (f"{mm2 / 100:.1f} cm², {covers:g} m² a litre, half lost (common practice)",)
    kind = making.model.leaf.size
    size = f"{kind} size"
    yield Quantity(
        "size", size, need, "ml", "1 x 50 ml" if need <= 50.0 else "", price=None, how=how
    )
    for item, why in (("cotton wool", "to burnish"), ("whiting", "to dust the colours with")):
        yield Quantity("leaf goods", item, 1, "pieces", "1 pack", price=None, how=(why,))
    if making.model.leaf.seal:
        yield Quantity("leaf goods", "leaf sealer", need, "ml", "", price=None, how=how)


def _size_cleaner(works: Works, making: Making) -> Iterator[Quantity]:
    """Yield what the size's brush is cleaned with; that of water-borne size is washed in water."""
    count = sum(one.session.steps[0].do == "size" for one in works.sessions)
    if count and making.model.leaf.size != "water-borne":
        need = count * BRUSH_CLEANER_ML
        how = (f"for the brush of {count} sizings, {BRUSH_CLEANER_ML:g} ml each (common practice)",)
        yield Quantity("cleaner", SIZE_CLEANER, need, "ml", "", price=None, how=how)


def _laid_mm2(making: Making, process: Process) -> float:
    return math.fsum(
        area(p.outline)
        for panel in making.plan.panels
        for p in panel.pieces
        if p.process is process
    )


def _masks(works: Works | None, making: Making) -> Iterator[Quantity]:
    """Yield paper, each pattern as often as it is needed at once, and film as it is nested."""
    need_mm2: dict[str, float] = {}
    at_once: dict[str, Counter[int]] = {}
    for panel in making.coats:
        for one in panel.coats:
            if one.parts:
                name = mask_name(panel, one)
                need_mm2.setdefault(name, paper_mm2(one))
                session = _sprayed_in(works, panel.name, one.coat.paint) if works else 0
                at_once.setdefault(name, Counter())[session] += 1
    copies = {name: max(counts.values()) for name, counts in at_once.items()}
    paper = math.fsum(need_mm2[name] * count for name, count in copies.items()) / 1e6
    saved = sum(sum(c.values()) for c in at_once.values()) - sum(copies.values())
    if paper:
        need = paper / PAPER_WIDE_M
        again = f"; used again: {saved} times" if saved else ""
        how = (f"{paper * 1e4:.0f} cm² with what is turned round edges{again}",)
        words = f"{math.ceil(need)} m, {PAPER_WIDE_M * 1000:g} mm wide"
        yield Quantity("paper", "masking paper", need, "m", words, price=None, how=how)
    if making.mask_film:
        wide = making.mask_film[0].width_mm
        need = math.fsum(s.length_mm for s in making.mask_film) / 1000.0
        count = sum(len(s.pieces) for s in making.mask_film)
        how = (f"{count} borders along edges too tight for tape, as they are nested",)
        words = f"{max(1, math.ceil(need))} m, {wide:g} mm wide"
        yield Quantity("mask film", "mask film", need, "m", words, price=None, how=how)


def _stencils(making: Making) -> Iterator[Quantity]:
    """Yield the film of stencils, each cut square from the roll of mask film."""
    wide = making.model.spraying.mask_film_width.mm
    sheets = tuple(stencil_sheets(making.plan, making.model))
    need_mm = 0.0
    for sheet in sheets:
        sides = sorted((sheet.drawing.width_mm, sheet.drawing.height_mm))
        need_mm += sides[0] if sides[1] <= wide else sides[1]
    if sheets:
        how = (f"{len(sheets)} stencils, one after another along the roll",)
        words = f"{math.ceil(need_mm / 1000.0)} m, {wide:g} mm wide"
        need = need_mm / 1000.0
        yield Quantity("mask film", "film for stencils", need, "m", words, price=None, how=how)


def _sprayed_in(works: Works, panel: str, paint: str) -> int:
    """Return the first session in which a panel is given a paint; 0 for none."""
    return next(
        (
            one.number
            for one in works.sessions
            if one.session.paint == paint and any(panel in s.on for s in one.session.steps)
        ),
        0,
    )


def _transfer(making: Making) -> Iterator[Quantity]:
    """Yield the tape that film is lifted with: as much as the film itself."""
    need = math.fsum(s.length_mm for s in making.sheets) / 1000.0
    if need:
        how = ("as much as there is film, laid over it once it is weeded",)
        words = f"{math.ceil(need)} m, as wide as the film"
        yield Quantity("transfer tape", "transfer tape", need, "m", words, price=None, how=how)


def _decals(making: Making) -> Iterator[Quantity]:
    mm2 = _laid_mm2(making, Process.DECAL)
    if mm2:
        need = max(DECAL_LEAST_ML, mm2 / 1e6 * DECAL_ML_PER_M2)
        how = (f"{mm2 / 100:.1f} cm² of decals, {DECAL_ML_PER_M2:g} ml a m² (common practice)",)
        for item in ("decal setting solution", "decal softening solution"):
            yield Quantity("decal solution", item, need, "ml", "", price=None, how=how)


def _cleaner(works: Works) -> Iterator[Quantity]:
    mixed = [one.mix.product.by for one in works.sessions if one.mix is not None]
    for by in ("brush", "roller"):
        if by in mixed:
            count = mixed.count(by)
            need = count * BRUSH_CLEANER_ML
            how = f"{count} sessions, {BRUSH_CLEANER_ML:g} ml each (common practice)"
            item = f"{by} cleaner"
            yield Quantity("cleaner", item, need, "ml", "", price=None, how=(how,))
            yield Quantity("tool", by, 1, "pieces", "1", price=None, how=("cleaned each time",))
    count = mixed.count("cloth")
    if count:
        need = count * WAX_CLOTHS
        how = f"{count} sessions, {WAX_CLOTHS} each: to wipe on, to rub up (common practice)"
        yield Quantity("cloth", "soft cloth", need, "pieces", str(need), price=None, how=(how,))
    count = mixed.count("spray")
    if count:
        need = count * CLEANER_ML
        how = f"{count} sessions, {CLEANER_ML:g} ml each (common practice)"
        yield Quantity("cleaner", "gun cleaner", need, "ml", "", price=None, how=(how,))
    count = sum(one.mix.pots for one in works.sessions if one.mix is not None)
    if count:
        how = f"one for each of {count} pots"
        yield Quantity(
            "mixing", "paint strainer", count, "pieces", str(count), price=None, how=(how,)
        )
        yield Quantity("mixing", "mixing cup", count, "pieces", str(count), price=None, how=(how,))


def _abrasives(works: Works, making: Making) -> Iterator[Quantity]:
    size = _areas(works)
    ridges = _ridges_m2(making)
    rubbed: dict[str, float] = {}
    for one in works.sessions:
        for step in one.session.steps:
            areas = ridges if step.do == "rub the ridge" else size
            used = (f"grit {KEY_GRIT}",) if one.session.keys else step.with_
            used = one.bared_with or used
            for grit in (w for w in used if w.startswith("grit ")):
                rubbed[grit] = rubbed.get(grit, 0.0) + sum(areas.get(n, 0.0) for n in step.on)
    for grit, m2 in sorted(rubbed.items(), key=lambda g: int(g[0].split()[1])):
        sheets = max(1, math.ceil(m2 / ABRASIVE_M2 - 1e-9))
        how = f"{m2 * 1e4:.0f} cm² rubbed, {ABRASIVE_M2 * 1e4:g} cm² a sheet (common practice)"
        yield Quantity(
            "abrasive",
            grit,
            m2 / ABRASIVE_M2,
            "pieces",
            "1 sheet" if sheets == 1 else f"{sheets} sheets",
            price=None,
            how=(how,),
        )


def _degreaser(works: Works) -> Iterator[Quantity]:
    """Yield what the surfaces are degreased with, before they are keyed and again after."""
    size = _areas(works)
    steps = [
        s
        for one in works.sessions
        for s in one.session.steps
        if one.bared_with or (s.do == "prepare" and not one.session.keys)
    ]
    m2 = math.fsum(size.get(name, 0.0) for s in steps for name in s.on)
    if m2:
        need = max(DEGREASER_LEAST_ML, 2.0 * m2 * DEGREASER_ML_PER_M2)
        how = (f"{m2 * 1e4:.0f} cm² twice, {DEGREASER_ML_PER_M2:g} ml a m² (common practice)",)
        yield Quantity("cleaner", "degreaser", need, "ml", "", price=None, how=how)
        wipes = max(1, math.ceil(2.0 * m2 / WIPE_M2 - 1e-9))
        how = (f"{m2 * 1e4:.0f} cm² twice, {WIPE_M2:g} m² each (common practice)",)
        yield Quantity("cloth", "lint-free wipe", wipes, "pieces", str(wipes), price=None, how=how)


def _put_on(works: Works, kind: str) -> list[tuple[str, float]]:
    """Return what of a kind is worked with by hand, and the area it is put on."""
    size = _areas(works)
    found: dict[str, float] = {}
    for step in (s for one in works.sessions if not one.session.keys for s in one.session.steps):
        for product in (w.removeprefix(kind) for w in step.with_ if w.startswith(kind)):
            m2 = sum(size.get(name, 0.0) for name in step.on)
            found[product] = found.get(product, 0.0) + m2
    return sorted(found.items())


def _compounds(works: Works) -> Iterator[Quantity]:
    for item, m2 in _put_on(works, COMPOUND):
        need = max(COMPOUND_LEAST_ML, m2 * COMPOUND_ML_PER_M2)
        how = (f"{m2 * 1e4:.0f} cm² polished, {COMPOUND_ML_PER_M2:g} ml a m² (common practice)",)
        yield Quantity("compound", item, need, "ml", "", price=None, how=how)
    count = sum(one.session.steps[0].do == "polish" for one in works.sessions)
    if count:
        need = count * POLISH_CLOTHS
        how = (f"{count} sessions, {POLISH_CLOTHS} each: one to polish, one to buff",)
        yield Quantity("cloth", "polishing cloth", need, "pieces", str(need), price=None, how=how)


def _fillers(works: Works) -> Iterator[Quantity]:
    for item, m2 in _put_on(works, FILLER):
        need = max(FILLER_LEAST_ML, m2 * FILLER_ML_PER_M2)
        how = (f"{m2 * 1e4:.0f} cm² filled, {FILLER_ML_PER_M2:g} ml a m² (common practice)",)
        yield Quantity("filler", item, need, "ml", "", price=None, how=how)


def _ridges_m2(making: Making) -> dict[str, float]:
    """Return the area of each panel's bare ridges."""
    return {
        p.name: sum(m.bare_mm for c in p.coats for m in c.coat.masks) / 1000.0 * RIDGE_M
        for p in making.coats
    }


def _cloths(works: Works) -> Iterator[Quantity]:
    wiped = math.fsum(
        step.area_m2 for one in works.sessions if one.mix for step in one.session.steps
    )
    if wiped:
        count = max(1, math.ceil(wiped / CLOTH_M2 - 1e-9))
        how = f"{wiped:.2f} m² wiped before spraying, {CLOTH_M2:g} m² a cloth (common practice)"
        yield Quantity(
            "cloth", "tack cloth", wiped / CLOTH_M2, "pieces", str(count), price=None, how=(how,)
        )


def _areas(works: Works) -> dict[str, float]:
    """Return the largest area sprayed of each panel or surface, alike ones sharing theirs."""
    found: dict[str, float] = {}
    for one in works.sessions:
        for step in one.session.steps if one.mix else ():
            for name in step.on:
                found[name] = max(found.get(name, 0.0), step.area_m2 / len(step.on))
    return found
