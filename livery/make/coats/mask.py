"""Masks: what keeps a coat off the rest of its panel, to cut in film or paper, true to size."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fontTools.misc.transform import Offset, Transform

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.outline import Contour, Outline, Point
from livery.geometry.segments import direction
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats
from livery.make.film.register import marks_on

MARGIN_MM = 12.0
LABEL_MM = 2.5
REGISTER_ARM_MM = 5.0
SHARP_CORNER = math.radians(20.0)


def masks(coats: PanelCoats, title: str) -> Iterator[tuple[MaskedCoat, Drawing]]:
    """Yield each coat that covers anything, with its mask."""
    for coat in coats.coats:
        if coat.covers:
            yield coat, mask(coats, coat, title)


def mask_transform(coats: PanelCoats) -> Transform:
    """Return the move from a panel to any of its masks' sheets."""
    box = coats.panel.frame.extent
    return Offset(MARGIN_MM - box.left, 2 * MARGIN_MM - box.bottom)


def mask(coats: PanelCoats, coat: MaskedCoat, title: str) -> Drawing:
    """Return the mask of one coat: what to cut, what only to cover, and the register marks."""
    move = mask_transform(coats)
    box = coats.panel.frame.extent
    marks: list[Mark] = []
    for i, cover in enumerate(coat.covers, start=1):
        layer = "cut" if cover.is_sharp else "paper-not-cut"
        outline = cover.outline.transformed(move)
        colour = "#000000" if cover.is_sharp else "#707070"
        marks.append(Area(outline, None, colour, layer=layer, name=cover_element(i)))
    crosses = marks_on(register_points(coats.panel.frame.outline), REGISTER_ARM_MM)
    marks += [
        Stroke(arm.transformed(move), "#1f4fbf", layer="register-not-cut")
        for cross in crosses
        for arm in cross.lines
    ]
    words = f"{coats.name}: mask for coat {coat.coat.number}, {coat.coat.paint}"
    over = "covers " + ", ".join(
        f"{c.over} ({'film, cut to the line' if c.is_sharp else 'paper'})" for c in coat.covers
    )
    note = "crosses lie on the corners of the panel"
    for row, text in enumerate((words, over, note)):
        at = Point(MARGIN_MM, MARGIN_MM - 1.7 * LABEL_MM * row)
        marks.append(Label(text, at, LABEL_MM * (1.0 if row == 0 else 0.7), layer="labels-not-cut"))
    return Drawing(
        f"mask-{coats.name}-{coat.mask_name}",
        f"{title}: {words}",
        box.width + 2 * MARGIN_MM,
        box.height + 3 * MARGIN_MM,
        tuple(marks),
    )


def cover_element(number: int) -> str:
    """Return the name in a mask's file of its first, second … cover."""
    return f"cover-{number}"


def register_points(outline: Outline) -> tuple[Point, ...]:
    """Return the sharp corners of a panel to lay masks to; its extremes where it has none."""
    corners = [p for c in outline for p in _corners(c)]
    if len(corners) >= 3:
        return tuple(dict.fromkeys(corners))
    nodes = [p for c in outline for p in c.nodes]
    ends = (
        min(nodes, key=lambda p: (p.y, p.x)),
        min(nodes, key=lambda p: (p.y, -p.x)),
        min(nodes, key=lambda p: (p.x, p.y)),
        min(nodes, key=lambda p: (-p.x, p.y)),
    )
    return tuple(dict.fromkeys([*corners, *ends]))


def _corners(contour: Contour) -> Iterator[Point]:
    segments = contour.segments
    for before, after in zip((segments[-1], *segments[:-1]), segments, strict=True):
        u, v = direction(before, 1.0), direction(after, 0.0)
        if abs(math.atan2(u.x * v.y - u.y * v.x, u.x * v.x + u.y * v.y)) > SHARP_CORNER:
            yield after.start
