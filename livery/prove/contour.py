"""Contours read from any file, to compare: fine polylines in millimetres, y up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.findings import fault
from livery.input_limits import MOST_CHORDS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from fontTools.misc.transform import Transform
    from shapely import LineString

CHORD_MM = 0.0005
"""How far a chord may lie from the curve it stands for, in millimetres (chosen: a twentieth of
what files may differ by). Larger hides true differences; smaller takes more memory. Larger also
joins near corners."""

SAME_MM = 0.01
"""What two files may differ by, in millimetres (chosen: writers round to 0.001 and turn cubics to
arcs within 0.002). Larger, and a wrong contour passes."""

Points = NDArray[np.float64]


class BoundingBox(NamedTuple):
    """A bounding rectangle."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From bottom to top."""
        return self.top - self.bottom


class PlacedWords(NamedTuple):
    """Words where they are set, in millimetres, y up: a point of their baseline, and their size.

    ``along`` is the way they run, of length 1.
    """

    words: str
    at: tuple[float, float]
    size_mm: float
    along: tuple[float, float] = (1.0, 0.0)
    is_mirrored: bool = False


def around(sizes: Iterable[BoundingBox]) -> BoundingBox:
    """Return the bounds of several."""
    boxes = np.array(list(sizes), dtype=float)
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return BoundingBox(*map(float, (*low, *high)))


@dataclass(frozen=True, eq=False)
class ReadContour:
    """One contour: points of shape (n, 2), the first not repeated at the end of a closed one."""

    points: Points
    closed: bool

    @cached_property
    def size(self) -> BoundingBox:
        """Its bounds."""
        (left, bottom), (right, top) = self.points.min(axis=0), self.points.max(axis=0)
        return BoundingBox(float(left), float(bottom), float(right), float(top))

    @cached_property
    def signed_area(self) -> float:
        """The area within, positive where it runs anticlockwise; nothing for an open one."""
        if not self.closed:
            return 0.0
        x, y = (self._ring - self.points[0]).T
        return float(x[:-1] @ y[1:] - y[:-1] @ x[1:]) / 2.0

    @property
    def area(self) -> float:
        """The area within, without sign."""
        return abs(self.signed_area)

    @cached_property
    def length(self) -> float:
        """The way along it."""
        return float(self._way[-1])

    @cached_property
    def _ring(self) -> Points:
        """Its points, with the first again at the end of a closed one."""
        return np.concatenate([self.points, self.points[:1]]) if self.closed else self.points

    @cached_property
    def _way(self) -> NDArray[np.float64]:
        """The way along it to each point of its ring."""
        (across, up) = (self._ring[1:] - self._ring[:-1]).T
        return np.concatenate([[0.0], np.hypot(across, up).cumsum()])

    def flipped(self, height: float) -> ReadContour:
        """Return it with y counted the other way, from the other edge of a page."""
        return ReadContour(self.points * (1.0, -1.0) + (0.0, height), self.closed)

    def carried(self, onto: Transform) -> ReadContour:
        """Return it carried by a transform."""
        matrix = np.array(onto, dtype=float).reshape(3, 2)
        return ReadContour(self.points @ matrix[:2] + matrix[2], self.closed)

    def departs_beyond(self, other: ReadContour, reach: float) -> bool:
        """Return whether any corner of either lies further than ``reach`` from the other."""
        return not (
            (self._runs_beside(other, reach) or self._is_near(other, reach))
            and (other._runs_beside(self, reach) or other._is_near(self, reach))
        )

    def _runs_beside(self, other: ReadContour, reach: float) -> bool:
        """Return whether each corner lies within ``reach`` of the other's side as far along it.

        Where both begin at one place this is enough, and quicker than to look for the nearest.
        """
        if not (self.length and other.length):
            return False
        ring, along = other._ring, self._way[: len(self.points)] * (other.length / self.length)
        side = np.searchsorted(other._way, along)[:, None] + np.array([-2, -1, 0])
        start = ring[np.clip(side, 0, len(ring) - 2)]
        step = ring[np.clip(side + 1, 1, len(ring) - 1)] - start
        off = self.points[:, None] - start
        square = np.maximum((step * step).sum(axis=2), np.finfo(float).tiny)
        share = np.clip((off * step).sum(axis=2) / square, 0.0, 1.0)
        off -= share[:, :, None] * step
        return bool(((off * off).sum(axis=2).min(axis=1) <= reach * reach).all())

    def _is_near(self, other: ReadContour, reach: float) -> bool:
        """Return whether each corner lies within ``reach`` of the other."""
        import shapely

        line = other._line()
        shapely.prepare(line)
        return bool(shapely.dwithin(line, shapely.points(self.points), reach).all())

    def _line(self) -> LineString:
        import shapely

        ring = self._ring
        return shapely.LineString(ring if len(ring) > 1 else np.repeat(ring, 2, axis=0))


