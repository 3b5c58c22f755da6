"""A vehicle's five views, or a train, on one sheet of paper at one round scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fontTools.misc.transform import Transform

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.measure import Bounds
from livery.geometry.outline import Point, chain
from livery.make.drawings.elevation import EDGE_MM, INK
from livery.make.drawings.vehicle_elevation import (
    VIEW_WORDS,
    VehicleViews,
    extent_of,
    moved,
    on_one_layer,
    train_marks,
)
from livery.paper_sizes import PAPERS_MM
from livery.vehicles.consist import InTrain
from livery.vehicles.placed import PlacedVehicle
from livery.vehicles.view import View
from livery.write.measuring_bar import HUNDRED_MM, reduction_words

FINE = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0)
"""The reductions from 1:1 to 1:15 (chosen: ISO 5455's, and round ones between). Fewer, and
vehicles are drawn smaller than there is room for."""

SCALES = (*FINE, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 150.0, 200.0, 500.0)
"""Reductions tried, the largest picture first (chosen: ISO 5455's, and round ones between). Fewer,
and vehicles are drawn smaller than there is room for."""

MARGIN_MM = 10.0
"""The margin of the sheet, in millimetres (ISO 5457: 10 between the frame and the edge). Larger,
and vehicles are drawn smaller."""

FOOT_MM = 14.0
"""Height kept at the foot for the title and the bar, in millimetres (chosen). Smaller, and views
run into them."""

BETWEEN_MM = 8.0
"""Between two views, in millimetres (chosen: two are not read as one). Larger, and vehicles are
drawn smaller."""

TITLE_MM, NAME_MM = 3.4, 2.5
"""The cap heights of the title and of a view's name, in millimetres (chosen). Larger, and vehicles
are drawn smaller."""

LINE_MM = 0.13
"""The width of a view's lines, in millimetres (ISO 128: 0.13 is its finest line). Larger, and
lining drawn small is hidden by them."""

ROWS = ((View.LEFT, View.FRONT), (View.RIGHT, View.REAR), (View.ABOVE,))
"""Each side with the end beside it, from the top of the sheet down."""

MOST_ROWS = 4
"""Rows that a train is parted into, on each side (chosen: more are hard to read as one train).
More, and long trains are drawn larger."""


@dataclass(frozen=True)
class SheetView:
    """A view of a vehicle or of a part of a train; ``aligned`` is the x that its column lines up by."""

    view: View
    marks: Sequence[Area]
    extent: Bounds
    aligned: float

    @property
    def left(self) -> float:
        """How far it reaches to the left of what its column lines up by, in mm."""
        return self.aligned - self.extent.left

    @property
    def right(self) -> float:
        """How far it reaches to the right of that, in mm."""
        return self.extent.right - self.aligned


Rows = Sequence[Sequence[SheetView]]


def vehicle_sheet(vehicle: PlacedVehicle, views: VehicleViews, paper: str) -> Drawing | None:
    """Return every view of a vehicle that shows anything on one sheet; None where none does.

    Headstock stands under headstock, and the centre line of one end under the other's.
    """
    at = {View.RIGHT: -vehicle.sizes.length}
    rows = [
        [
            _picture(view, marks, at.get(view, 0.0))
            for view in row
            if (marks := views.of(vehicle, view))
        ]
        for row in ROWS
    ]
    return _sheet(f"vehicle-{vehicle.name}", vehicle.title, rows, paper)


def train_sheet(
    train: Sequence[InTrain], views: VehicleViews, title: str, paper: str
) -> Drawing | None:
    """Return a train from its left and its right on one sheet; None where nothing shows.

    A long one stands in several rows, if it is drawn larger so.
    """
    ways = [_in_rows(train, views, count) for count in range(1, min(MOST_ROWS, len(train)) + 1)]
    room = _room(paper)
    rows = min(ways, key=lambda rows: _reduction(rows, room))
    return _sheet("train", title, rows, paper)


def _in_rows(train: Sequence[InTrain], views: VehicleViews, count: int) -> Rows:
    """Return a train's sides, each in so many rows, from left to right as it is seen."""
    each = -(-len(train) // count)
    parts = [train[i : i + each] for i in range(0, len(train), each)]
    seen = [(View.LEFT, part) for part in parts] + [(View.RIGHT, part) for part in reversed(parts)]
    drawn = [(view, list(train_marks(part, view, views))) for view, part in seen]
    return [[_picture(view, marks, None)] for view, marks in drawn if marks]


def _picture(view: View, marks: Sequence[Area], aligned: float | None) -> SheetView:
    """Return a picture, lined up by its middle where nothing else is said."""
    extent = extent_of(marks, on_rail=view is not View.ABOVE)
    return SheetView(view, marks, extent, extent.centre.x if aligned is None else aligned)


def _sheet(name: str, title: str, rows: Rows, paper: str) -> Drawing | None:
    rows = [row for row in rows if row]
    if not rows:
        return None
    height, width = PAPERS_MM[paper]
    room = _room(paper)
    reduction = _reduction(rows, room)
    columns = _columns(rows)
    marks: list[Mark] = []
    top = height - MARGIN_MM - (room[1] - _high(rows, reduction)) / 2.0
    start = MARGIN_MM + (room[0] - _wide(rows, reduction)) / 2.0
    for row in rows:
        tall = max(one.extent.height for one in row) / reduction
        left = start
        for one, (before, after) in zip(row, columns, strict=False):
            at = Point(left + (before - one.left) / reduction, top - tall)
            marks += _drawn(one, at, reduction)
            left += (before + after) / reduction + BETWEEN_MM
        top -= tall + BETWEEN_MM + NAME_MM
    words = f"{title}, {reduction_words(reduction)}"
    marks.append(Label(words, Point(MARGIN_MM, MARGIN_MM), TITLE_MM, colour=INK))
    marks += HUNDRED_MM.marks(Point(width - MARGIN_MM - HUNDRED_MM.length_mm, MARGIN_MM))
    return Drawing(name, title, width, height, tuple(marks))


def _room(paper: str) -> tuple[float, float]:
    """Return the width and height there is for pictures."""
    height, width = PAPERS_MM[paper]
    return width - 2 * MARGIN_MM, height - 2 * MARGIN_MM - FOOT_MM


def _reduction(rows: Rows, room: tuple[float, float]) -> float:
    """Return the least reduction at which rows of views fit."""
    fits = (s for s in SCALES if rows and _wide(rows, s) <= room[0] and _high(rows, s) <= room[1])
    return next(fits, SCALES[-1])


def _columns(rows: Rows) -> list[tuple[float, float]]:
    """Return how far each column reaches left and right of what it lines up by, in mm."""
    count = max(len(row) for row in rows)
    columns = [[row[i] for row in rows if i < len(row)] for i in range(count)]
    return [(max(p.left for p in own), max(p.right for p in own)) for own in columns]


def _wide(rows: Rows, reduction: float) -> float:
    """Return how wide all columns are on the sheet."""
    columns = _columns(rows)
    return sum(map(sum, columns)) / reduction + BETWEEN_MM * (len(columns) - 1)


def _high(rows: Rows, reduction: float) -> float:
    """Return how high all rows are on the sheet, with the room between them and their names."""
    tall = (max(one.extent.height for one in row) for row in rows)
    return sum(high / reduction + BETWEEN_MM + NAME_MM for high in tall)


def _drawn(picture: SheetView, at: Point, reduction: float) -> Iterator[Mark]:
    """Yield a view reduced, its bottom left at ``at``, with the rail and its name below."""
    extent, size = picture.extent, 1.0 / reduction
    move = Transform(size, 0, 0, size, at.x - extent.left * size, at.y - extent.bottom * size)
    for mark in on_one_layer(moved(picture.marks, move)):
        yield _thinner(mark)
    if picture.view is not View.ABOVE:
        ends = (at, Point(at.x + extent.width * size, at.y))
        yield Stroke(chain(ends, closed=False), INK, EDGE_MM, layer="rail")
    name = VIEW_WORDS[picture.view]
    yield Label(name, Point(at.x, at.y - 1.6 * NAME_MM), NAME_MM, colour=INK)


def _thinner(mark: Area) -> Area:
    """Return a mark with its line as fine as suits a reduced drawing."""
    return Area(mark.outline, mark.fill, mark.stroke, LINE_MM, mark.layer, name=mark.name)
