"""The sheets that follow the plan of a panel: lining in section, arcs, curves, letters and folds.

A section is drawn enlarged, its strands from the outside in, with running distances from the
outside edge.  Arcs are given by centre and radius, curves by offsets at regular stations,
letters by their left and right edges, with strips at full size to cut out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from fontTools.misc.transform import Transform

from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.geometry.boolean import intersection
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point, carry, chain
from livery.geometry.shapes import rectangle
from livery.layout.piece import Piece, PieceKind, entry_title
from livery.layout.plan import PanelPlan
from livery.make.sheets.arc_table import ArcPlace, arcs_of, is_curved, offsets_of
from livery.make.sheets.letter_places import LetteredLine, lettered_lines
from livery.make.sheets.page_flow import FAINT, INK, LEADING, MARGIN_MM, TEXT_MM, PageFlow
from livery.make.sheets.running import DimensionRow, Figure, SheetSide, row_depth, row_marks
from livery.make.sheets.title_block import BLOCK_MM, TitleBlock
from livery.process import Process
from livery.rounding import rounded_value
from livery.write.label_face import label_width
from livery.write.measuring_bar import HUNDRED_MM

ENLARGEMENTS = (20.0, 10.0, 5.0, 2.0, 1.0, 0.5)
SECTION_MM = 110.0
STRAND_HIGH_MM = 10.0
CORNER_MM = 52.0
CROSS_MM = 2.5
PALE = "#e4e4e4"
FIGURE_MM = 1.9
STRIP_CLEAR_MM = 6.0
COLUMN_GAP_MM = 6.0
FOOT_MM = 8.0 + BLOCK_MM

HOW = {
    Process.BOW_PEN: "Set the pen to the width. Rule along the centre line; strike arcs first, "
    "then the straights that join them.",
    Process.TAPE: "Lay the tapes along both edges, with the width of the strand open between.",
    Process.LEAF: "Lay size between the edges, then leaf.",
}
"""How a strand is put on along its line, for processes that follow a line by hand."""


@dataclass(frozen=True, slots=True)
class SectionPart:
    """A strand or a gap of a band: how far it begins and ends from the outside edge."""

    paint: str
    process: str
    begins: float
    ends: float


def detail_sheets(
    panel: PanelPlan, block: TitleBlock, paper: str, crowded: Mapping[str, Sequence[str]]
) -> tuple[Drawing, ...]:
    """Return the sheets of details; none where there is nothing to detail.

    ``crowded`` are running sizes that have no room beside the drawing, by heading.
    """
    flow = PageFlow(f"setting-out-{panel.name}", block.job, paper, sideways=True, foot_mm=FOOT_MM)
    for heading, sizes in crowded.items():
        flow.heading(f"{heading}: running sizes in millimetres", follows=12.0)
        _listed(flow, sizes)
    for key, pieces in _linings(panel).items():
        _lining(flow, panel, key, pieces)
    _arcs(flow, "Panel edge: arcs", arcs_of([panel.frame.outline]))
    openings = [k.outline for k in panel.keep_outs if not k.is_slight]
    _arcs(flow, "Openings and fittings: arcs", arcs_of(openings))
    _curves(flow, panel)
    for line in lettered_lines(panel):
        _letters(flow, line)
    _folds(flow, panel)
    if not flow.pages:
        return ()

    def foot(number: int, count: int) -> Iterator[Mark]:
        at = Point(MARGIN_MM, MARGIN_MM + 5.0)
        sheet = f"{number + 1} of {count + 1}"
        words = "setting out, details"
        yield from block.marks(at, flow.room, document=words, scale="as stated", sheet=sheet)
        yield from HUNDRED_MM.marks(Point(MARGIN_MM, MARGIN_MM - 4.0), layer="notes")

    return flow.sheets(foot)


def _linings(panel: PanelPlan) -> dict[str, list[Piece]]:
    """Return the pieces of each lining by its key, in order."""
    found: dict[str, list[Piece]] = {}
    for piece in panel.pieces:
        if piece.kind is PieceKind.LINING and ".lining." in piece.key:
            found.setdefault(piece.key, []).append(piece)
    return found


def section_of(panel: PanelPlan, key: str, pieces: Sequence[Piece]) -> tuple[SectionPart, ...]:
    """Return the strands and gaps of a lining, from the outside to the inside."""
    title = entry_title(key)
    parts: list[SectionPart] = []
    run = 0.0
    by_paint = {piece.paint: piece.process.value for piece in pieces}
    for size in panel.sizes:
        what = size.what.removeprefix(f"{title}, ")
        if size.key != key or what == size.what or what.startswith("inset"):
            continue
        paint, _, number = what.rpartition(" ")
        if not number.isdigit():
            continue
        is_gap = paint == "gap"
        process = "" if is_gap else by_paint.get(paint, "")
        parts.append(SectionPart("" if is_gap else paint, process, run, run + size.as_fitted))
        run += size.as_fitted
    return tuple(parts)


def _lining(flow: PageFlow, panel: PanelPlan, key: str, pieces: Sequence[Piece]) -> None:
    title = entry_title(key).capitalize()
    parts = section_of(panel, key, pieces)
    if parts:
        _section(flow, title, parts)
    insets = [s for s in panel.sizes if s.key == key and ", inset" in s.what]
    for size in insets:
        where = size.what.split(", ", 1)[1].replace("inset", "outside edge", 1)
        flow.text(f"{where}: {size.as_fitted:.2f} mm in from the panel's edge", indent=4.0)
    _order(flow, pieces)
    arcs = arcs_of(piece.outline for piece in pieces)
    _arcs(flow, f"{title}: corners and arcs", arcs, [piece.outline for piece in pieces])


def _section(flow: PageFlow, title: str, parts: Sequence[SectionPart]) -> None:
    """Draw a band in section with running distances from its outside edge, and list it."""
    whole = parts[-1].ends
    by = next((e for e in ENLARGEMENTS if whole * e <= SECTION_MM), ENLARGEMENTS[-1])
    scale = f"{by:g}:1" if by >= 1.0 else f"1:{1 / by:g}"
    figures = [rounded_value(e, 2) for e in (0.0, *(p.ends for p in parts))]
    depth = row_depth([f"{f:.2f}" for f in figures], FIGURE_MM)
    high = STRAND_HIGH_MM + depth + 4.0
    flow.heading(f"{title}: section, {scale}", follows=high + (len(parts) + 2) * TEXT_MM * LEADING)
    marks: list[Mark] = []
    for part in parts:
        if part.paint:
            shape = rectangle(
                (part.ends - part.begins) * by, STRAND_HIGH_MM, Point(20.0 + part.begins * by, 0.0)
            )
            marks.append(Area(shape, PALE, INK, 0.18))
    row = DimensionRow(
        SheetSide.TOP,
        20.0,
        STRAND_HIGH_MM + 2.0,
        tuple(Figure(20.0 + f * by, f"{f:.2f}", STRAND_HIGH_MM) for f in figures),
        4.0,
        high=flow.room - 4.0,
    )
    marks += row_marks(row, FIGURE_MM)
    marks.append(
        Label(
            "outside",
            Point(18.0, STRAND_HIGH_MM / 2 - 1.0),
            TEXT_MM * 0.9,
            colour=FAINT,
            anchor=Anchor.END,
        )
    )
    marks.append(
        Label(
            "inside",
            Point(22.0 + whole * by, STRAND_HIGH_MM / 2 - 1.0),
            TEXT_MM * 0.9,
            colour=FAINT,
        )
    )
    flow.picture(marks, high)
    flow.gap(2.0)
    stops = (0.0, 60.0, -112.0, -150.0, -190.0, 200.0)
    flow.columns(("strand", "", "width", "from outside edge", "centre line", "put on by"), stops)
    for part in parts:
        width, middle = part.ends - part.begins, (part.begins + part.ends) / 2.0
        cells = (
            part.paint or "gap", "", f"{width:.2f}", f"{part.begins:.2f} to {part.ends:.2f}",
            f"{middle:.2f}" if part.paint else "", part.process,
        )  # fmt: skip
        flow.columns(cells, stops)
    flow.gap(2.0)


def _order(flow: PageFlow, pieces: Sequence[Piece]) -> None:
    """Say in what order strands are put on, and how those that follow a line by hand."""
    order = ", then ".join(dict.fromkeys(p.paint for p in sorted(pieces, key=lambda p: p.level)))
    flow.text(f"Order: {order}.", indent=4.0)
    for process in dict.fromkeys(piece.process for piece in pieces):
        if process in HOW:
            flow.text(f"{process.value.capitalize()}: {HOW[process]}", indent=4.0)


def _arcs(
    flow: PageFlow, title: str, arcs: Sequence[ArcPlace], shapes: Sequence[Outline] = ()
) -> None:
    """List arcs by centre and radii; draw the first of them enlarged where shapes are given."""
    if not arcs:
        return
    picture = _corner(arcs[0], shapes) if shapes else None
    flow.heading(f"{title} (millimetres across and up)", follows=CORNER_MM if picture else 12.0)
    if picture is not None:
        marks, height, scale = picture
        flow.picture(marks, height)
        flow.gap(2.0)
        flow.text(f"Corner at the first centre, {scale}; the cross is the centre.", indent=4.0)
    lines = [
        f"centre {a.centre.x:.2f}, {a.centre.y:.2f}   R {', '.join(f'{r:.2f}' for r in a.radii)}"
        for a in arcs
    ]
    _listed(flow, lines)


def _corner(arc: ArcPlace, shapes: Sequence[Outline]) -> tuple[list[Mark], float, str] | None:
    """Return a corner drawn enlarged: what is near its centre, with a cross at the centre."""
    reach = 1.25 * arc.radii[-1] + 1.0
    c = arc.centre
    window = rectangle(2.0 * reach, 2.0 * reach, Point(c.x - reach, c.y - reach))
    seen = [part for part in (intersection(shape, window) for shape in shapes) if part]
    boxes = [bounds(part) for part in seen]
    left, low = min([c.x, *(b.left for b in boxes)]), min([c.y, *(b.bottom for b in boxes)])
    wide = max([c.x, *(b.right for b in boxes)]) - left
    high = max([c.y, *(b.top for b in boxes)]) - low
    by = next((e for e in ENLARGEMENTS if max(wide, high) * e <= CORNER_MM), ENLARGEMENTS[-1])
    onto = Transform().translate(CROSS_MM, CROSS_MM).scale(by).translate(-left, -low)
    marks: list[Mark] = [Area(part.transformed(onto), PALE, INK, 0.15) for part in seen]
    at = carry(onto, c)
    for dx, dy in ((CROSS_MM, 0.0), (0.0, CROSS_MM)):
        ends = (Point(at.x - dx, at.y - dy), Point(at.x + dx, at.y + dy))
        marks.append(Stroke(chain(ends, closed=False), INK, 0.13))
    return marks, high * by + 2.0 * CROSS_MM, f"{by:g}:1" if by >= 1.0 else f"1:{1 / by:g}"


def _curves(flow: PageFlow, panel: PanelPlan) -> None:
    """List the offsets of every shape that has a curve no compass draws."""
    shapes = [("Panel edge", panel.frame.outline)]
    shapes += [(entry_title(k).capitalize(), p[0].outline) for k, p in _linings(panel).items()]
    shapes += [(p.name, p.outline) for p in panel.pieces if p.kind is PieceKind.FIELD]
    for name, outline in shapes:
        if not is_curved(outline):
            continue
        offsets = offsets_of(outline)
        along, off = ("across", "up") if offsets.across else ("up", "across")
        flow.heading(f"{name}: offsets of its edges", follows=12.0)
        flow.text(f"At each station {along} the panel, the edges stand so far {off}.", indent=4.0)
        lines = [
            f"{station:.0f}:  {'  '.join(f'{e:.2f}' for e in edges)}"
            for station, edges in offsets.rows
        ]
        _listed(flow, lines)


def _letters(flow: PageFlow, line: LetteredLine) -> None:
    """List the edges of every letter of a line, and draw strips of it at full size."""
    base = line.baseline
    flow.heading(f"Letters {base.text}", follows=20.0)
    flow.text(
        f"Baseline {base.start.y:.2f} up; capitals {base.cap_height:.2f} high. "
        "Left and right edge of each letter, across from the panel's left:",
        indent=4.0,
    )
    _listed(flow, [f"{p.letter}   {p.box.left:.2f} to {p.box.right:.2f}" for p in line.letters])
    _strips(flow, line)


def _strips(flow: PageFlow, line: LetteredLine) -> None:
    """Draw a line of letters at full size in strips to cut out, each as long as the page."""
    tops = [p.box.top for p in line.letters]
    feet = [p.box.bottom for p in line.letters]
    low, high = min(feet) - STRIP_CLEAR_MM, max(tops) + STRIP_CLEAR_MM
    if high - low > flow.size[1] - 75.0:
        flow.text("Too high for a strip: use the template.", indent=4.0)
        return
    ends = strip_ends(line, flow.room)
    for number, (begin, end) in enumerate(pairwise(ends), start=1):
        _strip(flow, line, Bounds(begin, low, end, high), (number, len(ends) - 1))


def strip_ends(line: LetteredLine, room: float) -> list[float]:
    """Return where strips begin and end, no longer than ``room`` where letters stand apart.

    Letters that reach over one another, such as A and V, stay on one strip.
    """
    boxes = [place.box for place in line.letters]
    ends = [boxes[0].left - STRIP_CLEAR_MM]
    between: float | None = None
    for before, after in pairwise(boxes):
        if before.right < after.left:
            between = (before.right + after.left) / 2.0
        if between is not None and after.right + STRIP_CLEAR_MM - ends[-1] > room:
            ends.append(between)
            between = None
    return [*ends, boxes[-1].right + STRIP_CLEAR_MM]


def _strip(flow: PageFlow, line: LetteredLine, box: Bounds, number: tuple[int, int]) -> None:
    i, count = number
    words = f"Guide strip {i} of {count}, full size: cut out, prick or pounce along the edges."
    flow.need(box.height + 4.0 + 2.0 * TEXT_MM * LEADING)
    flow.gap(2.0)
    joins = f" It begins at {box.left:.2f} and ends at {box.right:.2f} across."
    flow.text(words + joins, indent=4.0)
    onto = Transform().translate(-box.left, -box.bottom)
    edge = rectangle(box.width, box.height, Point(box.left, box.bottom))
    marks: list[Mark] = [Area(intersection(line.outline, edge).transformed(onto), None, INK, 0.13)]
    base = line.baseline
    for y in (base.start.y, base.start.y + base.cap_height):
        ends = (carry(onto, Point(box.left, y)), carry(onto, Point(box.right, y)))
        marks.append(Stroke(chain(ends, closed=False), INK, 0.1, (4.0, 1.0, 0.8, 1.0)))
    marks.append(Area(edge.transformed(onto), None, INK, 0.25))
    flow.picture(marks, box.height)
    flow.gap(2.0)


def _folds(flow: PageFlow, panel: PanelPlan) -> None:
    """List the lines a sheet is bent or put together by, with their ends."""
    guides = [g for g in panel.frame.guides if g.label]
    if not guides:
        return
    flow.heading("Folds and lines of the sheet, numbered", follows=12.0)
    lines = []
    for i, guide in enumerate(guides, start=1):
        a, b = guide.contour.start, guide.contour.end
        lines.append(f"{i}  {guide.label}: {a.x:.2f}, {a.y:.2f} to {b.x:.2f}, {b.y:.2f}")
    _listed(flow, lines)


def _listed(flow: PageFlow, lines: Sequence[str]) -> None:
    """Write lines in as many columns as the page has room for, down each column in turn."""
    widest = max(label_width(line, TEXT_MM) for line in lines) + COLUMN_GAP_MM
    columns = max(1, int((flow.room - 4.0) / widest))
    rows = -(-len(lines) // columns)
    stops = [4.0 + i * widest for i in range(columns)]
    for row in range(rows):
        cells = [
            lines[row + c * rows] if row + c * rows < len(lines) else "" for c in range(columns)
        ]
        if columns == 1:
            flow.text(cells[0], indent=4.0)
        else:
            flow.columns(cells, stops)
    flow.gap(2.0)
