"""Regions as samples, drawn without anti-aliasing: a sample is in a region or it is not.

They are drawn by libvips, whose reader of SVG gives the samples as they are.  A reader that
gives a PNG file takes five times as long, most of it to pack and unpack the file.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple
from xml.sax.saxutils import quoteattr

import numpy as np
from fontTools.misc.transform import Transform
from numpy.typing import NDArray

from livery.prove.contour import BoundingBox

Mask = NDArray[np.bool_]
Rgba = NDArray[np.uint8]


class Window(NamedTuple):
    """A grid of samples on a panel: its top left corner and pitch in millimetres, its size."""

    left: float
    top: float
    pitch: float
    columns: int
    rows: int

    @property
    def to_samples(self) -> Transform:
        """The move from the panel, y up, to columns and rows, counted from the top."""
        s = 1.0 / self.pitch
        return Transform(s, 0, 0, -s, -self.left * s, self.top * s)

    def around(self, box: BoundingBox) -> tuple[Window, tuple[slice, slice]] | None:
        """Return the part of the grid that covers a box, and its rows and columns in this one."""
        x0 = max(0, math.floor((box.left - self.left) / self.pitch) - 1)
        x1 = min(self.columns, math.ceil((box.right - self.left) / self.pitch) + 1)
        y0 = max(0, math.floor((self.top - box.top) / self.pitch) - 1)
        y1 = min(self.rows, math.ceil((self.top - box.bottom) / self.pitch) + 1)
        if x0 >= x1 or y0 >= y1:
            return None
        part = Window(
            self.left + x0 * self.pitch, self.top - y0 * self.pitch, self.pitch, x1 - x0, y1 - y0
        )
        return part, (slice(y0, y1), slice(x0, x1))


class Region(NamedTuple):
    """A region as path text, and what carries it to the panel."""

    path: str
    to_panel: Transform


def covered(window: Window, regions: Iterable[Region]) -> Mask:
    """Return, by row and column, which samples lie in any of the regions."""
    paths = "".join(
        f'<path d={quoteattr(r.path)} transform="{_matrix(window, r.to_panel)}"/>' for r in regions
    )
    return _samples(window, paths)[:, :, 3] > 127


def drawn(window: Window, elements: str, to_panel: Transform, style: str) -> Rgba:
    """Return red, green, blue and alpha of a drawing's own elements; ``style`` is laid over it."""
    return _samples(window, f'<g transform="{_matrix(window, to_panel)}">{elements}</g>', style)


def _matrix(window: Window, to_panel: Transform) -> str:
    numbers = " ".join(f"{v:.12g}" for v in window.to_samples.transform(to_panel))
    return f"matrix({numbers})"


def _samples(window: Window, elements: str, style: str = "") -> Rgba:
    import pyvips

    w, h = window.columns, window.rows
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'width="{w}" height="{h}" viewBox="0 0 {w} {h}">'
        f"<style>path {{ shape-rendering: crispEdges }} {style}</style>{elements}</svg>"
    )
    picture: Rgba = pyvips.Image.svgload_buffer(svg.encode(), unlimited=True).numpy()
    return picture
