"""A closed surface of triangles, for a printed pattern."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """Corner points (n, 3) in millimetres and triangles (m, 3) of their numbers.

    Seen from outside, each triangle runs anticlockwise.
    """

    points: NDArray[np.float64]
    triangles: NDArray[np.int64]

    @property
    def volume(self) -> float:
        """Enclosed volume in cubic millimetres, by the divergence theorem."""
        import numpy as np

        a, b, c = (self.points[self.triangles[:, i]] for i in range(3))
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)

    @property
    def is_closed(self) -> bool:
        """Whether every edge lies between exactly two triangles that agree on the outside."""
        import numpy as np

        t = self.triangles
        edges = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
        keys = edges[:, 0] * len(self.points) + edges[:, 1]
        back = edges[:, 1] * len(self.points) + edges[:, 0]
        return len(np.unique(keys)) == len(keys) and bool(np.isin(back, keys).all())
