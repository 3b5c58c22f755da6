"""Strands of one band cut with common register marks, so that they are laid true to each other.

Each strand is cut of a film of its own.  The marks stand in a row beside the band: within a frame,
below or left of a line.  Where strips of two neighbouring strands lie side by side, both are cut
with the marks near the two ends of that stretch, and are laid in turn over them.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product
from typing import TYPE_CHECKING

from fontTools.misc.transform import Identity

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Point
from livery.layout.piece import PieceKind
from livery.make.film.cut_part import CutPart
from livery.make.film.register import MarkKind, RegisterMark
from livery.rounding import on_grid, rounded_value

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import LinearRing
    from shapely.geometry.base import BaseGeometry

NEAR_MM = 10.0
"""Strands further apart than this, in millimetres, are set out by themselves (chosen: no eye
compares their gap). Larger, and more strands have marks to lay them by."""

CLEAR_MM = 3.0
"""How far register marks stand from what they are for, in millimetres (chosen). Larger, and parts
take more film."""
ARM_MM = 2.0
"""The arm of a register mark, in millimetres (chosen: seen without a glass). Larger, and parts take
more film."""
EVERY_MM = 10.0
"""From one place for a mark to the next along a band, in millimetres (chosen: marks keep clear of
each other). Larger, and marks stand further from the ends of parts."""
SHORT_MM = 40.0
"""A stretch with marks nearer to each other than this, in millimetres, needs none where its parts
have a longer one (chosen). Larger, and fewer marks are cut."""
SAME_MM = 0.05
"""The chord that gives a band's direction, and how much further strands are taken to be near, in
millimetres (chosen: shorter than any side). Larger, and marks at corners stand aslant."""
REACH = 1.1
"""How far across a band a part may lie from a mark, by how far its strand does (chosen: strands out
of square, and sharp corners). Larger, and the mark is another side's."""
ACROSS_MM = 60.0
"""A band is not so wide, in millimetres (chosen): what is longer the way a mark faces is seen from
its end. Larger, and short lines have marks beyond their ends; smaller, and wide bands have none."""
SHOULDER = 0.2
"""How steeply a side must face down to have the marks, as a sine (chosen). Larger, and the row of
marks is broken where a line is steep."""


@dataclass(frozen=True, slots=True)
class _MarkPlace:
    """A place for a mark: where, and how far round the arms are turned with the band."""

    number: int
    at: Point
    along: Point

    @property
    def kind(self) -> MarkKind:
        return MarkKind.TICK if self.number % 2 else MarkKind.CROSS

    @property
    def lines(self) -> tuple[Contour, ...]:
        cos, sin = self.along
        turn = Identity.translate(*self.at).transform((cos, sin, -sin, cos, 0.0, 0.0))
        mark = RegisterMark(self.kind, Point(0.0, 0.0), ARM_MM)
        return tuple(line.transformed(turn) for line in mark.lines)


def in_register(parts: Sequence[CutPart]) -> list[CutPart]:
    """Return the parts of a panel, those of bands with the marks beside them.

    A part that its film cannot take with its marks is left without.
    """
    made = list(parts)
    bands: dict[str, list[int]] = {}
    for i, part in enumerate(parts):
        if part.piece.kind is PieceKind.LINING and part.film.has_marks and not part.is_printed:
            bands.setdefault(part.piece.key, []).append(i)
    for own in bands.values():
        for i, marked in zip(own, _marked([parts[i] for i in own]), strict=True):
            made[i] = marked
    return made


def _marked(band: Sequence[CutPart]) -> list[CutPart]:
    """Return the parts of a band, each with the marks that it shares with those beside it."""
    strands = {part.piece.level: to_shapely(part.piece.outline) for part in band}
    own: dict[int, set[_MarkPlace]] = defaultdict(set)
    for places in _rows(list(strands.values())):
        beside = [
            {i: found for i, found in _beside(places, strand, level, band).items() if found}
            for level, strand in strands.items()
        ]
        for one, other in pairwise(found for found in beside if found):
            for i, j, marks in _shared(one, other):
                own[i] |= marks
                own[j] |= marks
    return [_with(part, own[i]) for i, part in enumerate(band)]


def _rows(strands: Sequence[BaseGeometry]) -> Iterator[list[_MarkPlace]]:
    """Yield the places for marks beside each run of strands that lie side by side."""
    import shapely

    reach = NEAR_MM / 2.0
    near = shapely.union_all([s.buffer(reach + SAME_MM, join_style="mitre") for s in strands])
    begin = 0
    for run in shapely.get_parts(near):
        inner = [s for s in strands if s.intersects(run)]
        if len(inner) < 2:
            continue
        band = run.buffer(-reach - SAME_MM, join_style="mitre")
        row = _row(shapely.transform(band, on_grid), begin)
        begin += len(row)
        if row:
            yield row


