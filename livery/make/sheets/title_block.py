"""The title block of a drawing for the workshop, with the fields of ISO 7200 that a job has.

No date stands in it: what the sheet was made from is said by a digest of the description.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from livery.drawing import Label, Mark, Stroke
from livery.geometry.outline import Point, chain
from livery.write.label_face import LEAST_CAP_MM, label_width, shortened

INK = "#000000"
FAINT = "#505050"
ROW_MM = 7.6
BLOCK_MM = 2.0 * ROW_MM
NAME_MM = LEAST_CAP_MM
WORDS_MM = 2.3
PAD_MM = 1.0
COLUMNS = (0.36, 0.26, 0.24, 0.14)
"""The width of each column, as a share of the block's."""


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
        """The job, the vehicle, the panel and the hand, for a sheet that has no block."""
        hand = f"{self.hand} hand" if self.hand in ("left", "right") else self.hand
        return ", ".join(words for words in (self.job, self.vehicle, self.panel, hand) if words)

    def marks(
        self, at: Point, width: float, *, document: str, scale: str, sheet: str
    ) -> Iterator[Mark]:
        """Yield the block with its lower left corner ``at``; every sheet names its own three."""
        rows = (
            (("job", self.job), ("panel", self.panel), ("vehicle", self.vehicle or "none"),
             ("sheet", sheet)),
            (("document", document), ("hand", self.hand or "as drawn"),
             ("made from description", self.digest or "not given"), ("scale", scale)),
        )  # fmt: skip
        top, right = at.y + BLOCK_MM, at.x + width
        for y in (at.y, at.y + ROW_MM, top):
            yield _line(Point(at.x, y), Point(right, y), 0.25)
        left = at.x
        for column, share in enumerate(COLUMNS):
            yield _line(Point(left, at.y), Point(left, top), 0.25 if column == 0 else 0.13)
            for i, row in enumerate(rows):
                base = top - (i + 1) * ROW_MM
                yield from _cell(row[column], Point(left, base), share * width)
            left += share * width
        yield _line(Point(right, at.y), Point(right, top), 0.25)


def _cell(cell: tuple[str, str], at: Point, width: float) -> Iterator[Mark]:
    name, words = cell
    room = width - 2.0 * PAD_MM
    yield Label(name, Point(at.x + PAD_MM, at.y + 4.9), NAME_MM, colour=FAINT, layer="notes")
    height = WORDS_MM * min(1.0, room / max(label_width(words, WORDS_MM), 1e-9))
    if height < NAME_MM:
        height = NAME_MM
        words = shortened(words, height, room)
    yield Label(words, Point(at.x + PAD_MM, at.y + 1.4), height, layer="notes")


def _line(start: Point, end: Point, width: float) -> Stroke:
    return Stroke(chain((start, end), closed=False), INK, width, layer="notes")
