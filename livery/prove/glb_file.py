"""A binary glTF file read by itself: each part's triangles, as it stands in the scene and its colour."""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

_JSON, _BINARY = 0x4E4F534A, 0x004E4942
"""The kinds of chunk (by definition, glTF 2.0, ISO/IEC 12113). Another is not found."""

_FLOATS, _TRIANGLES = 5126, 4
"""The codes of 4-byte floats, and of triangles (by definition, glTF 2.0, ISO/IEC 12113). Another
is read as other numbers."""

_FLAT = 0.01
"""How far the corners of what is flat lie from one plane, in millimetres (chosen: numbers there
have seven digits). Larger, and a bent panel passes as flat."""

_INDICES = {5121: "u1", 5123: "<u2", 5125: "<u4"}
"""Component types of glTF 2.0 (ISO/IEC 12113:2022, 5.1.3)."""


@dataclass(frozen=True)
class ColouredFaces:
    """The triangles of one part that have one colour (``#rrggbb``).

    ``corners`` are (n, 3, 3), in millimetres in the axes of the scene: y up, the front towards z.
    """

    part: str
    colour: str
    corners: Any


@dataclass(frozen=True)
class GlbFile:
    """What a file holds: by the name of each part, the area of its triangles in mm².

    ``flat`` are the parts whose triangles all lie in one plane; ``faces`` all that it shows.
    """

    areas: dict[str, float]
    flat: frozenset[str] = frozenset()
    faces: tuple[ColouredFaces, ...] = ()


def read_glb(file: Path) -> GlbFile:
    """Return the parts of a binary glTF file.

    Raises:
        Exception: whatever fails on a file that is none, for the caller to put into words.
    """
    document, data = _chunks(file.read_bytes())
    corners: dict[str, list[Any]] = {}
    faces = []
    onto = _matrix(document["nodes"][document["scenes"][0]["nodes"][0]])
    for node in document["nodes"]:
        if "mesh" not in node:
            continue
        name, mesh = str(node["name"]), document["meshes"][node["mesh"]]
        for one in mesh["primitives"]:
            own = _corners(document, data, one)
            corners.setdefault(name, []).append(own)
            placed = 1000.0 * (own @ onto[:3, :3].T + onto[:3, 3])
            faces.append(
                ColouredFaces(name, _colour(document["materials"][one["material"]]), placed)
            )
    whole = {name: np.concatenate(own) for name, own in corners.items()}
    return GlbFile(
        {name: _area(own) for name, own in whole.items()},
        frozenset(name for name, own in whole.items() if _is_flat(own)),
        tuple(faces),
    )


def _matrix(node: Any) -> Any:
    """Return the matrix of a node, which the file has by columns (glTF 2.0, 3.5.2)."""
    return np.array(node.get("matrix", np.eye(4).ravel())).reshape(4, 4).T


def _colour(material: Any) -> str:
    """Return a material's base colour as a screen shows it (IEC 61966-2-1:1999, 5.2)."""
    linear = np.array(material["pbrMetallicRoughness"]["baseColorFactor"][:3])
    code = np.where(
        linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 0.0) ** (1 / 2.4) - 0.055
    )
    return "#" + "".join(f"{v:02x}" for v in np.rint(255.0 * code).astype(int))


def _chunks(content: bytes) -> tuple[Any, bytes]:
    magic, version, size = struct.unpack_from("<4sII", content)
    if magic != b"glTF" or version != 2 or size != len(content):
        raise ValueError("its header or its length is not that of binary glTF 2.0")
    found: dict[int, bytes] = {}
    at = 12
    while at < size:
        length, kind = struct.unpack_from("<II", content, at)
        found[kind] = content[at + 8 : at + 8 + length]
        at += 8 + length
    return json.loads(found[_JSON]), found[_BINARY]


def _corners(document: Any, data: bytes, primitive: Any) -> Any:
    """Return a part's triangles: (n, 3, 3)."""
    if primitive.get("mode", _TRIANGLES) != _TRIANGLES:
        raise ValueError("a part is not made of triangles")
    places = _read(document, data, primitive["attributes"]["POSITION"]).astype(float)
    if not np.isfinite(places).all():
        raise ValueError("a corner has no position")
    if "indices" in primitive:
        places = places[_read(document, data, primitive["indices"]).reshape(-1)]
    return places.reshape(-1, 3, 3)


def _area(corners: Any) -> float:
    sides = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return float(np.linalg.norm(sides, axis=1).sum() / 2.0)


def _is_flat(corners: Any) -> bool:
    places = corners.reshape(-1, 3)
    if not len(places):
        return False
    away = places - places.mean(axis=0)
    *_, axes = np.linalg.svd(away, full_matrices=False)
    return bool(np.abs(away @ axes[-1]).max() < _FLAT)


def _read(document: Any, data: bytes, number: int) -> Any:
    accessor = document["accessors"][number]
    view = document["bufferViews"][accessor["bufferView"]]
    kind = accessor["componentType"]
    dtype = np.dtype("<f4" if kind == _FLOATS else _INDICES[kind])
    wide = {"SCALAR": 1, "VEC3": 3}[accessor["type"]]
    start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
    found = np.frombuffer(data, dtype, accessor["count"] * wide, start)
    return found.reshape(-1, wide)
