"""The place of each letter of a line of lettering: its left and right edge on the panel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate

from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Contour, Outline
from livery.geometry.parts import parts_of
from livery.layout.piece import PieceKind
from livery.layout.plan import Baseline, PanelPlan

LEVEL_MM = 0.02
"""A baseline whose ends differ by more in height is not level, in millimetres (chosen: a fifth of
the last figure given). Larger, and slanted words are given by their edges alone."""

SAME_LETTER = 0.5
"""Parts that overlap by so much of the narrower one, such as an i and its dot, are one letter
(chosen). Larger, and a dot has a place of its own; smaller, and kerned letters are joined."""


@dataclass(frozen=True, slots=True)
class LetterPlace:
    """A letter with its box on the panel, and whether a word begins with it."""

    letter: str
    box: Bounds
    begins_word: bool


@dataclass(frozen=True, slots=True)
class LetteredLine:
    """A line of lettering: its letters from the left, and their outlines."""

    baseline: Baseline
    letters: tuple[LetterPlace, ...]
    outline: Outline

    @property
    def is_by_letter(self) -> bool:
        """Whether each place is that of one letter, not of letters that touch or of a part of one."""
        return len("".join(self.baseline.text.split())) == len(self.letters)


def lettered_lines(panel: PanelPlan) -> Iterator[LetteredLine]:
    """Yield every line of lettering of the panel."""
    for baseline in panel.baselines:
        outline = _whole(panel, baseline) if baseline.is_bent else _outline(panel, baseline)
        if outline:
            yield LetteredLine(baseline, tuple(_letters(baseline, outline)), outline)


def _whole(panel: PanelPlan, baseline: Baseline) -> Outline:
    """Return all letters of the entry, without their shades: bent words are one line."""
    for piece in panel.pieces:
        if piece.kind is PieceKind.LETTERING and piece.key == baseline.key:
            return piece.outline
    return Outline(())


def _outline(panel: PanelPlan, baseline: Baseline) -> Outline:
    """Return the letters themselves, without their shades: those of this line."""
    low, high = baseline.start.y - baseline.cap_height, baseline.start.y + 2 * baseline.cap_height
    # Of lines that are stacked close, a letter is of the one that it stands nearest to.
    stacked = [b for b in panel.baselines if b.key == baseline.key]
    left, right = sorted((baseline.start.x, baseline.end.x))
    slack = 0.5 * baseline.cap_height
    own: list[Contour] = []
    for piece in panel.pieces:
        if piece.kind is PieceKind.LETTERING and piece.key == baseline.key:
            for letter in parts_of(piece.outline):
                middle = bounds(letter).centre
                nearest = min(abs(_middle(b) - middle.y) for b in stacked)
                is_own = abs(_middle(baseline) - middle.y) <= nearest + LEVEL_MM
                is_beside = left - slack < middle.x < right + slack
                if low < middle.y < high and is_own and is_beside:
                    own += letter.contours
            break
    return Outline(tuple(own))


def _middle(baseline: Baseline) -> float:
    """Return the height of the middle of a line's capitals."""
    return baseline.start.y + baseline.cap_height / 2.0


def _letters(baseline: Baseline, outline: Outline) -> Iterator[LetterPlace]:
    boxes: list[Bounds] = []
    for box in sorted(map(bounds, outline), key=lambda b: (b.left, b.right)):
        if boxes and _overlap(boxes[-1], box) > SAME_LETTER * min(boxes[-1].width, box.width):
            boxes[-1] = _joined(boxes[-1], box)
        else:
            boxes.append(box)
    words = baseline.text.split()
    signs = "".join(words)
    if len(signs) == len(boxes):
        names: Sequence[str] = signs
        firsts = set(accumulate(map(len, words), initial=0))
    else:  # joined letters: the widest gaps are those between words
        names = [str(i + 1) for i in range(len(boxes))]
        gaps = {i: boxes[i].left - boxes[i - 1].right for i in range(1, len(boxes))}
        firsts = {0, *sorted(gaps, key=lambda i: -gaps[i])[: len(words) - 1]}
    for i, (name, box) in enumerate(zip(names, boxes, strict=True)):
        yield LetterPlace(name, box, i in firsts)


def _overlap(a: Bounds, b: Bounds) -> float:
    return min(a.right, b.right) - max(a.left, b.left)


def _joined(a: Bounds, b: Bounds) -> Bounds:
    return Bounds(
        min(a.left, b.left), min(a.bottom, b.bottom), max(a.right, b.right), max(a.top, b.top)
    )
