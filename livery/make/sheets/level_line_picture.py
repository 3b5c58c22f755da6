"""The picture of lines that run on: heights exaggerated, every panel with its place and its step.

Panels stand side by side in columns of one width, whatever their length, so that no two
figures can meet; only heights are to scale.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.geometry.outline import Point, chain
from livery.geometry.shapes import rectangle
from livery.make.sheets.page_flow import PageFlow
from livery.rounding import figure, rounded_value
from livery.vehicles.consist import InTrain
from livery.vehicles.level_lines import FollowedLine, Reach
from livery.write.label_face import label_width

HEAD_MM = 24.0
"""Width of the first column, which says what the rows are, in millimetres (chosen: its longest
words). Smaller, and they run into the first panel."""

COLUMN_MM, WIDEST_COLUMN_MM = 28.0, 56.0
"""The least and the most width of a panel's column, in millimetres (chosen: its figures; a strip
of few is not drawn out). Smaller, and figures run into each other."""

PER_STRIP = 8
"""Columns beside each other (chosen: what A4 and Letter hold sideways). More do not fit the
paper."""

CHART_MM = 48.0
"""The height of the drawing of heights, in millimetres (chosen: two strips to a page). Larger, and
steps are drawn larger with fewer strips to a page."""

ROW_MM = 4.0
"""The height of a row of figures, in millimetres (chosen: twice the figures). Smaller, and rows
run together."""

ROWS = ("vehicle", "stands at", "left end", "right end", "to level")
TEXT_MM, TITLE_MM = 1.9, 3.0
"""The cap heights of words and of the title, in millimetres (chosen: read at arm's length; ISO
3098 has 1.8 as its least). Larger, and figures do not fit their columns."""

STRIP_MM = CHART_MM + (len(ROWS) + 3) * ROW_MM
"""The height of a strip, in millimetres (by definition: the drawing, its rows, and three for its
words). Larger, and fewer strips fit a page."""

WIDTH_MM = HEAD_MM + PER_STRIP * COLUMN_MM
MARGIN_MM = 12.0
"""The margin of the picture, in millimetres (chosen: wider than any desktop printer leaves white).
Larger, and the page is larger."""

ENLARGED = (50.0, 25.0, 20.0, 10.0, 5.0, 4.0, 2.5, 2.0, 1.5, 1.0, 0.5, 0.25, 0.1)
"""How many times heights are drawn larger than they are; the largest that fits is taken (chosen:
ISO 5455's and some between). Fewer, and small steps are drawn smaller than there is room for."""

INK, FAINT, TOO_LARGE, BAND = "#1c1c1c", "#707070", "#b3261e", "#e8eef4"


@dataclass(frozen=True)
class Strip:
    """Panels in a row as seen from one side, from left to right, and what it is called."""

    words: str
    line: FollowedLine
    columns: tuple[Reach, ...]
    enlarged: float

    @property
    def column_mm(self) -> float:
        """How wide a column is: few share the whole width."""
        return min(PER_STRIP * COLUMN_MM / len(self.columns), WIDEST_COLUMN_MM)


def level_line_drawing(
    lines: Sequence[FollowedLine], train: Sequence[InTrain], title: str
) -> Drawing | None:
    """Return every line on one drawing, strip below strip; None where no panel has any."""
    strips = [strip for line in lines for strip in _strips(line)]
    if not strips:
        return None
    starts = {one.vehicle.name: one.start for one in train}
    height = 2 * MARGIN_MM + TITLE_MM * 2 + STRIP_MM * len(strips)
    marks: list[Mark] = []
    top = height - MARGIN_MM - TITLE_MM
    marks.append(
        Label(f"{title}: lines along the train", Point(MARGIN_MM, top), TITLE_MM, colour=INK)
    )
    for i, strip in enumerate(strips, start=1):
        corner = Point(MARGIN_MM, top - TITLE_MM - STRIP_MM * i)
        marks += _strip_marks(strip, starts, corner)
    words = f"{title}: lines along the train"
    return Drawing("level-lines", words, WIDTH_MM + 2 * MARGIN_MM, height, tuple(marks))


def level_line_pages(
    lines: Sequence[FollowedLine], train: Sequence[InTrain], title: str, paper: str
) -> tuple[Drawing, ...]:
    """Return the same on pages of paper."""
    book = PageFlow("level-lines", f"{title}: lines along the train", paper, sideways=True)
    starts = {one.vehicle.name: one.start for one in train}
    for line in lines:
        for i, strip in enumerate(_strips(line)):
            if i == 0:
                book.heading(f"{line.name}: heights above rail as built", follows=STRIP_MM)
            book.picture(_strip_marks(strip, starts, Point(0.0, 0.0)), STRIP_MM)
    return book.drawings()


def _strips(line: FollowedLine) -> Iterator[Strip]:
    """Yield a line's panels side by side: the left of the train, its right, and ends."""
    left = [r for r in line.reaches if r.face == "left"]
    right = _as_seen_from_the_right(line.reaches)
    ends = [r for r in line.reaches if r.face in ("front", "rear")]
    spread = max((abs(h - line.level_height) for r in line.reaches for h in _ends(r)), default=0.0)
    room = CHART_MM / 2.0 - 2.0
    enlarged = next((e for e in ENLARGED if spread * e <= room), ENLARGED[-1])
    for side, reaches in (
        ("left side, the front at the left", left),
        ("right side, the front at the right", right),
        ("ends", ends),
    ):
        # A strip goes on from the last column of the one before, so that no step is left out.
        for first in range(0, max(len(reaches) - 1, min(len(reaches), 1)), PER_STRIP - 1):
            columns = tuple(reaches[first : first + PER_STRIP])
            yield Strip(f"{line.name}, {side}", line, columns, enlarged)


def _as_seen_from_the_right(reaches: Sequence[Reach]) -> list[Reach]:
    """Return the right side's panels from the rear of the train to its front."""
    by_vehicle: dict[str, list[Reach]] = {}
    for reach in reaches:
        if reach.face == "right":
            by_vehicle.setdefault(reach.vehicle, []).append(reach)
    return [reach for own in reversed(by_vehicle.values()) for reach in own]


def _ends(reach: Reach) -> tuple[float, float]:
    return reach.left.height, reach.right.height


def _strip_marks(strip: Strip, starts: Mapping[str, float], corner: Point) -> Iterator[Mark]:
    """Yield a strip, ``corner`` its bottom left."""
    line, x0 = strip.line, corner.x + HEAD_MM
    foot = corner.y + (len(ROWS) + 1) * ROW_MM
    level = foot + CHART_MM / 2.0
    wide = strip.column_mm * len(strip.columns)
    words = (
        f"{strip.words}; heights drawn {strip.enlarged:g} times as large as on the model, "
        "lengths not to scale"
    )
    yield Label(words, Point(corner.x, foot + CHART_MM + 1.5 * ROW_MM), TEXT_MM, colour=FAINT)
    yield Area(rectangle(wide, CHART_MM, Point(x0, foot)), BAND)
    yield Stroke(
        chain((Point(x0, level), Point(x0 + wide, level)), closed=False),
        FAINT,
        0.13,
        dashes=(2.0, 1.0),
    )
    heads = {
        f"{figure(line.level_height, 2)} mm": level - TEXT_MM / 2,
        "step": foot + CHART_MM + 0.25 * ROW_MM,
        **{row: foot - i * ROW_MM for i, row in enumerate(ROWS, start=1)},
    }
    for words, y in heads.items():
        yield Label(words, Point(x0 - 1.0, y), TEXT_MM, Anchor.END, INK)
    for i, reach in enumerate(strip.columns):
        left = x0 + i * strip.column_mm
        yield from _column(strip, reach, starts, Point(left, foot))
    for i, (one, other) in enumerate(pairwise(strip.columns), start=1):
        yield from _step(strip, one, other, Point(x0 + i * strip.column_mm, foot))


def _column(strip: Strip, reach: Reach, starts: Mapping[str, float], foot: Point) -> Iterator[Mark]:
    level = strip.line.level_height
    up = [foot.y + CHART_MM / 2.0 + (h - level) * strip.enlarged for h in _ends(reach)]
    run = chain((Point(foot.x, up[0]), Point(foot.x + strip.column_mm, up[1])), closed=False)
    yield Stroke(run, INK, 0.4)
    at = starts[reach.vehicle] + min(reach.left.station, reach.right.station)
    move = rounded_value(level - reach.height, 2)
    cells = (
        _panel_words(reach),
        figure(at, 1),
        *(figure(h, 2) for h in _ends(reach)),
        f"{move:+.2f}",
    )
    for i, words in enumerate(cells, start=1):
        middle = Point(foot.x + strip.column_mm / 2.0, foot.y - i * ROW_MM)
        room = strip.column_mm - 2.0
        height = min(TEXT_MM, TEXT_MM * room / label_width(words, TEXT_MM))
        yield Label(words, middle, height, Anchor.MIDDLE, INK)


def _panel_words(reach: Reach) -> str:
    """Return a panel's vehicle and name; in a train its name begins with the vehicle's."""
    return f"{reach.vehicle}: {reach.panel.removeprefix(f'{reach.vehicle}-')}"


def _step(strip: Strip, one: Reach, other: Reach, foot: Point) -> Iterator[Mark]:
    """Yield the jump between two panels that meet, and its figure above the chart."""
    meeting = [s for s in strip.line.steps if {s.before, s.after} == {one, other}]
    if not meeting:
        return
    step = rounded_value(other.left.height - one.right.height, 2)
    level = foot.y + CHART_MM / 2.0
    ends = (
        Point(foot.x, level + (h - strip.line.level_height) * strip.enlarged)
        for h in (one.right.height, other.left.height)
    )
    colour = TOO_LARGE if meeting[0] in strip.line.too_large else INK
    jump = chain(ends, closed=False)
    if jump.segments:  # none where the panels meet level
        yield Stroke(jump, colour, 0.4)
    at = Point(foot.x, foot.y + CHART_MM + 0.25 * ROW_MM)
    yield Label(f"{step:+.2f}", at, TEXT_MM, Anchor.MIDDLE, colour)
