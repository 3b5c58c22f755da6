"""Plates: drawing, template, notes and pattern, each held against the plate of the record."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from fontTools.misc.transform import Transform

from livery.plate.thickness import section_at, thinnest_section, thinnest_wall
from livery.prove.contour import (
    BoundingBox,
    ReadContour,
    around,
    filled_region,
    in_words,
    unmatched,
)
from livery.prove.phrases import figure_faults_in
from livery.prove.record import RecordedPanel, RecordedPattern, RecordedPlate
from livery.prove.stl_file import StlFile, joined_solid
from livery.prove.svg_file import SvgFile, path_text_contours
from livery.prove.three_mf_file import ThreeMfFile

_WRITTEN_MM = 0.0062
"""What a figure of two decimals may be out by, in millimetres (chosen: half a hundredth, and what
is lost in measuring a curve). Larger, and wrong figures pass."""

_JUST_ABOVE_BACK_MM = 0.00123
"""The height at which the wall is measured, in millimetres above the back (chosen: no corner lies
there). Another must only miss the corners."""

_OFF_CORNERS_MM = 0.00137
"""How far off the letters' middle the section is taken, in millimetres (chosen: no corner lies
there). Another must only miss the corners."""

_PLACED_MM = 0.001
"""How far two parts that are one may differ, in millimetres (chosen: rounding of the files).
Larger, and a wrong part passes."""

_SOLID_MM = 0.02
"""How far a solid may lie from the curves it stands for, in millimetres (chosen: below a layer of
a printer). Larger, and a wrong solid passes."""


def drawing_faults(plate: RecordedPlate, svg: SvgFile) -> Iterator[str]:
    """Yield where the drawing's edge, border and letters are not the record's."""
    onto = Transform(*plate.to_plate)
    expected = {"edge": plate.outline, "border": plate.border, "letters": plate.letters}
    for element, path in expected.items():
        drawn = svg.elements.get(element)
        ours = [] if drawn is None else [c.carried(onto) for c in drawn.contours]
        missing, extra = unmatched(path_text_contours(path) if path else (), ours)
        if missing:
            yield f"its {element}: it lacks {in_words(missing)} of the plate"
        if extra:
            yield f"its {element}: it has {in_words(extra)} of the plate, which should not be there"
    for drawn in svg.paths:
        if drawn.words is None and drawn.element not in expected:
            yield f"it has {drawn.element or 'a nameless path'}, which is not on the plate"


def standing_faults(plate: RecordedPlate, panel: RecordedPanel, svg: SvgFile) -> Iterator[str]:
    """Yield where the elevation of a panel does not show a plate where it is fixed."""
    for element, contours in _standing(plate).items():
        drawn = svg.elements.get(element)
        onto = panel.elevation.transform
        ours = [] if drawn is None else [c.carried(onto) for c in drawn.contours]
        missing, extra = unmatched(contours, ours)
        if missing or extra:
            yield f"plate {plate.name} is drawn at a wrong place, or in a wrong form"
            return


def plates_on(plates: Iterable[RecordedPlate], panel: str) -> list[ReadContour]:
    """Return all that a drawing of a panel shows of the plates that are fixed to it."""
    return [
        contour
        for plate in plates
        if plate.stands is not None and plate.stands.panel == panel
        for contours in _standing(plate).values()
        for contour in contours
    ]


def _standing(plate: RecordedPlate) -> dict[str, list[ReadContour]]:
    """Return the contours of a plate where it is fixed to its panel, by the element drawn."""
    assert plate.stands is not None
    size = around(c.size for c in path_text_contours(plate.outline))
    x, y = plate.stands.at
    move = Transform().translate(
        x - (size.left + size.right) / 2.0, y - (size.bottom + size.top) / 2.0
    )
    parts = (("", plate.outline), ("-border", plate.border), ("-letters", plate.letters))
    return {f"plate-{plate.name}{part}": _carried(path, move) for part, path in parts}


def template_contours(plate: RecordedPlate) -> list[ReadContour]:
    """Return all that the template of a plate shows: its edges, and a cross in every hole."""
    edge = path_text_contours(plate.outline)
    drawn = [*edge, *_contours(plate.border), *_contours(plate.letters)]
    outer = max(edge, key=lambda c: c.area)
    for hole in edge:
        if hole is not outer:
            drawn += _cross(hole.size)
    return drawn


def _cross(box: BoundingBox) -> list[ReadContour]:
    import numpy as np

    x, y = (box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0
    arm = 0.75 * box.width
    lines = ([(x - arm, y), (x + arm, y)], [(x, y - arm), (x, y + arm)])
    return [ReadContour(np.array(line), closed=False) for line in lines]


def notes_faults(plate: RecordedPlate, text: str, parts: Sequence[StlFile]) -> Iterator[str]:
    """Yield what the notes do not say as the plate, and the pattern, measure."""
    size = around(c.size for c in path_text_contours(plate.outline))
    phrases = [
        plate.title,
        f"Finished size: {size.width:.2f} x {size.height:.2f} mm, {plate.lettering} letters",
        f"Back to field: {plate.thickness_mm:.2f} mm; field to face: {plate.relief_mm:.2f} mm",
        f"Made by {plate.making}.",
        _limits_line(plate),
        f"({plate.limits_source})",
    ]
    if (cutter := plate.cutter) is not None:
        deep = plate.relief_mm + plate.thickness_mm
        phrases += [
            f"Cutter: {cutter.diameter_mm:.2f} mm across; its paths are those of its middle",
            f"Depth: {plate.relief_mm:.2f} mm to the ground, {deep:.2f} mm round the edge",
            f"Corners that it leaves rounded: {cutter.corners}",
            "The path along the letters is the last; clear the rest of the ground within it",
        ]
    if (etch := plate.etching) is not None:
        whole = plate.thickness_mm + plate.relief_mm
        phrases += [
            f"Sheet: {whole:.2f} mm thick; etch the front {plate.relief_mm:.2f} mm deep",
            f"Etch the back until the gap round the plate is through: {plate.thickness_mm:.2f} mm",
            f"Resist larger by the undercut: {etch.front_mm:.2f} mm all round in front, "
            f"{etch.back_mm:.2f} mm on the back",
            "(half the depth where nothing is given: a spray etch, from memory; ask your etcher)",
            f"Tabs: {etch.tab_mm:.2f} mm wide, on the back; gap {etch.gap_mm:.2f} mm, "
            f"frame {etch.frame_mm:.2f} mm",
            "Lay the films on the sheet by their crosses; the back is drawn as seen from the back",
        ]
    if plate.pattern is not None:
        of = plate.pattern
        box = _pattern_size(plate, of)
        phrases += [
            f"Pattern size: {box[0]:.2f} x {box[1]:.2f} mm, before the draft of its edge",
            *_first_pattern(of),
            f"The pattern is larger by {100.0 * of.contraction:.2f} % in all",
            f"To be machined off: {of.face_mm:.2f} mm from the face, "
            f"{of.back_mm:.2f} mm from the back, {of.edge_mm:.2f} mm from the edge",
            f"Draft: {of.draft_deg:g} degrees on every wall",
            f"Fillet where walls meet the ground: {of.fillet_mm:.2f} mm; edges of letters rounded "
            f"by {of.round_mm:.2f} mm",
            "Parting line: the plane of the back, at height 0 of the pattern; the front lies wholly "
            "in one half of the mould",
        ]
        scale = 1.0 + of.contraction
        if of.studs:
            phrases.append(
                f"Studs: {(of.stud_mm - of.back_mm) * scale:.2f} mm below the parting line, in the other half"
            )
        if of.hollow:
            phrases.append(
                f"The back is hollow, {(of.hollow_mm + of.back_mm) * scale:.2f} mm deep; "
                f"{plate.thickness_mm - of.hollow_mm:.2f} mm of metal is left under the field"
            )
        if sum(1 for _ in path_text_contours(plate.outline)) > 1:
            phrases.append("The holes are not in the pattern: drill them in the casting.")
        phrases += _measured(of, joined_solid(parts), len(parts))
    yield from figure_faults_in(text, phrases, _WRITTEN_MM)


def _first_pattern(of: RecordedPattern) -> Iterator[str]:
    if of.first is not None:
        yield (
            f"This pattern is cast in {of.first.metal} first, and the plates from that: "
            f"{100.0 * of.first.contraction:.2f} % more"
        )


def _measured(of: RecordedPattern, solid: StlFile, number: int) -> Iterator[str]:
    """Yield what is measured in the pattern's triangles, as its notes say it."""
    thin = thinnest_section(solid.corners)
    yield f"Measured in the pattern: the thinnest metal is {thin.size_mm:.2f} mm"
    if of.hollow and (wall := thinnest_wall(solid.corners, _JUST_ABOVE_BACK_MM)) is not None:
        yield f"the thinnest wall beside the hollow {wall.size_mm:.2f} mm"
    yield (
        "Print it letters up; the studs hang below its back: put supports under the back"
        if of.studs
        else "Print it letters up, its back flat on the bed: no wall needs a support"
    )
    if of.hollow:
        yield "The ceiling of the hollow hangs over the bed: bridge it, or support it"
    if number > 1 and of.printer_bed is not None:
        across, deep = of.printer_bed
        yield f"It is larger than the bed of {across:.0f} x {deep:.0f} mm: {number} parts"
    yield (
        "The STL and 3MF files are in millimetres. Smooth and seal the layers of the print: sand "
        "takes their impression"
    )


