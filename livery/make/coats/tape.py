"""The tape list: which mask edges are taped, with what tape, in what runs."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from livery.geometry.outline import Point
from livery.make.coats.seams import run_length


@dataclass(frozen=True, slots=True)
class Tape:
    """A tape in the kit: its width, the tightest curve it follows flat, and the roll it comes on.

    ``least_radius_mm`` is infinite for a tape that is only laid straight.
    """

    name: str
    width_mm: float
    least_radius_mm: float
    roll_m: float


COMMON_TAPES = (
    Tape("masking tape 18 mm", 18.0, math.inf, 50.0),
    Tape("fine-line tape 6 mm", 6.0, 75.0, 33.0),
    Tape("fine-line tape 3 mm", 3.0, 25.0, 33.0),
    Tape("fine-line tape 1.5 mm", 1.5, 8.0, 33.0),
)
"""Common practice: the wider the tape, the wider the curve it lies flat round.  Radii are the
project's own cautious figures; try the roll in hand and put its own in the kit."""

EDGE_WIDEST_MM = 6.0
"""The widest tape, in millimetres, that makes a sharp edge, where the kit has one so narrow (common
practice: 3 to 6 mm fine-line); a wider one is laid behind it, to hold the paper. Larger, and paint
creeps under on curves."""

WRAP_MM = 20.0
"""How far tape and paper are turned round the panel's edge, in millimetres (common practice).
Larger takes more of both."""

ENDS_MM = 30.0
"""What is added to a run of tape for its two loose ends, in millimetres (common practice). Larger,
and more tape is bought."""

CORNER_DEGREES = 20.0
"""A sharper turn between two chords, in degrees, is a corner, where one tape ends and the next
begins (chosen). Larger, and tape is bent round what it cannot follow."""

STRAIGHT_MM = 20.0
"""A chord as long as this, in millimetres, is a straight side (chosen: on a curve of 25 m its
sagitta is 0.002 mm). Smaller, and a wide curve is taped in pieces."""


LEAST_TAPE_MM = 5.0
"""The shortest run, in millimetres, that is taped (common practice: a shorter piece of tape is neither
held nor pressed down true). A shorter one is part of the tape beside it, or cut in film. Larger
takes more film."""

LEAST_EDGE_MM = 1.0
"""A run shorter than this, in millimetres, between two others has no tape or film of its own: theirs
meet over it (chosen). Larger blunts small steps."""


@dataclass(frozen=True, slots=True)
class TapeRun:
    """One run of a sharp edge: ``radius_mm`` is the tightest curve in it, infinite when straight.

    ``tape`` is None where it is masked with cut film: no tape in the kit follows the curve, has
    room, or can be laid so short; ``is_narrow`` if that is for lack of room.
    ``turned_ends`` of it are turned round the edge of the panel.  A strip covers a line as wide
    as the tape alone; ``is_backed`` if wide tape and paper lie behind it.
    """

    points: tuple[Point, ...]
    radius_mm: float
    tape: Tape | None = None
    turned_ends: int = 0
    is_strip: bool = False
    is_backed: bool = True
    is_narrow: bool = False

    @property
    def length_mm(self) -> float:
        """Length along the edge."""
        return run_length(self.points)

    @property
    def is_short(self) -> bool:
        """Whether it is too short for a tape, also with what is turned round the edge."""
        return self.length_mm + WRAP_MM * self.turned_ends < LEAST_TAPE_MM

    def laid_mm(self, ends_mm: float) -> float:
        """Return its length with its two ends: loose, ``ends_mm`` for both, or turned round the edge."""
        loose = ends_mm * (2 - self.turned_ends) / 2.0
        return self.length_mm + loose + self.turned_ends * max(WRAP_MM, ends_mm / 2.0)


@dataclass(frozen=True, slots=True)
class TapeTotal:
    """The amount of one tape: runs, of them strips, length including the ends, whole rolls."""

    tape: Tape
    runs: int
    strips: int
    length_mm: float
    rolls: int


def tape_runs(
    edges: Iterable[Sequence[Point]], tapes: Sequence[Tape] = COMMON_TAPES
) -> tuple[TapeRun, ...]:
    """Return the runs of tape along mask edges, each with the widest fine tape that follows it."""
    runs = (r for edge in edges for r in edge_runs(edge))
    return tuple(replace(r, tape=next(iter(tapes_along(r, tapes)), None)) for r in runs)


def edge_runs(edge: Sequence[Point]) -> list[TapeRun]:
    """Break an edge at its corners, and where straight sides run into curves, into runs without tape."""
    return [TapeRun(tuple(run), tightest_radius(run)) for run in _between_corners(edge)]


def tapes_along(run: TapeRun, tapes: Sequence[Tape]) -> list[Tape]:
    """Return the tapes that follow a run, the best first: the widest fine one."""
    if run.is_short:
        return []
    fits = [t for t in tapes if t.least_radius_mm <= run.radius_mm or run.radius_mm == math.inf]
    return sorted(fine_tapes(fits), key=lambda t: -t.width_mm)


