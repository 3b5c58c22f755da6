"""The gilder's sheet: size, time to tack, leaves in strips, overlap, burnishing, sealing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from livery.drawing import Drawing
from livery.geometry.measure import area, bounds
from livery.make.coats.coat_schedule import hours
from livery.make.making import Making
from livery.make.quantities.job_quantities import Quantity
from livery.make.quantities.needs import LEAF_OVERLAP_MM
from livery.make.sheets.page_flow import FAINT, TITLE_MM, PageFlow
from livery.process import Process
from livery.works.works_plan import Works

BOX = "[  ]"
DO = ("size", "lay leaf", "burnish", "seal")


def gilder_pages(
    works: Works, making: Making, rows: Sequence[Quantity], cautions: Sequence[str]
) -> tuple[Drawing, ...]:
    """Return the gilder's sheet; none where no leaf is laid."""
    lines = tuple(gilder_lines(works, making, rows))
    if not lines:
        return ()
    job = making.model.job
    book = PageFlow("gilding", f"{job.title}: gilder's sheet", job.paper)
    book.text(f"{job.title}: gilder's sheet", height=TITLE_MM)
    book.text("Times are common practice where your size's own label is not entered.", colour=FAINT)
    book.gap(2.0)
    for line in lines:
        book.text(line, indent=8.0, mark=BOX)
    book.heading("Cautions")
    for words in cautions:
        book.text(words)
    return book.drawings()


def gilder_lines(works: Works, making: Making, rows: Sequence[Quantity]) -> Iterator[str]:
    """Yield what is done and ticked off, in order."""
    leaf = making.model.leaf
    sessions = [s for s in works.sessions if s.session.steps[0].do in DO and not s.session.keys]
    if not sessions:
        return
    for row in (r for r in rows if r.kind == "leaf"):
        yield f"{row.item}: {row.need:.0f} leaves, {row.buy}; {'; '.join(row.how)}"
    yield from _strips(making)
    yield "dust the colours with whiting, so that leaf holds to the size alone"
    for one in sessions:
        when = f"{one.start:%a %d %b, %H:%M} to {one.end:%H:%M}"
        yield f"{when}: {one.words}"
        if one.session.steps[0].do == "size":
            yield (
                f"size laid at ____; leaf from {hours(leaf.tack)} after it until "
                f"{hours(leaf.tack_until)} after it; the knuckle test: it pulls and does not "
                "wet the finger; tacky at ____"
            )
    yield (
        f"leaf laps {LEAF_OVERLAP_MM:g} mm over leaf and over the edge; cut strips that much "
        "wider on both sides"
    )
    yield f"burnish lightly after {hours(leaf.burnish_after)}; look for holidays and fault them in"
    if leaf.seal:
        yield f"sealed; covered no earlier than {hours(leaf.cover_after)} after"
    else:
        yield "not sealed: leaf that is not gold or its like tarnishes; [leaf] seal = true seals it"


def _strips(making: Making) -> Iterator[str]:
    """Yield each panel's gilded pieces with their size, to cut strips for."""
    for panel in making.plan.panels:
        gilded = [p for p in panel.pieces if p.process is Process.LEAF]
        for piece in gilded:
            box = bounds(piece.outline)
            wide = min(box.width, box.height) + 2 * LEAF_OVERLAP_MM
            yield (
                f"{panel.name}, {piece.name}: {box.width:.0f} x {box.height:.0f} mm over all, "
                f"{area(piece.outline) / 100:.1f} cm²; strips {wide:.0f} mm wide, or whole leaves"
            )
