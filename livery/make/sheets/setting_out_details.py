"""The sheets that follow the plan of a panel: lining in section, arcs, curves, letters and folds.

A section is drawn enlarged, its strands from the outside in, with running distances from the
outside edge.  Arcs are given by centre and radius, curves by offsets at regular stations,
letters by their left and right edges, with strips at full size to cut out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from livery.drawing import Drawing, Mark
from livery.geometry.outline import Point
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import PanelPlan
from livery.make.sheets.arc_table import ArcPlace, arcs_of
from livery.make.sheets.curve_tables import curve_tables, fold_lines, gore_tables, has_curves
from livery.make.sheets.from_zero import across_words, up_words
from livery.make.sheets.guide_strips import draw_strips, first_strip_height
from livery.make.sheets.letter_places import LetteredLine, LetterPlace, lettered_lines
from livery.make.sheets.lining_details import lining_details
from livery.make.sheets.lining_reference import from_datum
from livery.make.sheets.page_flow import HEADING_MM, LEADING, MARGIN_MM, TEXT_MM, PageFlow
from livery.make.sheets.rivet_tables import rail_lines, rivet_lines
from livery.make.sheets.title_block import TitleBlock
from livery.make.sheets.written_columns import INDENT_MM, height_of_columns, written_columns
from livery.rounding import figure
from livery.write.label_face import wrapped
from livery.write.measuring_bar import HUNDRED_MM

BESIDE_BLOCK_MM = 8.0
"""Room under and over the title block, in millimetres (chosen). Smaller, and it runs into the
bar."""


def short_tables(panel: PanelPlan) -> dict[str, tuple[str, ...]]:
    """Return the tables that may stand under the plan, by heading: arcs, rivets, rails, folds."""
    openings = [k.outline for k in panel.keep_outs if not k.is_slight]
    tables = {
        "Panel edge: arcs (millimetres across and up)": _arcs(arcs_of([panel.frame.outline])),
        "Openings and fittings: arcs (millimetres across and up)": _arcs(arcs_of(openings)),
        "Rivets, in millimetres by their middles": rivet_lines(panel),
        "Handrails and pipes, in millimetres by the middles of their ends": rail_lines(panel),
        "Folds and lines of the sheet, by their numbers on the plan": fold_lines(panel),
    }
    return {heading: lines for heading, lines in tables.items() if lines}


def _at(place: Point) -> str:
    return f"{figure(place.x, 2)}, {figure(place.y, 2)}"


def has_short_tables_alone(panel: PanelPlan) -> bool:
    """Return whether a panel has no details but short tables."""
    return not (
        _linings(panel)
        or panel.frame.parts_alike
        or has_curves(panel)
        or any(True for _ in lettered_lines(panel))
    )


def detail_sheets(
    panel: PanelPlan,
    block: TitleBlock,
    paper: str,
    crowded: Mapping[str, Sequence[str]],
    tables: Mapping[str, Sequence[str]],
) -> tuple[Drawing, ...]:
    """Return the sheets of details; empty if there are none.

    ``crowded`` are running sizes that have no room beside the drawing, ``tables`` the short tables
    that have none under it, both by heading.
    """
    flow = PageFlow(f"setting-out-{panel.name}", block.job, paper, sideways=True)
    flow.repeats_heading = True
    flow.foot_mm = BESIDE_BLOCK_MM + block.height(flow.room)
    for heading, sizes in crowded.items():
        flow.heading(f"{heading}, in millimetres", follows=12.0)
        written_columns(flow, sizes)
    linings = _linings(panel)
    for key, pieces in linings.items():
        called = panel.entry.lining[int(key.rsplit(".", 1)[1])].called
        lining_details(flow, panel, key, pieces, called)
    for heading, lines in tables.items():
        flow.heading(heading, follows=12.0)
        written_columns(flow, lines)
    curve_tables(flow, panel, linings)
    gore_tables(flow, panel, linings)
    _all_letters(flow, panel)
    if not flow.count:
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


def _arcs(arcs: Sequence[ArcPlace]) -> tuple[str, ...]:
    """Return arcs in words, by centre and radii."""
    return tuple(
        f"centre {_at(a.centre)}   R {', '.join(figure(r, 2) for r in a.radii)}" for a in arcs
    )


@dataclass(frozen=True, slots=True)
class _Letters:
    """A line of letters as it is written on a page, with the height that must follow its heading."""

    line: LetteredLine
    words: tuple[str, ...]
    edges: tuple[str, ...]
    follows: float


def _all_letters(flow: PageFlow, panel: PanelPlan) -> None:
    """Write all lines of letters: next the first that fits on the page, so that pages are filled."""
    left = [_letters(flow, panel, line) for line in lettered_lines(panel)]
    while left:
        fits = next((one for one in left if flow.has_room_below_heading(one.follows)), left[0])
        left.remove(fits)
        flow.heading(f"Letters {fits.line.baseline.text}", follows=fits.follows)
        for words in fits.words:
            flow.text(words, indent=INDENT_MM)
        written_columns(flow, fits.edges)
        draw_strips(flow, fits.line)


def _letters(flow: PageFlow, panel: PanelPlan, line: LetteredLine) -> _Letters:
    """Return the words and edges of a line of letters, with the height of its table and first strip."""
    words = _bent_words(panel, line) if line.baseline.is_bent else _level_words(panel, line)
    edges = tuple(_edges(place, is_bent=line.baseline.is_bent) for place in line.letters)
    table = _height_of_text(flow, words) + height_of_columns(flow, edges)
    # Where no page has room for a table and a strip, the strip goes to a page of its own.
    both = table + first_strip_height(flow, line)
    most = flow.size[1] - 2.0 * MARGIN_MM - flow.foot_mm - HEADING_MM * 2.5
    return _Letters(line, words, edges, both if both <= most else min(table, most))


def _level_words(panel: PanelPlan, line: LetteredLine) -> tuple[str, ...]:
    base = line.baseline
    heights, stations = panel.frame.level_heights, panel.frame.upright_stations
    up = from_datum(heights, base.start.y, ("below", "above"))
    first = line.letters[0].box.left
    across = from_datum(stations, first, ("left of", "right of"))
    return (
        f"Baseline {figure(base.start.y, 2)} up{up}; capitals {figure(base.cap_height, 2)} high. "
        f"The first letter begins {figure(first, 2)} across{across}.",
        f"{_edges_of(line)}, across from {across_words(panel)}:",
    )


def _bent_words(panel: PanelPlan, line: LetteredLine) -> tuple[str, ...]:
    return (
        f"These letters do not stand level; capitals {figure(line.baseline.cap_height, 2)} high.",
        f"{_edges_of(line)}, across from {across_words(panel)}, and its foot, up from {up_words(panel)}:",
    )


def _edges_of(line: LetteredLine) -> str:
    if line.is_by_letter:
        return "Left and right edge of each letter"
    return "Letters touch or are divided: left and right edge of each part, numbered from the left"


def _edges(place: LetterPlace, *, is_bent: bool) -> str:
    words = f"{place.letter}   {figure(place.box.left, 2)} to {figure(place.box.right, 2)}"
    return f"{words}, foot {figure(place.box.bottom, 2)}" if is_bent else words


def _height_of_text(flow: PageFlow, texts: Sequence[str]) -> float:
    lines = sum(len(wrapped(text, TEXT_MM, flow.room - INDENT_MM)) for text in texts)
    return lines * TEXT_MM * LEADING
