"""What shows whole vehicles, and lines that run on: papers against drawings, solids against panels."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from livery.prove.contour import ReadContour
from livery.prove.glb_file import GlbFile
from livery.prove.panel_files import panel_edge
from livery.prove.pdf_file import PdfPage, PdfWords
from livery.prove.pictures import PagePicture, picture_faults
from livery.prove.record import Record
from livery.prove.svg_file import SvgFile, path_text_contours

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_AREA = 0.01
"""By what share the area of a panel may differ where it is bent (chosen: chords, and gores drawn
in). Larger, and a wrong panel passes."""

_FIGURES = ("left mm", "right mm", "slope mm", "to level mm")
_HEIGHT = re.compile(r"^-?\d+\.\d\d$")
_ROUNDED = 0.0056
"""How far a figure of two decimals lies from one of three (chosen: which may lie half way between
two). Larger, and wrong figures pass."""

_BAR_WORDS = "100 mm: measure before use"


def solid_faults(solid: GlbFile, record: Record) -> Iterator[str]:
    """Yield every panel whose area in a solid is not that of its sheet less its openings."""
    panels = {panel.name: panel for panel in record.panels}
    if not set(solid.areas) & set(panels):
        yield "it shows no panel of the record"
    for name, area in solid.areas.items():
        if name not in panels:
            continue  # a surface that is painted and not drawn: the record has no size of it
        panel = panels[name]
        metal: BaseGeometry = _region(panel_edge(panel))
        for path in panel.openings:
            metal = metal.difference(_region(list(path_text_contours(path))))
        right = float(metal.area)
        if abs(area - right) > _AREA * right:
            yield f"{name} has {area:.0f} mm² of surface there, {right:.0f} mm² in the record"


def _region(contours: Sequence[ReadContour]) -> BaseGeometry:
    import shapely

    whole: BaseGeometry = shapely.Polygon()
    for contour in contours:
        whole = whole.symmetric_difference(shapely.Polygon(contour.points).buffer(0.0))
    return whole


def sheet_faults(pages: Sequence[PdfPage], views: Iterable[tuple[str, SvgFile]]) -> Iterator[str]:
    """Yield every view of a vehicle that its sheet does not show as its own drawing does."""
    pictures = [picture for view in views if (picture := picture_of(*view)) is not None]
    yield from picture_faults(pages, pictures)


def picture_of(title: str, svg: SvgFile) -> PagePicture | None:
    """Return what a view shows, to be found elsewhere; None where it has no page or shows nothing."""
    drawn = drawn_in(svg)
    edge = max(drawn, key=lambda c: c.area, default=None)
    return None if edge is None else PagePicture(title, [edge], drawn)


def drawn_in(svg: SvgFile) -> list[ReadContour]:
    """Return all that a drawing shows, y up: not the line of the rail, which each draws for itself."""
    if svg.page is None:
        return []
    return [
        c.flipped(svg.page[1])
        for path in svg.paths
        if path.words is None
        for c in path.contours
        if c.closed and c.area > 0.0
    ]


def paged_faults(svg: SvgFile, pages: Sequence[PdfWords]) -> Iterator[str]:
    """Yield words and figures of a drawing that are not on its pages as often, on any page."""
    said = Counter(w.words for page in pages for w in page.placed)
    drawn = [words for words in (label.words for label in svg.labels) if words]
    # Its title is the foot of each page, and a page has a bar of its own.
    for words, count in Counter(drawn[1:]).items():
        if said[words] < count and words != _BAR_WORDS:
            yield f'it says "{words}" {said[words]} times, the drawing {count} times'


def level_line_faults(table: str, text: str) -> Iterator[str]:
    """Yield every row of the table of level lines that differs in the text."""
    said = [line.split() for line in text.splitlines()]
    for row in csv.DictReader(table.splitlines()):
        names = [*row["vehicle"].split(), *row["panel"].split(), *row["face"].split()]
        figures = [float(row[k]) for k in _FIGURES]
        found = next((x for x in said if _has_row(x, names, figures)), None)
        if found is None:
            yield f"it has no line of {' '.join(names)} at {figures[0]:.2f} mm, as the table has"
        else:
            said.remove(found)


def _has_row(line: Sequence[str], names: Sequence[str], figures: Sequence[float]) -> bool:
    """Return whether a line of the text has a row's names and, rounded, its figures."""
    if list(line[: len(names)]) != list(names) or len(line) != len(names) + len(figures):
        return False
    try:
        own = [float(words) for words in line[len(names) :]]
    except ValueError:
        return False
    return all(abs(a - b) <= _ROUNDED for a, b in zip(own, figures, strict=True))


def level_table_faults(table: str, svg: SvgFile) -> Iterator[str]:
    """Yield every height of the table of level lines that the picture does not show."""
    shown = sorted(float(p.words) for p in svg.labels if p.words and _HEIGHT.match(p.words))
    rows = csv.DictReader(table.splitlines())
    for height in sorted(float(row[key]) for row in rows for key in _FIGURES[:2]):
        found = next((h for h in shown if abs(h - height) <= _ROUNDED), None)
        if found is None:
            yield f"the height {height:.2f} mm is there more often than in the picture"
        else:
            shown.remove(found)
