"""Coloured surfaces as binary glTF 2.0 (ISO/IEC 12113:2022), to be turned about.

glTF is in metres with y up and the front towards +z; a vehicle's space is in millimetres.
One matrix at the root carries the one into the other, so that what is inside reads in
millimetres.  Each part has one mesh with one primitive for each colour.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class ColouredTriangles:
    """Triangles of one colour (``#rrggbb``): corners (n, 3, 3) in mm in a vehicle's space.

    Seen from the side that is painted, each runs anticlockwise.
    """

    colour: str
    corners: NDArray[np.float64]


@dataclass(frozen=True)
class SolidPart:
    """A named part of a solid, with its colours in order."""

    name: str
    colours: tuple[ColouredTriangles, ...]


@dataclass(frozen=True)
class Solid:
    """A solid to be turned about; ``title`` stands in the file."""

    title: str
    parts: tuple[SolidPart, ...]


ROOT = (
    # Columns: where station, right and height go; millimetres become metres.
    (0.0, 0.0, -0.001, 0.0),  # station runs back: away from the front, which is at +z
    (-0.001, 0.0, 0.0, 0.0),  # with y up and the front at +z, the right hand is at -x
    (0.0, 0.001, 0.0, 0.0),  # height is up
    (0.0, 0.0, 0.0, 1.0),
)
"""The map from station, right and height in millimetres to the scene, by columns (by definition:
glTF 2.0, ISO/IEC 12113, has metres, y up and the front at +z). Another shows the vehicle turned,
mirrored or of another size."""


def glb_bytes(solid: Solid) -> bytes:
    """Return the solid as one binary glTF file; the same solid gives the same bytes."""
    import pygltflib as g

    colours = list(dict.fromkeys(c.colour for part in solid.parts for c in part.colours))
    file = g.GLTF2(
        asset=g.Asset(version="2.0", generator="Livery"),
        scene=0,
        scenes=[g.Scene(name=solid.title, nodes=[0])],
        materials=[_material(colour) for colour in colours],
        meshes=[],
        accessors=[],
        bufferViews=[],
    )
    data = bytearray()
    for part in solid.parts:
        primitives = [
            g.Primitive(
                attributes=g.Attributes(
                    POSITION=_add(file, data, c.corners.reshape(-1, 3)),
                    NORMAL=_add(file, data, _normals(c.corners)),
                ),
                material=colours.index(c.colour),
                mode=g.TRIANGLES,
            )
            for c in part.colours
        ]
        file.meshes.append(g.Mesh(name=part.name, primitives=primitives))
    children = [g.Node(name=part.name, mesh=i) for i, part in enumerate(solid.parts)]
    matrix = [value for column in ROOT for value in column]
    root = g.Node(name=solid.title, matrix=matrix, children=list(range(1, len(children) + 1)))
    file.nodes = [root, *children]
    file.buffers = [g.Buffer(byteLength=len(data))]
    file.set_binary_blob(bytes(data))
    return b"".join(file.save_to_bytes())


def _material(colour: str) -> Any:
    """Return a matt material; glTF's base colour is linear light, not the screen's code."""
    import pygltflib as g

    linear = [_linear(int(colour[i : i + 2], 16) / 255.0) for i in (1, 3, 5)]
    surface = g.PbrMetallicRoughness(
        baseColorFactor=[*linear, 1.0], metallicFactor=0.0, roughnessFactor=0.5
    )
    return g.Material(name=colour, pbrMetallicRoughness=surface, doubleSided=True)


def _linear(code: float) -> float:
    """Return the linear light of an sRGB code from 0 to 1 (IEC 61966-2-1:1999, 5.2)."""
    value = code / 12.92 if code <= 0.04045 else ((code + 0.055) / 1.055) ** 2.4
    return round(value, 6)


def _normals(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the unit normal of each triangle, once for each of its corners."""
    import numpy as np

    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return np.repeat(normals, 3, axis=0)


def _add(file: Any, data: bytearray, rows: NDArray[np.float64]) -> int:
    """Add rows of three 32-bit floats to the file's data; return their accessor's number."""
    import numpy as np
    import pygltflib as g

    values = np.ascontiguousarray(rows, dtype="<f4")
    file.bufferViews.append(
        g.BufferView(
            buffer=0, byteOffset=len(data), byteLength=values.nbytes, target=g.ARRAY_BUFFER
        )
    )
    file.accessors.append(
        g.Accessor(
            bufferView=len(file.bufferViews) - 1,
            componentType=g.FLOAT,
            count=len(values),
            type=g.VEC3,
            min=_three(values.min(axis=0)),
            max=_three(values.max(axis=0)),
        )
    )
    data += values.tobytes()
    return len(file.accessors) - 1


def _three(values: Iterable[Any]) -> Sequence[float]:
    return [float(v) for v in values]
