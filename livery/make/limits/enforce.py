"""Every piece of a layout held against what its process can do, and thickened where that is allowed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from typing import TYPE_CHECKING

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.making import KitLimits
from livery.findings import Finding, Severity
from livery.geometry.boolean import intersection, union
from livery.geometry.measure import area
from livery.geometry.outline import Outline
from livery.geometry.parts import parts_of
from livery.geometry.stripe_line import stripe_line
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Baseline, PanelPlan, Plan, SizeRow
from livery.make.limits.breaches import (
    Breach,
    LimitKind,
    across_and_up,
    breaches,
    choices_of,
    reported,
    worst_of_each_kind,
)
from livery.make.limits.process_limits import NAMES, Limits, limits_for
from livery.make.limits.thin_places import SLACK, thickened
from livery.process import Process
from livery.work_cache import remembered

if TYPE_CHECKING:
    from livery.make.limits.on_other_hand import FirstHand

POINT_MM = 0.05
"""A tip narrower than this, in millimetres, is a point, or the foot of a sharp corner, and no line
or gap that is too fine (chosen: no process makes it anyway). Larger, and blunt ends pass as
points."""

LEAST_OVERLAP_MM2 = 0.1
"""Pieces that share less than this, in square millimetres, do not lie on each other (chosen:
rounding along a shared edge). Larger, and one piece on another is measured as if it were
alone."""
PARTED = (PieceKind.LINING, PieceKind.FIELD)
CUT_IN_STRIPS = (Process.CUT_FILM, Process.DECAL)
"""The length of lining by these depends on how its film has it cut (``livery.make.film``), and that of
all that is printed on how its paper has it parted (``livery.make.print``)."""


def enforce_limits(plan: Plan, model: DescriptionModel) -> Plan:
    """Return the plan with its thin places thickened where the kit says so, and what else breaks limits.

    Every thickening is a row of the size table and a note; every other breach a warning.
    """
    limits_check = _LimitCheck(model, kit_limits(model.kit))
    panels = tuple(limits_check.held(p, _first_hand(p, model, plan.panels)) for p in plan.panels)
    return replace(plan, panels=panels, findings=(*plan.findings, *limits_check.findings))


def _first_hand(
    panel: PanelPlan, model: DescriptionModel, plans: Sequence[PanelPlan]
) -> FirstHand | None:
    """Return the first hand of a panel, if it is the other hand of one."""
    entry = model.panel[panel.name]
    if entry.laid_out_from is None:
        return None
    from livery.make.limits.on_other_hand import first_hand_of

    return first_hand_of(panel, entry, plans)


def kit_limits(kit: Mapping[Process, KitLimits]) -> dict[Process, dict[str, float]]:
    """Return the user's own limits, in millimetres, by process and name."""
    own: dict[Process, dict[str, float]] = {}
    for process, entry in kit.items():
        sizes = {name: getattr(entry, name) for name in NAMES}
        own[process] = {name: size.mm for name, size in sizes.items() if size is not None}
    return own


_Find = Callable[[Limits, float | None], tuple[Breach, ...]]
"""What finds every breach of a piece, given its limits and the height of its capitals."""


@dataclass
class _LimitCheck:
    """What has been found so far."""

    model: DescriptionModel
    own: Mapping[Process, Mapping[str, float]]
    findings: list[Finding] = field(default_factory=list)

    def held(self, panel: PanelPlan, hand: FirstHand | None) -> PanelPlan:
        pieces: list[Piece] = []
        rows: list[SizeRow] = []
        heights = {b.key: b for b in panel.baselines}
        for number, piece in enumerate(panel.pieces):
            limits = limits_for(piece.process, self.own)
            # A sprayed field is held to its mask; one of film to what can be cut.
            if piece.kind is not PieceKind.FIELD or piece.process in CUT_IN_STRIPS:
                piece, row = self._thickened(piece, limits)
                rows += row
                find = partial(_found_on, hand, number, piece)
                self.findings += self._broken(piece, limits, heights.get(piece.key), find)
            pieces.append(piece)
        self.findings += _sprayed_over_film(pieces)
        return replace(panel, pieces=tuple(pieces), sizes=(*panel.sizes, *rows))

    def _thickened(self, piece: Piece, limits: Limits) -> tuple[Piece, list[SizeRow]]:
        entry = self.model.kit.get(piece.process)
        if entry is None or entry.thicken is False:
            return piece, []
        if entry.thicken is not True and piece.paint not in entry.thicken:
            return piece, []
        found = _breaches(piece.outline, piece.process, limits, None)
        thin = [b for b in found if b.kind is LimitKind.LINE]
        if not thin:
            return piece, []
        thinnest = min(b.measured_mm for b in thin)
        row = SizeRow(
            piece.panel,
            f"{piece.name}, thickened for {piece.process.value}",
            "as drawn",
            thinnest,
            limits.line,
            key=piece.key,
        )
        return replace(piece, outline=thickened(piece.outline, limits.line)), [row]

    def _broken(
        self, piece: Piece, limits: Limits, baseline: Baseline | None, find: _Find
    ) -> list[Finding]:
        letter = None
        if piece.kind is PieceKind.LETTERING and baseline is not None:
            letter = baseline.cap_height
        is_parted = piece.kind in PARTED and piece.process in CUT_IN_STRIPS
        if is_parted or piece.process is Process.DECAL:
            found = find(replace(limits, longest=math.inf), letter)
        else:
            found = find(limits, letter)
        tips = [b for b in found if b.is_tip and b.measured_mm < POINT_MM]
        breaches_found = [
            reported(piece, b, n) for b, n in worst_of_each_kind(b for b in found if b not in tips)
        ]
        points = [b for b in tips if b.kind is LimitKind.LINE]
        return [*breaches_found, _pointed(piece, points)] if points else breaches_found


