"""The frame of a panel: its outline as drawn and as built, and where a position falls on it.

As built, the origin is the bottom left corner of the panel's bounding rectangle,
from which a fitter would measure.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from livery.describe.values import Position
from livery.findings import Finding, not_found
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Contour, Outline, Point, translated
from livery.geometry.shapes import ORIGIN
from livery.layout.carried import carried_span, held_places, stretched_span
from livery.layout.first_hand import NOTHING_TURNED, Turned
from livery.layout.fit import AxisFit, PanelFit
from livery.layout.sheet import Guide, SheetSize
from livery.rounding import rounded_value
from livery.surfaces.surface import FLAT, Surface
from livery.toml.entry import Entry
from livery.units import Length, Scale, write_feet_and_inches, write_length

if TYPE_CHECKING:
    from livery.layout.gored import Gored
    from livery.layout.rolled import Rolled

ORIGIN_MM = 0.05
"""If the 0, 0 of an outline as built is further from its lowest, leftmost corner, in millimetres,
sheets count from it (chosen: what a rule on the metal shows). Larger, and sizes on sheets seem to
disagree with those measured."""


@dataclass(frozen=True)
class Frame:
    """A panel's outline at scale (``drawn``) and as built, and the map between the two.

    ``stations`` and ``heights`` are the named places as built, in mm, ``opening_stations`` and
    ``opening_heights`` those of openings and fittings.  ``origin`` is where plain sizes on the
    model are measured from, ``seen_origin`` where those are that were ``turned``.  On a tapered barrel,
    whose stations and heights do not run straight, ``rolled`` carries places to the panel;
    on gores, whose stations run round the surface, ``gored`` does.  ``surface`` is where the
    metal is in space, as built.
    """

    name: str
    scale: Scale
    drawn: Outline
    outline: Outline
    fit: PanelFit
    stations: dict[str, float]
    heights: dict[str, float]
    findings: tuple[Finding, ...] = field(default=())
    guides: tuple[Guide, ...] = ()
    sheet_sizes: tuple[tuple[SheetSize, float], ...] = ()
    """The sizes of its sheet, each with what it is on the metal, in mm."""
    rolled: Rolled | None = None
    gored: Gored | None = None
    notes: tuple[Finding, ...] = ()
    surface: Surface = FLAT
    opening_stations: dict[str, float] = field(default_factory=dict)
    opening_heights: dict[str, float] = field(default_factory=dict)
    origin: Point = ORIGIN
    seen_origin: Point = ORIGIN
    turned: Turned = NOTHING_TURNED
    is_metric: bool = False
    """Whether its drawing is in millimetres, not in feet and inches."""

    def prototype(self, model_mm: float) -> str:
        """Return a size of the model in words as one of the prototype, in the units of its drawing."""
        size = self.scale.to_prototype(model_mm)
        return f"{rounded_value(size, 1):g} mm" if self.is_metric else write_feet_and_inches(size)

    @property
    def extent(self) -> Bounds:
        """The bounding rectangle of the panel as built: its lower left corner is at (0, 0)."""
        return bounds(self.outline)

    @property
    def zero(self) -> Point:
        """Where sizes of the panel as built are counted from: the 0, 0 of its outline as measured.

        It is its lower left corner, (0, 0), where 0, 0 is near it or beside the panel.
        """
        return zero_counted_from(self.origin, self.extent)

    @property
    def runs_straight(self) -> bool:
        """Whether stations and heights are straight lines on the panel, laid flat."""
        return self.rolled is None and self.gored is None

    @property
    def parts_alike(self) -> bool:
        """Whether all parts of the panel are equal, so that one stands for all."""
        return self.gored is not None

    def shifted(self, outline: Outline, along: float, up: float) -> Outline:
        """Return a shape on the panel moved along its stations and up its heights, in mm."""
        if self.rolled is not None:
            return self.rolled.shifted(outline, along, up)
        return translated(outline, along, up)

    @property
    def upright_stations(self) -> dict[str, float]:
        """The stations that are upright lines on the panel: none on a cone or on gores."""
        return self.stations if self.runs_straight else {}

    @property
    def level_heights(self) -> dict[str, float]:
        """The heights that are level lines on the panel: none on a cone or on gores."""
        return self.heights if self.runs_straight else {}

    def x(self, position: Position) -> float:
        """Return where a position falls across the panel as built, in mm."""
        marks = self.opening_stations if position.is_of_opening else self.stations
        return _placed(position, self.scale, marks, self.fit.x, self.origin.x)

    def y(self, position: Position) -> float:
        """Return where a position falls up the panel as built, in mm."""
        marks = self.opening_heights if position.is_of_opening else self.heights
        return _placed(position, self.scale, marks, self.fit.y, self.origin.y)

    def span_across(self, at: Position, width: float, *, stretched: bool) -> tuple[float, float]:
        """Return where the left and right edges fall of a thing ``width`` mm wide, drawn at a place.

        It keeps its size unless it is ``stretched``: then each edge is carried.
        """
        marks = self.stations
        return self._span(at, width, self.x(at), fit=self.fit.x, marks=marks, stretched=stretched)

    def span_up(self, at: Position, height: float, *, stretched: bool) -> tuple[float, float]:
        """Return where the lower and upper edges fall of a thing ``height`` mm high."""
        marks = self.heights
        return self._span(at, height, self.y(at), fit=self.fit.y, marks=marks, stretched=stretched)

    def _span(
        self,
        at: Position,
        size: float,
        place: float,
        *,
        fit: AxisFit,
        marks: Mapping[str, float],
        stretched: bool,
    ) -> tuple[float, float]:
        offset = self.scale.to_model(at.offset)
        if stretched:
            return stretched_span(at, offset, place, size, fit)
        return carried_span(at, offset, place, size, fit=fit, held=held_places(marks))

    def point(self, at: tuple[Position, Position]) -> Point:
        """Return where a pair of positions falls on the panel as built."""
        if self.rolled is not None:
            return self.rolled.point(self.x(at[0]), at[1])
        place = Point(self.x(at[0]), self.y(at[1]))
        return place if self.gored is None else self.gored.point(place)

    def line_at(self, height: Position, start: float | None, end: float | None) -> Contour | None:
        """Return the line at a height where that is not straight; None where it is."""
        return None if self.rolled is None else self.rolled.line(height, start, end)

    def ring_at(
        self, station: Position, low: Position | None, high: Position | None
    ) -> Contour | None:
        """Return the line up the panel at a station where that is not straight; None where it is."""
        return None if self.rolled is None else self.rolled.ring(self.x(station), low, high)

    def stretch(
        self, start: Position | None, end: Position | None, *, upright: bool
    ) -> Outline | None:
        """Return what lies from one station, or height, to another where those are not straight.

        None where they are.
        """
        if self.rolled is None:
            return None
        if upright:
            return self.rolled.stretch(None, None, start, end)
        left, right = (None if p is None else self.x(p) for p in (start, end))
        return self.rolled.stretch(left, right, None, None)

    def tilt(self, at: Point) -> float:
        """Return how far a level line is turned at a point of the panel, in radians."""
        return 0.0 if self.rolled is None else self.rolled.tilt(at)

    def reach(self, station: Position, start: Position | None, start_x: float) -> float:
        """Return how far over the panel a station lies from another, which falls at ``start_x``."""
        if self.rolled is not None and start is not None:
            return self.run(start, station)
        return self.x(station) - start_x

    def run(self, start: Position, end: Position) -> float:
        """Return how far it is over the panel, in mm, from one station to another."""
        x0, x1 = self.x(start), self.x(end)
        return x1 - x0 if self.rolled is None else self.rolled.run(x0, x1)


def _placed(
    position: Position, scale: Scale, marks: dict[str, float], fit: AxisFit, origin: float
) -> float:
    offset = scale.to_model(position.offset)
    if position.datum is not None:
        if position.datum not in marks:
            raise not_found(position.datum)
        return marks[position.datum] + offset
    # A bare size on the model is measured on the panel as built; a drawn one is fitted.
    return origin + offset if position.offset.on_model else fit(offset)


def zero_counted_from(origin: Point, box: Bounds) -> Point:
    """Return where sizes count from on a panel whose outline as built has its 0, 0 at ``origin``."""
    x, y = (v if abs(v) > ORIGIN_MM else 0.0 for v in origin)
    is_on_it = 0.0 <= x <= box.width + ORIGIN_MM and 0.0 <= y <= box.height + ORIGIN_MM
    return Point(x, y) if is_on_it else ORIGIN


def is_in_metric(entry: object) -> bool:
    """Return whether any size of the prototype in an entry is no whole number of 1/128 inch.

    A size of 0 is in no unit.
    """
    if isinstance(entry, Length):
        is_of_prototype = bool(entry.exact) and not entry.on_model
        return is_of_prototype and write_length(entry).endswith("mm")
    if isinstance(entry, Position):
        return is_in_metric(entry.offset)
    if isinstance(entry, Entry):
        return is_in_metric(tuple(vars(entry).values()))
    if isinstance(entry, Mapping):
        return is_in_metric(tuple(entry.values()))
    return isinstance(entry, tuple | list) and any(map(is_in_metric, entry))
