"""Text bent along an arc or any other contour, each letter upright to the curve."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from enum import Enum
from itertools import pairwise

from fontTools.misc.transform import Identity, Transform

from livery.findings import LiveryError, fault
from livery.geometry.flatten import steps, to_shapely
from livery.geometry.measure import point_at
from livery.geometry.outline import Contour, Point, Segment
from livery.geometry.segments import direction, length_to, point_on
from livery.lettering import optical
from livery.lettering.set_text import Letter, SetText
from livery.lettering.wedge import Wedge

LEAST_WIDENING = 0.25
"""The share of its width that a letter keeps at its narrow end (chosen: less is a point). Larger,
and words on a tight bend are refused."""

_MOST_OPENINGS = 6
"""How often letters on a bend are opened at most (chosen: two or three do, as each leaves less than
a tenth). Fewer, and feet on a tight bend stay too near."""
_LACK_MM = 0.005
"""What letters may lack of being clear, in millimetres (chosen: what a file may be out by). Larger,
and they stand nearer; smaller only takes time."""
_NEAR_MM = 0.01
"""How far outlines whose distance is measured may lie from their curves, in millimetres (chosen).
Larger, and letters are opened by so much too little."""


class PathSide(Enum):
    """Which side of a curve text keeps to; above is to the left of its direction of travel."""

    SITTING = "sitting on"
    HANGING = "hanging beneath"


def bent(
    text: SetText,
    path: Contour,
    centre_mm: float,
    *,
    side: PathSide = PathSide.SITTING,
    offset_mm: float = 0.0,
    wedged: bool = False,
) -> SetText:
    """Return one line of text bent along ``path``, which it reads along as the path runs.

    Sitting, its baseline lies ``offset_mm`` above the path; hanging, the tops of its
    capitals lie ``offset_mm`` beneath it.  The text's x = 0 comes to the place
    ``centre_mm`` along the path: set the line with a centred alignment to centre it
    there.  Letters keep their spacing at half the height of the capitals, so that they
    neither crowd within a bend nor gape outside one; where two would still come nearer than
    is clear, at their feet or their heads, all are opened evenly until they do not.
    ``wedged`` ones are widened away from the middle of the bend, so that their uprights point
    to it.  Raises a finding where the text is longer than an open path, or the bend too sharp
    for it.
    """
    if len(text.baselines) != 1:
        raise fault(
            "lettering-bent-lines",
            "only one line can follow a curve",
            "Give each line a curve of its own.",
        )
    rise = offset_mm if side is PathSide.SITTING else -offset_mm - text.cap_height_mm
    middle = _Parallel(path, rise + text.cap_height_mm / 2.0)
    start = middle.distance_of(centre_mm)
    level = text.baselines[0] + text.cap_height_mm / 2.0

    def laid(apart: float) -> tuple[Letter, ...]:
        """Return the letters on the curve, the gaps between them opened by ``apart``."""
        letters = []
        for letter, moved in zip(text.letters, _opened(text, apart), strict=True):
            across = (letter.ink.left + letter.ink.right) / 2.0
            at = start + moved
            own = _wedged(letter, level, middle, at) if wedged else letter
            foot = point_at(path, middle.path_distance(at + across, letter.text))
            letters.append(own.transformed(_place(foot, rise, Point(across, text.baselines[0]))))
        return tuple(letters)

    letters, apart = laid(0.0), 0.0
    least = _least_apart(text)
    for _ in range(_MOST_OPENINGS):
        lack = max((a - b for a, b in zip(least, _apart(letters), strict=True)), default=0.0)
        if lack <= _LACK_MM:
            break
        apart += lack
        letters = laid(apart)
    return replace(text, letters=letters)


def _opened(text: SetText, apart: float) -> list[float]:
    """Return how far each letter moves along its line where every gap opens by ``apart``.

    What of the line is at x = 0 stays there.
    """
    left, right = text.letters[0].ink.left, text.letters[-1].ink.right
    at = min(max(-left / (right - left), 0.0), 1.0) * (len(text.letters) - 1)
    return [apart * (i - at) for i in range(len(text.letters))]


def _least_apart(text: SetText) -> list[float]:
    """Return how near each letter may come to the next: as in the straight line, or clear of it."""
    return [min(one, optical.CLEAR * text.cap_height_mm) for one in _apart(text.letters)]


def _apart(letters: Sequence[Letter]) -> list[float]:
    """Return the distance of each letter to the next."""
    shapes = [to_shapely(letter.outline, _NEAR_MM) for letter in letters]
    return [float(a.distance(b)) for a, b in pairwise(shapes)]


def _wedged(letter: Letter, level: float, middle: _Parallel, start: float) -> Letter:
    """Return a letter made wider away from the middle of the bend it stands on."""
    ink = letter.ink
    bend = middle.bend(start + ink.left, start + ink.right)
    wedge = Wedge((ink.left + ink.right) / 2.0, level, -bend)
    if min(wedge.widening(ink.bottom), wedge.widening(ink.top)) < LEAST_WIDENING:
        raise _too_sharp()
    return replace(letter, outline=wedge.of(letter.outline))


def _place(foot: tuple[Point, Point], rise: float, of: Point) -> Transform:
    """Return how a letter is moved and turned so that ``of``, on its baseline, stands above a path."""
    (x, y), (along_x, along_y) = foot
    return (
        Identity.translate(x - rise * along_y, y + rise * along_x)
        .rotate(math.atan2(along_y, along_x))
        .translate(-of.x, -of.y)
    )


class _Parallel:
    """The curve parallel to a path at a height above it, measured along its own length.

    Both lengths are kept at points close enough that the chords between them are
    within a micrometre of the curve.
    """

    def __init__(self, path: Contour, height: float) -> None:
        self.closed = path.closed
        self._path = path
        self._on_path, self._on_curve = _lengths(path, height)

    def distance_of(self, path_distance: float) -> float:
        """Return the distance along this curve for one along the path."""
        return self._turned(path_distance, self._on_path, self._on_curve)

    def bend(self, first: float, last: float) -> float:
        """Return the mean bend between two distances along this curve, in 1/mm, positive to the left."""
        ways = (self._path_place(d) for d in (first, last))
        (x0, y0), (x1, y1) = (point_at(self._path, way)[1] for way in ways)
        return math.atan2(x0 * y1 - y0 * x1, x0 * x1 + y0 * y1) / max(last - first, 1e-9)

    def _path_place(self, distance: float) -> float:
        on_curve = distance if self.closed else min(max(distance, 0.0), self._on_curve[-1])
        return self._turned(on_curve, self._on_curve, self._on_path)

    def path_distance(self, distance: float, name: str) -> float:
        """Return the distance along the path for one along this curve."""
        if not self.closed and not 0.0 <= distance <= self._on_curve[-1]:
            raise fault(
                "lettering-past-end",
                f'the letter "{name}" falls beyond the end of the curve the text follows',
                "Lengthen the curve, move the text along it or make the letters smaller.",
                exit_status=1,
            )
        return self._turned(distance, self._on_curve, self._on_path)

    def _turned(self, value: float, from_: list[float], to: list[float]) -> float:
        import numpy as np

        rounds = math.floor(value / from_[-1]) if self.closed else 0
        return rounds * to[-1] + float(np.interp(value - rounds * from_[-1], from_, to))


def _lengths(path: Contour, height: float) -> tuple[list[float], list[float]]:
    """Return matching running lengths along a path and along its parallel.

    At a corner of the path the parallel jumps; the jump is counted as length.
    """
    on_path, on_curve = [0.0], [0.0]
    last: Point | None = None
    for segment in path.segments:
        count = 4 * steps(segment, 0.001)
        ts = [i / count for i in range(count + 1)]
        reached = on_path[-1]
        lifted = [_lifted(segment, t, height) for t in ts]
        if last is not None:
            on_path.append(reached)
            on_curve.append(on_curve[-1] + math.dist(last, lifted[0]))
        for (t0, t1), (p, q) in zip(pairwise(ts), pairwise(lifted), strict=True):
            along = direction(segment, (t0 + t1) / 2.0)
            if (q.x - p.x) * along.x + (q.y - p.y) * along.y <= 0.0:
                raise _too_sharp()
            on_path.append(reached + length_to(segment, t1))
            on_curve.append(on_curve[-1] + math.dist(p, q))
        last = lifted[-1]
    return on_path, on_curve


def _lifted(segment: Segment, t: float, height: float) -> Point:
    foot, along = point_on(segment, t), direction(segment, t)
    return Point(foot.x - height * along.y, foot.y + height * along.x)


def _too_sharp() -> LiveryError:
    return fault(
        "lettering-sharp-bend",
        "the curve bends more sharply than letters of this height can follow",
        "Ease the curve, or make the letters or their offset smaller.",
        exit_status=1,
    )
