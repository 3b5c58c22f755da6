"""Sums over very many vectors (n, 2), column by column: ten times as quick as along rows of two.

The digits are those of the sums along the rows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]


def dots(a: Numbers, b: Numbers) -> Numbers:
    """Return the scalar products of vectors."""
    found: Numbers = a[:, 0] * b[:, 0] + a[:, 1] * b[:, 1]
    return found


def crosses(a: Numbers, b: Numbers) -> Numbers:
    """Return the vector products: positive where the second vector turns to the left of the first."""
    found: Numbers = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return found


def sizes(a: Numbers) -> Numbers:
    """Return the lengths of vectors."""
    import numpy as np

    found: Numbers = np.hypot(a[:, 0], a[:, 1])
    return found


def scaled(a: Numbers, by: Numbers) -> Numbers:
    """Return each vector times its own number."""
    import numpy as np

    return np.stack((a[:, 0] * by, a[:, 1] * by), axis=1)


def lefts(a: Numbers) -> Numbers:
    """Return vectors turned a quarter to the left."""
    import numpy as np

    return np.stack((-a[:, 1], a[:, 0]), axis=1)


def differ(a: Numbers, b: Numbers) -> NDArray[np.bool_]:
    """Return which points are not the very same."""
    found: NDArray[np.bool_] = (a[:, 0] != b[:, 0]) | (a[:, 1] != b[:, 1])
    return found
