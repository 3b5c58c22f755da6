"""A binary glTF file read by itself: each part's triangles, in its own units."""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

_JSON, _BINARY = 0x4E4F534A, 0x004E4942
_FLOATS, _TRIANGLES = 5126, 4
_FLAT = 0.01
"""How far the corners of what is flat lie from one plane: numbers there have seven digits."""
_INDICES = {5121: "u1", 5123: "<u2", 5125: "<u4"}
"""Component types of glTF 2.0 (ISO/IEC 12113:2022, 5.1.3)."""


@dataclass(frozen=True)
class GlbFile:
    """What a file holds: by the name of each part, the area of its triangles in mm².

    ``flat`` are the parts whose triangles all lie in one plane.
    """

    areas: dict[str, float]
    flat: frozenset[str] = frozenset()


def read_glb(file: Path) -> GlbFile:
    """Return the parts of a binary glTF file.

    Raises:
        Exception: whatever fails on a file that is none, for the caller to put into words.
    """
    document, data = _chunks(file.read_bytes())
    corners: dict[str, list[Any]] = {}
    for node in document["nodes"]:
        if "mesh" not in node:
            continue
        mesh = document["meshes"][node["mesh"]]
        own = corners.setdefault(str(node["name"]), [])
        own += [_corners(document, data, one) for one in mesh["primitives"]]
    whole = {name: np.concatenate(own) for name, own in corners.items()}
    return GlbFile(
        {name: _area(own) for name, own in whole.items()},
        frozenset(name for name, own in whole.items() if _is_flat(own)),
    )


def _chunks(content: bytes) -> tuple[Any, bytes]:
    magic, version, size = struct.unpack_from("<4sII", content)
    if magic != b"glTF" or version != 2 or size != len(content):
        raise ValueError("its header is not that of binary glTF 2.0, or its length is another")
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
        raise ValueError("a part is not of triangles")
    places = _read(document, data, primitive["attributes"]["POSITION"]).astype(float)
    if not np.isfinite(places).all():
        raise ValueError("a corner has no place")
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
