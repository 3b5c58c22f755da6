"""What is given on a setting-out sheet: running sizes, corners and checks across the diagonal."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.parts import parts_of
from livery.geometry.shapes import rectangle
from livery.layout.piece import Piece, PieceKind, entry_title
from livery.layout.plan import Baseline, PanelPlan
from livery.make.sheets.corner_places import (
    END,
    SAME_MM,
    CornerGroup,
    CornerPlace,
    corner_groups,
    corners_round,
    is_rectangle,
    line_corners,
    outermost,
    run_on_box,
)
from livery.make.sheets.letter_places import lettered_lines
from livery.rounding import figure, rounded_value

MOST_POINTS = 8
"""Points of one group that have running sizes (chosen: what one row holds); with more, its corners
are listed. More, and rows of figures spread beyond the drawing."""

MOST_ACROSS = 6
"""Diagonals written on one sheet, the longest first (chosen: a few prove a panel square). More
only take room."""

LONG_SHARE = 0.5
"""Diagonals shorter than this part of the longest are left out (chosen: they show little out of
square). Larger, and fewer are given."""

LEAST_CHECKED_MM = 15.0
"""A smaller opening is not checked across its diagonals, in millimetres (chosen: a rule shows
nothing on it). Larger, and fewer openings are checked."""

FOUR = 4
"""Of so many corners both diagonals are given, however short (by definition: a rectangle is square
when they agree). Another number leaves openings unchecked."""


@dataclass(frozen=True, slots=True)
class MarkedSize:
    """A size along one axis, what it is called if it has a name, and where its feature begins.

    ``of`` is whose size it is, for a table, where no line leads from the figure to the drawing.
    """

    mm: float
    name: str
    begins: float
    of: str = ""


@dataclass(frozen=True, slots=True)
class Sizes:
    """All a sheet gives: across and up, of the panel, of its lining and of its lettering."""

    panel_x: tuple[MarkedSize, ...]
    panel_y: tuple[MarkedSize, ...]
    lining_x: tuple[MarkedSize, ...]
    lining_y: tuple[MarkedSize, ...]
    letters_x: tuple[MarkedSize, ...]

    @property
    def above_x(self) -> tuple[MarkedSize, ...]:
        """Across, of the lining and the lettering together: what stands above the drawing."""
        return _merged((*self.lining_x, *self.letters_x))


def sizes_of(panel: PanelPlan) -> Sizes:
    """Return every size that is marked out on a panel."""
    box = panel.frame.extent
    corners = _no_corners if panel.frame.parts_alike else _corners
    stations = {k: v for k, v in panel.frame.upright_stations.items() if k not in _EDGES}
    heights = {k: v for k, v in panel.frame.level_heights.items() if k not in _EDGES}
    shapes = [("panel", panel.frame.outline)]
    shapes += [(k.name or "opening", k.outline) for k in panel.keep_outs if not k.is_slight]
    fields = [p for p in panel.pieces if p.kind is PieceKind.FIELD]
    shapes += [(f"{p.paint} field", p.outline) for p in fields]
    # Lines on gores have their table, gore by gore.
    lined = [] if panel.frame.parts_alike else list(_lined(panel))
    figures = [] if panel.frame.parts_alike else list(_figures(panel))
    letters = list(_letter_edges(panel))
    up = [
        MarkedSize(base.start.y + high, "", right, f"letters {base.text}")
        for base, _, right in letters
        for high in (0.0, base.cap_height)
    ]
    return Sizes(
        _merged(
            [
                *(MarkedSize(x, name, box.bottom) for name, x in stations.items()),
                *_along(shapes, 0, lambda b: b.bottom, corners),
                *(MarkedSize(x, "", box.bottom, "panel") for x in (0.0, box.left, box.right)),
            ]
        ),
        _merged(
            [
                *(MarkedSize(y, name, box.left) for name, y in heights.items()),
                *_along(shapes, 1, lambda b: b.left, corners),
                *(MarkedSize(y, "", box.left, "panel") for y in (0.0, box.bottom, box.top)),
            ]
        ),
        _merged(
            [
                *_along(lined, 0, lambda b: b.top, _line_corners),
                *_along(figures, 0, lambda b: b.top, _no_corners),
            ]
        ),
        _merged(
            [
                *_along(lined, 1, lambda b: b.right, _line_corners),
                *_along(figures, 1, lambda b: b.right, _no_corners),
                *up,
            ]
        ),
        _merged(
            MarkedSize(x, "", b.start.y, f"letters {b.text}")
            for b, left, right in letters
            for x in (left, right)
        ),
    )


def _lined(panel: PanelPlan) -> Iterator[tuple[str, Outline]]:
    """Yield what is given of each lining: its outermost strand, or the whole of a straight band."""
    for first in outermost(panel):
        last = _last_across(panel, first)
        whole = () if last is None else _whole_band(first, last)
        for shape in whole or parts_of(first.outline):
            yield entry_title(first.key), shape


def _figures(panel: PanelPlan) -> Iterator[tuple[str, Outline]]:
    """Yield the box of each drawing on a panel, of all its paints together."""
    found: dict[str, list[Outline]] = {}
    for piece in panel.pieces:
        if piece.kind is PieceKind.ARTWORK:
            found.setdefault(piece.key, []).append(piece.outline)
    for key, outlines in found.items():
        box = bounds(Outline(tuple(c for outline in outlines for c in outline)))
        yield entry_title(key), rectangle(box.width, box.height, Point(box.left, box.bottom))


def _last_across(panel: PanelPlan, first: Piece) -> Piece | None:
    """Return the last strand of a band that runs straight across or up, None for any other."""
    of, _, number = first.key.rpartition(".lining.")
    entry = panel.entry.lining[int(number)] if of and panel.frame.runs_straight else None
    if entry is None or (entry.level is None and entry.upright is None):
        return None
    if entry.at_keep_outs == "pass round":
        return None
    *_, last = (p for p in panel.pieces if p.key == first.key and p.kind is first.kind)
    return None if last is first else last


def _whole_band(first: Piece, last: Piece) -> tuple[Outline, ...]:
    """Return the parts of a band by their boxes; nothing if a strand has parts that another lacks."""
    ends = [sorted(parts_of(p.outline), key=_lower_left) for p in (first, last)]
    if len(ends[0]) != len(ends[1]):
        return ()
    boxes = [bounds(Outline((*one, *other))) for one, other in zip(*ends, strict=True)]
    return tuple(rectangle(b.width, b.height, Point(b.left, b.bottom)) for b in boxes)


def _lower_left(part: Outline) -> tuple[float, float]:
    box = bounds(part)
    return (rounded_value(box.left, 3), rounded_value(box.bottom, 3))


def _letter_edges(panel: PanelPlan) -> Iterator[tuple[Baseline, float, float]]:
    """Yield each line of lettering with the left edge of its first letter and the right of its last.

    Where it is not level, the ends of its baseline stand for them.
    """
    lines = {line.baseline: bounds(line.outline) for line in lettered_lines(panel)}
    for base in panel.baselines:
        if base in lines:
            yield base, lines[base].left, lines[base].right
        else:
            left, right = sorted((base.start.x, base.end.x))
            yield base, left, right


_EDGES = ("left", "right", "centre", "bottom", "top", "middle")


def _along(
    shapes: Iterable[tuple[str, Outline]],
    axis: int,
    edge: Callable[[Bounds], float],
    corners: Callable[[Outline], Sequence[CornerPlace]],
) -> Iterator[MarkedSize]:
    """Yield the sizes of named shapes along an axis: of their corners, and of the box of each.

    ``edge`` gives the side of the box next to the row of figures.
    """
    for of, shape in shapes:
        if shape:
            found = corners(shape)
            yield from (MarkedSize(c.at[axis], "", c.at[1 - axis], of) for c in found)
            if any(c.worked == END for c in found):
                continue  # a line with ends: its middle is given, and its width in the section
            box = run_on_box(shape)
            yield from (MarkedSize(mm, "", edge(box), of) for mm in box[axis::2])


def _corners(shape: Outline) -> Sequence[CornerPlace]:
    """Return the corners that the running sizes give: those of a shape of many are in the table."""
    found = () if is_rectangle(shape) else corners_round(shape)
    return found if len(found) <= MOST_POINTS else ()


def _line_corners(shape: Outline) -> Sequence[CornerPlace]:
    """Return the same of a part of a lining, with its ends in their middle."""
    found = () if is_rectangle(shape) else line_corners(shape)
    return found if len(found) <= MOST_POINTS else ()


def _no_corners(_: Outline) -> Sequence[CornerPlace]:
    """Return none: drawings, and gores set out from the template, have the sizes of their boxes."""
    return ()


def _merged(sizes: Iterable[MarkedSize]) -> tuple[MarkedSize, ...]:
    """Return sizes in order, one for each place, with the names of all that end there."""
    kept: list[MarkedSize] = []
    for size in sorted(sizes, key=lambda s: rounded_value(s.mm, 3)):
        if kept and size.mm - kept[-1].mm < SAME_MM:
            last = kept[-1]
            begins = size.begins if size.name and not last.name else last.begins
            name, of = _listed(last.name, size.name), _listed(last.of, size.of)
            kept[-1] = MarkedSize(last.mm, name, begins, of)
            continue
        kept.append(size)
    return tuple(kept)


def _listed(*words: str) -> str:
    """Return lists of names as one, each name once."""
    return ", ".join(dict.fromkeys(w for own in words for w in own.split(", ") if w))


def corner_lines(groups: Sequence[CornerGroup]) -> tuple[str, ...]:
    """Return the table of corners, a line for each: all that are not of level rectangles."""
    lines = []
    beyond: dict[str, int] = {}
    for group in groups:
        if group.is_rectangle:
            continue
        if group.corners:
            lines.append(f"{group.what}:")
        lines += map(_corner_line, group.corners)
        if group.not_listed:
            beyond[group.what] = beyond.get(group.what, 0) + group.not_listed
    lines += (f"{what}: {count} more, see the template" for what, count in beyond.items())
    return tuple(lines)


def _corner_line(corner: CornerPlace) -> str:
    x, y = (rounded_value(v, 1) for v in corner.at)
    worked = f", {corner.worked}" if corner.worked else ""
    return f"{corner.letter}  {figure(x, 1)}, {figure(y, 1)}{worked}"


def diagonal_checks(panel: PanelPlan) -> tuple[tuple[CornerGroup, ...], tuple[str, ...]]:
    """Return the corners of a panel and the lines of its checks from corner to corner."""
    groups = corner_groups(panel)
    lines = list(_diagonals(groups[0].corners))
    for group in groups[1:]:
        if len(group.corners) == FOUR:
            lines += (f"{group.what}: {words}" for words in _diagonals(group.corners))
    alike: dict[tuple[str, float, float], int] = {}
    for what, box in _rectangles(panel):
        size = (what, rounded_value(box.width, 1), rounded_value(box.height, 1))
        alike[size] = alike.get(size, 0) + 1
    for (what, wide, high), count in alike.items():
        many = f"{count} x " if count > 1 else ""
        lines.append(
            f"{many}{what}  {figure(wide, 1)} x {figure(high, 1)}, diagonals {figure(math.hypot(wide, high), 1)}"
        )
    return groups, tuple(lines)


def _diagonals(corners: Sequence[CornerPlace]) -> Iterator[str]:
    """Yield the distances to check between corners that are not neighbours; a triangle's sides."""
    sharp = [c for c in corners if c.is_sharp]
    points = _extremes(sharp if len(sharp) >= FOUR else corners)
    count = len(points)
    apart = 0 if count < FOUR else 1
    across = [
        (math.dist(p.at, q.at), f"{p.letter} to {q.letter}")
        for i, p in enumerate(points)
        for j, q in enumerate(points)
        if apart < j - i < count - apart
    ]
    longest = max(across, default=(0.0, ""))[0]
    least = 0.0 if count <= FOUR else LONG_SHARE * longest
    kept = [(rounded_value(size, 1), words) for size, words in across if size >= least]
    kept.sort(key=lambda c: (-c[0], c[1]))
    yield from (f"{words}  {figure(size, 1)}" for size, words in kept[:MOST_ACROSS])


