"""Exact pieces of very many lines and arcs at once: what ``recover`` does for one run, as arrays."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from livery.geometry.chords import WELD_MM, ChordRuns
from livery.geometry.meetings import meetings
from livery.geometry.outline import Arc, Contour, Line, Point, Segment
from livery.geometry.path_text import LOWEST_WITHIN_MM, from_lowest, rank_of_node
from livery.geometry.pieces import Pieces, bulge_of, following_in_rings, preceding_in_rings
from livery.geometry.segments import nearest_parameter, point_on, with_ends
from livery.geometry.simplify import as_one, merged
from livery.geometry.vectors import crosses, differ, dots, sizes

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Indices = NDArray[np.int64]

_JOINED_MM = 1e-4
"""Millimetres: two arcs whose turn at their joint, times the shorter chord, is more than this are never
one (chosen: a hundred times the tolerance of joining). Only the time changes with it."""


def recovered_pieces(pieces: Pieces, runs: ChordRuns, chord_mm: float) -> list[Contour]:
    """Return the contours whose segments are the exact pieces that runs along pieces stand for.

    Those thinner on average than the chord error are left out.
    """
    if not len(runs.segment):
        return []
    joints = _joints(pieces, runs, chord_mm)
    return finished_rings(_linked(_parts(pieces, runs, joints)), chord_mm)


def finished_rings(pieces: Pieces, chord_mm: float) -> list[Contour]:
    """Return rings as contours that begin as settled: neighbours that are one made one.

    Those of no thickness are left out.
    """
    import numpy as np

    if not len(pieces):
        return []
    firsts, counts = pieces.heads
    long = np.add.reduceat(pieces.length(), firsts)
    thick = 2.0 * np.abs(pieces.areas()) / chord_mm > long
    kept = _begun_lowest(pieces.chosen(np.repeat(thick, counts)))
    made = kept.contours()
    own, joints = _joints_in_rings(kept)
    for i in sorted(set(own)):
        made[i] = _joined_at(made[i], [j for k, j in zip(own, joints, strict=True) if k == i])
    return made


def _begun_lowest(pieces: Pieces) -> Pieces:
    """Return rings begun at their settled nodes, as ``path_text.from_lowest`` does for one."""
    import numpy as np

    if not len(pieces):
        return pieces
    heights = pieces.start[:, 1]
    firsts, counts = pieces.heads
    reach = np.minimum.reduceat(heights, firsts) + LOWEST_WITHIN_MM
    low = np.flatnonzero(heights <= np.repeat(reach, counts))
    own = np.searchsorted(firsts, low, side="right") - 1
    ranks = [rank_of_node(*p) for p in pieces.start.take(low, 0).tolist()]
    shift = np.empty(len(firsts), dtype=np.int64)
    # From the greatest to the least, the earliest of equals last: each ring keeps the least.
    for i in sorted(range(len(low)), key=lambda i: (ranks[i], i), reverse=True):
        shift[own[i]] = low[i] - firsts[own[i]]
    place = np.arange(len(pieces)) - np.repeat(firsts, counts) + np.repeat(shift, counts)
    return pieces.chosen(np.repeat(firsts, counts) + place % np.repeat(counts, counts))


def _joints_in_rings(pieces: Pieces) -> tuple[list[int], list[int]]:
    """Return the joints that may be none: the place of the ring, and the piece in it before each."""
    import numpy as np

    found = np.flatnonzero(_may_join(pieces))
    firsts, _ = pieces.heads
    own = np.searchsorted(firsts, found, side="right") - 1
    return own.tolist(), (found - firsts[own]).tolist()


def _joined_at(contour: Contour, joints: list[int]) -> Contour:
    """Return a contour whose neighbours that are one segment are made one, given where they may be."""
    segments = contour.segments
    if joints[-1] == len(segments) - 1:
        return from_lowest(merged(contour))
    done: list[Segment] = []
    at = 0
    for joint in joints:
        if joint < at - 1:
            continue
        done += segments[at : joint + 1]
        at = joint + 1
        # What has been joined is another segment: the next one may join it too.
        while at < len(segments) and (joined := as_one(done[-1], segments[at])) is not None:
            done[-1] = joined
            at += 1
    return Contour((*done, *segments[at:]))


def _may_join(pieces: Pieces) -> NDArray[np.bool_]:
    """Return the pieces that may make one segment with the next; a few that do not are among them."""
    import numpy as np

    after = pieces.following
    leaving, arriving = pieces.directions()
    out = leaving.take(after, 0)
    turn = np.where(dots(arriving, out) < 0.0, 1.0, np.abs(crosses(arriving, out)))
    shorter = np.minimum(pieces.chord, pieces.chord[after])
    alike = pieces.straight == pieces.straight[after]
    one_way = pieces.bulge * pieces.bulge[after] >= 0.0
    found: NDArray[np.bool_] = alike & one_way & (turn * shorter <= _JOINED_MM)
    return found


def _joints(pieces: Pieces, runs: ChordRuns, chord_mm: float) -> Numbers:
    """Return the exact point (n, 2) at which each run begins."""
    import numpy as np

    before = runs.segment[preceding_in_rings(runs.ring)]
    after, near = runs.segment, runs.start
    joints = near.copy()
    left = np.ones(len(after), dtype=bool)
    for own in (before, after):
        for ends in (pieces.start, pieces.end):
            end = ends.take(own, 0)
            here = left & (sizes(end - near) <= 2 * WELD_MM)
            joints[here] = end[here]
            left &= ~here
    left &= before != after
    rest = np.flatnonzero(left)
    one, other, near = before[rest], after[rest], near.take(rest, 0)
    met = meetings(pieces, one, other, near)
    chord = _chord_lengths(pieces, chord_mm)
    reach = 10 * chord_mm + 3 * (chord[one] + chord[other])
    good = sizes(met - near) <= reach  # False where they do not meet at all.
    joints[rest[good]] = met[good]
    for i in np.flatnonzero(~good).tolist():
        first, second = pieces[int(one[i])], pieces[int(other[i])]
        curve = second if isinstance(first, Line) else first
        joints[rest[i]] = point_on(curve, nearest_parameter(curve, Point(*near[i].tolist())))
    return joints


def _chord_lengths(pieces: Pieces, chord_mm: float) -> Numbers:
    """Return the lengths of the pieces' chords; nothing for a line, which has no error."""
    import numpy as np

    from livery.geometry.chords import chord_counts

    return np.where(pieces.straight, 0.0, pieces.length() / chord_counts(pieces, chord_mm))


