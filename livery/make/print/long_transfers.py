"""Warnings of words and figures that are long for a printed transfer, as the paper has them parted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from livery.describe.entries.description import DescriptionModel
from livery.findings import Finding
from livery.geometry.outline import Outline
from livery.geometry.parts import parts_of
from livery.geometry.smallest_box import longest_side
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import PanelPlan, Plan
from livery.make.limits.breaches import Breach, LimitKind, choices_of, reported, worst_of_each_kind
from livery.make.limits.enforce import kit_limits
from livery.make.limits.printable import longest_printed
from livery.make.limits.process_limits import Limits, limits_for
from livery.make.limits.thin_places import SLACK
from livery.process import Process


def long_transfer_findings(plan: Plan, model: DescriptionModel) -> tuple[Finding, ...]:
    """Return a warning for each printed piece, other than lining, whose longest run is too long.

    The user's own limit counts, else what the paper takes.
    """
    kit = kit_limits(model.kit)
    limits = limits_for(Process.DECAL, kit)
    if "longest" not in kit.get(Process.DECAL, {}):
        limits = replace(limits, longest=max(limits.longest, longest_printed(model)))
    found: list[Finding] = []
    for panel in plan.panels:
        if any(_is_long(piece, limits) for piece in panel.pieces):
            found += _of_panel(panel, model, limits)
    return tuple(found)


def _is_long(piece: Piece, limits: Limits) -> bool:
    is_printed = piece.process is Process.DECAL and piece.kind is not PieceKind.LINING
    return is_printed and _longest(piece.outline) > limits.longest * (1.0 + SLACK)


def _longest(outline: Outline) -> float:
    return max((longest_side(part) for part in parts_of(outline)), default=0.0)


def _of_panel(panel: PanelPlan, model: DescriptionModel, limits: Limits) -> Iterator[Finding]:
    # Few descriptions need what parts a word.
    from livery.make.film.cut_parts import cut_parts
    from livery.make.print.transfers import printed_transfers

    keys = {piece.key for piece in panel.pieces if _is_long(piece, limits)}
    own = tuple(piece for piece in panel.pieces if piece.key in keys)
    parts = [p for p in cut_parts(Plan((replace(panel, pieces=own),), ()), model) if p.is_printed]
    found: dict[int, list[Breach]] = {}
    pieces: dict[int, Piece] = {}
    for transfer in printed_transfers(parts, model):
        for part in transfer.parts:
            if part.piece.kind is PieceKind.LINING:
                continue
            for one in parts_of(part.outline):
                size = longest_side(one)
                if size > limits.longest * (1.0 + SLACK):
                    pieces[part.number] = part.piece
                    found.setdefault(part.number, []).append(_breach(one, size, limits))
    for number, breaches in sorted(found.items()):
        for worst, count in worst_of_each_kind(breaches):
            yield reported(pieces[number], worst, count)


def _breach(part: Outline, size: float, limits: Limits) -> Breach:
    choices = choices_of(LimitKind.LONGEST, size, limits.longest, Process.DECAL, limits)
    at = part.contours[0].start
    return Breach(LimitKind.LONGEST, Process.DECAL, size, limits.longest, at, choices=choices)