def _limits_line(plate: RecordedPlate) -> str:
    of = plate.limits
    line = (
        f"Least it holds: stroke {of.stroke_mm:.2f} mm, gap {of.gap_mm:.2f} mm, capitals "
        f"{of.letter_mm:.2f} mm, metal behind the field {of.section_mm:.2f} mm, relief "
        f"{of.relief_mm:.2f} mm"
    )
    if plate.pattern is not None:
        line += f", draft {of.draft_deg:g} degrees, fillet {of.fillet_mm:.2f} mm"
    return line


def pattern_parts(plate: RecordedPlate, made: Iterable[str]) -> tuple[str, ...]:
    """Return the files of a pattern's parts: one, or one for each part, in their order."""
    one = re.compile(rf"plates/plate-{re.escape(plate.name)}-pattern(?:-(\d+))?\.stl")
    found = [(int(part[1] or 0), name) for name in made if (part := one.fullmatch(name))]
    return tuple(name for _, name in sorted(found))


def package_faults(package: ThreeMfFile, parts: Sequence[StlFile]) -> Iterator[str]:
    """Yield where a 3MF does not hold the parts of the STL files, side by side on the bed."""
    if package.unit != "millimeter":
        yield f"its unit is {package.unit}"
    if len(package.corners) != len(parts):
        yield f"it holds {len(package.corners)} parts of {len(parts)}"
        return
    right = -math.inf
    for number, (ours, part) in enumerate(zip(package.corners, parts, strict=True), start=1):
        low = ours.reshape(-1, 3).min(axis=0)
        theirs = part.corners - part.corners.reshape(-1, 3).min(axis=0)
        if len(ours) != len(theirs) or abs(ours - low - theirs).max() > _PLACED_MM:
            yield f"part {number} is not the solid of its STL file"
        if abs(low[2]) > _PLACED_MM or min(low[:2]) < -_PLACED_MM:
            yield f"part {number} does not lie on the bed"
        if low[0] < right:
            yield f"part {number} lies over the part before it"
        right = float(ours[:, :, 0].max())


