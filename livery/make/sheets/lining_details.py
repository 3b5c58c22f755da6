"""The details of a lining for whoever rules it: its section, its corners and the order to draw in.

A section is drawn enlarged, its strands from the outside in, with running distances from the
outside edge; the table under it gives the same from the panel's edge, a keep-out or a datum.
Each kind of corner is drawn enlarged, its centre and the radius of every edge beside it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum, auto
from itertools import pairwise

from fontTools.misc.transform import Offset, Transform

from livery.drawing import Anchor, Area, Label, Mark, Stroke
from livery.geometry.boolean import intersection
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Arc, Line, Outline, Point, carry, chain
from livery.geometry.shapes import rectangle
from livery.layout.piece import Piece, PieceKind, entry_title, lining_title
from livery.layout.plan import PanelPlan
from livery.make.sheets.arc_table import ArcPlace, arcs_of
from livery.make.sheets.free_places import FreePlaces
from livery.make.sheets.lining_reference import LiningReference, references_of, side_words
from livery.make.sheets.page_flow import FAINT, INK, LEADING, TEXT_MM, PageFlow
from livery.make.sheets.running import DimensionRow, Figure, SheetSide, row_depth, row_marks
from livery.make.sheets.written_columns import written_columns
from livery.process import Process
from livery.rounding import figure, rounded_value
from livery.write.label_face import label_width

ENLARGEMENTS = (20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2)
"""How many times larger a section or a corner is drawn; the largest that fits is taken (ISO 5455).
Fewer, and some are drawn smaller than there is room for."""

SECTION_MM = 110.0
"""The most width of a section, in millimetres (chosen: half a page, for the words beside it).
Larger, and sections are drawn larger with less room for words."""

STRAND_HIGH_MM = 10.0
"""The height at which strands are drawn in section, in millimetres (chosen). Larger, and fewer
sections fit a page."""

CORNER_MM = 56.0
"""The most size of a corner, in millimetres (chosen: two beside each other). Larger, and corners
are drawn larger, fewer to a page."""

CAPTION_IN_MM = 4.0
"""The room before and after a caption in its row, in millimetres (chosen). Larger, and captions
are divided sooner."""

ROUND_CORNER_MM = 17.0
"""Room round a corner for its radii, in millimetres (chosen: figures with their leaders). Smaller,
and radii run into the next corner."""

MOST_CORNERS = 6
"""Kinds of corner drawn of one lining (chosen: two rows); the others stand in the table. More, and
a lining takes more than a page."""

CROSS_MM = 2.5
"""Half the size of the cross at an arc's centre, in millimetres (chosen). Larger, and crosses of
near centres run into each other."""

UNDER_CORNER_MM, OVER_CORNER_MM = 9.0, 5.5
"""Room for radii under and over a corner, in millimetres (chosen: two rows of them, and one). Larger,
and fewer corners go on a page."""

APART_MM = 0.4
"""Edges of a corner as drawn that are nearer than this have no figures in its picture, in
millimetres on paper (chosen: three leaders wide). Smaller, and nobody sees which edge a figure
belongs to; larger, and corners that can be read lose theirs."""

PALE = "#e4e4e4"
FIGURE_MM = 1.9
"""The cap height of figures, in millimetres (chosen: read at arm's length; ISO 3098 has 1.8 as its
least). Larger, and rows of narrow strands spread further."""

CHORD_MM = 0.05
"""How finely outlines are followed to find what a centre lies on, in millimetres (chosen: a compass
point is thicker). Larger, and a centre near an edge is on the wrong side of it."""

SAME_WIDTH_MM = 0.03
"""Centres nearer than this are one, in millimetres (chosen: a third of the finest line). Larger,
and two kinds of corner are drawn as one."""

WIDTH_STOP_MM, REFERENCE_MM = 84.0, 62.0
"""In a section's table, the right edge of the widths, and the pitch at most of the columns after
it, in millimetres (chosen: three fit on A4). Larger, and columns run off the page."""


class StrandForm(Enum):
    """What a strand runs along, as it is set out: arcs by their centres, other curves, or straights."""

    ARCS = auto()
    CURVES = auto()
    STRAIGHTS = auto()


_PEN = "Set the pen to the width of the strand."
_TAPE = "Spray or brush, and lift the tapes while the paint is soft."
_SIZE = "Lay size between the two edges, then leaf."

HOW = {
    Process.BOW_PEN: {
        StrandForm.ARCS: f"{_PEN} Strike each arc about its centre at the radius of the centre line, "
        "half the width to each side; then rule the straights that join the arcs.",
        StrandForm.CURVES: f"{_PEN} Draw along the middle of the strand, through its points in the "
        "tables, half the width to each side.",
        StrandForm.STRAIGHTS: f"{_PEN} Rule along the middle of the strand, half the width to each "
        "side.",
    },
    Process.TAPE: {
        StrandForm.ARCS: "Lay a tape along each edge of the strand, at the radii of its two edges, "
        f"with the width open between them. {_TAPE}",
        StrandForm.CURVES: "Lay a tape along each edge of the strand, through its points in the "
        f"tables, with the width open between them. {_TAPE}",
        StrandForm.STRAIGHTS: "Lay a straight tape along each edge of the strand, with the width open "
        f"between them. {_TAPE}",
    },
    Process.LEAF: dict.fromkeys(StrandForm, _SIZE),
}
"""How a strand is put on along its line, for processes that follow a line by hand."""


ON_PAINT = (
    "Centres lie on finished paint: put a pad of thin card on low-tack tape under the compass point, "
    "so that it does not prick the paint (common practice)."
)
OFF_METAL = (
    "Centres lie off the metal, in an opening or beside the panel: tape card there, level with the "
    "paint, for the compass point (common practice)."
)


@dataclass(frozen=True, slots=True)
class SectionPart:
    """A strand or a gap of a band: how far it begins and ends from the outside edge."""

    paint: str
    process: str
    begins: float
    ends: float

    @property
    def width(self) -> float:
        """How wide it is, in mm."""
        return self.ends - self.begins

    @property
    def middle(self) -> float:
        """How far its centre line lies from the outside edge."""
        return (self.begins + self.ends) / 2.0


@dataclass(frozen=True, slots=True)
class CornerArcs:
    """The arcs of a lining about one centre: the words for each strand's edges."""

    arc: ArcPlace
    strands: tuple[str, ...]


