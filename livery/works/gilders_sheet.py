"""The gilder's sheet: size, time to tack, leaves in strips, overlap, burnishing, sealing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from livery.build_folder import filed
from livery.drawing import Drawing
from livery.layout.piece import Piece
from livery.make.coats.coat_schedule import hours
from livery.make.leaf.size_masks import MASKED
from livery.make.making import Making
from livery.make.quantities.job_quantities import Quantity
from livery.make.quantities.needs import LEAF_OVERLAP_MM
from livery.make.sheets.page_flow import FAINT, TITLE_MM, PageFlow, with_no_short_page
from livery.process import Process
from livery.works.gilding import GildedArea, gilded_areas, size_lots
from livery.works.works_plan import Works

BOX = "[  ]"
DO = ("size", "lay leaf", "burnish", "seal")


def gilder_pages(
    lines: Sequence[str], making: Making, cautions: Sequence[str]
) -> tuple[Drawing, ...]:
    """Return the gilder's sheet: its lines, each with a box to tick."""
    return with_no_short_page(lambda t: _pages(lines, making, cautions, t)).drawings()


def _pages(
    lines: Sequence[str], making: Making, cautions: Sequence[str], tightness: float
) -> PageFlow:
    job = making.model.job
    book = PageFlow("gilding", f"{job.title}: gilder's sheet", job.paper, tightness=tightness)
    book.text(f"{job.title}: gilder's sheet", height=TITLE_MM)
    book.text(_source(making), colour=FAINT)
    book.gap(2.0)
    for line in lines:
        book.text(line, indent=8.0, mark=BOX)
    book.heading("Cautions")
    for words in cautions:
        book.text(words)
    return book


def gilder_text(lines: Sequence[str], making: Making, cautions: Sequence[str]) -> str:
    """Return the gilder's sheet as text."""
    head = (f"{making.model.job.title}: gilder's sheet", "", _source(making), "")
    return "\n".join((*head, *lines, "", "Cautions", *cautions)) + "\n"


def _source(making: Making) -> str:
    sheet = making.model.leaf.sheet or "common practice, from memory"
    return f"Figures by {sheet}; the label of your size governs."


def gilder_lines(works: Works | None, making: Making, rows: Sequence[Quantity]) -> Iterator[str]:
    """Yield what is done and ticked off, in order; without ``works`` it has no dates."""
    areas = gilded_areas(making)
    if not areas:
        return
    for row in (r for r in rows if r.kind == "leaf"):
        leaves = "1 leaf" if round(row.need) == 1 else f"{row.need:.0f} leaves"
        yield f"{row.item}: {leaves}, {row.buy}; {'; '.join(row.how)}"
    yield from (one.words for one in areas)
    yield from _masks(making)
    yield from _lots(areas, making)
    yield "dust the colours with whiting, so that leaf holds to the size alone"
    yield from _sessions(works, making)
    yield from _finish(making)


def _masks(making: Making) -> Iterator[str]:
    """Yield how the letters are put on the panel: by their masks, or by pouncing."""
    for sheet in making.size_masks:
        parts = sorted(
            (one.part for one in sheet.parts if not one.is_spare), key=lambda part: part.number
        )
        named = "; ".join(f"{p.number} {p.piece.panel}, {p.name}" for p in parts)
        yield (
            f"masks for the size, {filed(sheet.name)}: {named}; weed the letters out, lay the rest by its "
            "carrier, size within it, and lift it as soon as the leaf is on, before the size is hard"
        )
    masked = {
        (one.part.piece.key, one.part.piece.paint)
        for sheet in making.size_masks
        for one in sheet.parts
    }
    for panel in making.plan.panels:
        for piece in panel.pieces:
            is_masked = not _is_leaf(piece) or (piece.key, piece.paint) in masked
            if piece.kind in MASKED and piece.outline and not is_masked:
                yield f"{panel.name}, {piece.name}: larger than the mask film, so pounced"
    if any(p.kind in MASKED for panel in making.plan.panels for p in panel.pieces if _is_leaf(p)):
        yield (
            "or freehand: prick the tracing along its dots from behind, tape it to its crosses, "
            "pounce it with a bag of whiting, and size within the dots"
        )


def _is_leaf(piece: Piece) -> bool:
    return piece.process is Process.LEAF


def _lots(areas: Sequence[GildedArea], making: Making) -> Iterator[str]:
    """Yield what is sized at once, so that all of it is laid while the size takes leaf."""
    leaf = making.model.leaf
    open_h = leaf.tack_until - leaf.tack
    lots = size_lots(areas, open_h, leaf.laid_an_hour)
    yield (
        f"size no more at once than is laid while it takes leaf: {hours(open_h)} at "
        f"{leaf.laid_an_hour / 100:g} cm² an hour, {open_h * leaf.laid_an_hour / 100:.0f} cm²"
    )
    for i, lot in enumerate(lots, start=1):
        named = "; ".join(f"{one.panel}, {one.name}" for one in lot)
        total = sum(one.area_mm2 for one in lot)
        late = "; more than is laid in that time: size and lay it in parts, at a joint or between letters"
        is_late = total > open_h * leaf.laid_an_hour * (1.0 + 1e-9)
        yield f"to size at once, {i}: {named} ({total / 100:.1f} cm²){late if is_late else ''}"


def _sessions(works: Works | None, making: Making) -> Iterator[str]:
    """Yield every session of gilding with its times, or, without a plan, how long each takes."""
    leaf = making.model.leaf
    tack = (
        f"{leaf.size} size laid at ____; leaf from {hours(leaf.tack)} after it until "
        f"{hours(leaf.tack_until)} after it; touch it with a knuckle: it pulls and does not "
        "wet the finger; tacky at ____"
    )
    if works is None:
        yield tack
        return
    for one in works.sessions:
        if one.session.steps[0].do in DO and not one.session.keys:
            yield f"{one.start:%a %d %b, %H:%M} to {one.end:%H:%M}: {one.words}"
            if one.session.steps[0].do == "size":
                yield tack


def _finish(making: Making) -> Iterator[str]:
    """Yield how the leaf is lapped, burnished and sealed."""
    leaf = making.model.leaf
    yield (
        f"leaf laps {LEAF_OVERLAP_MM:g} mm over leaf and over the edge; cut strips that much "
        "wider on both sides"
    )
    yield f"burnish lightly after {hours(leaf.burnish_after)}; look for gaps, and size and leaf them again"
    if leaf.seal:
        yield (
            "seal with the clear sealer that the leaf's maker names, by a soft brush in one pass, 3 mm "
            f"past the leaf; covered no earlier than {hours(leaf.cover_after)} after"
        )
    else:
        yield (
            "not sealed: gold of 22 carat and more keeps its colour (common practice); silver, copper "
            "and imitation leaf tarnish, and [leaf] seal = true seals them"
        )
    yield from _over(making)


def _over(making: Making) -> Iterator[str]:
    """Yield which clear coats go over the leaf, when, and what would lift it."""
    leaf = making.model.leaf
    after = hours(leaf.seal_dries) if leaf.seal else hours(leaf.cover_after)
    clears = {
        one.coat.paint
        for panel in making.coats
        if any(_is_leaf(p) and p.outline for p in panel.panel.pieces)
        for one in panel.coats
        if one.is_clear
    }
    for paint in sorted(clears):
        yield f"{paint} goes over it {after} after it is {'sealed' if leaf.seal else 'burnished'}"
    yield (
        "strong solvents, as in cellulose and acrylic lacquers, lift leaf that is not sealed, and paint "
        "and size that are not hard (common practice)"
    )
