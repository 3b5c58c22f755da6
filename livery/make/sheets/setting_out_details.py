"""The sheets that follow the plan of a panel: lining in section, arcs, curves, letters and folds.

A section is drawn enlarged, its strands from the outside in, with running distances from the
outside edge.  Arcs are given by centre and radius, curves by offsets at regular stations,
letters by their left and right edges, with strips at full size to cut out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from fontTools.misc.transform import Transform

from livery.drawing import Area, Drawing, Mark, Stroke
from livery.geometry.boolean import intersection
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point, carry, chain
from livery.geometry.shapes import rectangle
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import PanelPlan
from livery.make.sheets.arc_table import ArcPlace, arcs_of
from livery.make.sheets.curve_tables import curve_tables, fold_table, gore_tables
from livery.make.sheets.letter_places import LetteredLine, lettered_lines
from livery.make.sheets.lining_details import lining_details
from livery.make.sheets.lining_reference import from_datum
from livery.make.sheets.page_flow import HEADING_MM, INK, LEADING, MARGIN_MM, TEXT_MM, PageFlow
from livery.make.sheets.title_block import TitleBlock
from livery.make.sheets.written_columns import height_of_columns, written_columns
from livery.write.measuring_bar import HUNDRED_MM

STRIP_CLEAR_MM = 6.0
STRIP_WORDS_MM = 4.0 + 2.0 * TEXT_MM * LEADING
"""What the words over a strip take, and the gaps about it."""
BESIDE_BLOCK_MM = 8.0
"""Room under and over the title block."""


def detail_sheets(
    panel: PanelPlan, block: TitleBlock, paper: str, crowded: Mapping[str, Sequence[str]]
) -> tuple[Drawing, ...]:
    """Return the sheets of details; empty if there are none.

    ``crowded`` are running sizes that have no room beside the drawing, by heading.
    """
    flow = PageFlow(f"setting-out-{panel.name}", block.job, paper, sideways=True)
    flow.foot_mm = BESIDE_BLOCK_MM + block.height(flow.room)
    for heading, sizes in crowded.items():
        flow.heading(f"{heading}, in millimetres", follows=12.0)
        written_columns(flow, sizes)
    linings = _linings(panel)
    for key, pieces in linings.items():
        called = panel.entry.lining[int(key.rsplit(".", 1)[1])].called
        lining_details(flow, panel, key, pieces, called)
    _arcs(flow, "Panel edge: arcs", arcs_of([panel.frame.outline]))
    openings = [k.outline for k in panel.keep_outs if not k.is_slight]
    _arcs(flow, "Openings and fittings: arcs", arcs_of(openings))
    curve_tables(flow, panel, linings)
    gore_tables(flow, panel, linings)
    for line in lettered_lines(panel):
        _letters(flow, panel, line)
    fold_table(flow, panel)
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


def _arcs(flow: PageFlow, title: str, arcs: Sequence[ArcPlace]) -> None:
    """List arcs by centre and radii."""
    if not arcs:
        return
    flow.heading(f"{title} (millimetres across and up)", follows=12.0)
    lines = [
        f"centre {a.centre.x:.2f}, {a.centre.y:.2f}   R {', '.join(f'{r:.2f}' for r in a.radii)}"
        for a in arcs
    ]
    written_columns(flow, lines)


def _letters(flow: PageFlow, panel: PanelPlan, line: LetteredLine) -> None:
    """List the edges of every letter of a line, and draw strips of it at full size."""
    base = line.baseline
    edges = [f"{p.letter}   {p.box.left:.2f} to {p.box.right:.2f}" for p in line.letters]
    flow.heading(f"Letters {base.text}", follows=_kept_together(flow, edges, line))
    heights, stations = panel.frame.level_heights, panel.frame.upright_stations
    up = from_datum(heights, base.start.y, ("below", "above"))
    first = line.letters[0].box.left
    across = from_datum(stations, first, ("left of", "right of"))
    flow.text(
        f"Baseline {base.start.y:.2f} up{up}; capitals {base.cap_height:.2f} high. "
        f"The first letter begins {first:.2f} across{across}.",
        indent=4.0,
    )
    flow.text("Left and right edge of each letter, across from the panel's left:", indent=4.0)
    written_columns(flow, edges)
    _strips(flow, line)


def _kept_together(flow: PageFlow, edges: Sequence[str], line: LetteredLine) -> float:
    """Return the height of a line's words and table with its first strip, or without it.

    Where no page has room for both, the strip goes to a page of its own.
    """
    table = 3.0 * TEXT_MM * LEADING + height_of_columns(flow, edges)
    low, high = _strip_heights(line)
    both = table + high - low + STRIP_WORDS_MM
    most = flow.size[1] - 2.0 * MARGIN_MM - flow.foot_mm - HEADING_MM * 2.5
    return both if both <= most else min(table, most)


def _strip_heights(line: LetteredLine) -> tuple[float, float]:
    low = min(place.box.bottom for place in line.letters)
    return low - STRIP_CLEAR_MM, max(place.box.top for place in line.letters) + STRIP_CLEAR_MM


def _strips(flow: PageFlow, line: LetteredLine) -> None:
    """Draw a line of letters at full size in strips to cut out, each as long as the page."""
    low, high = _strip_heights(line)
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
    flow.need(box.height + STRIP_WORDS_MM)
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
