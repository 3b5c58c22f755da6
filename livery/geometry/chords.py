"""Contours as chords that remember which segment each lies on, and the way back to the segments.

Points that all but coincide are made one before Shapely settles a region; afterwards each
chord of the region's edge is found again among the chords it came from.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from livery.geometry.flatten import inner_points
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point, Segment
from livery.geometry.pieces import Pieces, following_in_rings, pieces_of, preceding_in_rings
from livery.geometry.segments import point_on, refined_foot
from livery.geometry.vectors import differ, dots, scaled, sizes

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Indices = NDArray[np.int64]

WELD_MM = 1e-6
"""Millimetres: points nearer than this are one point, and a point this near a segment is on it (chosen:
a five-hundredth of the chord error). Larger, and fine detail is lost; smaller, and edges that run
along each other leave slivers."""
_ON_MM = 1e-9
"""Millimetres within which the far end of an edge lies on the chord that its near end begins (chosen:
above the rounding of a crossing). Smaller, and more edges are searched for; larger, and an edge may be
taken for its neighbour."""
MANY = 400
"""Segments from which it pays to hold them as arrays (measured). Only the time changes with it."""
AT_ONCE = 4096
"""Chords looked up at a time (chosen, to bound the memory). Only time and memory change with it."""


class Chords(NamedTuple):
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
        return self.at.take(self.following(), 0)

    def following(self) -> Indices:
        """Return the number of the chord after each chord in its ring."""
        return following_in_rings(self.ring)

    def chosen(self, which: NDArray[np.bool_]) -> Chords:
        """Return only some of the chords."""
        if which.all():
            return self
        at = which.nonzero()[0]  # Rows are taken ten times as quickly as by an index.
        t0, t1 = self.t0.take(at), self.t1.take(at)
        return Chords(self.at.take(at, 0), self.segment.take(at), t0, t1, self.ring.take(at))

    def rings(self) -> list[Numbers]:
        """Return the rings of points."""
        import numpy as np

        cuts = np.flatnonzero(self.ring[1:] != self.ring[:-1]) + 1
        return np.split(self.at, cuts)


def chords_of(contours: Sequence[Contour], chord_mm: float) -> tuple[Sequence[Segment], Chords]:
    """Flatten contours; an open one, or one that stops short, is closed by a straight line.

    With the chords come the segments they lie on: as arrays where they are many, and lines and arcs.
    """
    if sum(len(c.segments) for c in contours) > MANY:
        pieces = pieces_of(contours)
        if pieces is not None:
            real = pieces.chosen(differ(pieces.start, pieces.end))
            return real, chords_of_pieces(real, chord_mm)
    return _chords_one_by_one(contours, chord_mm)


def _chords_one_by_one(
    contours: Sequence[Contour], chord_mm: float
) -> tuple[list[Segment], Chords]:
    """Flatten contours segment by segment."""
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
    return segments, Chords(
        at,
        which,
        t0,
        t1,
        np.array(rings, dtype=np.int64)[which],
    )


def chords_of_pieces(pieces: Pieces, chord_mm: float) -> Chords:
    """Flatten lines and arcs that are given as arrays."""
    import numpy as np

    many = chord_counts(pieces, chord_mm)
    which = np.repeat(np.arange(len(pieces)), many)
    rank = np.arange(len(which)) - (np.cumsum(many) - many).take(which)
    at = pieces.start.take(which, 0)
    inner = np.flatnonzero(rank)
    own = which[inner]
    # By the standard library, as NumPy's differ in the last bit from one processor to another.
    turned = (pieces.sweep[own] * rank[inner] / many[own]).tolist()
    cos, sin = np.array([*map(math.cos, turned)]), np.array([*map(math.sin, turned)])
    centre = pieces.centre.take(own, 0)
    x, y = (at.take(inner, 0) - centre).T
    at[inner] = centre + np.stack((x * cos - y * sin, x * sin + y * cos), axis=1)
    own_many = many.take(which)
    t0, t1 = rank / own_many, (rank + 1) / own_many
    return Chords(at, which, t0, t1, pieces.ring.take(which))


def chord_counts(pieces: Pieces, chord_mm: float) -> Indices:
    """Return how many chords each piece takes, as :func:`flatten.steps` does for one."""
    import numpy as np

    many = np.ones(len(pieces), dtype=np.int64)
    arcs = np.flatnonzero(~pieces.straight)
    radius, sweep = pieces.radius[arcs], np.abs(pieces.sweep[arcs])
    step = 2.0 * np.arccos(1.0 - chord_mm / np.maximum(radius, chord_mm))
    tiny = radius <= chord_mm
    count = np.where(tiny, np.ceil(sweep / np.pi * 2), np.ceil(sweep / step - 1e-9))
    many[arcs] = np.maximum(count, np.where(tiny, 2, 1)).astype(np.int64)
    return many


def welded(segments: Sequence[Segment], chords: Chords, chord_mm: float) -> Chords:
    """Make points that all but coincide one, and put points that lie on a segment into its chords.

    Segments that run along each other then have the very same chords there, so no
    slivers are left between them.
    """
    import numpy as np

    a, b, after = chords.at, chords.ends(), chords.following()
    chord, point = _near(a, b, _are_straight(segments)[chords.segment], chord_mm)
    keep = (point != chord) & (point != after[chord])
    chord, point = chord[keep], point[keep]
    same = [
        (point, end, sizes(a.take(point, 0) - a.take(end, 0)) <= WELD_MM)
        for end in (chord, after[chord])
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
    woven = Chords(
        at.take(where, 0),
        chords.segment[source],
        chords.t0[source] + begun * span[source],
        chords.t0[source] + ended * span[source],
        chords.ring[source],
    )
    return woven.chosen(differ(woven.at, woven.ends()))


def _are_straight(segments: Sequence[Segment]) -> NDArray[np.bool_]:
    """Return which segments are lines."""
    import numpy as np

    if isinstance(segments, Pieces):
        return segments.straight
    return np.array([isinstance(s, Line) for s in segments])


def _near(
    a: Numbers, b: Numbers, straight: NDArray[np.bool_], chord_mm: float
) -> tuple[Indices, Indices]:
    """Pair chords with the points near enough to lie on their segments, points being the starts."""
    import numpy as np
    import shapely

    tree = shapely.STRtree(np.asarray(shapely.points(a)))
    within = np.where(straight, WELD_MM, chord_mm + WELD_MM)
    low, high = np.minimum(a, b) - within[:, None], np.maximum(a, b) + within[:, None]
    # The index looks at boxes alone: a line across a box stands for it.
    boxes: Any = shapely.linestrings(np.stack((low, high), axis=1))
    pairs = []
    for first in range(0, len(a), AT_ONCE):
        chord, point = tree.query(boxes[first : first + AT_ONCE])
        chord = chord + first
        near = away(a.take(point, 0), a.take(chord, 0), b.take(chord, 0)) <= within[chord]
        pairs.append((chord[near], point[near]))
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
    segments: Sequence[Segment], chords: Chords, chord: Indices, point: Indices
) -> tuple[Indices, Indices, Numbers]:
    """Keep the pairs whose point lies on the chord's segment; return them with how far along."""
    import numpy as np

    p, a = chords.at.take(point, 0), chords.at.take(chord, 0)
    along = chords.ends().take(chord, 0) - a
    share = dots(p - a, along) / np.maximum(dots(along, along), 1e-300)
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
            t = refined_foot(segment, where, t0, t0, t1)
            off = math.dist(where, point_on(segment, t))
        keep[k] = off <= WELD_MM
    return chord[keep], point[keep], share[keep]