def _parts(pieces: Pieces, runs: ChordRuns, joints: Numbers) -> Pieces:
    """Return the part of its piece that each run is; those of no length are left out."""
    import numpy as np

    own = runs.segment
    start, end = joints, joints.take(following_in_rings(runs.ring), 0)
    kept = sizes(end - start) > WELD_MM
    arc = np.flatnonzero(~pieces.straight[own])
    bulge = np.zeros(len(own))
    bulge[arc], there = _bulges(pieces, runs, (start, end), arc)
    kept[arc] = there
    return Pieces(start, end, bulge, runs.ring).chosen(kept)


def _bulges(
    pieces: Pieces, runs: ChordRuns, ends: tuple[Numbers, Numbers], arc: Indices
) -> tuple[Numbers, NDArray[np.bool_]]:
    """Return the bulges of the parts of arcs, and which of them are there at all."""
    import numpy as np

    own, (p, q) = runs.segment[arc], (v.take(arc, 0) for v in ends)
    way = np.where(runs.t1 > runs.t0, 1.0, -1.0)[arc]
    there, back = pieces.start.take(own, 0), pieces.end.take(own, 0)
    onwards = ~differ(p, there) & ~differ(q, back)
    backwards = ~differ(p, back) & ~differ(q, there)
    whole = np.where(way > 0.0, onwards, backwards)
    rough = (runs.t1 - runs.t0)[arc]
    tiny = (sizes(q - p) <= WELD_MM) & (np.abs(rough) < 1e-3)
    centre = pieces.centre.take(own, 0)
    f, g = p - centre, q - centre
    cross, dot = crosses(f, g), dots(f, g)
    bulge = bulge_of(cross, dot, sizes(f) * sizes(g))
    turned = rough * pieces.sweep[own]
    far = np.abs(turned) > math.pi * 0.9
    for i in np.flatnonzero(far & ~whole).tolist():
        bulge[i] = _far_bulge(float(cross[i]), float(dot[i]), float(turned[i]))
    wrong = bulge * turned <= 0.0
    bulge = np.where(whole, way * pieces.bulge[own], bulge)
    return bulge, whole | ~(tiny | wrong)


def _far_bulge(cross: float, dot: float, turned: float) -> float:
    """Return the bulge of an arc of about half a turn or more, given roughly how far it turns."""
    seen = math.atan2(cross, dot)
    return math.tan((seen + math.tau * round((turned - seen) / math.tau)) / 4.0)


def _linked(parts: Pieces) -> Pieces:
    """Return parts that begin where those before them end, which they do not where one was left out."""
    import numpy as np

    before = preceding_in_rings(parts.ring)
    start, bulge = parts.start.copy(), parts.bulge.copy()
    ends = parts.end.take(before, 0)
    moved = differ(ends, start)
    for i in np.flatnonzero(moved & ~parts.straight).tolist():
        at = Point(*parts.end[before[i]].tolist())
        piece = with_ends(parts[i], at, Point(*parts.end[i].tolist()))
        bulge[i] = piece.bulge if isinstance(piece, Arc) else 0.0
    start[moved] = ends[moved]
    return Pieces(start, parts.end, bulge, parts.ring)
