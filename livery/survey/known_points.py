"""A flat thing seen at an angle, by four or more points whose places on it are known.

Four points are exact and check nothing.  More are fitted by least squares of the distances in
the picture (Hartley and Zisserman, "Multiple View Geometry in Computer Vision", 2nd ed. 2003,
4.2 and 4.5); with six or more, a point that all others speak against is found first by the
least median of squares (Rousseeuw, "Least Median of Squares Regression", Journal of the
American Statistical Association 79, 1984), reported and left out.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations, islice
from math import comb

import numpy as np
from numpy.typing import NDArray

from livery.colour.photo.perspective import carry_points
from livery.colour.science import FloatArray
from livery.findings import Finding, LiveryError, Severity, fault
from livery.survey.plane import Pick, off_the_plane_note

FEWEST = 4
"""Points that settle a plane seen at an angle (by definition: eight numbers, two a point). Fewer
settle none."""

MOST = 60
"""The most points (chosen: nobody picks more). More take longer to judge."""

_FEWEST_TO_JUDGE = 6
"""From so many points on, one that was picked wrong can be named (chosen: two more than settle the
plane). Fewer, and a good one is blamed."""

_MOST_TRIALS = 400
"""Fours of points tried (chosen). More only take time; fewer, and a set of good ones may be
missed."""

_MOST_ROUNDS = 8
"""Rounds of leaving out what lies far off (chosen). More change
nothing."""

_FAR_SQUARE = 18.4
"""A point lies far off beyond this sum of squares, of two numbers of standard error 1 (by
definition: passed once in 10,000). Larger, and wrong points pass."""


def _refuse_mirrored(picks: FloatArray, places: FloatArray) -> None:
    """Refuse points whose places are a mirror image of what the picture shows."""
    picked, known = picks - picks.mean(axis=0), places - places.mean(axis=0)
    turned = np.linalg.lstsq(known, picked, rcond=None)[0]
    if float(np.linalg.det(turned)) > 0.0:  # up on the thing is down in pixels
        raise fault(
            "points-mirrored",
            "the places of these points are a mirror image of the picture",
            'Write each as "x,y = across, up": across grows to the right, up grows upward. If the '
            "picture itself is mirrored, turn it over first.",
        )


@dataclass(frozen=True, slots=True)
class KnownPoint:
    """A pick, and where it lies on the thing itself: millimetres across and up."""

    pick: Pick
    across_mm: float
    up_mm: float


@dataclass(frozen=True, eq=False)
class KnownPoints:
    """The plane of a flat thing by known points on it; ``pick_error`` is in pixels."""

    points: tuple[KnownPoint, ...]
    pick_error: float = 1.0
    error_mm: float = 0.0

    def __post_init__(self) -> None:
        if not FEWEST <= len(self.points) <= MOST:
            raise fault(
                "known-points",
                f"{len(self.points)} known points are given; a plane takes {FEWEST} to {MOST}",
                "Pick four corners of it, and some points between to check them.",
            )
        _require_spread(self._picks)
        _require_spread(self._places)
        _refuse_mirrored(self._picks, self._places)

    @property
    def _picks(self) -> FloatArray:
        return np.array([p.pick for p in self.points], dtype=np.float64)

    @property
    def _places(self) -> FloatArray:
        return np.array([(p.across_mm, p.up_mm) for p in self.points], dtype=np.float64)

    @cached_property
    def used(self) -> tuple[KnownPoint, ...]:
        """The points that agree; all of them where there are too few to judge."""
        kept = _agreeing(self._places, self._picks, self.pick_error)
        return tuple(p for p, is_used in zip(self.points, kept, strict=True) if is_used)

    def moved(self, move: Callable[[Pick], Pick]) -> KnownPoints:
        """Return the same with every pick moved, as by a lens."""
        moved = tuple(replace(p, pick=move(p.pick)) for p in self.points)
        return replace(self, points=moved)

    @property
    def numbers(self) -> FloatArray:
        """Pick and place of each point used."""
        return np.array([v for p in self.used for v in (*p.pick, p.across_mm, p.up_mm)])

    @property
    def errors(self) -> FloatArray:
        """Standard errors of ``numbers``, raised where the points disagree."""
        once = [self.pick_error, self.pick_error, self.error_mm, self.error_mm]
        return np.array(once * len(self.used)) * self.disagreement

    def matrix(self, numbers: FloatArray) -> FloatArray:
        """Return the map from pixels to millimetres."""
        return np.asarray(np.linalg.inv(self._to_picture(numbers)))

    def _to_picture(self, numbers: FloatArray) -> FloatArray:
        rows = numbers.reshape(-1, 4)
        return fitted_view(rows[:, 2:], rows[:, :2])

    @cached_property
    def to_picture(self) -> FloatArray:
        """The map from millimetres on the thing to pixels."""
        return self._to_picture(self.numbers)

    @property
    def residuals(self) -> tuple[float, ...]:
        """How far each of ``points`` lies from its place by the other points, in pixels."""
        off = self._picks - carry_points(self.to_picture, self._places)
        return tuple(float(v) for v in np.hypot(off[:, 0], off[:, 1]))

    @property
    def disagreement(self) -> float:
        """How many times the pick error the points used disagree by; never less than 1."""
        spare = 2 * len(self.used) - 8
        if spare <= 0:
            return 1.0
        rows = self.numbers.reshape(-1, 4)
        off = (rows[:, :2] - carry_points(self.to_picture, rows[:, 2:])) / self._expected()
        return float(max(1.0, np.sqrt((off**2).sum() / spare)))

    def _expected(self) -> float:
        """Return the standard error of a pick, with that of its place, in pixels."""
        pixels_to_mm = np.ptp(self._picks, axis=0).max() / np.ptp(self._places, axis=0).max()
        return float(np.hypot(self.pick_error, self.error_mm * pixels_to_mm))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Points that do not fit, and how far the others agree."""
        found = [off_the_plane_note("the known points")]
        for i, (point, off) in enumerate(zip(self.points, self.residuals, strict=True)):
            if point not in self.used:
                found.append(
                    Finding(
                        "point-off",
                        f"known point {i + 1} lies {off:.1f} pixels from its place by the other "
                        "points; it was left out",
                        "Check its pick and its place; it may not lie in the plane of the others.",
                        Severity.WARNING,
                    )
                )
        if self.disagreement > 2.5:
            found.append(
                Finding(
                    "points-disagree",
                    f"the known points disagree {self.disagreement:.1f} times more than picking "
                    "explains",
                    "Check the picks, and take out what the lens bends by straight edges.",
                    Severity.WARNING,
                )
            )
        return tuple(found)


