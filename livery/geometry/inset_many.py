"""Insets of outlines with very many lines and arcs, held as arrays all the way.

Mostly the raw parallel, its neighbours' crossings cut off, crosses itself nowhere: it is then the
result.  Whether it does is looked up for every two chords whose boxes meet.  Otherwise the crossings
are settled as for every other region (see ``recover``).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from livery.geometry.chords import AT_ONCE, WELD_MM, Chords, chords_of_pieces
from livery.geometry.flatten import CHORD_MM
from livery.geometry.outline import Contour, Outline
from livery.geometry.path_text import in_order
from livery.geometry.pieces import Pieces, following_in_rings, preceding_in_rings
from livery.geometry.reaching import GAP_SHARE, GAPS_FROM_MM
from livery.geometry.recover import Gaps, edge_of_pieces
from livery.geometry.recover_many import finished_rings
from livery.geometry.rings import ring_area
from livery.geometry.sweep import Join
from livery.geometry.sweep_many import raw_parallels

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Indices = NDArray[np.int64]

_ROUND = 8
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
        return in_order(Outline(tuple(finished_rings(raw.pieces, CHORD_MM))))
    with_gaps = abs(distance_mm) > GAPS_FROM_MM
    raw = raw_parallels(pieces, distance_mm, join, cut_short=True, with_gaps=with_gaps)
    assert raw is not None
    # Gaps are nearer to the edge than this, the true result is as far as the distance.
    near = (1.0 + GAP_SHARE) / 2.0 * abs(distance_mm)
    gaps = Gaps(contours, near) if with_gaps else None
    return in_order(Outline(tuple(edge_of_pieces(raw.pieces, CHORD_MM, gaps))))


def _is_inset_already(pieces: Pieces, raw: Pieces) -> bool:
    """Return whether a raw parallel, joined at each corner, nowhere crosses or all but meets itself."""
    import numpy as np

    chords = chords_of_pieces(raw, CHORD_MM)
    rings = np.split(pieces.start, np.flatnonzero(np.diff(pieces.ring)) + 1)
    before, after = ([ring_area(r) for r in own] for own in (rings, chords.rings()))
    if len(before) != len(after) or any(a * b <= 0.0 for a, b in zip(before, after, strict=True)):
        return False
    return _lie_apart(chords, raw) and (len(after) == 1 or _holes_are_inside(chords, after))


def _holes_are_inside(chords: Chords, areas: list[float]) -> bool:
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
    curved = ~raw.straight[chords.segment]
    grown = np.where(curved, CHORD_MM, 0.0) + WELD_MM
    after = chords.following()
    along = (b - a) / np.hypot(*(b - a).T)[:, None]
    boxes = np.hstack((np.minimum(a, b) - grown[:, None], np.maximum(a, b) + grown[:, None]))
    for one, other in _pairs_to_compare(chords, along, boxes):
        overlap = (boxes[one, :2] <= boxes[other, 2:]) & (boxes[other, :2] <= boxes[one, 2:])
        pair = overlap.all(axis=1) & (one < other) & (after[one] != other) & (after[other] != one)
        one, other = _not_on_one_run(one[pair], other[pair], after, along)
        within = np.maximum(grown[one], grown[other])
        if (_between(a, b, one, other) <= within).any():
            return False
    return True


def _pairs_to_compare(
    chords: Chords, along: Numbers, boxes: Numbers
) -> Iterator[tuple[Indices, Indices]]:
    """Yield the pairs of chords that may meet, by the boxes of stretches of several chords.

    Chords of a stretch, or of two in a row, that all run one way are not compared with each other.
    """
    import numpy as np
    import shapely

    count = len(along)
    heads = np.flatnonzero(np.append(True, np.diff(chords.ring) != 0))
    rank = np.arange(count) - np.repeat(heads, np.diff(np.append(heads, count)))
    firsts = np.flatnonzero(rank % _ROUND == 0)
    sizes = np.diff(np.append(firsts, count))
    own = np.repeat(np.arange(len(firsts)), sizes)
    after = following_in_rings(chords.ring[firsts])
    before = preceding_in_rings(chords.ring[firsts])

    def run_one_way(heads: Indices) -> NDArray[np.bool_]:
        way = (along * along[firsts[heads]][own]).sum(axis=1) > _ONE_WAY
        return np.logical_and.reduceat(way, firsts)

    alone = run_one_way(np.arange(len(firsts)))
    with_next = alone & run_one_way(before)[after]
    low = np.minimum.reduceat(boxes[:, :2], firsts)
    high = np.maximum.reduceat(boxes[:, 2:], firsts)
    # The index looks at boxes alone: a line across a box stands for it.
    lines: Any = shapely.linestrings(np.stack((low, high), axis=1))
    one, other = shapely.STRtree(lines).query(lines)
    known = ((one == other) & alone[one]) | ((after[one] == other) & with_next[one])
    keep = (one <= other) & ~known & ~((after[other] == one) & with_next[other])
    one, other = one[keep], other[keep]
    steps = np.arange(_ROUND)
    for part in range(0, len(one), AT_ONCE):
        left, right = (v[part : part + AT_ONCE, None, None] for v in (one, other))
        i, j = np.broadcast_arrays(steps[:, None], steps)
        there = (i < sizes[left]) & (j < sizes[right])
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
            one_way = (along[start[left]] * along[there]).sum(axis=1) > _ONE_WAY
            left, there = left[one_way], there[one_way]
            met = there == end[left]
            apart[left[met]] = False
            left, there = left[~met], there[~met]
    return one[apart], other[apart]


def _between(a: Numbers, b: Numbers, one: Indices, other: Indices) -> Numbers:
    """Return how far the chords of each pair are apart, nothing where they cross."""
    import numpy as np

    from livery.geometry.chords import away

    p, q, r, s = a[one], b[one], a[other], b[other]
    apart = np.minimum.reduce([away(p, r, s), away(q, r, s), away(r, p, q), away(s, p, q)])
    crosses = (_side(p, q, r) * _side(p, q, s) < 0.0) & (_side(r, s, p) * _side(r, s, q) < 0.0)
    return np.where(crosses, 0.0, apart)


def _side(a: Numbers, b: Numbers, p: Numbers) -> Numbers:
    """Return a number that is positive where points lie to the left of chords."""
    along, to = b - a, p - a
    side: Numbers = along[:, 0] * to[:, 1] - along[:, 1] * to[:, 0]
    return side