def _row(band: BaseGeometry, begin: int) -> list[_MarkPlace]:
    """Return the places for marks beside a run of strands, numbered from ``begin``."""
    import shapely

    off = band.buffer(CLEAR_MM + ARM_MM, join_style="mitre")
    places: list[_MarkPlace] = []
    for region in shapely.get_parts(off):
        # Within a frame every side is held; there is none where a frame is all but filled.
        rings, one_side = list(region.interiors), False
        if not rings:
            rings, one_side = [region.exterior], True
        for ring in rings:
            places += _round_ring(ring, one_side=one_side)
    if not places:
        return []
    # Marks beyond the ends of a line would only take film.
    across = shapely.length(
        shapely.intersection(band, _rays(places, [2.0 * ACROSS_MM] * len(places)))
    )
    kept = [place for place, mm in zip(places, across, strict=True) if 0.0 < mm < ACROSS_MM]
    return [replace(place, number=begin + i) for i, place in enumerate(kept)]


def _rays(places: Sequence[_MarkPlace], lengths_mm: Sequence[float]) -> NDArray[np.object_]:
    """Return the line from each place across its band, so long."""
    import shapely

    ends = [
        (p.at, (p.at.x - p.along.y * mm, p.at.y + p.along.x * mm))
        for p, mm in zip(places, lengths_mm, strict=True)
    ]
    return shapely.linestrings(ends)


def _round_ring(ring: LinearRing, *, one_side: bool) -> Iterator[_MarkPlace]:
    """Yield places along a ring, those of the side that faces down where only one has marks."""
    import shapely

    # The band lies left of the way: anticlockwise round a line, clockwise within a frame.
    way = 1.0 if one_side else -1.0
    ring = shapely.geometry.polygon.orient(shapely.Polygon(ring), way).exterior
    count = max(3, round(ring.length / EVERY_MM))
    for i, odd in enumerate(range(1, 2 * count, 2)):
        station = ring.length * odd / (2 * count)
        before = ring.interpolate(max(0.0, station - SAME_MM))
        at, after = ring.interpolate(station), ring.interpolate(station + SAME_MM)
        dx, dy = after.x - before.x, after.y - before.y
        size = (dx * dx + dy * dy) ** 0.5 or 1.0
        dx, dy = rounded_value(dx / size, 6), rounded_value(dy / size, 6)
        faces_down = -dx < -SHOULDER or (abs(dx) <= SHOULDER and dy < 0.0)
        if faces_down or not one_side:
            yield _MarkPlace(i, Point(at.x, at.y), Point(dx, dy))


def _beside(
    places: Sequence[_MarkPlace], strand: BaseGeometry, level: int, band: Sequence[CutPart]
) -> dict[int, set[_MarkPlace]]:
    """Return the places that each part of a strand has beside it."""
    import shapely

    away = shapely.distance(strand, shapely.points([place.at for place in places]))
    rays = _rays(places, list(away * REACH))
    found = {}
    for i, part in enumerate(band):
        if part.piece.level == level:
            meets = shapely.intersects(to_shapely(part.outline), rays)
            found[i] = {place for place, is_met in zip(places, meets, strict=True) if is_met}
    return found


def _shared(
    one: Mapping[int, set[_MarkPlace]], other: Mapping[int, set[_MarkPlace]]
) -> list[tuple[int, int, set[_MarkPlace]]]:
    """Return the marks of each stretch in which a part of one strand lies beside one of another.

    Short stretches are left out where both parts have a longer one.
    """
    found = []
    for (i, own), (j, its) in product(one.items(), other.items()):
        marks = _ends(own & its)
        if marks:
            found.append((i, j, marks))
    longest: dict[int, float] = {}
    for i, j, marks in found:
        for part in (i, j):
            longest[part] = max(longest.get(part, 0.0), _far(marks))
    return [
        (i, j, marks)
        for i, j, marks in found
        if _far(marks) >= min(SHORT_MM, longest[i]) or _far(marks) >= longest[j]
    ]


def _ends(stretch: set[_MarkPlace]) -> set[_MarkPlace]:
    """Return the cross and the tick that stand furthest apart; none where there are not both."""
    ordered = sorted(stretch, key=lambda place: place.number)
    kinds = [[place for place in ordered if place.kind is kind] for kind in MarkKind]
    pairs = [{cross, tick} for cross, tick in product(*kinds)]
    return max(pairs, key=_far, default=set())


def _far(marks: set[_MarkPlace]) -> float:
    one, other = (place.at for place in marks)
    return rounded_value(math.dist(one, other), 3)


def _with(part: CutPart, marks: set[_MarkPlace]) -> CutPart:
    ordered = sorted(marks, key=lambda place: place.number)
    made = replace(part, register=tuple(line for place in ordered for line in place.lines))
    box = bounds(made.footprint)
    return made if part.film.has_room_for(box.width, box.height) else part
