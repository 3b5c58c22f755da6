"""A binary glTF file read by itself: the area of each part's triangles, in its own units."""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

_JSON, _BINARY = 0x4E4F534A, 0x004E4942
_FLOATS, _TRIANGLES = 5126, 4
_INDICES = {5121: "u1", 5123: "<u2", 5125: "<u4"}
"""Component types of glTF 2.0 (ISO/IEC 12113:2022, 5.1.3)."""


@dataclass(frozen=True)
class GlbFile:
    """What a file holds: by the name of each part, the area of its triangles in mm²."""

    areas: dict[str, float]


def read_glb(file: Path) -> GlbFile:
    """Return the parts of a binary glTF file.

    Raises:
        Exception: whatever fails on a file that is none, for the caller to put into words.
    """
    document, data = _chunks(file.read_bytes())
    areas: dict[str, float] = {}
    for node in document["nodes"]:
        if "mesh" not in node:
            continue
        mesh = document["meshes"][node["mesh"]]
        area = sum(_area(document, data, one) for one in mesh["primitives"])
        areas[str(node["name"])] = areas.get(str(node["name"]), 0.0) + area
    return GlbFile(areas)


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


def _area(document: Any, data: bytes, primitive: Any) -> float:
    if primitive.get("mode", _TRIANGLES) != _TRIANGLES:
        raise ValueError("a part is not of triangles")
    places = _read(document, data, primitive["attributes"]["POSITION"]).astype(float)
    if not np.isfinite(places).all():
        raise ValueError("a corner has no place")
    if "indices" in primitive:
        places = places[_read(document, data, primitive["indices"]).reshape(-1)]
    corners = places.reshape(-1, 3, 3)
    sides = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return float(np.linalg.norm(sides, axis=1).sum() / 2.0)


def _read(document: Any, data: bytes, number: int) -> Any:
    accessor = document["accessors"][number]
    view = document["bufferViews"][accessor["bufferView"]]
    kind = accessor["componentType"]
    dtype = np.dtype("<f4" if kind == _FLOATS else _INDICES[kind])
    wide = {"SCALAR": 1, "VEC3": 3}[accessor["type"]]
    start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
    found = np.frombuffer(data, dtype, accessor["count"] * wide, start)
    return found.reshape(-1, wide)