def cubic_points(controls: ArrayLike) -> Points:
    """Return points along a cubic after its start, its end the last.

    A chord of a parametric curve over a step h lies within h^2/8 of the greatest second
    derivative, which for a cubic is at one of its ends.
    """
    p = np.asarray(controls, dtype=float)
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = p.tolist()
    first = math.hypot(ax - 2.0 * bx + cx, ay - 2.0 * by + cy)
    last = math.hypot(bx - 2.0 * cx + dx, by - 2.0 * cy + dy)
    count = _chords(math.sqrt(6.0 * max(first, last) / (8.0 * CHORD_MM)))
    found: Points = _cubic_weights(count) @ p
    return found


@lru_cache(maxsize=64)
def _cubic_weights(count: int) -> Points:
    """Return the weight (count, 4) of each control of a cubic at points evenly after its start."""
    t = np.arange(1, count + 1) / count
    s = 1.0 - t
    return np.column_stack([s**3, 3 * s * s * t, 3 * s * t * t, t**3])


def _chords(count: float) -> int:
    """Return a count of chords, at least one; raise LiveryError where no sheet holds the curve."""
    if not count <= MOST_CHORDS:
        raise fault(
            "prove-unreadable",
            "a curve in a written file is larger than any sheet, or has values that are not "
            "numbers",
            "build the job again",
            exit_status=1,
        )
    return max(1, math.ceil(count))


def arc_points(start: tuple[float, float], end: tuple[float, float], bulge: float) -> Points:
    """Return points along the arc of a bulge (tan of a quarter of its sweep) after its start."""
    a, b = complex(*start), complex(*end)
    if abs(bulge) < 1e-12 or a == b:
        return np.array([end], dtype=float)
    centre = (a + b) / 2.0 + 1j * (b - a) * (1.0 - bulge * bulge) / (4.0 * bulge)
    sweep = 4.0 * math.atan(bulge)
    step = 2.0 * math.acos(max(0.0, 1.0 - CHORD_MM / abs(a - centre)))
    count = _chords(abs(sweep) / step if step else math.inf)
    turns = np.exp(1j * sweep * np.arange(1, count + 1) / count)
    on = centre + (a - centre) * turns
    on[-1] = b
    return np.column_stack([on.real, on.imag])


def region_area(contours: Iterable[ReadContour]) -> float:
    """Return the area of a region from its contours, whose holes wind the other way."""
    return abs(sum(c.signed_area for c in contours))


def filled_region(contours: Iterable[ReadContour]) -> Any:
    """Return contours as one region of Shapely: what an odd number of them surrounds."""
    import shapely

    found: list[Any] = [
        shapely.make_valid(shapely.Polygon(contour.points))
        for contour in contours
        if len(contour.points) > 2
    ]
    # By twos, then those by twos: one after another each would be held against all before it.
    while len(found) > 1:
        odd = found[-1:] if len(found) % 2 else []
        found = [a.symmetric_difference(b) for a, b in zip(found[::2], found[1::2], strict=False)]
        found += odd
    return found[0] if found else shapely.Polygon()


def in_words(contours: Sequence[ReadContour]) -> str:
    """Return some contours in words: how many, and the size and place of the first."""
    size = contours[0].size
    count = f"{len(contours)} contours, the first" if len(contours) > 1 else "a contour"
    return (
        f"{count} of {size.width:.2f} x {size.height:.2f} mm "
        f"at {size.left:.2f}, {size.bottom:.2f} mm"
    )


def unmatched(
    ours: Sequence[ReadContour], others: Sequence[ReadContour]
) -> tuple[list[ReadContour], list[ReadContour]]:
    """Return the contours of each that the other has not, in the same place, shape and size."""
    from scipy.spatial import cKDTree

    if not ours or not others:
        return list(ours), list(others)
    tree = cKDTree(_marks(others))
    free = set(range(len(others)))
    missing = []
    for contour, near in zip(
        ours, tree.query_ball_point(_marks(ours), 4 * SAME_MM, p=np.inf), strict=True
    ):
        found = next((j for j in sorted(near) if j in free and _same(contour, others[j])), None)
        if found is None:
            missing.append(contour)
        else:
            free.discard(found)
    return missing, [others[j] for j in sorted(free)]


def _marks(contours: Iterable[ReadContour]) -> Points:
    return np.array([c.size for c in contours], dtype=float)


def _same(one: ReadContour, other: ReadContour) -> bool:
    room = SAME_MM * max(one.length, SAME_MM)
    return (
        one.closed == other.closed
        and max(abs(a - b) for a, b in zip(one.size, other.size, strict=True)) <= SAME_MM
        and abs(one.area - other.area) <= room
        and (_is_same_in_turn(one, other) or not one.departs_beyond(other, SAME_MM))
    )


def _is_same_in_turn(one: ReadContour, other: ReadContour) -> bool:
    """Return whether each point is where the other's of its number is: then nothing departs."""
    if one.points.shape != other.points.shape:
        return False
    return float(np.hypot(*(one.points - other.points).T).max()) <= SAME_MM
