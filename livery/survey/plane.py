"""Where the pixels of a picture lie on the flat thing it shows, by known sizes.

Pixels run right and *down* from the top left corner of the upright picture; the plane's
millimetres run right and *up*.  A calibration keeps the picks and sizes it was made from,
as numbers with their errors, so that a measure can say what those errors do to it.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple, Protocol, Self

import numpy as np

from livery.colour.photo.perspective import carry_points, perspective
from livery.colour.science import FloatArray
from livery.findings import Finding, Severity, fault
from livery.survey.rectangle_order import order_findings, refuse_exchanged

MOST_UNEVEN = 0.05
"""The most that the scale across may differ from the scale up, as a share: paper shrinks and stretches
by 1 to 3 per cent, a scanner's feed by as much (common practice, from memory). Larger, and a picture
in perspective is taken for stretched paper."""


class Pick(NamedTuple):
    """A point picked in a picture, in pixels."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class KnownLength:
    """Two picks whose distance on the thing itself is known, to a standard error."""

    start: Pick
    end: Pick
    mm: float
    error_mm: float = 0.0

    def __post_init__(self) -> None:
        if self.mm <= 0 or self.start == self.end:
            raise fault(
                "length-nothing",
                "a known length must be greater than zero, between two different points",
                "Pick both ends of something whose size is on a drawing.",
            )

    def moved(self, move: Callable[[Pick], Pick]) -> KnownLength:
        """Return the same length with its picks moved."""
        return replace(self, start=move(self.start), end=move(self.end))

    @property
    def pixels(self) -> float:
        """Distance between the picks."""
        return float(np.hypot(self.end.x - self.start.x, self.end.y - self.start.y))

    @property
    def upright(self) -> bool:
        """Whether it runs more up than across."""
        return abs(self.end.y - self.start.y) > abs(self.end.x - self.start.x)


class PlaneCalibration(Protocol):
    """What a measure needs: the map to the plane as a function of what it was made from."""

    @property
    def numbers(self) -> FloatArray:
        """The picks and sizes from which it was made, as one row of numbers."""

    @property
    def errors(self) -> FloatArray:
        """The standard error of each of ``numbers``: pixels for picks, mm for sizes."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the user should know about it."""

    def matrix(self, numbers: FloatArray) -> FloatArray:
        """Return the 3 x 3 map from pixels to millimetres that such numbers give."""

    def moved(self, move: Callable[[Pick], Pick]) -> PlaneCalibration:
        """Return the same with every pick moved, as by a lens."""


@dataclass(frozen=True, slots=True)
class LengthCheck:
    """A known length as the calibration gives it back."""

    known: KnownLength
    measured_mm: float

    @property
    def off_mm(self) -> float:
        """Measured less known."""
        return self.measured_mm - self.known.mm


@dataclass(frozen=True, slots=True, eq=False)
class ByKnownLengths(ABC):
    """A scale or scales for the whole picture, by known lengths.

    ``pick_error`` is the standard error of a pick, each way, in pixels.
    """

    lengths: tuple[KnownLength, ...]
    pick_error: float = 1.0

    @property
    @abstractmethod
    def disagreement(self) -> float:
        """How many times the pick error the lengths disagree by; never less than 1."""

    def moved(self, move: Callable[[Pick], Pick]) -> Self:
        """Return the same with every pick moved."""
        return replace(self, lengths=tuple(known.moved(move) for known in self.lengths))

    @property
    def numbers(self) -> FloatArray:
        """Both ends and the size of each length."""
        return np.array([v for k in self.lengths for v in (*k.start, *k.end, k.mm)])

    @property
    def errors(self) -> FloatArray:
        """Standard errors of ``numbers``, raised where the lengths disagree."""
        once = [v for k in self.lengths for v in (*(self.pick_error,) * 4, k.error_mm)]
        return np.array(once) * self.disagreement


