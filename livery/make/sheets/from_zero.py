"""A panel in the coordinates its sheets give: from the 0, 0 of its outline as built, if it has one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from fontTools.misc.transform import Offset

from livery.geometry.outline import Point, carry
from livery.geometry.shapes import ORIGIN
from livery.layout.frame import ORIGIN_MM, Frame
from livery.layout.plan import PanelPlan


def counted_from_zero(panel: PanelPlan) -> PanelPlan:
    """Return a panel moved so that its 0, 0 is where the user measured from.

    Only what is drawn and listed moves: the map from the drawing stays as it is.
    """
    zero = panel.frame.zero
    if zero == ORIGIN:
        return panel
    move = Offset(-zero.x, -zero.y)
    return replace(
        panel,
        frame=_moved_frame(panel.frame, zero),
        keep_outs=tuple(replace(k, outline=k.outline.transformed(move)) for k in panel.keep_outs),
        pieces=tuple(replace(p, outline=p.outline.transformed(move)) for p in panel.pieces),
        baselines=tuple(
            replace(b, start=carry(move, b.start), end=carry(move, b.end)) for b in panel.baselines
        ),
        edges=tuple(replace(e, run=e.run.transformed(move)) for e in panel.edges),
    )


def _moved_frame(frame: Frame, zero: Point) -> Frame:
    move = Offset(-zero.x, -zero.y)

    def moved(marks: Mapping[str, float], by: float) -> dict[str, float]:
        return {name: at - by for name, at in marks.items()}

    return replace(
        frame,
        outline=frame.outline.transformed(move),
        stations=moved(frame.stations, zero.x),
        heights=moved(frame.heights, zero.y),
        opening_stations=moved(frame.opening_stations, zero.x),
        opening_heights=moved(frame.opening_heights, zero.y),
        guides=tuple(g._replace(contour=g.contour.transformed(move)) for g in frame.guides),
        origin=ORIGIN,
    )


def has_own_zero(panel: PanelPlan) -> bool:
    """Return whether a panel so counted has its 0, 0 off its leftmost or lowest point."""
    box = panel.frame.extent
    return min(box.left, box.bottom) < -ORIGIN_MM


def across_words(panel: PanelPlan) -> str:
    """Return where sizes across are counted from, on a sheet of a panel so counted."""
    return "0, 0" if has_own_zero(panel) else "the panel's left"


def up_words(panel: PanelPlan) -> str:
    """Return where sizes up are counted from, on a sheet of a panel so counted."""
    return "0, 0" if has_own_zero(panel) else "its lowest point"
