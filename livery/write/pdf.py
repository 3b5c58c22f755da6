"""Drawings as PDF: vector, true to size, the same bytes from the same drawing.

Each drawing becomes a page of its own size.  Curves are written as cubics, arcs
included (within 4e-6 of their radius); labels stay text, in an embedded face, so
that a reader can search and copy them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from itertools import zip_longest
from typing import Any

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.measure import contours_of
from livery.geometry.outline import Arc, Contour, Cubic, Line, Outline, Point
from livery.rounding import written
from livery.work_cache import kept
from livery.write.label_face import label_face, label_transform, printable
from livery.write.layers import layers

POINTS_PER_MM = 72.0 / 25.4
"""The size of a millimetre in PDF units (ISO 32000-1, 8.3.2.3: 1/72 in by default). Another prints
at another size."""

_LABEL_FONT = "labels"
_DECIMALS = 5
"""Decimals of a PDF unit that are written (chosen: 4e-6 mm). Fewer, and thin lines lose their
width; more are last bits that differ between processors."""

_PAINTED = {(True, True): "B", (True, False): "f", (False, True): "S", (False, False): "n"}
"""What paints a path that is filled (by non-zero winding), and has a line round it."""


@dataclass(frozen=True, slots=True)
class PlacedPicture:
    """A PNG on a page: its bottom left corner and its size."""

    png: bytes
    corner: Point
    width_mm: float
    height_mm: float


@kept
def pdf_bytes(
    drawings: Sequence[Drawing], pictures: Sequence[Sequence[PlacedPicture]] = ()
) -> bytes:
    """Return a PDF with one page, of the drawing's own size, for each drawing.

    ``pictures`` are those of each page in turn; a page's marks stand over its pictures.
    """
    file = BytesIO()
    canvas = open_canvas(file, drawings[0].title if drawings else "")
    for drawing, placed in zip_longest(drawings, pictures, fillvalue=()):
        assert isinstance(drawing, Drawing), "there are no more pages of pictures than pages"
        canvas.setPageSize((drawing.width_mm * POINTS_PER_MM, drawing.height_mm * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        for picture in placed:
            _draw_picture(canvas, picture)
        draw_marks(canvas, marks_in_order(drawing))
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def open_canvas(file: BytesIO, title: str) -> Any:
    """Return a canvas that writes a PDF of unchanging bytes to ``file``."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    # Pages as bytes, not as text: a quarter smaller, and made in half the time.
    rl_config.useA85 = 0
    _register_label_font()
    canvas = Canvas(file, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    # Releases of the library name themselves in different words.
    canvas.setCreator("Livery")
    canvas.setProducer("ReportLab")
    return canvas


@lru_cache(maxsize=1)
def _register_label_font() -> None:
    """Read the label face for the PDF library, once for all files.

    Most files hold the same letters of it, so each set of them is taken out of the face once.
    """
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    font = TTFont(_LABEL_FONT, label_face().file)
    letters_of = lru_cache(maxsize=32)(font.face.makeSubset)
    font.face.makeSubset = lambda letters: letters_of(tuple(letters))
    pdfmetrics.registerFont(font)


def marks_in_order(drawing: Drawing) -> tuple[Mark, ...]:
    """Return the drawing's marks layer by layer."""
    return tuple(mark for marks in layers(drawing).values() for mark in marks)


def _draw_picture(canvas: Any, picture: PlacedPicture) -> None:
    from reportlab.lib.utils import ImageReader

    image = ImageReader(BytesIO(picture.png))
    canvas.drawImage(image, *picture.corner, picture.width_mm, picture.height_mm)


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
    words = []
    if area.fill is not None:
        words.append(f"{_ink(area.fill)} rg")
    if area.stroke is not None:
        words.append(f"{_ink(area.stroke)} RG {_number(area.stroke_mm)} w")
    painted = _PAINTED[area.fill is not None, area.stroke is not None]
    canvas.addLiteral(" ".join((*words, path_operators(area.outline), painted)))


def _draw_stroke(canvas: Any, stroke: Stroke) -> None:
    dashes = " ".join(map(_number, stroke.dashes))
    pen = f"{_ink(stroke.colour)} RG {_number(stroke.width_mm)} w [{dashes}] 0 d"
    canvas.addLiteral(f"{pen} {path_operators(stroke.contour)} S [] 0 d")


def _draw_label(canvas: Any, label: Label) -> None:
    """Write a label; one in plain letters as it was written before, which the library is slow at.

    Other letters have their numbers from the order in which a file first has them.
    """
    if not printable(label.text).isascii():
        canvas.drawText(_label_text(canvas, label))
        return
    from reportlab.pdfbase.pdfmetrics import getFont

    font, document = getFont(_LABEL_FONT), canvas._doc
    font.splitString("", document)  # the file has this face from now on
    document.ensureMinPdfVersion("transparency")  # as the library has it for coloured words
    canvas.addLiteral(_label_operators(label, font.getSubsetInternalName(0, document)))


@lru_cache(maxsize=8192)
def _label_operators(label: Label, font: str) -> str:
    """Return the operators of a label in plain letters, where a file calls the face ``font``."""
    from reportlab.pdfbase.pdfmetrics import getFont

    canvas = _canvas_of_one_label()
    code: str = _label_text(canvas, label).getCode()
    named_here = getFont(_LABEL_FONT).getSubsetInternalName(0, canvas._doc)
    return code.replace(named_here, font, 1)  # the first is the name: words come after it


@lru_cache(maxsize=1)
def _canvas_of_one_label() -> Any:
    """Return a canvas that is never saved, on which labels are put into words of the format."""
    return open_canvas(BytesIO(), "")


def _label_text(canvas: Any, label: Label) -> Any:
    text = canvas.beginText()
    text.setTextTransform(*label_transform(label).scale(label_face().units_per_em))
    text.setFont(_LABEL_FONT, 1)
    text.setFillColor(_text_colour(label.colour))
    text.textOut(printable(label.text))
    return text


@lru_cache(maxsize=256)
def _text_colour(colour: str) -> Any:
    from reportlab.lib.colors import HexColor

    return HexColor(colour)


@lru_cache(maxsize=256)
def _ink(colour: str) -> str:
    """Return the three components of ``#rrggbb`` as a PDF's operators take them."""
    return " ".join(_number(int(colour[i : i + 2], 16) / 255.0) for i in (1, 3, 5))


def path_operators(shape: Outline | Contour) -> str:
    """Return the path operators of a shape in millimetres, without those that paint.

    The PDF library's own path has every number pass through several calls, which takes five
    times as long.
    """
    return " ".join(map(_contour_operators, contours_of(shape)))


@lru_cache(maxsize=2048)
def _contour_operators(contour: Contour) -> str:
    """Return the path operators of a contour; like vehicles have the same ones."""
    return " ".join(_operators(contour))


def _operators(contour: Contour) -> Iterator[str]:
    yield f"{_at(contour.start)} m"
    for segment in contour.segments:
        match segment:
            case Line():
                yield f"{_at(segment.end)} l"
            case Arc():
                yield from map(_curve, segment.as_cubics())
            case Cubic():
                yield _curve(segment)
    if contour.closed:
        yield "h"


def _curve(cubic: Cubic) -> str:
    return f"{_at(cubic.control1)} {_at(cubic.control2)} {_at(cubic.end)} c"


def _at(point: Point) -> str:
    return f"{_number(point.x)} {_number(point.y)}"


def _number(value: float) -> str:
    """Return a number rounded so that its last bits do not show."""
    return written(value, _DECIMALS)
