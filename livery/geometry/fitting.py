"""Few cubics along a smooth curve, by least squares.

Each cubic keeps the curve's ends and its directions there, so that only the
lengths of its two handles are free.  They begin from least squares by length
along the curve (P. J. Schneider, "An algorithm for automatically fitting
digitized curves", Graphics Gems, 1990) and are bettered by Gauss-Newton steps
on the gaps square to the cubic.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from livery.geometry.outline import Cubic, Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Places = NDArray[np.complex128]

#: A cubic's four points.
Control = tuple[complex, complex, complex, complex]

SAMPLES = 33
"""Samples of the curve that each cubic is fitted to and judged by (chosen). Fewer miss a bulge between
them; more take longer."""
ROUNDS = 10
"""Steps of improvement, at most (chosen: later ones gain less than a fiftieth). Fewer, and a curve
is written as more cubics."""


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
        cubic, off = fit_one(curve, start, end, within_mm / 3.0)
        if off <= within_mm:
            parts[i : i + 2] = [(start, end, cubic)]
        else:
            i += 1
    return [cubic for _, _, cubic in parts]


def _halved(
    curve: SmoothCurve, t0: float, t1: float, within_mm: float, depth: int
) -> list[tuple[float, float, Cubic]]:
    """Fit a stretch, or its two halves."""
    cubic, off = fit_one(curve, t0, t1, within_mm / 3.0)
    if off <= within_mm or depth == 0:
        return [(t0, t1, cubic)]
    middle = (t0 + t1) / 2
    return [
        *_halved(curve, t0, middle, within_mm, depth - 1),
        *_halved(curve, middle, t1, within_mm, depth - 1),
    ]


def fit_one(curve: SmoothCurve, t0: float, t1: float, tolerance_mm: float) -> tuple[Cubic, float]:
    """Return the best single cubic along a stretch, and how far the samples are from it.

    One within ``tolerance_mm`` is not bettered.
    """
    import numpy as np

    samples = curve.places(np.linspace(t0, t1, SAMPLES))
    return fit_points(samples, curve.direction(t0), curve.direction(t1), tolerance_mm)


def fit_points(
    samples: Numbers, leaving: Point, arriving: Point, tolerance_mm: float
) -> tuple[Cubic, float]:
    """Return the cubic nearest to points in order, given the unit directions at its ends.

    It begins at the first point and ends at the last.  With it comes the greatest
    distance of a point from it.  One within ``tolerance_mm`` is not bettered.
    """
    import numpy as np

    # Complex numbers for points: x and y go through each sum together.
    places = samples[:, 0] + 1j * samples[:, 1]
    start, end = complex(places[0]), complex(places[-1])
    u, v = complex(*leaving), complex(*arriving)
    strides = np.abs(np.diff(places))
    total = float(strides.sum())
    if total == 0.0:
        p, q = _point(start), _point(end)
        return Cubic(p, p, q, q), 0.0
    t = np.concatenate(([0.0], np.cumsum(strides))) / total
    t[-1] = 1.0
    a, b = _handles(places, t, u, v, total)
    best, least = (start, start, end, end), math.inf
    for _ in range(ROUNDS):
        control = (start, start + a * u, end - b * v, end)
        t = _feet(control, places, t)
        gaps = places - _along(_powers(control), t)
        off = float(np.abs(gaps).max())
        settled = 0.98 * least < off <= least
        if off < least:
            best, least = control, off
        if settled or least <= tolerance_mm:
            break
        a, b = _improved(control, t, gaps, u, v, handles=(a, b), total=total)
    return Cubic(*(_point(p) for p in best)), least


def _point(place: complex) -> Point:
    """Return a complex number as a point."""
    return Point(place.real, place.imag)


def _improved(
    control: Control,
    t: Numbers,
    gaps: Places,
    u: complex,
    v: complex,
    *,
    handles: tuple[float, float],
    total: float,
) -> tuple[float, float]:
    """Return handle lengths that lessen the gaps square to the cubic, by one Gauss-Newton step."""
    import numpy as np

    c = _powers(control)
    along = _along((c[1], 2 * c[2], 3 * c[3]), t)
    across = 1j * along / np.maximum(np.abs(along), 1e-300)
    k1, k2 = _inner_weights(t)
    first, second = k1 * (across.conj() * u).real, -k2 * (across.conj() * v).real
    rest = (gaps * across.conj()).real
    change = _least_squares(first, second, rest)
    if change is None:
        return handles
    limit = 0.3 * total
    a, b = (h + min(max(c, -limit), limit) for h, c in zip(handles, change, strict=True))
    return max(a, 1e-3 * total), max(b, 1e-3 * total)


def _handles(
    places: Places, t: Numbers, u: complex, v: complex, total: float
) -> tuple[float, float]:
    """Return the handle lengths of least squares; a third of the length where they make no sense."""
    start, end = complex(places[0]), complex(places[-1])
    k1, k2 = _inner_weights(t)
    rest = places - _along(_powers((start, start, end, end)), t)
    xx, yy = (k1 * k1).sum(), (k2 * k2).sum()
    xy = -(k1 * k2).sum() * (u * v.conjugate()).real
    gx, gy = (k1 * (rest * u.conjugate()).real).sum(), -(k2 * (rest * v.conjugate()).real).sum()
    inside = xx * yy - xy * xy
    if inside > 1e-12 * xx * yy:
        a, b = (gx * yy - gy * xy) / inside, (gy * xx - gx * xy) / inside
        if 1e-3 * total < a < 3 * total and 1e-3 * total < b < 3 * total:
            return float(a), float(b)
    third = abs(end - start) / 3.0
    return third, third


def _least_squares(first: Numbers, second: Numbers, rest: Numbers) -> tuple[float, float] | None:
    """Return the shares of two rows that come nearest to a third; None when both are nothing."""
    xx, xy, yy = first @ first, first @ second, second @ second
    gx, gy = first @ rest, second @ rest
    inside = xx * yy - xy * xy
    if inside <= 1e-12 * xx * yy:
        size = xx + yy
        # One row will do: the shortest change that serves.
        return (float(gx / size), float(gy / size)) if size > 0.0 else None
    return float((gx * yy - gy * xy) / inside), float((gy * xx - gx * xy) / inside)


def _inner_weights(t: Numbers) -> tuple[Numbers, Numbers]:
    """Return the Bernstein weights of a cubic's two control points."""
    s = 1.0 - t
    both = 3.0 * s * t
    return both * s, both * t


def _powers(control: Control) -> Control:
    """Return a cubic's coefficients by powers of the parameter, the constant first."""
    p, a, b, q = control
    return p, 3 * (a - p), 3 * (p - 2 * a + b), q - p + 3 * (a - b)


def _along(coefficients: Sequence[complex], t: Numbers) -> Places:
    """Return the values of a polynomial, its constant given first."""
    *rest, last = coefficients
    value: Any = last
    for c in reversed(rest):
        value = value * t + c
    places: Places = value
    return places


def _feet(control: Control, places: Places, t: Numbers) -> Numbers:
    """Return the parameters moved to where the places are nearest, the ends held."""
    import numpy as np

    c = _powers(control)
    for _ in range(3):
        away = (_along(c, t) - places).conj()
        v = _along((c[1], 2 * c[2], 3 * c[3]), t)
        bend = (v * v.conj() + away * _along((2 * c[2], 6 * c[3]), t)).real
        slope = (away * v).real
        step = np.where(bend > 0, slope / np.where(bend > 0, bend, 1.0), 0.0)
        t = np.minimum(np.maximum(t - np.minimum(np.maximum(step, -0.1), 0.1), 0.0), 1.0)
        t[0], t[-1] = 0.0, 1.0
    return t
