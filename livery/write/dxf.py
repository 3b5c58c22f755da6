"""Drawings as DXF for a cutter: millimetres, one layer for each of the drawing's, no fills.

Every contour is one polyline, closed where it is: lines and arcs exactly (an arc
as its bulge), cubics as arcs within ``CURVE_MM`` of them.  A closed polyline is
one cut to any program; a chain of splines is not.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from io import StringIO
from typing import Any

from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point
from livery.rounding import rounded_value
from livery.work_cache import kept
from livery.write.arcs_of_cubic import arcs_of_cubic
from livery.write.label_face import printable
from livery.write.layers import layers

CURVE_MM = 0.002
"""How far an arc may lie from the cubic it stands for, in millimetres (chosen: a fifth of what a
written line may be out by). Larger, and files are smaller and less true."""

_DECIMALS = 6
"""Decimals of a millimetre that are written (chosen: far below any cutter's step). Fewer, and
closed lines may not meet; more are last bits that differ between processors."""

_BULGE_DECIMALS = 9
"""Decimals of a bulge (chosen: on a chord of 2 m the last moves the arc's middle by 1e-6 mm).
Fewer, and long flat arcs lie off."""

_RISE_MM = 1e-10
"""What the last decimal of a short arc's bulge moves its middle by, in millimetres (chosen).
Smaller, and last bits are written that differ between processors."""

_MILLIMETRES = 4
"""The unit of the file (by definition, DXF's $INSUNITS). Another, and it is read at another
size."""

_METRIC = 1
"""The kind of unit of the file (by definition, DXF's $MEASUREMENT). Another, and line types are
read in inches."""


@kept
def dxf_bytes(drawing: Drawing) -> bytes:
    """Return the drawing as an ASCII DXF of release 2010.

    A layer takes the colour of its first mark.  A line's width and dashes are left
    out: what is written is where the line runs.
    """
    import ezdxf
    from ezdxf.filemanagement import new

    options: Any = ezdxf.options  # type: ignore[attr-defined]
    fixed = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        document = new("R2010", units=_MILLIMETRES)
        document.header["$MEASUREMENT"] = _METRIC
        _draw(document, drawing)
        # Left to itself the library lists these in the order of a set, which differs by run.
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        text = StringIO()
        document.write(text)
        written: bytes = document.encode(text.getvalue())
    finally:
        options.write_fixed_meta_data_for_testing = fixed
    return written


def _draw(document: Any, drawing: Drawing) -> None:
    space = document.modelspace()
    extents = _settled(Point(drawing.width_mm, drawing.height_mm))
    space.reset_extents((0, 0, 0), (*extents, 0))
    for name, marks in layers(drawing).items():
        layer = _layer_name(name)
        if layer not in document.layers:
            document.layers.add(layer, true_color=_colour(marks[0]))
        for mark in marks:
            match mark:
                case Area():
                    for contour in mark.outline:
                        _polyline(space, contour, layer)
                case Stroke():
                    _polyline(space, mark.contour, layer)
                case Label():
                    _text(space, mark, layer)


def _polyline(space: Any, contour: Contour, layer: str) -> None:
    points = [(*_settled(s.start), _bulge(s)) for s in _lines_and_arcs(contour)]
    if not points:
        return
    if not contour.closed:
        points.append((*_settled(contour.end), 0.0))
    space.add_lwpolyline(points, format="xyb", close=contour.closed, dxfattribs={"layer": layer})


def _lines_and_arcs(contour: Contour) -> Iterator[Line | Arc]:
    for segment in contour.segments:
        if isinstance(segment, Cubic):
            yield from arcs_of_cubic(segment, CURVE_MM)
        else:
            yield segment


def _settled(point: Point) -> tuple[float, float]:
    return rounded_value(point.x, _DECIMALS), rounded_value(point.y, _DECIMALS)


def _bulge(segment: Line | Arc) -> float:
    if not isinstance(segment, Arc):
        return 0.0
    chord = math.dist(segment.start, segment.end)
    worth = math.floor(math.log10(max(chord, _RISE_MM) / (2.0 * _RISE_MM)))
    return rounded_value(segment.bulge, max(0, min(_BULGE_DECIMALS, worth)))


def _text(space: Any, label: Label, layer: str) -> None:
    from ezdxf.enums import TextEntityAlignment

    place = {
        Anchor.START: TextEntityAlignment.LEFT,
        Anchor.MIDDLE: TextEntityAlignment.CENTER,
        Anchor.END: TextEntityAlignment.RIGHT,
    }[label.anchor]
    text = space.add_text(
        _escaped(printable(label.text)),
        height=rounded_value(label.height_mm, _DECIMALS),
        rotation=rounded_value(label.angle, _DECIMALS),
        dxfattribs={"layer": layer},
    )
    text.set_placement(_settled(label.at), align=place)


def _escaped(text: str) -> str:
    r"""Return text that no reader takes for signs of its own: ``%%d``, ``^J``, ``\U+0041``.

    A space sets their signs apart; a caret and a space stand for a caret (DXF reference,
    "Control codes" and "Formatting").
    """
    apart = re.sub(r"%(?=%)|\\(?=[UuMm]\+)", lambda sign: f"{sign[0]} ", text)
    return apart.replace("^", "^ ")


def _layer_name(name: str) -> str:
    """Return the name without the signs a DXF layer may not have."""
    return re.sub(r'[<>/\\":;?*|=`,\x00-\x1f\x7f-\x9f]+', "-", name).strip() or "unnamed"


def _colour(mark: Mark) -> int:
    """Return a mark's colour as DXF's true colour, 0xRRGGBB; black where it has none."""
    colour = (mark.fill or mark.stroke) if isinstance(mark, Area) else mark.colour
    return int(colour.lstrip("#"), 16) if colour else 0
