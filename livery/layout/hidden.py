"""What nobody will see: fields under others, and what lies on a ground of its own paint."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import TYPE_CHECKING

from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.layout.piece import Piece, PieceKind, entry_kind, entry_title
from livery.process import Process

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

SEEN_MM2 = 0.01
"""Less of a field left uncovered, in square millimetres, is not seen (chosen: a speck of 0.1 mm).
Larger, and a field of which a thin edge shows is called hidden."""

SEEN_SHARE = 0.001
"""The share of a thing that may lie off a ground of its own paint and not be seen (chosen: the chords
that its curves are compared by). Larger, and what only just shows at an edge is called hidden."""


def hidden_fields(pieces: Sequence[Piece], clear: Collection[str]) -> Iterator[Finding]:
    """Warn of each field wholly under later paint; ``clear`` are the paints that hide nothing."""
    import shapely

    for i, piece in enumerate(pieces):
        if piece.kind is not PieceKind.FIELD or piece.paint in clear:
            continue
        seen: BaseGeometry = to_shapely(piece.outline)
        over = []
        for later in pieces[i + 1 :]:
            if not _hides(later, piece, clear):
                continue
            shape = to_shapely(later.outline)
            if shapely.intersection(seen, shape).area > SEEN_MM2:
                over.append(f"{entry_title(later.key)} ({later.paint})")
                seen = shapely.difference(seen, shape)
        if over and seen.area <= SEEN_MM2:
            names = " and ".join(dict.fromkeys(over))
            lie = "lies" if len(set(over)) == 1 else "lie"
            yield Finding(
                "hidden-field",
                f"nothing of this field is seen: {names} {lie} over all of it, so it is in "
                "no coat and no quantity",
                "Put it after what hides it, give that an area of its own, or leave this one out.",
                Severity.WARNING,
                piece.key,
            )


def like_their_ground(pieces: Sequence[Piece], clear: Collection[str]) -> Iterator[Finding]:
    """Warn of each entry of one paint that lies wholly where that paint is to be seen already."""
    entries: dict[str, list[int]] = {}
    for i, piece in enumerate(pieces):
        if piece.kind is not PieceKind.FIELD:
            entries.setdefault(piece.key, []).append(i)
    for key, own in entries.items():
        paint = pieces[own[0]].paint
        earlier = pieces[: own[0]]
        if any(pieces[i].paint != paint for i in own) or paint in clear:
            continue
        if all(piece.paint != paint for piece in earlier):
            continue
        ground = _seen_of(paint, earlier, clear)
        shapes = [to_shapely(pieces[i].outline) for i in own]
        if all(shape.difference(ground).area <= SEEN_SHARE * shape.area for shape in shapes):
            yield Finding(
                "hidden",
                f"nothing of this {entry_kind(key)} is seen: it is {paint} on {paint}",
                "Give it another paint, or leave it out.",
                Severity.WARNING,
                key,
            )


def _seen_of(paint: str, pieces: Sequence[Piece], clear: Collection[str]) -> BaseGeometry:
    """Return where a paint is uppermost among pieces, those of clear paints apart."""
    import shapely

    seen: BaseGeometry = shapely.Polygon()
    for piece in pieces:
        if piece.paint == paint:
            seen = shapely.union(seen, to_shapely(piece.outline))
        elif piece.paint not in clear:
            seen = shapely.difference(seen, to_shapely(piece.outline))
    return seen


def _hides(later: Piece, piece: Piece, clear: Collection[str]) -> bool:
    """Return whether a later piece is of a paint that covers a field, as the coats have it."""
    solid = later.kind is PieceKind.FIELD or later.process is Process.SPRAY
    return solid and later.paint != piece.paint and later.paint not in clear
