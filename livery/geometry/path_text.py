"""Outlines as the path text of SVG: reading it, writing it, and the order contours are written in.

Source: W3C, Scalable Vector Graphics (SVG) 2, chapter 9 "Paths" and appendix B.2
"Elliptical arc implementation notes".
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

from fontTools.misc.transform import Identity, Transform

from livery.findings import LiveryError, fault
from livery.geometry.flatten import flatten
from livery.geometry.measure import area, contours_of
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.path_syntax import path_fault
from livery.geometry.segments import trimmed, with_ends
from livery.rounding import rounded_value, written

WRITTEN_SWEEP = math.radians(110.0)
"""Radians of sweep beyond which a written arc is split (chosen): its shape then hangs on the radius's
last digits. With a half circle of 100 mm, 0.0005 mm of radius is 0.3 mm at the middle. Smaller, and
arcs are written in more pieces."""

_NESTING_CHORD_MM = 0.02
"""Millimetres an edge may be off its chords where only the nesting of contours is asked for (chosen).
Larger, and a contour close within another may count as outside it."""

LOWEST_WITHIN_MM = 2e-6
"""Millimetres above the lowest node within which one may be as low, rounded (chosen: two steps of the
rounding). Smaller, and the lowest may be passed over; larger only takes time."""

_SAME_SHARE = 1e-9
"""Share of where they lie by which an end may miss its start and be the same point, rounded (chosen:
far above the 2e-16 of a float). Larger, and true gaps are closed unseen."""


def read_path(text: str, transform: Transform = Identity) -> tuple[Contour, ...]:
    """Return the contours of SVG path text, carried by ``transform``.

    Circular arcs stay arcs, quadratics become the same curve as cubics, and other
    elliptical arcs become cubics within 4e-6 of their larger half axis.  Raises a
    ``LiveryError`` for text that is not a path.
    """
    import svgelements

    if wrong := path_fault(text):
        raise _no_path(wrong)
    try:
        elements = list(svgelements.Path(text))
    except (ValueError, IndexError, TypeError, AttributeError, ArithmeticError):
        raise _no_path(f'"{text[:60]}" cannot be drawn') from None
    return path_contours(elements, transform)


def _no_path(wrong: str) -> LiveryError:
    return fault("path-text", f"this is not SVG path text: {wrong}", "Check the path data.")


def path_contours(elements: Iterable[Any], transform: Transform = Identity) -> tuple[Contour, ...]:
    """Return the contours of a path's elements as svgelements has them; see :func:`read_path`."""
    import svgelements

    contours: list[Contour] = []
    run: list[Segment] = []
    for element in elements:
        if isinstance(element, svgelements.Move):
            _finish(contours, run, closed=False)
            run = []
        elif isinstance(element, svgelements.Close):
            _close(run)
            _finish(contours, run, closed=True)
            run = []
        else:
            run.extend(_segments(element))
    _finish(contours, run, closed=False)
    return tuple(c.transformed(transform) for c in contours)


def _close(run: list[Segment]) -> None:
    """Bring the end of a run to its start; by a line, unless only rounding parts them."""
    if not run:
        return
    end, start = run[-1].end, run[0].start
    gap = math.dist(end, start)
    if gap > _SAME_SHARE * max(map(abs, (*end, *start))):
        run.append(Line(end, start))
    elif gap > 0.0:
        run[-1] = with_ends(run[-1], run[-1].start, start)


def _finish(contours: list[Contour], run: list[Segment], *, closed: bool) -> None:
    """Add a run of segments as a contour, if there is anything in it."""
    if run:
        contours.append(Contour(tuple(run), closed))


def _segments(element: Any) -> tuple[Segment, ...]:
    """Return one drawn element of a path as segments."""
    import svgelements

    start, end = Point(*element.start), Point(*element.end)
    if isinstance(element, svgelements.CubicBezier):
        return (Cubic(start, Point(*element.control1), Point(*element.control2), end),)
    if isinstance(element, svgelements.QuadraticBezier):
        c = Point(*element.control)
        return (
            Cubic(
                start,
                Point(start.x + 2 / 3 * (c.x - start.x), start.y + 2 / 3 * (c.y - start.y)),
                Point(end.x + 2 / 3 * (c.x - end.x), end.y + 2 / 3 * (c.y - end.y)),
                end,
            ),
        )
    if start == end:
        return ()
    if isinstance(element, svgelements.Arc):
        return _elliptical(element, start, end)
    return (Line(start, end),)


def _elliptical(element: Any, start: Point, end: Point) -> tuple[Segment, ...]:
    """Return an elliptical arc: drawn as a unit circle's arc, carried to where it lies."""
    rx, ry, sweep = float(element.rx), float(element.ry), float(element.sweep)
    if rx == 0.0 or ry == 0.0 or sweep == 0.0:
        return (Line(start, end),)
    bulge = math.tan(sweep / 4.0)
    if abs(rx - ry) <= 1e-9 * max(rx, ry):
        return (Arc(start, end, bulge),)
    centre, turned = element.center, float(element.get_rotation())
    place = Transform().translate(centre.x, centre.y).rotate(turned).scale(rx, ry)
    back = place.inverse()
    unit = Arc(Point(*back.transformPoint(start)), Point(*back.transformPoint(end)), bulge)
    pieces = list(unit.transformed(place))
    pieces[0] = with_ends(pieces[0], start, pieces[0].end)
    pieces[-1] = with_ends(pieces[-1], pieces[-1].start, end)
    return tuple(pieces)


