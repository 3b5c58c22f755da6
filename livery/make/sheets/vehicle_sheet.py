"""A vehicle's five views, or a train, on one sheet of paper at one round scale."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fontTools.misc.transform import Transform

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.outline import Point, chain
from livery.make.drawings.elevation import EDGE_MM, INK
from livery.make.drawings.vehicle_elevation import (
    VIEW_WORDS,
    extent_of,
    in_order,
    moved,
    train_marks,
    vehicle_marks,
)
from livery.vehicles.consist import InTrain
from livery.vehicles.placed import PlacedVehicle
from livery.vehicles.view import View
from livery.write.measuring_bar import HUNDRED_MM, reduction_words

PAPERS_MM = {
    "A4": (297.0, 210.0),
    "A3": (420.0, 297.0),
    "A2": (594.0, 420.0),
    "A1": (841.0, 594.0),
    "Letter": (279.4, 215.9),
}
"""Width and height sideways: A4 to A1 from ISO 216, Letter from ASME Y14.1."""

SCALES = (1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0)
"""Reductions tried, the largest picture first: ISO 5455's, with 2.5 and 25 between."""

MARGIN_MM = 10.0
FOOT_MM = 14.0
"""Height kept at the foot for the title and the bar."""
BETWEEN_MM = 8.0
TITLE_MM, NAME_MM = 3.4, 2.5
LINE_MM = 0.13

ROWS = ((View.LEFT, View.FRONT), (View.RIGHT, View.REAR), (View.ABOVE,))
"""Each side with the end beside it, from the top of the sheet down."""

MOST_ROWS = 4
"""A train is parted into no more rows, on each side: more are hard to read as one train."""

Pictures = Sequence[Sequence[tuple[View, Sequence[Area]]]]


def vehicle_sheet(vehicle: PlacedVehicle, colours: Mapping[str, str], paper: str) -> Drawing | None:
    """Return every view of a vehicle that shows anything on one sheet; None where none does."""
    views = {view: vehicle_marks(vehicle, view, colours) for view in View}
    rows = [[(view, views[view]) for view in row if views[view]] for row in ROWS]
    return _sheet(f"vehicle-{vehicle.name}", vehicle.title, rows, paper)


def train_sheet(
    train: Sequence[InTrain], colours: Mapping[str, str], title: str, paper: str
) -> Drawing | None:
    """Return a train from its left and its right on one sheet; None where nothing shows.

    A long one stands in several rows, if it is drawn larger so.
    """
    ways = [_in_rows(train, colours, count) for count in range(1, min(MOST_ROWS, len(train)) + 1)]
    room = _room(paper)
    rows = min(ways, key=lambda rows: _reduction(rows, room))
    return _sheet("train", title, rows, paper)


def _in_rows(train: Sequence[InTrain], colours: Mapping[str, str], count: int) -> Pictures:
    """Return a train's sides, each in so many rows, from left to right as it is seen."""
    each = -(-len(train) // count)
    parts = [train[i : i + each] for i in range(0, len(train), each)]
    seen = [(View.LEFT, part) for part in parts] + [(View.RIGHT, part) for part in reversed(parts)]
    rows = [[(view, list(train_marks(part, view, colours)))] for view, part in seen]
    return [row for row in rows if row[0][1]]


def _sheet(name: str, title: str, rows: Pictures, paper: str) -> Drawing | None:
    rows = [row for row in rows if row]
    if not rows:
        return None
    width, height = PAPERS_MM[paper]
    room = _room(paper)
    reduction = _reduction(rows, room)
    marks: list[Mark] = []
    top = height - MARGIN_MM - (room[1] - _high(rows, reduction)) / 2.0
    for row in rows:
        tall = max(_size(view, own)[1] for view, own in row) / reduction
        left = MARGIN_MM + (room[0] - _wide(row, reduction)) / 2.0
        for view, own in row:
            at = Point(left, top - tall)
            marks += _picture(view, own, at, reduction)
            left += _size(view, own)[0] / reduction + BETWEEN_MM
        top -= tall + BETWEEN_MM + NAME_MM
    words = f"{title}, {reduction_words(reduction)}"
    marks.append(Label(words, Point(MARGIN_MM, MARGIN_MM), TITLE_MM, colour=INK))
    marks += HUNDRED_MM.marks(Point(width - MARGIN_MM - HUNDRED_MM.length_mm, MARGIN_MM))
    return Drawing(name, title, width, height, tuple(marks))


def _room(paper: str) -> tuple[float, float]:
    """Return the width and height there is for pictures."""
    width, height = PAPERS_MM[paper]
    return width - 2 * MARGIN_MM, height - 2 * MARGIN_MM - FOOT_MM


def _reduction(rows: Pictures, room: tuple[float, float]) -> float:
    """Return the least reduction at which rows of views fit."""
    return next((s for s in SCALES if rows and _fits(rows, s, room)), SCALES[-1])


def _size(view: View, marks: Sequence[Area]) -> tuple[float, float]:
    extent = extent_of(marks, on_rail=view is not View.ABOVE)
    return extent.width, extent.height


def _fits(rows: Pictures, reduction: float, room: tuple[float, float]) -> bool:
    wide = max(_wide(row, reduction) for row in rows)
    return wide <= room[0] and _high(rows, reduction) <= room[1]


def _wide(row: Sequence[tuple[View, Sequence[Area]]], reduction: float) -> float:
    """Return how wide a row of views is on the sheet."""
    return sum(_size(*one)[0] for one in row) / reduction + BETWEEN_MM * (len(row) - 1)


def _high(rows: Pictures, reduction: float) -> float:
    """Return how high all rows are on the sheet, with the room between them and their names."""
    tall = (max(_size(*one)[1] for one in row) for row in rows)
    return sum(high / reduction + BETWEEN_MM + NAME_MM for high in tall)


def _picture(view: View, marks: Sequence[Area], at: Point, reduction: float) -> Iterator[Mark]:
    """Yield a view reduced, its bottom left at ``at``, with the rail and its name below."""
    on_rail = view is not View.ABOVE
    extent = extent_of(marks, on_rail=on_rail)
    size = 1.0 / reduction
    move = Transform(size, 0, 0, size, at.x - extent.left * size, at.y - extent.bottom * size)
    for mark in in_order(moved(marks, move)):
        yield _thinner(mark)
    if on_rail:
        ends = (at, Point(at.x + extent.width * size, at.y))
        yield Stroke(chain(ends, closed=False), INK, EDGE_MM, layer="rail")
    yield Label(VIEW_WORDS[view], Point(at.x, at.y - 1.6 * NAME_MM), NAME_MM, colour=INK)


def _thinner(mark: Area) -> Area:
    """Return a mark with its line as fine as suits a reduced drawing."""
    return Area(mark.outline, mark.fill, mark.stroke, LINE_MM, mark.layer, mark.name)
