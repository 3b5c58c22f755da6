"""A described shape as drawn, brought to scale."""

from __future__ import annotations

import math
from pathlib import Path

from fontTools.misc.transform import Transform

from livery.describe.corner_values import WrittenCorner as CornerText
from livery.describe.entries.names import CornerName
from livery.describe.entries.shape import Shape
from livery.describe.values import Position
from livery.findings import Finding, LiveryError, attached_to, not_found
from livery.geometry.corners import recornered
from livery.geometry.measure import Bounds, lies_within
from livery.geometry.outline import Arc, Contour, Line, Outline, Point, chain, translated
from livery.geometry.path_text import orient, read_path
from livery.geometry.shapes import Corner, circle, polygon
from livery.input_limits import (
    FARTHEST_MM,
    FEWER_NODES,
    MOST_NODES,
    MOST_PANEL_CURVES,
    MOST_PANEL_NODES,
    SIMPLER,
    require_at_most,
)
from livery.layout.edges import corner_name, refuse_unclear_corners
from livery.toml.read import is_file
from livery.units import Scale, read_length, read_scale, write_feet_and_inches

CORNER_NAMES: tuple[CornerName, ...] = ("bottom_left", "bottom_right", "top_right", "top_left")

FULL_SIZE = read_scale("1:1")


def corner_at_scale(corner: CornerText, scale: Scale) -> Corner:
    """Return a described corner with its size on the model."""
    return Corner(corner.style.value, scale.to_model(corner.size))


def corners_at_scale(shape: Shape, scale: Scale) -> list[Corner]:
    """Return a box's four corners, anticlockwise from the bottom left."""
    return [corner_at_scale(shape.corner.of(n), scale) for n in CORNER_NAMES]


def drawn_outline(shape: Shape, scale: Scale, folder: Path, key: str) -> Outline:
    """Return a panel's own shape at scale, in the drawing's coordinates.

    Sizes said to be on the model are taken as they are.  Raises LiveryError.
    """
    if shape.rectangle is not None:
        width, height = (scale.to_model(s) for s in shape.rectangle)
        x, y = _offsets(shape.at, scale)
        return translated(boxed(shape, scale, width, height, key), x, y)
    if shape.polygon is not None:
        points = [Point(*_offsets(p[:2], scale)) for p in shape.polygon]
        refuse_faulty_panel((chain(points),), f"{key}.polygon", scale)
        return cornered_polygon(shape, points, scale, key)
    if shape.circle is not None:
        centre = Point(*_offsets(shape.circle.centre, scale))
        return circle(centre, scale.to_model(shape.circle.diameter) / 2.0)
    if shape.path is not None:
        return _from_path(shape, scale, key)
    if shape.file is not None:
        return _from_file(shape, scale, folder, key)
    raise LiveryError(
        [
            Finding(
                "shape",
                "this panel's outline is not given",
                'Write outline = { rectangle = ["6 ft", "4 ft"] }, a polygon, a path or a file.',
                key=key,
            )
        ]
    )


def _offsets(pair: tuple[Position, ...] | None, scale: Scale) -> tuple[float, float]:
    if pair is None:
        return 0.0, 0.0
    return scale.to_model(pair[0].offset), scale.to_model(pair[1].offset)


def boxed(shape: Shape, scale: Scale, width: float, height: float, key: str) -> Outline:
    """Return a box of a size in mm with a shape's corners and its crown, if it has one.

    Raises LiveryError where the crown rises by more than half a circle over the width.
    """
    points = [Point(0, 0), Point(width, 0), Point(width, height), Point(0, height)]
    corners = corners_at_scale(shape, scale)
    if shape.crown is None:
        return polygon(points, corners)
    rise = scale.to_model(shape.crown)
    if rise > width / 2.0 + 1e-9:
        most = write_feet_and_inches(scale.to_prototype(width / 2.0), 8, math.floor)
        message = f"a crown of {shape.crown} is more than half a circle over this width"
        remedy = f"Write how far the arch rises above the sides: {most} at the most."
        raise LiveryError([Finding("crown", message, remedy, key=f"{key}.crown")])
    of_place = dict(zip(points, corners, strict=True))
    return recornered(_crowned(points, rise), lambda p: of_place[p])


def _crowned(points: list[Point], rise: float) -> Outline:
    """Return the box through four points with its top edge arched; the rise is above the sides."""
    a, b, c, d = points
    top = Arc(c, d, 2.0 * rise / math.dist(c, d))
    return Outline((Contour((Line(a, b), Line(b, c), top, Line(d, a))),))