def _found_on(
    hand: FirstHand | None, number: int, piece: Piece, limits: Limits, letter: float | None
) -> tuple[Breach, ...]:
    """Return every breach of a piece; one that is turned from the first hand has those of that."""
    first = None if hand is None or letter is not None else hand.turned_into(number, piece)
    if hand is None or first is None:
        return _breaches(piece.outline, piece.process, limits, letter)
    from livery.make.limits.on_other_hand import carried_breaches

    return carried_breaches(_breaches(first, piece.process, limits, None), hand.over)


@lru_cache(maxsize=512)
def _breaches(
    outline: Outline, process: Process, limits: Limits, letter: float | None
) -> tuple[Breach, ...]:
    """Return every breach of a piece's limits; what was found in an earlier run is kept."""
    made_from = (outline, process, limits, letter)
    return remembered("breaches of limits", made_from, partial(_find_breaches, *made_from))


def _find_breaches(
    outline: Outline, process: Process, limits: Limits, letter: float | None
) -> tuple[Breach, ...]:
    """Return every breach; a stripe of even width is measured once and not all along."""
    stripes = [(part, stripe_line(part)) for part in parts_of(outline)]
    thin = [
        Breach(LimitKind.LINE, process, s.width_mm, limits.line, s.centre.start, choices=())
        for _, s in stripes
        if s is not None and s.width_mm < limits.line * (1.0 - SLACK)
    ]
    if not thin:
        return breaches(outline, process, limits, letter)
    rest = union(*(part for part, s in stripes if s is None))
    # The choices offered for a line of this width, without measuring it again.
    found = breaches(outline, process, replace(limits, line=0.0), letter)
    offered = choices_of(LimitKind.LINE, thin[0].measured_mm, limits.line, process, limits)
    breaches_found = [replace(b, choices=offered) for b in thin]
    if rest:
        breaches_found += [b for b in breaches(rest, process, limits) if b.kind is LimitKind.LINE]
    return (*breaches_found, *found)


def _sprayed_over_film(pieces: Sequence[Piece]) -> Iterator[Finding]:
    """Yield a warning for what is to be sprayed over film, leaf or a drawn line.

    All sprayed colours are laid first, so such a piece would end up beneath.
    """
    for i, piece in enumerate(pieces):
        if piece.process is not Process.SPRAY or piece.kind is PieceKind.FIELD:
            continue
        for under in pieces[:i]:
            if under.process is Process.SPRAY or not _overlap(piece, under):
                continue
            yield Finding(
                "sprayed-over-laid",
                f"{piece.panel}: {piece.name} is sprayed, but lies over {under.name}, which is "
                f"put on by {under.process.value} after all spraying",
                "Put both on in the same way, or move one of them.",
                Severity.WARNING,
                piece.key,
            )
            break


def _overlap(one: Piece, other: Piece) -> bool:
    return area(intersection(one.outline, other.outline)) > LEAST_OVERLAP_MM2


def _pointed(piece: Piece, points: Sequence[Breach]) -> Finding:
    """Return the note of a piece that runs out to points, which no process holds to the very end."""
    at, limit = points[0].at, points[0].limit_mm
    many = f"{len(points)} points" if len(points) > 1 else "a point"
    words = f"it runs out to {many}, the first {across_and_up(at)}"
    is_weeded = piece.process is Process.CUT_FILM
    advice = "take care when weeding it, or touch it in" if is_weeded else "touch it in"
    return Finding(
        "limit-point",
        f"{piece.panel}, {piece.name}: {words}",
        f"By {piece.process.value} the last of a point, below {limit:g} mm, is easily lost: {advice}.",
        Severity.NOTE,
        piece.key,
        where_mm=(at.x, at.y),
    )
