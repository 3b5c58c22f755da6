"""The colour of a marked region of a picture, and how far its pixels bear it out.

The colour is the mean of the middle half of the kept pixels, channel by channel, in
linear light: as steady against specks as the median, but not held to the steps of an
8-bit file.  Neighbouring pixels share noise (JPEG, demosaicing, the grain of the paint),
so the uncertainty of the middle is taken from the means of ever larger blocks (Flyvbjerg
and Petersen, "Error estimates on averages of correlated data", J. Chem. Phys. 91, 1989).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from livery.colour.conversion import encode
from livery.colour.difference import delta_e_00
from livery.colour.photo.picture import FEWEST_PIXELS, Pixels, Region, pixels_in
from livery.colour.photo.two_colours import refuse_two_colours
from livery.colour.photo.uncertainty import jacobian, lab_from_linear, within_95
from livery.colour.science import FloatArray
from livery.findings import Finding, Severity, fault

UNEVEN_LIGHT = 2.0
"""DeltaE00 across a region, by its fitted plane, above which the light is called uneven (chosen).
Larger, and fewer regions are."""

_MOST_PIXELS = 250_000
"""The most pixels of a region that are looked at (chosen). More only take time."""

_SPECK = 4.5
"""A pixel further off, in standard deviations, is a speck (chosen). Larger, and specks count."""

_MOST_EMPTY = 8
"""Blocks are counted in place where no more than so many times the pixels are empty, and else sorted
first (chosen). Larger takes more memory; smaller, and narrow regions take longer."""
_FEWEST_BLOCKS = 9
"""The fewest blocks that show uneven colour (chosen). Fewer, and noise is unevenness."""

_PLANE = 3
"""The numbers of a plane (by definition). Another counts the freedom wrong."""

_NEAR_BOTTOM, _BELOW_BOTTOM = 0.01, 0.04
"""Below the first, of the scale, a value may have been cut off, by as much as the second (chosen).
Larger, and dark colours are called less sure."""

_DARK = 0.01
"""Light, of white, below which nothing is known of how it falls (chosen: noise rules). Larger, and
fewer places count."""

_SHARED_NOISE = 3.0
"""Neighbouring pixels share noise (JPEG, demosaicing): so many times that of lone pixels (chosen).
Larger, and regions are called less sure."""


@dataclass(frozen=True, slots=True)
class Sample:
    """What a region of a picture holds, as the file has it: no correction made.

    Attributes:
        linear: Linear-light RGB, primaries of sRGB.
        linear_covariance: Uncertainty of ``linear`` (3, 3), as rows.
        lab: The same colour in CIELAB (D65, 2 degrees).
        spread: DeltaE00 from ``lab`` within which 95 of 100 pixels lie.
        uncertainty: DeltaE00 from ``lab`` within which the middle of the region lies 95
            times in 100, by the noise of the pixels alone.
        gradient: DeltaE00 from the darkest to the lightest end of a plane laid through
            the region.
        where: Middle of the kept pixels, in pixels.
        kept: Pixels used; a very large region is thinned evenly first.
        clipped: Pixels left out because they are burnt out or transparent.
        cut: Pixels used though a channel stands at the bottom of the file.
        specks: Pixels left out because they differ from all about them.
        findings: Warnings about the region.
        slope: Change of the log of the light for each pixel across and down the region.
        slope_error: Standard deviation of each, by the noise of the pixels; infinite where
            the region is too dark to judge.
    """

    linear: tuple[float, float, float]
    linear_covariance: tuple[tuple[float, float, float], ...]
    lab: tuple[float, float, float]
    spread: float
    uncertainty: float
    gradient: float
    where: tuple[float, float]
    kept: int
    clipped: int
    cut: int
    specks: int
    findings: tuple[Finding, ...] = ()
    slope: tuple[float, float] = (0.0, 0.0)
    slope_error: float = float("inf")


def sample(picture: Pixels, region: Region) -> Sample:
    """Return the colour of a region.  Raises LiveryError where it cannot be found."""
    rows, columns = pixels_in(region, picture, most=_MOST_PIXELS)
    light = picture.at(rows, columns)
    usable = ~light.unusable
    clipped = int(usable.size - usable.sum())
    rows, columns = rows[usable], columns[usable]
    _refuse_if_few(len(rows), clipped)
    linear, cut = light.linear[usable].astype(np.float64), light.cut[usable]
    refuse_two_colours(lab_from_linear(linear))
    clean = _without_specks(linear, rows, columns, picture.levels)
    specks = int(clean.size - clean.sum())
    linear, rows, columns = linear[clean], rows[clean], columns[clean]
    cut = cut[clean]
    middle = _middle(linear)
    lab = lab_from_linear(middle)
    labs = lab_from_linear(linear)
    plane = _plane(labs, rows, columns)
    noise = linear - _plane(linear, rows, columns)
    covariance = (
        _blocked_covariance(noise, rows, columns)
        + _step_covariance(middle, noise, picture.levels)
        + _cut_covariance(middle, float(cut.mean()))
    )
    to_lab = jacobian(lab_from_linear, middle)
    ends = plane[[np.argmin(plane[:, 0]), np.argmax(plane[:, 0])]]
    *from_middle, gradient = delta_e_00(
        np.vstack([np.broadcast_to(lab, labs.shape), ends[0]]), np.vstack([labs, ends[1]])
    )
    slope, slope_error = _light_slope(linear, rows, columns)
    found = Sample(
        linear=_three(middle),
        linear_covariance=tuple(_three(row) for row in covariance),
        lab=_three(lab),
        spread=float(np.quantile(from_middle, 0.95)),
        uncertainty=float(within_95(lab, to_lab @ covariance @ to_lab.T)),
        gradient=float(gradient),
        where=(float(columns.mean()) + 0.5, float(rows.mean()) + 0.5),
        kept=len(rows),
        clipped=clipped,
        cut=int(cut.sum()),
        specks=specks,
        slope=slope,
        slope_error=slope_error,
    )
    return replace(found, findings=_remarks(found, flat=bool(np.ptp(linear, axis=0).max() == 0)))


def _three(values: FloatArray) -> tuple[float, float, float]:
    a, b, c = (float(v) for v in values)
    return a, b, c


def _refuse_if_few(kept: int, clipped: int) -> None:
    if kept >= max(FEWEST_PIXELS, clipped):
        return
    raise fault(
        "region-clipped",
        f"{clipped} of the {kept + clipped} pixels are burnt out: at the top of what the file "
        "holds",
        "Photograph again with less exposure and out of the sun's glare.",
    )


def _middle(values: FloatArray) -> FloatArray:
    """Return the mean of the middle half of each column."""
    ordered = np.sort(values, axis=0)
    quarter = len(values) // 4
    return np.asarray(ordered[quarter : len(values) - quarter].mean(axis=0))


def _plane(
    values: FloatArray, rows: NDArray[np.intp], columns: NDArray[np.intp]
) -> NDArray[np.float64]:
    """Return, at every pixel, the height of the plane laid through each column of values."""
    x, y = columns - columns.mean(), rows - rows.mean()
    frame = np.column_stack([np.ones(len(x)), x, y])
    return np.asarray(frame @ np.linalg.lstsq(frame, values, rcond=None)[0])


def _light_slope(
    linear: FloatArray, rows: NDArray[np.intp], columns: NDArray[np.intp]
) -> tuple[tuple[float, float], float]:
    """Return how the log of the light changes per pixel across and down, and its error."""
    light = linear.mean(axis=1)
    level = float(light.mean())
    if level < _DARK or np.ptp(rows) == 0 or np.ptp(columns) == 0:
        return (0.0, 0.0), float("inf")
    x, y = columns - columns.mean(), rows - rows.mean()
    frame = np.column_stack([np.ones(len(x)), x, y])
    solved, *_ = np.linalg.lstsq(frame, light / level, rcond=None)
    noise = float((light / level - frame @ solved).std())
    narrow = float(min(x.std(), y.std()))
    error = _SHARED_NOISE * noise / (narrow * float(np.sqrt(len(x))))
    return (float(solved[1]), float(solved[2])), error


def _without_specks(
    linear: FloatArray, rows: NDArray[np.intp], columns: NDArray[np.intp], levels: int
) -> NDArray[np.bool_]:
    """Return true for pixels that agree with a plane through the rest.

    Judged on encoded values, where the noise of a photograph is much the same in light and
    dark; the scale is the median distance, never less than a step of the file.
    """
    codes = encode(linear)
    clean = np.ones(len(linear), dtype=bool)
    for _ in range(2):
        x, y = columns - columns[clean].mean(), rows - rows[clean].mean()
        frame = np.column_stack([np.ones(len(x)), x, y])
        fitted = frame @ np.linalg.lstsq(frame[clean], codes[clean], rcond=None)[0]
        off = codes - fitted
        off -= np.median(off[clean], axis=0)
        scale = np.maximum(1.4826 * np.median(np.abs(off[clean]), axis=0), 1.0 / levels)
        clean = np.asarray((np.abs(off) <= _SPECK * scale).all(axis=1))
    return clean


def _blocked_covariance(
    noise: FloatArray, rows: NDArray[np.intp], columns: NDArray[np.intp]
) -> FloatArray:
    """Return the covariance (3, 3) of the mean of noise that neighbours share.

    Blocks double in side while there are enough of them; the largest answer stands, widened
    by Student's factor for the number of blocks it rests on, less the three that the plane
    taken out beforehand uses up.  If the answer still rises at the largest blocks it is
    taken to rise by that much once more.
    """
    from scipy.stats import t as student

    found = [np.zeros((3, 3))]
    side = 1
    while True:
        sizes, means = _block_means(noise, rows // side, columns // side)
        count = len(sizes)
        if count < _FEWEST_BLOCKS:
            break
        weights = sizes / sizes.sum()
        off = means - weights @ means
        share = float(weights @ weights)
        factor = (student.ppf(0.975, count - _PLANE) / 1.96) ** 2
        found.append(factor * share / (1 - _PLANE * share) * (off.T * weights) @ off)
        side *= 2
    traces = [float(np.trace(f)) for f in found]
    best = int(np.argmax(traces))
    still_rising = 0 < best == len(found) - 1 and traces[best - 1] > 0
    growth = traces[best] / traces[best - 1] if still_rising else 1.0
    return np.asarray(found[best] * growth)


def _block_means(
    values: FloatArray, rows: NDArray[np.intp], columns: NDArray[np.intp]
) -> tuple[FloatArray, FloatArray]:
    """Return the size and the mean of each block, leaving out scraps at the edge."""
    # Numbered as they occur: of a very large region every so many pixels are looked at alone.
    row, column = _numbered(rows), _numbered(columns)
    block = row * (int(column.max()) + 1) + column
    if block.max() > _MOST_EMPTY * len(block):  # a narrow region that lies askew
        block = _numbered(block)
    sizes = np.bincount(block).astype(np.float64)
    sums = np.stack([np.bincount(block, weights=v) for v in values.T], axis=1)
    whole = sizes >= max(1.0, sizes.max() / 2)
    return sizes[whole], sums[whole] / sizes[whole, None]


def _numbered(values: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return for each value its number among those that occur, from the smallest up."""
    from_least = values - values.min()
    if from_least.max() > _MOST_EMPTY * len(values):
        return np.asarray(np.unique(values, return_inverse=True)[1])
    occurs = np.bincount(from_least) > 0
    return np.asarray((np.cumsum(occurs) - 1)[from_least])


