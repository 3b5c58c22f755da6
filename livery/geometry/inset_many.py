"""Insets of outlines with very many lines and arcs, held as arrays all the way.

Mostly the raw parallel, its neighbours' crossings cut off, crosses itself nowhere: it is then the
result.  Whether it does is looked up for every two chords whose boxes meet.  Otherwise the crossings
are settled as for every other region (see ``recover``).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from livery.geometry.chords import AT_ONCE, WELD_MM, Chords, chords_of_pieces
from livery.geometry.flatten import CHORD_MM
from livery.geometry.outline import Contour, Outline
from livery.geometry.path_text import in_order
from livery.geometry.pieces import Pieces
from livery.geometry.reaching import GAP_SHARE
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


GAPS_FROM_MM = 0.5
"""Millimetres: an inset by less leaves no gaps (chosen: a fortieth of it must be more than the 0.005 that
curves may be off). Smaller, and parts of the result are taken for gaps."""


def _is_inset_already(pieces: Pieces, raw: Pieces) -> bool:
    """Return whether a raw parallel, joined at each corner, nowhere crosses or all but meets itself."""
    chords = chords_of_pieces(raw, CHORD_MM)
    before, after = _areas(chords_of_pieces(pieces, CHORD_MM)), _areas(chords)
    if len(before) != len(after) or any(a * b <= 0.0 for a, b in zip(before, after, strict=True)):
        return False
    return _lie_apart(chords, raw) and (len(after) == 1 or _holes_are_inside(chords, after))


def _areas(chords: Chords) -> list[float]:
    """Return the signed areas of rings of chords."""
    return [ring_area(r) for r in chords.rings()]


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
    import shapely

    a, b = chords.at, chords.ends()
    curved = ~raw.straight[chords.segment]
    grown = np.where(curved, CHORD_MM, 0.0) + WELD_MM
    low, high = np.minimum(a, b) - grown[:, None], np.maximum(a, b) + grown[:, None]
    boxes: Any = shapely.linestrings(np.stack((low, high), axis=1))
    tree = shapely.STRtree(boxes)
    after = chords.following()
    runs_on = _runs_on(a, b, after)
    for first in range(0, len(a), AT_ONCE):
        one, other = tree.query(boxes[first : first + AT_ONCE])
        one = one + first
        pair = (one < other) & (after[one] != other) & (after[other] != one)
        one, other = one[pair], other[pair]
        one, other = _not_on_one_run(one, other, after, runs_on)
        within = np.maximum(grown[one], grown[other])
        if (_between(a, b, one, other) <= within).any():
            return False
    return True


def _runs_on(a: Numbers, b: Numbers, after: Indices) -> Indices:
    """Return how many chords after each run on one way with it; a run of such cannot meet itself."""
    import numpy as np

    along = b - a
    along = along / np.hypot(*along.T)[:, None]
    count = np.zeros(len(a), dtype=np.int64)
    runs = np.ones(len(a), dtype=bool)
    there = after.copy()
    for _ in range(_ROUND):
        runs &= (along * along[there]).sum(axis=1) > _ONE_WAY
        count += runs
        there = after[there]
    return count


def _not_on_one_run(
    one: Indices, other: Indices, after: Indices, runs_on: Indices
) -> tuple[Indices, Indices]:
    """Return the pairs of which neither chord runs on to the other."""
    import numpy as np

    met = np.zeros(len(one), dtype=bool)
    for start, end in ((one, other), (other, one)):
        there = start
        for step in range(1, _ROUND + 1):
            there = after[there]
            met |= (there == end) & (runs_on[start] >= step)
    return one[~met], other[~met]


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
