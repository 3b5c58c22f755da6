"""The title block of a drawing for the workshop, with the fields of ISO 7200 that a job has.

No date stands in it: what the sheet was made from is said by a digest of the description.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate

from livery.drawing import Label, Mark, Stroke
from livery.geometry.outline import Point, chain
from livery.write.label_face import LEAST_CAP_MM, label_width, wrapped

INK = "#000000"
FAINT = "#505050"
ROW_MM = 7.6
"""The height of a row of the block, in millimetres (chosen: its heading and one line). Smaller,
and words touch the row below."""

LINE_MM = 3.2
"""What each line after the first of long words adds to its row, in millimetres (chosen: 1.4 cap
heights). Smaller, and lines run together."""

NAME_MM = LEAST_CAP_MM
WORDS_MM = 2.3
"""The cap height of words, in millimetres; one long word is set smaller (chosen; ISO 3098 has 1.8
as its least). Larger, and rows take more lines."""

PAD_MM = 1.0
"""Between a field's edge and its words, in millimetres (chosen). Larger, and rows take more
lines."""

COLUMNS = (0.36, 0.26, 0.24, 0.14)
"""The width of each column, as a share of the block's (chosen: by their usual words). Another
share only divides other words."""


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What a sheet says of itself beside its scale and number."""

    job: str
    panel: str
    vehicle: str = ""
    hand: str = ""
    digest: str = ""

    @property
    def in_a_line(self) -> str:
        """The job, the vehicle, the panel and the hand, for a sheet that has no block.

        What the panel's title or the job's says already is not said again.
        """
        is_said = self.panel.startswith(self.vehicle) or self.vehicle == self.job
        vehicle = "" if is_said else self.vehicle
        said = set(_single_words(self.panel))
        hand = ", ".join(h for h in self.hand.split(", ") if not said.issuperset(_single_words(h)))
        hand = f"{hand} hand" if hand in ("left", "right") else hand
        return ", ".join(words for words in (self.job, vehicle, self.panel, hand) if words)

    def height(self, width: float) -> float:
        """Return how high a block so wide is: long words take several lines."""
        return sum(_row_height(row, width) for row in self._rows("", "", ""))

    def marks(
        self, at: Point, width: float, *, document: str, scale: str, sheet: str
    ) -> Iterator[Mark]:
        """Yield the block with its lower left corner ``at``; every sheet names its own three."""
        rows = self._rows(document, scale, sheet)
        top, right = at.y + self.height(width), at.x + width
        tops = [top]
        for row in rows:
            tops.append(tops[-1] - _row_height(row, width))
        for y in tops:
            yield _line(Point(at.x, y), Point(right, y), 0.25)
        lefts = [at.x + width * before for before in accumulate(COLUMNS[:-1], initial=0.0)]
        for left in lefts:
            yield _line(Point(left, at.y), Point(left, top), 0.25 if left == at.x else 0.13)
        yield _line(Point(right, at.y), Point(right, top), 0.25)
        # Row by row, as it is read.
        for row, above in zip(rows, tops, strict=False):
            for cell, left, share in zip(row, lefts, COLUMNS, strict=True):
                yield from _cell(cell, Point(left, above), share * width)

    def _rows(self, document: str, scale: str, sheet: str) -> tuple[_Row, _Row]:
        return (
            (("job", self.job), ("panel", self.panel), ("vehicle", self.vehicle or "not named"),
             ("sheet", sheet)),
            (("document", document), ("hand", self.hand or "as drawn"),
             ("made from description", self.digest or "not given"), ("scale", scale)),
        )  # fmt: skip


def _single_words(text: str) -> list[str]:
    return re.findall(r"\w+", text.lower())


_Row = tuple[tuple[str, str], ...]


def _row_height(row: _Row, width: float) -> float:
    most = max(
        len(_lines(words, share * width)[0]) for (_, words), share in zip(row, COLUMNS, strict=True)
    )
    return ROW_MM + (most - 1) * LINE_MM


def _lines(words: str, width: float) -> tuple[list[str], float]:
    """Return the lines of a cell so wide and their height: smaller first, then more lines."""
    room = width - 2.0 * PAD_MM
    height = WORDS_MM * min(1.0, room / max(label_width(words, WORDS_MM), 1e-9))
    if height >= NAME_MM:
        return [words], height
    whole = wrapped(words, NAME_MM, room)
    return [part for line in whole for part in _parts(line, room)], NAME_MM


def _parts(word: str, room: float) -> Iterator[str]:
    """Yield a line in parts that fit: one long word, such as a name, is broken between signs."""
    part = ""
    for sign in word:
        if part and label_width(part + sign, NAME_MM) > room:
            yield part
            part = ""
        part += sign
    yield part


def _cell(cell: tuple[str, str], corner: Point, width: float) -> Iterator[Mark]:
    """Yield the name and the words of a cell, from its upper left corner down."""
    name, words = cell
    x = corner.x + PAD_MM
    yield Label(name, Point(x, corner.y - 2.7), NAME_MM, colour=FAINT, layer="notes")
    lines, height = _lines(words, width)
    for i, line in enumerate(lines):
        at = Point(x, corner.y - 6.2 - i * LINE_MM)
        yield Label(line, at, height, layer="notes")


def _line(start: Point, end: Point, width: float) -> Stroke:
    return Stroke(chain((start, end), closed=False), INK, width, layer="notes")
