"""Drawings as PDF: vector, true to size, the same bytes from the same drawing.

Each drawing becomes a page of its own size.  Curves are written as cubics, arcs
included (within 4e-6 of their radius); labels stay text, in an embedded face, so
that a reader can search and copy them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from io import BytesIO
from typing import Any

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.outline import Arc, Contour, Cubic, Line, Point
from livery.rounding import rounded_value
from livery.work_cache import kept
from livery.write.label_face import label_face, label_transform, printable
from livery.write.layers import layers

POINTS_PER_MM = 72.0 / 25.4
"""Size of a millimetre in PDF units (ISO 32000-1, 8.3.2.3: 1/72 in by default)."""

_LABEL_FONT = "labels"
_NON_ZERO = 1
_DECIMALS = 5


@kept
def pdf_bytes(drawings: Sequence[Drawing]) -> bytes:
    """Return a PDF with one page, of the drawing's own size, for each drawing."""
    file = BytesIO()
    canvas = open_canvas(file, drawings[0].title if drawings else "")
    for drawing in drawings:
        canvas.setPageSize((drawing.width_mm * POINTS_PER_MM, drawing.height_mm * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        draw_marks(canvas, marks_in_order(drawing))
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def open_canvas(file: BytesIO, title: str) -> Any:
    """Return a canvas that writes a PDF of unchanging bytes to ``file``."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    pdfmetrics.registerFont(TTFont(_LABEL_FONT, label_face().file))
    canvas = Canvas(file, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    return canvas


def marks_in_order(drawing: Drawing) -> tuple[Mark, ...]:
    """Return the drawing's marks layer by layer."""
    return tuple(mark for marks in layers(drawing).values() for mark in marks)


def draw_marks(canvas: Any, marks: Iterable[Mark]) -> None:
    """Draw marks on a canvas whose unit is a millimetre."""
    for mark in marks:
        match mark:
            case Area():
                _draw_area(canvas, mark)
            case Stroke():
                _draw_stroke(canvas, mark)
            case Label():
                _draw_label(canvas, mark)


def _draw_area(canvas: Any, area: Area) -> None:
    path = canvas.beginPath()
    for contour in area.outline:
        trace_contour(path, contour)
    if area.fill is not None:
        canvas.setFillColor(area.fill)
    if area.stroke is not None:
        canvas.setStrokeColor(area.stroke)
        canvas.setLineWidth(area.stroke_mm)
    canvas.drawPath(
        path,
        stroke=int(area.stroke is not None),
        fill=int(area.fill is not None),
        fillMode=_NON_ZERO,
    )


def _draw_stroke(canvas: Any, stroke: Stroke) -> None:
    path = canvas.beginPath()
    trace_contour(path, stroke.contour)
    canvas.setStrokeColor(stroke.colour)
    canvas.setLineWidth(stroke.width_mm)
    canvas.setDash(list(stroke.dashes))
    canvas.drawPath(path, stroke=1, fill=0)
    canvas.setDash([])


def _draw_label(canvas: Any, label: Label) -> None:
    text = canvas.beginText()
    text.setTextTransform(*label_transform(label).scale(label_face().units_per_em))
    text.setFont(_LABEL_FONT, 1)
    text.setFillColor(label.colour)
    text.textOut(printable(label.text))
    canvas.drawText(text)


def trace_contour(path: Any, contour: Contour) -> None:
    """Add a contour to a path of a canvas whose unit is a millimetre."""
    path.moveTo(*_at(contour.start))
    for segment in contour.segments:
        match segment:
            case Line():
                path.lineTo(*_at(segment.end))
            case Arc():
                for cubic in segment.as_cubics():
                    _curve(path, cubic)
            case Cubic():
                _curve(path, segment)
    if contour.closed:
        path.close()


def _curve(path: Any, cubic: Cubic) -> None:
    path.curveTo(*_at(cubic.control1, cubic.control2, cubic.end))


def _at(*points: Point) -> tuple[float, ...]:
    """Return the points' coordinates, rounded so that their last bits do not show."""
    return tuple(rounded_value(value, _DECIMALS) for point in points for value in point)
