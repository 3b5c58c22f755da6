"""A drawing whose scale across differs from its scale up: stretched paper, or a scanner's feed.

Two scales are fitted to the known lengths by least squares, each length weighted by the error of
its picks; one length across and one up are the least that show them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from livery.colour.science import FloatArray
from livery.findings import Finding, Severity, fault
from livery.survey.plane import MOST_UNEVEN, ByKnownLengths, LengthCheck

_ROUNDS = 6
"""Rounds of the fit (chosen). More change nothing."""

_APART = 1e-3
"""How unlike the directions of lengths must be, to separate across from up (chosen). Larger refuses
more drawings; smaller, and noise is a stretch."""


@dataclass(frozen=True, slots=True, eq=False)
class UnevenScale(ByKnownLengths):
    """Two scales for the whole picture, across and up, by two or more known lengths."""

    def __post_init__(self) -> None:
        across = [abs(k.end.x - k.start.x) / k.pixels for k in self.lengths]
        # Lengths that all run one way say nothing of the other.
        if len(self.lengths) < 2 or max(across) ** 2 - min(across) ** 2 < _APART**0.5:
            raise fault(
                "uneven-lengths",
                "two scales need a known length across and one up",
                "Give both, or leave out that the picture is uneven.",
            )
        across_mm, up_mm = _scales(self.numbers)
        share = across_mm / up_mm - 1.0
        if abs(share) > MOST_UNEVEN:
            more = "larger" if share > 0 else "smaller"
            raise fault(
                "uneven-much",
                f"across is {100.0 * abs(share):.1f} % {more} to the pixel than up: paper and scanners "
                f"are uneven by a few per cent, at most {100.0 * MOST_UNEVEN:g} %",
                "Check the known lengths. If they are right, the picture is seen at an angle: pick the "
                "four corners of a known rectangle instead (--rectangle), or straighten it first.",
            )

    def matrix(self, numbers: FloatArray) -> FloatArray:
        """Return the map from pixels to millimetres: two scales, y turned up."""
        across, up = _scales(numbers)
        return np.diag([across, -up, 1.0])

    @property
    def checks(self) -> tuple[LengthCheck, ...]:
        """Every known length as the two scales give it back."""
        across, up = _scales(self.numbers)
        return tuple(
            LengthCheck(
                k, float(np.hypot(across * (k.end.x - k.start.x), up * (k.end.y - k.start.y)))
            )
            for k in self.lengths
        )

    @property
    def disagreement(self) -> float:
        """How many times the pick error the lengths disagree by; never less than 1."""
        spare = len(self.lengths) - 2
        if spare == 0:
            return 1.0
        scale = max(_scales(self.numbers))
        off = [
            c.off_mm / float(np.hypot(2**0.5 * self.pick_error * scale, c.known.error_mm))
            for c in self.checks
        ]
        return float(max(1.0, (sum(v * v for v in off) / spare) ** 0.5))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """How uneven it is, and whether the lengths agree."""
        across, up = _scales(self.numbers)
        share = 100.0 * (across / up - 1.0)
        found = [
            Finding(
                "uneven",
                f"across is {abs(share):.2f} % {'larger' if share > 0 else 'smaller'} to the pixel "
                "than up; sizes are corrected for it",
                severity=Severity.NOTE,
            )
        ]
        if self.disagreement > 2.5:
            worst = max(self.checks, key=lambda check: abs(check.off_mm / check.known.mm))
            found.append(
                Finding(
                    "lengths-disagree",
                    f"the known lengths disagree {self.disagreement:.1f} times more than picking "
                    f"explains; {worst.known.mm:.0f} mm reads {worst.measured_mm:.0f} mm",
                    "Check the picks; if they are right the picture converges: straighten it by "
                    "known points.",
                    Severity.WARNING,
                )
            )
        return tuple(found)


def _scales(numbers: FloatArray) -> tuple[float, float]:
    """Return millimetres to a pixel across and up, by least squares of the lengths."""
    rows = numbers.reshape(-1, 5)
    square = np.column_stack([(rows[:, 2] - rows[:, 0]) ** 2, (rows[:, 3] - rows[:, 1]) ** 2])
    sizes = rows[:, 4]
    found = np.linalg.lstsq(square, sizes**2, rcond=None)[0]
    found = np.sqrt(np.maximum(found, 1e-12))
    for _ in range(_ROUNDS):
        now = np.sqrt(square @ found**2)
        slopes = square * found / now[:, None]
        found = found + np.linalg.lstsq(slopes, sizes - now, rcond=None)[0]
    return float(found[0]), float(found[1])
