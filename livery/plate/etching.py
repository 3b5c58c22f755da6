"""The resist for an etched plate: what of the sheet stays, front and back, and what holds it in its frame."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from livery.findings import Finding, Severity, fault
from livery.geometry.boolean import difference, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.offset import outset
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import polygon, rectangle
from livery.plate.outlines import edge_of
from livery.plate.plate import Plate

UNDERCUT_SHARE = 0.5
"""How far a spray etch eats sideways, as a share of its depth (common practice, from memory).
Larger, and the artwork is drawn bolder."""

TAB_MM, GAP_MM, FRAME_MM = 0.8, 1.0, 4.0
"""Common widths of a tab, of the gap round a plate, and of its frame, in millimetres (from memory).
Larger, and the sheet is larger; narrower tabs let a plate fall out."""

_CHORD_MM = 0.005
"""How far the edge that tabs stand on may lie from its curve, in millimetres (chosen). Larger, and
a tab misses the edge."""
_INTO_MM = 0.2
"""How far a tab reaches into the plate and its frame, in millimetres (chosen: more than rounding).
Smaller, and a tab may hang by nothing."""
_LEAST_TABS = 4
"""The fewest tabs of a plate (common practice). Fewer, and it twists as the rest is etched away."""
_APART_MM = 50.0
"""How far tabs are apart at most, in millimetres (common practice, from memory). Larger, and a long
plate sags in the spray."""
_STRAIGHT_DEG = 12.0
"""An edge that turns by less along a tab, in degrees, takes it (chosen). Larger, and a tab is filed
off a corner."""
_TRIED = 200
"""Places tried for each tab to each side of where it would stand evenly (chosen). More only take
time; fewer, and a straight place is missed."""


class EtchSizes(NamedTuple):
    """How a plate is etched, in millimetres.

    ``front_mm`` and ``back_mm`` are how far the etchant eats sideways on each side, by
    which the resist is larger all round; then the widths of tabs, gap and frame.
    """

    front_mm: float
    back_mm: float
    tab_mm: float = TAB_MM
    gap_mm: float = GAP_MM
    frame_mm: float = FRAME_MM


class EtchArtwork(NamedTuple):
    """The metal that stays in front and on the back, both as seen from the front, and the sheet."""

    front: Outline
    back: Outline
    sheet: Outline


def common_etch(plate: Plate) -> EtchSizes:
    """Return how a plate is commonly etched: each side to its own depth."""
    return EtchSizes(UNDERCUT_SHARE * plate.relief_mm, UNDERCUT_SHARE * plate.thickness_mm)


def etch_artwork(plate: Plate, sizes: EtchSizes) -> EtchArtwork:
    """Return the artwork: letters larger by the undercut, a frame round the plate, tabs on the back.

    Raises:
        LiveryError: the edge has no place straight enough for a tab.
    """
    edge = edge_of(plate.outline)
    opening = outset(edge, sizes.gap_mm, "round")
    box = bounds(opening)
    wide = sizes.frame_mm
    sheet = rectangle(
        box.width + 2.0 * wide,
        box.height + 2.0 * wide,
        Point(box.left - wide, box.bottom - wide),
    )
    frame = difference(sheet, opening)
    tabs = tuple(_tabs(edge, sizes))
    return EtchArtwork(
        union(frame, outset(plate.face, sizes.front_mm)),
        union(frame, outset(plate.outline, sizes.back_mm), *tabs),
        sheet,
    )


def etch_findings(plate: Plate, sizes: EtchSizes) -> list[Finding]:
    """Return a warning where the resist, larger by the undercut, closes gaps between letters."""
    import shapely

    face = to_shapely(plate.face, _CHORD_MM)
    grown = face.buffer(sizes.front_mm, join_style="mitre")
    before, after = _parts_and_holes(face), _parts_and_holes(grown)
    if before == after:
        return []
    closed = grown.buffer(-sizes.front_mm, join_style="mitre").difference(face.buffer(1e-3))
    worst = max(shapely.get_parts(closed), key=lambda p: p.area, default=closed)
    at = (grown if worst.is_empty else worst).representative_point()
    return [
        Finding(
            "plate-etch-closed",
            f'the resist of plate "{plate.name}" is larger by the undercut, {sizes.front_mm:.2f} mm all '
            f"round, and closes a gap at x {at.x:.1f}, y {at.y:.1f} mm: it would not be etched",
            "Space the letters wider, or let them stand less high (relief); or ask your etcher, and "
            "write its own figure as etching.undercut.",
            Severity.WARNING,
            where_mm=(at.x, at.y),
        )
    ]


def _parts_and_holes(region: Any) -> tuple[int, int]:
    import shapely

    parts = shapely.get_parts(region)
    return len(parts), sum(len(part.interiors) for part in parts)


def _tabs(edge: Outline, sizes: EtchSizes) -> Iterator[Outline]:
    """Yield strips across the gap, as even as can be along the edge, where it is straight."""
    line = max((ring.exterior for ring in _rings(edge)), key=lambda r: r.length)
    number = max(_LEAST_TABS, math.ceil(line.length / _APART_MM))
    half = (sizes.tab_mm + 2.0 * sizes.back_mm) / 2.0
    for i in range(number):
        even = (i + 0.5) * line.length / number
        place = _straight_place(line, even, line.length / number / 2.0, half)
        if place is None:
            raise fault(
                "etch-tab",
                f"the edge of the plate has no straight place of {2.0 * half:.2f} mm for a tab",
                "write a smaller tab in etching",
                exit_status=1,
            )
        yield _tab(line, place, half, sizes.gap_mm)


def _rings(edge: Outline) -> list[Any]:
    import shapely

    return list(shapely.get_parts(to_shapely(edge, _CHORD_MM)))


def _straight_place(line: Any, even: float, stray: float, half: float) -> float | None:
    steps = sorted(range(-_TRIED, _TRIED + 1), key=lambda s: (abs(s), s))
    for step in steps:
        place = even + stray * step / _TRIED
        before, at, after = (_on(line, place + d) for d in (-half, 0.0, half))
        turn = _heading(at, after) - _heading(before, at)
        if abs((turn + 180.0) % 360.0 - 180.0) <= _STRAIGHT_DEG:
            return place
    return None


def _on(line: Any, place: float) -> Point:
    at = line.interpolate(place % line.length)
    return Point(at.x, at.y)


def _heading(a: Point, b: Point) -> float:
    return math.degrees(math.atan2(b.y - a.y, b.x - a.x))


def _tab(line: Any, place: float, half: float, gap: float) -> Outline:
    a, at, b = (_on(line, place + d) for d in (-half, 0.0, half))
    long = math.dist(a, b)
    along = ((b.x - a.x) / long, (b.y - a.y) / long)
    # The edge runs anticlockwise, so outward is to the right of the way along it.
    out = (along[1], -along[0]) if line.is_ccw else (-along[1], along[0])
    reach = gap + 2.0 * _INTO_MM

    def corner(side: float, outward: float) -> Point:
        return Point(
            at.x + side * half * along[0] + outward * out[0],
            at.y + side * half * along[1] + outward * out[1],
        )

    return polygon(
        [corner(-1, -_INTO_MM), corner(-1, reach), corner(1, reach), corner(1, -_INTO_MM)]
    )