def write_path(shape: Outline | Contour, decimals: int = 3, transform: Transform = Identity) -> str:
    """Return SVG path text: absolute coordinates in millimetres, each rounded once.

    ``transform`` is applied first (a writer's turning of y downward, say).  Segments
    that rounding makes nothing of are left out, and so are contours.
    """
    texts = (_contour_text(c, decimals, transform) for c in contours_of(shape))
    return " ".join(t for t in texts if t)


@lru_cache(maxsize=2048)
def _contour_text(contour: Contour, decimals: int, transform: Transform) -> str:
    """Return one contour as path text; like vehicles have the same ones."""
    if not contour.segments:
        return ""
    contour = contour.transformed(transform)
    at = _pair(contour.start, decimals)
    words = [f"M{at}"]
    segments = [piece for s in contour.segments for piece in _writable(s)]
    first = at
    for i, segment in enumerate(segments):
        to = _pair(segment.end, decimals)
        closes = contour.closed and i == len(segments) - 1 and isinstance(segment, Line)
        if to != at or isinstance(segment, Cubic):
            if not closes or to != first:
                words.append(_word(segment, to, decimals))
            at = to
    if len(words) == 1:
        return ""
    return " ".join([*words, "Z"] if contour.closed else words)


def _writable(segment: Segment) -> tuple[Segment, ...]:
    """Return a segment, or an arc of wide sweep in equal parts."""
    if not isinstance(segment, Arc):
        return (segment,)
    count = math.ceil(abs(segment.sweep) / WRITTEN_SWEEP)
    return tuple(trimmed(segment, i / count, (i + 1) / count) for i in range(count))


def _word(segment: Segment, to: str, decimals: int) -> str:
    """Return one segment's command and numbers."""
    if isinstance(segment, Line):
        return f"L{to}"
    if isinstance(segment, Cubic):
        controls = (_pair(segment.control1, decimals), _pair(segment.control2, decimals))
        return f"C{controls[0]} {controls[1]} {to}"
    radius = written(segment.radius, decimals)
    return f"A{radius} {radius} 0 0 {int(segment.bulge > 0)} {to}"


def _pair(point: Point, decimals: int) -> str:
    """Return a point as two numbers."""
    return f"{written(point.x, decimals)} {written(point.y, decimals)}"


def orient(outline: Outline) -> Outline:
    """Return an outline with outer contours anticlockwise, holes clockwise, in a settled order.

    Which is which is decided by nesting, so the contours must not cross.  Every
    contour begins at its lowest, then leftmost, node; contours run from the bottom
    up and left to right by that node.
    """
    contours = [c for c in outline if c.segments and c.closed]
    turned = []
    for contour, around in zip(contours, _nesting(contours), strict=True):
        outer = around % 2 == 0
        turned.append(contour if (area(contour) > 0) == outer else contour.reversed())
    return in_order(Outline(tuple(turned)))


def _nesting(contours: Sequence[Contour]) -> list[int]:
    """Return how many of the other contours lie round each; none may cross."""
    if len(contours) < 2:
        return [0] * len(contours)
    import numpy as np
    import shapely

    rings = [flatten(c, _NESTING_CHORD_MM) for c in contours]
    shapes = [shapely.Polygon(r) if len(r) > 2 else shapely.Point(r[0]) for r in rings]
    sizes = shapely.area(shapes)
    # Of two that do not cross, one lies within the other where a place well inside it does and
    # it is the smaller: contours may touch, and such a place is off the edge of both.
    inner, outer = shapely.STRtree(shapes).query(shapely.point_on_surface(shapes), "within")
    within = inner[sizes[inner] < sizes[outer]]
    return [int(n) for n in np.bincount(within, minlength=len(contours))]


def in_order(outline: Outline) -> Outline:
    """Return an outline with its contours' starts and order settled, their directions kept."""
    return ranked([from_lowest(c) for c in outline if c.segments])


def ranked(contours: Sequence[Contour]) -> Outline:
    """Return contours that begin as settled in their settled order."""
    return Outline(tuple(sorted(contours, key=_order_key) if len(contours) > 1 else contours))


def _order_key(contour: Contour) -> tuple[float, float, float]:
    """Return what contours are ordered by, blind to the last digits."""
    return (
        rounded_value(contour.start.y, 6),
        rounded_value(contour.start.x, 6),
        -rounded_value(abs(area(contour)), 6),
    )


def from_lowest(contour: Contour) -> Contour:
    """Return a closed contour begun at its lowest, then leftmost, node."""
    if not contour.closed:
        return contour
    # Rounding keeps the order, so that only what is within its last step may come first.
    starts = [s.start for s in contour.segments]
    heights = [p[1] for p in starts]
    reach = min(heights) + LOWEST_WITHIN_MM
    low = [i for i, y in enumerate(heights) if y <= reach]
    i = min(low, key=lambda i: rank_of_node(*starts[i]))
    return Contour(contour.segments[i:] + contour.segments[:i], closed=True)


def rank_of_node(x: float, y: float) -> tuple[float, float]:
    """Return what the node at which a contour begins has the least of, blind to the last digits."""
    return rounded_value(y, 6), rounded_value(x, 6)
