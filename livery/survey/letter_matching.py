"""Traced marks read as lines of letters: each held against every letter of every alphabet.

A mark is brought to the size of a letter, up and across apart, and laid over it.  The letter is
chosen by the area that both cover over the area that either does; it stands for the mark where
nearly all of each lies on the other, give or take a fortieth of their size.  Method: our own.
"""

from __future__ import annotations

import string
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from livery.alphabet.source import names
from livery.data_folder import data_folder
from livery.geometry.flatten import flatten
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline
from livery.lettering.face import Face
from livery.lettering.glyphs import glyph_outline

TRIED = string.ascii_uppercase + string.digits + string.ascii_lowercase + "&.,'-/"
ALIKE = 0.95
"""The share of a mark and a letter that lies on the other where one stands for the other (chosen:
traced letters of our own have 0.95 to 1; of a foreign bold Roman's, two fifths have so much).
Larger, and fewer are read."""

_STRETCHED = 1.35
"""A letter is at most so many times wider or narrower than the alphabet has it (chosen). Larger,
and an I is read as a dash."""

_OFF_SIZE, _OFF_LINE = 0.06, 0.06
"""How far a letter's size and foot may be off those of its line, in the cap height (chosen).
Larger, and small letters are read as capitals."""

_GRID = 40
"""Cells up and across in which overlap is counted (chosen: half a percent of a letter's area is
seen). Fewer, and like letters are confused; more only take time."""

_SAME_LINE = 0.5
"""Marks stand in one line where they share so much of the height of its highest (chosen). Larger,
and small letters fall out of their line."""

_WORDS_APART = 0.6
"""A gap that is wider than the usual one by this share of the space parts two words (chosen).
Larger, and words run together."""

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class KnownLetter:
    """A letter of an alphabet: how it covers its box, also spread by a cell; the box in cap heights.

    ``left`` and ``right`` are the white beside it.
    """

    character: str
    mask: Mask
    spread: Mask
    width: float
    height: float
    foot: float
    left: float
    right: float


class LetterMatch(NamedTuple):
    """A mark and a letter: how alike, what share lies on the other, and how many times as wide it is.

    ``fits`` says whether it would be of its line's size, on its baseline.
    """

    mark: Outline
    letter: KnownLetter
    alike: float
    overlap: float
    wider: float
    fits: bool = True

    @property
    def stands(self) -> bool:
        """Whether the letter stands for the mark: so much alike, and of its line's size on its line."""
        return self.fits and self.overlap >= ALIKE

    @property
    def cap_height(self) -> float:
        """The cap height at which the letter is as high as the mark."""
        return bounds(self.mark).height / self.letter.height

    @property
    def baseline(self) -> float:
        """Where the letter's baseline then is."""
        return bounds(self.mark).bottom - self.letter.foot * self.cap_height


@dataclass(frozen=True, slots=True)
class ReadLine:
    """A line of marks read as letters of the alphabet most like them.

    ``matches`` go from left to right; ``ends`` say after which of them a word ends.
    """

    alphabet: str
    matches: tuple[LetterMatch, ...]
    cap_height: float
    baseline: float
    ends: frozenset[int]

    @property
    def is_read(self) -> bool:
        """Whether more than half of its marks are letters of the alphabet."""
        return 2 * sum(m.stands for m in self.matches) > len(self.matches)


@cache
def _face(alphabet: str) -> Face:
    return Face.read(data_folder("fonts_open") / f"{alphabet}.otf")


@cache
def known_letters(alphabet: str) -> tuple[KnownLetter, ...]:
    """Return the letters of an alphabet that comes with Livery, to hold marks against."""
    face = _face(alphabet)
    found = []
    for character in TRIED:
        if face.has(character):
            outline = glyph_outline(face, face.glyph(character))
            box, cap = bounds(outline), face.cap_height
            advance = face.advance(face.glyph(character))
            mask = _mask(outline, box)
            found.append(
                KnownLetter(
                    character,
                    mask,
                    _spread(mask),
                    width=box.width / cap,
                    height=box.height / cap,
                    foot=box.bottom / cap,
                    left=box.left / cap,
                    right=(advance - box.right) / cap,
                )
            )
    return tuple(found)


def _mask(outline: Outline, box: Bounds) -> Mask:
    """Return which cells of a grid over a box an outline covers, by their middles."""
    rows = box.bottom + (np.arange(_GRID) + 0.5) * box.height / _GRID
    columns = box.left + (np.arange(_GRID) + 0.5) * box.width / _GRID
    inside = np.zeros((_GRID, _GRID), bool)
    for contour in outline:
        ring = np.array(flatten(contour, box.height / 400.0))
        after = np.roll(ring, -1, axis=0)
        spans = (ring[:, 1:] > rows) != (after[:, 1:] > rows)
        with np.errstate(divide="ignore", invalid="ignore"):
            share = (rows - ring[:, 1:]) / (after[:, 1:] - ring[:, 1:])
            x = ring[:, :1] + share * (after[:, :1] - ring[:, :1])
        for row in range(_GRID):
            left_of = x[spans[:, row], row][:, None] > columns
            inside[row] ^= left_of.sum(axis=0) % 2 == 1
    return inside


def lines_of_letters(marks: Sequence[Outline]) -> list[ReadLine]:
    """Return marks as lines of letters, from the top down."""
    lines = [_read(line) for line in _in_lines(marks)]
    return sorted(lines, key=lambda line: (-line.baseline, bounds(line.matches[0].mark).left))


