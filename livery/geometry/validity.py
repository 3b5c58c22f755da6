"""What is wrong with an outline, where, and why: each fault in plain words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from livery.geometry.flatten import CHORD_MM, flatten, points_along
from livery.geometry.measure import area
from livery.geometry.outline import Contour, Outline, Point
from livery.geometry.segments import segment_length
from livery.geometry.winding import bounded_faces

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FaultKind = Literal[
    "empty",
    "open",
    "broken",
    "zero length",
    "tiny area",
    "doubled back",
    "self-crossing",
    "contours crossing",
    "inside out",
]

MEETING_MM = 1e-6
"""Millimetres: ends closer than this are taken to meet (chosen: as ``WELD_MM``). Larger, and true gaps
pass; smaller, and rounded ends are refused."""
TINY_MM2 = 1e-4
"""Square millimetres: a contour that encloses less is a slip and not a shape (chosen: 0.01 mm square).
Larger, and small true shapes are refused."""
_MOST_MEETINGS, _SHOWN = 1000, 10
"""Meetings after which no more are looked for, and how many of them are then reported (chosen): a
scribble of 10,000 lines has millions, and one is enough to refuse it."""
_FIRST_BLOCK = 8
"""Chords looked at in the first go, each go having twice as many (chosen). Only the time changes with it."""


class Fault(NamedTuple):
    """One thing wrong with an outline, the place, and the words for it."""

    kind: FaultKind
    where: Point
    words: str


def faults(shape: Outline | Iterable[Contour], chord_mm: float = CHORD_MM) -> list[Fault]:
    """Return the reasons why contours are not a proper outline; empty if they are one.

    Crossings are looked for on a flattening within ``chord_mm``, and overlaps thinner on
    average than that are let pass.  Contours are numbered from 1 in the words, as given.
    """
    contours = list(shape)
    found = [f for i, c in enumerate(contours, 1) for f in _alone(i, c)]
    if not contours or any(f.kind in ("empty", "open", "broken") for f in found):
        return found
    met = _meetings(contours, chord_mm)
    if len(met) >= _MOST_MEETINGS:
        return [*found, *met[:_SHOWN]]  # no slip of rounding: what it winds round is no matter
    wrong = _wrong_windings(contours, chord_mm) if met or not found else []
    # Two strands that truly cross wind the wrong way round something; rounding does not.
    crossings = [f for f in met if f.kind != "doubled back"]
    found += [f for f in met if f.kind == "doubled back" or wrong]
    if not (crossings and wrong):
        found += [f for i, c in enumerate(contours, 1) for f in _tiny(i, c)]
    return found or wrong


def _alone(number: int, contour: Contour) -> Iterator[Fault]:
    """Find what is wrong with one contour by itself."""
    if not contour.segments:
        yield Fault("empty", Point(0.0, 0.0), f"contour {number} has no segments")
        return
    gap = math.dist(contour.start, contour.end)
    if not contour.closed or gap > MEETING_MM:
        yield Fault(
            "open",
            contour.end,
            f"contour {number} is open: its end at {_at(contour.end)} is {gap:.3f} mm from its start",
        )
    for before, after in zip(contour.segments, contour.segments[1:], strict=False):
        gap = math.dist(before.end, after.start)
        if gap > MEETING_MM:
            yield Fault(
                "broken",
                before.end,
                f"contour {number} is broken at {_at(before.end)}: the next segment begins {gap:.3f} mm away",
            )
    for segment in contour.segments:
        if segment_length(segment) <= MEETING_MM:
            where = segment.start
            yield Fault(
                "zero length",
                where,
                f"contour {number} has a segment of no length at {_at(where)}",
            )


def _tiny(number: int, contour: Contour) -> Iterator[Fault]:
    """Find a contour that encloses next to nothing."""
    size = abs(area(contour))
    if size < TINY_MM2:
        at = contour.start
        yield Fault("tiny area", at, f"contour {number} at {_at(at)} encloses only {size:.2g} mm²")


class _Edges(NamedTuple):
    """Chords of all contours: ends, and for each its contour and the chord after it."""

    starts: NDArray[np.float64]
    ends: NDArray[np.float64]
    contour: NDArray[np.int64]
    following: NDArray[np.int64]


def _edges(contours: Sequence[Contour], chord_mm: float) -> _Edges:
    """Flatten contours into numbered chords, leaving out those of no length."""
    import numpy as np

    starts: list[NDArray[np.float64]] = []
    owners: list[NDArray[np.int64]] = []
    following: list[NDArray[np.int64]] = []
    for number, contour in enumerate(contours, 1):
        ring = np.array([p for s in contour.segments for p in points_along(s, chord_mm)[:-1]])
        ring = ring[np.hypot(*(ring - np.roll(ring, 1, axis=0)).T) > MEETING_MM]
        first = sum(len(s) for s in starts)
        starts.append(ring.reshape(-1, 2))
        owners.append(np.full(len(ring), number))
        following.append(first + np.roll(np.arange(len(ring)), -1))
    a = np.concatenate(starts)
    after = np.concatenate(following).astype(np.int64)
    return _Edges(a, a[after], np.concatenate(owners), after)


def _meetings(contours: Sequence[Contour], chord_mm: float) -> list[Fault]:
    """Find where chords cross or run along each other."""
    import numpy as np
    import shapely

    edges = _edges(contours, chord_mm)
    lines: Any = shapely.linestrings(np.stack((edges.starts, edges.ends), axis=1))
    tree = shapely.STRtree(lines)
    found: dict[tuple[str, float, float], Fault] = {}
    first, block = 0, _FIRST_BLOCK
    while first < len(lines) and len(found) < _MOST_MEETINGS:
        one, other = tree.query(lines[first : first + block], predicate="intersects")
        one = one + first
        first, block = first + block, 2 * block
        for fault in _met(edges, lines, one[one < other], other[one < other]):
            # Contours' numbers are in the words.
            x, y = (round(v, 2) for v in fault.where)
            key = (fault.words.partition(" at ")[0], x, y)
            found.setdefault(key, fault)
    return list(found.values())


def _met(edges: _Edges, lines: Any, one: Any, other: Any) -> Iterator[Fault]:
    """Yield where pairs of chords that have a point in common cross or run along each other."""
    import numpy as np
    import shapely

    shared = shapely.intersection(lines[one], lines[other])
    along = shapely.length(shared) > MEETING_MM
    beside = (edges.following[one] == other) | (edges.following[other] == one)
    proper = ~along & ~beside & shapely.crosses(lines[one], lines[other])
    for k in np.flatnonzero(along | proper):
        p = Point(*shapely.get_coordinates(shared[k])[0].tolist())
        a, b = int(edges.contour[one[k]]), int(edges.contour[other[k]])
        yield _doubled(a, b, p) if along[k] else _crossed(a, b, p)


def _doubled(a: int, b: int, where: Point) -> Fault:
    """Word two stretches that lie on each other."""
    who = f"contour {a} runs back along itself" if a == b else f"contours {a} and {b} share an edge"
    return Fault("doubled back", where, f"{who} at {_at(where)}")


def _crossed(a: int, b: int, where: Point) -> Fault:
    """Word a crossing."""
    if a == b:
        return Fault("self-crossing", where, f"contour {a} crosses itself at {_at(where)}")
    return Fault("contours crossing", where, f"contours {a} and {b} cross at {_at(where)}")


def _wrong_windings(contours: Sequence[Contour], chord_mm: float) -> list[Fault]:
    """Find places that contours wind round other than once or not at all."""
    import shapely

    faces = bounded_faces([flatten(c, chord_mm) for c in contours])
    thick = 2 * shapely.area(faces.polygons) > chord_mm * shapely.length(faces.polygons)
    found = []
    for place, times, real in zip(
        faces.places.tolist(), faces.winding.tolist(), thick.tolist(), strict=True
    ):
        if real and times not in (0, 1):
            p = Point(*place)
            words = (
                f"the contour round {_at(p)} runs the wrong way round"
                if times < 0
                else f"contours lie over one another at {_at(p)}"
            )
            found.append(Fault("inside out" if times < 0 else "contours crossing", p, words))
    return found


def _at(point: Point) -> str:
    """Return a place in words."""
    return f"x {point.x:.2f}, y {point.y:.2f} mm"
