"""Masks: what keeps a coat off the rest of its panel, true to size, to lay them by.

The film is cut from the roll (:mod:`~livery.make.coats.mask_film`); here it stands in its place,
with the tape, the paper and what is turned round the panel's edge.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from fontTools.misc.transform import Offset, Transform

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.measure import segments_of, turning_points
from livery.geometry.outline import Contour, Line, Outline, Point
from livery.geometry.segments import direction, point_on
from livery.make.coats.mask_parts import MaskBy
from livery.make.coats.mask_regions import edge_region
from livery.make.coats.mask_words import mask_goods_words, order_steps
from livery.make.coats.panel_coats import MaskedCoat, PanelCoats
from livery.make.coats.tape import WRAP_MM, Tape
from livery.make.film.part_labels import part_labels
from livery.make.film.register import marks_on
from livery.rounding import rounded_value
from livery.write.label_face import LEAST_CAP_MM

MARGIN_MM = WRAP_MM + 4.0
"""What a mask's drawing has round it, in millimetres: what is turned round the edge, and some to
spare (chosen). Larger, and the drawing takes more paper."""
FOOT_MM = 44.0
"""Beneath the mask, for what it takes, in millimetres (chosen). Larger, and the drawing takes more
paper."""
LABEL_MM = 2.5
"""The height of a mask's title, in millimetres (chosen: read at arm's length). Larger takes more of
the foot."""
SMALL_MM = LEAST_CAP_MM
REGISTER_ARM_MM = 5.0
"""The arm of a mask's register marks, in millimetres (chosen). Larger ones are easier to lay by,
and take more film."""
SHARP_CORNER = math.radians(20.0)
"""A corner that turns more than this, in radians, is one to lay a mask to (chosen: 20 degrees).
Larger, and masks of blunt corners have fewer places."""
FIXED_BY = 3
"""Places to lay a mask to that fix it (by definition: two points of one edge and one of another).
Fewer, and it can slide or turn."""
LEAST_SIDE_MM = 5.0
"""A shorter straight side, in millimetres, is no edge to lay a rule along (chosen). Smaller, and a
mask is laid by a side that does not guide it."""
EDGE_MM = 0.15
"""The lines of a mask, in millimetres (chosen: read at arm's length; a mask is not cut from this
drawing by machine). Larger hides the narrowest tape."""
LEAST_NAMED_MM = 20.0
"""The width of the tape is written beside runs as long as this, in millimetres (chosen). Smaller, and
corners are crowded with words."""
COLOURS = {MaskBy.FILM: "#000000", MaskBy.TAPE: "#b03a2e", MaskBy.PAPER: "#707070"}
TINTS = {MaskBy.FILM: "#f4e7b8", MaskBy.TAPE: "#b9d7ea", MaskBy.PAPER: "#ececec"}
COLOUR_NAMES = {
    MaskBy.FILM: "yellow edged black",
    MaskBy.TAPE: "light blue edged red",
    MaskBy.PAPER: "light grey edged grey",
}


def masks(
    coats: PanelCoats, title: str, tapes: Sequence[Tape]
) -> Iterator[tuple[MaskedCoat, Drawing]]:
    """Yield each coat with its own mask; equal masks are made from that of another panel."""
    for coat in coats.coats:
        if coat.parts and coat.pattern is None:
            yield coat, mask(coats, coat, title, tapes)


def mask_name(coats: PanelCoats, coat: MaskedCoat) -> str:
    """Return the name of a mask's drawing: that of its pattern, if it has one."""
    if coat.pattern is not None:
        return f"mask-{coat.pattern.panel}-{coat.pattern.mask}"
    return f"mask-{coats.name}-{coat.mask_name}"


def mask_transform(coats: PanelCoats) -> Transform:
    """Return the move from a panel to the sheet of its own masks."""
    box = coats.panel.frame.extent
    return Offset(MARGIN_MM - box.left, MARGIN_MM + FOOT_MM - box.bottom)


