"""Solids as binary STL in millimetres, for a printed pattern."""

from __future__ import annotations

from typing import TYPE_CHECKING

from livery.work_cache import kept

if TYPE_CHECKING:
    from livery.mesh import Mesh

_HEADER_BYTES = 80
"""The bytes before the number of triangles (by definition of binary STL). Another is not read."""


@kept
def stl_bytes(mesh: Mesh, name: str) -> bytes:
    """Return the solid as binary STL; the header holds ``name`` and the unit.

    Layout as stereolithography's own: 80 bytes of header, a count, then per
    triangle its normal, three corners (32-bit floats) and two unused bytes.
    """
    import numpy as np

    corners = mesh.points[mesh.triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])
    triangles = np.zeros(len(corners), record)
    triangles["normal"], triangles["corners"] = normals, corners
    # A header that begins with "solid" would be taken for the ASCII form.
    header = f"plate {name} (millimetres)".encode("ascii", "replace")
    header = header[:_HEADER_BYTES].ljust(_HEADER_BYTES)
    return header + len(triangles).to_bytes(4, "little") + triangles.tobytes()