def pattern_faults(plate: RecordedPlate, parts: Sequence[StlFile]) -> Iterator[str]:
    """Yield where the parts of the pattern are not the plate made larger by its allowances."""
    of = plate.pattern
    if of is None:
        yield "the plate is not cast, and has no pattern"
        return
    if not all(part.is_closed for part in parts):
        yield "its surface is not closed"
    if of.printer_bed is not None:
        for part in parts:
            size = sorted((part.size.width, part.size.height))
            if any(a > b + _SOLID_MM for a, b in zip(size, sorted(of.printer_bed), strict=True)):
                yield f"a part of {size[1]:.1f} x {size[0]:.1f} mm is larger than the bed"
    solid = joined_solid(parts)
    scale = 1.0 + of.contraction
    field = (plate.thickness_mm + of.back_mm) * scale
    face = field + (plate.relief_mm + of.face_mm) * scale
    low, high = solid.heights
    studs = (of.back_mm - of.stud_mm) * scale if of.studs else 0.0
    if abs(low - studs) > _SOLID_MM or abs(high - face) > _SOLID_MM:
        yield f"it stands from {low:.2f} to {high:.2f} mm, not from {studs:.2f} to {face:.2f}"
        return
    if solid.level_region(field).is_empty:
        yield f"nothing of it is level at {field:.2f} mm, the height of its field"
    yield from _face_faults(plate, of, solid.level_region(high))
    yield from _back_faults(of, solid)


