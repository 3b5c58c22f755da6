"""A plate as a drawing: for the engraver, the etcher or the cutter, one layer for each thing done."""

from __future__ import annotations

from fontTools.misc.transform import Transform

from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.plate.plate import Lettering, Plate
from livery.write.drawing import Anchor, Area, Drawing, Label, Mark

_FACE = "#d9b45b"
_FIELD = "#8c1d18"
_MARGIN_MM = 8.0


def plate_drawing(plate: Plate, field: str = _FIELD, face: str = _FACE) -> Drawing:
    """Return the plate at full size with its name and size under it.

    ``field`` and ``face`` are colours (``#rrggbb``) of what lies lower and higher.
    Layers: ``plate`` (the edge and the holes), ``face`` and ``labels``.
    """
    box = bounds(plate.outline)
    move = Transform().translate(_MARGIN_MM - box.left, 1.5 * _MARGIN_MM - box.bottom)
    sunk = plate.lettering is Lettering.SUNK
    marks: list[Mark] = [
        Area(
            plate.outline.transformed(move),
            face if sunk else field,
            "#000000",
            layer="plate",
            name="edge",
        )
    ]
    for name, region in (("border", plate.border), ("letters", plate.letters)):
        if region:
            marks.append(
                Area(
                    region.transformed(move),
                    field if sunk else face,
                    layer=plate.lettering.value,
                    name=name,
                )
            )
    width, height = box.width + 2.0 * _MARGIN_MM, box.height + 2.5 * _MARGIN_MM
    words = f"{plate.name}: {box.width:.1f} x {box.height:.1f} mm, {plate.lettering.value} letters"
    marks.append(Label(words, Point(width / 2.0, 0.6 * _MARGIN_MM), 2.0, Anchor.MIDDLE))
    return Drawing(plate.name, plate.name, width, height, tuple(marks))
