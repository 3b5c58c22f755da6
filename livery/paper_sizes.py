"""The sizes of paper, upright: A sizes from ISO 216, Letter and Tabloid (B) from ASME Y14.1."""

from __future__ import annotations

PAPERS_MM = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "A2": (420.0, 594.0),
    "A1": (594.0, 841.0),
    "Letter": (215.9, 279.4),
    "Tabloid": (279.4, 431.8),
}
"""The width and height of each paper that a sheet can be printed on."""
