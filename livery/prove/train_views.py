"""A train's elevations and its sheet, against the views of its vehicles: each is there, in its order.

A vehicle shows its left or, turned about, its right; a sheet may break the train into rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from fontTools.misc.transform import Transform

from livery.prove.contour import SAME_MM, ReadContour, in_words, unmatched
from livery.prove.pictures import PagePicture
from livery.prove.svg_file import SvgFile
from livery.prove.vehicle_files import drawn_in, picture_of
from livery.prove.vehicle_look import fill_of

_SIZE = 1e-3
"""By what share one row of a sheet may be larger than another (chosen: rounding). Larger, and
vehicles of unlike scale pass."""

_PLACE_MM = 0.02
"""How far a vehicle may stand from its place, in millimetres (chosen: rounding of two files).
Larger, and one out of line passes."""

_BESIDE = 1.5
"""A vehicle within so many times its distance on the same level stands on the row of the other
(chosen). Larger, and one of the next row is compared with it."""

Sides = Mapping[str, SvgFile]
"""The views of one vehicle from its sides, by ``left`` and ``right``."""


class _Standing(NamedTuple):
    """A vehicle where one page of a file has it."""

    vehicle: str
    page: int
    at: Transform


class _Page:
    """All that a page shows, so that what is somewhere on it is found at once."""

    def __init__(self, number: int, contours: Iterable[ReadContour]) -> None:
        self.number = number
        self._contours = [c for c in contours if c.closed]
        self._boxes = np.array([c.size for c in self._contours]).reshape(-1, 4)

    @cached_property
    def _tree(self) -> Any:
        from scipy.spatial import cKDTree

        return cKDTree(self._boxes)

    def places(self, picture: PagePicture, size: float | None) -> Iterator[tuple[Transform, int]]:
        """Yield where a picture's edge is drawn, and how much of it is not there by its bounds."""
        edge = picture.edge[0].size
        wide, high = (self._boxes[:, 2:] - self._boxes[:, :2]).T
        scale = wide / edge.width if size is None else np.full(len(wide), size)
        fits = np.maximum(abs(wide - scale * edge.width), abs(high - scale * edge.height))
        own = np.array([c.size for c in picture.shows])
        for i in np.flatnonzero(fits <= SAME_MM):
            s = float(scale[i])
            dx, dy = self._boxes[i, :2] - s * np.array([edge.left, edge.bottom])
            off, _ = self._tree.query(s * own + np.tile((dx, dy), 2), p=np.inf)
            yield Transform(s, 0, 0, s, float(dx), float(dy)), int((off > SAME_MM).sum())

    def missing(self, picture: PagePicture, at: Transform) -> list[ReadContour]:
        """Return what of a picture is not on the page where it stands."""
        theirs = [c.carried(at) for c in picture.shows]
        boxes = np.array([c.size for c in theirs])
        low, high = boxes[:, :2].min(axis=0) - 1.0, boxes[:, 2:].max(axis=0) + 1.0
        near = (self._boxes[:, :2] >= low).all(axis=1) & (self._boxes[:, 2:] <= high).all(axis=1)
        return unmatched(theirs, [self._contours[i] for i in np.flatnonzero(near)])[0]


class _Found:
    """Pictures found one after the other, each at a place of its own."""

    def __init__(self, pages: Sequence[_Page]) -> None:
        self._pages = pages
        self._taken: set[tuple[int, float, float]] = set()
        self.faults: list[str] = []

    def find(
        self, pictures: Sequence[PagePicture], size: float | None, *, needed: bool = True
    ) -> _Standing | None:
        """Return where the first of some pictures that is there whole stands; note what is wrong."""
        nearest: tuple[int, PagePicture, _Page, Transform] | None = None
        for picture in pictures:
            for page in self._pages:
                for at, lacking in page.places(picture, size):
                    key = page.number, round(at.dx, 1), round(at.dy, 1)
                    if key in self._taken:
                        continue
                    if not lacking and not page.missing(picture, at):
                        self._taken.add(key)
                        return _Standing(picture.title, page.number, at)
                    if nearest is None or lacking < nearest[0]:
                        nearest = lacking, picture, page, at
        if not needed:
            return None
        if nearest is None:
            self.faults.append(f"it does not show {pictures[0].title}")
        else:
            _, picture, page, at = nearest
            lost = page.missing(picture, at)
            self.faults.append(f"{picture.title} lacks {in_words(lost)} there")
        return None


def train_faults(side: str, train: SvgFile, vehicles: Mapping[str, Sides]) -> Iterator[str]:
    """Yield every vehicle that a train's elevation does not show as the vehicle's own view does."""
    found = _Found([_Page(0, drawn_in(train))])
    for name, sides in vehicles.items():
        # One that has one side alone shows it on one side of the train, whichever.
        found.find(_pictures(name, side, sides), 1.0, needed=len(sides) > 1)
    yield from found.faults
    for sides in vehicles.values():
        yield from _fill_faults(sides, train)


def rows_faults(
    pages: Sequence[Sequence[ReadContour]],
    trains: Mapping[str, SvgFile],
    vehicles: Mapping[str, Sides],
) -> Iterator[str]:
    """Yield what the pages of a train's sheet show otherwise than its two elevations, row by row."""
    found = _Found([_Page(i, contours) for i, contours in enumerate(pages)])
    for side, train in trains.items():
        there = _Found([_Page(0, drawn_in(train))])
        pairs = []
        for name, sides in vehicles.items():
            pictures = _pictures(name, side, sides)
            standing = there.find(pictures, 1.0, needed=False)
            if standing is not None:
                own = next(p for p in pictures if p.title == standing.vehicle)
                shown = found.find([own], None)
                pairs += [] if shown is None else [(standing, shown)]
        ordered = sorted(pairs, key=lambda pair: pair[0].at.dx)
        for (one, a), (other, b) in pairwise(ordered):
            apart = other.at.dx - one.at.dx, other.at.dy - one.at.dy
            yield from _beside(a, b, apart)
    yield from found.faults


def _beside(one: _Standing, other: _Standing, apart: tuple[float, float]) -> Iterator[str]:
    """Yield that two neighbours stand on one row of a sheet, and not as far apart as they do."""
    size = one.at.xx
    if abs(other.at.xx / size - 1.0) > _SIZE:
        yield f"{other.vehicle} is not drawn at the scale of {one.vehicle}"
    x, y = other.at.dx - one.at.dx, other.at.dy - one.at.dy
    is_one_row = one.page == other.page and abs(y - size * apart[1]) <= _PLACE_MM
    if is_one_row and abs(x - size * apart[0]) > _PLACE_MM:
        yield f"{other.vehicle} stands {x / size - apart[0]:+.2f} mm from its place behind {one.vehicle}"


def _pictures(name: str, side: str, sides: Sides) -> list[PagePicture]:
    """Return what a vehicle may show on one side of its train: that side, or the other if turned."""
    views = [view for _, view in sorted(sides.items(), key=lambda s: s[0] != side)]
    return [p for view in views if (p := picture_of(view.name, view)) is not None]


def _fill_faults(sides: Sides, train: SvgFile) -> Iterator[str]:
    """Yield what a train has in another colour than a vehicle's own view."""
    for view in sides.values():
        for element, path in view.elements.items():
            there = train.elements.get(element)
            # What is drawn for scale has the same names on every vehicle, and a colour by its kind.
            if there is not None and fill_of(there) != fill_of(path):
                yield f"{element} is {fill_of(there)}, and {fill_of(path)} in {view.name}"
