"""Masks: the film that keeps a sprayed field's paint off the rest of its panel."""

from __future__ import annotations

from collections.abc import Iterator

from fontTools.misc.transform import Offset

from livery.geometry.boolean import difference, union
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Outline, Point
from livery.layout.piece import Kind, Piece
from livery.layout.plan import PanelPlan
from livery.process import Process
from livery.write.drawing import Area, Drawing, Label

MARGIN_MM = 10.0
LABEL_MM = 2.5
LEAST_MASK_MM2 = 0.5


def sprayed_fields(plan: PanelPlan) -> tuple[tuple[str, Outline], ...]:
    """Return each sprayed paint of a panel with the region of it that is seen at the end."""
    sprayed = [p for p in plan.pieces if p.process is Process.SPRAY and p.kind is Kind.FIELD]
    seen: dict[str, list[Outline]] = {}
    for i, piece in enumerate(sprayed):
        over = [p.outline for p in sprayed[i + 1 :] if _is_over(p, piece)]
        visible = difference(piece.outline, union(*over)) if over else piece.outline
        if visible:
            seen.setdefault(piece.paint, []).append(visible)
    return tuple((paint, union(*outlines)) for paint, outlines in seen.items())


def _is_over(piece: Piece, other: Piece) -> bool:
    return piece.level > other.level and piece.paint != other.paint


def masks(plan: PanelPlan, title: str) -> Iterator[Drawing]:
    """Yield one mask for each sprayed paint that does not cover the whole panel."""
    whole = plan.frame.outline
    openings = [k.outline for k in plan.keep_outs if k.is_opening]
    sheet = difference(whole, union(*openings)) if openings else whole
    for paint, visible in sprayed_fields(plan):
        film = difference(sheet, visible)
        if not film or area(film) < LEAST_MASK_MM2:
            continue
        box = bounds(film)
        foot = MARGIN_MM + LABEL_MM + 2.0
        moved = film.transformed(Offset(MARGIN_MM - box.left, foot - box.bottom))
        words = f"{plan.name}: mask for {paint}"
        yield Drawing(
            f"mask-{plan.name}-{paint}",
            f"{title}: {words}",
            box.width + 2 * MARGIN_MM,
            box.height + foot + MARGIN_MM,
            (
                Area(moved, None, "#000000", layer="cut", name=f"mask-{paint}"),
                Label(words, Point(MARGIN_MM, MARGIN_MM), LABEL_MM, layer="labels-not-cut"),
            ),
        )
