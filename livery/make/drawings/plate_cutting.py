"""The paths of the cutter that mills or engraves a plate, as SVG and DXF, one layer for each cut."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fontTools.misc.transform import Transform

from livery.drawing import Area, Drawing, Mark, Stroke
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline
from livery.geometry.path_text import write_path
from livery.layout.plan import PlatePlan
from livery.plate.cutting import CutterPaths, cutter_paths, unreached_corners
from livery.rounding import rounded_value
from livery.write.dxf import dxf_bytes
from livery.write.svg import svg_text
from livery.write.written_check import check_written

MARGIN_MM = 5.0
"""The margin round plate and cutter, in millimetres (chosen: room for a clamp's edge). Larger, and
the file is larger."""

_LINE_MM = 0.05
"""The width paths are drawn at, in millimetres (chosen: a hairline; the cutter follows its
middle). Larger only shows more in a viewer."""

_SINGLE_LINE = "single-line"
_LINE_COLOUR = "#c000c0"
_COLOURS = {"letters": "#c00000", "edge": "#000000", "holes": "#0000c0", "drilled": "#008000"}


def cut_files(plan: PlatePlan) -> dict[str, bytes]:
    """Return the cutter's paths, by name."""
    drawing = _drawing(plan)
    svg, dxf = svg_text(drawing).encode(), dxf_bytes(drawing)
    check_written(drawing, svg, dxf)
    return {f"{drawing.name}.svg": svg, f"{drawing.name}.dxf": dxf}


def cut_record(plan: PlatePlan) -> dict[str, Any]:
    """Return the cutter's diameter, and what carries the units of its paths to the plate."""
    assert plan.cutter_mm is not None
    page = _drawing(plan)
    onto = _to_page(plan).inverse().transform(Transform(1, 0, 0, -1, 0, page.height_mm))
    return {
        "diameter_mm": rounded_value(plan.cutter_mm, 6),
        "single_line": write_path(Outline(plan.plate.lines), 6),
        "corners": len(unreached_corners(plan.plate, plan.cutter_mm)),
        "to_plate": [rounded_value(v, 9) for v in onto],
    }


def cut_notes(plan: PlatePlan) -> Iterator[str]:
    """Yield what whoever mills or engraves the plate must know."""
    assert plan.cutter_mm is not None
    plate = plan.plate
    yield ""
    yield f"Cutter: {plan.cutter_mm:.2f} mm across; its paths are those of its middle"
    yield f"Depth: {plate.relief_mm:.2f} mm to the ground, {plate.relief_mm + plate.thickness_mm:.2f} mm round the edge"
    corners = unreached_corners(plate, plan.cutter_mm)
    yield f"Corners that it leaves rounded: {len(corners)}"
    if plate.lines:
        yield "Letters of one line: follow each line once, in one pass of the cutter"
    yield "The path along the letters is the last; clear the rest of the ground within it"


def _paths(plan: PlatePlan) -> CutterPaths:
    assert plan.cutter_mm is not None
    return cutter_paths(plan.plate, plan.cutter_mm)


def _to_page(plan: PlatePlan) -> Transform:
    assert plan.cutter_mm is not None
    box = bounds(plan.plate.outline)
    out = MARGIN_MM + 2.0 * plan.cutter_mm
    return Transform().translate(out - box.left, out - box.bottom)


def _drawing(plan: PlatePlan) -> Drawing:
    assert plan.cutter_mm is not None
    move, box = _to_page(plan), bounds(plan.plate.outline)
    marks: list[Mark] = [
        Area(region.transformed(move), None, _COLOURS[layer], _LINE_MM, layer, name=f"{layer}-path")
        for layer, region in _paths(plan)._asdict().items()
        if region
    ]
    marks += [
        Stroke(line.transformed(move), _LINE_COLOUR, _LINE_MM, layer=_SINGLE_LINE)
        for line in plan.plate.lines
    ]
    around = 2.0 * (MARGIN_MM + 2.0 * plan.cutter_mm)
    return Drawing(
        f"plate-{plan.name}-cutter",
        f"{plan.title}: paths of a cutter of {plan.cutter_mm:g} mm",
        box.width + around,
        box.height + around,
        tuple(marks),
    )
