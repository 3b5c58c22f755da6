"""Cut sheets: what the cutter cuts, one file for each paint and process.

Each panel's shapes keep their places among themselves, so that a whole band or a
whole word is laid in register in one go.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fontTools.misc.transform import Identity, Offset

from livery.geometry.boolean import union
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.layout.piece import Piece
from livery.layout.plan import Plan
from livery.process import Process
from livery.write.drawing import Area, Drawing, Label, Mark

CUT = (Process.CUT_FILM, Process.DECAL)
MARGIN_MM = 10.0
BETWEEN_MM = 12.0
LABEL_MM = 2.5
BLACK = "#000000"


@dataclass(frozen=True, slots=True)
class CutGroup:
    """Everything of one paint by one process that is cut the same way round."""

    paint: str
    process: Process
    mirrored: bool
    by_panel: tuple[tuple[str, Outline], ...]

    @property
    def name(self) -> str:
        """The file's name, without its ending."""
        words = ["cut", self.paint, self.process.value, *(["mirrored"] if self.mirrored else [])]
        return "-".join(words).replace(" ", "-")


def cut_groups(plan: Plan) -> tuple[CutGroup, ...]:
    """Return what is to be cut, overlaps of one paint on one panel joined."""
    kinds: dict[tuple[str, Process, bool], None] = {}
    for panel in plan.panels:
        for piece in panel.pieces:
            if piece.process in CUT:
                kinds[piece.paint, piece.process, piece.mirrored] = None
    return tuple(_group(plan, *kind) for kind in kinds)


def _group(plan: Plan, paint: str, process: Process, mirrored: bool) -> CutGroup:
    def belongs(piece: Piece) -> bool:
        return (piece.paint, piece.process, piece.mirrored) == (paint, process, mirrored)

    by_panel = []
    for panel in plan.panels:
        outlines = [p.outline for p in panel.pieces if belongs(p)]
        if outlines:
            by_panel.append((panel.name, union(*outlines)))
    return CutGroup(paint, process, mirrored, tuple(by_panel))


def cut_sheet(group: CutGroup, title: str) -> Drawing:
    """Return the sheet of one group: closed hairlines, panel above panel, with uncut labels."""
    placed = list(_stacked(group.by_panel, mirrored=group.mirrored))
    width = max(bounds(outline).right for _, outline, _ in placed) + MARGIN_MM
    height = bounds(placed[-1][1]).top + MARGIN_MM
    marks: list[Mark] = []
    for panel, outline, below in placed:
        marks.append(Area(outline, None, BLACK, layer="cut", name=panel))
        side = ", cut mirrored" if group.mirrored else ""
        words = f"{panel}: {group.paint}{side}"
        marks.append(Label(words, Point(MARGIN_MM, below), LABEL_MM, layer="labels-not-cut"))
    return Drawing(group.name, f"{title}: {group.name}", width, height, tuple(marks))


def _stacked(
    by_panel: Sequence[tuple[str, Outline]], *, mirrored: bool
) -> Iterator[tuple[str, Outline, float]]:
    """Yield each panel's outline moved above the one before, and where its label stands."""
    y = MARGIN_MM
    for panel, outline in by_panel:
        shown = outline.transformed(Identity.scale(-1, 1)) if mirrored else outline
        box = bounds(shown)
        bottom = y + LABEL_MM + 2.0
        yield panel, shown.transformed(Offset(MARGIN_MM - box.left, bottom - box.bottom)), y
        y = bottom + box.height + BETWEEN_MM