def mask(coats: PanelCoats, coat: MaskedCoat, title: str, tapes: Sequence[Tape]) -> Drawing:
    """Return the mask of one coat: film, tape and paper in their places, and the register marks."""
    move = mask_transform(coats)
    box = coats.panel.frame.extent
    marks: list[Mark] = []
    for i, part in enumerate(coat.parts, start=1):
        marks.append(
            Area(
                part.outline.transformed(move),
                TINTS[part.by],
                COLOURS[part.by],
                EDGE_MM,
                layer=f"{part.by.value}-not-cut",
                name=part_element(i),
            )
        )
    marks += [
        Area(
            flap.transformed(move),
            None,
            COLOURS[MaskBy.PAPER],
            EDGE_MM,
            layer="turned-round-not-cut",
        )
        for flap in coat.flaps
    ]
    edge = coats.panel.frame.outline.transformed(move)
    marks.append(Area(edge, None, "#1f4fbf", layer="panel-not-cut"))
    crosses = marks_on(register_points(coats.panel.frame.outline), REGISTER_ARM_MM)
    crosses += marks_on([c.at for piece in coat.film for c in piece.crosses], 2.0)
    marks += [
        Stroke(arm.transformed(move), "#1f4fbf", layer="register-not-cut")
        for cross in crosses
        for arm in cross.lines
    ]
    page = box.width + 2 * MARGIN_MM, box.height + 2 * MARGIN_MM + FOOT_MM
    named = [(str(piece.number), piece.outline.transformed(move)) for piece in coat.film]
    named += [(words, edge.transformed(move)) for words, edge in _tape_widths(coat)]
    others = [part.outline for part in coat.parts if part.by is not MaskBy.FILM]
    lines = tuple(c.transformed(move) for outline in (*others, *coat.flaps) for c in outline)
    marks += part_labels(named, LABEL_MM, keep_clear=lines, page=page)
    words = f"{coats.name}: mask for coat {coat.coat.number}, {coat.coat.paint}"
    rows = (
        words,
        *mask_goods_words(coat, tapes),
        _colour_words(coat),
        *(f"{i}. {step}" for i, step in enumerate(order_steps(coat, tapes), start=1)),
        "widths of tape stand beside their edges" if any(_tape_widths(coat)) else "",
        "large crosses: the corners of the panel, or where its sides would meet if extended",
    )
    for row, text in enumerate(filter(None, rows)):
        at = Point(MARGIN_MM, FOOT_MM - 3.6 * row)
        height = LABEL_MM if row == 0 else SMALL_MM
        marks.append(Label(text, at, height, layer="labels-not-cut"))
    return Drawing(
        f"mask-{coats.name}-{coat.mask_name}",
        f"{title}: {words}",
        *page,
        tuple(marks),
    )


def _tape_widths(coat: MaskedCoat) -> Iterator[tuple[str, Outline]]:
    """Yield the width of the tape along each run of the edge, and that edge as a thin region."""
    for run in coat.tapes:
        if run.tape is not None and run.length_mm >= LEAST_NAMED_MM:
            yield f"{run.tape.width_mm:g} mm", edge_region(run)


def _colour_words(coat: MaskedCoat) -> str:
    """Return what each colour on a mask shows."""
    shown = {part.by for part in coat.parts} | ({MaskBy.PAPER} if coat.flaps else set())
    words = [f"{by.value} {COLOUR_NAMES[by]}" for by in COLOURS if by in shown]
    return ", ".join([*words, "panel and crosses blue"])


def part_element(number: int) -> str:
    """Return the name in a mask's file of its first, second … part."""
    return f"part-{number}"


def register_points(outline: Outline) -> tuple[Point, ...]:
    """Return places to lay a mask to that are found on the metal.

    They are its sharp corners; where those are rounded off, where its straight sides would
    meet, found with two rules; where it has no sides, its ends to all four hands.
    """
    corners = [p for c in outline for p in _corners(c)]
    if len(corners) >= FIXED_BY:
        return tuple(dict.fromkeys(corners))
    meetings = [p for c in outline for p in _meetings(c)]
    if len(meetings) >= FIXED_BY:
        return tuple(dict.fromkeys(meetings))
    return tuple(dict.fromkeys([*corners, *_ends(outline)]))


def _ends(outline: Outline) -> Iterator[Point]:
    """Yield the lowest, the left, the highest and the right place of an outline."""
    places = [p for c in outline for p in c.nodes]
    for segment in segments_of(outline):
        for axis in (0, 1):
            places += [point_on(segment, t) for t in turning_points(segment, axis)]
    at = {p: (rounded_value(p.x, 6), rounded_value(p.y, 6)) for p in places}
    yield min(places, key=lambda p: (at[p][1], at[p][0]))
    yield min(places, key=lambda p: at[p])
    yield min(places, key=lambda p: (-at[p][1], at[p][0]))
    yield min(places, key=lambda p: (-at[p][0], at[p][1]))


def _meetings(contour: Contour) -> Iterator[Point]:
    """Yield where each straight side, run on, meets the next."""
    sides = [
        s
        for s in contour.segments
        if isinstance(s, Line) and math.dist(s.start, s.end) >= LEAST_SIDE_MM
    ]
    for one, other in zip((sides[-1], *sides[:-1]) if sides else (), sides, strict=True):
        (ax, ay), (bx, by) = one.start, other.start
        ux, uy = one.end.x - ax, one.end.y - ay
        vx, vy = other.end.x - bx, other.end.y - by
        across = ux * vy - uy * vx
        if abs(across) > math.sin(SHARP_CORNER) * math.hypot(ux, uy) * math.hypot(vx, vy):
            t = ((bx - ax) * vy - (by - ay) * vx) / across
            yield Point(ax + t * ux, ay + t * uy)


def _corners(contour: Contour) -> Iterator[Point]:
    segments = contour.segments
    for before, after in zip((segments[-1], *segments[:-1]), segments, strict=True):
        u, v = direction(before, 1.0), direction(after, 0.0)
        if abs(math.atan2(u.x * v.y - u.y * v.x, u.x * v.x + u.y * v.y)) > SHARP_CORNER:
            yield after.start
