"""A full-size template as PDF, over as many pages of ordinary paper as it needs."""

from __future__ import annotations

from collections.abc import Iterable
from io import BytesIO
from typing import Any

from livery.drawing import Drawing, Mark
from livery.paper_sizes import Roll
from livery.work_cache import kept
from livery.write.pdf import POINTS_PER_MM, draw_marks, marks_in_order, open_canvas
from livery.write.tile_overview import TileOverview, tile_overview
from livery.write.tiles import NamedLine, Tile, TilePlan, foot_marks, page_marks, plan_tiles


@kept
def tiled_pdf(
    drawing: Drawing,
    paper: str | Roll = "A4",
    margin_mm: float = 10.0,
    overlap_mm: float = 10.0,
    lines: tuple[NamedLine, ...] = (),
) -> bytes:
    """Return the drawing at full size on pages of ``paper``: one of ``PAPERS_MM``, or a roll.

    Every page carries the title, a 100 mm and a 4 in bar to be measured before
    use and, where there are several, the tile's name, the lines it joins its
    neighbours on and a key, and the name of each of ``lines`` that it shows.  Several tiles
    have a plan of all of them as the first page.  The drawing is stored once and shown on each.
    """
    plan = plan_tiles(drawing, paper, margin_mm, overlap_mm, lines)
    file = BytesIO()
    canvas = open_canvas(file, drawing.title)
    width, height = drawing.width_mm * POINTS_PER_MM, drawing.height_mm * POINTS_PER_MM
    canvas.beginForm("drawing", 0, 0, width, height)
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    draw_marks(canvas, marks_in_order(drawing))
    canvas.endForm()
    if plan.count > 1:
        overview = tile_overview(plan)
        _turn_page(canvas, overview.page_mm)
        _begin_page(canvas, plan, overview.page_mm[0])
        _show_whole(canvas, overview)
        _finish_page(canvas, overview.marks)
    for tile in plan.tiles():
        _turn_page(canvas, plan.page_mm)
        _begin_page(canvas, plan, plan.page_mm[0])
        _show(canvas, plan, tile)
        _finish_page(canvas, page_marks(plan, tile))
    canvas.save()
    return file.getvalue()


def _turn_page(canvas: Any, page_mm: tuple[float, float]) -> None:
    canvas.setPageSize(tuple(side * POINTS_PER_MM for side in page_mm))


def _begin_page(canvas: Any, plan: TilePlan, width: float) -> None:
    """Write the title and the bars: they go before the drawing, as words are read or copied."""
    canvas.saveState()
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    draw_marks(canvas, foot_marks(plan, width))
    canvas.restoreState()


def _finish_page(canvas: Any, marks: Iterable[Mark]) -> None:
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    draw_marks(canvas, marks)
    canvas.showPage()


def _show_whole(canvas: Any, overview: TileOverview) -> None:
    """Place the whole stored drawing, reduced, where the plan of the tiles has it."""
    canvas.saveState()
    canvas.translate(*(v * POINTS_PER_MM for v in overview.origin))
    canvas.scale(1.0 / overview.reduction, 1.0 / overview.reduction)
    canvas.doForm("drawing")
    canvas.restoreState()


def _show(canvas: Any, plan: TilePlan, tile: Tile) -> None:
    """Place the stored drawing so that the tile's part of it shows in the page's window."""
    x, y = (v * POINTS_PER_MM for v in plan.window_at)
    width, height = (v * POINTS_PER_MM for v in plan.window_mm)
    canvas.saveState()
    window = canvas.beginPath()
    window.rect(x, y, width, height)
    canvas.clipPath(window, stroke=0, fill=0)
    canvas.translate(x - tile.left_mm * POINTS_PER_MM, y - tile.bottom_mm * POINTS_PER_MM)
    canvas.doForm("drawing")
    canvas.restoreState()
