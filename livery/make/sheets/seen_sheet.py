"""Colours or liveries beside each other on one sheet, a row for each way of seeing them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fontTools.misc.transform import Offset, Transform

from livery.drawing import Area, Drawing, Label, Mark
from livery.findings import fault
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.layout.plan import Plan
from livery.make.drawings.elevation import INK, elevation
from livery.make.drawings.plate_files import plate_picture
from livery.make.drawings.vehicle_elevation import VehicleViews, extent_of, moved, train_marks
from livery.paper_sizes import PAPERS_MM
from livery.vehicles.survey import Vehicles
from livery.vehicles.view import View
from livery.write.measuring_bar import HUNDRED_MM

MARGIN_MM = 12.0
"""The margin of the sheet, in millimetres (chosen: wider than any desktop printer leaves white).
Larger, and pictures are smaller."""

TITLE_MM, TEXT_MM = 3.2, 2.2
"""The cap heights of the title and of words, in millimetres (chosen: read at arm's length).
Larger, and pictures are smaller."""

BETWEEN_MM = 6.0
"""Between a row and the words of the next, and between two liveries, in millimetres (chosen).
Larger, and pictures are smaller."""

SWATCH_MM = (60.0, 24.0)
"""The size of a colour, in millimetres (chosen: the least an eye can judge by is about 2 degrees,
17 mm from half a metre). Larger, and fewer fit the sheet."""

LINE_MM = 0.13
"""The width of a picture's lines, in millimetres (ISO 128: 0.13 is its finest line). Larger, and
lining drawn small is hidden by them."""


@dataclass(frozen=True, slots=True)
class SeenRow:
    """Pictures seen in one way, to stand beside each other, and the words above them."""

    words: tuple[str, ...]
    pictures: tuple[tuple[Area, ...], ...]
    apart: bool = True


def swatch(colour: str) -> tuple[Area, ...]:
    """Return a plain patch of a colour, ``#rrggbb``."""
    return (Area(rectangle(*SWATCH_MM), colour, name="colour"),)


def livery_picture(vehicles: Vehicles, plan: Plan, colours: Mapping[str, str]) -> tuple[Area, ...]:
    """Return a job in given colours: its train or vehicles from the left, else its panels and plates.

    ``colours`` gives each paint's ``#rrggbb``.
    """
    views = VehicleViews(colours, plan.plates)
    if vehicles.train:
        return tuple(train_marks(vehicles.train, View.LEFT, views))
    placed = [marks for one in vehicles.placed if (marks := views.of(one, View.LEFT))]
    loose = [
        *(elevation(panel, colours, plan.plates) for panel in plan.panels),
        *(plate_picture(plate, colours) for plate in plan.plates),
    ]
    pictures = placed or [marks for drawing in loose if (marks := _areas(drawing))]
    if not pictures:
        raise fault(
            "seen-empty", "the job has nothing to show", "Add a panel or a plate.", exit_status=1
        )
    return tuple(_stacked(pictures))


def _areas(drawing: Drawing) -> tuple[Area, ...]:
    return tuple(mark for mark in drawing.marks if isinstance(mark, Area))


def _stacked(pictures: Sequence[Sequence[Area]]) -> Iterator[Area]:
    """Yield pictures one under the other, their left ends in line."""
    top = 0.0
    for marks in pictures:
        extent = extent_of(marks, on_rail=False)
        yield from moved(marks, Offset(-extent.left, top - extent.top))
        top -= extent.height * 1.1


def seen_sheet(name: str, title: str, rows: Sequence[SeenRow], paper: str = "A4") -> Drawing:
    """Return the sheet; every picture is reduced alike, so that all rows fit.

    Args:
        name: The name of its file, without an ending.
        title: What stands at its head.
        rows: A row for each way of seeing.
        paper: The paper, upright.
    """
    width, height = PAPERS_MM[paper]
    scale = _scale(rows, width - 2 * MARGIN_MM, height - 4 * MARGIN_MM)
    marks: list[Mark] = []
    top = height - MARGIN_MM - TITLE_MM
    marks.append(Label(title, Point(MARGIN_MM, top), TITLE_MM, colour=INK))
    top -= BETWEEN_MM
    for row in rows:
        for words in row.words:
            top -= TEXT_MM
            marks.append(Label(words, Point(MARGIN_MM, top), TEXT_MM, colour=INK))
            top -= TEXT_MM * 0.7
        marks += _row(row, top, scale)
        top -= _tall(row) * scale + BETWEEN_MM
    marks += HUNDRED_MM.marks(Point(width - MARGIN_MM - HUNDRED_MM.length_mm, MARGIN_MM))
    return Drawing(name, title, width, height, tuple(marks))


def _row(row: SeenRow, top: float, scale: float) -> Iterator[Area]:
    left = MARGIN_MM
    for marks in row.pictures:
        extent = extent_of(marks, on_rail=False)
        across, up = left - extent.left * scale, top - extent.top * scale
        for mark in moved(marks, Transform(scale, 0, 0, scale, across, up)):
            yield Area(mark.outline, mark.fill, mark.stroke, LINE_MM, mark.layer, name=mark.name)
        left += extent.width * scale + (BETWEEN_MM if row.apart else 0.0)


def _tall(row: SeenRow) -> float:
    return max(extent_of(marks, on_rail=False).height for marks in row.pictures)


def _scale(rows: Sequence[SeenRow], room_mm: float, high_mm: float) -> float:
    """Return the scale, 1 at most, at which every row fits the width and all of them the height."""
    words = sum(1.7 * TEXT_MM * len(row.words) + BETWEEN_MM for row in rows)
    tall = sum(_tall(row) for row in rows)
    fits = [(high_mm - words) / tall]
    for row in rows:
        gaps = BETWEEN_MM * (len(row.pictures) - 1) if row.apart else 0.0
        wide = sum(extent_of(marks, on_rail=False).width for marks in row.pictures)
        fits.append((room_mm - gaps) / wide)
    return min(1.0, *fits)