def cornered_polygon(shape: Shape, points: list[Point], scale: Scale, key: str) -> Outline:
    """Return the polygon through points in mm, with the corners its shape gives them.

    A form that ``corner`` has for a name is that of the corner in that quarter of the polygon's
    box.  Raises LiveryError where none lies there without a form of its own, or more than one.
    """
    assert shape.polygon is not None
    across, up = zip(*points, strict=True)
    box = Bounds(min(across), min(up), max(across), max(up))
    own: list[CornerText | None] = [point[2] for point in shape.polygon]
    names = [corner_name(p, box) for p in points]
    free = [name for name, corner in zip(names, own, strict=True) if corner is None]
    refuse_unclear_corners(
        shape.corner,
        free,
        key,
        "Write the form in the polygon instead, as the third part of its corner: "
        '["6 ft", "3 ft", "4 in"].',
    )
    every = [shape.corner.of(n) if c is None else c for n, c in zip(names, own, strict=True)]
    return polygon(points, [corner_at_scale(corner, scale) for corner in every])


def _from_path(shape: Shape, scale: Scale, key: str) -> Outline:
    assert shape.path is not None and shape.unit is not None
    unit = scale.to_model(read_length(f"1 {shape.unit}"))
    try:
        contours = read_path(shape.path, Transform(unit, 0, 0, unit, 0, 0))
    except ValueError as error:
        raise LiveryError([Finding("path", str(error), key=f"{key}.path")]) from None
    refuse_faulty_panel(contours, f"{key}.path", scale)
    return orient(Outline(contours))


def _from_file(shape: Shape, scale: Scale, folder: Path, key: str) -> Outline:
    from livery.geometry_files.dxf_outlines import dxf_outline
    from livery.geometry_files.svg_outlines import svg_outline
    from livery.geometry_files.tracing import without_tracing

    assert shape.file is not None and shape.name is not None
    file = folder / shape.file
    if not is_file(file):
        raise not_found(shape.file)
    unit_mm = None if shape.unit is None else float(read_length(f"1 {shape.unit}").exact)
    with attached_to(f"{key}.name"):
        if file.suffix.lower() == ".dxf":
            outline = dxf_outline(file, shape.name, unit_mm)
        else:
            outline = svg_outline(file, shape.name)
    refuse_faulty_outline(outline.contours, f"{key}.file", read_scale("1:1"))
    size = 1.0 if shape.drawn == "model" else float(scale.ratio)
    drawn = without_tracing(outline.transformed(Transform(size, 0, 0, size, 0, 0)))
    _refuse_many_nodes(drawn.contours, f"{key}.file")
    return drawn


_REMEDIES = {
    "open": "Close it: end the path with Z, or bring its last point to its first.",
    "self-crossing": "Move its points so that no side crosses another.",
    "contours crossing": "Move them apart, or join them into one.",
    "zero length": "A point is there twice: delete one.",
    "tiny area": "Its points lie in one line: check them.",
    "doubled back": "Delete the points that run back over themselves.",
}


def refuse_faulty_panel(contours: tuple[Contour, ...], key: str, scale: Scale) -> None:
    """Raise LiveryError where the outline of a panel has too many nodes to lay out, or is at fault."""
    _refuse_many_nodes(contours, key)
    refuse_faulty_outline(contours, key, scale)


def _refuse_many_nodes(contours: tuple[Contour, ...], key: str) -> None:
    nodes = sum(len(c.segments) for c in contours)
    curves = sum(not isinstance(s, Line) for c in contours for s in c.segments)
    with attached_to(key):
        require_at_most(nodes, MOST_PANEL_NODES, "nodes in one outline", FEWER_NODES)
        require_at_most(curves, MOST_PANEL_CURVES, "curves in one outline", FEWER_NODES)


def refuse_faulty_outline(contours: tuple[Contour, ...], key: str, scale: Scale) -> None:
    """Raise LiveryError where an outline is open, crosses itself or has no area.

    Places are given at the prototype's size, as the drawing has them.
    """
    from livery.geometry.validity import faults

    if not contours:
        raise LiveryError(
            [Finding("outline-empty", "this path draws nothing", "Draw it.", key=key)]
        )
    if not lies_within(Outline(contours), FARTHEST_MM):
        message, remedy = "this outline reaches beyond any vehicle", "Check its numbers and unit."
        raise LiveryError([Finding("outline-too-large", message, remedy, key=key)])
    nodes = sum(len(c.segments) for c in contours)
    with attached_to(key):
        require_at_most(nodes, MOST_NODES, "nodes in one outline", SIMPLER)
    found = []
    # A hole may be drawn either way round; only closed contours can be turned to suit.
    closed = all(c.closed for c in contours)
    for fault in faults(orient(Outline(contours)) if closed else contours):
        if fault.kind == "inside out":
            continue  # drawn clockwise, as anyone may; it is turned round later
        x, y = (write_feet_and_inches(scale.to_prototype(v)) for v in fault.where)
        what = fault.kind if fault.kind != "open" else "open, its end not at its start"
        found.append(
            Finding(
                f"outline-{fault.kind.replace(' ', '-')}",
                f"this outline has a fault at [{x}, {y}]: {what}",
                _REMEDIES.get(fault.kind, "Check its points there."),
                key=key,
                where_mm=fault.where,
            )
        )
    if found:
        raise LiveryError(found)