def lining_details(
    flow: PageFlow, panel: PanelPlan, key: str, pieces: Sequence[Piece], called: str = ""
) -> None:
    """Write a lining's section, how it is put on, and its corners."""
    title = entry_title(key).capitalize() + (f", {called}" if called else "")
    parts = lining_section(panel, key, pieces)
    if parts:
        references = references_of(panel, key, pieces, parts[-1].ends)
        _section(flow, title, parts, references, sides=side_words(panel, key, pieces))
    for size in panel.sizes:
        if size.key == key and ", inset from" in size.what:
            where = size.what.split(", inset", 1)[1]
            flow.text(f"Outside edge: {figure(size.as_fitted, 2)} mm in{where} edge.", indent=4.0)
    if panel.entry.lining[int(key.rsplit(".", 1)[1])].widths is not None:
        flow.text("Its width changes along it: this is its greatest.", indent=4.0)
    _order(flow, panel, pieces)
    cut = arcs_of(k.outline for k in panel.keep_outs)  # those are listed with the openings
    corners = [c for c in corner_arcs(pieces) if not _is_among(c.arc, cut)]
    if corners:
        _corners(flow, title, corners, [piece.outline for piece in pieces])


def _is_among(arc: ArcPlace, others: Sequence[ArcPlace]) -> bool:
    return any(
        math.dist(arc.centre, other.centre) < SAME_WIDTH_MM
        and set(_figures(arc)) <= set(_figures(other))
        for other in others
    )


def _figures(arc: ArcPlace) -> tuple[str, ...]:
    return tuple(figure(radius, 2) for radius in arc.radii)


