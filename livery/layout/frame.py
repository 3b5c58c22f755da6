"""The frame of a panel: its outline as drawn and as built, and where a position falls on it.

As built, the origin is the bottom left corner of the panel's bounding rectangle,
from which a fitter would measure.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from livery.describe.entries.panel import DatumEntry, Panel
from livery.describe.entries.shape import AsBuilt
from livery.describe.values import Position
from livery.findings import Finding
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.layout.drawn_shape import drawn_outline, translated
from livery.layout.fit import (
    AxisFit,
    Fit,
    fit_outline,
    is_rising,
    take_between,
    take_in_proportion,
    take_in_the_middle,
)
from livery.units import Scale


@dataclass(frozen=True)
class Frame:
    """A panel's outline at scale (``drawn``) and as built, and the map between the two.

    ``marks`` are the named places as built: a station's x or a height's y, in mm.
    """

    name: str
    scale: Scale
    drawn: Outline
    outline: Outline
    fit: Fit
    stations: dict[str, float]
    heights: dict[str, float]
    findings: tuple[Finding, ...] = field(default=())

    @property
    def extent(self) -> Bounds:
        """The bounding rectangle of the panel as built."""
        return bounds(self.outline)

    def x(self, position: Position) -> float:
        """Return where a position falls across the panel as built, in mm."""
        return _placed(position, self.scale, self.stations, self.fit.x)

    def y(self, position: Position) -> float:
        """Return where a position falls up the panel as built, in mm."""
        return _placed(position, self.scale, self.heights, self.fit.y)

    def point(self, at: tuple[Position, Position]) -> Point:
        """Return where a pair of positions falls on the panel as built."""
        return Point(self.x(at[0]), self.y(at[1]))


def _placed(position: Position, scale: Scale, marks: dict[str, float], fit: AxisFit) -> float:
    offset = scale.to_model(position.offset)
    if position.datum is not None:
        return marks[position.datum] + offset
    # A bare size on the model is measured on the panel as built; a drawn one is fitted.
    return offset if position.offset.on_model else fit(offset)


def make_frame(name: str, panel: Panel, scale: Scale, folder_of: Callable[[str], Path]) -> Frame:
    """Bring a panel to scale and fit it to its sizes as built.

    ``folder_of`` gives the folder that file names under a dotted key are relative to.
    """
    key = f"panel.{name}"
    drawn = drawn_outline(panel.outline, scale, folder_of(f"{key}.outline"), f"{key}.outline")
    box = bounds(drawn)
    as_built = panel.as_built
    built = None
    if as_built.has_outline:
        built = drawn_outline(as_built, scale, folder_of(f"{key}.as_built"), f"{key}.as_built")
        corner = bounds(built)
        built = translated(built, -corner.left, -corner.bottom)
    width, height = _built_sizes(as_built, built, box)
    x_knots = _knots(panel, "station", scale, (box.left, box.right, width))
    y_knots = _knots(panel, "height", scale, (box.bottom, box.top, height))
    fit = Fit(
        _axis(panel.take_up.width, x_knots, scale), _axis(panel.take_up.height, y_knots, scale)
    )
    found = [_order_fault(key, a, w) for a, w in ((fit.x, "stations"), (fit.y, "heights"))]
    findings = tuple(f for f in found if f is not None)
    outline = built or fit_outline(drawn, fit)
    return Frame(
        name,
        scale,
        drawn,
        outline,
        fit,
        _marks(panel.datum, "station", scale, fit.x) | _edges(outline, across=True),
        _marks(panel.datum, "height", scale, fit.y) | _edges(outline, across=False),
        findings,
    )


def _built_sizes(as_built: AsBuilt, built: Outline | None, drawn: Bounds) -> tuple[float, float]:
    measured = bounds(built) if built is not None else drawn
    width = as_built.width.mm if as_built.width is not None else measured.width
    height = as_built.height.mm if as_built.height is not None else measured.height
    return width, height


def _knots(
    panel: Panel, kind: str, scale: Scale, edge: tuple[float, float, float]
) -> list[tuple[float, float]]:
    """Return the pairs (drawn, built) that the panel's edges and datums give for one axis."""
    low, high, built_size = edge
    knots = {low: 0.0, high: built_size}
    for datum in panel.datum.values():
        place = getattr(datum, kind)
        if place is not None and datum.built is not None:
            knots[scale.to_model(place)] = datum.built.mm
    return sorted(knots.items())


def _axis(
    take_up: str | tuple[Position, Position], knots: list[tuple[float, float]], scale: Scale
) -> AxisFit:
    if take_up == "in proportion":
        return take_in_proportion(knots)
    if take_up == "in the middle":
        return take_in_the_middle(knots)
    start, end = (scale.to_model(p.offset) for p in take_up if isinstance(p, Position))
    return take_between(knots, start, end)


def _order_fault(key: str, axis: AxisFit, what: str) -> Finding | None:
    if is_rising(axis):
        return None
    return Finding(
        "fit-order",
        f"as built, the {what} of this panel do not come in the order they are drawn in",
        "Check the built sizes of its datums and of the panel itself against each other.",
        key=key,
    )


def _marks(
    datums: dict[str, DatumEntry], kind: str, scale: Scale, fit: AxisFit
) -> dict[str, float]:
    marks = {}
    for name, datum in datums.items():
        place = getattr(datum, kind)
        if place is not None:
            marks[name] = fit(scale.to_model(place))
    return marks


def _edges(outline: Outline, *, across: bool) -> dict[str, float]:
    box = bounds(outline)
    if across:
        return {"left": box.left, "centre": box.centre.x, "right": box.right}
    return {"bottom": box.bottom, "middle": box.centre.y, "top": box.top}
