"""The region that contours wind round, with their curves kept: one engine for every operation.

Contours are flattened finely and Shapely settles the topology (see ``winding``).
Every chord of its answer lies on a chord of the input, so it is known which
segment it came from; a run of chords from one segment becomes one exact piece
of that segment, and where two runs join, the two segments are made to meet
exactly.  So lines and arcs come back as lines and arcs, and cubics as pieces of
themselves; the flattening never shows.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from livery.geometry.apart import from_first_point, groups_apart
from livery.geometry.chords import (
    WELD_MM,
    ChordRun,
    ChordRuns,
    Chords,
    chords_of,
    chords_of_pieces,
    runs_along,
    welded,
)
from livery.geometry.flatten import CHORD_MM, steps
from livery.geometry.measure import area, length
from livery.geometry.meeting import meeting
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.path_text import in_order
from livery.geometry.pieces import Pieces
from livery.geometry.rings import ring_area
from livery.geometry.segments import (
    arc_parameter,
    nearest_parameter,
    point_on,
    refined_foot,
    segment_length,
    trimmed,
    with_ends,
)
from livery.geometry.simplify import merged
from livery.geometry.winding import covered_region, region

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

FOOT_REACH = 0.05
"""How far from its rough parameter a joint is looked for on a cubic (chosen: more than a chord spans).
Larger, and the wrong branch of a loop may be found; smaller, and true meetings are passed over."""
MOST_KEPT = 400
"""Segments of the largest group that is remembered by its shape (chosen): a larger one is hardly met
again elsewhere on a panel, but in its own place it is: a strand's edge, alone and with the others of
its band. Only time and memory change with it."""


@dataclass(frozen=True)
class Gaps:
    """What is no part of a region though wound round: all that lies so near to an edge."""

    edge: tuple[Contour, ...]
    within_mm: float

    def __hash__(self) -> int:
        """Return a number that is quick to find: an edge may have very many segments."""
        return hash((self.within_mm, len(self.edge)))

    def outside(self, rings: list[Numbers]) -> list[Numbers]:
        """Return the rings of points that do not begin in a gap."""
        import numpy as np
        import shapely

        if not rings:
            return []
        begins: Any = shapely.points(np.array([r[0] for r in rings]))
        _, apart = self._index.query_nearest(begins, return_distance=True, all_matches=False)
        return [r for r, far in zip(rings, apart, strict=True) if far > self.within_mm]

    @cached_property
    def _index(self) -> Any:
        """Return an index of the edge's chords."""
        import numpy as np
        import shapely

        _, edge = chords_of(self.edge, CHORD_MM)
        lines: Any = shapely.linestrings(np.stack((edge.at, edge.ends()), axis=1))
        return shapely.STRtree(lines)


def winding_region(
    contours: Iterable[Contour],
    at_least: int = 1,
    chord_mm: float = CHORD_MM,
    *,
    gaps: Gaps | None = None,
) -> Outline:
    """Return the region that closed contours wind round ``at_least`` times anticlockwise.

    The contours may cross, overlap and run along each other in any way.  The result
    is a proper outline with no needless nodes; parts thinner on average than
    ``chord_mm`` are left out, being finer than the topology is settled to.  So is every
    part that lies in ``gaps``.
    """
    given = [c for c in contours if c.segments]
    if not given:
        return Outline(())
    found: list[Contour] = []
    for group in groups_apart(given, chord_mm + 2.0 * WELD_MM):
        found += _edge_of_group(group.contours, at_least - group.times, chord_mm, gaps)
    return in_order(Outline(tuple(found)))


def _edge_of_group(
    contours: tuple[Contour, ...], at_least: int, chord_mm: float, gaps: Gaps | None
) -> Iterable[Contour]:
    """Return the edge of the region that a group winds round so often, or, below one, all around it."""
    if at_least < 1:
        turned = tuple(c.reversed() for c in contours)
        return [c.reversed() for c in _edge_of_group(turned, 1 - at_least, chord_mm, gaps)]
    if gaps is not None or sum(len(c.segments) for c in contours) > MOST_KEPT:
        return _edge_of_many(contours, at_least, chord_mm, gaps)
    placed = from_first_point(contours)
    return map(placed.put_back, _edge_once(placed.contours, at_least, chord_mm))


