"""Pages of words and pictures, one below the other, each on a page that still has room for it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from fontTools.misc.transform import Offset

from livery.drawing import Anchor, Area, Drawing, Label, Mark, Stroke
from livery.geometry.outline import Point, chain
from livery.paper_sizes import PAPERS_MM
from livery.write.label_face import LEAST_CAP_MM, label_width, wrapped
from livery.write.measuring_bar import HUNDRED_MM

MARGIN_MM = 15.0
"""The margin of pages, in millimetres (chosen: wider than any desktop printer leaves white, and
room to punch). Larger, and lines are shorter."""

TEXT_MM = 2.1
"""The cap height of words, in millimetres (chosen: about 8.5 point; ISO 3098 has 1.8 as its
least). Larger, and a job takes more pages."""

LEADING = 1.75
"""The distance of lines, in cap heights (chosen: about 1.25 of the type's size). Larger, and a job
takes more pages; smaller, and lines run together."""

HEADING_MM = 3.2
"""The cap height of headings, in millimetres (chosen: half as high again as words). Larger, and a
job takes more pages."""

HEADING_OVER_MM, HEADING_UNDER_MM = HEADING_MM * 0.8, 1.6
"""The room over a heading and under its rule, in millimetres (chosen). Larger, and pages hold less."""

HEADING_ROOM_MM = HEADING_OVER_MM + HEADING_MM * LEADING + HEADING_UNDER_MM
"""What a heading takes of a page's height, in millimetres. Smaller, and a heading stands alone at a
page's foot."""

TITLE_MM = 4.4
"""The cap height of a page's title, in millimetres (chosen: twice the words). Larger, and long
titles are divided."""

SMALL_MM = LEAST_CAP_MM
FOOT_DOWN_MM = 4.0
"""How far below the margin the foot stands, in millimetres (chosen: within what printers reach);
what is above is kept clear of it. Larger, and a printer leaves it out."""

INK = "#111111"
FAINT = "#606060"


SHORT_MM = 50.0
"""A last page filled less than this, in millimetres, is saved by tighter lines where it can be
(chosen: a fifth of a page). Larger, and more pages are set tighter."""

TIGHTER = (0.95, 0.9)
"""How much tighter lines may stand to save a page (chosen: no line touches the next). Smaller, and
lines run together."""


class _Picture(NamedTuple):
    """Marks drawn from (0, 0) up, and where on the page that is."""

    marks: Iterable[Mark]
    at: Point

    def moved(self) -> Iterator[Mark]:
        """Yield the marks at their place, on the page's one layer."""
        move = Offset(*self.at)
        for mark in self.marks:
            match mark:
                case Area():
                    yield replace(mark, outline=mark.outline.transformed(move), layer="page")
                case Stroke():
                    yield replace(mark, contour=mark.contour.transformed(move), layer="page")
                case Label():
                    at = Point(*move.transformPoint(mark.at))
                    yield replace(mark, at=at, layer="page")


@dataclass
class PageFlow:
    """Pages being filled from the top; ``y`` is where the next line's top stands.

    ``foot_mm`` is kept clear above the lower margin.
    """

    name: str
    title: str
    paper: str
    sideways: bool = False
    y: float = 0.0
    foot_mm: float = 6.0
    repeats_heading: bool = False
    """Whether each heading is said again at the head of a page that begins inside its section."""
    continued: str = ""
    """What is said again at the head of a page that begins inside it, where there is room."""
    tightness: float = 1.0
    """What lines and gaps are multiplied by."""
    _filled: list[list[Mark | _Picture]] = field(default_factory=list, init=False)

    @property
    def pages(self) -> list[list[Mark]]:
        """The marks of each page, with those of its pictures."""
        return list(self._drawn())

    @property
    def count(self) -> int:
        """How many pages there are, whose pictures need not be drawn for it."""
        return len(self._filled)

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of a page."""
        width, height = PAPERS_MM[self.paper]
        return (height, width) if self.sideways else (width, height)

    @property
    def room(self) -> float:
        """Width between the margins."""
        return self.size[0] - 2 * MARGIN_MM

    def start_page(self) -> None:
        """Begin a new page."""
        self._filled.append([])
        self.y = self.size[1] - MARGIN_MM

    def need(self, height: float) -> None:
        """Begin a new page unless so much room is left."""
        if self._has_room(height):
            return
        is_first = not self._filled
        self.start_page()
        if not is_first and self.continued and self._has_room(HEADING_ROOM_MM + height):
            self._heading(f"{self.continued}, continued")

    def rows_left(self) -> int:
        """Return how many lines of words have room on the page that is being filled."""
        left = self.y - MARGIN_MM - self.foot_mm if self._filled else 0.0
        return int((left + 1e-6) / (TEXT_MM * LEADING))

    def has_room_below_heading(self, height: float) -> bool:
        """Return whether a heading and so much below it have room on the page that is being filled."""
        return self._has_room(HEADING_ROOM_MM + height)

    def _has_room(self, height: float) -> bool:
        return bool(self._filled) and self.y - height >= MARGIN_MM + self.foot_mm

    def gap(self, height: float) -> None:
        """Leave some room."""
        self.y -= height * self.tightness

    def text(
        self,
        words: str,
        *,
        height: float = TEXT_MM,
        indent: float = 0.0,
        mark: str = "",
        colour: str = INK,
    ) -> None:
        """Write words, wrapped; ``mark`` stands before the first line, such as a dash."""
        lines = wrapped(words, height, self.room - indent)
        leading = LEADING * self.tightness
        if self.continued:  # what is said again stands between sentences, not inside one
            self.need(len(lines) * height * leading)
        for i, line in enumerate(lines):
            self.need(height * leading)
            base = self.y - height
            if i == 0 and mark:
                at = Point(MARGIN_MM + indent - label_width(mark, height) - 1.2, base)
                self.add(Label(mark, at, height, colour=colour))
            self.add(Label(line, Point(MARGIN_MM + indent, base), height, colour=colour))
            self.y -= height * leading

    def heading(self, words: str, *, follows: float = 20.0) -> None:
        """Write a heading, with room for ``follows`` beneath it on the same page."""
        if self.repeats_heading:
            self.continued = ""
        self.need(HEADING_ROOM_MM + follows)
        self._heading(words)
        if self.repeats_heading:
            self.continued = words

    def _heading(self, words: str) -> None:
        self.gap(HEADING_OVER_MM)
        self.text(words, height=HEADING_MM)
        self.rule(0.25)
        self.gap(HEADING_UNDER_MM)

    def rule(self, width: float = 0.13) -> None:
        """Draw a line across the page."""
        ends = (Point(MARGIN_MM, self.y), Point(self.size[0] - MARGIN_MM, self.y))
        self.add(Stroke(chain(ends, closed=False), INK, width))

    def columns(
        self, cells: Sequence[str], stops: Sequence[float], *, height: float = TEXT_MM
    ) -> None:
        """Write one row of a table; a stop below 0 sets its cell flush right at that place."""
        self.need(height * LEADING)
        for words, stop in zip(cells, stops, strict=True):
            anchor = Anchor.END if stop < 0 else Anchor.START
            at = Point(MARGIN_MM + abs(stop), self.y - height)
            self.add(Label(words, at, height, anchor, INK))
        self.y -= height * LEADING

    def picture(self, marks: Iterable[Mark], height: float) -> None:
        """Place marks drawn from (0, 0) up, left at the margin, with their height reserved.

        They are asked for when the pages are made: those of pages that were only tried, never.
        """
        self.need(height)
        self.y -= height
        self._filled[-1].append(_Picture(marks, Point(MARGIN_MM, self.y)))

    def add(self, mark: Mark) -> None:
        """Put a mark on the page as it is, on the page's one layer."""
        if not self._filled:
            self.start_page()
        self._filled[-1].append(replace(mark, layer="page"))

    @property
    def is_last_page_short(self) -> bool:
        """Whether a further page was begun for a few lines."""
        return len(self._filled) > 1 and self.size[1] - MARGIN_MM - self.y < SHORT_MM

    def drawings(self) -> tuple[Drawing, ...]:
        """Return the pages, each with its bar, its title and its number at the foot."""
        width, height = self.size
        count = len(self._filled)
        made = []
        for i, marks in enumerate(self.pages, start=1):
            foot = self._foot(f"page {i} of {count}")
            made.append(Drawing(self.name, self.title, width, height, (*marks, *foot)))
        return tuple(made)

    def sheets(self, foot: Callable[[int, int], Iterable[Mark]]) -> tuple[Drawing, ...]:
        """Return the pages with a foot of their own, made from a page's number and their count."""
        width, height = self.size
        count = len(self._filled)
        return tuple(
            Drawing(self.name, self.title, width, height, (*marks, *foot(i, count)))
            for i, marks in enumerate(self.pages, start=1)
        )

    def _drawn(self) -> Iterator[list[Mark]]:
        """Yield the marks of each page, those of its pictures moved to their places."""
        for page in self._filled:
            made: list[Mark] = []
            for mark in page:
                made += mark.moved() if isinstance(mark, _Picture) else (mark,)
            page[:] = made
            yield made

    def _foot(self, number: str) -> Iterator[Mark]:
        """Yield a page's bar, and flush right beside it the title over the page's number."""
        right, y = self.size[0] - MARGIN_MM, MARGIN_MM - FOOT_DOWN_MM
        yield from HUNDRED_MM.marks(Point(MARGIN_MM, y), layer="page")
        room = self.room - HUNDRED_MM.length_mm - 4.0
        lines = [*wrapped(self.title, SMALL_MM, room), number]
        for i, words in enumerate(lines):
            at = Point(right, y + (len(lines) - 1 - i) * 3.2)
            yield Label(words, at, SMALL_MM, Anchor.END, FAINT, layer="page")


def with_no_short_page(filled: Callable[[float], PageFlow]) -> PageFlow:
    """Return pages filled with the given tightness: tighter lines where they save a short page."""
    loose = filled(1.0)
    if loose.is_last_page_short:
        for tightness in TIGHTER:
            tight = filled(tightness)
            if tight.count < loose.count:
                return tight
    return loose