def section_faults(plate: RecordedPlate, svg: SvgFile, parts: Sequence[StlFile]) -> Iterator[str]:
    """Yield where the section drawn is not that of the solid, or its parting line not at the back."""
    import shapely

    of, drawn = plate.pattern, svg.elements.get("section-metal")
    parting = [c for p in svg.layers.get("parting", ()) for c in p.contours]
    if of is None or drawn is None or not parting or svg.page is None:
        yield "it lacks the section or the parting line"
        return
    height = svg.page[1]
    middle = around(c.size for c in path_text_contours(plate.letters))
    level = (middle.bottom + middle.top) / 2.0 * (1.0 + of.contraction) + _OFF_CORNERS_MM
    solid = joined_solid(parts).corners
    meant = section_at(solid[:, :, [0, 2, 1]], level)
    ours = filled_region([c.flipped(height) for c in drawn.contours])
    (left, bottom, *_), at = meant.bounds, around(c.flipped(height).size for c in drawn.contours)
    unlike = shapely.affinity.translate(meant, at.left - left, at.bottom - bottom)
    if unlike.symmetric_difference(ours).buffer(-_SOLID_MM).area > 0.0:
        yield "the section is not that of the pattern"
    line = around(c.flipped(height).size for c in parting)
    if abs(line.bottom - (at.bottom - bottom)) > _SOLID_MM or line.width < at.width:
        yield "the parting line is not in the plane of the back"


def _face_faults(plate: RecordedPlate, of: RecordedPattern, top: Any) -> Iterator[str]:
    """Yield where what stands highest is not the plate's face at pattern size."""
    import shapely

    scale = Transform().scale(1.0 + of.contraction)
    letters = filled_region(_carried(plate.letters, scale))
    outline = filled_region(_carried(plate.outline, scale, outer_only=True))
    grown = of.edge_mm * (1.0 + of.contraction)
    within = outline.buffer(grown, join_style="mitre")
    if plate.lettering == "raised":
        bosses = filled_region(_carried(of.bosses, scale)) if of.bosses else shapely.Polygon()
        border = filled_region(_carried(plate.border, scale)).union(bosses)
        least, most = letters.union(border), letters.union(border)
        if grown:
            most = most.union(within.difference(outline))
    else:
        border = filled_region(_carried(plate.border, scale))
        least = outline.difference(letters.union(border))
        most = within.difference(letters.union(border)) if grown else least
    # A rounded edge takes this much off the level top, all round.
    rounded = of.round_mm * math.tan(math.radians(90.0 - of.draft_deg) / 2.0)
    most = most.buffer(-rounded) if rounded else most
    lacking = shapely.difference(least.buffer(-_SOLID_MM - rounded), top)
    extra = shapely.difference(top, most.buffer(_SOLID_MM))
    for part, words in ((lacking, "lacks"), (extra, "has too much of")):
        if not part.is_empty:
            x, y = part.representative_point().coords[0]
            yield f"its face {words} what the plate has there, at {x:.1f}, {y:.1f} mm"


def _back_faults(of: RecordedPattern, solid: StlFile) -> Iterator[str]:
    """Yield where the ends of studs, or the ceiling of the hollow, are not where the plate has them."""
    import shapely

    scale = 1.0 + of.contraction
    lean = math.tan(math.radians(of.draft_deg))
    deep = (of.hollow_mm + of.back_mm) * scale
    ceiling = filled_region(_carried(of.hollow, Transform().scale(scale))) if of.hollow else None
    ends = filled_region(_carried(of.studs, Transform().scale(scale))) if of.studs else None
    for what, meant, height in (
        (
            "the ceiling of its hollow",
            None if ceiling is None else ceiling.buffer(-deep * lean),
            deep,
        ),
        ("the ends of its studs", ends, (of.back_mm - of.stud_mm) * scale),
    ):
        if meant is None:
            continue
        found = solid.level_region(height, downward=True)
        wrong = shapely.symmetric_difference(found, meant).buffer(-_SOLID_MM)
        if not wrong.is_empty:
            x, y = wrong.representative_point().coords[0]
            yield f"{what} is not what the plate has, at {x:.1f}, {y:.1f} mm"


def _pattern_size(plate: RecordedPlate, of: RecordedPattern) -> tuple[float, float]:
    """Return the width and height of the pattern: a slanted end reaches further than its allowance."""
    edge = filled_region(path_text_contours(plate.outline)).buffer(of.edge_mm, join_style="mitre")
    left, bottom, right, top = edge.bounds
    scale = 1.0 + of.contraction
    return (right - left) * scale, (top - bottom) * scale


def _contours(path: str) -> tuple[ReadContour, ...]:
    return path_text_contours(path) if path else ()


def _carried(path: str, onto: Transform, *, outer_only: bool = False) -> list[ReadContour]:
    contours = [c.carried(onto) for c in _contours(path)]
    return [max(contours, key=lambda c: c.area)] if outer_only else contours
