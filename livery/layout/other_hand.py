"""A panel turned over left to right, or half round in its plane: words still to be read."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from fontTools.misc.transform import Identity, Transform

from livery.describe.entries.panel import Panel
from livery.findings import Finding
from livery.geometry.measure import Bounds, bounds, boxes_overlap
from livery.geometry.outline import Contour, Outline, Point, carry
from livery.layout.first_hand import OTHER_SIDE
from livery.layout.fit import PanelFit
from livery.layout.frame import Frame
from livery.layout.ground import with_openings
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Baseline, OnOtherHand, PanelPlan, PlacedKeepOut, SizeRow
from livery.layout.turning_over import way_turned
from livery.surfaces.surface import OtherHand

_READ = (PieceKind.LETTERING, PieceKind.SHADE)
_SIDE = re.compile(r"\b(left|right)\b")
_ANY_SIDE = re.compile(r"\b(left|right|bottom|top)\b")
_OPPOSITE = {**OTHER_SIDE, "bottom": "top", "top": "bottom"}
_ACROSS = {**OTHER_SIDE, "leftmost": "rightmost", "rightmost": "leftmost"}
_UP = {"bottom": "top", "top": "bottom", "lowest": "highest", "highest": "lowest"}
"""The words for the sides in a size, and what they are on the other hand and turned half round."""
_LETTERS = {"first letter": "last letter", "last letter": "first letter"}
"""Words are still read from the left: what stands at the first letter's station is then the last."""
_IN_SIZE = re.compile(r"\b(?:first|last) letter\b|\b[a-z]+\b")
_WAY = {"above": "below", "below": "above", "higher": "lower", "lower": "higher"}
_OF_OPENINGS = ("built-place", "off-centre")
"""What is found of openings as built says its sides as one faces the panel, as they are measured."""
_AS_FACED = ("built-edges",)
"""What is found of a panel's own edges as built is said as one faces the panel already."""


def other_hand(plan: PanelPlan) -> PanelPlan:
    """Return a plan turned over left to right about the middle of its panel.

    Each group of words keeps its form, its shade falling as before, and moves to the
    mirrored place.
    """
    return _turned_plan(plan, half=False)


def half_turned(plan: PanelPlan) -> PanelPlan:
    """Return a plan turned half round in its plane about the middle of its panel, words upright."""
    return _turned_plan(plan, half=True)


def _turned_plan(plan: PanelPlan, *, half: bool) -> PanelPlan:
    over = way_turned(plan.frame.extent, half=half)
    shifts = _shifts(plan, over)
    keep_outs = tuple(_turned_keep_out(k, plan.frame, over) for k in plan.keep_outs)
    return replace(
        plan,
        frame=with_openings(_turned_frame(plan.frame, over, half=half), keep_outs),
        keep_outs=keep_outs,
        pieces=tuple(_turned_piece(p, over, shifts) for p in plan.pieces),
        sizes=tuple(_turned_size(row, plan.frame, half=half) for row in plan.sizes),
        baselines=tuple(_turned_baseline(b, shifts) for b in plan.baselines),
        edges=tuple(replace(e, run=_turned_run(e.run, over, half=half)) for e in plan.edges),
    )


def _turned_keep_out(keep_out: PlacedKeepOut, frame: Frame, over: Transform) -> PlacedKeepOut:
    """Return a keep-out turned over or round; one taken over from the first was not measured here."""
    number = int(keep_out.key.rpartition(".")[2])
    outline, measured = keep_out.outline.transformed(over), number in frame.turned.keep_outs
    return replace(
        keep_out,
        outline=outline,
        is_measured=measured,
        fitted=_turned_box(keep_out.fitted, over) if keep_out.fitted else None,
    )


def _turned_box(box: Bounds, over: Transform) -> Bounds:
    """Return an upright box turned over or round, which stays upright."""
    a, b = carry(over, Point(box.left, box.bottom)), carry(over, Point(box.right, box.top))
    return Bounds(min(a.x, b.x), min(a.y, b.y), max(a.x, b.x), max(a.y, b.y))


def _turned_run(run: Contour, over: Transform, *, half: bool) -> Contour:
    """Return a run of the edge turned over or round, the metal still on its left."""
    turned = run.transformed(over)
    return turned if run.closed or half else turned.reversed()


def _shifts(plan: PanelPlan, over: Transform) -> dict[str, Point]:
    """Return how far each entry that keeps its form moves so that its middle is turned.

    Words do, by the middle of their letters without shade, and ornaments that are not mirrored.
    """
    kept = {
        f"panel.{plan.name}.ornament.{i}"
        for i, ornament in enumerate(plan.entry.ornament)
        if not ornament.mirrored
    }
    whole: dict[str, list[Outline]] = {}
    letters: dict[str, list[Outline]] = {}
    for piece in plan.pieces:
        if piece.kind in _READ or piece.key in kept:
            whole.setdefault(piece.key, []).append(piece.outline)
            if piece.kind is not PieceKind.SHADE:
                letters.setdefault(piece.key, []).append(piece.outline)
    boxes = {key: _box(own) for key, own in whole.items()}
    shifts: dict[str, Point] = {}
    for figure in _figures(boxes):
        # By the letters alone: their shade falls to one side, the same on both hands.
        own = [o for key in figure for o in letters.get(key, whole[key])]
        shifts |= dict.fromkeys(figure, _shift(_box(own), over))
    for key, shift in _divided(plan, over):
        if key in shifts:
            shifts[key] = Point(shift.x, shifts[key].y)
    return shifts


def _box(outlines: Sequence[Outline]) -> Bounds:
    """Return the box round several outlines."""
    return bounds(Outline(tuple(contour for outline in outlines for contour in outline)))


