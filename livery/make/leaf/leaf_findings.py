"""What is found where a paint and its process do not go together: leaf is laid, and paint is not."""

from __future__ import annotations

from collections.abc import Iterator

from livery.describe.entries.description import DescriptionModel
from livery.findings import Finding
from livery.layout.piece import Piece, PieceKind, entry_title
from livery.layout.plan import Plan
from livery.process import Process


def leaf_findings(plan: Plan, model: DescriptionModel) -> Iterator[Finding]:
    """Yield a fault for each entry that lays a paint as leaf, or puts leaf on in another way.

    A plate is left out: its maker colours it.
    """
    found: dict[tuple[str, str, Process], Piece] = {}
    for panel in plan.panels:
        for piece in panel.pieces:
            if piece.kind is PieceKind.PLATE:
                continue
            is_leaf = model.paint[piece.paint].kind == "leaf"
            if is_leaf is not (piece.process is Process.LEAF):
                found.setdefault((piece.key, piece.paint, piece.process), piece)
    for piece in found.values():
        yield _fault(piece, model.paint[piece.paint].kind)


def _fault(piece: Piece, kind: str) -> Finding:
    paint, process, entry = piece.paint, piece.process.value, entry_title(piece.key)
    if kind == "leaf":
        message = f"{paint} is leaf, and {entry} puts it on by {process}"
        remedy = (
            f'Write process = "leaf" beside the paint; or, if {paint} is a paint or a film that '
            f'only looks like it, kind = "metallic" in [paint.{paint}].'
        )
    else:
        message = f"{paint} is no leaf, and {entry} lays it as leaf"
        remedy = (
            f'If it is leaf, write kind = "leaf" in [paint.{paint}]; if not, write beside the paint '
            'how it is put on, such as process = "bow pen".'
        )
    return Finding("leaf-process", message, remedy, key=piece.key, exit_status=2)
