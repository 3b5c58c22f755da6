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

    #: The four points of cubics, each (n, 1).
    Control = tuple[Places, Places, Places, Places]
    #: The lengths of their two handles, each (n, 1).
    Handles = tuple[Numbers, Numbers]

SAMPLES = 33
"""Samples of the curve that each cubic is fitted to and judged by (chosen). Fewer miss a bulge between
them; more take longer."""
ROUNDS = 10
"""Steps of improvement, at most (chosen: later ones gain less than a fiftieth). Fewer, and a curve
is written as more cubics."""


MOST_HALVINGS = 12
"""How often a stretch is halved, at most (chosen: to a four-thousandth). Fewer, and a wild curve is missed."""


class SmoothCurve(NamedTuple):
    """A curve without corners: its places for an array of parameters, and its unit direction at one."""

    places: Callable[[Numbers], Numbers]
    direction: Callable[[float], Point]


class Stretch(NamedTuple):
    """A stretch of a smooth curve, from one parameter to another."""

    curve: SmoothCurve
    t0: float
    t1: float


def fitted(curve: SmoothCurve, t0: float, t1: float, within_mm: float) -> list[Cubic]:
    """Return cubics along a curve from ``t0`` to ``t1`` that stay ``within_mm`` of it."""
    return fitted_each([Stretch(curve, t0, t1)], within_mm)[0]


def fitted_each(stretches: Sequence[Stretch], within_mm: float) -> list[list[Cubic]]:
    """Return cubics along each of several stretches: quicker together than one by one.

    A stretch is halved until every part fits; then neighbours that one cubic serves as well
    are joined.
    """
    parts: list[list[tuple[Stretch, Cubic]]] = [[] for _ in stretches]
    waiting = list(enumerate(stretches))
    for halvings in range(MOST_HALVINGS + 1):
        made = _fit_each([part for _, part in waiting], within_mm / 3.0)
        further: list[tuple[int, Stretch]] = []
        for (owner, part), (cubic, off) in zip(waiting, made, strict=True):
            if off <= within_mm or halvings == MOST_HALVINGS:
                parts[owner].append((part, cubic))
                continue
            middle = (part.t0 + part.t1) / 2
            halves = (part._replace(t1=middle), part._replace(t0=middle))
            further += ((owner, half) for half in halves)
        if not further:
            break
        waiting = further
    return [_rejoined(own, within_mm) for own in parts]


def _rejoined(parts: list[tuple[Stretch, Cubic]], within_mm: float) -> list[Cubic]:
    """Return the cubics of the parts of one stretch in their order, joined where one does for two."""
    parts.sort(key=lambda part: part[0].t0, reverse=parts[0][0].t1 < parts[0][0].t0)
    i = 0
    while i + 1 < len(parts):
        both = parts[i][0]._replace(t1=parts[i + 1][0].t1)
        cubic, off = fit_one(*both, within_mm / 3.0)
        if off <= within_mm:
            parts[i : i + 2] = [(both, cubic)]
        else:
            i += 1
    return [cubic for _, cubic in parts]


def fit_one(curve: SmoothCurve, t0: float, t1: float, tolerance_mm: float) -> tuple[Cubic, float]:
    """Return the best single cubic along a stretch, and how far the samples are from it.

    One within ``tolerance_mm`` is not bettered.
    """
    return _fit_each([Stretch(curve, t0, t1)], tolerance_mm)[0]


def _fit_each(stretches: Sequence[Stretch], tolerance_mm: float) -> list[tuple[Cubic, float]]:
    """Return the best single cubic along each stretch, and how far its samples are from it."""
    import numpy as np

    samples = [s.curve.places(np.linspace(s.t0, s.t1, SAMPLES)) for s in stretches]
    leaving = [s.curve.direction(s.t0) for s in stretches]
    arriving = [s.curve.direction(s.t1) for s in stretches]
    return _fit_rows(np.array(samples), leaving, arriving, tolerance_mm)


