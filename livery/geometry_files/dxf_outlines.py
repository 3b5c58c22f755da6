"""Named outlines out of a DXF file, in millimetres.

Lines, arcs and circles are read exactly, polylines by their bulges; ellipses and
splines become cubics.  Blocks are read where they are inserted.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from fontTools.misc.transform import Transform

from livery.findings import fault
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.shapes import circle
from livery.geometry_files.closing import closed_outline

_DRAWN = frozenset(
    {"LWPOLYLINE", "POLYLINE", "LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "INSERT"}
)
_MIRROR = Transform(-1, 0, 0, 1, 0, 0)


def dxf_outline(file: Path, name: str, unit_mm: float | None = None) -> Outline:
    """Return the outline drawn on the layer ``name``, or by the entity with that handle.

    A contour within another is a hole.  ``unit_mm`` is the size of the file's unit
    where the file does not say, or says it wrongly.

    Raises:
        LiveryError: the file is no DXF, names no unit, has no such layer or handle,
            or what is drawn is not closed.
    """
    document = _opened(file)
    entities = _named(document, name)
    if not entities:
        names = dxf_names(file)
        remedy = (
            f"the layers with outlines are {', '.join(names)}" if names else "draw it on a layer"
        )
        raise fault(
            "outline-name", f"{file.name} has no layer or handle '{name}' with an outline", remedy
        )
    unit = unit_mm if unit_mm is not None else _unit_mm(document, file)
    scale = Transform().scale(unit)
    contours = [c.transformed(scale) for e in entities for c in _contours(e)]
    return closed_outline(contours, f"'{name}' in {file.name}")


def dxf_names(file: Path) -> tuple[str, ...]:
    """Return the names of all layers that hold outlines, in the order of the alphabet."""
    return tuple(sorted({e.dxf.layer for e in _drawn(_opened(file))}, key=str.casefold))


def _opened(file: Path) -> Any:
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    try:
        return readfile(file)
    except FileNotFoundError as missing:
        raise fault("file-missing", f"there is no file '{file}'", "check the name") from missing
    except (OSError, DXFError, StopIteration) as broken:  # the last where it is cut short
        raise fault(
            "file-dxf", f"'{file}' is not a DXF file: {broken}", "export it again as DXF"
        ) from broken


def _unit_mm(document: Any, file: Path) -> float:
    from ezdxf.enums import InsertUnits
    from ezdxf.units import conversion_factor

    if document.units == 0:
        raise fault(
            "file-unit",
            f"{file.name} does not say what its unit is",
            "say it beside the file's name",
        )
    return float(conversion_factor(InsertUnits(document.units), InsertUnits.Millimeters))


def _drawn(document: Any) -> list[Any]:
    return [e for e in document.modelspace() if e.dxftype() in _DRAWN]


def _named(document: Any, name: str) -> list[Any]:
    drawn = _drawn(document)
    on_layer = [e for e in drawn if e.dxf.layer.casefold() == name.casefold()]
    return on_layer or [e for e in drawn if e.dxf.handle.casefold() == name.casefold()]


def _contours(entity: Any) -> Iterator[Contour]:
    """Yield what an entity draws, in the file's units."""
    kind = entity.dxftype()
    if kind == "INSERT":
        for inner in entity.virtual_entities():
            if inner.dxftype() in _DRAWN:
                yield from _contours(inner)
    elif kind == "LWPOLYLINE":
        yield from _polyline(entity.get_points("xyb"), entity.closed, entity)
    elif kind == "POLYLINE" and entity.is_2d_polyline:
        points = [(*v.dxf.location.vec2, v.dxf.get("bulge", 0.0)) for v in entity.vertices]
        yield from _polyline(points, entity.is_closed, entity)
    elif kind == "CIRCLE":
        c = entity.dxf.center
        yield from _laid(circle(Point(c.x, c.y), entity.dxf.radius), entity)
    elif kind == "ARC":
        yield from _laid((Contour((_arc(entity),), closed=False),), entity)
    elif kind == "ELLIPSE":
        yield _ellipse(entity)
    else:
        yield from _curves(entity)


def _laid(contours: Iterable[Contour], entity: Any) -> Iterator[Contour]:
    """Yield contours out of an entity's own plane, which may only be the drawing's or its back."""
    normal = entity.dxf.extrusion
    if abs(abs(normal.z) - 1.0) > 1e-9:
        raise fault(
            "outline-tilted",
            f"the {entity.dxftype()} with the handle {entity.dxf.handle} does not lie flat",
            "draw it in the plane of the drawing",
        )
    for contour in contours:
        yield contour if normal.z > 0 else contour.transformed(_MIRROR)


def _polyline(points: Iterable[Iterable[float]], closed: bool, entity: Any) -> Iterator[Contour]:
    corners = [(Point(x, y), bulge) for x, y, bulge in points]
    ends = corners[1:] + (corners[:1] if closed else [])
    segments: list[Segment] = []
    for (start, bulge), (end, _) in zip(corners, ends, strict=False):
        if start != end:
            segments.append(Arc(start, end, bulge) if bulge else Line(start, end))
    if segments:
        yield from _laid((Contour(tuple(segments), closed),), entity)


def _arc(entity: Any) -> Arc:
    c, r = entity.dxf.center, entity.dxf.radius
    first, last = math.radians(entity.dxf.start_angle), math.radians(entity.dxf.end_angle)
    sweep = (last - first) % math.tau or math.tau

    def at(angle: float) -> Point:
        return Point(c.x + r * math.cos(angle), c.y + r * math.sin(angle))

    return Arc(at(first), at(first + sweep), math.tan(sweep / 4.0))


def _ellipse(entity: Any) -> Contour:
    """Return an ellipse, or part of one, as a unit circle carried onto it."""
    centre, major, minor = entity.dxf.center, entity.dxf.major_axis, entity.minor_axis
    place = Transform(major.x, major.y, minor.x, minor.y, centre.x, centre.y)
    first, last = entity.dxf.start_param, entity.dxf.end_param
    sweep = (last - first) % math.tau or math.tau
    bulge = math.tan(sweep / 8.0)
    angles = (first, first + sweep / 2.0, first + sweep)
    a, b, c = (Point(math.cos(v), math.sin(v)) for v in angles)
    whole = math.isclose(sweep, math.tau)
    arcs = (Arc(a, b, bulge), Arc(b, a if whole else c, bulge))
    return Contour(arcs, whole).transformed(place)


def _curves(entity: Any) -> Iterator[Contour]:
    """Yield a line, a spline or a three-dimensional polyline by the library's own path of it."""
    from ezdxf.path import Curve3To, Curve4To, LineTo, make_path

    path = make_path(entity)
    at = Point(path.start.x, path.start.y)
    segments: list[Segment] = []
    for command in path.commands():
        end = Point(command.end.x, command.end.y)
        if isinstance(command, LineTo):
            segments.append(Line(at, end))
        elif isinstance(command, Curve4To):
            a, b = (Point(c.x, c.y) for c in (command.ctrl1, command.ctrl2))
            segments.append(Cubic(at, a, b, end))
        elif isinstance(command, Curve3To):
            c = command.ctrl
            a = Point(at.x + (c.x - at.x) * 2 / 3, at.y + (c.y - at.y) * 2 / 3)
            b = Point(end.x + (c.x - end.x) * 2 / 3, end.y + (c.y - end.y) * 2 / 3)
            segments.append(Cubic(at, a, b, end))
        at = end
    if segments:
        yield Contour(tuple(segments), segments[0].start == segments[-1].end)
