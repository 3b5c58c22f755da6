"""SVG files read by other libraries: the page, and every path of every layer in millimetres."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from functools import cached_property, lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree

from fontTools.misc.transform import Identity, Transform

from livery.findings import fault
from livery.parsing import parsing
from livery.prove.contour import BoundingBox, ReadContour, around
from livery.prove.path_text import PathText, path_text

_MM_AS_UNIT = 25.4
"""So many units to the inch, by which the parser gives millimetres (by definition). Another reads
every file at another size."""

_SVG = "{http://www.w3.org/2000/svg}"
_SAME_MATRIX = 1e-6
"""A matrix whose numbers are nearer than this to one that moves nothing is that one (chosen: the
library has 0.0393701 inches to the millimetre, which is 5.4e-7 off; 0.001 mm over a metre). Larger,
and a drawing that is scaled a little passes as it stands; less costs only time."""

_LENGTH = re.compile(r"^\s*([0-9.]+)mm\s*$")


@dataclass(frozen=True, eq=False)
class ReadPath:
    """One path of a file, in millimetres from the page's top left corner, y down."""

    element: str
    layer: str
    text: str
    """Its path text as it is written."""
    fill: str
    """The colour it is filled with, as "#rrggbb", with "aa" after it where it is not opaque; empty where it is a line alone."""
    words: str | None = None
    """What its title says, if it is words written in outlines."""
    to_page: Transform = Identity
    """What carries its path text to the page."""

    @cached_property
    def _drawn(self) -> PathText:
        with self._damage:
            return path_text(self.text).carried(self.to_page)

    @property
    def _damage(self) -> AbstractContextManager[None]:
        return _damage(Path(self.element or f"a path on {self.layer}"))

    @cached_property
    def contours(self) -> tuple[ReadContour, ...]:
        """Its contours."""
        with self._damage:
            return self._drawn.contours

    @property
    def lines(self) -> list[tuple[tuple[float, float], tuple[float, float]]]:
        """The ends of its straight lines, in order."""
        return [(run.start, run.end) for run in self._drawn.runs if run.points is None]

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
        return sum(a * d - b * c for (a, b), (c, d), _ in self._drawn.runs) / 2.0

    @cached_property
    def size(self) -> BoundingBox | None:
        """The bounds of all its contours, y down; None where it draws nothing.

        Those of words are of the ends of their curves only, which is near enough for words.
        """
        if self.words is not None:
            ends = self._drawn.ends
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

    with _damage(file):
        root = ElementTree.parse(file).getroot()
        drawn = [p for g in root.findall(f"{_SVG}g") for p in g.iter(f"{_SVG}path")]
        texts = [path.get("d", "") for path in drawn]
        for path in drawn:
            # Where it is and how it is filled is left to svgelements, its text to a quicker reader.
            path.set("d", "M0 0")
        layers = svgelements.SVG.parse(
            BytesIO(ElementTree.tostring(root)), reify=False, ppi=_MM_AS_UNIT
        )
        shapes = [
            (str(group.id or ""), shape)
            for group in layers
            if isinstance(group, svgelements.Group)
            for shape in group.select(lambda e: isinstance(e, svgelements.Path))
        ]
        if len(shapes) != len(drawn):
            raise ValueError("two readers find different numbers of paths in it")
        found = [
            ReadPath(
                str(shape.id or ""),
                layer,
                text,
                _fill(shape),
                words=path.findtext(f"{_SVG}title"),
                to_page=_move_by(shape.transform),
            )
            for (layer, shape), path, text in zip(shapes, drawn, texts, strict=True)
        ]
    return SvgFile(file.name, stated_size(file), tuple(found))


def _move_by(matrix: Any) -> Transform:
    """Return a matrix of svgelements as a transform, which is no move where the two are the same."""
    move = Transform(*(float(matrix[i]) for i in range(6)))
    moves = any(abs(a - b) >= _SAME_MATRIX for a, b in zip(move, Identity, strict=True))
    return move if moves else Identity


def _fill(shape: Any) -> str:
    fill = shape.fill
    return "" if fill is None or fill.value is None else str(fill.hex).lower()


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


@lru_cache(maxsize=256)
def path_text_contours(path: str) -> tuple[ReadContour, ...]:
    """Return the contours of path text as they stand.

    Raises:
        LiveryError: it is no path.
    """
    try:
        return path_text(path).contours
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