@dataclass(frozen=True, slots=True, eq=False)
class ScaleByLengths(ByKnownLengths):
    """One scale for the whole picture, by least squares from one or more known lengths.

    Where several lengths disagree by more than ``pick_error``, the errors are raised until they
    agree (Birge, "The Calculation of Errors by the Method of Least Squares", Phys. Rev. 40, 1932).
    """

    def __post_init__(self) -> None:
        if not self.lengths:
            raise fault(
                "no-length",
                "nothing of known size was given",
                "Pick both ends of a known length, or the four corners of a known rectangle.",
            )

    def matrix(self, numbers: FloatArray) -> FloatArray:
        """Return the map from pixels to millimetres: one scale, y turned up."""
        rows = numbers.reshape(-1, 5)
        pixels = np.hypot(rows[:, 2] - rows[:, 0], rows[:, 3] - rows[:, 1])
        scale = float(pixels @ rows[:, 4] / (pixels @ pixels))
        return np.diag([scale, -scale, 1.0])

    @property
    def mm_per_pixel(self) -> float:
        """Millimetres to a pixel."""
        return float(self.matrix(self.numbers)[0, 0])

    @property
    def checks(self) -> tuple[LengthCheck, ...]:
        """Every known length as the scale gives it back."""
        return tuple(LengthCheck(k, k.pixels * self.mm_per_pixel) for k in self.lengths)

    @property
    def disagreement(self) -> float:
        """How many times the pick error the lengths disagree by; never less than 1."""
        spare = len(self.lengths) - 1
        if spare == 0:
            return 1.0
        expected = [np.hypot(2**0.5 * self.pick_error * self.mm_per_pixel, k.error_mm)
                    for k in self.lengths]  # fmt: skip
        off = np.array([check.off_mm for check in self.checks]) / np.array(expected)
        return float(max(1.0, np.sqrt(off @ off / spare)))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What one scale for the whole picture leaves open."""
        found = [_converging_note()] if len(self.lengths) == 1 else []
        if self.disagreement > 2.5:
            worst = max(self.checks, key=lambda check: abs(check.off_mm / check.known.mm))
            found.append(
                Finding(
                    "lengths-disagree",
                    f"the known lengths disagree {self.disagreement:.1f} times more than picking "
                    f"explains; {worst.known.mm:.0f} mm reads {worst.measured_mm:.0f} mm"
                    + _stretch(self.lengths),
                    _remedy_of_stretch(self.lengths),
                    Severity.WARNING,
                )
            )
        return tuple(found)


def _converging_note() -> Finding:
    return Finding(
        "one-scale",
        "one length gives one scale: true only on its own plane, square to the camera",
        "Give a second length across the first, or straighten by four corners.",
        Severity.NOTE,
    )


def _across_over_up(lengths: Sequence[KnownLength]) -> float | None:
    """Return by what share the scale across is larger than the scale up, if both are known."""
    up = [k.mm / k.pixels for k in lengths if k.upright]
    across = [k.mm / k.pixels for k in lengths if not k.upright]
    return float(np.mean(across) / np.mean(up) - 1) if up and across else None


def _remedy_of_stretch(lengths: Sequence[KnownLength]) -> str:
    """Return what to do about lengths that disagree: paper stretches by a few per cent only."""
    ratio = _across_over_up(lengths)
    converges = "straighten it by the four corners of a known rectangle."
    if ratio is None or abs(ratio) > MOST_UNEVEN:
        return f"Check the picks; if they are right the picture converges: {converges}"
    return (
        "Check the picks; if they are right the paper has stretched or shrunk: measure with --uneven "
        f"(uneven = true in a survey); or the picture converges: {converges}"
    )


def _stretch(lengths: Sequence[KnownLength]) -> str:
    """Return in words how the scale across differs from the scale up, if both are known."""
    ratio = _across_over_up(lengths)
    if ratio is None:
        return ""
    return f"; across is {100 * abs(ratio):.1f} % {'larger' if ratio > 0 else 'smaller'} than up"


@dataclass(frozen=True, slots=True, eq=False)
class KnownRectangle:
    """A flat thing seen at an angle, by the four corners of a rectangle of known size on it.

    ``corners`` go round it from the top left: top left, top right, bottom right, bottom
    left.  The plane's origin is the bottom left corner.
    """

    corners: tuple[Pick, Pick, Pick, Pick]
    width_mm: float
    height_mm: float
    pick_error: float = 1.0
    error_mm: float = 0.0

    def __post_init__(self) -> None:
        if self.width_mm <= 0 or self.height_mm <= 0:
            raise fault(
                "rectangle-nothing",
                "the known rectangle must have a width and a height",
                'Write them with their units: "8 ft x 6 ft 3 in".',
            )
        self.matrix(self.numbers)
        refuse_exchanged(self.corners, self.width_mm / self.height_mm)

    def moved(self, move: Callable[[Pick], Pick]) -> KnownRectangle:
        """Return the same with its corners moved."""
        a, b, c, d = self.corners
        return replace(self, corners=(move(a), move(b), move(c), move(d)))

    @property
    def numbers(self) -> FloatArray:
        """The corners and the size."""
        return np.array([*(v for c in self.corners for v in c), self.width_mm, self.height_mm])

    @property
    def errors(self) -> FloatArray:
        """Standard errors of ``numbers``."""
        return np.array([self.pick_error] * 8 + [self.error_mm] * 2)

    def matrix(self, numbers: FloatArray) -> FloatArray:
        """Return the map from pixels to millimetres."""
        width, height = numbers[8:]
        plane = [(0, height), (width, height), (width, 0), (0, 0)]
        return perspective(numbers[:8].reshape(4, 2), plane)

    @property
    def convergence(self) -> float:
        """Largest over smallest of the pixels to a millimetre at the four corners."""
        found = [d for corner in self.corners for d in densities(self.matrix(self.numbers), corner)]
        return max(found) / min(found)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """How the view bears on what can be measured."""
        found = [
            off_the_plane_note("the rectangle"),
            *order_findings(self.corners, self.width_mm / self.height_mm),
        ]
        if self.convergence > 2.0:
            found.append(
                Finding(
                    "steep-view",
                    f"the view is steep: a millimetre takes {self.convergence:.1f} times more "
                    "pixels in one place or direction than in another",
                    "Measure near the closer end, or take a squarer photograph from further off.",
                    Severity.WARNING,
                )
            )
        return tuple(found)


def off_the_plane_note(plane: str) -> Finding:
    """Return what is always to be said of a view at an angle; ``plane`` is whose plane it is."""
    return Finding(
        "off-the-plane",
        f"only what lies in the plane of {plane} measures true: a thing nearer the "
        "camera by 1 % of its distance reads about 1 % too large",
        severity=Severity.NOTE,
    )


def densities(matrix: FloatArray, place: Pick) -> tuple[float, float]:
    """Return the most and the fewest pixels to a millimetre at a pixel."""
    here = np.array(place)
    moved = carry_points(matrix, here + np.array([(0.5, 0), (-0.5, 0), (0, 0.5), (0, -0.5)]))
    slope = np.column_stack([moved[0] - moved[1], moved[2] - moved[3]])
    large, small = np.linalg.svd(slope, compute_uv=False)
    return 1 / float(small), 1 / float(large)
