"""Rounding that does not hang on the last bits of a number.

Processors and linear algebra libraries differ in the last bits of a sine or a sum.
Sizes in fractions of an inch often lie half way between two steps of a decimal place,
or just as far from one thing as from another: there the last bits would decide what is
written.  Rounding twice, or first to a grid on which no such size lies half way, takes
them out.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

_GUARD_DECIMALS = 9
"""Decimals of a millimetre that a value is rounded to first (chosen: lengths of some metres carry
about twelve, the last two of them noise). More, and the noise decides how a half is rounded."""
_PRINTED_GUARD_DECIMALS = 6
"""The same for a figure to read, which may come from arcs and sums (chosen: a millionth of a
millimetre, far below any figure). More, and one size is printed in two ways."""
_STEPS_PER_MM = 2.0**20
"""Steps of the grid on which shapes are compared (chosen: a power of two, so that it is exact;
0.000001 mm). Larger, and the last bits of a sum decide."""


def rounded_value(value: float, decimals: int) -> float:
    """Return a value rounded to ``decimals``, a half away from zero, and never negative zero.

    >>> rounded_value(-0.0004, 3), rounded_value(3.175, 2), rounded_value(9.525, 2)
    (0.0, 3.18, 9.53)
    """
    if decimals >= _GUARD_DECIMALS:
        return round(value, decimals) + 0.0
    steps = 10.0**decimals
    # A half may lie just below itself in binary: half a unit of the guard puts it back.
    guard = 0.5 * 10.0**-_GUARD_DECIMALS
    count = math.floor((abs(value) + guard) * steps + 0.5)
    return math.copysign(count / steps, value) + 0.0


def figure(value: float, decimals: int) -> str:
    """Return a size as a sheet or a message gives it, always with ``decimals`` and never "-0".

    >>> figure(22.225, 2), figure(22.22499999, 2), figure(-0.001, 2)
    ('22.23', '22.23', '0.00')
    """
    return f"{rounded_value(round(value, _PRINTED_GUARD_DECIMALS), decimals):.{decimals}f}"


def on_grid(millimetres: ArrayLike) -> NDArray[np.float64]:
    """Return lengths rounded to a millionth of a millimetre (2**-20 mm), exact in binary."""
    import numpy as np

    return np.round(np.asarray(millimetres, float) * _STEPS_PER_MM) / _STEPS_PER_MM


@lru_cache(maxsize=1 << 16)
def written(value: float, decimals: int) -> str:
    """Return a coordinate of a file as text, rounded to ``decimals``, without trailing zeros.

    A half is rounded to whichever side its number in binary lies.  The same outlines are written
    into several files: most numbers come again.

    >>> written(12.50, 3)
    '12.5'
    """
    text = f"{round(value, max(decimals, _GUARD_DECIMALS)):.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
