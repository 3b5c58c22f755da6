"""The template: a panel at full size in plain lines, to lay on the metal or prick through."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from fontTools.misc.transform import Offset, Transform

from livery.drawing import Area, Drawing, Mark, Stroke
from livery.geometry.measure import Bounds, bounds, length
from livery.geometry.outline import Contour, Line, Point
from livery.layout.piece import PieceKind
from livery.layout.plan import PanelPlan, PlatePlan
from livery.make.drawings.plate_look import drilling_lines
from livery.write.label_face import label_width
from livery.write.tiles import NAME_MM, NamedLine

MARGIN_MM = 12.0
"""The margin round the panel, in millimetres (chosen: room for the notes). Larger, and the file is
larger."""

EDGE_MM = 0.25
"""The width of the lines round panel and keep-outs, in millimetres (ISO 128: 0.25). Larger, and a
template is laid less exactly."""

LINE_MM = 0.1
"""The width of the livery's lines, in millimetres (chosen: finer than the edge; pricked through).
Larger, and it is pricked less exactly."""

LONGEST_NAME = 0.5
"""The share of a line that its name may be long before it is divided (chosen: a longer one always
crosses the middle of the panel). Larger, and more names stand across other lines; smaller, and more
are in two parts."""

SAME_PLACE_MM = 0.05
"""Guides nearer to each other are one, in millimetres (chosen: half the last figure given).
Larger, and near guides share a note."""

INK = "#000000"
FAINT = "#707070"


def template(
    plan: PanelPlan, register: Sequence[Contour] = (), plates: Iterable[PlatePlan] = ()
) -> Drawing:
    """Return the drawing of a panel's edges, keep-outs, datums, plates and the edges of its livery.

    ``register`` are the marks that film is laid to: pricked through, they place it.
    """
    box = bounds(plan.frame.outline)
    move = _onto_sheet(plan)
    marks: list[Mark] = [*_datums(plan, move), *_guides(plan, move)]
    for piece in plan.pieces:
        dashes = (2.0, 1.0) if piece.kind is PieceKind.FIELD else ()
        outline = piece.outline.transformed(move)
        marks += (Stroke(contour, INK, LINE_MM, dashes, "livery") for contour in outline)
    marks += (Stroke(m.transformed(move), INK, LINE_MM, layer="register") for m in register)
    for line in drilling_lines(plates, plan.name):
        marks.append(Stroke(line.transformed(move), INK, LINE_MM, layer="plates"))
    for keep_out in plan.keep_outs:
        outline = keep_out.outline.transformed(move)
        marks.append(Area(outline, None, INK, EDGE_MM, "keep-outs", name=keep_out.name))
    marks.append(
        Area(plan.frame.outline.transformed(move), None, INK, EDGE_MM, "edge", name=plan.name)
    )
    return Drawing(
        f"template-{plan.name}",
        f"{plan.title}: template, full size",
        box.width + 2 * MARGIN_MM,
        box.height + 2 * MARGIN_MM,
        tuple(marks),
    )


def _onto_sheet(plan: PanelPlan) -> Transform:
    box = bounds(plan.frame.outline)
    return Offset(MARGIN_MM - box.left, MARGIN_MM - box.bottom)


def named_lines(plan: PanelPlan) -> tuple[NamedLine, ...]:
    """Return the lines of a template that have a name, which every tile they cross must show."""
    move = _onto_sheet(plan)
    lines = [NamedLine(name, line.transformed(move)) for name, _, line in _datum_lines(plan)]
    bends = (
        NamedLine(name, g.contour.transformed(move))
        for g in plan.frame.guides
        for name in _names_along(g.label, length(g.contour))
    )
    return (*lines, *bends)


def _names_along(label: str, room: float) -> Iterator[str]:
    """Yield what stands along a line: its label, in parts where the line is too short for it.

    On a line that is hardly longer than its name, that is rarely clear of other lines.
    """
    if label_width(label, NAME_MM) <= LONGEST_NAME * room:
        yield from [label] if label else []
    else:
        yield from label.split(", ")


def template_lines(
    plan: PanelPlan, register: Sequence[Contour] = (), plates: Iterable[PlatePlan] = ()
) -> Iterator[Contour]:
    """Yield every line of a template that is no edge: bends, datums, plates, register marks."""
    yield from register
    yield from (guide.contour for guide in plan.frame.guides)
    yield from (line for _, _, line in _datum_lines(plan))
    yield from drilling_lines(plates, plan.name)


def _guides(plan: PanelPlan, move: Transform) -> Iterator[Mark]:
    """Yield the lines a sheet is bent or set out by."""
    for guide in plan.frame.guides:
        line = guide.contour.transformed(move)
        dashes = () if guide.firm else (6.0, 1.5, 1.0, 1.5)
        yield Stroke(line, INK, LINE_MM, dashes, "bends")


def _datums(plan: PanelPlan, move: Transform) -> Iterator[Mark]:
    """Yield a chain line for each datum, and the centre lines."""
    chain_dashes = (6.0, 1.5, 1.0, 1.5)
    for _, _, line in _datum_lines(plan):
        yield Stroke(line.transformed(move), FAINT, LINE_MM, chain_dashes, "datums")


def _datum_lines(plan: PanelPlan) -> Iterator[tuple[str, bool, Contour]]:
    """Yield the name and the line of each datum that no edge and no bend shows; True if level."""
    box = bounds(plan.frame.outline)
    reach = MARGIN_MM * 0.4
    shown = _shown(plan, box)
    for name, y in plan.frame.level_heights.items():
        if shown.is_new(1, y):
            yield name, True, _line(Point(box.left - reach, y), Point(box.right + reach, y))
    for name, x in plan.frame.upright_stations.items():
        if shown.is_new(0, x):
            yield name, False, _line(Point(x, box.bottom - reach), Point(x, box.top + reach))


@dataclass
class _Shown:
    """The places along each axis that have their line already."""

    places: tuple[list[float], list[float]]

    def is_new(self, axis: int, at: float) -> bool:
        """Return whether a place has no line yet, and note that it has now."""
        if any(abs(at - p) < SAME_PLACE_MM for p in self.places[axis]):
            return False
        self.places[axis].append(at)
        return True


def _shown(plan: PanelPlan, box: Bounds) -> _Shown:
    """Return what the edge and the guides show."""
    shown = _Shown(([box.left, box.right], [box.bottom, box.top]))
    for guide in plan.frame.guides:
        for axis in (0, 1):
            if guide.contour.start[axis] == guide.contour.end[axis]:
                shown.is_new(axis, guide.contour.start[axis])
    return shown


def _line(start: Point, end: Point) -> Contour:
    return Contour((Line(start, end),), closed=False)
