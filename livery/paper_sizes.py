"""The sizes of paper, upright: A sizes from ISO 216, Letter and Tabloid (B) from ASME Y14.1."""

from __future__ import annotations

from dataclasses import dataclass

PAPERS_MM = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "A2": (420.0, 594.0),
    "A1": (594.0, 841.0),
    "Letter": (215.9, 279.4),
    "Tabloid": (279.4, 431.8),
}
"""The width and height of each paper that a sheet can be printed on."""

ROLL_LEAST_MM = 210.0
"""The narrowest roll, in millimetres (chosen: the bars and the words beside them need the width of
A4). Smaller, and a bar runs off the paper."""

PAGE_MOST_MM = 5000.0
"""The longest page, in millimetres (ISO 32000-1, annex C.2: a PDF's may be 200 in, 5080 mm).
Larger, and readers cut it off."""


@dataclass(frozen=True, slots=True)
class Roll:
    """Paper on a roll, for a plotter or a print shop: its width, in millimetres."""

    width_mm: float

    def __str__(self) -> str:
        return f"{self.width_mm:g} mm roll"
