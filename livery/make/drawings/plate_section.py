"""A section through the pattern of a plate, with its parting line: which way the halves of the mould lift."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point, chain, translated
from livery.layout.plan import PlatePlan
from livery.mesh import Mesh
from livery.plate.thickness import section_at
from livery.write.label_face import CAPTION_LEADING, LEAST_CAP_MM, few_lines, label_width

SECTION = "section-metal"
PARTING = "parting"
_MARGIN_MM = 8.0
"""The margin beside the section, in millimetres (chosen). Larger, and the picture is larger."""

_ABOVE_MM = 6.0
"""Room above the section for its words, in millimetres (chosen). Smaller, and words run into the
section."""

_OFF_CORNERS_MM = 0.00137
"""How far off the letters' middle the section is taken, in millimetres (chosen: no corner lies
there). Another only must miss the corners."""

_GREY = "#c8c8c8"
_RED = "#c00000"
_OVERHANG_MM = 5.0
"""How far the parting line runs past the pattern, in millimetres (common practice: a line that is
seen beside it). Larger than the margin, and it runs off the picture."""

_STRAIGHT_MM = 0.001
"""Points of the section nearer to a straight line are left out, in millimetres (chosen: below the
writer's last figure). Larger, and draft is drawn in steps."""

_LINE_MM = CAPTION_LEADING * LEAST_CAP_MM
_MOST_LINES = 4
"""Lines of words above or below (chosen). More, and the picture is higher; fewer, and long words
are set smaller."""


def section_drawing(plan: PlatePlan, solid: Mesh) -> Drawing:
    """Return the section across the middle of the letters, at full size, with the parting line."""
    region = section_of(plan, solid)
    box = bounds(region)
    above, below = (_lines(w, box.width + 2.0 * _MARGIN_MM - 2.0) for w in _words(plan))
    wide = max(label_width(line, LEAST_CAP_MM) for line in (*above, *below)) + 2.0
    width = max(box.width + 2.0 * _MARGIN_MM, wide)
    across = _MARGIN_MM - box.left
    up = 2.0 * _MARGIN_MM + (len(below) - 1) * _LINE_MM - box.bottom
    moved = translated(region, across, up)
    parting = [Point(_MARGIN_MM - _OVERHANG_MM, up), Point(width - _MARGIN_MM + _OVERHANG_MM, up)]
    lowest_above = up + box.top + 0.4 * _ABOVE_MM
    marks: list[Mark] = [
        Area(moved, _GREY, "#000000", layer="section", name=SECTION),
        Stroke(chain(parting, closed=False), _RED, 0.15, (4.0, 1.0, 1.0, 1.0), PARTING),
        *_written(above, width, lowest_above),
        *_written(below, width, 0.6 * _MARGIN_MM),
    ]
    title = f"{plan.title}: section of the pattern, full size"
    height = lowest_above + len(above) * _LINE_MM + 1.0
    return Drawing(f"plate-{plan.name}-section", title, width, height, tuple(marks))


def _lines(words: str, room: float) -> list[str]:
    return few_lines(words, LEAST_CAP_MM, room, _MOST_LINES)[0]


def _written(lines: Sequence[str], width: float, lowest: float) -> Iterator[Label]:
    """Yield lines about the middle of the page, the last of them at ``lowest``."""
    for i, line in enumerate(lines, start=1):
        at = Point(width / 2.0, lowest + (len(lines) - i) * _LINE_MM)
        yield Label(line, at, LEAST_CAP_MM, Anchor.MIDDLE)


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


def _words(plan: PlatePlan) -> tuple[str, str]:
    """Return what is written over the section and under it."""
    below = [
        words
        for words, there in (
            ("studs", plan.plate.studs),
            ("the core of the hollow", plan.plate.hollow),
        )
        if there
    ]
    other = f"{' and '.join(below)} in the other half" if below else "the other half is flat"
    return (
        "this half of the mould lifts off upward",
        f"parting line (red) along the back; {other}",
    )
