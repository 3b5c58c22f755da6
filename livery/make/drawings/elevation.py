"""The elevation: a panel in colour, as it will look when finished."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from fontTools.misc.transform import Offset, Transform

from livery.drawing import Area, Drawing, Label, Mark
from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.layout.plan import PanelPlan, PlatePlan
from livery.make.drawings.keep_out_ink import keep_out_inks
from livery.make.drawings.plate_look import marks_on_panel

MARGIN_MM = 12.0
"""The margin round the panel, in millimetres (chosen: room for its caption). Larger, and the
picture is larger."""

CAPTION_MM = 3.0
"""The cap height of the title, in millimetres (chosen). Larger, and long titles run past a small
panel."""

BARE_METAL = "#b4b8ba"
DAYLIGHT = "#eef1f2"
INK = "#1c1c1c"
EDGE_MM = 0.2
"""The width of the lines round panel and keep-outs, in millimetres (chosen: seen, and hides no
lining). Larger, and it hides lining at an edge."""


def elevation(
    plan: PanelPlan, colours: Mapping[str, str], plates: Iterable[PlatePlan] = ()
) -> Drawing:
    """Return the drawing of a finished panel; ``colours`` gives each paint's ``#rrggbb``.

    Those of the plates that stand on the panel are drawn on it.

    A paint without a colour there, a clear one, is not drawn.
    """
    box = bounds(plan.frame.outline)
    move = elevation_transform(plan)
    marks: list[Mark] = [Area(plan.frame.outline.transformed(move), BARE_METAL, layer="metal")]
    for piece in plan.pieces:
        if piece.paint not in colours:
            continue
        outline = piece.outline.transformed(move)
        marks.append(Area(outline, colours[piece.paint], layer="livery", name=piece.name))
    inks = keep_out_inks(plan, colours, BARE_METAL)
    for keep_out, ink in zip(plan.keep_outs, inks, strict=True):
        outline = keep_out.outline.transformed(move)
        fill = DAYLIGHT if keep_out.is_opening else None
        marks.append(Area(outline, fill, ink, EDGE_MM, "keep-outs", name=keep_out.name))
    marks.append(
        Area(plan.frame.outline.transformed(move), None, INK, EDGE_MM, "edge", name=plan.name)
    )
    marks += marks_on_panel(plates, plan.name, colours, move)
    marks += _caption(plan)
    return Drawing(
        f"elevation-{plan.name}",
        f"{plan.title}: elevation",
        box.width + 2 * MARGIN_MM,
        box.height + 3 * MARGIN_MM,
        tuple(marks),
    )


def elevation_transform(plan: PanelPlan) -> Transform:
    """Return the move from a panel to its elevation."""
    box = bounds(plan.frame.outline)
    return Offset(MARGIN_MM - box.left, 2 * MARGIN_MM - box.bottom)


def _caption(plan: PanelPlan) -> Iterator[Label]:
    box = bounds(plan.frame.outline)
    size = f"{box.width:.1f} x {box.height:.1f} mm as built, {plan.frame.scale}"
    yield Label(plan.title, Point(MARGIN_MM, MARGIN_MM), CAPTION_MM, colour=INK)
    yield Label(size, Point(MARGIN_MM, MARGIN_MM - 1.8 * CAPTION_MM), CAPTION_MM * 0.7, colour=INK)