def lining_section(panel: PanelPlan, key: str, pieces: Sequence[Piece]) -> tuple[SectionPart, ...]:
    """Return the strands and gaps of a lining, from the outside to the inside."""
    called = panel.entry.lining[int(key.rsplit(".", 1)[1])].called
    title = lining_title(key, called)
    parts: list[SectionPart] = []
    run = 0.0
    by_paint = {piece.paint: piece.process.value for piece in pieces}
    for size in panel.sizes:
        what = size.what.removeprefix(f"{title}, ")
        if size.key != key or what == size.what or what.startswith("inset"):
            continue
        paint, _, number = what.rpartition(" ")
        is_gap = paint == "gap"
        if not number.isdigit() or (not is_gap and paint not in by_paint):
            continue
        process = "" if is_gap else by_paint.get(paint, "")
        parts.append(SectionPart("" if is_gap else paint, process, run, run + size.as_fitted))
        run += size.as_fitted
    return tuple(parts)


def _section(
    flow: PageFlow,
    title: str,
    parts: Sequence[SectionPart],
    references: Sequence[LiningReference],
    *,
    sides: tuple[str, str],
) -> None:
    """Draw a band in section with running distances from its first side, and list it."""
    whole = parts[-1].ends
    by = next((e for e in ENLARGEMENTS if whole * e <= SECTION_MM), ENLARGEMENTS[-1])
    figures = [rounded_value(e, 2) for e in (0.0, *(p.ends for p in parts))]
    depth = row_depth([figure(f, 2) for f in figures], FIGURE_MM)
    high = STRAND_HIGH_MM + depth + 4.0
    follows = high + (len(parts) + 4) * TEXT_MM * LEADING
    flow.heading(f"{title}: section, {_scale_words(by)}", follows=follows)
    marks: list[Mark] = []
    for part in parts:
        if part.paint:
            at = Point(20.0 + part.begins * by, 0.0)
            marks.append(Area(rectangle(part.width * by, STRAND_HIGH_MM, at), PALE, INK, 0.18))
    row = DimensionRow(
        SheetSide.TOP,
        20.0,
        STRAND_HIGH_MM + 2.0,
        tuple(Figure(20.0 + f * by, figure(f, 2), STRAND_HIGH_MM) for f in figures),
        4.0,
        high=flow.room,
    )
    marks += row_marks(row, FIGURE_MM)
    for words, x, anchor in (
        (sides[0], 18.0, Anchor.END),
        (sides[1], 22.0 + whole * by, Anchor.START),
    ):
        at = Point(x, STRAND_HIGH_MM / 2 - 1.0)
        marks.append(Label(words, at, TEXT_MM * 0.9, anchor, FAINT))
    flow.picture(marks, high)
    flow.gap(2.0)
    _section_table(
        flow,
        parts,
        (LiningReference(f"{sides[0].removesuffix(' side')} edge", 0.0, 1.0), *references),
    )
    flow.gap(2.0)


def _section_table(
    flow: PageFlow, parts: Sequence[SectionPart], every: Sequence[LiningReference]
) -> None:
    """List strands and gaps: width, and begin, end and centre line from each reference."""
    pitch = min(REFERENCE_MM, (flow.room - WIDTH_STOP_MM) / len(every))
    right = [-WIDTH_STOP_MM - pitch * (i + 1) for i in range(len(every))]
    stops = [4.0, 44.0, -WIDTH_STOP_MM, *right]
    flow.columns(("strand", "put on by", "width", *(f"from {r.what}" for r in every)), stops)
    for part in parts:
        cells = [part.paint or "gap", part.process, figure(part.width, 2)]
        for reference in every:
            begins, ends = (reference.distance(d) for d in (part.begins, part.ends))
            middle = f", centre {figure(reference.distance(part.middle), 2)}" if part.paint else ""
            cells.append(f"{figure(begins, 2)} to {figure(ends, 2)}{middle}")
        flow.columns(cells, stops)


def _order(flow: PageFlow, panel: PanelPlan, pieces: Sequence[Piece]) -> None:
    """Say in what order strands are put on, and how those that follow a line by hand."""
    order = dict.fromkeys(p.paint for p in sorted(pieces, key=lambda p: p.level))
    if len(order) > 1:
        flow.text(f"Order: {', then '.join(order)}.", indent=4.0)
    for process in dict.fromkeys(piece.process for piece in pieces):
        if process in HOW:
            outlines = [p.outline for p in pieces if p.process is process]
            said = HOW[process][strand_form(outlines)]
            if process is Process.BOW_PEN:
                said = " ".join((said, *compass_words(panel, outlines)))
            flow.text(f"{process.value.capitalize()}: {said}", indent=4.0)


