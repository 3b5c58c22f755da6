"""Files read again by other parsers than wrote them, and measured.

Sizes come back in millimetres with y up, as a cutter's own program would find them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from io import BytesIO, StringIO
from itertools import pairwise
from typing import Any, NamedTuple
from xml.etree import ElementTree

_SVG = "{http://www.w3.org/2000/svg}"
_POINTS_PER_MM = 72.0 / 25.4
"""The size of a millimetre in PDF units (ISO 32000-1, 8.3.2.3: 1/72 in by default). Another calls
every page wrong."""


class Box(NamedTuple):
    """The bounding rectangle of something read."""

    left: float
    bottom: float
    right: float
    top: float


class Reread(NamedTuple):
    """What a file holds: its page's width and height, and each named outline's bounds."""

    page: tuple[float, float]
    boxes: dict[str, Box]


class ReadEdge(NamedTuple):
    """One contour of a file: its bounds, the area within (signed; 0 if it is open), if it is closed."""

    box: Box
    area: float
    is_closed: bool


class _ReadPath(NamedTuple):
    """One path of an SVG: its id, its contours, and whether it is of words."""

    name: str | None
    edges: tuple[ReadEdge, ...]
    is_word: bool


def svg_edges(content: bytes) -> Iterator[ReadEdge]:
    """Yield every contour of an SVG's paths but those of words, which have a title."""
    return (edge for path in _svg_paths(content)[1] if not path.is_word for edge in path.edges)


@lru_cache(maxsize=1)
def _svg_paths(content: bytes) -> tuple[tuple[float, float], tuple[_ReadPath, ...]]:
    """Return the page and the paths of an SVG, those of words without an id left out.

    The file read last is kept: several checks look at one file, one after another.
    """
    import svgelements

    root = ElementTree.fromstring(content)
    width, height = (float(root.attrib[k].removesuffix("mm")) for k in ("width", "height"))
    paths = []
    for path in root.iter(f"{_SVG}path"):
        name, is_word = path.attrib.get("id"), path.find(f"{_SVG}title") is not None
        if is_word and name is None:
            continue
        edges = []
        for part in svgelements.Path(path.attrib["d"]).as_subpaths():
            segments = list(part)
            reached = [reached for s in segments for reached in _reached(s)]
            x0, x1 = min(x for x, _ in reached), max(x for x, _ in reached)
            y0, y1 = min(y for _, y in reached), max(y for _, y in reached)
            is_closed = any(isinstance(s, svgelements.Close) for s in segments)
            # The page's y runs downward, so that the area changes its sign.
            area = -sum(map(_swept, segments)) if is_closed else 0.0
            edges.append(ReadEdge(Box(x0, height - y1, x1, height - y0), area, is_closed))
        paths.append(_ReadPath(name, tuple(edges), is_word))
    return (width, height), tuple(paths)


def _reached(segment: Any) -> Iterator[tuple[float, float]]:
    """Yield points of a segment of a path with the same bounding rectangle as the segment."""
    import svgelements

    # A move starts where the contour before it ended.
    from_to = (
        (segment.end,) if isinstance(segment, svgelements.Move) else (segment.start, segment.end)
    )
    ends = [(p.x, p.y) for p in from_to]
    yield from ends
    if isinstance(segment, svgelements.Arc):
        yield from _turns_of_arc(segment)
    elif isinstance(segment, svgelements.CubicBezier):
        xs, ys = zip(*ends, strict=True)
        controls = (segment.control1, segment.control2)
        if not all(
            min(xs) <= p.x <= max(xs) and min(ys) <= p.y <= max(ys) for p in controls
        ):  # else it lies between its ends
            x0, y0, x1, y1 = segment.bbox()
            yield from ((x0, y0), (x1, y1))


def _turns_of_arc(arc: Any) -> Iterator[tuple[float, float]]:
    """Yield the points where an arc of an ellipse turns back in x or in y.

    The library's own bounds of an arc took most of the time of reading a file again.
    """
    if arc.sweep == 0.0:
        return
    x, y = arc.center.x, arc.center.y
    ux, uy, vx, vy = arc.prx.x - x, arc.prx.y - y, arc.pry.x - x, arc.pry.y - y
    from_x, from_y = arc.start.x - x, arc.start.y - y
    first = math.atan2(
        (from_x * vx + from_y * vy) / (vx * vx + vy * vy),
        (from_x * ux + from_y * uy) / (ux * ux + uy * uy),
    )
    way = math.copysign(1.0, arc.sweep)
    for turn in (math.atan2(vx, ux), math.atan2(vy, uy)):
        for angle in (turn, turn + math.pi):
            if way * (angle - first) % math.tau < abs(arc.sweep):
                c, s = math.cos(angle), math.sin(angle)
                yield x + c * ux + s * vx, y + c * uy + s * vy


