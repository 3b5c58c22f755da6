"""Where a part lies on its panel, in words, measured from the file it is cut by."""

from __future__ import annotations

import itertools

import numpy as np

from livery.prove.contour import BoundingBox
from livery.prove.files import Files
from livery.prove.panel_files import element_on_panel, panel_edge
from livery.prove.record import FilePlace, RecordedPanel

_SLACK = 0.0015
"""What a file's rounding, and the words' own, may change of a share of the panel (chosen). Larger,
and words for another place pass."""


def words_for_place(panel: RecordedPanel, step: FilePlace, files: Files) -> list[str]:
    """Return the words that may say where a part lies: several only on the limit between them."""
    own = _box(np.vstack([c.points for c in element_on_panel(files.svg(step.file), step)]))
    whole = _box(np.vstack([c.points for c in panel_edge(panel)]))
    centre = (
        ((own.left + own.right) / 2.0 - whole.left) / whole.width,
        ((own.bottom + own.top) / 2.0 - whole.bottom) / whole.height,
    )
    size = own.width / whole.width, own.height / whole.height
    found: dict[str, None] = {}
    for x, y, wide, high in itertools.product((0.0, -_SLACK, _SLACK), repeat=4):
        found[_words(centre[0] + x, centre[1] + y, size[0] + wide, size[1] + high)] = None
    return list(found)


def _words(x: float, y: float, wide: float, high: float) -> str:
    """Return the words for a place and a size in shares of the panel's."""
    columns = ("left", "left of centre", "centre", "right of centre", "right")
    across = "full width" if wide >= 0.8 else columns[int(np.clip(np.ceil(5.0 * x) - 1, 0, 4))]
    rows = ("bottom", "middle", "top")
    up = "full height" if high >= 0.8 else rows[int(np.clip(np.ceil(3.0 * y) - 1, 0, 2))]
    words = f"{up}, {across}"
    return {"full height, full width": "whole panel", "middle, centre": "middle"}.get(words, words)


def _box(points: np.ndarray) -> BoundingBox:
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    return BoundingBox(float(left), float(bottom), float(right), float(top))