class ChordRun(NamedTuple):
    """A stretch of a ring along one segment, from one rough parameter to another."""

    segment: int
    t0: float
    t1: float
    start: Point


class ChordRuns(NamedTuple):
    """Stretches of rings along one segment each, as arrays.

    Per run: the number of its segment, the rough parameters there of its two ends, where it
    begins (n, 2), and its ring.
    """

    segment: Indices
    t0: Numbers
    t1: Numbers
    start: Numbers
    ring: Indices

    def by_ring(self) -> list[list[ChordRun]]:
        """Return the runs of each ring as values."""
        import numpy as np

        columns = (self.segment, self.t0, self.t1, self.start)
        every = [
            ChordRun(number, first, last, Point(x, y))
            for number, first, last, (x, y) in zip(*(c.tolist() for c in columns), strict=True)
        ]
        cuts = [0, *(np.flatnonzero(np.diff(self.ring)) + 1).tolist(), len(every)]
        return [every[a:b] for a, b in pairwise(cuts)] if every else []


def runs_along(chords: Chords, rings: Sequence[Numbers]) -> ChordRuns | None:
    """Name the segment each stretch of each ring lies on; None where one lies on none."""
    import numpy as np

    if not rings:
        none = np.empty(0, dtype=np.int64)
        return ChordRuns(none, np.empty(0), np.empty(0), np.empty((0, 2)), none)
    p = np.vstack(rings)
    ring = np.repeat(np.arange(len(rings)), [len(r) for r in rings])
    q = p.take(following_in_rings(ring), 0)
    a, b = chords.at, chords.ends()
    chord, against = _by_their_ends(chords, p, q, b)
    if not _search_rest(chords, (p, q), preceding_in_rings(ring), chord, against):
        return None
    t0, t1 = (_parameter(chords, v, a, b, chord) for v in (p, q))
    return _runs(chords, chord, against, t0, t1, p=p, ring=ring)


