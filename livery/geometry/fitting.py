"""Few cubics along a smooth curve, by least squares.

Each cubic keeps the curve's ends and its directions there, so that only the
lengths of its two handles are free.  They begin from least squares by length
along the curve (P. J. Schneider, "An algorithm for automatically fitting
digitized curves", Graphics Gems, 1990) and are bettered by Gauss-Newton steps
on the gaps square to the cubic.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from livery.geometry.outline import Cubic, Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

#: Samples of the curve that each cubic is fitted to and judged by.
SAMPLES = 33
#: Steps of improvement, at most.
ROUNDS = 10


class SmoothCurve(NamedTuple):
    """A curve without corners: its places for an array of parameters, and its unit direction at one."""

    places: Callable[[Numbers], Numbers]
    direction: Callable[[float], Point]


def fitted(curve: SmoothCurve, t0: float, t1: float, within_mm: float) -> list[Cubic]:
    """Return cubics along a curve from ``t0`` to ``t1`` that stay ``within_mm`` of it.

    The stretch is halved until every part fits; then neighbours that one cubic
    serves as well are joined.
    """
    parts = _halved(curve, t0, t1, within_mm, 12)
    i = 0
    while i + 1 < len(parts):
        (start, _, _), (_, end, _) = parts[i], parts[i + 1]
        cubic, off = fit_one(curve, start, end)
        if off <= within_mm:
            parts[i : i + 2] = [(start, end, cubic)]
        else:
            i += 1
    return [cubic for _, _, cubic in parts]


def _halved(
    curve: SmoothCurve, t0: float, t1: float, within_mm: float, depth: int
) -> list[tuple[float, float, Cubic]]:
    """Fit a stretch, or its two halves."""
    cubic, off = fit_one(curve, t0, t1)
    if off <= within_mm or depth == 0:
        return [(t0, t1, cubic)]
    middle = (t0 + t1) / 2
    return [
        *_halved(curve, t0, middle, within_mm, depth - 1),
        *_halved(curve, middle, t1, within_mm, depth - 1),
    ]


def fit_one(curve: SmoothCurve, t0: float, t1: float) -> tuple[Cubic, float]:
    """Return the best single cubic along a stretch, and how far the samples are from it."""
    import numpy as np

    samples = curve.places(np.linspace(t0, t1, SAMPLES))
    return fit_points(samples, curve.direction(t0), curve.direction(t1))


def fit_points(samples: Numbers, leaving: Point, arriving: Point) -> tuple[Cubic, float]:
    """Return the cubic nearest to points in order, given the unit directions at its ends.

    It begins at the first point and ends at the last.  With it comes the greatest
    distance of a point from it.
    """
    import numpy as np

    start, end = samples[0], samples[-1]
    u, v = np.array(leaving), np.array(arriving)
    strides = np.hypot(*np.diff(samples, axis=0).T)
    total = float(strides.sum())
    if total == 0.0:
        p, q = Point(*start.tolist()), Point(*end.tolist())
        return Cubic(p, p, q, q), 0.0
    t = np.concatenate(([0.0], np.cumsum(strides))) / total
    t[-1] = 1.0
    a, b = _handles(samples, t, start, end, u, v, total)
    best, least = np.stack((start, start, end, end)), math.inf
    for _ in range(ROUNDS):
        control = np.stack((start, start + a * u, end - b * v, end))
        t = _feet(control, samples, t)
        gaps = samples - _places(control, t)
        off = float(np.hypot(*gaps.T).max())
        settled = 0.98 * least < off <= least
        if off < least:
            best, least = control, off
        if settled:
            break
        a, b = _improved(control, t, gaps, u, v, (a, b), total)
    return Cubic(*(Point(*p) for p in best.tolist())), least


def _improved(
    control: Numbers,
    t: Numbers,
    gaps: Numbers,
    u: Numbers,
    v: Numbers,
    handles: tuple[float, float],
    total: float,
) -> tuple[float, float]:
    """Return handle lengths that lessen the gaps square to the cubic, by one Gauss-Newton step."""
    import numpy as np

    s = 1.0 - t
    along = np.stack((s * s, 2 * s * t, t * t), axis=1) @ np.diff(control, axis=0)
    across = np.stack((-along[:, 1], along[:, 0]), axis=1)
    across /= np.maximum(np.hypot(*across.T), 1e-300)[:, None]
    _, k1, k2, _ = _weights(t)
    slopes = np.stack((k1 * (across @ u), -k2 * (across @ v)), axis=1)
    change = np.linalg.lstsq(slopes, (gaps * across).sum(axis=1), rcond=1e-9)[0]
    limit = 0.3 * total
    a, b = (h + float(np.clip(c, -limit, limit)) for h, c in zip(handles, change, strict=True))
    return max(a, 1e-3 * total), max(b, 1e-3 * total)


def _handles(
    samples: Numbers, t: Numbers, start: Numbers, end: Numbers, u: Numbers, v: Numbers, total: float
) -> tuple[float, float]:
    """Return the handle lengths of least squares; a third of the length where they make no sense."""
    import numpy as np

    k0, k1, k2, k3 = _weights(t)
    rest = samples - np.outer(k0 + k1, start) - np.outer(k2 + k3, end)
    first, second = np.outer(k1, u), np.outer(k2, -v)
    xx, xy, yy = (first * first).sum(), (first * second).sum(), (second * second).sum()
    gx, gy = (first * rest).sum(), (second * rest).sum()
    inside = xx * yy - xy * xy
    if inside > 1e-12 * xx * yy:
        a, b = (gx * yy - gy * xy) / inside, (gy * xx - gx * xy) / inside
        if 1e-3 * total < a < 3 * total and 1e-3 * total < b < 3 * total:
            return float(a), float(b)
    third = math.dist(start, end) / 3.0
    return third, third


def _weights(t: Numbers) -> tuple[Numbers, Numbers, Numbers, Numbers]:
    """Return the Bernstein weights of degree 3."""
    s = 1.0 - t
    return s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t


def _places(control: Numbers, t: Numbers) -> Numbers:
    """Return the points of a cubic at an array of parameters."""
    import numpy as np

    places: Numbers = np.stack(_weights(t), axis=1) @ control
    return places


def _feet(control: Numbers, samples: Numbers, t: Numbers) -> Numbers:
    """Return the parameters moved to where the samples are nearest, the ends held."""
    import numpy as np

    d1 = 3 * np.diff(control, axis=0)
    d2 = 2 * np.diff(d1, axis=0)
    for _ in range(3):
        s = 1.0 - t
        off = _places(control, t) - samples
        v = np.stack((s * s, 2 * s * t, t * t), axis=1) @ d1
        a = np.stack((s, t), axis=1) @ d2
        slope = (off * v).sum(axis=1)
        bend = (v * v).sum(axis=1) + (off * a).sum(axis=1)
        step = np.where(bend > 0, slope / np.where(bend > 0, bend, 1.0), 0.0)
        t = np.clip(t - np.clip(step, -0.1, 0.1), 0.0, 1.0)
        t[0], t[-1] = 0.0, 1.0
    return t
