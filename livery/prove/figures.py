"""The figures of a setting-out sheet: each at the end of its line, which begins where it says."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from fontTools.misc.transform import Transform

from livery.prove.contour import PlacedWords, ReadContour
from livery.prove.pdf_file import PdfPage, PdfWords
from livery.write.label_face import label_face, label_width

_FIGURE = re.compile(r"(?:.*  )?(\d+(?:\.\d)?)")
_ALONE = re.compile(r"\d+(?:\.\d)?")
_NEAR_MM = 1.6
_ROUNDED_MM = 0.051
_ON_PAPER_MM = 0.01
"""How well a place on the paper is known."""


def figure_faults(page: PdfPage, words: PdfWords, onto: Transform) -> Iterator[str]:
    """Yield every figure that is not the place its line leads to.

    ``onto`` carries the panel to the page, its origin where sizes run from.
    """
    free = [w for w in words.placed if _FIGURE.fullmatch(w.words)]
    room = _ROUNDED_MM + _ON_PAPER_MM / onto.xx
    for line in page.contours:
        if not _is_leader(line):
            continue
        end, level = line.points[-1], _is_level(line)
        near = [w for w in free if _away(w, end) <= _NEAR_MM]
        if not near:
            yield f"a line ends at {end[0]:.1f}, {end[1]:.1f} mm without its figure"
            continue
        figure = min(near, key=lambda w: _away(w, end))
        free.remove(figure)
        found = _FIGURE.fullmatch(figure.words)
        axis = 1 if level else 0
        at = (line.points[0][axis] - onto[4 + axis]) / onto.xx
        if found is None or abs(float(found[1]) - at) > room:
            yield f"'{figure.words}' stands at a line for {at:.2f} mm"
    for figure in free:
        if _ALONE.fullmatch(figure.words):
            yield f"the figure {figure.words} has no line to where it is"


def _is_leader(line: ReadContour) -> bool:
    """Return whether a line is one to a figure: three runs, of which the first and last are parallel."""
    if line.closed or len(line.points) != 4:
        return False
    first, last = line.points[1] - line.points[0], line.points[3] - line.points[2]
    return abs(float(first[0] * last[1] - first[1] * last[0])) < 1e-3


def _is_level(line: ReadContour) -> bool:
    run = line.points[3] - line.points[2]
    return abs(float(run[0])) > abs(float(run[1]))


def _away(words: PlacedWords, point: Sequence[float]) -> float:
    """Return how far a point is from either end of words, at half their height."""
    face = label_face()
    high = words.size_mm * face.cap_height / face.units_per_em
    ux, uy = words.along
    x, y = words.at[0] - uy * high / 2.0, words.at[1] + ux * high / 2.0
    long = label_width(words.words, high)
    ends = ((x, y), (x + ux * long, y + uy * long))
    return min(math.dist(end, point) for end in ends)