def compass_words(panel: PanelPlan, outlines: Sequence[Outline]) -> Iterator[str]:
    """Yield what to do where the point of the compass stands, for arcs struck on finished paint."""
    centres = [arc.centre for arc in arcs_of(outlines)]
    openings = [k.outline for k in panel.keep_outs if k.is_opening]
    on_metal = _inside(centres, [panel.frame.outline]) - _inside(centres, openings)
    painted = _inside(centres, [p.outline for p in panel.pieces if p.kind is PieceKind.FIELD])
    if on_metal & painted:
        yield ON_PAINT
    if len(on_metal) < len(set(centres)):
        yield OFF_METAL


def _inside(points: Sequence[Point], outlines: Sequence[Outline]) -> set[Point]:
    """Return the points that lie within any of some outlines."""
    import shapely

    regions = [to_shapely(outline, CHORD_MM) for outline in outlines if outline]
    return {p for p in points if any(shapely.contains_xy(region, *p) for region in regions)}


def strand_form(outlines: Sequence[Outline]) -> StrandForm:
    """Return what strands run along: arcs if any is listed by its centre, then curves if any is."""
    if arcs_of(outlines):
        return StrandForm.ARCS
    segments = (s for outline in outlines for contour in outline for s in contour.segments)
    is_straight = all(isinstance(segment, Line) for segment in segments)
    return StrandForm.STRAIGHTS if is_straight else StrandForm.CURVES


def corner_arcs(pieces: Sequence[Piece]) -> tuple[CornerArcs, ...]:
    """Return the arcs of a lining by centre, with the edges and centre line of each strand."""
    by_strand = [(p.paint, arcs_of([p.outline])) for p in pieces]
    found = []
    for arc in arcs_of(p.outline for p in pieces):
        strands = []
        for paint, own in by_strand:
            near = next((a for a in own if math.dist(a.centre, arc.centre) < SAME_WIDTH_MM), None)
            if near is not None:
                strands.append(f"{paint} {_radii_words(near.radii)}")
        found.append(CornerArcs(arc, tuple(strands)))
    return tuple(found)


def _radii_words(radii: Sequence[float]) -> str:
    said = ", ".join(figure(r, 2) for r in radii)
    if len(radii) != 2:
        return f"R {said}"
    return f"R {said}, centre line R {figure(sum(radii) / 2.0, 2)}"


def _corners(
    flow: PageFlow, title: str, corners: Sequence[CornerArcs], shapes: Sequence[Outline]
) -> None:
    """Draw each kind of corner enlarged, then list all by centre and radii."""
    kinds: dict[tuple[str, ...], ArcPlace] = {}
    for corner in corners:
        kinds.setdefault(_figures(corner.arc), corner.arc)
    drawn = [_corner(arc, shapes) for arc in list(kinds.values())[:MOST_CORNERS]]
    flow.heading(
        f"{title}: corners and arcs (millimetres across and up)",
        follows=max((d.height for d in drawn), default=0.0) + 12.0,
    )
    row: list[CornerPicture] = []
    for picture in drawn:
        if sum(p.width for p in row) + picture.width > flow.room:
            _corner_row(flow, row)
            row = []
        row.append(picture)
    _corner_row(flow, row)
    alike: dict[tuple[str, ...], list[str]] = {}
    for corner in corners:
        centre = corner.arc.centre
        alike.setdefault(corner.strands, []).append(f"{figure(centre.x, 2)}, {figure(centre.y, 2)}")
    for strands, centres in alike.items():
        flow.text(f"{'; '.join(strands)}; about these centres:", indent=4.0)
        written_columns(flow, centres)


@dataclass(frozen=True, slots=True)
class CornerPicture:
    """A corner drawn enlarged, from (0, 0) up, with the room it takes."""

    marks: tuple[Mark, ...]
    width: float
    height: float
    caption: str


def _corner_row(flow: PageFlow, row: Sequence[CornerPicture]) -> None:
    if not row:
        return
    high = max(p.height for p in row) + TEXT_MM * LEADING
    marks: list[Mark] = []
    left = 0.0
    for picture in row:
        marks += _moved(picture.marks, left, TEXT_MM * LEADING)
        at = Point(left + CAPTION_IN_MM, TEXT_MM * 0.4)
        marks.append(Label(picture.caption, at, TEXT_MM))
        left += picture.width
    flow.picture(marks, high)
    flow.gap(3.0)


