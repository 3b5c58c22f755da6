"""PDF files read by pikepdf and pypdf: the size, drawing and words of every page."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from fontTools.misc.transform import Identity, Transform

from livery.input_limits import MOST_CONTOURS, require_at_most
from livery.parsing import parsing
from livery.prove.contour import BoundingBox, PlacedWords, ReadContour, cubic_points

MM_PER_POINT = 25.4 / 72.0
"""The size of a PDF's unit, in millimetres (ISO 32000-1, 8.3.2.3). Another reads every page at
another size."""

_TOUCH_MM = 0.002
"""Ends of a closed line nearer than this are one point, in millimetres (chosen: the writer's last figure
each way). Larger, and a short last side is lost."""

_CONSTRUCTING = frozenset(("m", "l", "c", "v", "y", "re"))
_PAINTED = frozenset(("S", "s", "B", "B*", "b", "b*", "f", "f*", "F"))
_CLOSING = frozenset(("s", "b", "b*"))
_FILLING = frozenset(("f", "f*", "F"))
"""These alone close what is open (ISO 32000-1, 8.5.3.3); what is also stroked stays open."""
_CLIPPING = frozenset(("W", "W*"))
_SETTING = "q Q cm gs Do BT ET Tc Tw Tz TL Tf Tr Ts Td TD Tm T* Tj TJ ' \""
"""What sets words, or moves them (ISO 32000-1, annex A)."""


@dataclass(frozen=True)
class PdfPage:
    """A page: its width and height, and what is drawn on it."""

    size: tuple[float, float]
    contours: tuple[ReadContour, ...]
    shown: tuple[ReadContour, ...] = ()
    """Those of its contours that are a drawing's, shown on it whole or in part."""
    windows: tuple[BoundingBox, ...] = ()
    """The bounds of what each clipping path lets be seen."""


@dataclass(frozen=True)
class PdfWords:
    """The words set on a page, in the order they are set, each with its place."""

    placed: tuple[PlacedWords, ...]

    @property
    def text(self) -> str:
        """All of them, a line each."""
        return "\n".join(one.words for one in self.placed)


def read_pdf(file: Path) -> tuple[PdfPage, ...]:
    """Return the pages of a PDF.

    Raises:
        LiveryError: it cannot be read as PDF.
    """
    import pikepdf

    forms: Forms = {}
    with _damage(file), pikepdf.open(file) as document:
        return tuple(_page(page, forms) for page in document.pages)


def read_words(file: Path) -> tuple[PdfWords, ...]:
    """Return the words set on each page itself, not those of the drawings shown on it.

    Raises:
        LiveryError: it cannot be read as PDF.
    """
    import logging

    from pypdf import PdfReader

    # What it has to say of a damaged file comes as our own fault, or the file was read all the same.
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    with _damage(file):
        return tuple(_words(page) for page in PdfReader(_without_lines(file)).pages)


def read_text(file: Path) -> str:
    """Return all text of a PDF, that of the drawings shown on its pages included.

    Raises:
        LiveryError: it cannot be read as PDF.
    """
    import pypdfium2

    with _damage(file):
        document = pypdfium2.PdfDocument(file)
        try:
            return "\n".join(page.get_textpage().get_text_bounded() for page in document)
        finally:
            document.close()


def _without_lines(file: Path) -> BytesIO:
    """Return a PDF with the words of its pages alone: its lines take long to read past."""
    import pikepdf

    only_words = BytesIO()
    with pikepdf.open(file) as document:
        for page in document.pages:
            instructions = pikepdf.parse_content_stream(page, operators=_SETTING)
            page.Contents = document.make_stream(pikepdf.unparse_content_stream(instructions))
        document.save(only_words, compress_streams=False)
    return only_words


def _words(page: Any) -> PdfWords:
    from pypdf.generic import DecodedStreamObject, NameObject

    shown = page["/Resources"].get("/XObject", {})
    blank = DecodedStreamObject()
    blank[NameObject("/Subtype")] = NameObject("/Form")
    for name in shown:
        shown[NameObject(name)] = blank
    found: list[PlacedWords] = []

    def note(words: str, page_move: Any, text_move: Any, _: Any, __: Any) -> None:
        if words.strip():
            onto = Transform(*map(float, page_move)).transform(Transform(*map(float, text_move)))
            at = (onto.dx * MM_PER_POINT, onto.dy * MM_PER_POINT)
            size = math.hypot(onto.xx, onto.xy)
            along = (onto.xx / size, onto.xy / size)
            is_mirrored = onto.xx * onto.yy - onto.xy * onto.yx < 0.0
            placed = PlacedWords(words.strip(), at, size * MM_PER_POINT, along, is_mirrored)
            found.append(placed)

    page.extract_text(visitor_text=note)
    return PdfWords(tuple(found))


def _damage(file: Path) -> AbstractContextManager[None]:
    return parsing(
        file, "a PDF file", "build the job again", code="prove-unreadable", exit_status=1
    )


