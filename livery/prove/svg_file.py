"""SVG files read by svgelements: the page, and every path of every layer in millimetres."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree

import numpy as np

from livery.findings import fault
from livery.parsing import parsing
from livery.prove.contour import BoundingBox, ReadContour, around, cubic_points

_MM_AS_UNIT = 25.4
"""So many units to the inch, by which the parser gives millimetres (by definition). Another reads
every file at another size."""

_SVG = "{http://www.w3.org/2000/svg}"
_TOUCH_MM = 0.002
"""Ends nearer than this meet, in millimetres (chosen: the writer's last figure each way). Larger,
and an open line passes as closed."""

_LENGTH = re.compile(r"^\s*([0-9.]+)mm\s*$")


@dataclass(frozen=True, eq=False)
class ReadPath:
    """One path of a file, in millimetres from the page's top left corner, y down."""

    element: str
    layer: str
    shape: Any
    """The parser's own path."""
    words: str | None = None
    """What its title says, if it is words written in outlines."""

    @cached_property
    def text(self) -> str:
        """Its path text."""
        return str(self.shape.d())

    @cached_property
    def contours(self) -> tuple[ReadContour, ...]:
        """Its contours."""
        with _damage(Path(self.element or f"a path on {self.layer}")):
            parts = [_contour(part) for part in self.shape.as_subpaths()]
        return tuple(c for c in parts if c is not None)

    @property
    def width_mm(self) -> float:
        """How wide it is on the whole: for a line, its width; for letters, about their strokes."""
        length = sum(c.length for c in self.contours)
        return 2.0 * abs(sum(c.signed_area for c in self.contours)) / length if length else 0.0

    @property
    def winding(self) -> float:
        """The area of words within the ends of their curves, below nothing if they are mirrored.

        The outer edges of the label face's letters run clockwise, and the page's y downward.
        """
        import svgelements

        runs = (s for s in self.shape if not isinstance(s, svgelements.Move))
        return float(sum(s.start.x * s.end.y - s.start.y * s.end.x for s in runs)) / 2.0

    @cached_property
    def size(self) -> BoundingBox | None:
        """The bounds of all its contours, y down; None where it draws nothing.

        Those of words are of the ends of their curves only, which is near enough for words.
        """
        if self.words is not None:
            ends = [(s.end.x, s.end.y) for s in self.shape if s.end is not None]
            return around(BoundingBox(x, y, x, y) for x, y in ends) if ends else None
        if not self.contours:
            return None
        return around([c.size for c in self.contours])


class PageScale(NamedTuple):
    """The page's width and height, None where not given in millimetres, and the viewBox on it."""

    page: tuple[float, float] | None
    view: tuple[float, float, float, float] | None


@dataclass(frozen=True)
class SvgFile:
    """A drawing as a cutter's program finds it."""

    name: str
    scale: PageScale
    paths: tuple[ReadPath, ...]

    @property
    def page(self) -> tuple[float, float] | None:
        """The page's width and height in millimetres."""
        return self.scale.page

    @cached_property
    def elements(self) -> dict[str, ReadPath]:
        """The named paths."""
        return {p.element: p for p in self.paths if p.element}

    @property
    def labels(self) -> tuple[ReadPath, ...]:
        """The words written on it."""
        return tuple(p for p in self.paths if p.words is not None)

    @property
    def layers(self) -> dict[str, list[ReadPath]]:
        """The paths of each layer."""
        found: dict[str, list[ReadPath]] = {}
        for path in self.paths:
            found.setdefault(path.layer, []).append(path)
        return found


def read_svg(file: Path) -> SvgFile:
    """Return what an SVG file holds.

    Raises:
        LiveryError: it cannot be read as SVG.
    """
    import svgelements

    with _damage(file), file.open("rb") as stream:
        svg = svgelements.SVG.parse(stream, reify=True, ppi=_MM_AS_UNIT)
        paths = [
            (str(group.id or ""), shape)
            for group in svg
            if isinstance(group, svgelements.Group)
            for shape in group.select(lambda e: isinstance(e, svgelements.Path))
        ]
        titles = _titles(file)
        if len(titles) != len(paths):
            raise ValueError("two readers find different numbers of paths in it")
    found = (
        ReadPath(str(shape.id or ""), layer, shape, title)
        for (layer, shape), title in zip(paths, titles, strict=True)
    )
    return SvgFile(file.name, stated_size(file), tuple(found))


def _titles(file: Path) -> list[str | None]:
    """Return the title of every path, in the order of the file."""
    return [
        path.findtext(f"{_SVG}title")
        for group in ElementTree.parse(file).getroot().findall(f"{_SVG}g")
        for path in group.iter(f"{_SVG}path")
    ]


def stated_size(file: Path) -> PageScale:
    """Return how large an SVG file says it is, without reading on.

    Raises:
        LiveryError: it cannot be read as SVG.
    """
    with _damage(file):
        _, root = next(ElementTree.iterparse(file, events=("start",)))
        return PageScale(_page(root.attrib), _view(root.attrib))


def _damage(file: Path) -> AbstractContextManager[None]:
    return parsing(
        file, "an SVG file", "build the job again", code="prove-unreadable", exit_status=1
    )


def path_text_contours(path: str) -> tuple[ReadContour, ...]:
    """Return the contours of path text as they stand.

    Raises:
        LiveryError: it is no path.
    """
    import svgelements

    try:
        parts = (_contour(part) for part in svgelements.Path(path).as_subpaths())
        return tuple(c for c in parts if c is not None)
    except (TypeError, ValueError, IndexError) as wrong:
        raise fault(
            "prove-record", "an outline in the record is not a path", "build the job again"
        ) from wrong


def path_size(path: str) -> BoundingBox:
    """Return the bounds of path text; see path_contours."""
    return around(c.size for c in path_text_contours(path))


def _page(attributes: Mapping[str, str]) -> tuple[float, float] | None:
    width, height = (_LENGTH.match(attributes.get(k, "")) for k in ("width", "height"))
    return (float(width[1]), float(height[1])) if width and height else None


def _view(attributes: Mapping[str, str]) -> tuple[float, float, float, float] | None:
    numbers = [float(v) for v in re.findall(r"[-+0-9.eE]+", attributes.get("viewBox", ""))]
    if len(numbers) != 4:
        return None
    return numbers[0], numbers[1], numbers[2], numbers[3]


def _contour(part: Any) -> ReadContour | None:
    import svgelements

    points: list[Any] = []
    closed = False
    for segment in part:
        match segment:
            case svgelements.Move():
                points.append([[segment.end.x, segment.end.y]])
            case svgelements.Close():
                closed = True
            case svgelements.Line():
                points.append([[segment.end.x, segment.end.y]])
            case svgelements.CubicBezier():
                points.append(cubic_points(_controls(segment)))
            case svgelements.Arc():
                points += [cubic_points(_controls(c)) for c in segment.as_cubic_curves()]
            case svgelements.QuadraticBezier():
                a, b, c = (np.array([p.x, p.y]) for p in segment)
                points.append(cubic_points(np.array([a, (a + 2 * b) / 3, (c + 2 * b) / 3, c])))
    if not points:
        return None
    every = np.vstack(points).astype(float)
    # A contour that only happens to end where it began is not closed: a cutter lifts there.
    returns = len(every) > 2 and float(np.hypot(*(every[0] - every[-1]))) <= _TOUCH_MM
    return ReadContour(every[:-1] if closed and returns else every, closed)


def _controls(cubic: Any) -> list[tuple[float, float]]:
    return [(p[0], p[1]) for p in (cubic.start, cubic.control1, cubic.control2, cubic.end)]
