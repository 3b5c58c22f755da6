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
from typing import TYPE_CHECKING, Any, NamedTuple

from livery.geometry.apart import from_first_point, groups_apart
from livery.geometry.flatten import CHORD_MM, inner_points, steps
from livery.geometry.measure import area, length
from livery.geometry.meeting import meeting
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point, Segment
from livery.geometry.path_text import in_order
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
    Indices = NDArray[np.int64]

WELD_MM = 1e-6
"""Millimetres: points nearer than this are one point, and a point this near a segment is on it (chosen:
a five-hundredth of the chord error). Larger, and fine detail is lost; smaller, and edges that run
along each other leave slivers."""
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
        _, away = self._index.query_nearest(begins, return_distance=True, all_matches=False)
        return [r for r, far in zip(rings, away, strict=True) if far > self.within_mm]

    @cached_property
    def _index(self) -> Any:
        """Return an index of the edge's chords."""
        import numpy as np
        import shapely

        _, edge = _chords(self.edge, CHORD_MM)
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
    segments, chords = _chords(contours, chord_mm)
    if not segments:
        return ()
    chords = _welded(segments, chords, chord_mm)
    back = [_recovered(segments, ring, chord_mm) for ring in _settled(chords, at_least, gaps)]
    return tuple(c for c in back if c.segments and _is_thick(c, chord_mm))


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


def _settled(chords: _Chords, at_least: int, gaps: Gaps | None = None) -> list[list[_Run]]:
    """Return the rings round the region that is wound round so often, as runs along segments."""

    def edges_of(found: Any) -> list[Numbers]:
        return _rings_of(found) if gaps is None else gaps.outside(_rings_of(found))

    rings = chords.rings()
    quick = covered_region(rings) if at_least == 1 else None
    # Should the quick way have rounded, its edges are not those of the input.
    runs = None if quick is None else _traced(chords, edges_of(quick))
    if runs is None:
        runs = _traced(chords, edges_of(region(rings, keep=lambda times: times >= at_least)))
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


class _Chords(NamedTuple):
    """All contours as one run of chords; each begins where the one before it in its ring ended.

    Per chord: where it begins (``at``), the segment it lies on, the parameters there
    of its two ends, and the number of its ring.
    """

    at: Numbers
    segment: Indices
    t0: Numbers
    t1: Numbers
    ring: Indices

    def ends(self) -> Numbers:
        """Return where each chord ends."""
        return self.at[self.following()]

    def following(self) -> Indices:
        """Return the number of the chord after each chord in its ring."""
        import numpy as np

        after = np.arange(1, len(self.at) + 1)
        last = np.flatnonzero(np.append(self.ring[1:] != self.ring[:-1], True))
        after[last] = np.append(0, last[:-1] + 1)
        return after

    def chosen(self, which: NDArray[np.bool_]) -> _Chords:
        """Return only some of the chords."""
        return _Chords(
            self.at[which], self.segment[which], self.t0[which], self.t1[which], self.ring[which]
        )

    def rings(self) -> list[Numbers]:
        """Return the rings of points."""
        import numpy as np

        cuts = np.flatnonzero(self.ring[1:] != self.ring[:-1]) + 1
        return np.split(self.at, cuts)


def _chords(contours: Sequence[Contour], chord_mm: float) -> tuple[list[Segment], _Chords]:
    """Flatten contours; an open one, or one that stops short, is closed by a straight line."""
    import numpy as np

    segments: list[Segment] = []
    flat: list[float] = []
    counts: list[int] = []
    rings: list[int] = []
    for ring, contour in enumerate(contours):
        run = [s for s in contour.segments if s.start != s.end or isinstance(s, Cubic)]
        if run and run[-1].end != run[0].start:
            run.append(Line(run[-1].end, run[0].start))
        for segment in run:
            segments.append(segment)
            rings.append(ring)
            flat += segment.start
            if isinstance(segment, Line):
                counts.append(1)
            else:
                inner = inner_points(segment, chord_mm)
                flat += inner.ravel().tolist()
                counts.append(len(inner) + 1)
    at = np.array(flat, dtype=float).reshape(-1, 2)
    many = np.array(counts, dtype=np.int64)
    which = np.repeat(np.arange(len(segments)), many)
    rank = np.arange(len(at)) - np.repeat(np.cumsum(many) - many, many)
    t0 = rank / many[which] if len(at) else np.empty(0)
    t1 = (rank + 1) / many[which] if len(at) else np.empty(0)
    return segments, _Chords(
        at,
        which,
        t0,
        t1,
        np.array(rings, dtype=np.int64)[which],
    )