def _by_their_ends(
    chords: Chords, p: Numbers, q: Numbers, b: Numbers
) -> tuple[Indices, NDArray[np.bool_]]:
    """Return the chord under each edge that shares an end with it, and whether it is run backwards.

    Minus one where none does, or where several chords begin at the same point.
    """
    import numpy as np

    a, before = chords.at, preceding_in_rings(chords.ring)
    from_p, from_q = _begun_at(a, p), _begun_at(a, q)
    found = np.full(len(p), -1)
    against = np.zeros(len(p), dtype=bool)
    for point, far, arrives, backwards in (
        (from_p, q, False, False),
        (from_q, p, True, False),
        (from_q, p, False, True),
        (from_p, q, True, True),
    ):
        open_ = np.flatnonzero((found < 0) & (point >= 0))
        if len(open_) == 0:
            continue
        chord = before[point[open_]] if arrives else point[open_]
        lies = away(far.take(open_, 0), a.take(chord, 0), b.take(chord, 0)) <= _ON_MM
        found[open_[lies]] = chord[lies]
        against[open_[lies]] = backwards
    return found, against


def _begun_at(a: Numbers, p: Numbers) -> Indices:
    """Return the only one of the points that each place is exactly, or minus one."""
    import numpy as np

    keys, places = (v[:, 0] + 1j * v[:, 1] for v in (a, p))
    order = np.lexsort((a[:, 1], a[:, 0]))
    keys = keys[order]
    first = np.searchsorted(keys, places)
    only = np.append(keys[1:] != keys[:-1], True)
    at = np.minimum(first, len(keys) - 1)
    return np.where((keys[at] == places) & only[at], order[at], -1)


def _search_rest(
    chords: Chords,
    edges: tuple[Numbers, Numbers],
    before: Indices,
    chord: Indices,
    against: NDArray[np.bool_],
) -> bool:
    """Find the chords of the edges that have none yet, in place; return whether all are found.

    ``before`` is the number of the edge before each in its ring.
    """
    import numpy as np
    import shapely

    rest = np.flatnonzero(chord < 0)
    if len(rest) == 0:
        return True
    (p, q), a, b = edges, chords.at, chords.ends()
    lines: Any = shapely.linestrings(np.stack((a, b), axis=1))
    middles: Any = shapely.points((p.take(rest, 0) + q.take(rest, 0)) / 2)
    edge, hit = shapely.STRtree(lines).query(middles, predicate="dwithin", distance=WELD_MM / 10)
    full = rest[edge]
    one, other, from_, to = p.take(full, 0), q.take(full, 0), a.take(hit, 0), b.take(hit, 0)
    off = np.maximum(away(one, from_, to), away(other, from_, to))
    back = dots(other - one, to - from_) < 0
    order = np.lexsort((chords.segment[hit], back, np.round(off / 1e-8), edge))
    edge, hit, off, back = edge[order], hit[order], off[order], back[order]
    firsts = np.searchsorted(edge, np.arange(len(rest) + 1))
    if np.any(np.diff(firsts) == 0):
        return False
    chord[rest], against[rest] = hit[firsts[:-1]], back[firsts[:-1]]
    for i in np.flatnonzero(np.diff(firsts) > 1).tolist():
        # Where several segments lie on each other, stay on the one the edge before was on.
        same = chords.segment[chord[before[rest[i]]]]
        for k in range(firsts[i], firsts[i + 1]):
            if chords.segment[hit[k]] == same and off[k] <= off[firsts[i]] + 1e-8:
                chord[rest[i]], against[rest[i]] = hit[k], back[k]
                break
    return True


def away(p: Numbers, a: Numbers, b: Numbers) -> Numbers:
    """Return how far points are from chords."""
    import numpy as np

    along, to = b - a, p - a
    share = dots(to, along) / np.maximum(dots(along, along), 1e-300)
    return sizes(to - scaled(along, np.clip(share, 0.0, 1.0)))


def _parameter(chords: Chords, p: Numbers, a: Numbers, b: Numbers, chord: Indices) -> Numbers:
    """Return the rough parameters of points on the segments of their chords."""
    import numpy as np

    begin = a.take(chord, 0)
    along = b.take(chord, 0) - begin
    share = dots(p - begin, along) / dots(along, along)
    t0, t1 = chords.t0[chord], chords.t1[chord]
    t: Numbers = t0 + np.clip(share, 0.0, 1.0) * (t1 - t0)
    return t


def _runs(
    chords: Chords,
    chord: Indices,
    against: NDArray[np.bool_],
    t0: Numbers,
    t1: Numbers,
    *,
    p: Numbers,
    ring: Indices,
) -> ChordRuns:
    """Gather the rings' chords into runs along one segment."""
    import numpy as np

    segment = chords.segment[chord]
    before = preceding_in_rings(ring)
    jump = np.abs(t0 - t1[before]) > np.abs(chords.t1 - chords.t0)[chord] / 2
    begins = (segment != segment[before]) | (against != against[before]) | jump
    # A ring along one segment alone begins where it likes.
    firsts = np.flatnonzero(np.append(True, ring[1:] != ring[:-1]))
    begins[firsts[~np.logical_or.reduceat(begins, firsts)]] = True
    starts = np.flatnonzero(begins)
    lasts = before[starts[following_in_rings(ring[starts])]]
    return ChordRuns(segment[starts], t0[starts], t1[lasts], p.take(starts, 0), ring[starts])
