"""Artwork to follow: what is neither sprayed nor cut, true to size, one file for each panel and way.

A tape is laid along it, a pen or a brush follows it, leaf is laid within it, a
plate is made from it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fontTools.misc.transform import Offset, Transform

from livery.drawing import Area, Drawing, Label, Mark
from livery.geometry.outline import Point
from livery.layout.piece import Piece
from livery.layout.plan import PanelPlan, Plan
from livery.process import CUT, Process
from livery.write.measuring_bar import HUNDRED_MM

MARGIN_MM = 12.0
"""The margin round the artwork, in millimetres (chosen: room for words and the bar). Larger, and
the file is larger."""

LABEL_MM = 2.5
"""The cap height of words, in millimetres (ISO 3098: 2.5). Larger, and long words run past a small
panel."""

BAR_UP_MM = 4.0
"""How far the bar stands from the foot of the page, in millimetres (chosen: within what printers
reach). Smaller, and a printer leaves it out."""

INK = "#000000"


@dataclass(frozen=True)
class Artwork:
    """The pieces of one panel put on in one way, and the drawing to follow."""

    panel: PanelPlan
    process: Process
    pieces: tuple[Piece, ...]
    drawing: Drawing
    from_panel: Transform


def piece_element(piece: Piece) -> str:
    """Return the name a piece has in the artwork: its level makes it unique."""
    return f"piece-{piece.level}"


def artworks(plan: Plan, title: str) -> Iterator[Artwork]:
    """Yield the artwork of every panel and process that needs one."""
    for panel in plan.panels:
        processes = dict.fromkeys(p.process for p in panel.pieces)
        for process in processes:
            if process not in (*CUT, Process.SPRAY):
                yield _artwork(panel, process, title)


def _artwork(panel: PanelPlan, process: Process, title: str) -> Artwork:
    pieces = tuple(p for p in panel.pieces if p.process is process and p.outline)
    box = panel.frame.extent
    move = Offset(MARGIN_MM - box.left, 2 * MARGIN_MM - box.bottom)
    marks: list[Mark] = [
        Area(p.outline.transformed(move), None, INK, layer="artwork", name=piece_element(p))
        for p in pieces
    ]
    marks.append(Area(panel.frame.outline.transformed(move), None, "#909090", layer="panel-edge"))
    paints = ", ".join(dict.fromkeys(p.paint for p in pieces))
    words = f"{panel.name}: {process.value} in {paints}"
    marks.append(Label(words, Point(MARGIN_MM, MARGIN_MM), LABEL_MM, layer="labels"))
    marks += HUNDRED_MM.marks(Point(MARGIN_MM, BAR_UP_MM))
    name = f"artwork-{panel.name}-{process.value}".replace(" ", "-")
    drawing = Drawing(
        name,
        f"{title}: {words}",
        max(box.width, HUNDRED_MM.length_mm) + 2 * MARGIN_MM,
        box.height + 3 * MARGIN_MM,
        tuple(marks),
    )
    return Artwork(panel, process, pieces, drawing, move)
