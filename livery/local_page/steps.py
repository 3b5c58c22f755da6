"""A panel as it looks step by step on the day: coat by coat, then what is laid over the colours."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fontTools.misc.transform import Transform

from livery.describe.entries.description import DescriptionModel
from livery.geometry.measure import bounds
from livery.geometry.path_text import write_path
from livery.layout.plan import PanelPlan
from livery.local_page.figures import DECIMALS
from livery.make.coats.panel_coats import panel_coats
from livery.process import Process


def panel_steps(plan: PanelPlan, model: DescriptionModel) -> list[dict[str, Any]]:
    """Return the steps of a panel in order, each with what it adds: a sprayed region, or pieces.

    Raises LiveryError where the description's own rules leave no order of coats.
    """
    return [*_coats(plan, model), *_laid(plan)]


def _coats(plan: PanelPlan, model: DescriptionModel) -> Iterator[dict[str, Any]]:
    box = bounds(plan.frame.outline)
    flip = Transform(1, 0, 0, -1, -box.left, box.top)
    for one in panel_coats(plan, model).coats:
        yield {
            "words": f"coat {one.coat.number}: {one.coat.paint}",
            "paint": one.coat.paint,
            "clear": one.is_clear,
            "d": write_path(one.coat.sprayed, DECIMALS, flip),
        }


def _laid(plan: PanelPlan) -> Iterator[dict[str, Any]]:
    """Yield what is put on over the sprayed colours, from the lowest level up, entry by entry."""
    entries: dict[tuple[str, str, Process], list[int]] = {}
    for i, piece in enumerate(plan.pieces):
        if piece.process is not Process.SPRAY:
            entries.setdefault((piece.key, piece.paint, piece.process), []).append(i)
    for (_, paint, process), pieces in entries.items():
        yield {
            "words": f"{process.value}: {plan.pieces[pieces[0]].name}",
            "paint": paint,
            "pieces": pieces,
        }