def _swept(segment: Any) -> float:
    """Return the area a segment of a path sweeps about the origin: half the integral of x dy - y dx."""
    import svgelements

    match segment:
        case svgelements.Move():
            return 0.0
        case svgelements.Arc():
            return sum(map(_swept, segment.as_cubic_curves()))
        case svgelements.CubicBezier():
            a, b, c, d = segment.start, segment.control1, segment.control2, segment.end
            pairs = ((6, a, b), (3, a, c), (1, a, d), (3, b, c), (3, b, d), (6, c, d))
            return float(sum(n * (p.x * q.y - p.y * q.x) for n, p, q in pairs)) / 20.0
        case _:
            p, q = segment.start, segment.end
            return float(p.x * q.y - p.y * q.x) / 2.0


def dxf_edges(content: bytes) -> Iterator[ReadEdge]:
    """Yield every polyline of a DXF."""
    return (edge for _, edge in _dxf_polylines(content))


@lru_cache(maxsize=1)
def _dxf_polylines(content: bytes) -> tuple[tuple[str, ReadEdge], ...]:
    """Return every polyline of a DXF with its layer, in the order of the file.

    An arc is measured as the arc its bulge says, not by a curve near it.  The file read last is
    kept, as by :func:`_svg_paths`.
    """
    import ezdxf

    document: Any = ezdxf.read(StringIO(content.decode("utf-8")))  # type: ignore[attr-defined]
    found = []
    for line in document.modelspace().query("LWPOLYLINE"):
        nodes = [(float(x), float(y), float(b)) for x, y, b in line.get_points("xyb")]
        sides = list(pairwise([*nodes, nodes[0]] if line.closed else nodes))
        far = [p for (x, y, b), (u, v, _) in sides for p in _farthest((x, y), (u, v), b)]
        xs, ys = zip(*far, strict=True)
        area = sum(_swept_side(a, b) for a, b in sides) if line.closed else 0.0
        box = Box(min(xs), min(ys), max(xs), max(ys))
        found.append((str(line.dxf.layer), ReadEdge(box, area, bool(line.closed))))
    return tuple(found)


def _swept_side(start: tuple[float, float, float], end: tuple[float, float, float]) -> float:
    """Return the area under one side of a polyline: its chord's, and the arc's beyond the chord."""
    (x, y, bulge), (u, v, _) = start, end
    chord = (x * v - y * u) / 2.0
    if bulge == 0.0:
        return chord
    sweep = 4.0 * math.atan(bulge)
    radius = math.hypot(u - x, v - y) / (2.0 * math.sin(sweep / 2.0))
    return chord + radius * radius * (sweep - math.sin(sweep)) / 2.0


def reread_svg(content: bytes) -> Reread:
    """Return the page and every path that has an id, as another reader of SVG finds them."""
    page, paths = _svg_paths(content)
    return Reread(page, {p.name: _bounds_of(p.edges) for p in paths if p.name is not None})


def _bounds_of(edges: Sequence[ReadEdge]) -> Box:
    """Return the bounding rectangle of some contours."""
    left, bottom, right, top = zip(*(edge.box for edge in edges), strict=True)
    return Box(min(left), min(bottom), max(right), max(top))


def reread_dxf(content: bytes, layer: str) -> tuple[Box, ...]:
    """Return the bounds of every closed polyline on a layer, in the order of the file."""
    return tuple(e.box for on, e in _dxf_polylines(content) if on == layer and e.is_closed)


def _farthest(
    start: tuple[float, float], end: tuple[float, float], bulge: float
) -> Iterator[tuple[float, float]]:
    """Yield the ends of one side of a polyline, and where its arc turns back in x or in y."""
    from ezdxf.math import Vec2, bulge_to_arc

    yield start
    yield end
    if bulge == 0.0:
        return
    centre, first, last, radius = bulge_to_arc(start, end, bulge)
    sweep = (last - first) % math.tau
    for quarter in range(4):
        angle = quarter * math.pi / 2.0
        if (angle - first) % math.tau < sweep:
            turn = centre + Vec2.from_angle(angle, radius)
            yield float(turn.x), float(turn.y)


def reread_pdf_page(content: bytes) -> tuple[float, float]:
    """Return the width and height of the first page."""
    from pypdf import PdfReader

    box = PdfReader(BytesIO(content)).pages[0].mediabox
    return float(box.width) / _POINTS_PER_MM, float(box.height) / _POINTS_PER_MM
