"""A section through the pattern of a plate, with its parting line: which way the halves of the mould lift."""

from __future__ import annotations

from collections.abc import Iterator

from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point, chain, translated
from livery.layout.plan import PlatePlan
from livery.mesh import Mesh
from livery.plate.thickness import section_at
from livery.write.label_face import label_width

SECTION = "section-metal"
PARTING = "parting"
_MARGIN_MM = 8.0
_ABOVE_MM = 6.0
_OFF_CORNERS_MM = 0.00137
_GREY = "#c8c8c8"
_RED = "#c00000"
_WORDS_MM = 1.6
_OVERHANG_MM = 5.0
_STRAIGHT_MM = 0.001


def section_drawing(plan: PlatePlan, solid: Mesh) -> Drawing:
    """Return the section across the middle of the letters, at full size, with the parting line."""
    region = section_of(plan, solid)
    box = bounds(region)
    across, up = _MARGIN_MM - box.left, 2.0 * _MARGIN_MM - box.bottom
    moved = translated(region, across, up)
    width = box.width + 2.0 * _MARGIN_MM
    parting = [Point(_MARGIN_MM - _OVERHANG_MM, up), Point(width - _MARGIN_MM + _OVERHANG_MM, up)]
    marks: list[Mark] = [
        Area(moved, _GREY, "#000000", layer="section", name=SECTION),
        Stroke(chain(parting, closed=False), _RED, 0.15, (4.0, 1.0, 1.0, 1.0), PARTING),
        *_words(plan, width, up, up + box.top),
    ]
    title = f"{plan.title}: section of the pattern, full size"
    return Drawing(
        f"plate-{plan.name}-section", title, width, up + box.top + _ABOVE_MM, tuple(marks)
    )


def section_of(plan: PlatePlan, solid: Mesh) -> Outline:
    """Return the section through the middle of the letters: x to the right, height upward."""
    import shapely

    letters = bounds(plan.plate.letters)
    level = letters.centre.y * (1.0 + plan.allowance.contraction) + _OFF_CORNERS_MM
    cut = section_at(solid.points[solid.triangles][:, :, [0, 2, 1]], level).simplify(_STRAIGHT_MM)
    rings = [
        ring
        for part in shapely.get_parts(shapely.orient_polygons(cut))
        for ring in (part.exterior, *part.interiors)
    ]
    return Outline(tuple(chain([Point(*p) for p in r.coords[:-1]], closed=True) for r in rings))


def _words(plan: PlatePlan, width: float, parting: float, top: float) -> Iterator[Label]:
    def said(text: str, y: float) -> Label:
        size = min(_WORDS_MM, _WORDS_MM * (width - 2.0) / label_width(text, _WORDS_MM))
        return Label(text, Point(width / 2.0, y), size, Anchor.MIDDLE)

    below = [
        words
        for words, there in (
            ("studs", plan.plate.studs),
            ("the core of the hollow", plan.plate.hollow),
        )
        if there
    ]
    other = f"{' and '.join(below)} in the other half" if below else "the other half is flat"
    yield said("this half of the mould lifts off upward", top + 0.4 * _ABOVE_MM)
    yield said(f"parting line (red) along the back; {other}", 0.6 * _MARGIN_MM)
