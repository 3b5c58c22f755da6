"""The words of a sheet: alike in SVG, DXF and PDF, and each number at the part it belongs to."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from livery.prove.contour import BoundingBox, PlacedWords
from livery.prove.svg_file import ReadPath, SvgFile

if TYPE_CHECKING:
    from shapely import LinearRing, LineString
    from shapely.geometry.base import BaseGeometry

_NEAR_MM = 1.6
"""How far the number of a part may stand from it, in millimetres (chosen: half a millimetre, and
the room about it). Larger, and a number at the wrong part passes."""

_ON_MM = 0.05
"""How near its part a leader must end, in millimetres (chosen: rounding). Larger, and a leader to
the wrong part passes."""

_WORDS = "labels-not-cut"

SPARE = " spare"
"""What stands after the number of a spare."""
_PART = re.compile(r"(piece|spare)-(\d+)(-\d+)?$")


def words_faults(svg: SvgFile, theirs: Sequence[PlacedWords]) -> Iterator[str]:
    """Yield the words of a DXF or PDF file that are not, or not at the same place, in its SVG."""
    if svg.page is None:
        return
    free = list(theirs)
    for label in svg.labels:
        if label.size is None:
            continue
        box = _upright(label.size, svg.page[1])
        found = next((w for w in free if w.words == label.words and _is_at(w, box)), None)
        if found is None:
            yield f'it lacks the words "{label.words}" at {box.left:.1f}, {box.bottom:.1f} mm'
        else:
            free.remove(found)
    if any(words.is_mirrored for words in theirs):
        yield "its words are mirrored"
    for words in free:
        yield f'it has, against the SVG, the words "{words.words}" at {_place(words)} mm'


def mirrored_faults(svg: SvgFile) -> Iterator[str]:
    """Yield that words of a drawing are mirrored: the edges of their letters wind the wrong way."""
    for label in svg.labels:
        if label.winding < 0.0:
            yield f'the words "{label.words}" are mirrored'


def number_faults(svg: SvgFile) -> Iterator[str]:
    """Yield every part of a cut sheet that does not have its number beside it."""
    parts: dict[str, list[ReadPath]] = {}
    for path in svg.paths:
        number = part_number(path.element)
        if number is not None and path.contours:
            parts.setdefault(number, []).append(path)
    labels: dict[str, list[ReadPath]] = {}
    for label in svg.labels:
        # Where there are several vehicles, a number says for which: "12 on 27".
        words = re.fullmatch(r"(\d+(?: spare)?)( on .+)?", label.words or "")
        if words is not None:
            labels.setdefault(words[1], []).append(label)
    leaders = list(_leaders(svg))
    for number in dict.fromkeys((*parts, *labels)):
        own, written = parts.get(number, []), labels.get(number, [])
        if len(own) != len(written):
            yield f"{len(own)} parts are number {number}, which is written {len(written)} times"
        else:
            yield from _far_faults(number, own, written, leaders)


def _far_faults(
    number: str,
    parts: Sequence[ReadPath],
    labels: Sequence[ReadPath],
    leaders: Sequence[LineString],
) -> Iterator[str]:
    """Yield every part whose number stands elsewhere, however equal parts are distinguished."""
    from scipy.optimize import linear_sum_assignment

    gaps = np.array([[_gap(part, label.size, leaders) for label in labels] for part in parts])
    for i, j in zip(*linear_sum_assignment(gaps > _NEAR_MM), strict=True):
        if gaps[i, j] > _NEAR_MM:
            yield f"{parts[i].element} has its number {number} {gaps[i, j]:.1f} mm away"


def part_number(element: str) -> str | None:
    """Return what is written beside a part, by its element; None where it is no part."""
    named = _PART.match(element)
    return None if named is None else named[2] + (SPARE if named[1] == "spare" else "")


def _leaders(svg: SvgFile) -> Iterator[LineString]:
    """Yield the lines among the words of a sheet: each leads from a number to its part."""
    import shapely

    for path in svg.paths:
        if path.layer == _WORDS and path.words is None:
            yield from (shapely.LineString(c.points) for c in path.contours if not c.closed)


def _gap(path: ReadPath, box: BoundingBox | None, leaders: Sequence[LineString]) -> float:
    """Return how far a label is from a part; nothing where it is within, across or led to it."""
    import shapely

    assert box is not None
    label = shapely.box(*box)
    edges = [shapely.LinearRing(c.points) for c in path.contours if len(c.points) > 2]
    middle = shapely.Point((box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0)
    within = sum(bool(shapely.Polygon(edge).contains(middle)) for edge in edges)
    if within % 2:
        return 0.0
    gap = min((float(label.distance(edge)) for edge in edges), default=math.inf)
    if gap > _NEAR_MM and any(_leads(line, label, edges) for line in leaders):
        return 0.0
    return gap


def _leads(line: LineString, label: BaseGeometry, edges: Sequence[LinearRing]) -> bool:
    """Return whether one end of a line is at a label, and the other on a part."""
    import shapely

    first, last = (shapely.Point(line.coords[i]) for i in (0, -1))
    for here, there in ((first, last), (last, first)):
        if label.distance(here) <= _NEAR_MM and any(e.distance(there) <= _ON_MM for e in edges):
            return True
    return False


def _upright(box: BoundingBox, height: float) -> BoundingBox:
    return BoundingBox(box.left, height - box.top, box.right, height - box.bottom)


def _is_at(words: PlacedWords, box: BoundingBox) -> bool:
    room = 0.2 + 0.4 * words.size_mm
    x, y = words.at
    return box.left - room <= x <= box.right + room and box.bottom - room <= y <= box.top + room


def _place(words: PlacedWords) -> str:
    return f"{words.at[0]:.1f}, {words.at[1]:.1f}"
