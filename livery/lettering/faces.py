"""The faces of a solid letter that a block shade shows: the side ones and the lower ones.

Looking back from a place in the shade along the way it was swept, the first edge
of the letter met is the one whose face is seen there.  An edge that faces more
across than up or down has a side face, any other a lower one (the upper face,
where the shade goes up).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import groupby

from fontTools.misc.transform import Identity

from livery.geometry.boolean import difference, intersection, union
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Line, Outline, Point, Segment
from livery.geometry.segments import direction
from livery.geometry.swept_region import facing_pieces, sweep

_AHEAD_MM = 0.01
"""How far ahead of an edge it is looked for what covers it, in millimetres (chosen). Larger, and
narrow gaps are taken for covered."""
_DIAGONALS = (Point(1.0, 1.0), Point(1.0, -1.0))


def lower_faces(outline: Outline, shift: Point, under_mm: float = 0.0) -> Outline:
    """Return where the lower faces of an outline swept by ``shift`` are seen.

    With ``under_mm`` the region goes that far on beneath the letter, along the sweep.
    """
    reach = math.hypot(*shift)
    seen = [seen_strip(outline, chain, shift) for c in outline for chain in _lower_chains(c, shift)]
    if not under_mm:
        return union(*seen)
    back = Point(-shift.x * under_mm / reach, -shift.y * under_mm / reach)
    beneath = [_strip(chain, back) for c in outline for chain in _lower_chains(c, shift)]
    return union(*seen, intersection(union(*beneath), outline))


def seen_strip(outline: Outline, chain: tuple[Segment, ...], shift: Point) -> Outline:
    """Return what an edge sweeps, less what lies behind any other part of the outline."""
    strip = union(_strip(chain, shift))
    if not strip:
        return strip
    # Just ahead of its own edge, so that the letter behind the edge is not met again.
    ahead = Identity.translate(*(v * _AHEAD_MM / math.hypot(*shift) for v in shift))
    hidden = intersection(union(_strip(chain, shift).transformed(ahead)), _near(outline, strip))
    return difference(strip, sweep(hidden, shift)) if hidden else strip


def _near(outline: Outline, strip: Outline) -> Outline:
    """Return the contours of an outline that may reach into a strip."""
    box = bounds(strip)
    boxes = [(c, bounds(c)) for c in outline]
    return Outline(
        tuple(
            c
            for c, b in boxes
            if b.left <= box.right + _AHEAD_MM
            and b.right >= box.left - _AHEAD_MM
            and b.bottom <= box.top + _AHEAD_MM
            and b.top >= box.bottom - _AHEAD_MM
        )
    )


def _strip(chain: tuple[Segment, ...], shift: Point) -> Outline:
    """Return the region between an edge and its shifted copy."""
    there = [s for piece in chain for s in piece.transformed(Identity.translate(*shift))]
    back = [s.reversed() for s in reversed(chain)]
    ends = Line(there[-1].end, back[0].start), Line(back[-1].end, there[0].start)
    ring = Contour((*there, ends[0], *back, ends[1]))
    start, end = chain[0].start, chain[-1].end
    ahead = shift.x * (end.y - start.y) - shift.y * (end.x - start.x)
    return Outline((ring if ahead > 0 else ring.reversed(),))


def _lower_chains(contour: Contour, shift: Point) -> Iterator[tuple[Segment, ...]]:
    """Run through the longest stretches of edge that face the sweep and are lower ones."""
    pieces = list(facing_pieces(contour, shift, _DIAGONALS))
    kinds = [f.facing > 0 and _is_lower(f.segment) for f in pieces]
    if all(kinds):
        return
    first = next(i for i in range(len(kinds)) if not kinds[i])
    turned = [*pieces[first:], *pieces[:first]]
    for lower, run in groupby(
        zip([*kinds[first:], *kinds[:first]], turned, strict=True), key=lambda pair: pair[0]
    ):
        if lower:
            yield tuple(f.segment for _, f in run)


def _is_lower(segment: Segment) -> bool:
    along = direction(segment, 0.5)
    return abs(along.x) > abs(along.y) + 1e-9