def fine_tapes(tapes: Sequence[Tape]) -> list[Tape]:
    """Return the tapes that make a sharp edge: the fine ones, or all where none is fine."""
    return [t for t in tapes if t.width_mm <= EDGE_WIDEST_MM] or list(tapes)


def tape_totals(
    runs: Sequence[TapeRun], tapes: Sequence[Tape] = COMMON_TAPES, ends_mm: float = ENDS_MM
) -> tuple[TapeTotal, ...]:
    """Return how much of each tape, ``ends_mm`` added to every run for its two loose ends.

    An end at the edge of the panel is as long as it is turned round it.
    Behind the tape of an edge lies the widest of the kit, which holds the paper: where it is the
    same tape, twice as much of it is laid.
    """
    totals = []
    widest = max(tapes, key=lambda t: t.width_mm, default=None)
    for tape in tapes:
        own = [r for r in runs if r.tape == tape]
        if tape == widest:
            own += [r for r in runs if r.tape is not None and r.is_backed]
        if own:
            length = sum(r.laid_mm(ends_mm) for r in own)
            rolls = math.ceil(length / (tape.roll_m * 1000.0))
            strips = sum(r.is_strip and r.tape == tape for r in runs)
            totals.append(TapeTotal(tape, len(own), strips, length_mm=length, rolls=rolls))
    return tuple(totals)


def tightest_radius(points: Sequence[Point]) -> float:
    """Return the radius of the tightest curve through a run, infinite when it is straight.

    The chords of a flattened arc turn by the angle that one of them subtends, so each
    turn gives the radius there; a chord cut short at the end of a run does not count.
    """
    radius = math.inf
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        turn = abs(_turn(a, b, c))
        if turn > 1e-4:
            chord = max(math.dist(a, b), math.dist(b, c))
            radius = min(radius, chord / (2.0 * math.sin(turn / 2.0)))
    return radius


def _between_corners(edge: Sequence[Point]) -> list[list[Point]]:
    """Break an edge at its corners and where a straight side runs into a curve, if a tape is long enough."""
    points = [Point(*p) for p in edge]
    if len(points) > 3 and math.dist(points[0], points[-1]) < 1e-9:
        points = _from_a_break(points[:-1])
    points = _without_needless(points)
    inner = range(1, len(points) - 1)
    breaks = [i for i in inner if _breaks(*points[i - 1 : i + 2])]
    cuts = _without_short_runs(points, [0, *breaks, inner.stop])
    runs = [points[i : j + 1] for i, j in itertools.pairwise(cuts) if j > i]
    return [r for r in runs if run_length(r) >= LEAST_EDGE_MM] or runs


def _without_short_runs(points: Sequence[Point], cuts: list[int]) -> list[int]:
    """Leave out the cuts, other than corners, beside which a run would be too short for a tape."""
    kept = [*cuts]
    for cut in cuts[1:-1]:
        at = kept.index(cut)
        before, after = points[kept[at - 1] : cut + 1], points[cut : kept[at + 1] + 1]
        short = min(run_length(before), run_length(after)) < LEAST_TAPE_MM
        if short and not _is_corner(*points[cut - 1 : cut + 2]):
            kept.remove(cut)
    return kept


def _breaks(a: Point, b: Point, c: Point) -> bool:
    """Return whether one tape ends at ``b`` and the next begins."""
    return _is_corner(a, b, c) or max(math.dist(a, b), math.dist(b, c)) >= STRAIGHT_MM


def _is_corner(a: Point, b: Point, c: Point) -> bool:
    return abs(_turn(a, b, c)) > math.radians(CORNER_DEGREES)


def _without_needless(points: Sequence[Point]) -> list[Point]:
    """Leave out points in the middle of a straight side."""
    kept = list(points[:1])
    for i in range(1, len(points) - 1):
        if abs(_turn(kept[-1], points[i], points[i + 1])) > 1e-6:
            kept.append(points[i])
    return [*kept, *points[-1:]] if len(points) > 1 else kept


def _from_a_break(ring: list[Point]) -> list[Point]:
    """Begin a closed edge where tapes meet, if they do anywhere, and end it there."""
    count = len(ring)
    for i in range(count):
        a, b, c = ring[i - 1], ring[i], ring[(i + 1) % count]
        if abs(_turn(a, b, c)) > 1e-6 and _breaks(a, b, c):
            ring = ring[i:] + ring[:i]
            break
    return [*ring, ring[0]]


def _turn(a: Point, b: Point, c: Point) -> float:
    """Return the signed turn at ``b`` in radians."""
    ux, uy, vx, vy = b.x - a.x, b.y - a.y, c.x - b.x, c.y - b.y
    return math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
