"""3MF packages read by themselves: the triangles of every object, where it is placed on the bed."""

from __future__ import annotations

import zipfile
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
from numpy.typing import NDArray

from livery.findings import fault

_CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
_RELATED = "{http://schemas.openxmlformats.org/package/2006/relationships}"
_MODEL_TYPE = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
_MOST_BYTES = 500_000_000
"""The most that a package may unpack to, in bytes (chosen: far more than any pattern). Larger, and
a damaged file fills memory."""


@dataclass(frozen=True, eq=False)
class ThreeMfFile:
    """A package: the unit, the names of what is placed, and the corners (n, 3, 3) of each where it lies."""

    unit: str
    names: tuple[str, ...]
    corners: tuple[NDArray[np.float64], ...]


def read_three_mf(file: Path) -> ThreeMfFile:
    """Return what a 3MF package places on the bed.

    Raises:
        LiveryError: it is not one.
    """
    try:
        with zipfile.ZipFile(file) as package:
            related = ElementTree.fromstring(package.read("_rels/.rels"))
            (target,) = (
                r.attrib["Target"]
                for r in related.iter(f"{_RELATED}Relationship")
                if r.attrib["Type"] == _MODEL_TYPE
            )
            place = target.lstrip("/")
            if package.getinfo(place).file_size > _MOST_BYTES:
                raise ValueError("its model is too large to read")
            model = ElementTree.fromstring(package.read(place))
        return _placed(model)
    except (zipfile.BadZipFile, ElementTree.ParseError, KeyError, ValueError, IndexError) as wrong:
        raise fault(
            "prove-unreadable",
            f"{file.name} cannot be read as 3MF: {wrong}",
            "build the job again",
            exit_status=1,
        ) from wrong


def _placed(model: ElementTree.Element) -> ThreeMfFile:
    objects = {o.attrib["id"]: o for o in model.iter(f"{_CORE}object")}
    names, corners = [], []
    for item in model.iter(f"{_CORE}item"):
        of = objects[item.attrib["objectid"]]
        points = np.array(
            [[float(v.attrib[k]) for k in "xyz"] for v in of.iter(f"{_CORE}vertex")], float
        )
        triangles = np.array(
            [[int(t.attrib[k]) for k in ("v1", "v2", "v3")] for t in of.iter(f"{_CORE}triangle")]
        )
        if not len(points) or not len(triangles) or not np.isfinite(points).all():
            raise ValueError(
                "it has an object without triangles, or with corners that are not numbers"
            )
        if triangles.min() < 0:
            raise ValueError("it has a triangle with a corner that does not exist")
        turn = np.array(item.attrib.get("transform", "1 0 0 0 1 0 0 0 1 0 0 0").split(), float)
        carried = points @ turn[:9].reshape(3, 3) + turn[9:]
        names.append(of.attrib.get("name", ""))
        corners.append(carried[triangles])
    return ThreeMfFile(model.attrib.get("unit", "millimeter"), tuple(names), tuple(corners))