def fitted_view(places: FloatArray, picks: FloatArray) -> FloatArray:
    """Return the 3 x 3 map from places (n, 2) to picks (n, 2), n at least 4, by least squares."""
    to_unit, from_unit = _normal(places), _normal(picks)
    view = _unit_view(carry_points(to_unit, places), carry_points(from_unit, picks))
    back = np.linalg.inv(from_unit) @ view @ to_unit
    return np.asarray(back / back[2, 2])


def _fitted(
    places: FloatArray, picks: FloatArray, all_places: FloatArray, all_picks: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, float]:
    """Return the map of some points in units of their own, all points in those, and a pixel."""
    to_unit, from_unit = _normal(places), _normal(picks)
    view = _unit_view(carry_points(to_unit, places), carry_points(from_unit, picks))
    return (
        view,
        carry_points(to_unit, all_places),
        carry_points(from_unit, all_picks),
        float(from_unit[0, 0]),
    )


def _unit_view(start: FloatArray, end: FloatArray) -> FloatArray:
    view = _linear(start, end)
    if len(start) > FEWEST:
        for _ in range(3):
            view = _nearer(view, start, end)
    return view


def _normal(points: FloatArray) -> FloatArray:
    """Return the map that brings points to the middle at about one from it (4.4.4 there)."""
    middle = points.mean(axis=0)
    size = float(np.abs(points - middle).mean()) or 1.0
    return np.array([[1 / size, 0, -middle[0] / size], [0, 1 / size, -middle[1] / size], [0, 0, 1]])


def _linear(start: FloatArray, end: FloatArray) -> FloatArray:
    """Return the map of least algebraic error: the direct linear transformation."""
    x, y, u, v = start[:, 0], start[:, 1], end[:, 0], end[:, 1]
    one, none = np.ones(len(x)), np.zeros(len(x))
    rows = np.concatenate(
        [
            np.column_stack([x, y, one, none, none, none, -u * x, -u * y, -u]),
            np.column_stack([none, none, none, x, y, one, -v * x, -v * y, -v]),
        ]
    )
    return np.asarray(np.linalg.svd(rows)[2][-1].reshape(3, 3))


