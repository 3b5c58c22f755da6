"""A tracing to pounce: the outlines of what is gilded or painted by hand as holes to prick, at full size.

Its place is given from where the panel was measured from, as it is laid on the finished paint,
where nothing may be drawn.
"""

from __future__ import annotations

from collections.abc import Iterator

from fontTools.misc.transform import Offset

from livery.drawing import Drawing, Label, Mark, Stroke
from livery.geometry.boolean import union
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Contour, Line, Point
from livery.geometry.shapes import ORIGIN
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import PanelPlan, Plan
from livery.make.leaf.size_masks import MASKED
from livery.process import Process
from livery.rounding import figure
from livery.write.label_face import CAPTION_LEADING, LEAST_CAP_MM, few_lines

ROUND_MM = 15.0
"""How far a tracing runs past what is traced, in millimetres (chosen: room to tape it down). Larger
takes more paper."""
HOLE_MM, PITCH_MM = 0.4, 1.5
"""A hole, and from one to the next, in millimetres (common practice). Larger, and the pounced line
is coarse."""
CROSS_MM = 6.0
"""A cross to lay a tracing by, in millimetres (chosen). Larger ones are easier to lay by, and take
more paper."""
BLACK, GREY = "#000000", "#808080"
"""The holes of letters, and of their shades (chosen: easy to distinguish)."""
MOST_LINES = 4
"""In how many lines the words on a tracing go at most (chosen: a few under it). Fewer are longer,
and the tracing takes more paper."""


BY_HAND = (Process.LEAF, Process.BOW_PEN, Process.TAPE)
"""Letters put on so are gilded or painted along lines pounced or traced on to the paint."""


def tracings(plan: Plan) -> Iterator[tuple[str, Drawing]]:
    """Yield the panel and the tracing of each entry of lettering or artwork put on by hand."""
    for panel in plan.panels:
        groups: dict[str, list[Piece]] = {}
        for piece in panel.pieces:
            if piece.process in BY_HAND and piece.kind in MASKED and piece.outline:
                groups.setdefault(piece.key, []).append(piece)
        for number, group in enumerate(groups.values(), start=1):
            yield panel.name, _tracing(panel, group, number)


def _tracing(panel: PanelPlan, group: list[Piece], number: int) -> Drawing:
    box = bounds(union(*(piece.outline for piece in group)))
    move = Offset(ROUND_MM - box.left, ROUND_MM - box.bottom)
    dashes = (HOLE_MM, PITCH_MM - HOLE_MM)
    marks: list[Mark] = [
        Stroke(
            contour.transformed(move),
            GREY if piece.kind is PieceKind.SHADE else BLACK,
            HOLE_MM,
            dashes,
            "holes",
        )
        for piece in group
        for contour in piece.outline
    ]
    for corner in _corners(box):
        marks += (Stroke(line.transformed(move), width_mm=0.1) for line in _cross(corner))
    words = f"lower left cross {place_on_metal(panel, Point(box.left, box.bottom))}"
    shades = dict.fromkeys(p.paint for p in group if p.kind is PieceKind.SHADE)
    if shades:
        words += f"; grey holes: the shade, in {', '.join(shades)}"
    wide = box.width + 2.0 * ROUND_MM
    lines, long = few_lines(words, LEAST_CAP_MM, wide - 2.0, MOST_LINES)
    for i, line in enumerate(lines, start=1):
        at = Point(1.0, 1.2 + (len(lines) - i) * CAPTION_LEADING * LEAST_CAP_MM)
        marks.append(Label(line, at, LEAST_CAP_MM))
    letters = [p for p in group if p.kind is not PieceKind.SHADE] or group
    paints = ", ".join(dict.fromkeys(piece.paint for piece in letters))
    return Drawing(
        f"tracing-{panel.name}-{number}",
        f"{letters[0].name} in {paints}, full size, to prick and pounce",
        max(wide, long + 2.0),
        box.height + 2.0 * ROUND_MM,
        tuple(marks),
    )


def place_on_metal(panel: PanelPlan, at: Point) -> str:
    """Return a place of a panel in words, as a rule finds it."""
    zero, box = panel.frame.zero, panel.frame.extent
    across = figure(at.x - box.left - zero.x, 1)
    up = figure(at.y - box.bottom - zero.y, 1)
    if zero == ORIGIN:
        return (
            f"{across} mm across from the leftmost point of {panel.name}, {up} mm up from its "
            "lowest point"
        )
    return f"{across} mm across and {up} mm up from 0, 0 of {panel.name}"


def _corners(box: Bounds) -> tuple[Point, ...]:
    return (
        Point(box.left, box.bottom),
        Point(box.right, box.bottom),
        Point(box.left, box.top),
        Point(box.right, box.top),
    )


def _cross(at: Point) -> Iterator[Contour]:
    half = CROSS_MM / 2.0
    for dx, dy in ((half, 0.0), (0.0, half)):
        start, end = Point(at.x - dx, at.y - dy), Point(at.x + dx, at.y + dy)
        yield Contour((Line(start, end),), closed=False)
