"""The other hand of a panel: everything turned over left to right, but words still to be read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from fontTools.misc.transform import Identity, Transform

from livery.describe.entries.panel import Panel
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point, carry
from livery.layout.frame import Frame
from livery.layout.piece import Kind, Piece
from livery.layout.plan import Baseline, PanelPlan, SizeRow

_READ = (Kind.LETTERING, Kind.SHADE)
_OTHER = {"left": "right", "right": "left"}


def described_panel(panel: Panel, panels: Mapping[str, Panel]) -> Panel:
    """Return what a panel is laid out from: itself, or the panel it is the other hand of.

    Its own title, sizes as built and datums go before that one's.
    """
    if panel.mirror_of is None:
        return panel
    own: dict[str, object] = {
        name: getattr(panel, name)
        for name in ("title", "as_built", "take_up")
        if name in panel.model_fields_set
    }
    source = panels[panel.mirror_of]
    return source.model_copy(update={**own, "datum": {**source.datum, **panel.datum}})


def other_hand(plan: PanelPlan) -> PanelPlan:
    """Return a plan turned over left to right about the middle of its panel.

    Each group of words keeps its form, its shade falling as before, and moves to the
    mirrored place.
    """
    width = plan.frame.extent.left + plan.frame.extent.right
    over = Identity.translate(width, 0.0).scale(-1.0, 1.0)
    shifts = _word_shifts(plan.pieces, width)
    return replace(
        plan,
        frame=_turned_frame(plan.frame, over),
        keep_outs=tuple(replace(k, outline=k.outline.transformed(over)) for k in plan.keep_outs),
        pieces=tuple(_turned_piece(p, over, shifts) for p in plan.pieces),
        sizes=tuple(_turned_size(row) for row in plan.sizes),
        baselines=tuple(_turned_baseline(b, shifts) for b in plan.baselines),
    )


def _word_shifts(pieces: tuple[Piece, ...], width: float) -> dict[str, float]:
    """Return how far the words of each entry move so that their middle is mirrored."""
    words: dict[str, list[Outline]] = {}
    for piece in pieces:
        if piece.kind in _READ:
            words.setdefault(piece.key, []).append(piece.outline)
    shifts = {}
    for key, outlines in words.items():
        middle = bounds(Outline(tuple(c for o in outlines for c in o))).centre.x
        shifts[key] = width - 2.0 * middle
    return shifts


def _turned_piece(piece: Piece, over: Transform, shifts: dict[str, float]) -> Piece:
    move = Identity.translate(shifts[piece.key], 0.0) if piece.key in shifts else over
    return replace(piece, outline=piece.outline.transformed(move))


def _turned_baseline(baseline: Baseline, shifts: dict[str, float]) -> Baseline:
    shift = shifts.get(baseline.key, 0.0)
    start, end = (Point(p.x + shift, p.y) for p in (baseline.start, baseline.end))
    return replace(baseline, start=start, end=end)


def _turned_size(row: SizeRow) -> SizeRow:
    """Tell a size from the other end: its words change sides."""
    return replace(row, what=" ".join(_OTHER.get(word, word) for word in row.what.split(" ")))


def _turned_frame(frame: Frame, over: Transform) -> Frame:
    def turned(x: float) -> float:
        return carry(over, Point(x, 0.0)).x

    stations = {n: turned(x) for n, x in frame.stations.items() if n not in _OTHER}
    edges = {n: frame.stations[n] for n in _OTHER if n in frame.stations}
    return replace(
        frame,
        drawn=frame.drawn.transformed(over),
        outline=frame.outline.transformed(over),
        stations={**stations, **edges},
        guides=tuple(g._replace(contour=g.contour.transformed(over)) for g in frame.guides),
    )
