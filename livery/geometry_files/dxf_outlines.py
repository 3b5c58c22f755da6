"""Named outlines out of a DXF file, in millimetres.

Lines, arcs and circles are read exactly, polylines by their bulges; ellipses and
splines become cubics.  Blocks are read where they are inserted.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

from fontTools.misc.transform import Transform

from livery.findings import fault
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.shapes import circle
from livery.geometry_files.closing import closed_outline
from livery.input_limits import (
    DEEPEST_DRAWING,
    MOST_DRAWING_BYTES,
    MOST_ELEMENTS,
    SIMPLER,
    require_at_most,
    require_size,
)
from livery.parsing import parsing

_DRAWN = frozenset(
    {"LWPOLYLINE", "POLYLINE", "LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "INSERT"}
)
_UNITS_MM = {
    1: 25.4,
    2: 304.8,
    4: 1.0,
    5: 10.0,
    6: 1000.0,
    8: 25.4e-6,
    9: 0.0254,
    10: 914.4,
    13: 0.001,
    14: 100.0,
    21: 1_200_000.0 / 3937.0,
    22: 100_000.0 / 3937.0,
    23: 3_600_000.0 / 3937.0,
}
"""The units a vehicle may be drawn in, by their code: inch, foot, mm, cm, m, microinch, thousandth
of an inch, yard, micrometre, decimetre, US survey foot, inch and yard.  Source: DXF reference,
header variable $INSUNITS; the survey foot is 1200/3937 m (US Coast and Geodetic Survey, 1893)."""

_ODD_UNITS = {
    3: "the mile",
    7: "the kilometre",
    11: "the angstrom",
    12: "the nanometre",
    15: "the decametre",
    16: "the hectometre",
    17: "the gigametre",
    18: "the astronomical unit",
    19: "the light year",
    20: "the parsec",
    24: "the US survey mile",
}
_MIRROR = Transform(-1, 0, 0, 1, 0, 0)
"""A point mirrored across (by definition, DXF: what is drawn on the back of its plane). Another
shows blocks on the wrong hand."""


def dxf_outline(file: Path, name: str, unit_mm: float | None = None) -> Outline:
    """Return the outline drawn on the layer ``name``, or by the entity with that handle.

    A contour within another is a hole.  ``unit_mm`` is the size of the file's unit
    where the file does not say, or says it wrongly.

    Raises:
        LiveryError: the file is no DXF, names no unit, has no such layer or handle,
            or what is drawn is not closed.
    """
    document = _opened(file)
    with _damage(file):
        entities = _named(document, name)
    if not entities:
        names = _names(document)
        remedy = (
            f"the layers with outlines are {', '.join(names)}" if names else "draw it on a layer"
        )
        raise fault(
            "outline-name", f'{file.name} has no layer or handle "{name}" with an outline', remedy
        )
    unit = unit_mm if unit_mm is not None else _unit_mm(document, file)
    scale = Transform().scale(unit)
    with _damage(file):
        _Blocks(document, file).require_drawable(entities)
        contours = [c.transformed(scale) for e in entities for c in _followed(e, file)]
    return closed_outline(contours, f'"{name}" in {file.name}')


def _names(document: Any) -> tuple[str, ...]:
    return tuple(sorted({e.dxf.layer for e in _drawn(document)}, key=str.casefold))


def _damage(file: Path) -> AbstractContextManager[None]:
    return parsing(file, "a DXF file", "Export it again as DXF.", code="file-dxf")


def _opened(file: Path) -> Any:
    from ezdxf.filemanagement import readfile

    require_size(file, MOST_DRAWING_BYTES, "the drawing")
    with _damage(file):
        return readfile(file)


def _unit_mm(document: Any, file: Path) -> float:
    """Return the size of a file's unit; raise LiveryError where it names none that can be meant."""
    code = document.units
    if code in _UNITS_MM:
        return _UNITS_MM[code]
    remedy = "Set its unit in the drawing program and export it again, or write unit beside file."
    if code == 0:
        raise fault("file-unit", f"{file.name} does not say what its unit is", remedy)
    what = _ODD_UNITS.get(code, "which is not known")
    message = f"{file.name} gives its sizes in a unit that no vehicle is drawn in: {code}, {what}"
    raise fault("file-unit", message, remedy)


def _drawn(document: Any) -> list[Any]:
    return [e for e in document.modelspace() if e.dxftype() in _DRAWN]


def _named(document: Any, name: str) -> list[Any]:
    drawn = _drawn(document)
    on_layer = [e for e in drawn if e.dxf.layer.casefold() == name.casefold()]
    return on_layer or [e for e in drawn if str(e.dxf.handle).casefold() == name.casefold()]


class _Blocks:
    """How much the entities of a document draw, blocks followed, found before any is drawn."""

    def __init__(self, document: Any, file: Path) -> None:
        self._blocks = document.blocks
        self._file = file
        self._counts: dict[str, int] = {}

    def require_drawable(self, entities: Iterable[Any]) -> None:
        """Raise LiveryError for a block that is missing or holds itself, and beyond the limit."""
        count = self._drawn_by(entities, ())
        require_at_most(count, MOST_ELEMENTS, f'entities drawn by "{self._file.name}"', SIMPLER)

    def _drawn_by(self, entities: Iterable[Any], above: tuple[str, ...]) -> int:
        kinds = [e for e in entities if e.dxftype() in _DRAWN]
        inserts = [e for e in kinds if e.dxftype() == "INSERT"]
        inner = sum(int(e.mcount) * self._of_block(str(e.dxf.name), above) for e in inserts)
        return len(kinds) + inner

    def _of_block(self, name: str, above: tuple[str, ...]) -> int:
        key = name.casefold()
        if key in above:
            raise fault(
                "file-dxf",
                f'the block "{name}" in {self._file.name} holds itself',
                "Delete the insert of the block within it.",
            )
        if key not in self._counts:
            if name not in self._blocks:
                raise fault(
                    "file-dxf",
                    f'{self._file.name} inserts the block "{name}", which it does not hold',
                    "Export it again with its blocks, or draw the block's lines out.",
                )
            levels = f'levels of blocks in "{self._file.name}"'
            require_at_most(len(above) + 1, DEEPEST_DRAWING, levels, SIMPLER)
            self._counts[key] = self._drawn_by(self._blocks.get(name), (*above, key))
        return self._counts[key]


def _followed(entity: Any, file: Path) -> Iterator[Contour]:
    """Yield what an entity draws, in the file's units; an insert draws what its block holds."""
    if entity.dxftype() != "INSERT":
        with _damage_of(entity, file):
            yield from list(_contours(entity))
        return
    for copy in [entity] if entity.mcount == 1 else entity.multi_insert():
        for inner in copy.virtual_entities():
            if inner.dxftype() in _DRAWN:
                yield from _followed(inner, file)


def _damage_of(entity: Any, file: Path) -> AbstractContextManager[None]:
    """Raise LiveryError about one entity where what it draws cannot be worked out."""
    handle = f"the handle {entity.dxf.handle}"
    what = f"a drawing whose {entity.dxftype()} with {handle} can be drawn"
    return parsing(file, what, "Draw that one again.", code="file-dxf")


def _contours(entity: Any) -> Iterator[Contour]:
    """Yield what an entity that is no insert draws, in the file's units."""
    kind = entity.dxftype()
    if kind == "LWPOLYLINE":
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
    corners = [(Point(float(x), float(y)), float(bulge)) for x, y, bulge in points]
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