def _moved(marks: Sequence[Mark], dx: float, dy: float) -> Iterator[Mark]:
    move = Offset(dx, dy)
    for mark in marks:
        match mark:
            case Area():
                yield Area(mark.outline.transformed(move), mark.fill, mark.stroke, mark.stroke_mm)
            case Stroke():
                yield Stroke(mark.contour.transformed(move), mark.colour, mark.width_mm)
            case Label():
                at = carry(move, mark.at)
                yield Label(mark.text, at, mark.height_mm, mark.anchor, mark.colour)


def _corner(arc: ArcPlace, shapes: Sequence[Outline]) -> CornerPicture:
    """Return a corner drawn enlarged, with a cross at its centre and the radius of every arc."""
    reach = 1.25 * arc.radii[-1] + 1.0
    c = arc.centre
    window = rectangle(2.0 * reach, 2.0 * reach, Point(c.x - reach, c.y - reach))
    seen = [part for part in (intersection(shape, window) for shape in shapes) if part]
    boxes = [bounds(part) for part in seen]
    left, low = min([c.x, *(b.left for b in boxes)]), min([c.y, *(b.bottom for b in boxes)])
    wide = max([c.x, *(b.right for b in boxes)]) - left
    high = max([c.y, *(b.top for b in boxes)]) - low
    by = next((e for e in ENLARGEMENTS if max(wide, high) * e <= CORNER_MM), ENLARGEMENTS[-1])
    onto = Transform().translate(ROUND_CORNER_MM, UNDER_CORNER_MM).scale(by).translate(-left, -low)
    marks: list[Mark] = [Area(part.transformed(onto), PALE, INK, 0.15) for part in seen]
    at = carry(onto, c)
    for dx, dy in ((CROSS_MM, 0.0), (0.0, CROSS_MM)):
        ends = (Point(at.x - dx, at.y - dy), Point(at.x + dx, at.y + dy))
        marks.append(Stroke(chain(ends, closed=False), INK, 0.13))
    width, height = wide * by + 2.0 * ROUND_CORNER_MM, high * by + UNDER_CORNER_MM + OVER_CORNER_MM
    free = FreePlaces(marks, Bounds(0.0, 0.0, width, height))
    points = list(_points_on(arc, seen))
    is_fine = any((b - a) * by < APART_MM for (a, _), (b, _) in pairwise(points))
    for radius, point in () if is_fine else points:
        way = math.atan2(point.y - c.y, point.x - c.x)
        marks += free.pointed(f"R {figure(radius, 2)}", FIGURE_MM, carry(onto, point), way, INK)
    caption = f"{_scale_words(by)}; the cross is the centre, {figure(c.x, 2)}, {figure(c.y, 2)}"
    caption += "; radii below" if is_fine else ""
    under = CAPTION_IN_MM + label_width(caption, TEXT_MM) + CAPTION_IN_MM
    return CornerPicture(tuple(marks), max(width, under), height, caption)


def _points_on(arc: ArcPlace, seen: Sequence[Outline]) -> Iterator[tuple[float, Point]]:
    """Yield each radius with a point on its arc, the points spread along the arcs."""
    found: dict[float, Arc] = {}
    for segment in (s for part in seen for contour in part for s in contour.segments):
        if isinstance(segment, Arc) and math.dist(segment.centre, arc.centre) < SAME_WIDTH_MM:
            found.setdefault(rounded_value(segment.radius, 2), segment)
    for i, radius in enumerate(sorted(found)):
        segment = found[radius]
        share = (i + 1.0) / (len(found) + 1.0)
        if segment.sweep < 0.0:
            share = 1.0 - share
        centre = segment.centre
        start = math.atan2(segment.start.y - centre.y, segment.start.x - centre.x)
        angle = start + share * segment.sweep
        yield (
            radius,
            Point(centre.x + radius * math.cos(angle), centre.y + radius * math.sin(angle)),
        )


def _scale_words(by: float) -> str:
    return f"{by:g}:1" if by >= 1.0 else f"1:{1 / by:g}"