Forms = dict[tuple[float, ...], tuple[ReadContour, ...]]
"""What each form draws, by its object and the linear part of the move to its page."""


def _page(page: Any, forms: Forms) -> PdfPage:
    unit = float(page.obj.get("/UserUnit", 1)) * MM_PER_POINT
    left, bottom, right, top = (float(v) for v in page.mediabox)
    onto = Transform(unit, 0, 0, unit, -left * unit, -bottom * unit)
    size = ((right - left) * unit, (top - bottom) * unit)
    aside = _Aside()
    drawn = tuple(_drawn(page.obj, onto, forms, aside))
    return PdfPage(size, drawn, tuple(aside.shown), tuple(aside.windows))


@dataclass
class _Aside:
    """What is noted of a page while it is drawn."""

    shown: list[ReadContour] = field(default_factory=list)
    windows: list[BoundingBox] = field(default_factory=list)


@dataclass
class _Path:
    """The path being built: runs of points already on the page."""

    runs: list[tuple[list[Sequence[float]], bool]] = field(default_factory=list)

    def begin(self, at: Sequence[float]) -> None:
        self.runs.append(([at], False))

    def add(self, points: Iterable[Sequence[float]]) -> None:
        self.runs[-1][0].extend(points)

    def curve(self, *controls: Sequence[float]) -> None:
        self.add(cubic_points([self.last(), *controls]).tolist())

    def last(self) -> Sequence[float]:
        return self.runs[-1][0][-1]

    def close(self) -> None:
        if self.runs:
            self.runs[-1] = (self.runs[-1][0], True)

    def close_all(self) -> None:
        self.runs = [(points, True) for points, _ in self.runs]

    def contours(self) -> Iterator[ReadContour]:
        for runs, closed in self.runs:
            points = np.array(runs, dtype=float)
            if closed and len(points) > 2 and math.dist(runs[0], runs[-1]) <= _TOUCH_MM:
                points = points[:-1]
            yield ReadContour(points, closed)


def _drawn(owner: Any, onto: Transform, forms: Forms, aside: _Aside) -> Iterator[ReadContour]:
    """Yield what a page, or a form shown on it, draws; ``onto`` carries its units to the page.

    What forms show, and the bounds of every clipping path, are noted ``aside`` too.
    """
    import pikepdf

    shown = owner.get("/Resources", {}).get("/XObject", {})
    stack: list[Transform] = []
    path = _Path()
    for instruction in pikepdf.parse_content_stream(owner):
        operands, name = instruction.operands, str(instruction.operator)
        if name == "q":
            stack.append(onto)
        elif name == "Q":
            onto = stack.pop()
        elif name == "cm":
            onto = onto.transform(Transform(*map(float, operands)))
        elif name == "Do":
            form = tuple(_form(shown[str(operands[0])], onto, forms))
            aside.shown += form
            yield from form
        elif name in _PAINTED or name == "n":
            if name in _CLOSING:
                path.close()
            if name in _FILLING:
                path.close_all()
            if name != "n":
                yield from path.contours()
            path = _Path()
        elif name in _CLIPPING:
            aside.windows += (c.size for c in path.contours())
        else:
            _extend(path, name, operands, onto)


def _form(form: Any, onto: Transform, forms: Forms) -> Iterator[ReadContour]:
    """Yield what a form draws; it is read once however many pages show it at one scale."""
    if form.get("/Subtype") != "/Form":
        return
    onto = onto.transform(Transform(*map(float, form.get("/Matrix", list(Identity)))))
    linear, place = onto[:4], onto[4:]
    key = (*form.objgen, *linear)
    if key not in forms:
        forms[key] = tuple(_drawn(form, Transform(*linear, 0.0, 0.0), forms, _Aside()))
        require_at_most(len(forms[key]), MOST_CONTOURS, "contours in a form of a PDF")
    for contour in forms[key]:
        yield ReadContour(contour.points + place, contour.closed)


def _extend(path: _Path, name: str, operands: Any, onto: Transform) -> None:
    """Carry out one path construction operator (ISO 32000-1, 8.5.2); others draw no line."""
    if name == "h":
        path.close()
        return
    if name not in _CONSTRUCTING:
        return
    numbers = list(map(float, operands))
    if name == "re":
        x, y, w, h = numbers
        numbers = [x, y, x + w, y, x + w, y + h, x, y + h]
    xx, xy, yx, yy, dx, dy = onto
    points = [
        (xx * x + yx * y + dx, xy * x + yy * y + dy)
        for x, y in zip(numbers[::2], numbers[1::2], strict=True)
    ]
    match name:
        case "m":
            path.begin(points[0])
        case "l":
            path.add(points)
        case "re":
            path.begin(points[0])
            path.add(points[1:])
            path.close()
        case "c":
            path.curve(*points)
        case "v":
            path.curve(path.last(), *points)
        case "y":
            path.curve(*points, points[1])
