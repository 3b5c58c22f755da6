"""Letters of one line in their places on an engraved plate."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from fontTools.misc.transform import Identity

from livery.findings import fault
from livery.geometry.boolean import difference
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Contour, Outline
from livery.layout.frame import Frame
from livery.lettering.single_line import set_single_line

if TYPE_CHECKING:
    from livery.describe.entries.plate import PlateEntry

_OVER_MM2 = 0.001
"""Less than this of a cut over a border or an edge, in square millimetres, is rounding (chosen).
Larger, and a cut into the border passes."""
_LEAST_WIDTHS = 3.0
"""Letters lower than this many widths of the cutter close up (common practice, from memory).
Smaller, and an E is engraved as a block."""


def single_lines(entry: PlateEntry, frame: Frame, across: float | None) -> tuple[Contour, ...]:
    """Return the lines that the cutter, ``across`` mm wide, is to follow on a plate.

    Raises:
        LiveryError: a character that is not drawn, or letters too small for the cutter.
    """
    return tuple(_lines(entry, frame, across or 0.0))


def _lines(entry: PlateEntry, frame: Frame, across: float) -> Iterator[Contour]:
    for words in entry.single_line:
        height = frame.scale.to_model(words.cap_height)
        if height < _LEAST_WIDTHS * across:
            raise fault(
                "single-line",
                f'"{words.text}" is {height:.2f} mm high: too small for a cutter of {across:g} mm',
                f"Make it {_LEAST_WIDTHS * across:.2f} mm high or more, or write a smaller cutter.",
            )
        tracking = 0.0 if words.tracking is None else frame.scale.to_model(words.tracking)
        text = set_single_line(words.text, height - across, tracking)
        at = frame.point(words.at)
        left = at.x - text.width_mm / 2.0
        if words.arc is not None:
            bow_up = words.arc.bow == "up"
            # The radius is that of the foot as cut, half a cutter below the line on an arc bowed up.
            radius = frame.scale.to_model(words.arc.radius) + (across if bow_up else -across) / 2.0
            text, left = text.on_arc(radius, height - across, bow_up=bow_up), at.x
        move = Identity.translate(left, at.y - (height - across) / 2.0)
        yield from (line.transformed(move) for line in text.lines)


def require_on_face(entry: PlateEntry, cut: Outline, face: Outline) -> None:
    """Raise LiveryError where what is cut runs over the border, a hole or the edge."""
    over = to_shapely(difference(cut, face))
    if over.area > _OVER_MM2:
        x, y = over.representative_point().coords[0]
        words = ", ".join(f'"{one.text}"' for one in entry.single_line)
        raise fault(
            "plate-letters",
            f"{words}: letters of one line run over the border, a hole or the edge of the plate "
            f"at x {x:.1f}, y {y:.1f} mm",
            "Make the letters smaller or move them, or make the plate larger.",
        )
