"""Long stripes of film cut as straight strips and short corners instead of thin loops."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product

from fontTools.misc.transform import Identity, Transform

from livery.findings import fault
from livery.geometry.boolean import intersection, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import length, split_at
from livery.geometry.offset import stroke
from livery.geometry.outline import Contour, Line, Outline, Point
from livery.geometry.segments import direction, segment_length
from livery.geometry.shapes import polygon, turn_between
from livery.geometry.sweep import MITRE_LIMIT, beside
from livery.make.film.joins import JoinPlace, JoinRules, SplitStripe, split_stripe
from livery.work_cache import kept

BESIDE = 1.5
"""How many widths across, about the middle line, is searched for what belongs to a piece (chosen).
Larger takes in the strand beside it."""

SHARPEST = 1e-3
"""A corner this sharp, as the cosine of half its turn, is a line that runs back on itself (chosen).
Larger, and sharp corners are not cut as stripes."""

SAME_MM = 0.005
"""How far a stripe's pieces may lie from it, in millimetres (chosen: half of what a file may be out
by). Larger, and a gap at a join passes."""
LOST_MM2 = 1e-3
"""The most of a stripe that its pieces together may lack, in square millimetres (chosen: rounding
at the cuts). Larger, and a gap at a join passes."""


@dataclass(frozen=True, slots=True)
class StripePiece:
    """A piece of a stripe between two stations of its centre line, where it lies on the panel.

    A ``straight`` piece can be cut as a plain strip of its length; a ``corner`` goes between
    two of those.  On a closed line the end may lie past the start: it runs on round.
    """

    start_mm: float
    end_mm: float
    straight: bool
    outline: Outline
    corner: bool = False

    @property
    def length_mm(self) -> float:
        """Length along the centre line, lap included."""
        return self.end_mm - self.start_mm

    @property
    def level_turn(self) -> Transform:
        """The turn that lays a slanting strip along the film; none for one level, upright or bent."""
        if not self.straight:
            return Identity
        lines = [s for c in self.outline for s in c.segments if isinstance(s, Line)]
        longest = max(lines, key=segment_length)
        dx, dy = longest.end.x - longest.start.x, longest.end.y - longest.start.y
        if min(abs(dx), abs(dy)) < 1e-6 * math.hypot(dx, dy):
            return Identity
        return Identity.rotate(-math.atan2(dy, dx))


@kept
def stripe_pieces(
    stripe: Outline,
    centre: Contour,
    width_mm: float,
    rules: JoinRules,
    places: Sequence[JoinPlace] = (),
    *,
    tail_mm: float,
    is_tapered: bool = False,
) -> tuple[StripePiece, ...]:
    """Return a stripe cut into straight strips and the corners between them.

    ``stripe`` is the region, ``centre`` its middle line and ``width_mm`` its width, the
    greatest where it ``is_tapered``: its middle line then has no corners to keep whole.
    Each corner keeps straight tails of ``tail_mm``, easier to align than a bare
    curve.  Stations of ``places`` are measured along ``centre`` from its start.
    """
    pieces = []
    whole = (0.0, length(centre), len(centre.segments) == 1)
    barred = [p for p in places if math.isinf(p.cost)]
    stretches = [whole] if is_tapered else _stretches(centre, tail_mm, barred)
    turns = (0.0, length(centre)) if centre.closed else (0.0,)
    for start, end, straight in stretches:
        local = list(_places_within(places, start, end, turns))
        made: SplitStripe = split_stripe(end - start, rules, local)
        for a, b in made.pieces:
            # The lap over the next stretch is given to every piece but an open stripe's last.
            last = b == end - start
            lap = rules.lap_mm if last and (centre.closed or end < length(centre) - 1e-6) else 0.0
            one = _piece(stripe, centre, width_mm, start + a, start + b + lap, straight=straight)
            pieces.append(replace(one, corner=not straight and len(stretches) > 1))
    _require_whole(stripe, pieces)
    return tuple(pieces)


def _places_within(
    places: Sequence[JoinPlace], start: float, end: float, turns: Sequence[float]
) -> Iterator[JoinPlace]:
    """Yield what of places lies in a stretch, measured from its start; it may run past a turn."""
    for place, turn in product(places, turns):
        first, last = max(place.start_mm + turn, start), min(place.end_mm + turn, end)
        if first <= last:
            yield JoinPlace(first - start, last - start, place.cost, place.why)


def _require_whole(stripe: Outline, pieces: Sequence[StripePiece]) -> None:
    """Raise LiveryError where the pieces together, by Shapely, are not the whole stripe."""
    import shapely

    laid = shapely.union_all([to_shapely(p.outline) for p in pieces])
    lost = to_shapely(stripe).difference(laid.buffer(SAME_MM))
    if lost.area > LOST_MM2:
        at = lost.representative_point()
        raise fault(
            "stripe-lost",
            f"cut in strips, {lost.area:.2f} mm² of this line would be lost at "
            f"({at.x:.1f}, {at.y:.1f})",
            "Make longest_piece of its film longer, so that it is cut in one, or ease the corner there.",
            exit_status=1,
        )


def _piece(
    stripe: Outline, centre: Contour, width: float, start: float, end: float, *, straight: bool
) -> StripePiece:
    """Take the part of the stripe beside a stretch of its centre line."""
    total = length(centre)
    if centre.closed and end - start >= total - 1e-9:
        return StripePiece(start, end, straight, stripe)
    along = split_at(centre, start, end if centre.closed else min(end, total))
    if not centre.closed:
        along = _run_out(along, width, at_start=start <= 1e-9, at_end=end >= total - 1e-9)
    near = union(stroke(along, BESIDE * width), *_sharp_tips(along, BESIDE * width / 2.0))
    return StripePiece(start, end, straight, intersection(stripe, near))


def _run_out(along: Contour, by: float, *, at_start: bool, at_end: bool) -> Contour:
    """Return a line carried straight on past its ends: a stripe may end at a slant or in a point."""
    first, last = along.segments[0], along.segments[-1]
    into, out = direction(first, 0.0), direction(last, 1.0)
    before = Line(Point(along.start.x - by * into.x, along.start.y - by * into.y), along.start)
    after = Line(along.end, Point(along.end.x + by * out.x, along.end.y + by * out.y))
    more = ((before,) * at_start, along.segments, (after,) * at_end)
    return Contour(tuple(s for part in more for s in part), closed=False)


def _sharp_tips(along: Contour, half: float) -> Iterator[Outline]:
    """Yield what a stroke ``half`` mm either side rounds off at corners too sharp for its mitre."""
    for before, after in pairwise(along.segments):
        into, out, at = direction(before, 1.0), direction(after, 0.0), before.end
        turn = turn_between(into, out)
        share = math.cos(turn / 2.0)
        if share * MITRE_LIMIT > 1.0 or share < SHARPEST:
            continue
        side = -math.copysign(half, turn)
        near, far = beside(at, into, side), beside(at, out, side)
        reach = half * math.tan(abs(turn) / 2.0)
        tip = Point(near.x + reach * into.x, near.y + reach * into.y)
        yield polygon((at, near, tip, far))


def _stretches(
    centre: Contour, tail: float, barred: Sequence[JoinPlace]
) -> list[tuple[float, float, bool]]:
    """Return (start, end, straight) stretches of the centre line, in order, joins at the tails.

    A tail is longer where it would be joined at a place that is barred.
    """
    total = length(centre)
    cuts: list[tuple[float, float]] = []  # the strips: straights less a tail at either end
    at = 0.0
    for run in _straights(centre):
        size, straight = run
        first = at <= 1e-9 and not centre.closed
        final = at + size >= total - 1e-9 and not centre.closed
        a = at + (0.0 if first else tail)
        b = at + size - (0.0 if final else tail)
        # A strip shorter than its corners' tails would only add joins.
        if straight and b - a > 2.0 * tail:
            clear = (a if first else _past(a, barred), b if final else _before(b, barred))
            cuts.append(clear if clear[1] - clear[0] > tail else (a, b))
        at += size
    if not cuts:
        return [(0.0, total, len(centre.segments) == 1 and isinstance(centre.segments[0], Line))]
    stretches: list[tuple[float, float, bool]] = []
    if not centre.closed and cuts[0][0] > 1e-9:
        stretches.append((0.0, cuts[0][0], False))
    for i, (a, b) in enumerate(cuts):
        stretches.append((a, b, True))
        onward = cuts[i + 1][0] if i + 1 < len(cuts) else total + cuts[0][0] * centre.closed
        if onward - b > 1e-9:
            stretches.append((b, onward, False))
    return stretches


def _past(station: float, barred: Sequence[JoinPlace]) -> float:
    """Return the first station from here on at which no join is barred."""
    for place in sorted(barred, key=lambda p: p.start_mm):
        if place.start_mm < station < place.end_mm:
            station = place.end_mm
    return station


def _before(station: float, barred: Sequence[JoinPlace]) -> float:
    """Return the last station up to here at which no join is barred."""
    for place in sorted(barred, key=lambda p: -p.end_mm):
        if place.start_mm < station < place.end_mm:
            station = place.start_mm
    return station


def _straights(centre: Contour) -> list[tuple[float, bool]]:
    """Return the lengths of a line's runs: straight sides one by one, curves one by one."""
    runs: list[tuple[float, bool]] = []
    before: Line | None = None
    for segment in centre.segments:
        size = segment_length(segment)
        if isinstance(segment, Line) and before is not None and _in_line(before, segment):
            runs[-1] = (runs[-1][0] + size, True)
        else:
            runs.append((size, isinstance(segment, Line)))
        before = segment if isinstance(segment, Line) else None
    return runs


def _in_line(one: Line, other: Line) -> bool:
    ux, uy = one.end.x - one.start.x, one.end.y - one.start.y
    vx, vy = other.end.x - other.start.x, other.end.y - other.start.y
    return abs(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)) < 1e-6