def _welded(segments: Sequence[Segment], chords: _Chords, chord_mm: float) -> _Chords:
    """Make points that all but coincide one, and put points that lie on a segment into its chords.

    Segments that run along each other then have the very same chords there, so no
    slivers are left between them.
    """
    import numpy as np
    import shapely

    a, b, after = chords.at, chords.ends(), chords.following()
    lines: Any = shapely.linestrings(np.stack((a, b), axis=1))
    points: Any = shapely.points(a)
    straight = np.array([isinstance(s, Line) for s in segments])[chords.segment]
    chord, point = _near(lines, points, straight, chord_mm)
    keep = (point != chord) & (point != after[chord])
    chord, point = chord[keep], point[keep]
    same = [
        (point, end, np.hypot(*(a[point] - a[end]).T) <= WELD_MM) for end in (chord, after[chord])
    ]
    inner = ~(same[0][2] | same[1][2])
    at = _united(a, [(p[m], e[m]) for p, e, m in same])
    chord, point, share = _lying_on(segments, chords, chord[inner], point[inner])
    key = np.concatenate((np.arange(len(a), dtype=float), chord + share))
    order = np.argsort(key, kind="stable")
    source = np.concatenate((np.arange(len(a)), chord))[order]
    where = np.concatenate((np.arange(len(a)), point))[order]
    begun = np.concatenate((np.zeros(len(a)), share))[order]
    ended = np.append(begun[1:], 0.0)
    ended[ended == 0.0] = 1.0
    span = chords.t1 - chords.t0
    woven = _Chords(
        at[where],
        chords.segment[source],
        chords.t0[source] + begun * span[source],
        chords.t0[source] + ended * span[source],
        chords.ring[source],
    )
    real = np.any(woven.at != woven.ends(), axis=1)
    return woven.chosen(real)


def _near(lines: Any, points: Any, straight: Any, chord_mm: float) -> tuple[Indices, Indices]:
    """Pair chords with the points near enough to lie on their segments."""
    import numpy as np
    import shapely

    tree = shapely.STRtree(points)
    pairs = []
    for chosen, within in ((straight, WELD_MM), (~straight, chord_mm + WELD_MM)):
        which = np.flatnonzero(chosen)
        if len(which):
            hit, point = tree.query(lines[which], predicate="dwithin", distance=within)
            pairs.append((which[hit], point))
    return np.concatenate([p[0] for p in pairs]), np.concatenate([p[1] for p in pairs])


def _united(at: Numbers, pairs: Iterable[tuple[Indices, Indices]]) -> Numbers:
    """Return the points with each one of a pair moved to the first of those it is welded to."""
    first: dict[int, int] = {}

    def root(i: int) -> int:
        while i in first:
            i = first[i]
        return i

    for one, other in pairs:
        for i, j in zip(one.tolist(), other.tolist(), strict=True):
            low, high = sorted((root(i), root(j)))
            if low != high:
                first[high] = low
    moved = at.copy()
    for i in first:
        moved[i] = at[root(i)]
    return moved


def _lying_on(
    segments: Sequence[Segment], chords: _Chords, chord: Indices, point: Indices
) -> tuple[Indices, Indices, Numbers]:
    """Keep the pairs whose point lies on the chord's segment; return them with how far along."""
    import numpy as np

    p, a, b = chords.at[point], chords.at[chord], chords.ends()[chord]
    along = b - a
    share = ((p - a) * along).sum(axis=1) / np.maximum((along * along).sum(axis=1), 1e-300)
    keep = (share > 1e-9) & (share < 1 - 1e-9)
    for k in np.flatnonzero(keep):
        segment = segments[chords.segment[chord[k]]]
        if isinstance(segment, Line):
            continue
        where = Point(*p[k].tolist())
        if isinstance(segment, Arc):
            off = abs(math.dist(where, segment.centre) - segment.radius)
        else:
            t0, t1 = float(chords.t0[chord[k]]), float(chords.t1[chord[k]])
            t = refined_foot(segment, where, t0 + float(share[k]) * (t1 - t0), t0, t1)
            off = math.dist(where, point_on(segment, t))
        keep[k] = off <= WELD_MM
    return chord[keep], point[keep], share[keep]


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