def _nearer(view: FloatArray, start: FloatArray, end: FloatArray) -> FloatArray:
    """Return the map after one Gauss-Newton step towards the least distances in the picture."""
    view = view / np.linalg.norm(view)
    slopes, off = _slopes(view, start, end)
    return np.asarray(view + np.linalg.lstsq(slopes, off, rcond=1e-10)[0].reshape(3, 3))


def _slopes(view: FloatArray, start: FloatArray, end: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return how the nine numbers of a map move the points, and how far these are off: all x, all y."""
    given = np.column_stack([start, np.ones(len(start))])
    u, v, w = (given @ view.T).T
    none = np.zeros_like(given)
    slopes = np.concatenate(
        [
            np.column_stack([given, none, -given * (u / w)[:, None]]) / w[:, None],
            np.column_stack([none, given, -given * (v / w)[:, None]]) / w[:, None],
        ]
    )
    return slopes, np.concatenate([end[:, 0] - u / w, end[:, 1] - v / w])


def _agreeing(places: FloatArray, picks: FloatArray, pick_error: float) -> list[bool]:
    """Return of each point whether it is as most of the others have it."""
    count = len(places)
    if count < _FEWEST_TO_JUDGE:
        return [True] * count
    needed = (count + FEWEST + 1) // 2
    best, least = None, np.inf
    every = comb(count, FEWEST)
    for few in islice(combinations(range(count), FEWEST), 0, None, max(1, every // _MOST_TRIALS)):
        off = _distances(places, picks, list(few))
        if off is not None and (middle := float(np.sort(off)[needed - 1])) < least:
            best, least = off, middle
    if best is None:
        return [True] * count
    near = best <= least
    for _ in range(_MOST_ROUNDS):
        before, near = near, _is_near(places, picks, near, pick_error)
        if (near == before).all():
            break
    return [bool(v) for v in near] if int(near.sum()) >= needed else [True] * count


def _is_near(
    places: FloatArray, picks: FloatArray, used: NDArray[np.bool_], pick_error: float
) -> NDArray[np.bool_]:
    """Return of each point whether it lies where some have it, as well as these can show."""
    view, start, end, size = _fitted(places[used], picks[used], places, picks)
    slopes, off = _slopes(view, start, end)
    spare = 2 * int(used.sum()) - 8
    own = np.tile(used, 2)
    spread = float(np.sqrt((off[own] ** 2).sum() / spare)) / size if spare > 0 else 0.0
    spread = max(spread, pick_error)
    # The covariance of where the used have it, in squares of the error of a pick.
    ways = np.linalg.pinv(slopes[own].T @ slopes[own], rcond=1e-12)
    near = []
    for i in range(len(places)):
        both = [i, i + len(places)]
        here = slopes[both] @ ways @ slopes[both].T
        about = np.eye(2) + (-here if used[i] else here)
        far = off[both] @ np.linalg.pinv(about, rcond=1e-6) @ off[both]
        near.append(far <= _FAR_SQUARE * (spread * size) ** 2)
    return np.array(near)


def _distances(places: FloatArray, picks: FloatArray, few: Sequence[int]) -> FloatArray | None:
    """Return how far every pick lies from where some of them have it; None where they show nothing."""
    try:
        _require_spread(places[few])
        _require_spread(picks[few])
    except LiveryError:
        return None
    view = fitted_view(places[few], picks[few])
    off = picks - carry_points(view, places)
    return np.hypot(off[:, 0], off[:, 1])


def _require_spread(points: FloatArray) -> None:
    """Raise LiveryError where points lie on a line, or all but one of them do."""
    size = float(np.ptp(points, axis=0).max())
    for i in range(len(points)):
        others = np.delete(points, i, axis=0)
        spread = np.linalg.svd(others - others.mean(axis=0), compute_uv=False)
        if spread[1] < 1e-3 * max(size, 1e-9):
            raise fault(
                "points-on-a-line",
                "the known points lie on one line, or all but one of them do",
                "Spread them over the thing: its four corners are best.",
            )
