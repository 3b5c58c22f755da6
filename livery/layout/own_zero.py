"""Sizes of the table counted from the 0, 0 of an outline as built, as they were measured."""

from __future__ import annotations

from dataclasses import replace

from livery.geometry.outline import Point
from livery.layout.plan import OnOtherHand, PanelPlan, SizeRow

_WORDS = {" from the left": " across from 0, 0", " from the bottom": " up from 0, 0"}
"""How a size counts from the panel's edge, and how from its own 0, 0."""


def sizes_from_zero(panel: PanelPlan) -> PanelPlan:
    """Return a panel whose sizes as fitted are counted from its own 0, 0.

    On the other hand, a size from the drawing's left is one from the right, and stays so.
    """
    zero = panel.frame.zero
    return replace(panel, sizes=tuple(_counted(row, zero) for row in panel.sizes))


def _counted(row: SizeRow, zero: Point) -> SizeRow:
    if row.on_other_hand is OnOtherHand.FROM_OTHER_END:
        return replace(row, as_fitted=row.as_fitted - zero.x)
    if row.on_other_hand is OnOtherHand.COUNTS_UP:
        return replace(row, as_fitted=row.as_fitted - zero.y)
    for (edge, own), mm in zip(_WORDS.items(), zero, strict=True):
        if mm and row.what.endswith(edge):
            what = row.what.removesuffix(edge) + own
            return replace(row, what=what, as_fitted=row.as_fitted - mm)
    return row