class _Run(NamedTuple):
    """A stretch of a ring along one segment, from one rough parameter to another."""

    segment: int
    t0: float
    t1: float
    start: Point


def _traced(chords: _Chords, rings: Sequence[Numbers]) -> list[list[_Run]] | None:
    """Name the segment each stretch of each ring lies on; None where one lies on none."""
    import numpy as np
    import shapely

    if not rings:
        return []
    p = np.vstack(rings)
    q = np.vstack([np.roll(r, -1, axis=0) for r in rings])
    a, b = chords.at, chords.ends()
    lines: Any = shapely.linestrings(np.stack((a, b), axis=1))
    middles: Any = shapely.points((p + q) / 2)
    edge, chord = shapely.STRtree(lines).query(middles, predicate="dwithin", distance=WELD_MM / 10)
    off = np.maximum(_away(p[edge], a[chord], b[chord]), _away(q[edge], a[chord], b[chord]))
    against = ((q - p)[edge] * (b - a)[chord]).sum(axis=1) < 0
    order = np.lexsort((chords.segment[chord], against, np.round(off / 1e-8), edge))
    edge, chord, off, against = edge[order], chord[order], off[order], against[order]
    firsts = np.searchsorted(edge, np.arange(len(p) + 1))
    if np.any(np.diff(firsts) == 0):
        return None
    chosen = firsts[:-1].copy()
    _prefer_running_on(chords, chosen, firsts, chord, off)
    chord, against = chord[chosen], against[chosen]
    t0, t1 = (_parameter(chords, v, a, b, chord) for v in (p, q))
    sizes = [len(r) for r in rings]
    runs = []
    for first, size in zip(np.cumsum(sizes) - sizes, sizes, strict=True):
        part = slice(first, first + size)
        runs.append(_runs(chords, chord[part], against[part], t0[part], t1[part], p=p[part]))
    return runs


def _away(p: Numbers, a: Numbers, b: Numbers) -> Numbers:
    """Return how far points are from chords."""
    import numpy as np

    along = b - a
    share = ((p - a) * along).sum(axis=1) / (along * along).sum(axis=1)
    off: Numbers = np.hypot(*(p - a - np.clip(share, 0.0, 1.0)[:, None] * along).T)
    return off


def _parameter(chords: _Chords, p: Numbers, a: Numbers, b: Numbers, chord: Indices) -> Numbers:
    """Return the rough parameters of points on the segments of their chords."""
    import numpy as np

    along = (b - a)[chord]
    share = ((p - a[chord]) * along).sum(axis=1) / (along * along).sum(axis=1)
    t0, t1 = chords.t0[chord], chords.t1[chord]
    t: Numbers = t0 + np.clip(share, 0.0, 1.0) * (t1 - t0)
    return t


def _prefer_running_on(
    chords: _Chords, chosen: Indices, firsts: Indices, chord: Indices, off: Numbers
) -> None:
    """Where several segments lie on each other, stay on the one the stretch before was on."""
    import numpy as np

    for i in np.flatnonzero(np.diff(firsts) > 1):
        before = chords.segment[chord[chosen[i - 1]]]
        for k in range(firsts[i], firsts[i + 1]):
            if chords.segment[chord[k]] == before and off[k] <= off[firsts[i]] + 1e-8:
                chosen[i] = k
                break


def _runs(
    chords: _Chords, chord: Indices, against: Any, t0: Numbers, t1: Numbers, *, p: Numbers
) -> list[_Run]:
    """Gather one ring's chords into runs along one segment."""
    import numpy as np

    segment = chords.segment[chord]
    jump = np.abs(t0 - np.roll(t1, 1)) > np.abs(chords.t1 - chords.t0)[chord] / 2
    starts = np.flatnonzero(
        (segment != np.roll(segment, 1)) | (against != np.roll(against, 1)) | jump
    )
    if len(starts) == 0:
        starts = np.array([0])
    lasts = np.roll(starts, -1) - 1
    columns = (segment[starts], t0[starts], t1[lasts], p[starts])
    return [
        _Run(number, first, last, Point(x, y))
        for number, first, last, (x, y) in zip(*(c.tolist() for c in columns), strict=True)
    ]


def _recovered(segments: Sequence[Segment], runs: Sequence[_Run], chord_mm: float) -> Contour:
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


def _joint(segments: Sequence[Segment], before: _Run, after: _Run, chord_mm: float) -> Point:
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


def _piece(segment: Segment, run: _Run, start: Point, end: Point) -> Segment | None:
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
