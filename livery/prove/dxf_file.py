"""DXF files read again by ezdxf: their unit and the polylines of every layer."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from livery.parsing import parsing
from livery.prove.contour import PlacedWords, ReadContour, arc_points

_MILLIMETRES = 4
"""The unit of the file (by definition, DXF's $INSUNITS). Another refuses every file."""

_UP = (0.0, 0.0, 1.0)
"""The way a flat entity looks unless it says otherwise; turned over, it is seen mirrored."""


@dataclass(frozen=True)
class DxfFile:
    """A cut file: whether it is in millimetres, its contours by layer, and what does not belong."""

    in_millimetres: bool
    layers: dict[str, tuple[ReadContour, ...]]
    strays: tuple[str, ...]
    words: tuple[PlacedWords, ...] = ()


def read_dxf(file: Path) -> DxfFile:
    """Return what a DXF file holds.

    Raises:
        LiveryError: it cannot be read as DXF.
    """
    from ezdxf.filemanagement import readfile

    with parsing(file, "a DXF file", "build the job again", code="prove-unreadable", exit_status=1):
        return _held(readfile(file))


def _held(document: Any) -> DxfFile:
    found: dict[str, list[ReadContour]] = {}
    strays: list[str] = []
    words: list[PlacedWords] = []
    for entity in document.modelspace():
        kind = entity.dxftype()
        if tuple(entity.dxf.get("extrusion", _UP)) != _UP:
            strays.append(f"{kind} that is turned over on layer {entity.dxf.layer}")
        if kind == "LWPOLYLINE":
            found.setdefault(entity.dxf.layer, []).append(_contour(entity))
        elif kind == "TEXT":
            words.append(_words(entity))
        else:
            strays.append(f"{kind} on layer {entity.dxf.layer}")
    return DxfFile(
        document.header.get("$INSUNITS") == _MILLIMETRES,
        {name: tuple(contours) for name, contours in found.items()},
        tuple(strays),
        tuple(words),
    )


def _words(text: Any) -> PlacedWords:
    _, at, _ = text.get_placement()
    return PlacedWords(str(text.dxf.text), (float(at.x), float(at.y)), float(text.dxf.height))


def _contour(line: Any) -> ReadContour:
    nodes = [(float(x), float(y), float(b)) for x, y, b in line.get_points("xyb")]
    closed = bool(line.closed)
    ring = [*nodes, nodes[0]] if closed else nodes
    runs = [np.array([nodes[0][:2]])]
    runs += [arc_points(a[:2], b[:2], a[2]) for a, b in pairwise(ring)]
    points = np.vstack(runs)
    return ReadContour(points[:-1] if closed else points, closed)
