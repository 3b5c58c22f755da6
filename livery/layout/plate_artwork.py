"""The user's own artwork on a plate: its visible fills are raised or sunk with the letters."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from fontTools.misc.transform import Identity

from livery.findings import Finding, LiveryError, attached_to
from livery.geometry.boolean import difference, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import EMPTY, Outline
from livery.layout.frame import Frame

if TYPE_CHECKING:
    from livery.describe.entries.plate import PlateArtworkEntry

_OVER_MM2 = 0.001
"""Less than this over an edge, in square millimetres, is rounding (chosen). Larger, and artwork that
breaks through the border passes."""


def plate_artwork(
    entry: PlateArtworkEntry, key: str, frame: Frame, folder: Path, field: Outline
) -> Outline:
    """Return the visible part of a drawing's chosen fills, at its size and place on the ``field``.

    Raises:
        LiveryError: the file is faulty, a fill is not in it, or it does not lie on the field.
    """
    from livery.geometry_files.svg_artwork import svg_artwork

    with attached_to(f"{key}.file"):
        drawing = svg_artwork(folder / entry.file)
    chosen = [fill.lower() for fill in entry.fills] or list(drawing.colours)
    lost = [fill for fill in chosen if fill not in drawing.colours]
    if lost:
        words = f"nothing in the drawing has the fill {lost[0]}"
        remedy = f"Its fills are {', '.join(drawing.colours)}."
        raise LiveryError([Finding("artwork-paint", words, remedy, key=f"{key}.fills")])
    shape = EMPTY
    for one in drawing.fills:
        over = one.fill in chosen
        shape = union(shape, one.outline) if over else difference(shape, one.outline)
    box = bounds(shape)
    to_model = frame.scale.to_model
    size = (
        to_model(entry.height) / box.height
        if entry.height is not None
        else to_model(entry.width) / box.width  # type: ignore[arg-type]  # one is given
    )
    at = frame.point(entry.at)
    onto = Identity.translate(*at).scale(size).translate(-box.centre.x, -box.centre.y)
    placed = shape.transformed(onto)
    if to_shapely(difference(placed, field)).area > _OVER_MM2:
        words = "the artwork runs off the plate, or over its border or a hole"
        remedy = "Make it smaller, or move it."
        raise LiveryError([Finding("off-plate", words, remedy, key=key)])
    return placed
