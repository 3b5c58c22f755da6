"""Panels shown reduced on printed pages: each picture has every edge at its place and scale."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from fontTools.misc.transform import Transform

from livery.prove.contour import (
    SAME_MM,
    PlacedWords,
    ReadContour,
    filled_region,
    in_words,
    unmatched,
)
from livery.prove.pdf_file import PdfPage, PdfWords

if TYPE_CHECKING:
    from shapely import LineString

_LEAST_SCALE = 0.01
"""What is drawn smaller is no picture of the panel (chosen: a vehicle at 1:100 is the smallest).
Larger, and small pictures are not looked at."""

_NEAR_MM = 3.0
"""How far the middle of a number may stand from what it belongs to, in millimetres (chosen: its
own width and the gap). Larger, and a number at the wrong part passes."""

_LED_MM, _ON_MM = 2.0, 0.05
"""How far a line begins from the middle of its number, and ends from what it leads to, in
millimetres (chosen: the number and its gap; rounding). Larger, and a line from another number
passes."""

_WIDE, _UP = 0.6, 0.36
"""The width of a figure and half its height, as shares of the size of its face (chosen: of the face of all
labels). Larger finds a number further out than it is."""


@dataclass(frozen=True)
class PagePicture:
    """A picture that must be on some page: the panel's edge and all it shows, in true size.

    ``labels`` are words that stand on it or beside it, each with the contours it belongs to;
    where they are ``led``, a line leads from each to what it belongs to.
    """

    title: str
    edge: Sequence[ReadContour]
    shows: Sequence[ReadContour]
    labels: Mapping[str, Sequence[ReadContour]] = field(default_factory=dict)
    led: bool = False


@dataclass(frozen=True)
class PicturePlace:
    """Where a page shows a picture: its number, and what carries the panel to it."""

    page: int
    onto: Transform


def picture_faults(
    pages: Sequence[PdfPage], pictures: Iterable[PagePicture], words: Sequence[PdfWords] = ()
) -> Iterator[str]:
    """Yield every picture that is nowhere, or that lacks something, or has a label elsewhere.

    Pictures stand on the pages in their order; each place is one picture's.
    """
    alike: list[tuple[ReadContour, list[PicturePlace]]] = []
    for picture in pictures:
        outer = max(picture.edge, key=lambda c: c.area)
        # By its shape, not its size: the other hand has the size and area of the first.
        places = next((p for edge, p in alike if not unmatched([edge], [outer])[0]), None)
        if places is None:
            places = list(_places(pages, outer))
            alike.append((outer, places))
        yield from _claimed(pages, picture, places, words)


def _claimed(
    pages: Sequence[PdfPage],
    picture: PagePicture,
    free: list[PicturePlace],
    words: Sequence[PdfWords],
) -> Iterator[str]:
    """Take a picture's place from those free, and yield what it lacks there.

    Panels alike have pictures alike: the place is the one whose labels are the picture's own.
    """
    found: list[tuple[PicturePlace, list[str]]] = []
    lacking = None
    for one in free:
        missing = _missing(pages[one.page], picture, one.onto)
        if missing:
            lacking = lacking or (one, missing)
            continue
        labels = picture.labels and words
        misplaced = _led_faults if picture.led else _label_faults
        said = misplaced(picture, one, pages[one.page], words[one.page]) if labels else ()
        found.append((one, list(said)))
        if not found[-1][1]:
            break
    if found:
        place, faults = min(found, key=lambda f: len(f[1]))
        free.remove(place)
        yield from faults
    elif lacking is None:
        yield f"it shows no picture of {picture.title}"
    else:
        one, missing = lacking
        yield f"page {one.page + 1}: the picture of {picture.title} lacks {in_words(missing)} there"


def _label_faults(
    picture: PagePicture, shown: PicturePlace, _: PdfPage, words: PdfWords
) -> Iterator[str]:
    """Yield every label of a picture that does not stand at what it belongs to."""
    import shapely

    lines = [(w.words, _line(w)) for w in words.placed if w.words in picture.labels]
    for label, contours in picture.labels.items():
        rings = [shapely.Polygon(c.carried(shown.onto).points) for c in contours]
        near = min((w.distance(r) for x, w in lines if x == label for r in rings), default=math.inf)
        if near > _NEAR_MM:
            yield f"page {shown.page + 1}: no {label} stands at its part, in the picture of {picture.title}"


def _led_faults(
    picture: PagePicture, shown: PicturePlace, page: PdfPage, words: PdfWords
) -> Iterator[str]:
    """Yield every label of a picture from which no line leads to what it belongs to."""
    import shapely

    lines = [c.points for c in page.contours if not c.closed and len(c.points) == 2]
    ends = np.array([[a, b] for a, b in lines] + [[b, a] for a, b in lines]).reshape(-1, 2, 2)
    for label, contours in picture.labels.items():
        own = filled_region(c.carried(shown.onto) for c in contours)
        led = ends[shapely.dwithin(shapely.points(ends[:, 1]), own, _ON_MM), 0]
        boxes = [_line(w) for w in words.placed if w.words == label]
        if not any(shapely.dwithin(shapely.points(led), box, _LED_MM).any() for box in boxes):
            yield f"page {shown.page + 1}: no line leads from {label} to its part, in the picture of {picture.title}"


def _line(words: PlacedWords) -> LineString:
    """Return a line through the middle of words, about as long as they are."""
    import shapely

    (x, y), (across, up), size = words.at, words.along, words.size_mm
    x, y, long = x - _UP * size * up, y + _UP * size * across, _WIDE * size * len(words.words)
    return shapely.LineString([(x, y), (x + long * across, y + long * up)])


def _missing(page: PdfPage, picture: PagePicture, onto: Transform) -> list[ReadContour]:
    expected = [c.carried(onto) for c in picture.shows]
    return unmatched(expected, page.contours)[0]


def _places(pages: Sequence[PdfPage], edge: ReadContour) -> Iterator[PicturePlace]:
    """Yield every place where something of the edge's shape is drawn, in the order of the pages."""
    for number, page in enumerate(pages):
        known: set[tuple[float, ...]] = set()
        for contour in page.contours:
            scale = contour.size.width / edge.size.width
            if not contour.closed or scale < _LEAST_SCALE:
                continue
            if abs(contour.size.height - scale * edge.size.height) > SAME_MM:
                continue
            move = Transform(scale, 0, 0, scale, contour.size.left, contour.size.bottom)
            onto = move.translate(-edge.size.left, -edge.size.bottom)
            key = tuple(round(v, 2) for v in onto)
            if key not in known and not unmatched([edge.carried(onto)], [contour])[0]:
                known.add(key)
                yield PicturePlace(number, onto)
