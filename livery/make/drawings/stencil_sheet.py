"""Stencils: the sheet each layer of stencilled lettering is painted through, true to size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fontTools.misc.transform import Offset, Transform

from livery.describe.entries.description import DescriptionModel
from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.layout.piece import Piece
from livery.layout.plan import PanelPlan, Plan
from livery.make.coats.stencil_layers import stencil_layers
from livery.make.film.register import marks_round
from livery.write.label_face import CAPTION_LEADING, LEAST_CAP_MM, few_lines

MOST_LINES = 2
"""Lines of words below a stencil (chosen). More, and they run into the stencil; fewer, and long
words are set smaller."""

BELOW_MM = 6.0
"""Room below the stencil for its words, in millimetres (chosen). Smaller, and words lie on what is
cut."""

OPENINGS = "openings"
"""What is cut out of a stencil, as an element of its file."""


@dataclass(frozen=True)
class StencilSheet:
    """One stencil: its drawing, the layer it is cut for and where its sheet lies on the panel."""

    panel: PanelPlan
    layer: Piece
    drawing: Drawing
    from_panel: Transform
    sheet: Bounds


def stencil_sheets(plan: Plan, model: DescriptionModel) -> Iterator[StencilSheet]:
    """Yield each stencil: its edge and openings to cut, and its register marks.

    The layers of one entry have one size of sheet and the same register marks, so that
    each is laid where the last one was.
    """
    for panel in plan.panels:
        for one in stencil_layers(panel):
            margin = panel.frame.scale.to_model(one.entry.margin)
            yield _sheet(one.name, panel, one.layers, one.layer, margin, title=model.job.title)


def _sheet(
    name: str, panel: PanelPlan, layers: Sequence[Piece], layer: Piece, margin: float, *, title: str
) -> StencilSheet:
    box = Bounds(*_together(layers))
    move = Offset(margin - box.left, margin + BELOW_MM - box.bottom)
    width, height = box.width + 2.0 * margin, box.height + 2.0 * margin
    edge = rectangle(width, height, Point(0.0, BELOW_MM))
    marks: list[Mark] = [
        Area(layer.outline.transformed(move), None, "#000000", layer="cut", name=OPENINGS),
        Area(edge, None, "#000000", layer="cut", name="edge"),
    ]
    register = marks_round([[p.outline for p in layers]], 0.3 * margin, 0.15 * margin)
    marks += (
        Stroke(line.transformed(move), "#1f4fbf", layer="register")
        for mark in register
        for line in mark.lines
    )
    words = f"{panel.name}: stencil, {layer.name}, {layer.paint}"
    lines, long = few_lines(words, LEAST_CAP_MM, width - 2.0, MOST_LINES)
    for i, line in enumerate(lines, start=1):
        at = Point(1.0, 0.8 + (len(lines) - i) * CAPTION_LEADING * LEAST_CAP_MM)
        marks.append(Label(line, at, LEAST_CAP_MM, layer="labels-not-cut"))
    page = (max(width, long + 2.0), height + BELOW_MM)
    drawing = Drawing(name, f"{title}: {words}", *page, tuple(marks))
    sheet = Bounds(box.left - margin, box.bottom - margin, box.right + margin, box.top + margin)
    return StencilSheet(panel, layer, drawing, move, sheet)


def _together(layers: Sequence[Piece]) -> tuple[float, float, float, float]:
    boxes = [bounds(p.outline) for p in layers]
    return (
        min(b.left for b in boxes),
        min(b.bottom for b in boxes),
        max(b.right for b in boxes),
        max(b.top for b in boxes),
    )
