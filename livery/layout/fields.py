"""Fields: the areas of colour of a panel, with its openings left out."""

from __future__ import annotations

from pathlib import Path

from livery.describe.entries.field import FieldEntry
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import difference, intersection, union
from livery.layout.ground import Ground
from livery.layout.panel_shape import shape_on_panel
from livery.layout.piece import Piece, PieceKind


def lay_field(
    entry: FieldEntry, key: str, ground: Ground, folder: Path, level: int
) -> tuple[Piece, ...]:
    """Return the piece of one field, and that of its pattern over it.

    Raises:
        LiveryError: nothing of it is on the panel, or its pattern cannot be drawn.
    """
    frame = ground.frame
    outline = frame.outline
    if isinstance(entry.area, str):
        outline = intersection(outline, union(*ground.named(entry.area)))
    elif entry.area.is_given:
        area = shape_on_panel(entry.area, frame, folder, f"{key}.area", stretched=True)
        outline = intersection(outline, area)
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
    name, kind = f"field {entry.paint}", PieceKind.FIELD
    field = Piece(
        frame.name, name, kind, entry.paint, entry.process, level=level, outline=outline, key=key
    )
    if entry.stripes is None and entry.chequers is None:
        return (field,)
    from livery.layout.field_patterns import chequered, striped

    if entry.stripes is not None:
        paint, pattern = entry.stripes.paint, striped(outline, entry.stripes, frame.scale)
        name = f"{name}, stripes {paint}"
    else:
        assert entry.chequers is not None
        paint, pattern = entry.chequers.paint, chequered(outline, entry.chequers, frame.scale)
        name = f"{name}, chequers {paint}"
    return field, Piece(
        frame.name, name, kind, paint, entry.process, level=level + 1, outline=pattern, key=key
    )
