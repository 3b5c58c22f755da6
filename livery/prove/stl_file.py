"""Binary STL files read by themselves: their triangles, and what stands at one height."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from livery.findings import fault
from livery.prove.contour import BoundingBox

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_HEAD, _EACH = 84, 50
"""The bytes before the triangles, and of each of them (by definition of binary STL). Another is
not read."""

_FLAT_MM = 1e-3
"""How far a corner may lie from a height and stand at it, in millimetres (chosen: numbers there
have seven digits). Larger, and a slope passes as flat."""


@dataclass(frozen=True, eq=False)
class StlFile:
    """A solid: corners of its triangles, of shape (n, 3, 3), in millimetres."""

    corners: NDArray[np.float64]

    @property
    def heights(self) -> tuple[float, float]:
        """The lowest and the highest point."""
        z = self.corners[:, :, 2]
        return float(z.min()), float(z.max())

    @property
    def size(self) -> BoundingBox:
        """Its bounds as seen from above."""
        points = self.corners.reshape(-1, 3)
        (left, bottom, _), (right, top, _) = points.min(axis=0), points.max(axis=0)
        return BoundingBox(float(left), float(bottom), float(right), float(top))

    @cached_property
    def is_closed(self) -> bool:
        """Whether every edge of a triangle is another's, run the other way."""
        # Corners written as 32-bit numbers are equal to the bit where they are one point.
        _, index = np.unique(self.corners.reshape(-1, 3), axis=0, return_inverse=True)
        index = index.reshape(-1, 3)
        edges = np.vstack([index[:, [0, 1]], index[:, [1, 2]], index[:, [2, 0]]])
        forth = {(int(a), int(b)) for a, b in edges}
        return len(forth) == len(edges) and all((b, a) in forth for a, b in forth)

    def level_region(self, height: float, *, downward: bool = False) -> BaseGeometry:
        """Return what is flat at a height and looks up, or down, as seen from above."""
        import shapely

        flat = (np.abs(self.corners[:, :, 2] - height) <= _FLAT_MM).all(axis=1)
        faces = self.corners[flat][:, :, :2]
        (ax, ay), (bx, by) = ((faces[:, i] - faces[:, 0]).T for i in (1, 2))
        turn = ax * by - ay * bx
        seen = faces[turn < 0.0 if downward else turn > 0.0]
        return shapely.union_all(shapely.polygons(seen))


def joined_solid(parts: Sequence[StlFile]) -> StlFile:
    """Return the parts of a solid where they stand, as one."""
    return StlFile(np.concatenate([part.corners for part in parts]))


def read_stl(file: Path) -> StlFile:
    """Return the solid in a binary STL file.

    Raises:
        LiveryError: it is not one.
    """
    content = file.read_bytes()
    count = int.from_bytes(content[_HEAD - 4 : _HEAD], "little")
    if not count or len(content) != _HEAD + _EACH * count:
        raise _unreadable(file, "its length does not match its number of triangles")
    each = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])
    corners = np.frombuffer(content, each, count, _HEAD)["corners"].astype(float)
    if not np.isfinite(corners).all():
        raise _unreadable(file, "some of its corners are not numbers")
    return StlFile(corners)


def _unreadable(file: Path, why: str) -> Exception:
    return fault(
        "prove-unreadable",
        f"{file.name} cannot be read as STL: {why}",
        "build the job again",
        exit_status=1,
    )
