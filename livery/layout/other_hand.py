"""The other hand of a panel: everything turned over left to right, but words still to be read."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from fontTools.misc.transform import Identity, Transform

from livery.findings import Finding
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Contour, Outline, Point, carry
from livery.layout.first_hand import OTHER_SIDE
from livery.layout.frame import Frame
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Baseline, OnOtherHand, PanelPlan, SizeRow
from livery.surfaces.surface import OtherHand

_READ = (PieceKind.LETTERING, PieceKind.SHADE)
_SIDE = re.compile(r"\b(left|right)\b")


def other_hand(plan: PanelPlan) -> PanelPlan:
    """Return a plan turned over left to right about the middle of its panel.

    Each group of words keeps its form, its shade falling as before, and moves to the
    mirrored place.
    """
    width = _far_side(plan.frame)
    over = Identity.translate(width, 0.0).scale(-1.0, 1.0)
    shifts = _shifts(plan, width)
    return replace(
        plan,
        frame=_turned_frame(plan.frame, over),
        keep_outs=tuple(replace(k, outline=k.outline.transformed(over)) for k in plan.keep_outs),
        pieces=tuple(_turned_piece(p, over, shifts) for p in plan.pieces),
        sizes=tuple(_turned_size(row, plan.frame) for row in plan.sizes),
        baselines=tuple(_turned_baseline(b, shifts) for b in plan.baselines),
        edges=tuple(replace(e, run=_turned_run(e.run, over)) for e in plan.edges),
    )


def _turned_run(run: Contour, over: Transform) -> Contour:
    """Return a run of the edge turned over, the metal still on its left."""
    turned = run.transformed(over)
    return turned if run.closed else turned.reversed()


def _shifts(plan: PanelPlan, width: float) -> dict[str, float]:
    """Return how far each entry that keeps its form moves so that its middle is mirrored.

    Words do, and ornaments that are not to be mirrored.
    """
    kept = {
        f"panel.{plan.name}.ornament.{i}"
        for i, ornament in enumerate(plan.entry.ornament)
        if not ornament.mirrored
    }
    words: dict[str, list[Outline]] = {}
    for piece in plan.pieces:
        if piece.kind in _READ or piece.key in kept:
            words.setdefault(piece.key, []).append(piece.outline)
    boxes = {key: bounds(Outline(tuple(c for o in own for c in o))) for key, own in words.items()}
    shifts: dict[str, float] = {}
    for figure in _figures(boxes):
        left = min(boxes[key].left for key in figure)
        right = max(boxes[key].right for key in figure)
        shifts |= dict.fromkeys(figure, width - (left + right))
    return shifts | dict(_divided(plan, width))


def _divided(plan: PanelPlan, width: float) -> Iterator[tuple[str, float]]:
    """Yield how far divided words move: their parts stand as far from the keep-out between them."""
    for i, lettering in enumerate(plan.entry.lettering):
        if lettering.divided is not None:
            own = [k.outline for k in plan.keep_outs if k.name == lettering.divided.by]
            if own:
                between = bounds(Outline(tuple(c for outline in own for c in outline)))
                yield f"panel.{plan.name}.lettering.{i}", width - (between.left + between.right)


def _figures(boxes: Mapping[str, Bounds]) -> list[list[str]]:
    """Return entries that keep their form in groups that lie on each other: a crest, a monogram.

    Such a figure moves as a whole, or its parts would change places.
    """
    figures: list[list[str]] = []
    for key, box in boxes.items():
        joined = [f for f in figures if any(_meet(box, boxes[other]) for other in f)]
        figures = [f for f in figures if f not in joined]
        figures.append([*(other for f in joined for other in f), key])
    return figures


def _meet(one: Bounds, other: Bounds) -> bool:
    """Return whether two boxes share more than an edge."""
    across = min(one.right, other.right) - max(one.left, other.left)
    up = min(one.top, other.top) - max(one.bottom, other.bottom)
    return across > 0.0 and up > 0.0


def _turned_piece(piece: Piece, over: Transform, shifts: dict[str, float]) -> Piece:
    move = Identity.translate(shifts[piece.key], 0.0) if piece.key in shifts else over
    return replace(piece, outline=piece.outline.transformed(move))


def _turned_baseline(baseline: Baseline, shifts: dict[str, float]) -> Baseline:
    shift = shifts.get(baseline.key, 0.0)
    start, end = (Point(p.x + shift, p.y) for p in (baseline.start, baseline.end))
    return replace(baseline, start=start, end=end)


def _turned_size(row: SizeRow, frame: Frame) -> SizeRow:
    """Return a size as it is read on the other hand."""
    if row.on_other_hand is OnOtherHand.FROM_OTHER_END:
        drawn, built = bounds(frame.drawn).width, frame.extent.width
        return replace(row, at_scale=drawn - row.at_scale, as_fitted=built - row.as_fitted)
    if row.on_other_hand is OnOtherHand.SIDES_CHANGE:
        quoted, quote, own = row.what.rpartition('"')  # the user's words are quoted
        swapped = _SIDE.sub(lambda side: OTHER_SIDE[side[0]], own)
        return replace(row, what=f"{quoted}{quote}{swapped}")
    return row


def other_hand_findings(
    found: Sequence[Finding], of_first: Sequence[Finding], frame: Frame | None, first: str
) -> Iterator[Finding]:
    """Yield what was found of the other hand alone, laid out as the first hand is seen.

    What was found of the first hand in the same words is left out.
    """
    known = {(f.code, f.message) for f in of_first}
    for finding in found:
        if (finding.code, finding.message) in known:
            continue
        if finding.where_mm is not None and frame is not None:
            x, y = finding.where_mm
            finding = replace(finding, where_mm=(_far_side(frame) - x, y))
        if _SIDE.search(re.sub(r'"[^"]*"', "", finding.message)):
            words = f'{finding.message} (left and right as on "{first}")'
            finding = replace(finding, message=words)
        yield finding


def _far_side(frame: Frame) -> float:
    return frame.extent.left + frame.extent.right


def _turned_frame(frame: Frame, over: Transform) -> Frame:
    def turned(x: float) -> float:
        return carry(over, Point(x, 0.0)).x

    stations = {n: turned(x) for n, x in frame.stations.items() if n not in OTHER_SIDE}
    edges = {n: frame.stations[n] for n in OTHER_SIDE if n in frame.stations}
    return replace(
        frame,
        drawn=frame.drawn.transformed(over),
        outline=frame.outline.transformed(over),
        stations={**stations, **edges},
        guides=tuple(g._replace(contour=g.contour.transformed(over)) for g in frame.guides),
        surface=OtherHand(frame.surface, _far_side(frame), frame.surface.width_seen(frame.outline)),
    )