def _edge(
    contours: tuple[Contour, ...], at_least: int, chord_mm: float, gaps: Gaps | None = None
) -> tuple[Contour, ...]:
    """Return the edge of the region that contours wind round so often, as exact contours."""
    segments, chords = chords_of(contours, chord_mm)
    if not len(segments):
        return ()
    chords = welded(segments, chords, chord_mm)
    runs = _settled(chords, at_least, gaps)
    if isinstance(segments, Pieces):
        from livery.geometry.recover_many import recovered_pieces

        return tuple(recovered_pieces(segments, runs, chord_mm))
    back = [_recovered(segments, ring, chord_mm) for ring in runs.by_ring()]
    return tuple(c for c in back if c.segments and _is_thick(c, chord_mm))


def edge_of_pieces(pieces: Pieces, chord_mm: float, gaps: Gaps | None) -> list[Contour]:
    """Return the edge of the region that lines and arcs, given as arrays, wind round."""
    from livery.geometry.recover_many import recovered_pieces

    chords = welded(pieces, chords_of_pieces(pieces, chord_mm), chord_mm)
    return recovered_pieces(pieces, _settled(chords, 1, gaps), chord_mm)


@lru_cache(maxsize=8192)
def _edge_once(
    contours: tuple[Contour, ...], at_least: int, chord_mm: float
) -> tuple[Contour, ...]:
    """Return the edge of a region, worked out the first time a shape is met."""
    return _edge(contours, at_least, chord_mm)


@lru_cache(maxsize=16)
def _edge_of_many(
    contours: tuple[Contour, ...], at_least: int, chord_mm: float, gaps: Gaps | None
) -> tuple[Contour, ...]:
    """Return the edge of a large region; only the last few are remembered, as each is large."""
    return _edge(contours, at_least, chord_mm, gaps)


def _settled(chords: Chords, at_least: int, gaps: Gaps | None = None) -> ChordRuns:
    """Return the rings round the region that is wound round so often, as runs along segments."""

    def edges_of(found: Any) -> list[Numbers]:
        return _rings_of(found) if gaps is None else gaps.outside(_rings_of(found))

    rings = chords.rings()
    quick = covered_region(rings) if at_least == 1 else None
    # Should the quick way have rounded, its edges are not those of the input.
    runs = None if quick is None else runs_along(chords, edges_of(quick))
    if runs is None:
        runs = runs_along(chords, edges_of(region(rings, keep=lambda times: times >= at_least)))
    if runs is None:
        raise AssertionError("a chord of the region lies on no chord of the input")
    return runs


def _is_thick(contour: Contour, chord_mm: float) -> bool:
    """Return whether a contour is thicker on average than the chord error."""
    thickness = 2.0 * abs(area(contour)) / chord_mm
    # A polygon round the curves is longer than they are, and sooner measured.
    return thickness > sum(_reach(s) for s in contour.segments) or thickness > length(contour)


def _reach(segment: Segment) -> float:
    """Return a length no less than the segment's."""
    if isinstance(segment, Cubic):
        a, b = segment.control1, segment.control2
        return math.dist(segment.start, a) + math.dist(a, b) + math.dist(b, segment.end)
    return segment_length(segment)


def _rings_of(found: Any) -> list[Numbers]:
    """Return the rings of a region, each with the region on its left, not closed by a repeat."""
    import shapely

    rings = []
    for polygon in shapely.get_parts(found):
        if polygon.is_empty:
            continue
        for hole, ring in enumerate((polygon.exterior, *polygon.interiors)):
            p = shapely.get_coordinates(ring)[:-1]
            rings.append(p if (ring_area(p) > 0.0) == (hole == 0) else p[::-1])
    return rings


