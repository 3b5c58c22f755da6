"""A plate traced from a calibrated picture: its outline, its border and the marks on its field."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from fontTools.misc.transform import Transform

from livery.alphabet.traced import followed
from livery.colour.photo.perspective import carry_points
from livery.findings import Finding, fault
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline
from livery.survey.named_sizes import calibrated_picture
from livery.survey.survey_file import PictureEntry
from livery.survey.traced_outline import mm_per_pixel, rings_in_box, size_within

if TYPE_CHECKING:
    from shapely import Polygon

_SPECK = 2e-5
"""What goes round less than this share of the plate is dirt (chosen: 3 mm by 3 of a plate 1 m by
0.5). Larger, and full stops vanish."""

_FRAME = 0.5
"""What goes round more than this share of what it stands in is an edge of the plate or its border
(chosen). Larger, and a border is a mark."""

_MOST_EDGES = 3
"""The plate's edge, and both edges of a border that stands in from it (by definition). More, and a
frame round the words is an edge."""


_OFF_SHAPE = 0.01
"""The share of its area by which an outline may be off a rectangle or an oval and still be one
(chosen). Larger, and worn shapes are made true."""


@dataclass(frozen=True, slots=True)
class TracedBorder:
    """A border of one width: how wide it is, and how far in from the plate's edge; mm."""

    width: float
    inset: float


@dataclass(frozen=True, slots=True)
class TracedPlate:
    """What was traced of a plate: in millimetres, its left and its foot at 0, x right and y up.

    ``marks`` are its letters and whatever else stands on the field, each with its holes.  Sizes of
    the whole lie within ``within_mm`` 95 times in 100; a pixel is ``pixel_mm`` on the plate.
    """

    outline: Outline
    border: TracedBorder | None
    marks: tuple[Outline, ...]
    within_mm: float
    pixel_mm: float
    findings: tuple[Finding, ...] = ()


def traced_plate(file: Path, picture: PictureEntry, box: str) -> TracedPlate:
    """Return the plate in a box of a picture, ``x,y x,y``, with ground all round it.

    Raises LiveryError where the picture is not calibrated or nothing can be followed.
    """
    from shapely import Polygon

    on = calibrated_picture(picture)
    rings = rings_in_box(file, picture, box, _SPECK)
    to_mm = on.plane.matrix(on.plane.numbers)
    placed = [carry_points(to_mm, on.lens.straight(ring)) for ring in rings]
    fine = mm_per_pixel(rings, placed)
    shapes = [Polygon(ring / fine).buffer(0) for ring in placed]
    order = sorted(range(len(rings)), key=lambda i: -shapes[i].area)
    edges = _edges(order, shapes)
    inside = [i for i in order if i not in edges and shapes[edges[-1]].contains(shapes[i])]
    if not inside:
        raise fault(
            "trace-plate",
            f"there are no letters on the plate in {file.name}",
            "Draw the box round the whole plate; its letters must be lighter or darker than its field.",
        )
    outline = followed([placed[edges[0]] / fine])
    extent = bounds(outline)
    move = Transform(fine, 0, 0, fine, -extent.left * fine, -extent.bottom * fine)
    marks = (followed([placed[i] / fine for i in group]) for group in _marks(inside, shapes))
    return TracedPlate(
        outline.transformed(move),
        _border([shapes[i] for i in edges], fine),
        tuple(mark.transformed(move) for mark in marks if mark),
        within_mm=size_within([rings[edges[0]]], on),
        pixel_mm=fine,
        findings=on.findings,
    )


def _edges(order: Sequence[int], shapes: Sequence[Polygon]) -> list[int]:
    """Return the plate's own edge and those of its border, from outside to inside."""
    found = [order[0]]
    for i in order[1:]:
        last = shapes[found[-1]]
        is_edge = shapes[i].area > _FRAME * last.area and last.contains(shapes[i])
        if len(found) == _MOST_EDGES or not is_edge:
            break
        found.append(i)
    return found


def _border(edges: Sequence[Polygon], fine: float) -> TracedBorder | None:
    """Return the border that lies between a plate's edges; ``fine`` is mm to their unit."""
    if len(edges) == 1:
        return None
    gaps = [
        fine * (a.area - b.area) / ((a.length + b.length) / 2.0)
        for a, b in itertools.pairwise(edges)
    ]
    return TracedBorder(gaps[-1], gaps[0] if len(gaps) > 1 else 0.0)


def _marks(inside: Sequence[int], shapes: Sequence[Polygon]) -> list[list[int]]:
    """Return rings in groups: each outer one with the holes straight within it."""
    import shapely

    depth = {i: sum(shapes[j].contains(shapes[i]) for j in inside if j != i) for i in inside}
    groups = {i: [i] for i in inside if depth[i] % 2 == 0}
    for i in inside:
        if depth[i] % 2:
            around = [
                j for j in groups if depth[j] == depth[i] - 1 and shapes[j].contains(shapes[i])
            ]
            groups[around[0]].append(i)
    return sorted(groups.values(), key=lambda g: shapely.bounds(shapes[g[0]]).tolist())


def corner_radius(outline: Outline) -> float | None:
    """Return the corner radius of a rectangular outline; None for any other outline."""
    from shapely import box as rectangle

    from livery.geometry.flatten import to_shapely

    shape, around = to_shapely(outline, 0.02), bounds(outline)
    low, high = 0.0, min(around.width, around.height) / 2.0

    def off(radius: float) -> float:
        inner = rectangle(
            around.left + radius, around.bottom + radius, around.right - radius, around.top - radius
        )
        rounded = inner.buffer(radius, quad_segs=32) if radius else inner
        return float(shape.symmetric_difference(rounded).area)

    for _ in range(24):
        one, other = low + (high - low) / 3.0, high - (high - low) / 3.0
        low, high = (low, other) if off(one) < off(other) else (one, high)
    return low if off(low) < _OFF_SHAPE * shape.area else None


def is_oval(outline: Outline) -> bool:
    """Return whether an outline is an ellipse that stands level."""
    from livery.geometry.flatten import to_shapely
    from livery.geometry.shapes import ORIGIN, circle

    around = bounds(outline)
    place = Transform(around.width / 2.0, 0, 0, around.height / 2.0, *around.centre)
    oval = circle(ORIGIN, 1.0).transformed(place)
    shape = to_shapely(outline, 0.02)
    off = shape.symmetric_difference(to_shapely(oval, 0.02)).area
    return bool(off < _OFF_SHAPE * shape.area)
