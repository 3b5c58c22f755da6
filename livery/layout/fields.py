"""Fields: the areas of colour of a panel, with its openings left out."""

from __future__ import annotations

from pathlib import Path

from livery.describe.entries.panel import FieldEntry
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import difference, intersection, union
from livery.layout.ground import Ground
from livery.layout.panel_shape import shape_on_panel
from livery.layout.piece import Piece, PieceKind


def lay_field(entry: FieldEntry, key: str, ground: Ground, folder: Path, level: int) -> Piece:
    """Return the piece of one field; raise LiveryError where nothing of it is on the panel."""
    frame = ground.frame
    outline = frame.outline
    if isinstance(entry.area, str):
        outline = intersection(outline, union(*ground.named(entry.area)))
    elif entry.area.is_given:
        outline = intersection(outline, shape_on_panel(entry.area, frame, folder, f"{key}.area"))
    outline = difference(outline, ground.openings)
    if not outline:
        raise LiveryError(
            [
                Finding(
                    "off-panel",
                    "nothing of this field is on the panel",
                    "Check its area against the panel's size and openings.",
                    key=key,
                )
            ],
            exit_status=1,
        )
    name = f"field {entry.paint}"
    return Piece(frame.name, name, PieceKind.FIELD, entry.paint, entry.process, level, outline, key)
