"""The breaches of a piece that is another turned over or round: found once, and carried with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from fontTools.misc.transform import Transform

from livery.describe.entries.panel import Panel
from livery.geometry.outline import Outline, carry
from livery.layout.piece import Piece
from livery.layout.plan import PanelPlan
from livery.layout.turning_over import way_turned
from livery.make.limits.breaches import Breach


class FirstHand(NamedTuple):
    """The pieces of the panel that another is laid out from, and what carries them to that one."""

    pieces: Sequence[Piece]
    over: Transform

    def turned_into(self, number: int, piece: Piece) -> Outline | None:
        """Return the outline that a piece has on the first hand; None where it is not that, turned."""
        first = self.pieces[number].outline
        return first if first.transformed(self.over) == piece.outline else None


def first_hand_of(panel: PanelPlan, entry: Panel, plans: Sequence[PanelPlan]) -> FirstHand | None:
    """Return the first hand of a panel; None where it has none, or not as many pieces."""
    first = next((p for p in plans if p.name == entry.laid_out_from), None)
    if first is None or len(first.pieces) != len(panel.pieces):
        return None
    return FirstHand(first.pieces, way_turned(first.frame.extent, half=entry.turned))


def carried_breaches(found: Sequence[Breach], over: Transform) -> tuple[Breach, ...]:
    """Return breaches carried to where a piece is turned to, by kind, then from left to right."""
    kinds = list(dict.fromkeys(b.kind for b in found))
    moved = (replace(b, at=carry(over, b.at)) for b in found)
    return tuple(sorted(moved, key=lambda b: (kinds.index(b.kind), b.at)))