def _step_covariance(middle: FloatArray, noise: FloatArray, levels: int) -> FloatArray:
    """Return the uncertainty left by the steps of the file where there is no noise to blur them."""
    code = encode(np.clip(middle, 0.0, 1.0))
    step = (encode(middle + 1e-4) - code) / 1e-4
    linear_step = 1.0 / (levels * np.maximum(step, 1e-3))
    blurred = noise.std(axis=0) > linear_step / 2
    return np.diag(np.where(blurred, 0.0, linear_step**2 / 12))


def _cut_covariance(middle: FloatArray, share: float) -> FloatArray:
    """Return the uncertainty of channels that stand at the bottom of the file in some pixels.

    How far below it the light would be is not to be known; a few hundredths of white is
    what strong paints take.
    """
    low = middle < _NEAR_BOTTOM
    return np.diag(np.where(low, (share * _BELOW_BOTTOM) ** 2, 0.0))


def _remarks(found: Sample, flat: bool) -> tuple[Finding, ...]:
    """Return what the painter should know about a region."""
    remarks = []
    total = found.kept + found.clipped + found.specks

    def warn(code: str, message: str, remedy: str) -> None:
        remarks.append(Finding(code, message, remedy, Severity.WARNING))

    if found.clipped > 0.02 * total:
        warn(
            "region-part-clipped",
            f"{100 * found.clipped / total:.0f} % of the region is burnt out and was left out, "
            "which pulls the colour towards the darker rest",
            "Expose for this surface, or mark a part without glare.",
        )
    if found.cut > 0.02 * total:
        warn(
            "region-cut",
            f"in {100 * found.cut / total:.0f} % of the region a channel stands at the bottom of "
            "the file: the colour is stronger, or darker, than the file can hold",
            "Photograph in a wider colour space (Adobe RGB, Display P3) or develop the raw file "
            "to one.",
        )
    if found.specks > 0.1 * total:
        warn(
            "region-specks",
            f"{100 * found.specks / total:.0f} % of the region differs from the rest and was "
            "left out: dirt, lining, reflections or more than one colour",
            "Mark a more even part of the paint.",
        )
    if found.gradient > UNEVEN_LIGHT:
        warn(
            "region-uneven",
            f"the light runs by {found.gradient:.1f} DeltaE00 across the region",
            "Mark a smaller part, or photograph it in even light; the colour is that of its middle.",
        )
    if flat:
        warn(
            "region-flat",
            "every pixel of the region is the same, as in a drawing or a screen picture; its "
            "spread says nothing about a painted surface",
            "Sample an untouched photograph of the paint.",
        )
    return tuple(remarks)
