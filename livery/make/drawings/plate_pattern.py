"""The pattern of a cast plate: the solid, measured, in parts that fit the printer's bed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from livery.findings import fault
from livery.layout.plan import PlatePlan
from livery.make.drawings.plate_section import section_drawing
from livery.mesh import Mesh
from livery.plate.pattern import pattern_of, solid_of
from livery.plate.print_bed import CutPlaces, bed_parts, cut_places
from livery.plate.thickness import ThinnestPlace, thinnest_section, thinnest_wall
from livery.write.dxf import dxf_bytes
from livery.write.stl import stl_bytes
from livery.write.svg import svg_text
from livery.write.three_mf import PrintedPart, three_mf_bytes
from livery.write.written_check import check_written

Bed = tuple[float, float]
"""Width and depth of a printer's bed, in millimetres."""

BETWEEN_PARTS_MM = 5.0
"""Between two parts on the printer's bed, in millimetres (common practice: clear of skirts and
brims). Larger, and fewer fit the bed."""

_SOLID_MM = 0.02
"""A section that is thinner than said by more is refused, in millimetres (chosen: below a layer of
a printer). Larger, and a fault of the solid is not found; smaller, and rounding is one."""

_OFF_GRID_MM = 0.00123
"""How far off round figures the wall is measured, in millimetres (chosen: no corner of a plate
lies there). Another only must miss the corners."""


class PrintedPattern(NamedTuple):
    """A pattern ready to print: whole, in its parts, and the thinnest metal and wall measured in it."""

    solid: Mesh
    parts: tuple[Mesh, ...]
    thinnest: ThinnestPlace
    wall: ThinnestPlace | None


def printed_pattern(plan: PlatePlan, bed_mm: Bed | None) -> PrintedPattern:
    """Return the pattern of a cast plate, in parts that fit the bed.

    Raises:
        LiveryError: its walls cannot stand, it is thinner or thicker than its plate says, or it
            would take too many parts.
    """
    pattern = pattern_of(plan.plate, plan.allowance)
    solid = solid_of(pattern, plan.walls)
    corners = solid.points[solid.triangles]
    thin = thinnest_section(corners)
    if abs(thin.size_mm - pattern.section_mm) > _SOLID_MM:
        raise fault(
            "pattern-thickness",
            f'the pattern of plate "{plan.name}" measures {thin.size_mm:.2f} mm at x {thin.at.x:.1f}, '
            f"y {thin.at.y:.1f} mm and should be {pattern.section_mm:.2f} mm there",
            "this is a mistake in Livery: please report it",
            exit_status=1,
        )
    wall = thinnest_wall(corners, _OFF_GRID_MM) if pattern.hollow else None
    cuts = CutPlaces() if bed_mm is None else cut_places(solid, pattern.letters, bed_mm)
    return PrintedPattern(solid, bed_parts(solid, cuts), thin, wall)


def pattern_files(plan: PlatePlan, pattern: PrintedPattern) -> dict[str, bytes]:
    """Return the pattern as STL, one file for each part, all of it as one 3MF, and a section of it."""
    name = f"plate-{plan.name}-pattern"
    parts = pattern.parts
    titles = _titles(plan, len(parts))
    files = {
        f"{name}{_number(i, len(parts))}.stl": stl_bytes(part, titles[i])
        for i, part in enumerate(parts)
    }
    files[f"{name}.3mf"] = three_mf_bytes(tuple(_laid(parts, titles)), f"{plan.title}: pattern")
    drawing = section_drawing(plan, pattern.solid)
    svg, dxf = svg_text(drawing).encode(), dxf_bytes(drawing)
    check_written(drawing, svg, dxf)
    return files | {f"{drawing.name}.svg": svg, f"{drawing.name}.dxf": dxf}


def print_notes(plan: PlatePlan, pattern: PrintedPattern, bed_mm: Bed | None) -> Iterator[str]:
    """Yield what the pattern measures, and what its printer must know."""
    wall = pattern.wall
    yield (
        f"Measured in the pattern: the thinnest metal is {pattern.thinnest.size_mm:.2f} mm"
        + ("" if wall is None else f", the thinnest wall beside the hollow {wall.size_mm:.2f} mm")
    )
    yield ""
    if plan.plate.studs:
        yield "Print it letters up; the studs hang below its back: put supports under the back"
    else:
        yield "Print it letters up, its back flat on the bed: no wall needs a support"
    if plan.plate.hollow:
        yield "The ceiling of the hollow hangs over the bed: bridge it, or support it"
    number = len(pattern.parts)
    if number > 1:
        assert bed_mm is not None
        yield (
            f"It is larger than the bed of {bed_mm[0]:.0f} x {bed_mm[1]:.0f} mm: {number} parts, "
            "numbered from the left and upward. Glue them edge to edge on a flat board"
        )
    yield (
        "The STL and 3MF files are in millimetres. Smooth and seal the layers of the print: sand "
        "takes their impression"
    )


def _titles(plan: PlatePlan, number: int) -> list[str]:
    if number == 1:
        return [f"{plan.name} pattern"]
    return [f"{plan.name} pattern, part {i} of {number}" for i in range(1, number + 1)]


def _number(index: int, number: int) -> str:
    return "" if number == 1 else f"-{index + 1}"


def _laid(parts: tuple[Mesh, ...], titles: list[str]) -> Iterator[PrintedPart]:
    """Yield each part beside the last, all in the positive corner of the bed."""
    right = 0.0
    for part, title in zip(parts, titles, strict=True):
        low, high = part.points.min(axis=0), part.points.max(axis=0)
        yield PrintedPart(title, part, (right - low[0], -low[1], -low[2]))
        right += float(high[0] - low[0]) + BETWEEN_PARTS_MM
