"""Fields: the areas of colour of a panel, with its openings left out."""

from __future__ import annotations

from pathlib import Path

from livery.describe.entries.panel import FieldEntry
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import difference, intersection
from livery.geometry.outline import Outline
from livery.layout.frame import Frame
from livery.layout.piece import Kind, Piece
from livery.layout.shape_outline import shape_on_panel


def lay_field(
    entry: FieldEntry, key: str, frame: Frame, folder: Path, openings: Outline, level: int
) -> Piece:
    """Return the piece of one field; raise LiveryError where nothing of it is on the panel."""
    outline = frame.outline
    if entry.area.is_given:
        outline = intersection(outline, shape_on_panel(entry.area, frame, folder, f"{key}.area"))
    if openings:
        outline = difference(outline, openings)
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
    return Piece(frame.name, name, Kind.FIELD, entry.paint, entry.process, level, outline, key)