def _recovered(segments: Sequence[Segment], runs: Sequence[ChordRun], chord_mm: float) -> Contour:
    """Return the contour whose segments are the exact pieces the runs stand for."""
    joints = [
        _joint(segments, before, after, chord_mm) for before, after in pairwise([runs[-1], *runs])
    ]
    pieces: list[Segment] = []
    for run, start, end in zip(runs, joints, [*joints[1:], joints[0]], strict=True):
        piece = _piece(segments[run.segment], run, start, end)
        if piece is not None:
            pieces.append(piece)
    whole = (
        [
            with_ends(piece, before.end, piece.end) if before.end != piece.start else piece
            for before, piece in pairwise([pieces[-1], *pieces])
        ]
        if pieces
        else []
    )
    return merged(Contour(tuple(whole)))


def _joint(
    segments: Sequence[Segment], before: ChordRun, after: ChordRun, chord_mm: float
) -> Point:
    """Return the exact point where one run gives way to the next."""
    one, other, near = segments[before.segment], segments[after.segment], after.start
    for segment in (one, other):
        for end in (segment.start, segment.end):
            if math.dist(end, near) <= 2 * WELD_MM:
                return end
    if one is other and not isinstance(one, Cubic):
        return near
    point = meeting(one, other, near, before.t1, after.t0)
    # Chords may cross as far from the true meeting as the chords are long.
    reach = 10 * chord_mm + 3 * (_chord_length(one, chord_mm) + _chord_length(other, chord_mm))
    if (
        point is not None
        and math.dist(point, near) <= reach
        and _reaches(one, before.t1, before.t0, point)
        and _reaches(other, after.t0, after.t1, point)
    ):
        return point
    curve = other if isinstance(one, Line) else one
    return point_on(curve, nearest_parameter(curve, near))


def _reaches(segment: Segment, end: float, other_end: float, point: Point) -> bool:
    """Return whether a run along a cubic can end at a point: it lies there, before the run turns back.

    Curves that all but coincide may meet far from where their chords do.
    """
    if not isinstance(segment, Cubic):
        return True
    middle = (end + other_end) / 2.0
    low, high = (middle, end + FOOT_REACH) if end > other_end else (end - FOOT_REACH, middle)
    low, high = max(low, end - FOOT_REACH, 0.0), min(high, end + FOOT_REACH, 1.0)
    foot = refined_foot(segment, point, end, low, high)
    return math.dist(point_on(segment, foot), point) <= WELD_MM


def _chord_length(segment: Segment, chord_mm: float) -> float:
    """Return the length of a curve's chords; nothing for a line, which has no error."""
    if isinstance(segment, Line):
        return 0.0
    return segment_length(segment) / steps(segment, chord_mm)


def _piece(segment: Segment, run: ChordRun, start: Point, end: Point) -> Segment | None:
    """Return the piece of a segment between two joints, or None when nothing is left."""
    if isinstance(segment, Line):
        return Line(start, end) if math.dist(start, end) > WELD_MM else None
    whole = segment if run.t1 > run.t0 else segment.reversed()
    if (start, end) == (whole.start, whole.end):
        return whole
    if math.dist(start, end) <= WELD_MM and abs(run.t1 - run.t0) < 1e-3:
        return None
    if isinstance(segment, Arc):
        turn = math.tau / abs(segment.sweep)
        t0, t1 = (
            t + turn * round((rough - t) / turn)
            for t, rough in (
                (arc_parameter(segment, start), run.t0),
                (arc_parameter(segment, end), run.t1),
            )
        )
        if (t1 - t0) * (run.t1 - run.t0) <= 0.0:
            return None
        return Arc(start, end, math.tan(segment.sweep * (t1 - t0) / 4.0))
    t0, t1 = (
        refined_foot(segment, p, t, max(t - FOOT_REACH, 0.0), min(t + FOOT_REACH, 1.0))
        for p, t in ((start, run.t0), (end, run.t1))
    )
    return with_ends(trimmed(segment, t0, t1), start, end)
