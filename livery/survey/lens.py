"""What a lens bends, found from edges that are straight on the thing itself, and taken out.

A straight line in space is straight in a picture unless the lens bends it (D. C. Brown,
"Close-range camera calibration", Photogrammetric Engineering 37, 1971, from memory).  The
bend is one number about the middle of the picture: a point at the distance r from it, in
half diagonals, truly lies at r / (1 + bend r^2) (A. W. Fitzgibbon, "Simultaneous linear
estimation of multiple view geometry and lens distortion", CVPR 2001, from memory).  Below
0 the picture bulges like a barrel, above 0 it is pinched like a cushion.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.science import FloatArray
from livery.findings import Finding, Severity, fault
from livery.survey.measure import bow
from livery.survey.plane import Pick

_MOST = 0.6
"""The most bend looked for (chosen: no lens for taking pictures of flat things bends so much).
Larger, and edges picked wrong are taken for a lens."""

_STEP = 1e-4
"""The step of a slope by differences, in bend (chosen). Larger is less exact; smaller loses
digits."""

_PLAIN = 2.5
"""Standard errors by which a bend must exceed what picking alone could make of straight edges
(chosen). Larger, and true bends are left."""


@dataclass(frozen=True, slots=True)
class Lens:
    """How a lens bends a picture of ``size`` (width, height) pixels; ``error`` is standard."""

    size: tuple[int, int]
    bend: float = 0.0
    error: float = 0.0

    @property
    def middle(self) -> FloatArray:
        """The point that stays where it is."""
        return np.array(self.size) / 2.0

    @property
    def half_diagonal(self) -> float:
        """Pixels from the middle to a corner."""
        return float(np.hypot(*self.size)) / 2.0

    @property
    def at_corner(self) -> float:
        """Pixels by which it moves the corners of the picture."""
        return self.half_diagonal * abs(1.0 / (1.0 + self.bend) - 1.0)

    def straight(self, points: ArrayLike) -> FloatArray:
        """Return where points (..., 2) of the picture would lie with a lens that bends nothing."""
        off = np.asarray(points, dtype=np.float64) - self.middle
        square = (off**2).sum(axis=-1, keepdims=True) / self.half_diagonal**2
        return np.asarray(self.middle + off / (1.0 + self.bend * square))

    def bent(self, points: ArrayLike) -> FloatArray:
        """Return where the lens shows points (..., 2): the way back of :meth:`straight`.

        Points further out than the lens shows anything come back as not a number.
        """
        off = np.asarray(points, dtype=np.float64) - self.middle
        square = (off**2).sum(axis=-1, keepdims=True) / self.half_diagonal**2
        with np.errstate(invalid="ignore"):
            # The root of bend u r^2 - r + u = 0 that is u where nothing bends.
            return np.asarray(
                self.middle + off * 2.0 / (1.0 + np.sqrt(1.0 - 4.0 * self.bend * square))
            )

    def pick(self, point: Pick) -> Pick:
        """Return the place of a pick with the bend of the lens removed."""
        x, y = self.straight(point)
        return Pick(float(x), float(y))

    def picks(self, points: Sequence[Pick]) -> tuple[Pick, ...]:
        """Return picks as a lens that bends nothing would have them."""
        return tuple(self.pick(point) for point in points)

    def varied(self) -> tuple[Lens, Lens]:
        """Return the lens with its bend a standard error less and more."""
        return (
            replace(self, bend=self.bend - self.error),
            replace(self, bend=self.bend + self.error),
        )


def fit_lens(
    size: tuple[int, int], edges: Sequence[Sequence[Pick]], pick_error: float = 1.0
) -> tuple[Lens, tuple[Finding, ...]]:
    """Return the lens that straightens the edges, and findings about it.

    A bend that picking alone could have made is no bend.  ``pick_error`` is the standard
    error of a pick, in pixels.

    Raises:
        LiveryError: an edge of fewer than three picks, or of picks none of which lie apart.
    """
    plain = Lens(size)
    if not edges:
        return plain, ()
    before = [bow(edge, pick_error) for edge in edges]
    found = _least_squares(plain, [np.array(edge, dtype=np.float64) for edge in edges], pick_error)
    if abs(found.bend) <= _PLAIN * found.error:
        return plain, tuple(f for b in before for f in b.findings)
    left = [f for edge in edges for f in bow(found.picks(edge), pick_error).findings]
    finding = Finding(
        "lens-taken-out",
        f"the lens bends straight edges by up to {max(b.pixels for b in before):.1f} pixels; "
        f"that was taken out, by {found.at_corner:.0f} pixels at the corners of the picture",
        "More edges, some of them near the rim of the picture, make the correction more certain.",
        Severity.NOTE,
    )
    return found, (finding, *left)


def _least_squares(plain: Lens, edges: Sequence[FloatArray], pick_error: float) -> Lens:
    from scipy.optimize import minimize_scalar

    def residuals(bend: float) -> FloatArray:
        lens = replace(plain, bend=bend)
        return np.concatenate([_off_line(lens, edge) for edge in edges])

    best = float(
        minimize_scalar(
            lambda bend: float((residuals(bend) ** 2).sum()),
            bounds=(-_MOST, _MOST),
            method="bounded",
            options={"xatol": 1e-9},
        ).x
    )
    if abs(best) > 0.98 * _MOST:
        raise fault(
            "lens-too-bent",
            "no lens makes these edges straight",
            "Check that each --edge follows one edge that is straight on the thing itself.",
        )
    slope = (residuals(best + _STEP) - residuals(best - _STEP)) / (2.0 * _STEP)
    spare = sum(len(edge) - 2 for edge in edges) - 1
    misfit = float(np.sqrt((residuals(best) ** 2).sum() / max(spare, 1))) / pick_error
    raised = max(1.0, misfit if spare > 0 else 1.0)
    error = pick_error * raised / max(float(np.linalg.norm(slope)), 1e-12)
    return replace(plain, bend=best, error=error)


def _off_line(lens: Lens, edge: FloatArray) -> FloatArray:
    """Return how far picks of an edge lie off their line once straightened, in pixels as picked."""
    places = lens.straight(edge)
    along = places[-1] - places[0]
    across = np.array([-along[1], along[0]]) / np.hypot(*along)
    run = (places - places[0]) @ along / float(along @ along)
    frame = np.column_stack([np.ones(len(run)), run])
    off = (places - places[0]) @ across
    off = off - frame @ np.linalg.lstsq(frame, off, rcond=None)[0]
    # What is straightened is enlarged or reduced too; a pick's error is one in the picture.
    enlarged = float(np.hypot(*along) / np.hypot(*(edge[-1] - edge[0])))
    return np.asarray(off / enlarged)
