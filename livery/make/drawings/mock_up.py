"""The mock-up: a panel in colour at full size with its fold lines and tabs, to print on card."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from fontTools.misc.transform import Offset

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Contour, Outline, Point
from livery.layout.plan import PanelPlan, PlatePlan
from livery.make.drawings.card_tabs import DEPTHS_MM, card_slots, card_tabs
from livery.make.drawings.elevation import BARE_METAL
from livery.make.drawings.keep_out_ink import keep_out_inks
from livery.make.drawings.plate_look import marks_on_panel
from livery.write.label_face import label_width

MARGIN_MM = DEPTHS_MM[0] + 4.0
"""The margin round the panel, in millimetres (chosen: the deeper tab and a gap). Smaller, and tabs
run off the page."""

EDGE_MM = 0.25
"""The width of the lines to cut, in millimetres (ISO 128: 0.25). Larger, and panels come out
larger or smaller by as much."""

LINE_MM = 0.15
"""The width of tabs' and folds' lines, in millimetres (chosen: finer than what is cut). Larger,
and they are taken for lines to cut."""

LABEL_MM = 2.5
"""The cap height of words, in millimetres (ISO 3098: 2.5). Larger, and notes of near folds have
less room."""

ROW_MM = 5.0
"""The distance of lines of words, in millimetres (chosen: twice the words). Smaller, and notes of
near folds run together."""

INK = "#000000"
PAPER = "#ffffff"
HOW_BENT = ": round it between its outer lines"
FOLD_DASHES = (3.0, 1.5)
"""Dash and gap of a fold line, in millimetres (chosen; ISO 128 has dashes of 12 line widths).
Longer, and a short fold shows no gap."""


def mock_up(
    plan: PanelPlan, colours: Mapping[str, str], title: str, plates: Iterable[PlatePlan] = ()
) -> Drawing:
    """Return the drawing of a panel to cut out of card, score along its fold lines and glue.

    The plates that stand on the panel are drawn on it.

    ``colours`` gives each paint's ``#rrggbb``; a paint without one, a clear one, is not drawn.
    Openings are white, to cut out.
    """
    labels = _fold_labels(plan)
    reach = _reach(plan, labels)
    move = Offset(-reach.left, -reach.bottom)
    edge = plan.frame.outline.transformed(move)
    marks: list[Mark] = [
        Area(Outline((tab.transformed(move),)), PAPER, INK, LINE_MM, "tabs")
        for tab in card_tabs(plan.frame.outline, plan.frame.guides, plan.frame.surface)
    ]
    marks.append(Area(edge, BARE_METAL, layer="metal"))
    for piece in plan.pieces:
        if piece.paint in colours:
            outline = piece.outline.transformed(move)
            marks.append(Area(outline, colours[piece.paint], layer="livery", name=piece.name))
    inks = keep_out_inks(plan, colours, BARE_METAL)
    for keep_out, ink in zip(plan.keep_outs, inks, strict=True):
        outline = keep_out.outline.transformed(move)
        fill = PAPER if keep_out.is_opening else None
        marks.append(Area(outline, fill, ink, EDGE_MM, "keep-outs", name=keep_out.name))
    marks += marks_on_panel(plates, plan.name, colours, move)
    for slot in card_slots(plan.frame.outline, plan.frame.guides, plan.frame.surface):
        marks.append(Stroke(slot.transformed(move), INK, EDGE_MM, layer="slots"))
    for guide in plan.frame.guides:
        fold = guide.contour.transformed(move)
        marks.append(Stroke(fold, INK, LINE_MM, FOLD_DASHES, "folds"))
    marks.append(Area(edge, None, INK, EDGE_MM, "edge", name=plan.name))
    marks += (replace(one, at=Point(*move.transformPoint(one.at))) for one in labels)
    return Drawing(
        f"mock-up-{plan.name}",
        f"{title}: mock-up for card, full size",
        reach.width,
        reach.height,
        tuple(marks),
    )


def mock_up_lines(plan: PanelPlan) -> Iterator[Contour]:
    """Yield every line of a mock-up that its elevation does not have: tabs, slots, fold lines."""
    yield from card_slots(plan.frame.outline, plan.frame.guides, plan.frame.surface)
    yield from card_tabs(plan.frame.outline, plan.frame.guides, plan.frame.surface)
    yield from (guide.contour for guide in plan.frame.guides)


def _fold_labels(plan: PanelPlan) -> list[Label]:
    """Return how each bend is made, beside the end of its line and clear of the colours and the tabs.

    Three sharp folds would not close on the metal: between its first line and its last the card is
    round.

    Those of upright lines stand above the panel, in as many rows as they need; those of level
    ones at its right, one below the other.
    """
    box = bounds(plan.frame.outline)
    labels: list[Label] = []
    row_ends: list[float] = []
    free_below = math.inf
    named = [g for g in plan.frame.guides if g.label and not g.firm]
    for guide in sorted(named, key=lambda g: (g.contour.end.x, -g.contour.end.y)):
        start, end = guide.contour.start, guide.contour.end
        words = f"{guide.label}{HOW_BENT}"
        if abs(end.y - start.y) < abs(end.x - start.x):
            y = min(end.y - LABEL_MM / 2.0, free_below)
            labels.append(Label(words, Point(box.right + MARGIN_MM, y), LABEL_MM))
            free_below = y - ROW_MM
            continue
        wide = label_width(words, LABEL_MM)
        left = end.x - wide / 2.0
        row = next((i for i, taken in enumerate(row_ends) if left > taken), len(row_ends))
        row_ends[row:] = [left + wide + LABEL_MM, *row_ends[row + 1 :]]
        at = Point(left, box.top + MARGIN_MM + row * ROW_MM)
        labels.append(Label(words, at, LABEL_MM))
    return labels


def _reach(plan: PanelPlan, labels: Sequence[Label]) -> Bounds:
    """Return what the drawing covers: the panel with its tabs, and the words beside it."""
    box = bounds(plan.frame.outline)
    left, right, top = box.left - MARGIN_MM, box.right + MARGIN_MM, box.top + MARGIN_MM
    bottom = box.bottom - MARGIN_MM
    for label in labels:
        left = min(left, label.at.x - 2.0)
        right = max(right, label.at.x + label_width(label.text, LABEL_MM) + 2.0)
        top, bottom = max(top, label.at.y + ROW_MM), min(bottom, label.at.y - 2.0)
    return Bounds(left, bottom, right, top)
