"""A plate as a drawing: for the engraver, the etcher or the cutter, one layer for each thing done."""

from __future__ import annotations

from fontTools.misc.transform import Transform

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Point, chain
from livery.plate.plate import Plate, RaisedOrSunk
from livery.write.label_face import CAPTION_LEADING, LEAST_CAP_MM, few_lines

_MARGIN_MM = 8.0
"""What the artwork of a plate has round it, in millimetres (chosen). Larger, and the drawing is
larger."""
_MOST_LINES = 3
"""In how many lines the words under it go at most (chosen). Fewer are longer, and the drawing is
wider."""
_EDGE_MM = 0.25
"""The line of the plate's edge, in millimetres (chosen: twice the others). Larger, and sizes taken
off it are out."""
_LINE_MM = 0.1
"""The lines of its border and letters, in millimetres (chosen). Larger, and fine letters close
up."""


def plate_drawing(plate: Plate, name: str, title: str, field: str, face: str) -> Drawing:
    """Return the plate at full size with its title and size under it.

    ``field`` and ``face`` are colours (``#rrggbb``) of what lies lower and higher.
    Layers: ``plate`` (the edge and the holes), ``face`` and ``labels``.
    """
    move = plate_transform(plate)
    sunk = plate.lettering is RaisedOrSunk.SUNK
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
    return _page(plate, name, title, marks)


def plate_template(plate: Plate, name: str, title: str) -> Drawing:
    """Return the plate at full size in plain lines, its holes with their centres."""
    move = plate_transform(plate)
    marks: list[Mark] = [
        Area(region.transformed(move), None, "#000000", line, layer, name=layer)
        for layer, region, line in (
            ("plate", plate.outline, _EDGE_MM),
            ("border", plate.border, _LINE_MM),
            ("letters", plate.letters, _LINE_MM),
        )
        if region
    ]
    for hole in plate.outline:
        if area(hole) < 0.0:
            box = bounds(hole.transformed(move))
            arm = 0.75 * box.width
            x, y = box.centre
            for a, b in (
                (Point(x - arm, y), Point(x + arm, y)),
                (Point(x, y - arm), Point(x, y + arm)),
            ):
                marks.append(Stroke(chain((a, b), closed=False), "#707070", _LINE_MM))
    return _page(plate, name, f"{title}: template, full size", marks)


def plate_transform(plate: Plate) -> Transform:
    """Return the move from a plate to its drawing."""
    box = bounds(plate.outline)
    return Transform().translate(_MARGIN_MM - box.left, 1.5 * _MARGIN_MM - box.bottom)


def _page(plate: Plate, name: str, title: str, marks: list[Mark]) -> Drawing:
    """Return the drawing with a caption under it, on a page as wide as both."""
    box = bounds(plate.outline)
    width, height = box.width + 2.0 * _MARGIN_MM, box.height + 2.5 * _MARGIN_MM
    words = f"{title}: {box.width:.1f} x {box.height:.1f} mm, {plate.lettering.value} letters"
    lines, wide = few_lines(words, LEAST_CAP_MM, box.width, _MOST_LINES)
    for i, line in enumerate(lines):
        at = Point(_MARGIN_MM, _MARGIN_MM - i * CAPTION_LEADING * LEAST_CAP_MM)
        marks.append(Label(line, at, LEAST_CAP_MM))
    return Drawing(name, title, max(width, wide + 2.0 * _MARGIN_MM), height, tuple(marks))
