"""Running dimensions along one side of a drawing, from a common origin.

ISO 129-1 (from memory): the origin is a small circle, every size ends in an arrow
that points away from it, and figures stand in line with the projection lines, read
from the bottom or the right of the sheet.  Figures that would overlap are moved
apart as little as will do, their projection lines bent to them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from livery.drawing import Anchor, Area, Label, Mark, Stroke
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import circle
from livery.write.label_face import label_width

INK = "#000000"
FAINT = "#9a9a9a"
LINE_MM = 0.13
"""The width of a dimension line, in millimetres (ISO 128: 0.13 is its finest line). Larger, and it
is read as an edge."""

FAINT_MM = 0.09
"""The width of an extension line, in millimetres (chosen: below ISO 128's finest, as rows lie
close). Larger, and close rows grow dark; smaller, and printers break it."""

ARROW_MM = 1.7
"""The length of an arrow head, in millimetres (chosen: near the figures' height). Larger, and
close sizes have dots for arrows sooner."""

ARROW_HALF_MM = 0.32
"""Half the width of an arrow head, in millimetres (chosen: with its length, a point of some 21
degrees; ISO 129-1 has 15 to 90). Larger, and heads of close rows touch."""

DOT_MM = 0.3
"""The radius of the dot where no arrow has room, in millimetres (chosen: two lines wide). Larger,
and dots of close sizes touch."""

ORIGIN_MM = 0.9
"""The radius of the circle at the origin of running sizes, in millimetres (chosen; ISO 129-1 marks
it by a circle). Larger, and it hides the first size."""

PAST_MM = 1.3
"""How far a line runs past the dimension line, in millimetres (chosen). Larger, and rows are
deeper."""

BEND_MM = 4.0
"""Over what depth a line bends to its figure, in millimetres (chosen: figures stand up to as far
aside without lying flat). Larger, and rows are deeper."""

TAIL_MM = 0.7
"""The straight end of a bent line, in millimetres (chosen). Larger, and rows are deeper."""

GAP_MM = 0.7
"""From the end of a line to its figure, in millimetres (chosen). Larger, and rows are deeper."""

PITCH = 1.5
"""The distance between the lines of figures, in heights of a figure (chosen: two are not read as
one). Larger, and more figures stand aside of their line."""


class SheetSide(Enum):
    """Which side of the drawing a row of figures stands on."""

    BOTTOM = "bottom"
    TOP = "top"
    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Figure:
    """A size: where its feature is along the side, on the page, its words, and where its line starts."""

    at: float
    words: str
    begins: float


@dataclass(frozen=True, slots=True)
class DimensionRow:
    """A row of running dimensions; ``line`` is where its dimension line lies across the side.

    ``low`` and ``high`` bound where figures may stand.
    """

    side: SheetSide
    origin: float
    line: float
    figures: tuple[Figure, ...]
    low: float
    high: float

    @property
    def out(self) -> float:
        """+1 or -1: which way is outward."""
        return 1.0 if self.side in (SheetSide.TOP, SheetSide.RIGHT) else -1.0

    def place(self, along: float, across: float) -> Point:
        """Return a point by its place along the side and across it."""
        upright = self.side in (SheetSide.LEFT, SheetSide.RIGHT)
        return Point(across, along) if upright else Point(along, across)


def row_depth(words: Sequence[str], height: float) -> float:
    """Return how far a row reaches out from its dimension line."""
    longest = max((label_width(w, height) for w in words), default=0.0)
    return PAST_MM + BEND_MM + TAIL_MM + GAP_MM + longest


def spread(places: Sequence[float], apart: float, low: float, high: float) -> list[float]:
    """Return rising places moved ``apart``, as little as possible (least squares), within bounds.

    Pools neighbours that violate the distance (isotonic regression by pooling; Barlow
    and others, 1972).
    """
    pools: list[tuple[float, int]] = []
    for i, place in enumerate(places):
        pools.append((place - i * apart, 1))
        while len(pools) > 1 and pools[-2][0] >= pools[-1][0]:
            (a, m), (b, n) = pools[-2:]
            pools[-2:] = [((a * m + b * n) / (m + n), m + n)]
    flat = [mean for mean, count in pools for _ in range(count)]
    most = high - (len(places) - 1) * apart
    return [min(max(v, low), max(low, most)) + i * apart for i, v in enumerate(flat)]


def row_marks(row: DimensionRow, height: float) -> Iterator[Mark]:
    """Yield the marks of a row: dimension line, origin, arrows, projection lines and figures."""
    if not row.figures:
        return
    figures = sorted(row.figures, key=lambda f: f.at)
    stands = spread([f.at for f in figures], PITCH * height, row.low, row.high)
    ends = [row.origin, *(f.at for f in figures)]
    yield _line(row.place(min(ends), row.line), row.place(max(ends), row.line))
    before = row.origin
    for figure, stand in zip(figures, stands, strict=True):
        yield from _projection(row, figure, stand)
        yield _label(row, figure.words, stand, height)
        if abs(figure.at - row.origin) < 1e-6:
            continue
        yield _end(row, figure.at, abs(figure.at - before))
        before = figure.at
    # White within, so that the line is seen to begin at the circle.
    yield Area(
        circle(row.place(row.origin, row.line), ORIGIN_MM), "#ffffff", INK, LINE_MM, "dimensions"
    )


def _projection(row: DimensionRow, figure: Figure, stand: float) -> Iterator[Mark]:
    past = row.line + row.out * PAST_MM
    bent = past + row.out * BEND_MM
    yield _line(
        row.place(figure.at, figure.begins), row.place(figure.at, row.line), FAINT, FAINT_MM
    )
    run = (
        row.place(figure.at, row.line),
        row.place(figure.at, past),
        row.place(stand, bent),
        row.place(stand, bent + row.out * TAIL_MM),
    )
    yield Stroke(chain(run, closed=False), INK, FAINT_MM, layer="dimensions")


def _label(row: DimensionRow, words: str, stand: float, height: float) -> Label:
    across = row.line + row.out * (PAST_MM + BEND_MM + TAIL_MM + GAP_MM)
    upright = row.side in (SheetSide.LEFT, SheetSide.RIGHT)
    at = row.place(stand + (-height / 2.0 if upright else height / 2.0), across)
    anchor = Anchor.START if row.out > 0 else Anchor.END
    return Label(words, at, height, anchor, INK, angle=0.0 if upright else 90.0, layer="dimensions")


def _end(row: DimensionRow, at: float, room: float) -> Mark:
    """Return the arrow at a size's end; a dot where there is no room for one."""
    if room < ARROW_MM * 1.2:
        return Area(circle(row.place(at, row.line), DOT_MM), INK, layer="dimensions")
    back = at - ARROW_MM if at > row.origin else at + ARROW_MM
    corners = (
        row.place(at, row.line),
        row.place(back, row.line + ARROW_HALF_MM),
        row.place(back, row.line - ARROW_HALF_MM),
    )
    return Area(Outline((chain(corners),)), INK, layer="dimensions")


def _line(a: Point, b: Point, colour: str = INK, width: float = LINE_MM) -> Stroke:
    return Stroke(chain((a, b), closed=False), colour, width, layer="dimensions")