def fit_points(
    samples: Numbers, leaving: Point, arriving: Point, tolerance_mm: float
) -> tuple[Cubic, float]:
    """Return the cubic nearest to points in order, given the unit directions at its ends.

    It begins at the first point and ends at the last.  With it comes the greatest
    distance of a point from it.  One within ``tolerance_mm`` is not bettered.
    """
    return _fit_rows(samples[None], [leaving], [arriving], tolerance_mm)[0]


class _Rows(NamedTuple):
    """Places to fit a cubic to, row by row (n, m), and of each row what stays of its cubic (n, 1).

    Complex numbers for points and directions: x and y go through each sum together.
    """

    places: Places
    u: Places
    v: Places
    total: Numbers

    @property
    def start(self) -> Places:
        return self.places[:, :1]

    @property
    def end(self) -> Places:
        return self.places[:, -1:]

    def chosen(self, which: Any) -> _Rows:
        """Return some of the rows."""
        return _Rows(*(each[which] for each in self))


def _fit_rows(
    samples: Numbers, leaving: Sequence[Point], arriving: Sequence[Point], tolerance_mm: float
) -> list[tuple[Cubic, float]]:
    """Return for each row of points what :func:`fit_points` does for one."""
    import numpy as np

    places = samples[..., 0] + 1j * samples[..., 1]
    strides = np.abs(np.diff(places, axis=1))
    total = strides.sum(axis=1)[:, None]
    best = np.repeat(places[:, :1], 4, axis=1)
    least = np.where(total[:, 0] == 0.0, 0.0, math.inf)
    live = np.flatnonzero(least)
    u, v = (np.array([complex(*p) for p in each])[:, None] for each in (leaving, arriving))
    rows = _Rows(places, u, v, total).chosen(live)
    t = np.zeros((len(live), places.shape[1]))
    t[:, 1:] = np.cumsum(strides[live], axis=1) / rows.total
    t[:, -1] = 1.0
    handles = _handles(rows, t)
    for _ in range(ROUNDS if len(live) else 0):
        control = _control(rows, handles)
        t = _feet(control, rows.places, t)
        gaps = rows.places - _along(_powers(control), t)
        off = np.abs(gaps).max(axis=1)
        settled = (0.98 * least[live] < off) & (off <= least[live])
        better = off < least[live]
        best[live[better]] = np.hstack(control)[better]
        least[live[better]] = off[better]
        on = ~settled & (least[live] > tolerance_mm)
        if not on.any():
            break
        if not on.all():
            live, rows, t, gaps = live[on], rows.chosen(on), t[on], gaps[on]
            handles = (handles[0][on], handles[1][on])
            control = _control(rows, handles)
        handles = _improved(control, t, gaps, rows, handles)
    return [
        (Cubic(*map(_point, four)), off)
        for four, off in zip(best.tolist(), least.tolist(), strict=True)
    ]


def _control(rows: _Rows, handles: Handles) -> Control:
    """Return the points of cubics with handles of these lengths."""
    a, b = handles
    return rows.start, rows.start + a * rows.u, rows.end - b * rows.v, rows.end


def _point(place: complex) -> Point:
    """Return a complex number as a point."""
    return Point(place.real, place.imag)


def _improved(control: Control, t: Numbers, gaps: Places, rows: _Rows, handles: Handles) -> Handles:
    """Return handle lengths that lessen the gaps square to the cubics, by one Gauss-Newton step."""
    import numpy as np

    c = _powers(control)
    along = _along((c[1], 2 * c[2], 3 * c[3]), t)
    across = 1j * along / np.maximum(np.abs(along), 1e-300)
    k1, k2 = _inner_weights(t)
    first, second = k1 * (across.conj() * rows.u).real, -k2 * (across.conj() * rows.v).real
    rest = (gaps * across.conj()).real
    change = _least_squares(first, second, rest)
    limit, short = 0.3 * rows.total, 1e-3 * rows.total
    a, b = (
        h + np.minimum(np.maximum(c, -limit), limit) for h, c in zip(handles, change, strict=True)
    )
    return np.maximum(a, short), np.maximum(b, short)


