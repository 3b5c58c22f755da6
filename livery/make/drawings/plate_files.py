"""Every file of a plate: artwork to see and to cut, a template, the pattern, and its notes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from fontTools.misc.transform import Transform

from livery.drawing import Drawing
from livery.geometry.measure import bounds
from livery.geometry.path_text import write_path
from livery.layout.plan import PlatePlan
from livery.make.drawings.plate_cutting import cut_files, cut_notes, cut_record
from livery.make.drawings.plate_etching import etch_files, etch_notes, etch_record
from livery.make.drawings.plate_look import FIELD, plate_colours
from livery.make.drawings.plate_pattern import (
    Bed,
    PrintedPattern,
    pattern_files,
    print_notes,
    printed_pattern,
)
from livery.plate.artwork import plate_drawing, plate_template, plate_transform
from livery.plate.cautions import caution
from livery.plate.limits import COMMON_LIMITS, LIMITS_SOURCE, maker_of
from livery.plate.pattern import pattern_of
from livery.rounding import rounded_value
from livery.write.dxf import dxf_bytes
from livery.write.svg import svg_text
from livery.write.tiled_pdf import tiled_pdf
from livery.write.written_check import check_written


def plate_picture(plan: PlatePlan, colours: Mapping[str, str]) -> Drawing:
    """Return a plate as it will look."""
    field, face = plate_colours(plan, colours)
    return plate_drawing(plan.plate, f"plate-{plan.name}", plan.title, field, face)


def plate_record(plan: PlatePlan, bed_mm: Bed | None) -> dict[str, Any]:
    """Return a plate as the record of the making has it; see :mod:`livery.make.making_record`."""
    plate, of = plan.plate, plan.allowance
    pattern = {
        "contraction": of.contraction,
        "face_mm": of.face_mm,
        "back_mm": of.back_mm,
        "edge_mm": of.edge_mm,
        "draft_deg": plan.walls.draft_deg,
        "fillet_mm": plan.walls.fillet_mm,
        "round_mm": plan.walls.round_mm,
        "stud_mm": plate.stud_mm,
        "hollow_mm": plate.hollow_mm,
    }
    page = plate_drawing(plate, plan.name, plan.title, FIELD, FIELD)
    onto = plate_transform(plate).inverse().transform(Transform(1, 0, 0, -1, 0, page.height_mm))
    return {
        "name": plan.name,
        "title": plan.title,
        "making": plan.making.value,
        "outline": write_path(plate.outline, 6),
        "letters": write_path(plate.letters, 6),
        "border": write_path(plate.border, 6),
        "lettering": plate.lettering.value,
        "thickness_mm": rounded_value(plate.thickness_mm, 6),
        "relief_mm": rounded_value(plate.relief_mm, 6),
        "etching": None if plan.etching is None else etch_record(plan),
        "cutter": None if plan.cutter_mm is None else cut_record(plan),
        "limits_source": _limits_source(plan),
        "limits": {name: rounded_value(value, 6) for name, value in plan.limits._asdict().items()},
        "stands": (
            None
            if plan.stands is None
            else {
                "panel": plan.stands.panel,
                "at": [rounded_value(v, 6) for v in plan.stands.at],
                "on_flat": plan.stands.on_flat,
            }
        ),
        "to_plate": [rounded_value(v, 9) for v in onto],
        "pattern": (
            {name: rounded_value(v, 9) for name, v in pattern.items()}
            | {
                "first": _first_pattern(plan),
                "printer_bed": bed_mm,
                "bosses": write_path(plate.bosses, 6),
                "studs": write_path(plate.studs, 6),
                "hollow": write_path(plate.hollow, 6),
            }
            if plan.making.is_cast
            else None
        ),
    }


def plate_files(
    plan: PlatePlan,
    colours: Mapping[str, str],
    paper: str,
    bed_mm: Bed | None = None,
) -> dict[str, bytes]:
    """Return the files of a plate by name; a cast one has a pattern too, in parts that fit the bed.

    Raises:
        LiveryError: the pattern's walls cannot stand: letters too near the edge, or a
            draft that cannot be made.
    """
    name = f"plate-{plan.name}"
    pattern = printed_pattern(plan, bed_mm) if plan.making.is_cast else None
    drawing = plate_picture(plan, colours)
    svg, dxf = svg_text(drawing).encode(), dxf_bytes(drawing)
    check_written(drawing, svg, dxf)
    files = {
        f"{name}.svg": svg,
        f"{name}.dxf": dxf,
        f"{name}.pdf": tiled_pdf(plate_template(plan.plate, name, plan.title), paper),
        f"{name}.txt": "".join(f"{line}\n" for line in _notes(plan, pattern, bed_mm)).encode(),
    }
    if pattern is not None:
        files |= pattern_files(plan, pattern)
    if plan.etching is not None:
        files |= etch_files(plan, paper)
    if plan.cutter_mm is not None:
        files |= cut_files(plan)
    return files


def _notes(plan: PlatePlan, pattern: PrintedPattern | None, bed_mm: Bed | None) -> Iterator[str]:
    """Yield what the maker of the plate must know, line by line."""
    plate = plan.plate
    box = bounds(plate.outline)
    yield plan.title
    yield ""
    yield f"Finished size: {box.width:.2f} x {box.height:.2f} mm, {plate.lettering.value} letters"
    yield f"Back to field: {plate.thickness_mm:.2f} mm; field to face: {plate.relief_mm:.2f} mm"
    yield f"Made by {plan.making.value}."
    yield from _limit_notes(plan)
    if pattern is not None:
        yield from _pattern_notes(plan)
        yield from print_notes(plan, pattern, bed_mm)
    if plan.etching is not None:
        yield from etch_notes(plan)
    if plan.cutter_mm is not None:
        yield from cut_notes(plan)
    yield ""
    yield caution(plan.making)


def _limit_notes(plan: PlatePlan) -> Iterator[str]:
    of = plan.limits
    walls = f", draft {of.draft_deg:g} degrees, fillet {of.fillet_mm:.2f} mm"
    yield (
        f"Least it holds: stroke {of.stroke_mm:.2f} mm, gap {of.gap_mm:.2f} mm, capitals "
        f"{of.letter_mm:.2f} mm, metal behind the field {of.section_mm:.2f} mm, relief "
        f"{of.relief_mm:.2f} mm{walls if plan.making.is_cast else ''}"
    )
    yield f"({_limits_source(plan)})"


def _first_pattern(plan: PlatePlan) -> dict[str, Any] | None:
    metal = plan.pattern_metal
    if metal is None:
        return None
    return {"metal": metal.title, "contraction": rounded_value(metal.contraction, 9)}


def _limits_source(plan: PlatePlan) -> str:
    common = LIMITS_SOURCE.format(maker=maker_of(plan.making))
    if plan.limits == COMMON_LIMITS[plan.making]:
        return common
    return f"the figures given; the others are {common}"


def _pattern_notes(plan: PlatePlan) -> Iterator[str]:
    assert plan.metal is not None
    of = plan.allowance
    pattern = pattern_of(plan.plate, of)
    box = bounds(pattern.outline)
    source = (
        "the figure given"
        if plan.is_own_figure
        else "the pattern maker's rule of thumb, as in Machinery's Handbook (from memory); "
        "the foundry's own figure decides: write it as contraction"
    )
    yield ""
    yield f"Pattern size: {box.width:.2f} x {box.height:.2f} mm, before the draft of its edge"
    own = of.contraction
    if plan.pattern_metal is not None:
        own = (1.0 + of.contraction) / (1.0 + plan.pattern_metal.contraction) - 1.0
    yield f"Contraction of {plan.metal.title}: {100.0 * own:.2f} %, {source}"
    if plan.pattern_metal is not None:
        yield (
            f"This pattern is cast in {plan.pattern_metal.title} first, and the plates from that: "
            f"{100.0 * plan.pattern_metal.contraction:.2f} % more"
        )
    yield f"The pattern is larger by {100.0 * of.contraction:.2f} % in all"
    yield (
        f"To be machined off: {of.face_mm:.2f} mm from the face, {of.back_mm:.2f} mm from the back, "
        f"{of.edge_mm:.2f} mm from the edge"
    )
    walls = plan.walls
    yield f"Draft: {walls.draft_deg:g} degrees on every wall"
    yield (
        f"Fillet where walls meet the ground: {walls.fillet_mm:.2f} mm; edges of letters rounded "
        f"by {walls.round_mm:.2f} mm"
    )
    yield (
        "Parting line: the plane of the back, at height 0 of the pattern; the front lies wholly in "
        "one half of the mould"
    )
    if plan.plate.studs:
        yield f"Studs: {pattern.stud_mm:.2f} mm below the parting line, in the other half"
    if plan.plate.hollow:
        yield (
            f"The back is hollow, {pattern.hollow_mm:.2f} mm deep; {plan.plate.section_mm:.2f} mm "
            "of metal is left under the field"
        )
    if len(plan.plate.outline.contours) > len(pattern.outline.contours):
        yield "The holes are not in the pattern: drill them in the casting."
