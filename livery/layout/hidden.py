"""Fields that nobody will see, because others lie over the whole of them."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import TYPE_CHECKING

from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.layout.piece import Piece, PieceKind, entry_title
from livery.process import Process

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

SEEN_MM2 = 0.01
"""Less of a field left uncovered, in square millimetres, is not seen (chosen: a speck of 0.1 mm).
Larger, and a field of which a thin edge shows is called hidden."""


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


def _hides(later: Piece, piece: Piece, clear: Collection[str]) -> bool:
    """Return whether a later piece is of a paint that covers a field, as the coats have it."""
    solid = later.kind is PieceKind.FIELD or later.process is Process.SPRAY
    return solid and later.paint != piece.paint and later.paint not in clear