def _shift(box: Bounds, over: Transform) -> Point:
    """Return how far the middle of a box moves."""
    middle = box.centre
    there = carry(over, middle)
    return Point(there.x - middle.x, there.y - middle.y)


def _divided(plan: PanelPlan, over: Transform) -> Iterator[tuple[str, Point]]:
    """Yield how far divided words move: their parts stand as far from the keep-out between them."""
    for i, lettering in enumerate(plan.entry.lettering):
        if lettering.divided is not None:
            own = [k.outline for k in plan.keep_outs if k.name == lettering.divided.by]
            if own:
                yield f"panel.{plan.name}.lettering.{i}", _shift(_box(own), over)


def _figures(boxes: Mapping[str, Bounds]) -> list[list[str]]:
    """Return entries that keep their form in groups that lie on each other: a crest, a monogram.

    Such a figure moves as a whole, or its parts would change places.
    """
    figures: list[list[str]] = []
    for key, box in boxes.items():
        joined = [f for f in figures if any(boxes_overlap(box, boxes[other]) for other in f)]
        figures = [f for f in figures if f not in joined]
        figures.append([*(other for f in joined for other in f), key])
    return figures


def _turned_piece(piece: Piece, over: Transform, shifts: dict[str, Point]) -> Piece:
    move = Identity.translate(*shifts[piece.key]) if piece.key in shifts else over
    return replace(piece, outline=piece.outline.transformed(move))


def _turned_baseline(baseline: Baseline, shifts: dict[str, Point]) -> Baseline:
    x, y = shifts.get(baseline.key, Point(0.0, 0.0))
    start, end = (Point(p.x + x, p.y + y) for p in (baseline.start, baseline.end))
    return replace(baseline, start=start, end=end)


def _turned_size(row: SizeRow, frame: Frame, *, half: bool) -> SizeRow:
    """Return a size as it is read on the other hand, or on the panel turned half round."""
    drawn, built = bounds(frame.drawn), frame.extent
    if row.on_other_hand is OnOtherHand.FROM_OTHER_END:
        ends = drawn.width - row.at_scale, built.width - row.as_fitted
        return replace(row, at_scale=ends[0], as_fitted=ends[1])
    if row.on_other_hand is OnOtherHand.COUNTS_UP and half:
        ends = drawn.height - row.at_scale, built.height - row.as_fitted
        return replace(row, at_scale=ends[0], as_fitted=ends[1])
    if row.on_other_hand is OnOtherHand.SIDES_CHANGE:
        quoted, quote, own = row.what.rpartition('"')  # the user's words are quoted
        opposite = _ACROSS | _UP | _LETTERS if half else _ACROSS | _LETTERS
        swapped = re.sub(_IN_SIZE, lambda word: opposite.get(word[0], word[0]), own)
        return replace(row, what=f"{quoted}{quote}{swapped}")
    return row


def turned_findings(
    found: Sequence[Finding], of_first: Sequence[Finding], frame: Frame | None, entry: Panel
) -> Iterator[Finding]:
    """Yield the findings that only a turned panel has, laid out as the first hand is seen.

    What was found of the first hand in the same words is left out.  ``frame`` is None where
    the panel could not be laid out.
    """
    sides, named = (_ANY_SIDE, "sides") if entry.turned else (_SIDE, "left and right")
    way = None if frame is None else way_turned(frame.extent, half=entry.turned)
    known = {(f.code, f.message) for f in of_first}
    for finding in found:
        measured = finding.key.endswith(".as_built") and bool(entry.as_built.model_fields_set)
        if (finding.code, finding.message) in known and not measured:
            continue
        if finding.where_mm is not None and way is not None:
            finding = replace(finding, where_mm=carry(way, Point(*finding.where_mm)))
        if finding.code in _OF_OPENINGS:
            finding = replace(finding, message=_as_faced(finding.message, half=entry.turned))
        elif finding.code not in _AS_FACED and sides.search(
            re.sub(r'"[^"]*"', "", finding.message)
        ):
            words = f'{finding.message} ({named} as on "{entry.laid_out_from}")'
            finding = replace(finding, message=words)
        yield finding


def _as_faced(message: str, *, half: bool) -> str:
    """Return a message with its sides, except for the user's words in quotes, as on the turned panel."""
    opposite = _OPPOSITE | _WAY if half else OTHER_SIDE
    return re.sub(r'"[^"]*"|\b[a-z]+\b', lambda word: opposite.get(word[0], word[0]), message)


def _turned_frame(frame: Frame, over: Transform, *, half: bool) -> Frame:
    def turned(marks: Mapping[str, float], *, up: bool) -> dict[str, float]:
        own = {n: carry(over, Point(v, v)) for n, v in marks.items() if n not in _OPPOSITE}
        edges = {n: v for n, v in marks.items() if n in _OPPOSITE}
        return {n: p.y if up else p.x for n, p in own.items()} | edges

    box, drawn = frame.extent, bounds(frame.drawn)
    across = frame.fit.x.turned(drawn.left + drawn.right, box.left + box.right)
    up = frame.fit.y.turned(drawn.bottom + drawn.top, box.bottom + box.top)
    far, wide = box.left + box.right, frame.surface.width_seen(frame.outline)
    return replace(
        frame,
        drawn=frame.drawn.transformed(way_turned(drawn, half=half)),
        outline=frame.outline.transformed(over),
        fit=PanelFit(across, up if half else frame.fit.y),
        stations=turned(frame.stations, up=False),
        heights=turned(frame.heights, up=True),
        guides=tuple(g._replace(contour=g.contour.transformed(over)) for g in frame.guides),
        surface=frame.surface if half else OtherHand(frame.surface, far, wide),
        origin=frame.seen_origin,
    )
