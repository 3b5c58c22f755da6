"""Insets of outlines with very many lines and arcs, held as arrays all the way.

Mostly the raw parallel, its neighbours' crossings cut off, crosses itself nowhere: it is then the
result.  Whether it does is looked up for every two chords whose boxes meet.  Otherwise the crossings
are settled as for every other region (see ``recover``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from livery.geometry.chords import AT_ONCE, WELD_MM, Chords, chords_of_pieces
from livery.geometry.flatten import CHORD_MM
from livery.geometry.outline import Contour, Outline
from livery.geometry.path_text import ranked
from livery.geometry.pieces import Pieces, following_in_rings, preceding_in_rings
from livery.geometry.reaching import GAP_SHARE, GAPS_FROM_MM
from livery.geometry.recover import Gaps, edge_of_pieces
from livery.geometry.recover_many import finished_rings
from livery.geometry.sweep import Join
from livery.geometry.sweep_many import raw_parallels
from livery.geometry.vectors import crosses, dots, scaled, sizes

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Indices = NDArray[np.int64]

_ROUND = 12
"""Chords, one after another, that are looked at for running all one way (chosen). More only finds more
results at once."""
_ONE_WAY = 0.1
"""Cosine to the first of them from which chords run one way (chosen: more than 0, when no two of them can
meet). Larger, and fewer results are found at once."""


def inset_of_pieces(
    contours: tuple[Contour, ...], pieces: Pieces, distance_mm: float, join: Join
) -> Outline | None:
    """Return the inset of a proper outline, given its contours as arrays too.

    None where a join is asked that is made one at a time (see ``sweep_many``).
    """
    raw = raw_parallels(pieces, distance_mm, join, cut_short=False)
    if raw is None:
        return None
    if raw.is_joined and _is_inset_already(pieces, raw.pieces):
        return ranked(finished_rings(raw.pieces, CHORD_MM))
    with_gaps = abs(distance_mm) > GAPS_FROM_MM
    raw = raw_parallels(pieces, distance_mm, join, cut_short=True, with_gaps=with_gaps)
    assert raw is not None
    # Gaps are nearer to the edge than this, the true result is as far as the distance.
    near = (1.0 + GAP_SHARE) / 2.0 * abs(distance_mm)
    gaps = Gaps(contours, near) if with_gaps else None
    return ranked(edge_of_pieces(raw.pieces, CHORD_MM, gaps))


def _is_inset_already(pieces: Pieces, raw: Pieces) -> bool:
    """Return whether a raw parallel, joined at each corner, nowhere crosses or all but meets itself."""
    before, after = pieces.areas(), raw.areas()
    if len(before) != len(after) or bool((before * after <= 0.0).any()):
        return False
    if len(after) == 1 and _runs_lie_apart(raw):
        return True
    chords = chords_of_pieces(raw, CHORD_MM)
    return _lie_apart(chords, raw) and (len(after) == 1 or _holes_are_inside(chords, after))


def _runs_lie_apart(raw: Pieces) -> bool:
    """Return whether runs of several pieces that go one way lie so far apart that no two can meet.

    If not, their chords may still lie apart.
    """
    import numpy as np

    bow = raw.chord * np.abs(raw.bulge) / 2.0
    near = np.where(raw.straight, 0.0, bow + CHORD_MM) + WELD_MM
    ends = _Ends(raw.start, raw.end, near)
    less_than_half_a_turn = bool((np.abs(raw.bulge) < 1.0).all())
    return less_than_half_a_turn and not any(_pairs_to_compare(raw.ring, raw.directions(), ends))


def _holes_are_inside(chords: Chords, areas: Numbers) -> bool:
    """Return whether rings that do not cross are one shell with holes in it, none in another."""
    import shapely

    rings = chords.rings()
    shells = [r for r, size in zip(rings, areas, strict=True) if size > 0.0]
    holes = [r for r, size in zip(rings, areas, strict=True) if size < 0.0]
    return len(shells) == 1 and bool(shapely.Polygon(shells[0], holes).is_valid)


def _lie_apart(chords: Chords, raw: Pieces) -> bool:
    """Return whether no two chords meet, or all but do, other than one after another."""
    import numpy as np

    a, b = chords.at, chords.ends()
    curved = ~raw.straight.take(chords.segment)
    grown = np.where(curved, CHORD_MM, 0.0) + WELD_MM
    after = chords.following()
    along = b - a
    along = scaled(along, 1.0 / sizes(along))
    ends = _Ends(a, b, grown)
    for one, other in _pairs_to_compare(chords.ring, (along,), ends):
        pair = ends.boxes_meet(one, other) & (one < other)
        pair &= (after[one] != other) & (after[other] != one)
        one, other = _not_on_one_run(one[pair], other[pair], after, along)
        within = np.maximum(grown[one], grown[other])
        if (_between(a, b, one, other) <= within).any():
            return False
    return True


class _Ends(NamedTuple):
    """The two ends (n, 2) of chords, and how far about them is still near."""

    start: Numbers
    end: Numbers
    near: Numbers

    def boxes_meet(self, one: Indices, other: Indices) -> NDArray[np.bool_]:
        """Return the pairs whose boxes, with what is near, have a place in common."""
        import numpy as np

        meet = np.ones(len(one), dtype=bool)
        for start, end in zip(self.start.T, self.end.T, strict=True):
            low, high = np.minimum(start, end) - self.near, np.maximum(start, end) + self.near
            meet &= (low[one] <= high[other]) & (low[other] <= high[one])
        return meet

    def boxes_of_runs(self, firsts: Indices) -> Numbers:
        """Return the lowest and the highest corner (n, 2, 2) of each run of chords, with what is near."""
        import numpy as np

        corners = np.empty((len(firsts), 2, 2))
        for axis in (0, 1):
            start, end = self.start[:, axis], self.end[:, axis]
            low, high = np.minimum(start, end) - self.near, np.maximum(start, end) + self.near
            corners[:, 0, axis] = np.minimum.reduceat(low, firsts)
            corners[:, 1, axis] = np.maximum.reduceat(high, firsts)
        return corners


def _pairs_to_compare(
    ring: Indices, directions: Sequence[Numbers], ends: _Ends
) -> Iterator[tuple[Indices, Indices]]:
    """Yield the pairs of chords that may meet, by the boxes of stretches of several chords.

    Chords of a stretch, or of two in a row, that all run one way are not compared with each other.
    The same goes for lines and arcs, by their directions at both ends.
    """
    import numpy as np
    import shapely

    count = len(ring)
    heads = np.flatnonzero(np.append(True, np.diff(ring) != 0))
    rank = np.arange(count) - np.repeat(heads, np.diff(np.append(heads, count)))
    firsts = np.flatnonzero(rank % _ROUND == 0)
    many = np.diff(np.append(firsts, count))
    own = np.repeat(np.arange(len(firsts)), many)
    after, before = following_in_rings(ring[firsts]), preceding_in_rings(ring[firsts])

    def run_one_way(heads: Indices) -> NDArray[np.bool_]:
        first = directions[0].take(firsts[heads].take(own), 0)
        ways = np.logical_and.reduce([dots(each, first) > _ONE_WAY for each in directions])
        return np.logical_and.reduceat(ways, firsts)

    alone = run_one_way(np.arange(len(firsts)))
    with_next = alone & run_one_way(before)[after]
    # The index looks at boxes alone: a line across a box stands for it.
    lines: Any = shapely.linestrings(ends.boxes_of_runs(firsts))
    one, other = shapely.STRtree(lines).query(lines)
    known = ((one == other) & alone[one]) | ((after[one] == other) & with_next[one])
    keep = (one <= other) & ~known & ~((after[other] == one) & with_next[other])
    one, other = one[keep], other[keep]
    steps = np.arange(_ROUND)
    for part in range(0, len(one), AT_ONCE):
        left, right = (v[part : part + AT_ONCE, None, None] for v in (one, other))
        i, j = np.broadcast_arrays(steps[:, None], steps)
        there = (i < many[left]) & (j < many[right])
        yield (firsts[left] + i)[there], (firsts[right] + j)[there]


def _not_on_one_run(
    one: Indices, other: Indices, after: Indices, along: Numbers
) -> tuple[Indices, Indices]:
    """Return the pairs of which neither chord runs on, one way, to the other: such cannot meet."""
    import numpy as np

    apart = np.ones(len(one), dtype=bool)
    for start, end in ((one, other), (other, one)):
        left = np.flatnonzero(apart)
        there = start[left]
        for _ in range(_ROUND):
            there = after[there]
            one_way = dots(along.take(start[left], 0), along.take(there, 0)) > _ONE_WAY
            left, there = left[one_way], there[one_way]
            met = there == end[left]
            apart[left[met]] = False
            left, there = left[~met], there[~met]
    return one[apart], other[apart]


def _between(a: Numbers, b: Numbers, one: Indices, other: Indices) -> Numbers:
    """Return how far the chords of each pair are apart, nothing where they cross."""
    import numpy as np

    from livery.geometry.chords import away

    p, q, r, s = (v.take(i, 0) for v, i in ((a, one), (b, one), (a, other), (b, other)))
    apart = np.minimum.reduce([away(p, r, s), away(q, r, s), away(r, p, q), away(s, p, q)])
    crosses = (_side(p, q, r) * _side(p, q, s) < 0.0) & (_side(r, s, p) * _side(r, s, q) < 0.0)
    return np.where(crosses, 0.0, apart)


def _side(a: Numbers, b: Numbers, p: Numbers) -> Numbers:
    """Return a number that is positive where points lie to the left of chords."""
    return crosses(b - a, p - a)
