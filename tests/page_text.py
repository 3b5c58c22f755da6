"""Words and lines on the pages of a PDF, read back by PDFium: what collides or is clipped."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from dataclasses import dataclass

import pypdfium2
import shapely
from pypdfium2 import raw

POINT_MM = 25.4 / 72.0
LEAST_MM = 2.5
"""The least size of type on a sheet, from the foot of a p to the top of an accent."""

TOUCH_MM2 = 0.05
"""Boxes of less in common touch: a box is a little larger than its letters."""

CHORDS = 12
"""In so many straight parts a curve is followed: a quarter of a circle of 20 mm to 0.05 mm."""
INSIDE_MM = 0.2
"""A line that runs so little into the box of words does not touch their letters."""


@dataclass(frozen=True)
class Words:
    """Words on a page: their box in millimetres, as it lies, and the size of their type."""

    text: str
    box: shapely.Polygon
    size_mm: float


@dataclass(frozen=True)
class Page:
    """A page's size in millimetres, its words, and the lines drawn on it."""

    width_mm: float
    height_mm: float
    words: tuple[Words, ...]
    lines: tuple[shapely.LineString, ...] = ()


def pages_of(pdf: bytes) -> Iterator[Page]:
    """Yield the pages of a PDF, each with its words in the order they are drawn in."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        for page in document:
            reader = page.get_textpage()
            width, height = page.get_size()
            shown = page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], textpage=reader)
            words = tuple(w for w in map(_words, shown) if w.text.strip())
            drawn = page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH])
            lines = tuple(line for path in drawn for line in _lines(path))
            yield Page(width * POINT_MM, height * POINT_MM, words, lines)
    finally:
        document.close()


def _words(shown: pypdfium2.PdfTextObj) -> Words:
    corners = [(x * POINT_MM, y * POINT_MM) for x, y in shown.get_quad_points()]
    a, b, c, d, _, _ = shown.get_matrix().get()
    scale = abs(a * d - b * c) ** 0.5
    return Words(
        shown.extract(), shapely.Polygon(corners), shown.get_font_size() * scale * POINT_MM
    )


def _lines(path: pypdfium2.PdfObject) -> Iterator[shapely.LineString]:
    """Yield the lines of a path that are inked; a curve by points along it."""
    fill, stroke = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(path, fill, stroke)
    if not stroke.value:
        return
    matrix = path.get_matrix()
    run: list[tuple[float, float]] = []
    handles: list[tuple[float, float]] = []
    for i in range(raw.FPDFPath_CountSegments(path)):
        segment = raw.FPDFPath_GetPathSegment(path, i)
        kind = raw.FPDFPathSegment_GetType(segment)
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        across, up = matrix.on_point(x.value, y.value)
        at = (across * POINT_MM, up * POINT_MM)
        if kind == raw.FPDF_SEGMENT_BEZIERTO:
            handles.append(at)
            if len(handles) < 3:
                continue
            run += _along_curve(run[-1], *handles)
            handles = []
        else:
            if kind == raw.FPDF_SEGMENT_MOVETO:
                yield from _run(run)
                run = []
            run.append(at)
        if raw.FPDFPathSegment_GetClose(segment):
            run.append(run[0])
    yield from _run(run)


def _along_curve(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> Iterator[tuple[float, float]]:
    """Yield points along a cubic after its first, to its last."""
    for i in range(1, CHORDS + 1):
        t = i / CHORDS
        shares = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        yield (
            sum(s * p[0] for s, p in zip(shares, (a, b, c, d), strict=True)),
            sum(s * p[1] for s, p in zip(shares, (a, b, c, d), strict=True)),
        )


def _run(points: list[tuple[float, float]]) -> Iterator[shapely.LineString]:
    if len(points) > 1:
        yield shapely.LineString(points)


def words_over_lines(pdf: bytes) -> Iterator[str]:
    """Yield the words that a line runs through; their boxes are a little larger than letters."""
    for number, page in enumerate(pages_of(pdf), start=1):
        tree = shapely.STRtree(page.lines)
        for words in page.words:
            if len(tree.query(words.box.buffer(-INSIDE_MM), predicate="intersects")):
                yield f"page {number}: a line runs through '{words.text}'"


def text_faults(pdf: bytes) -> Iterator[str]:
    """Yield every pair of words that lie over one another, words off their page, and small type."""
    for number, page in enumerate(pages_of(pdf), start=1):
        boxes = [w.box for w in page.words]
        tree = shapely.STRtree(boxes)
        paper = shapely.box(0.0, 0.0, page.width_mm, page.height_mm)
        for i, j in tree.query(boxes, predicate="intersects").T:
            if i < j and boxes[i].intersection(boxes[j]).area > TOUCH_MM2:
                yield f"page {number}: '{page.words[i].text}' lies over '{page.words[j].text}'"
        for words in page.words:
            if not paper.covers(words.box):
                yield f"page {number}: '{words.text}' runs off the page"
            if words.size_mm < LEAST_MM - 0.005:
                yield f'page {number}: "{words.text}" is {words.size_mm:.2f} mm high'
