"""Strips at full size to cut out: a line of letters in pieces that fit on a page.

A line is cut between its words.  Only a word that is longer than a page is cut between its
letters; its strips then overlap, with a lap mark on both.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count, pairwise
from typing import NamedTuple

from fontTools.misc.transform import Transform

from livery.drawing import Anchor, Area, Label, Mark, Stroke
from livery.geometry.boolean import intersection
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point, carry, chain
from livery.geometry.shapes import rectangle
from livery.make.sheets.letter_places import LetteredLine
from livery.make.sheets.page_flow import INK, LEADING, TEXT_MM, PageFlow
from livery.make.sheets.written_columns import INDENT_MM
from livery.rounding import figure
from livery.write.label_face import LEAST_CAP_MM, wrapped
from livery.write.tiles import in_letters

CLEAR_MM = 6.0
"""Paper round the letters of a strip, in millimetres (chosen: room for the knife, and for the letter
of a lap mark). Larger, and fewer letters go on a strip."""
GAP_MM = 2.0
"""Over the words of a strip, and under it, in millimetres (chosen). Larger, and fewer strips fit a
page."""

LAP_MM = 5.0
"""How far a strip runs past a lap mark, in millimetres (chosen: room for glue or tape). Larger, and
fewer letters go on a strip."""
OFF_MARK_MM = 0.6
"""From a lap mark to its letter, in millimetres (chosen: clear of it). Larger, and letters of near
marks touch."""

PAGE_LESS_MM = 75.0
"""What headings, words and the title block take of a page's height, in millimetres (measured).
Smaller, and a strip runs off the page. Larger, and strips are divided that fit."""


class StripCut(NamedTuple):
    """A place where a line of letters is cut; ``in_word`` where a word goes on past it."""

    at: float
    in_word: bool


def draw_strips(flow: PageFlow, line: LetteredLine) -> None:
    """Draw a line of letters at full size in strips to cut out."""
    strips = _strips(flow, line)
    if not strips:
        flow.text("Too high for a strip: use the template.", indent=INDENT_MM)
    for strip in strips:
        _draw(flow, line, strip)


def first_strip_height(flow: PageFlow, line: LetteredLine) -> float:
    """Return the height on the page of the first strip of a line, with the words over it."""
    strips = _strips(flow, line)
    return _height(flow, strips[0]) if strips else TEXT_MM * LEADING


def strip_cuts(line: LetteredLine, room: float) -> list[StripCut]:
    """Return where strips no longer than ``room`` begin and end.

    A word that is longer than a strip is cut between letters, and through one where no two stand
    apart.
    """
    boxes = [place.box for place in line.letters]
    right = boxes[-1].right + CLEAR_MM
    between = [
        StripCut((before.box.right + after.box.left) / 2.0, in_word=not after.begins_word)
        for before, after in pairwise(line.letters)
        if before.box.right < after.box.left
    ]
    cuts = [StripCut(boxes[0].left - CLEAR_MM, in_word=False)]
    while right - (begin := _from(cuts[-1])) > room:
        reached = [c for c in between if c.at > cuts[-1].at and _to(c) - begin <= room]
        whole = [c for c in reached if not c.in_word]
        through = StripCut(begin + room - LAP_MM, in_word=True)
        cuts.append((whole or reached or [through])[-1])
    return [*cuts, StripCut(right, in_word=False)]


def _from(cut: StripCut) -> float:
    """Return where the strip after a cut begins."""
    return cut.at - LAP_MM * cut.in_word


def _to(cut: StripCut) -> float:
    """Return where the strip before a cut ends."""
    return cut.at + LAP_MM * cut.in_word


class _Strip(NamedTuple):
    """A strip of a line, as a box on the panel; ``laps`` gives its lap marks by letter."""

    box: Bounds
    words: str
    laps: dict[str, float]


def _strips(flow: PageFlow, line: LetteredLine) -> tuple[_Strip, ...]:
    """Return the strips of a line; none if it is too high for a page."""
    low = min(place.box.bottom for place in line.letters) - CLEAR_MM
    high = max(place.box.top for place in line.letters) + CLEAR_MM
    if high - low > flow.size[1] - PAGE_LESS_MM:
        return ()
    cuts = strip_cuts(line, flow.room)
    letters = map(in_letters, count())
    named = {cut.at: next(letters) for cut in cuts if cut.in_word}
    strips = []
    for number, (begin, end) in enumerate(pairwise(cuts), start=1):
        box = Bounds(_from(begin), low, _to(end), high)
        laps = {named[cut.at]: cut.at for cut in (begin, end) if cut.in_word}
        words = (
            f"Guide strip {number} of {len(cuts) - 1}, full size: cut out, prick or pounce along the "
            f"edges. It begins at {figure(box.left, 2)} and ends at {figure(box.right, 2)} across."
        )
        if laps:
            words += (
                f" The word is longer than the page: lay strips on each other at lap mark"
                f"{'s' if len(laps) > 1 else ''} {' and '.join(laps)}."
            )
        strips.append(_Strip(box, words, laps))
    return tuple(strips)


def _height(flow: PageFlow, strip: _Strip) -> float:
    lines = wrapped(strip.words, TEXT_MM, flow.room - INDENT_MM)
    return strip.box.height + len(lines) * TEXT_MM * LEADING + 2.0 * GAP_MM


def _draw(flow: PageFlow, line: LetteredLine, strip: _Strip) -> None:
    box, base = strip.box, line.baseline
    flow.need(_height(flow, strip))
    flow.gap(GAP_MM)
    flow.text(strip.words, indent=INDENT_MM)
    onto = Transform().translate(-box.left, -box.bottom)
    edge = rectangle(box.width, box.height, Point(box.left, box.bottom))
    marks: list[Mark] = [Area(intersection(line.outline, edge).transformed(onto), None, INK, 0.13)]
    levels = () if base.is_bent else (base.start.y, base.start.y + base.cap_height)
    for y in levels:
        ends = (carry(onto, Point(box.left, y)), carry(onto, Point(box.right, y)))
        marks.append(Stroke(chain(ends, closed=False), INK, 0.1, (4.0, 1.0, 0.8, 1.0)))
    marks.append(Area(edge.transformed(onto), None, INK, 0.25))
    for letter, at in strip.laps.items():
        marks += _lap_mark(at - box.left, box, letter)
    flow.picture(marks, box.height)
    flow.gap(GAP_MM)


def _lap_mark(x: float, box: Bounds, letter: str) -> Iterator[Mark]:
    """Yield the line at which two strips meet, and its letter on the strip's own side of it."""
    line = chain((Point(x, 0.0), Point(x, box.height)), closed=False)
    yield Stroke(line, INK, 0.13, (1.5, 1.0))
    at_end = x > box.width / 2.0
    beside = x - OFF_MARK_MM if at_end else x + OFF_MARK_MM
    anchor = Anchor.END if at_end else Anchor.START
    at = Point(beside, box.height - LEAST_CAP_MM - OFF_MARK_MM)
    yield Label(letter, at, LEAST_CAP_MM, anchor, INK)
