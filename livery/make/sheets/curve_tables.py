"""Tables of the curves of a panel by offsets, of its gores with their lines, and of its folds."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Contour, Outline
from livery.geometry.parts import parts_of
from livery.layout.piece import Piece, PieceKind, entry_title
from livery.layout.plan import PanelPlan
from livery.make.sheets.arc_table import Offsets, curved_runs, is_curved, offsets_of
from livery.make.sheets.page_flow import PageFlow
from livery.make.sheets.written_columns import written_columns
from livery.rounding import figure

SAME_MM = 0.02
"""Curves whose boxes differ by less are one, in millimetres (chosen: a fifth of the last figure given).
Larger, and one that lies beside another is not listed."""

TWO_EDGES = 2
"""Of so many edges at a station the middle is given too (by definition). Another number has none."""


def curve_tables(flow: PageFlow, panel: PanelPlan, linings: Mapping[str, Sequence[Piece]]) -> None:
    """List the offsets of every edge and line that has a curve no compass draws."""
    listed: list[Bounds] = []
    for name, outline in _edges(panel):
        runs = [run for run in curved_runs(outline) if _is_new(bounds(run), listed)]
        for number, run in enumerate(runs, start=1):
            which = f", curve {number}" if len(runs) > 1 else ""
            _offsets(
                flow, f"{name}{which}: offsets", offsets_of(Outline((run,))), "the edge stands"
            )
    if panel.frame.parts_alike:
        return
    for key, pieces in linings.items():
        parts = [part for part in parts_of(pieces[0].outline) if is_curved(part)]
        for number, part in enumerate(parts, start=1):
            which = f", part {number}" if len(parts) > 1 else ""
            strand = f", {pieces[0].paint}" if len(pieces) > 1 else ""
            title = f"{entry_title(key).capitalize()}{which}{strand}: offsets of its edges"
            others = "The other strands keep their distances from it, as in the section."
            more = others if len(pieces) > 1 else ""
            _offsets(flow, title, offsets_of(part), "its edges stand", more)


def has_curves(panel: PanelPlan) -> bool:
    """Return whether an edge of a panel, an opening or a field has a curve that no compass draws."""
    return any(is_curved(outline) for _, outline in _edges(panel))


def _edges(panel: PanelPlan) -> Iterator[tuple[str, Outline]]:
    """Yield the edge of the panel (of one gore), of its openings and of its fields, by name."""
    outline = panel.frame.outline
    if panel.frame.parts_alike:
        yield "Edge of gore 1", Outline(gores_of(panel)[:1])
        return
    yield "Panel edge", outline
    for keep_out in panel.keep_outs:
        if not keep_out.is_slight:
            yield keep_out.name or keep_out.kind.value, keep_out.outline
    for piece in panel.pieces:
        if piece.kind is PieceKind.FIELD:
            yield piece.name, piece.outline


def _is_new(box: Bounds, listed: list[Bounds]) -> bool:
    """Return whether no curve was listed in the same box, and note this one."""
    for other in listed:
        if all(abs(a - b) < SAME_MM for a, b in zip(box, other, strict=True)):
            return False
    listed.append(box)
    return True


def _offsets(flow: PageFlow, title: str, offsets: Offsets, what: str, more: str = "") -> None:
    along, off = ("across", "up") if offsets.across else ("up", "across")
    flow.heading(f"{title} (millimetres)", follows=12.0)
    flow.text(
        f"At each station {along} the panel, {what} so far {off}. A straight rule from one station "
        f"to the next is at most {_left_off(offsets.off_mm)} mm from the curve. {more}".rstrip(),
        indent=4.0,
    )
    written_columns(flow, [_row(station, edges) for station, edges in offsets.rows])


def _left_off(mm: float) -> str:
    """Return how far a rule is from a curve, not smaller than it is."""
    return figure(max(math.ceil(mm * 20.0) / 20.0, 0.05), 2)


def _row(station: float, edges: Sequence[float]) -> str:
    said = "  ".join(figure(e, 2) for e in edges)
    place = figure(station, 2).removesuffix(".00")
    if len(edges) != TWO_EDGES:
        return f"{place}:  {said}"
    return f"{place}:  {figure(edges[0], 2)} and {figure(edges[1], 2)}, middle {figure(sum(edges) / 2.0, 2)}"


def gores_of(panel: PanelPlan) -> tuple[Contour, ...]:
    """Return the gores of a panel from the left."""
    return tuple(sorted(panel.frame.outline.contours, key=lambda c: bounds(c).left))


def gore_tables(flow: PageFlow, panel: PanelPlan, linings: Mapping[str, Sequence[Piece]]) -> None:
    """List the gores by number, and where each lining crosses the edges and the middle of each of them."""
    if not panel.frame.parts_alike:
        return
    boxes = [bounds(gore) for gore in gores_of(panel)]
    flow.heading("Gores, numbered from the left: from side to side, and the tip", follows=12.0)
    written_columns(
        flow,
        [
            f"{i}:  {figure(b.left, 2)} to {figure(b.right, 2)}, tip {figure(b.centre.x, 2)}"
            for i, b in enumerate(boxes, start=1)
        ],
    )
    for key, pieces in linings.items():
        lines = [line for piece in pieces for line in _gore_lines(piece, boxes)]
        if lines:
            title = f"{entry_title(key).capitalize()}: its edges on each gore"
            flow.heading(f"{title} (millimetres up)", follows=12.0)
            written_columns(flow, lines)


def _gore_lines(piece: Piece, gores: Sequence[Bounds]) -> Iterator[str]:
    """Yield where the line of a piece crosses the edges of gores; like neighbours are one row."""
    found = enumerate(sorted(_on_gores(piece, gores)))
    for (words, _), alike in groupby(found, key=lambda f: (f[1][1], f[1][0] - f[0])):
        numbers = [number for _, (number, _) in alike]
        which = f"gore {numbers[0]}" if len(numbers) == 1 else f"gores {_run(numbers)}"
        yield f"{which}, {piece.paint}:  {words}"


def _run(numbers: Sequence[int]) -> str:
    """Return numbers that follow one another: "3 and 4", "3 to 7"."""
    between = "and" if len(numbers) == 2 else "to"
    return f"{numbers[0]} {between} {numbers[-1]}"


def _on_gores(piece: Piece, gores: Sequence[Bounds]) -> Iterator[tuple[int, str]]:
    """Yield the number of each gore with where the line of a piece crosses its edges and its middle."""
    for part in parts_of(piece.outline):
        box = bounds(part)
        number = next(
            (i for i, g in enumerate(gores, start=1) if g.left < box.centre.x < g.right), None
        )
        if number is None:
            continue
        corners = _corner_points(part)
        left = [y for x, y in corners if x <= box.centre.x]
        right = [y for x, y in corners if x > box.centre.x]
        ends = [f"{figure(min(s), 2)} to {figure(max(s), 2)}" for s in (left, right) if s]
        sides = [side for side, s in (("left", left), ("right", right)) if s]
        named = dict(zip(sides, ends, strict=True))
        middle = _at_middle(part, gores[number - 1].centre.x)
        if middle is not None:
            named["middle"] = f"{figure(middle[0], 2)} to {figure(middle[1], 2)}"
        order = (side for side in ("left", "middle", "right") if side in named)
        yield number, ", ".join(f"{side} {named[side]}" for side in order)


def _at_middle(part: Outline, x: float) -> tuple[float, float] | None:
    """Return from where to where up a line lies on the middle line of its gore, if it crosses it."""
    import shapely

    shape = to_shapely(part)
    _, low, _, high = shape.bounds
    crossed = shape.intersection(shapely.LineString([(x, low - 1.0), (x, high + 1.0)]))
    return None if crossed.is_empty else (crossed.bounds[1], crossed.bounds[3])


def _corner_points(part: Outline) -> list[tuple[float, float]]:
    """Return the ends of the segments of a part: where it is cut by a gore's edges."""
    return [(s.start.x, s.start.y) for contour in part for s in contour.segments]


def fold_lines(panel: PanelPlan) -> tuple[str, ...]:
    """Return the lines a sheet is bent or put together by, in words with their numbers on the plan."""
    ends = ((label, c.start, c.end) for label, c in numbered_folds(panel))
    return tuple(
        f"{i}  {label}: {figure(a.x, 2)}, {figure(a.y, 2)} to {figure(b.x, 2)}, {figure(b.y, 2)}"
        for i, (label, a, b) in enumerate(ends, start=1)
    )


def numbered_folds(panel: PanelPlan) -> tuple[tuple[str, Contour], ...]:
    """Return the folds and lines of a sheet in the order they are numbered in; gores have their own."""
    if panel.frame.parts_alike:
        return ()
    return tuple((g.label, g.contour) for g in panel.frame.guides if g.label)
