"""Drawing quality by measure: what a signwriter sees at 200 mm, as numbers.

Every measure works on an outline in font units with a cap height of 10 000, so it
holds for any font.  The bounds are set between what three open fonts reach and what
was seen to be wrong in our own letters; the tests hold both ends.

Weights are ratios to the upright of the capital I or H.  Angles are degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np

from livery.alphabet.joining import flattened
from livery.geometry.measure import area
from livery.geometry.outline import Contour, Cubic, Line, Outline, Point, Segment

CAP_HEIGHT = 10_000.0
"""The height of a capital, in units, which letters are brought to (chosen: as in our own fonts).
Another judges all sizes otherwise."""

SMOOTH = 3.6
"""Nodes that turn less pass for smooth, in degrees (chosen: not seen at 200 mm). Larger, and kinks
pass."""

CORNER = 10.5
"""Nodes that turn less, and are not smooth, are kinks, in degrees (chosen: more is drawn on
purpose). Larger, and blunt corners are faults."""

JUMP = 6.5
"""The steepest change of bend at a smooth node (chosen: a true arc met by a straight has 2).
Larger, and flat spots pass."""

FACET = 0.25
"""The shortest straight between two curves, in their radii there (chosen). Larger finds straights
that are meant; smaller, and flats pass."""

LEAST_FACET = 0.04
"""A shorter straight is not seen, of the cap height (chosen). Larger, and flats pass."""

NEEDLE = 10.0
"""The sharpest corner a knife cuts, in the letter or in the white, in degrees (from memory).
Larger finds corners that can be cut."""

LEAST_WHITE = 0.020
"""The least gap, of the cap height (from memory: 0.5 mm at 25 mm; ask your film's maker). Larger
finds gaps that can be weeded."""

LEAST_INK = 0.020
"""The least stroke, of the cap height (from memory, as of gaps). Larger finds strokes that can be
cut."""

HEAVY = 1.14
"""The thickest stroke of any letter, in the thickest of all capitals' middle (chosen). Larger, and
blots pass."""

WIDEST = 0.25
"""What is wider is no stroke but a letter's body, of the cap height (chosen). Larger measures
bodies as strokes."""

LEAST_RUN = 0.08
"""Shorter edges make no stroke, of the cap height (chosen). Larger, and short strokes are not
measured."""

LEAST_STEM = 0.3
"""Nor do these a stem, but the end of a bar or serif, of the cap height (chosen). Larger, and
short stems are not measured."""

LEAST_EDGE = 0.14
"""Nor does a straight so short count towards a stem, of the cap height (chosen). Larger, and stems
in pieces are not measured."""

SMALL_CORNER = 0.08
"""Curves of less radius are corners, not sides, of the cap height (chosen). Larger, and small
curves are not judged."""

SHORT = 90.0
"""Segments shorter than this are not judged for their bend, in units (chosen: rounding rules it).
Larger, and short flats pass."""

STEP = 80.0
"""A step so short and as long as LEAST_STEP is a crumb, no part of a letter, in units (chosen).
Larger finds steps that are meant."""

LEAST_STEP = 10.0
"""Shorter steps are not seen, in units (chosen: 0.2 mm at 200). Larger, and crumbs pass."""

SHARP = 60.0
"""What a step turns, at the least, and turns back, in degrees (chosen). Larger, and slanting steps
pass."""

NUB = 800.0
"""So short a stretch of edge that turns out, over and on again is a nub or a dent, in units (chosen:
a serif or a flag takes more). Larger finds those."""

NUB_TURN = 20.0
"""Each of those three turns is at least so sharp, in degrees (measured: three open fonts have
none over 15). Larger, and blunt nubs pass."""

END_NUB = 450.0
"""Beside the end of a stroke so short a stretch is one where the edge turns out and then right round,
in units (chosen). Larger finds short serifs, as inside the foot of a roman k."""

ROUND_END = 150.0
"""What an edge turns round the end of such a nub, at the least, in degrees (chosen). Smaller finds
corners beside a joint."""

ROUNDED = 1.7
"""What whole units leave of a place in letters of 0.58 of the height, in units (chosen). Larger,
and short kinks pass."""

ALIKE = 10.0
"""A stroke or gap is where its far side runs so nearly as its near one, in degrees (chosen).
Larger measures across corners."""

Array = Any


class DrawingFault(NamedTuple):
    """What is wrong with a glyph: which measure, its value, its bound, and the place."""

    measure: str
    value: float
    bound: float
    at: Point

    def text(self) -> str:
        """Return the fault as one line of words."""
        place = f"at {self.at.x:.0f}, {self.at.y:.0f}"
        return f"{self.measure} {self.value:.3g} (bound {self.bound:.3g}) {place}"


def glyph_faults(outline: Outline) -> list[DrawingFault]:
    """Return what is wrong in one glyph's drawing."""
    found: list[DrawingFault] = []
    for contour in outline:
        for before, after in _corners(contour):
            found.extend(_at_node(before, after))
        found.extend(_facets(contour))
        found.extend(_steps(contour))
        found.extend(_nubs(contour))
    found.extend(_narrow(outline))
    return found


def _corners(contour: Contour) -> Iterator[tuple[Segment, Segment]]:
    segments = contour.segments
    return zip((segments[-1], *segments[:-1]), segments, strict=True)


def _at_node(before: Segment, after: Segment) -> Iterable[DrawingFault]:
    turn = _turn(_heading(before, end=True), _heading(after, end=False))
    at = after.start
    short = min(_length(before), _length(after))
    long = short >= SHORT
    if abs(turn) > 180.0 - NEEDLE:
        if long:
            name = "spike" if turn > 0 else "notch"
            yield DrawingFault(f"{name}, degrees", 180.0 - abs(turn), NEEDLE, at)
    elif SMOOTH + math.degrees(math.atan2(ROUNDED, short)) < abs(turn) < CORNER:
        yield DrawingFault("kink, degrees", abs(turn), SMOOTH, at)
    elif abs(turn) <= SMOOTH and long:
        jump = _jump(before, after)
        if jump > JUMP:
            yield DrawingFault("change of bend", jump, JUMP, at)


def _jump(before: Segment, after: Segment) -> float:
    """Return the change of bend at a smooth node, in the mean bend of its two sides."""
    step = abs(bend(before, 1.0) - bend(after, 0.0))
    bends = (_mean_bend(before), _mean_bend(after))
    usual = sum(bends) / 2.0
    judged = usual > 0.02 / CAP_HEIGHT and max(bends) * SMALL_CORNER * CAP_HEIGHT < 1.0
    return step / usual if judged else 0.0


def _facets(contour: Contour) -> Iterable[DrawingFault]:
    """Find straights too short for the curves they lie between."""
    segments = contour.segments
    for i, s in enumerate(segments):
        before, after = segments[i - 1], segments[(i + 1) % len(segments)]
        if not isinstance(s, Line) or isinstance(before, Line) or isinstance(after, Line):
            continue
        turns = (
            _turn(_heading(before, end=True), _heading(s, end=False)),
            _turn(_heading(s, end=True), _heading(after, end=False)),
        )
        ends = (bend(before, 1.0), bend(after, 0.0))
        if max(map(abs, turns)) > SMOOTH or ends[0] * ends[1] <= 0.0:
            continue
        share = _length(s) * (abs(ends[0]) + abs(ends[1])) / 2.0
        if share < FACET and _length(s) > LEAST_FACET * CAP_HEIGHT:
            yield DrawingFault("flat facet, radii", share, FACET, s.start)


def _steps(contour: Contour) -> Iterable[DrawingFault]:
    """Find small steps, out and on as before or nearly: crumbs where strokes were joined."""
    segments = contour.segments
    for i, s in enumerate(segments):
        if not LEAST_STEP < _length(s) < STEP:
            continue
        after = segments[(i + 1) % len(segments)]
        out = _turn(_heading(segments[i - 1], end=True), _heading(s, end=False))
        on = _turn(_heading(s, end=True), _heading(after, end=False))
        if out * on < 0.0 and min(abs(out), abs(on)) > SHARP:
            yield DrawingFault(
                "step, cap heights", _length(s) / CAP_HEIGHT, STEP / CAP_HEIGHT, s.start
            )


def _nubs(contour: Contour) -> Iterable[DrawingFault]:
    """Find the first short spur or dent: in an edge that goes on as before, or beside an end."""
    turns = _turns([s for s in contour.segments if _length(s) >= LEAST_STEP])
    around = sum(_length(s) for s in contour.segments)
    for i, first in enumerate(turns):
        onward = (*turns[i:], *(t.moved(around) for t in turns[:i]))
        sums = _turned(onward, NUB)
        for three in zip(sums, sums[1:], sums[2:], strict=False):
            least = min(map(abs, three))
            if least > NUB_TURN:
                name = "spur" if three[1] > 0.0 else "dent"
                yield DrawingFault(f"{name}, degrees", least, NUB_TURN, first.at)
                return
        sums = _turned(onward, END_NUB)
        for two in pairwise(sums):
            least, most = sorted(two, key=abs)
            if abs(least) > NUB_TURN and abs(most) > ROUND_END:
                name = "spur" if most > 0.0 else "dent"
                yield DrawingFault(f"{name} at an end, degrees", abs(most), ROUND_END, first.at)
                return


def _turned(onward: Iterable[_EdgeTurn], within: float) -> list[float]:
    """Return the sums of turns the same way, one after another, within a length of the first."""
    sums: list[float] = []
    start = None
    for t in onward:
        start = t.start if start is None else start
        if t.end - start > within:
            break
        if sums and sums[-1] * t.degrees > 0.0:
            sums[-1] += t.degrees
        else:
            sums.append(t.degrees)
    return sums


class _EdgeTurn(NamedTuple):
    """A turn of an edge, at a node or along a short curve: from where to where, how much, and where."""

    start: float
    end: float
    degrees: float
    at: Point

    def moved(self, by: float) -> _EdgeTurn:
        """Return the turn further along the edge."""
        return self._replace(start=self.start + by, end=self.end + by)


def _turns(segments: list[Segment]) -> list[_EdgeTurn]:
    """Return the turns along segments, those too small for a nub left out."""
    found, along = [], 0.0
    for i, s in enumerate(segments):
        here, on = _heading(s, end=False), _heading(s, end=True)
        turn = _turn(_heading(segments[i - 1], end=True), here)
        found.append(_EdgeTurn(along, along, turn, s.start))
        length = _length(s)
        if isinstance(s, Cubic) and length <= NUB:
            found.append(_EdgeTurn(along, along + length, _turn(here, on), s.start))
        along += length
    return [t for t in found if abs(t.degrees) > SMOOTH]


def _narrow(outline: Outline) -> Iterable[DrawingFault]:
    """Find strokes and gaps thinner than cut film holds at the least size."""
    for inside, name, least in ((True, "stroke", LEAST_INK), (False, "gap", LEAST_WHITE)):
        spans = across(outline, inside=inside)
        if not len(spans.width):
            continue
        i = int(np.argmin(spans.width))
        if spans.width[i] < least * CAP_HEIGHT:
            at = Point(float(spans.x[i]), float(spans.y[i]))
            yield DrawingFault(
                f"{name}, cap heights", float(spans.width[i]) / CAP_HEIGHT, least, at
            )
    for contour in outline:
        if area(contour) < 0:
            xs, ys = zip(*flattened(contour), strict=True)
            least_side = min(max(xs) - min(xs), max(ys) - min(ys)) / CAP_HEIGHT
            if least_side < LEAST_WHITE:
                yield DrawingFault("counter, cap heights", least_side, LEAST_WHITE, contour.start)


class Spans(NamedTuple):
    """Measures across an outline, one for each place on its edge.

    ``heading`` is how the edge runs there, 0 to 180 degrees; ``run`` the length of edge
    each stands for; ``round`` whether the edge bends there; ``whole`` the length of the straight
    or curve that the place is on.
    """

    x: Array
    y: Array
    width: Array
    heading: Array
    run: Array
    round: Array
    whole: Array


def across(outline: Outline, *, inside: bool = True) -> Spans:
    """Return how far it is from each place on the edge to a far side that runs alike.

    Args:
        outline: outers anticlockwise, holes clockwise.
        inside: through the letter (strokes) or through the white (gaps and counters).
    """
    a, b, curved, whole = _edges(outline)
    middle, step = (a + b) / 2, b - a
    run = np.hypot(step[:, 0], step[:, 1])
    normal = np.stack([-step[:, 1], step[:, 0]], axis=1) / run[:, None]
    normal = normal if inside else -normal
    rel = a[None] - middle[:, None]
    turn = normal[:, None, 0] * step[None, :, 1] - normal[:, None, 1] * step[None, :, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        far = (rel[..., 0] * step[None, :, 1] - rel[..., 1] * step[None, :, 0]) / turn
        along = (rel[..., 0] * normal[:, None, 1] - rel[..., 1] * normal[:, None, 0]) / turn
    hit = (far > 1.0) & (along >= 0.0) & (along <= 1.0)
    far = np.where(hit, far, np.inf)
    first = np.argmin(far, axis=1)
    width = far[np.arange(len(far)), first]
    cosine = -(step * step[first]).sum(axis=1) / (run * run[first])
    kept = np.isfinite(width) & (cosine > math.cos(math.radians(ALIKE)))
    heading = np.degrees(np.arctan2(step[:, 1], step[:, 0])) % 180.0
    columns = (middle[:, 0], middle[:, 1], width, heading, run, curved, whole)
    return Spans(*(c[kept] for c in columns))


@lru_cache(maxsize=32)  # one glyph's edges serve every measure of it
def _edges(outline: Outline) -> tuple[Array, Array, Array, Array]:
    """Return an outline as short straight edges, whether each is of a curve, and how long that is."""
    starts, ends, curved, whole = [], [], [], []
    for contour in outline:
        for s in contour.segments:
            count = 10 if isinstance(s, Cubic) else max(1, round(_length(s) / 500.0))
            points = _places(s, count)
            long = np.hypot(*(points[1:] - points[:-1]).T) > 1.0
            starts.append(points[:-1][long])
            ends.append(points[1:][long])
            curved.append(np.full(long.sum(), isinstance(s, Cubic)))
            whole.append(np.full(long.sum(), _length(s)))
    return (
        np.concatenate(starts),
        np.concatenate(ends),
        np.concatenate(curved),
        np.concatenate(whole),
    )


@dataclass(frozen=True)
class Weights:
    """The weights of a glyph's strokes, in font units; NaN where it has no such stroke."""

    upright: float
    curved: float
    sloping: float
    level: float

    @property
    def thickest(self) -> float:
        """The weight of the heaviest stroke."""
        known = [w for w in (self.upright, self.curved, self.sloping) if not math.isnan(w)]
        return max(known, default=math.nan)


def stroke_weights(outline: Outline) -> Weights:
    """Return the weights of a glyph's upright, curved, sloping and level strokes.

    Each is the thickness that half of the stroke's edge, by length, keeps to or exceeds.
    """
    spans = across(outline)
    from_upright = np.abs(spans.heading - 90.0)
    bends = spans.round.astype(bool)
    return Weights(
        upright=_usual(
            spans,
            (from_upright < 5.0) & ~bends & (spans.whole >= LEAST_EDGE * CAP_HEIGHT),
            LEAST_STEM,
        ),
        curved=_usual(spans, (from_upright < 12.0) & bends),
        sloping=_usual(spans, (from_upright >= 5.0) & (from_upright < 62.0) & ~bends),
        level=_usual(spans, (from_upright > 84.0) & ~bends),
    )


def _usual(spans: Spans, chosen: Array, least: float = LEAST_RUN) -> float:
    chosen = chosen & (spans.width < WIDEST * CAP_HEIGHT)
    widths, runs = spans.width[chosen], spans.run[chosen]
    if runs.sum() < least * CAP_HEIGHT:
        return math.nan
    order = np.argsort(-widths)
    half = np.searchsorted(np.cumsum(runs[order]), runs.sum() / 2.0)
    return float(widths[order][half])


def heavy_glyphs(outlines: Mapping[str, Outline]) -> dict[str, float]:
    """Return the glyphs whose heaviest stroke is over the bound, with its ratio to the middle.

    The middle is the median of the heaviest strokes of all glyphs given.
    """
    each = {name: stroke_weights(o).thickest for name, o in outlines.items()}
    usual = float(np.nanmedian(list(each.values())))
    return {n: w / usual for n, w in each.items() if not math.isnan(w) and w / usual > HEAVY}


def white_between(first: Outline, second: Outline, step: float, depth: float = 1500.0) -> float:
    """Return the mean white between two glyphs ``step`` apart, over the cap height.

    Each side counts no deeper than ``depth`` beyond its own reach.  Measured on rows of the
    drawn edges, apart from the sums that spaced the font.
    """
    right, left = _reach(first, 1.0), _reach(second, -1.0)
    right = np.maximum(right, right.max() - depth)
    left = np.maximum(left, left.max() - depth)
    return float(np.mean(step - left - right))


@lru_cache(maxsize=256)  # a glyph stands in twenty pairs
def _reach(outline: Outline, side: float) -> Array:
    """Return how far an outline reaches to the right (side 1) or the left (-1) on each row."""
    rows = (np.arange(100) + 0.5) * CAP_HEIGHT / 100.0
    a, b, _, _ = _edges(outline)
    low, high = np.minimum(a[:, 1], b[:, 1]), np.maximum(a[:, 1], b[:, 1])
    crosses = (low[:, None] <= rows) & (rows < high[:, None])
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (rows - a[:, 1:]) / (b[:, 1:] - a[:, 1:])
        x = a[:, :1] + share * (b[:, :1] - a[:, :1])
    return np.where(crosses, side * x, -np.inf).max(axis=0)


def off_node(outline: Outline) -> float:
    """Return how far curves reach beyond the box of their nodes, in font units."""
    nodes = np.array([s.start for c in outline for s in c.segments])
    drawn = np.array([p for c in outline for p in flattened(c, 32)])
    over = (nodes.min(axis=0) - drawn.min(axis=0), drawn.max(axis=0) - nodes.max(axis=0))
    return float(np.max(over))


def bend(s: Segment, t: float) -> float:
    """Return the bend (one over the radius, positive to the left) at a share of a segment."""
    if not isinstance(s, Cubic):
        return 0.0
    p = np.array([s.start, s.control1, s.control2, s.end])
    first = 3.0 * np.diff(p, axis=0)
    second = 2.0 * np.diff(first, axis=0)
    r = 1.0 - t
    d1 = r * r * first[0] + 2 * r * t * first[1] + t * t * first[2]
    d2 = r * second[0] + t * second[1]
    speed = math.hypot(d1[0], d1[1])
    return float(d1[0] * d2[1] - d1[1] * d2[0]) / speed**3 if speed > 1e-9 else 0.0


def _mean_bend(s: Segment) -> float:
    if not isinstance(s, Cubic):
        return 0.0
    steps = np.diff(_places(s, 16), axis=0)
    lies = np.degrees(np.arctan2(steps[:, 1], steps[:, 0]))
    turned = np.abs((np.diff(lies) + 180.0) % 360.0 - 180.0).sum() * 16 / 15
    return math.radians(float(turned)) / _length(s)


def _places(s: Segment, count: int) -> Array:
    """Return the places that part a segment into ``count`` equal shares, its ends with them."""
    t = np.linspace(0.0, 1.0, count + 1)[:, None]
    r = 1.0 - t
    if isinstance(s, Cubic):
        p = np.array([s.start, s.control1, s.control2, s.end])
        return r**3 * p[0] + 3 * r * r * t * p[1] + 3 * r * t * t * p[2] + t**3 * p[3]
    return r * np.array(s.start) + t * np.array(s.end)


@lru_cache(maxsize=512)
def _length(s: Segment) -> float:
    if not isinstance(s, Cubic):
        return math.dist(s.start, s.end)
    return float(np.hypot(*np.diff(_places(s, 16), axis=0).T).sum())


def _heading(s: Segment, *, end: bool) -> float:
    points = [s.start, s.end]
    if isinstance(s, Cubic):
        points = [s.start, s.control1, s.control2, s.end]
    if end:
        points = points[::-1]
    far = next((p for p in points[1:] if math.dist(p, points[0]) > 0.5), points[-1])
    a, b = (far, points[0]) if end else (points[0], far)
    return math.degrees(math.atan2(b.y - a.y, b.x - a.x))


def _turn(a: float, b: float) -> float:
    return (b - a + 180.0) % 360.0 - 180.0