def _in_lines(marks: Sequence[Outline]) -> list[list[Outline]]:
    """Return marks in level lines, each from left to right; points go with the line they stand at."""
    lines: list[list[Outline]] = []
    for mark in sorted(marks, key=lambda m: -bounds(m).height):
        own = next((line for line in lines if _is_level(bounds(mark), bounds(line[0]))), None)
        if own is None:
            lines.append([mark])
        else:
            own.append(mark)
    points = [line for line in lines if len(line) == 1]
    for line in points:
        others = [o for o in lines if o is not line and _is_point(bounds(line[0]), o)]
        if others:
            min(others, key=lambda o: bounds(o[0]).height).append(line[0])
            lines.remove(line)
    return [_joined(sorted(line, key=lambda m: bounds(m).left)) for line in lines]


def _is_level(mark: Bounds, first: Bounds) -> bool:
    shared = min(first.top, mark.top) - max(first.bottom, mark.bottom)
    return shared > _SAME_LINE * first.height


def _is_point(mark: Bounds, line: Sequence[Outline]) -> bool:
    """Return whether a mark is small and stands at or in a line of larger ones."""
    boxes = [bounds(m) for m in line]
    height = boxes[0].height
    left, right = min(b.left for b in boxes) - height, max(b.right for b in boxes) + height
    low, high = boxes[0].bottom - 0.3 * height, boxes[0].top + 0.3 * height
    at = mark.centre
    return mark.height < 0.45 * height and left < at.x < right and low < at.y < high


def _joined(line: Sequence[Outline]) -> list[Outline]:
    """Return a line's marks, those that stand one over the other made one."""
    done: list[Outline] = []
    for mark in line:
        box = bounds(mark)
        if done:
            before = bounds(done[-1])
            shared = min(before.right, box.right) - max(before.left, box.left)
            if shared > 0.6 * min(before.width, box.width):
                done[-1] = Outline((*done[-1].contours, *mark.contours))
                continue
        done.append(mark)
    return done


def _read(marks: Sequence[Outline]) -> ReadLine:
    """Return a line of marks in the alphabet whose letters are most like them."""
    masks = [_mask(mark, bounds(mark)) for mark in marks]
    lines = [_in_alphabet(marks, masks, alphabet) for alphabet in names()]
    return max(lines, key=lambda line: sum(m.alike for m in line.matches))


def _in_alphabet(marks: Sequence[Outline], masks: Sequence[Mask], alphabet: str) -> ReadLine:
    alike = [_overlaps(mark, mask, alphabet) for mark, mask in zip(marks, masks, strict=True)]
    first = [max(each.values(), key=lambda m: m.alike) for each in alike]
    cap = float(np.median([m.cap_height for m in first]))
    baseline = float(np.median([m.baseline for m in first]))
    matches = tuple(_at_size(each, cap, baseline) for each in alike)
    sure = [m for m in matches if m.stands and m.letter.height > 0.3] or matches
    cap = float(np.median([m.cap_height for m in sure]))
    baseline = float(np.median([m.baseline for m in sure]))
    return ReadLine(alphabet, matches, cap, baseline, _word_ends(matches, cap, alphabet))


def _overlaps(mark: Outline, mask: Mask, alphabet: str) -> dict[str, LetterMatch]:
    """Return the match of a mark with every letter of an alphabet."""
    box, spread, size = bounds(mark), _spread(mask), mask.sum()
    found = {}
    for letter in known_letters(alphabet):
        wider = box.width / box.height / (letter.width / letter.height)
        if not 1.0 / _STRETCHED <= wider <= _STRETCHED:
            found[letter.character] = LetterMatch(mark, letter, 0.0, 0.0, wider)
            continue
        both = (mask & letter.mask).sum()
        whole = size + letter.mask.sum()
        covered = (mask & letter.spread).sum() + (spread & letter.mask).sum()
        alike, overlap = float(both / (whole - both)), float(covered / whole)
        found[letter.character] = LetterMatch(mark, letter, alike, overlap, wider)
    return found


def _spread(mask: Mask) -> Mask:
    """Return a mask made a cell wider all round."""
    wide = np.pad(mask, 1)
    found = wide.copy()
    for axis in (0, 1):
        for by in (1, -1):
            found |= np.roll(wide, by, axis)
    return found[1:-1, 1:-1]


def _at_size(alike: Mapping[str, LetterMatch], cap: float, baseline: float) -> LetterMatch:
    """Return the best match of the line's size on its baseline; where there is none, the best of any."""

    def fits(match: LetterMatch) -> bool:
        box, letter = bounds(match.mark), match.letter
        size = abs(box.height / cap - letter.height) < _OFF_SIZE
        return size and abs((box.bottom - baseline) / cap - letter.foot) < _OFF_LINE

    best = max(alike.values(), key=lambda m: m.alike)
    fitting = [m for m in alike.values() if fits(m)]
    if not fitting:
        return best._replace(alike=0.0, fits=False)
    return max(fitting, key=lambda m: m.alike)


def _word_ends(matches: Sequence[LetterMatch], cap: float, alphabet: str) -> frozenset[int]:
    """Return after which letters the gap is wider than the usual by half a space or more."""
    face = _face(alphabet)
    space = face.advance(face.glyph(" ")) / face.cap_height
    over = [
        (bounds(b.mark).left - bounds(a.mark).right) / cap - a.letter.right - b.letter.left
        for a, b in pairwise(matches)
    ]
    usual = float(np.median(over)) if over else 0.0
    return frozenset(i for i, gap in enumerate(over) if gap > usual + _WORDS_APART * space)
