"""Cut drawings as HP-GL/2, the plotter language that cutters read: one pen for each tool.

A plotter unit is 0.025 mm, 40 to the millimetre (as pen plotters have it;
from memory).  x runs along the film and y across it, from the lower left corner.
Only what is cut is written; curves are chords within ``CURVE_MM``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from livery.drawing import Area, Drawing, Stroke
from livery.geometry.flatten import flatten
from livery.geometry.outline import Contour, Point
from livery.work_cache import kept

UNITS_PER_MM = 40
"""Plotter units in a millimetre (by definition of HP-GL/2: 0.025 mm). Another cuts at another
size."""

CURVE_MM = 0.01
"""How far a chord may lie from its curve, in millimetres (chosen: below half a plotter unit).
Larger, and curves are cut with corners."""

PENS = {
    "relief-cut": 1,
    "cut": 1,
    "cut-knife-path": 1,
    "register-cut": 2,
    "weed-cut": 3,
    "frame-cut": 4,
}
"""The pen of each layer that is cut, in the order of cutting."""


@kept
def hpgl_bytes(drawing: Drawing) -> bytes:
    """Return a cut drawing as HP-GL/2, each pen once, its cuts in the order of the drawing."""
    cuts: dict[int, list[Contour]] = {}
    for mark in drawing.marks:
        pen = PENS.get(mark.layer)
        if pen is None:
            continue
        if isinstance(mark, Area):
            cuts.setdefault(pen, []).extend(mark.outline)
        elif isinstance(mark, Stroke):
            cuts.setdefault(pen, []).append(mark.contour)
    lines = ["IN;", "PA;"]
    for pen in sorted(cuts):
        lines.append(f"SP{pen};")
        lines += [line for contour in cuts[pen] for line in _cut(contour)]
    lines += ["PU0,0;", "SP0;"]
    return ("\n".join(lines) + "\n").encode("ascii")


def _cut(contour: Contour) -> Iterator[str]:
    points = [_units(p) for p in flatten(contour, CURVE_MM)]
    if contour.closed:
        points.append(points[0])
    kept = [p for i, p in enumerate(points) if i == 0 or p != points[i - 1]]
    if len(kept) < 2:
        return
    yield "PU{},{};".format(*kept[0])
    yield "PD" + ",".join(f"{x},{y}" for x, y in kept[1:]) + ";"


def _units(point: Point) -> tuple[int, int]:
    """Return a point in plotter units, halves always rounded up so that equal points stay equal."""
    x, y = (math.floor(round(v * UNITS_PER_MM, 6) + 0.5) for v in point)
    return x, y
