"""Named outlines out of an SVG file, in millimetres with y up.

Sizes follow the file's own width, height and viewBox, units and transforms; a
length without a unit and without a viewBox is 1/96 in (CSS Values and Units 3,
5.2).  Lengths in physical units are read within 6e-7 of themselves.
"""

from __future__ import annotations

from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

from fontTools.misc.transform import Transform

from livery.findings import fault
from livery.geometry.outline import Contour, Outline
from livery.geometry.path_text import path_contours
from livery.geometry_files.closing import closed_outline
from livery.geometry_files.svg_survey import require_drawable
from livery.parsing import parsing

_PX_PER_INCH = 96.0
"""Pixels in an inch (by definition, CSS and SVG). Another reads drawings at another size."""

MM_PER_PX = 25.4 / _PX_PER_INCH
"""Millimetres in a pixel (by definition, CSS and SVG). Another reads drawings at another size."""


def svg_outline(file: Path, name: str) -> Outline:
    """Return the outline drawn by the element with the id ``name`` and all inside it.

    A contour within another is a hole, whatever the fill rule.  y is counted up
    from the drawing's lower edge.

    Raises:
        LiveryError: the file is no SVG, has no such element, or what it draws is
            not closed.
    """
    svg = opened_svg(file)
    with reading_svg(file):
        contours = next((_contours(svg, e) for e in svg.elements() if e.id == name), None)
    if contours is not None:
        return closed_outline(contours, f'"{name}" in {file.name}')
    names = _names(svg)
    remedy = f"the names in it are {', '.join(names)}" if names else "give the shape an id"
    raise fault("outline-name", f'nothing in {file.name} has the id "{name}"', remedy)


def _names(svg: Any) -> tuple[str, ...]:
    named = (e for e in svg.elements() if e.id is not None and shapes_of(e))
    return tuple(dict.fromkeys(str(e.id) for e in named))


def reading_svg(file: Path) -> AbstractContextManager[None]:
    """Raise LiveryError if a file is not valid SVG, for any error of the parser."""
    return parsing(file, "an SVG file", "Export it again as SVG.", code="file-svg")


def opened_svg(file: Path) -> Any:
    """Return an SVG file as svgelements reads it, after its size has been checked."""
    import svgelements

    require_drawable(file)
    with reading_svg(file):
        return svgelements.SVG.parse(
            str(file), reify=True, ppi=_PX_PER_INCH, parse_display_none=True
        )


def shapes_of(element: Any) -> list[Any]:
    """Return the shapes an element is or holds; text and pictures draw no outline."""
    import svgelements

    if isinstance(element, svgelements.Shape):
        return [element]
    if isinstance(element, svgelements.Group):
        return [s for s in element.select() if isinstance(s, svgelements.Shape)]
    return []


def _contours(svg: Any, element: Any) -> list[Contour]:
    import svgelements

    to_mm = Transform(MM_PER_PX, 0, 0, -MM_PER_PX, 0, float(svg.height) * MM_PER_PX)
    contours: list[Contour] = []
    for shape in shapes_of(element):
        contours += path_contours(abs(svgelements.Path(shape)), to_mm)
    return contours
