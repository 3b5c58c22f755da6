"""The library that does the colorimetry, brought in on first use.

Measured on 10,000 pairs, CIEDE2000 takes colour-science 4 ms and coloraide 140 ms,
the objects included; one import costs 0.5 to 0.7 s against 0.1 s.  Photographs have
millions of samples, so colour-science is the one library at run time, imported only by
work that needs its data.  Lab, sRGB and CIEDE2000 are worked out by Livery itself, in a
fifth to a half of the time, as fits take each thousands of times, and a job whose paints are
given in Lab imports nothing.  coloraide brings colours into a screen's gamut, and is with
colormath the second opinion in the tests.
"""

from __future__ import annotations

import warnings
from functools import cache
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]


@cache
def colour_science() -> Any:
    """Return the ``colour`` package.

    Importing it warns about extras not installed and changes how numpy prints; neither
    is needed.
    """
    options = np.get_printoptions()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    np.set_printoptions(**options)

    return colour
