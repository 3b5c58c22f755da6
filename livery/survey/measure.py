"""Sizes from a calibrated picture, each with what the error of picking makes of it.

The uncertainty is carried through by first-order propagation (JCGM 100:2008, "Guide to the
expression of uncertainty in measurement", 5.1): each pick and each known size is moved a
little and the measure taken again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from livery.colour.photo.perspective import carry_points
from livery.colour.science import FloatArray
from livery.findings import Finding, Severity, fault
from livery.survey.plane import Pick, PlaneCalibration
from livery.units import write_feet_and_inches


@dataclass(frozen=True, slots=True)
class Measure:
    """A size on the thing pictured: it lies within ``within_mm`` 95 times in 100."""

    mm: float
    within_mm: float

    def __str__(self) -> str:
        text = write_feet_and_inches(self.mm, self._denominator())
        return f"{self.mm:.{self._decimals()}f} mm ± {self._plus_minus()} mm ({text})"

    @property
    def in_degrees(self) -> str:
        """What :func:`angle` found, in words."""
        return f"{self.mm:.2f}° ± {self.within_mm:.2f}°"

    def with_uncertainty(self, more_mm: float) -> Measure:
        """Return the size with one more standard error that has nothing to do with the others."""
        return replace(self, within_mm=float(np.hypot(self.within_mm, 1.96 * more_mm)))

    def _decimals(self) -> int:
        return 0 if self.within_mm >= 2 else 1 if self.within_mm >= 0.2 else 2

    def _plus_minus(self) -> str:
        return f"{self.within_mm:.{self._decimals()}f}"

    def _denominator(self) -> int:
        """Return the finest fraction of an inch worth writing: no finer than the uncertainty."""
        for denominator in (1, 2, 4, 8, 16, 32):
            if 25.4 / denominator <= self.within_mm:
                return denominator
        return 64


def pick_distance(
    calibration: PlaneCalibration, start: Pick, end: Pick, pick_error: float | None = None
) -> Measure:
    """Return the distance between two picks; ``pick_error`` is theirs, where not the calibration's."""

    def between(points: FloatArray) -> float:
        return float(np.hypot(*(points[1] - points[0])))

    return _measure(calibration, (start, end), between, pick_error)


def height(
    calibration: PlaneCalibration,
    point: Pick,
    base: tuple[Pick, Pick],
    pick_error: float | None = None,
) -> Measure:
    """Return how far a pick stands off the line through two others, such as the rail."""
    if base[0] == base[1]:
        raise fault(
            "base-nothing",
            "the two points of the base line are the same",
            "Pick two points far apart along it.",
        )

    def off(points: FloatArray) -> float:
        along = points[2] - points[1]
        across = points[0] - points[1]
        return abs(float(along[0] * across[1] - along[1] * across[0])) / float(np.hypot(*along))

    return _measure(calibration, (point, *base), off, pick_error)


def angle(
    calibration: PlaneCalibration,
    one: tuple[Pick, Pick],
    other: tuple[Pick, Pick],
    pick_error: float | None = None,
) -> Measure:
    """Return the angle between two lines, 0 to 90 degrees: degrees, where others have millimetres."""
    if one[0] == one[1] or other[0] == other[1]:
        raise fault("angle-nothing", "the two points of a line are the same", "Pick them apart.")

    def between(points: FloatArray) -> float:
        a, b = points[1] - points[0], points[3] - points[2]
        turned = abs(float(a[0] * b[1] - a[1] * b[0]))
        return float(np.degrees(np.arctan2(turned, abs(float(a @ b)))))

    return _measure(calibration, (*one, *other), between, pick_error)


