"""Edges of a panel that are handled or butt: where they run, and film held back from them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from livery.describe.entries.panel import Panel
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import difference, union
from livery.geometry.offset import stroke
from livery.geometry.outline import Contour
from livery.layout.edges import facing_edge
from livery.layout.frame import Frame
from livery.layout.piece import Piece
from livery.layout.plan import PlacedEdge, PlacedKeepOut
from livery.process import Process

HELD_BACK_MM = 1.0
"""How far film keeps from an edge that hands rub along, in millimetres (common practice). Smaller,
and its edge is rubbed up; larger, and bare metal shows."""

LAID_ON = (Process.CUT_FILM, Process.DECAL)


def placed_edges(
    panel: Panel, frame: Frame, keep_outs: Sequence[PlacedKeepOut]
) -> tuple[PlacedEdge, ...]:
    """Return the runs of edge that a panel's description says something of."""
    found: list[PlacedEdge] = []
    for entry in panel.edge:
        sides = entry.sides(panel.front)
        runs = [run for contour in frame.outline for run in _runs(contour, sides)]
        runs += [c for k in keep_outs if k.is_opening and k.name in sides for c in k.outline]
        by = None if entry.by is None else frame.scale.to_model(entry.by)
        if by is None and entry.kind == "handled":
            by = HELD_BACK_MM
        found += (PlacedEdge(run, entry.kind, by) for run in runs)
    return tuple(found)


def _runs(contour: Contour, sides: Sequence[str]) -> Iterator[Contour]:
    """Yield the runs of a contour that lie on some of its sides."""
    segments = contour.segments
    count = len(segments)
    own = [facing_edge(s) in sides for s in segments]
    if all(own):
        yield contour
        return
    for first in (i for i in range(count) if own[i] and not own[i - 1]):
        last = first
        while own[(last + 1) % count]:
            last += 1
        yield Contour(tuple(segments[i % count] for i in range(first, last + 1)), closed=False)


def held_back(pieces: Sequence[Piece], edges: Sequence[PlacedEdge]) -> list[Piece]:
    """Return pieces, those of film and decal kept clear of the edges that are handled.

    Raises:
        LiveryError: a piece lies wholly beside such an edge.
    """
    strips = [
        stroke(e.run, 2.0 * e.by_mm, "round", "round")
        for e in edges
        if e.kind == "handled" and e.by_mm
    ]
    if not strips:
        return list(pieces)
    taken = union(*strips)
    made = [
        replace(p, outline=difference(p.outline, taken)) if p.process in LAID_ON else p
        for p in pieces
    ]
    lost = [p for p, left in zip(pieces, made, strict=True) if p.outline and not left.outline]
    if lost:
        raise LiveryError([_nothing_left(p) for p in lost], exit_status=1)
    return made


def _nothing_left(piece: Piece) -> Finding:
    return Finding(
        "edge",
        f"nothing is left of {piece.name}: film is held back from an edge that is handled",
        "Move it further in, or write by, for a smaller distance.",
        key=piece.key,
    )
