"""A drawing: marks on a page of stated size, recorded once and replayed by each writer.

Coordinates are millimetres from the page's bottom left corner, y up.  A layer
name says to a reader, or a cutter, what a mark is for; writers keep layers apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from livery.geometry.outline import Contour, Outline, Point

HAIRLINE_MM = 0.05
"""The width of a line that is cut or followed, in millimetres (chosen: printers still show it).
Larger, and its middle is less sure; smaller, and viewers hide it."""


class Anchor(Enum):
    """Which end of a label sits on its point."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Area:
    """A region, filled with a colour (``#rrggbb``), or with a line round it, or both."""

    outline: Outline
    fill: str | None = None
    stroke: str | None = None
    stroke_mm: float = HAIRLINE_MM
    layer: str = "artwork"
    name: str = ""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line of stated width along a contour, open or closed; ``dashes`` in millimetres."""

    contour: Contour
    colour: str = "#000000"
    width_mm: float = HAIRLINE_MM
    dashes: tuple[float, ...] = ()
    layer: str = "artwork"


@dataclass(frozen=True, slots=True)
class Label:
    """Words on a drawing, never cut; ``height_mm`` is the cap height, ``angle`` in degrees."""

    text: str
    at: Point
    height_mm: float = 2.5
    anchor: Anchor = Anchor.START
    colour: str = "#000000"
    angle: float = 0.0
    layer: str = "labels"


Mark = Area | Stroke | Label


@dataclass(frozen=True, slots=True)
class Drawing:
    """A page with its marks; ``name`` is the file name without its ending."""

    name: str
    title: str
    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