def _handles(rows: _Rows, t: Numbers) -> Handles:
    """Return the handle lengths of least squares; a third of the length where they make no sense."""
    import numpy as np

    total = rows.total
    k1, k2 = _inner_weights(t)
    rest = rows.places - _along(_powers((rows.start, rows.start, rows.end, rows.end)), t)
    xx, yy = _sums(k1 * k1), _sums(k2 * k2)
    xy = -_sums(k1 * k2) * (rows.u * rows.v.conj()).real
    gx = _sums(k1 * (rest * rows.u.conj()).real)
    gy = -_sums(k2 * (rest * rows.v.conj()).real)
    inside = xx * yy - xy * xy
    clear = inside > 1e-12 * xx * yy
    by = np.where(clear, inside, 1.0)
    a, b = (gx * yy - gy * xy) / by, (gy * xx - gx * xy) / by
    sound = clear & (1e-3 * total < a) & (a < 3 * total) & (1e-3 * total < b) & (b < 3 * total)
    third = np.abs(rows.end - rows.start) / 3.0
    return np.where(sound, a, third), np.where(sound, b, third)


def _sums(values: Numbers) -> Numbers:
    """Return the sum of each row (n, 1)."""
    sums: Numbers = values.sum(axis=1)[:, None]
    return sums


def _least_squares(first: Numbers, second: Numbers, rest: Numbers) -> Handles:
    """Return the shares of two rows that come nearest to a third; nothing where both are nothing."""
    import numpy as np

    xx, xy, yy, gx, gy = (
        np.vecdot(one, other)[:, None]
        for one, other in (
            (first, first),
            (first, second),
            (second, second),
            (first, rest),
            (second, rest),
        )
    )
    inside = xx * yy - xy * xy
    clear = inside > 1e-12 * xx * yy
    by, size = np.where(clear, inside, 1.0), xx + yy
    # Where one row will do: the shortest change that serves.
    size = np.where(size > 0.0, size, 1.0)
    a = np.where(clear, (gx * yy - gy * xy) / by, gx / size)
    b = np.where(clear, (gy * xx - gx * xy) / by, gy / size)
    return a, b


def _inner_weights(t: Numbers) -> tuple[Numbers, Numbers]:
    """Return the Bernstein weights of a cubic's two control points."""
    s = 1.0 - t
    both = 3.0 * s * t
    return both * s, both * t


def _powers(control: Control) -> Control:
    """Return a cubic's coefficients by powers of the parameter, the constant first."""
    p, a, b, q = control
    return p, 3 * (a - p), 3 * (p - 2 * a + b), q - p + 3 * (a - b)


def _along(coefficients: Sequence[Places], t: Numbers) -> Places:
    """Return the values of a polynomial, its constant given first."""
    *rest, last = coefficients
    value: Any = last
    for c in reversed(rest):
        value = value * t + c
    places: Places = value
    return places


def _feet(control: Control, places: Places, t: Numbers) -> Numbers:
    """Return the parameters moved to where the places are nearest, the ends of each row held."""
    import numpy as np

    c = _powers(control)
    for _ in range(3):
        away = (_along(c, t) - places).conj()
        v = _along((c[1], 2 * c[2], 3 * c[3]), t)
        bend = (v * v.conj() + away * _along((2 * c[2], 6 * c[3]), t)).real
        slope = (away * v).real
        step = np.where(bend > 0, slope / np.where(bend > 0, bend, 1.0), 0.0)
        t = np.minimum(np.maximum(t - np.minimum(np.maximum(step, -0.1), 0.1), 0.0), 1.0)
        t[:, 0], t[:, -1] = 0.0, 1.0
    return t
