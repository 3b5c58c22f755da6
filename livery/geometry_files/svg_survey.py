"""How much an SVG file draws, found before it is drawn: its depth, its uses, its numbers.

A file of a few lines may draw millions of elements, each ``use`` drawing another's twice, or
none at all, one drawing itself; a parser that follows it takes hours or all the memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple
from xml.parsers import expat

from livery.findings import Finding, LiveryError, Place, fault
from livery.geometry_files.svg_attributes import attribute_fault
from livery.input_limits import (
    DEEPEST_DRAWING,
    MOST_DRAWING_BYTES,
    MOST_DRAWN,
    MOST_ELEMENTS,
    SIMPLER,
    require_at_most,
    require_size,
)
from livery.parsing import parsing

_NUMBER = re.compile(r"[0-9.]+(?:[eE][+-]?[0-9]+)?")
_REMEDY = "Export it again as SVG."
_CORRECT = "Correct it there, or export the drawing again."


@dataclass
class _Element:
    tag: str
    name: str
    refers_to: str
    numbers: int
    within: list[_Element] = field(default_factory=list)


class _Drawn(NamedTuple):
    """What an element draws, uses followed: elements, numbers, and levels within it."""

    elements: int
    numbers: int
    depth: int


def require_drawable(file: Path) -> None:
    """Raise LiveryError where a file is no SVG, draws itself, or draws more than the limits."""
    require_size(file, MOST_DRAWING_BYTES, "the drawing")
    with parsing(file, "an SVG file", _REMEDY, code="file-svg"):
        tree = _Tree(file, file.read_bytes())
    root = tree.root
    if root is None or root.tag != "svg":
        raise fault(
            "file-svg", f'"{file}" is not an SVG file: its root element is not svg', _REMEDY
        )
    drawn = tree.drawn(root, ())
    require_at_most(drawn.elements, MOST_ELEMENTS, f'elements drawn by "{file}"', SIMPLER)
    require_at_most(drawn.numbers, MOST_DRAWN, f'numbers in the paths of "{file}"', SIMPLER)


class _Tree:
    """The elements of a file."""

    def __init__(self, file: Path, source: bytes) -> None:
        self.file = file
        self.root: _Element | None = None
        self.named: dict[str, _Element] = {}
        self._open: list[_Element] = []
        self._count = 0
        self._drawn: dict[int, _Drawn] = {}
        self._parser = parser = expat.ParserCreate()
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.Parse(source, True)

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        self._count += 1
        kind = tag.rpartition(":")[2]
        if wrong := attribute_fault(kind, attributes) or self._view_within(kind, attributes):
            raise self._wrong(kind, attributes, wrong)
        require_at_most(self._count, MOST_ELEMENTS, f'elements in "{self.file}"', SIMPLER)
        refers_to = attributes.get("href") or attributes.get("xlink:href") or ""
        numbers = sum(
            len(_NUMBER.findall(attributes.get(key, ""))) for key in ("d", "points", "transform")
        )
        element = _Element(kind, attributes.get("id", ""), refers_to, numbers)
        if self._open:
            self._open[-1].within.append(element)
        else:
            self.root = element
        self._open.append(element)
        require_at_most(
            len(self._open), DEEPEST_DRAWING, f'levels of groups in "{self.file}"', SIMPLER
        )
        if element.name:
            self.named.setdefault(element.name, element)

    def _view_within(self, kind: str, attributes: dict[str, str]) -> str:
        """Return what is wrong with a view within the drawing: the parser would misplace it."""
        moves = {"svg": ("viewBox", "x", "y"), "symbol": ("viewBox",)}.get(kind, ())
        if self._open and any(key in attributes for key in moves):
            return "it is a view of its own within the drawing; ungroup it there"
        return ""

    def _wrong(self, kind: str, attributes: dict[str, str], wrong: str) -> LiveryError:
        called = f' "{attributes["id"]}"' if "id" in attributes else ""
        place = Place(
            self.file, self._parser.CurrentLineNumber, self._parser.CurrentColumnNumber + 1
        )
        return LiveryError(
            [Finding("file-svg", f"the {kind}{called}: {wrong}", _CORRECT, place=place)]
        )

    def _end(self, tag: str) -> None:
        self._open.pop()

    def drawn(self, element: _Element, above: tuple[_Element, ...]) -> _Drawn:
        """Return what an element draws; raise LiveryError where it draws itself."""
        if any(element is a for a in above):
            raise fault(
                "file-svg",
                f'"{self.file}" draws "{element.name or element.tag}" within itself by a use',
                "Delete the use element that refers to its own parent.",
            )
        if id(element) in self._drawn:
            return self._drawn[id(element)]
        require_at_most(
            len(above), DEEPEST_DRAWING, f'levels of groups and uses in "{self.file}"', SIMPLER
        )
        inner = list(element.within)
        if element.tag == "use" and element.refers_to[1:] in self.named:
            inner.append(self.named[element.refers_to[1:]])
        parts = [self.drawn(e, (*above, element)) for e in inner]
        found = _Drawn(
            1 + sum(p.elements for p in parts),
            element.numbers + sum(p.numbers for p in parts),
            1 + max((p.depth for p in parts), default=0),
        )
        require_at_most(
            found.depth, DEEPEST_DRAWING, f'levels of groups and uses in "{self.file}"', SIMPLER
        )
        self._drawn[id(element)] = found
        return found