def _extremes(corners: Sequence[CornerPlace]) -> list[CornerPlace]:
    """Return the corners, or of many those that reach farthest to each side askew."""
    if len(corners) <= MOST_POINTS:
        return list(corners)

    reached: set[int] = set()
    for ways in ([c.at.x + c.at.y for c in corners], [c.at.x - c.at.y for c in corners]):
        ranks = [(rounded_value(way, 6), c.at) for way, c in zip(ways, corners, strict=True)]
        reached |= {ranks.index(min(ranks)), ranks.index(max(ranks))}
    return [corners[i] for i in sorted(reached)]


def _rectangles(panel: PanelPlan) -> Iterator[tuple[str, Bounds]]:
    """Yield the openings and linings that are level rectangles, by their boxes."""
    for keep_out in panel.keep_outs:
        box = bounds(keep_out.outline)
        large = max(box.width, box.height) >= LEAST_CHECKED_MM
        if keep_out.is_opening and large and is_rectangle(keep_out.outline):
            yield keep_out.name or "opening", box
    for piece in outermost(panel):
        for part in parts_of(piece.outline):
            # A straight strip has no hole: a rule shows nothing across it.
            if is_rectangle(part) and len(tuple(part)) > 1:
                yield f"{entry_title(piece.key)}, outside", bounds(part)
