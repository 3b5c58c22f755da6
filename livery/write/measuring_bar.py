"""The bars of true length that a printed sheet carries, to be measured before it is used."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from livery.drawing import Anchor, Label, Mark, Stroke
from livery.geometry.outline import Point, chain

_END_MM, _TICK_MM = 2.5, 1.4
"""The height of a bar's ticks at its ends and between them, in millimetres (chosen: ends are found
first). Larger, and they run into the words."""

_WORDS_MM, _WORDS_UP_MM = 1.85, 3.2
"""The height of a bar's words and how far they stand up, in millimetres (chosen: the smallest that
is read). Larger, and they run into what is above."""


@dataclass(frozen=True, slots=True)
class MeasuringBar:
    """A bar of ``steps`` equal steps; ``size`` is its length in words."""

    size: str
    step_mm: float
    steps: int

    @property
    def length_mm(self) -> float:
        """Its length on the paper."""
        return self.step_mm * self.steps

    def marks(self, at: Point, layer: str = "labels") -> Iterator[Mark]:
        """Yield the bar from ``at`` to the right, ticked at every step, its words above it.

        ``at`` is in millimetres of the page, whatever the drawing beside it is reduced by.
        """
        end = at.x + self.length_mm
        yield Stroke(chain([at, Point(end, at.y)], closed=False), width_mm=0.25, layer=layer)
        for i in range(self.steps + 1):
            x = at.x + self.step_mm * i
            tick = _END_MM if i in (0, self.steps) else _TICK_MM
            line = chain([Point(x, at.y), Point(x, at.y + tick)], closed=False)
            yield Stroke(line, width_mm=0.15, layer=layer)
        middle = Point((at.x + end) / 2.0, at.y + _WORDS_UP_MM)
        words = f"{self.size}: measure before use"
        yield Label(words, middle, _WORDS_MM, Anchor.MIDDLE, layer=layer)


HUNDRED_MM = MeasuringBar("100 mm", 10.0, 10)
FOUR_INCHES = MeasuringBar("4 in", 25.4, 4)


def reduction_words(reduction: float) -> str:
    """Return how far a drawing is reduced, ``reduction`` being model size over drawn size."""
    if abs(reduction - 1.0) < 0.005:
        return "drawn full size"
    if reduction < 1.0:
        return f"drawn enlarged, {1.0 / reduction:.3g}:1"
    return f"drawn reduced, 1:{reduction:.3g}"