def radius(
    calibration: PlaneCalibration, points: Sequence[Pick], pick_error: float | None = None
) -> Measure:
    """Return the radius of the arc through three or more picks, best spread along it."""
    if len(points) < 3:
        raise fault(
            "arc-points",
            f"an arc needs three points; {len(points)} given",
            "Pick both ends of the arc and at least one point between.",
        )
    found = _measure(calibration, points, _circle_radius, pick_error)
    if not np.isfinite(found.mm) or found.within_mm > found.mm:
        raise fault(
            "arc-flat",
            "these points are almost on a straight line: they give no radius",
            "Pick points further apart along the arc, or more of them.",
            exit_status=1,
        )
    return found


def _circle_radius(points: FloatArray) -> float:
    """Return the radius of the circle through the points by least squares (Kasa 1976)."""
    middle = points.mean(axis=0)
    size = float(np.abs(points - middle).max())
    unit = (points - middle) / size
    frame = np.column_stack([2 * unit, np.ones(len(unit))])
    if abs(np.linalg.det(frame.T @ frame)) < 1e-14:
        return float("inf")
    a, b, c = np.linalg.lstsq(frame, (unit**2).sum(axis=1), rcond=None)[0]
    return size * float(np.sqrt(c + a**2 + b**2))


def _measure(
    calibration: PlaneCalibration,
    picks: Sequence[Pick],
    function: Callable[[FloatArray], float],
    own_error: float | None,
) -> Measure:
    """Return a function of picks on the plane, with its uncertainty from every pick and size."""
    known, picked = calibration.numbers, np.array(picks, dtype=np.float64).ravel()
    numbers = np.concatenate([known, picked])
    # Where what is known disagrees, picks are no better than that makes them, unless they say so.
    pick_error = float(calibration.errors[0]) if own_error is None else own_error
    errors = np.concatenate([calibration.errors, np.full(len(picked), pick_error)])

    def value(trial: FloatArray) -> float:
        matrix = calibration.matrix(trial[: len(known)])
        return function(carry_points(matrix, trial[len(known) :].reshape(-1, 2)))

    moved = []
    for i, error in enumerate(errors):
        step = np.zeros(len(numbers))
        step[i] = 0.1 * error
        slope = 0.0 if error == 0 else (value(numbers + step) - value(numbers - step)) / 0.2
        moved.append(slope)
    return Measure(value(numbers), 1.96 * float(np.linalg.norm(moved)))


@dataclass(frozen=True, slots=True)
class Bow:
    """How far a line that is straight on the thing itself bends in the picture, in pixels."""

    pixels: float
    span: float
    findings: tuple[Finding, ...]


def bow(points: Sequence[Pick], pick_error: float = 1.0) -> Bow:
    """Return the bend of picks along a straight edge, which only a lens can have put there.

    A parabola is laid through the picks against their chord; five or more, ends included,
    determine it well.  Raises LiveryError for fewer than three.
    """
    if len(points) < 3:
        raise fault(
            "edge-points",
            f"a straight edge needs at least three points; {len(points)} given",
            "Pick five or more along it, both ends included.",
        )
    places = np.array(points, dtype=np.float64)
    along = places[-1] - places[0]
    span = float(np.hypot(*along))
    if span == 0:
        raise fault("edge-nothing", "the ends of the edge are the same point", "Pick it again.")
    run = (places - places[0]) @ along / span**2
    off = (places - places[0]) @ np.array([-along[1], along[0]]) / span
    frame = np.column_stack([np.ones(len(run)), run, 4 * run * (1 - run)])
    solved = np.linalg.lstsq(frame, off, rcond=None)[0]
    error = pick_error * float(np.sqrt(np.linalg.pinv(frame.T @ frame)[2, 2]))
    pixels = abs(float(solved[2]))
    found = []
    if pixels > 2.5 * error:
        found.append(
            Finding(
                "lens-bends",
                f"the lens bends this straight edge by {pixels:.1f} pixels in {span:.0f} "
                f"({100 * pixels / span:.2f} %): sizes near the edge of the picture are out by "
                "about as much",
                "Pick more such edges, some near the rim of the picture, so that it can be taken out.",
                Severity.WARNING,
            )
        )
    return Bow(pixels, span, tuple(found))
