"""The colour profile inside a photograph, read exactly where it is of the plain kind.

Nearly every camera, scanner and phone writes an RGB profile of three curves and a matrix
(ICC.1:2022, 8.4.3 "Three-component matrix-based input profiles").  Those are read here at
full depth and without cutting anything off at the edge of sRGB; any other kind is left to
the colour engine in Pillow, which works in 8 bits.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from livery.colour.conversion import adapt, linear_rgb_from_xyz, white
from livery.colour.science import FloatArray

PCS_WHITE = (0.9642, 1.0, 0.8249)
"""D50 as the ICC profile connection space has it (ICC.1:2022, 7.2.16; CIE D50). Another shifts
every colour."""

Curve: TypeAlias = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True, slots=True, eq=False)
class MatrixProfile:
    """Three curves to linear light and the matrix from there to linear sRGB."""

    curves: tuple[Curve, Curve, Curve]
    to_linear_srgb: FloatArray


def read_matrix_profile(data: bytes) -> MatrixProfile | None:
    """Return the curves and matrix of an ICC profile, or None if it is of another kind."""
    if len(data) < 132 or data[16:20] != b"RGB " or data[20:24] != b"XYZ ":
        return None
    tags = _tags(data)
    needed = (b"rXYZ", b"gXYZ", b"bXYZ", b"rTRC", b"gTRC", b"bTRC")
    if b"A2B0" in tags or not all(name in tags for name in needed):
        return None
    colorants = np.array([_xyz(tags[name]) for name in needed[:3]])
    curves = [_curve(tags[name]) for name in needed[3:]]
    if any(curve is None for curve in curves):
        return None
    red, green, blue = (curve for curve in curves if curve is not None)
    linear = linear_rgb_from_xyz(adapt(colorants, PCS_WHITE, white("D65")))
    return MatrixProfile((red, green, blue), linear)


def _tags(data: bytes) -> dict[bytes, bytes]:
    (count,) = struct.unpack_from(">I", data, 128)
    found = {}
    for i in range(count):
        name, offset, size = struct.unpack_from(">4sII", data, 132 + 12 * i)
        found[name] = data[offset : offset + size]
    return found


def _xyz(tag: bytes) -> tuple[float, float, float]:
    x, y, z = struct.unpack_from(">3i", tag, 8)
    return x / 65536, y / 65536, z / 65536


def _curve(tag: bytes) -> Curve | None:
    if tag[:4] == b"curv":
        return _sampled_curve(tag)
    if tag[:4] == b"para":
        return _parametric_curve(tag)
    return None


def _sampled_curve(tag: bytes) -> Curve:
    """Read curveType (ICC.1:2022, 10.6): nothing, a gamma, or a table."""
    (count,) = struct.unpack_from(">I", tag, 8)
    if count == 0:
        return lambda x: x
    values = np.frombuffer(tag, dtype=">u2", count=count, offset=12).astype(np.float64)
    if count == 1:
        gamma = float(values[0]) / 256
        return lambda x: np.asarray(x**gamma)
    inputs = np.linspace(0.0, 1.0, count)
    return lambda x: np.asarray(np.interp(x, inputs, values / 65535))


def _parametric_curve(tag: bytes) -> Curve | None:
    """Read parametricCurveType (ICC.1:2022, 10.18, table 68)."""
    (kind,) = struct.unpack_from(">H", tag, 8)
    counts = {0: 1, 1: 3, 2: 4, 3: 5, 4: 7}
    if kind not in counts:
        return None
    given = [v / 65536 for v in struct.unpack_from(f">{counts[kind]}i", tag, 12)]
    unset = [1.0, 1.0, 0.0, 0.0, -1.0, 0.0, 0.0]
    g, a, b, c, d, e, f = given + unset[len(given) :]
    if kind in (1, 2):
        e = f = c
        c, d = 0.0, -b / a

    def curve(x: FloatArray) -> FloatArray:
        powered = np.maximum(a * x + b, 0.0) ** g + e
        return np.asarray(np.where(x >= d, powered, c * x + f))

    return curve
