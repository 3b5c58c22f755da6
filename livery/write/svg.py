"""Drawings as SVG: one user unit is one millimetre, and y is turned downward here only.

Arcs stay arcs and cubics cubics; absolute points are rounded once.  Labels are
written as filled letters in a group of their own, so that no reader needs a font
and a cutter can leave the whole group out.
"""

from __future__ import annotations

from typing import Any

from fontTools.misc.transform import Transform

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.path_text import write_path
from livery.plain_text import without_controls
from livery.rounding import written
from livery.work_cache import kept
from livery.write.label_face import label_path
from livery.write.layers import identifier, layers

DECIMALS = 3
"""Decimals of a millimetre that are written (chosen: a tenth of what a written line may be out
by). Fewer, and lines are less true; more, and files are larger."""


@kept
def svg_text(drawing: Drawing) -> str:
    """Return the drawing as the text of an SVG file, ending in a newline."""
    import svgwrite

    width, height = number(drawing.width_mm), number(drawing.height_mm)
    svg = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
    )
    svg.set_desc(title=without_controls(drawing.title))
    flip = Transform(1, 0, 0, -1, 0, drawing.height_mm)
    taken: set[str] = set()
    for name, marks in layers(drawing).items():
        group = svg.g(id=identifier(name, taken), fill="none", stroke="none")
        for mark in marks:
            path = _path(mark, flip)
            if path:
                group.add(_element(svg, mark, path, taken))
        svg.add(group)
    # One element a line: "><" stands only between elements, text and attributes escape both signs.
    elements = svg.tostring().replace("><", ">\n<")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{elements}\n'


def element_names(drawing: Drawing, layer: str) -> list[str]:
    """Return the names under which the areas of a layer stand in the file, one for each mark there.

    A mark that has no name, or of which rounding leaves nothing, has an empty one.
    """
    flip = Transform(1, 0, 0, -1, 0, drawing.height_mm)
    taken: set[str] = set()
    for name, marks in layers(drawing).items():
        identifier(name, taken)
        names = [
            identifier(mark.name, taken)
            if isinstance(mark, Area) and mark.name and _path(mark, flip)
            else ""
            for mark in marks
        ]
        if name == layer:
            return names
    return []


def number(value: float) -> str:
    """Return millimetres rounded to the file's precision, without needless zeros."""
    return written(value, DECIMALS)


def _path(mark: Mark, flip: Transform) -> str:
    """Return what the mark draws as path text; empty where rounding leaves nothing."""
    match mark:
        case Area():
            return write_path(mark.outline, DECIMALS, flip)
        case Stroke():
            return write_path(mark.contour, DECIMALS, flip)
        case Label():
            return label_path(mark, flip, number)


def _element(svg: Any, mark: Mark, path: str, taken: set[str]) -> Any:
    """Return the mark as an SVG element."""
    element = svg.path(d=path)
    match mark:
        case Area():
            if mark.name:
                element["id"] = identifier(mark.name, taken)
            if mark.fill is not None:
                element["fill"] = mark.fill
            if mark.stroke is not None:
                element["stroke"] = mark.stroke
                element["stroke-width"] = number(mark.stroke_mm)
        case Stroke():
            element["stroke"] = mark.colour
            element["stroke-width"] = number(mark.width_mm)
            if mark.dashes:
                element["stroke-dasharray"] = ",".join(number(d) for d in mark.dashes)
        case Label():
            element["fill"] = mark.colour
            element.set_desc(title=without_controls(mark.text))
    return element
