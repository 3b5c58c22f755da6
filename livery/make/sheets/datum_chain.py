"""A chain of dimensions from datum to datum, along one side of a setting-out sheet.

ISO 129-1 (from memory): each size of a chain stands over its own part of the dimension line,
which ends in arrows at both ends; figures read from the bottom or the right of the sheet.  A
figure stands where no projection line of the running sizes passes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from livery.drawing import Anchor, Area, Label, Mark, Stroke
from livery.geometry.outline import Outline, Point, chain
from livery.make.sheets.marked_sizes import MarkedSize
from livery.make.sheets.running import ARROW_HALF_MM, ARROW_MM, INK, LINE_MM
from livery.rounding import figure, rounded_value
from livery.write.label_face import label_width

CHAIN_MM = 5.0
"""How much deeper a side of the sheet is with a chain along it, in millimetres (chosen: a figure
and its line). Smaller, and the chain runs into the sizes beside it."""

OVER_MM = 0.7
"""How far a figure stands over its line, in millimetres (chosen: a third of a figure; ISO 129-1
asks that they do not touch). Larger, and it seems to belong to the line above."""

BESIDE_MM = 0.6
"""What a figure is kept from the lines beside it, in millimetres (chosen). Larger, and more
figures stand outside their gap."""


@dataclass(frozen=True, slots=True)
class DatumGap:
    """The distance between two datums that are neighbours, or from one to the panel's end."""

    begins: float
    ends: float
    names: tuple[str, str]

    @property
    def figure(self) -> str:
        """The distance in words, in mm."""
        return figure(self.ends - self.begins, 1)

    @property
    def words(self) -> str:
        """The line of a table."""
        return f"{self.names[0]} to {self.names[1]}  {self.figure}"


def datum_gaps(sizes: Sequence[MarkedSize], ends: tuple[str, str]) -> tuple[DatumGap, ...]:
    """Return the chain from end to end of a panel by its named datums; none if it has no datum.

    ``sizes`` run from one end to the other; ``ends`` name those that are no datums themselves.
    """
    if not any(size.name for size in sizes[1:-1]):
        return ()
    last = len(sizes) - 1
    stops = [
        (size.mm, size.name or (ends[0] if i == 0 else ends[1]))
        for i, size in enumerate(sizes)
        if size.name or i in (0, last)
    ]
    return tuple(DatumGap(a, b, (one, other)) for (a, one), (b, other) in pairwise(stops))


def figure_places(
    gaps: Sequence[DatumGap], sizes: Sequence[MarkedSize], scale: float, height: float
) -> list[float] | None:
    """Return where along the side, in mm of the panel, each figure stands; None if one has no room.

    ``scale`` is of the drawing, less than 1 where it is reduced.
    """
    places = []
    for gap in gaps:
        stops = [gap.begins, *(z.mm for z in sizes if gap.begins < z.mm < gap.ends), gap.ends]
        low, high = max(pairwise(stops), key=lambda s: rounded_value(s[1] - s[0], 6))
        room = (high - low) * scale
        if room < label_width(gap.figure, height) + 2.0 * BESIDE_MM:
            return None
        places.append((low + high) / 2.0)
    return places


def chain_marks(
    gaps: Sequence[DatumGap], places: Sequence[float], line: ChainLine, height: float
) -> Iterator[Mark]:
    """Yield the dimension line, the arrows and the figure of each part of a chain."""
    for gap, place in zip(gaps, places, strict=True):
        begin, end = line.along(gap.begins), line.along(gap.ends)
        ends = (line.at(begin, 0.0), line.at(end, 0.0))
        yield Stroke(chain(ends, closed=False), INK, LINE_MM, layer="dimensions")
        arrow = min(ARROW_MM, (end - begin) / 3.0)
        for tip, back in ((begin, begin + arrow), (end, end - arrow)):
            corners = (
                line.at(tip, 0.0), line.at(back, ARROW_HALF_MM), line.at(back, -ARROW_HALF_MM)
            )  # fmt: skip
            yield Area(Outline((chain(corners),)), INK, layer="dimensions")
        at = line.at(line.along(place), OVER_MM)
        angle = 90.0 if line.upright else 0.0
        yield Label(gap.figure, at, height, Anchor.MIDDLE, INK, angle=angle, layer="dimensions")


@dataclass(frozen=True, slots=True)
class ChainLine:
    """The line a chain is drawn along on the page: across it at ``off``, or upright."""

    off: float
    origin: float
    scale: float
    upright: bool

    def along(self, mm: float) -> float:
        """Return where a place of the panel is along the line, on the page."""
        return self.origin + mm * self.scale

    def at(self, along: float, over: float) -> Point:
        """Return a point of the page so far over the line: to its left where it is upright."""
        return Point(self.off - over, along) if self.upright else Point(along, self.off + over)
