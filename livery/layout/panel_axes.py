"""The two axes of a panel: what was drawn and measured along each, and the maps that follow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from livery.describe.entries.panel import Panel
from livery.describe.values import Position
from livery.findings import Finding, LiveryError, not_found
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import ORIGIN
from livery.layout.first_hand import Turned
from livery.layout.fit import (
    AxisFit,
    PanelFit,
    take_between,
    take_in_proportion,
    take_in_the_middle,
)
from livery.layout.sheet import DevelopedSheet
from livery.units import Scale

Knots = dict[float, float]
"""Where places are as built, in mm, by where they are drawn at scale."""


@dataclass(frozen=True)
class PanelAxis:
    """One axis of a panel: its ends, the ends of its sheet's faces, and its datums.

    ``kind`` is what its datums are, "station" or "height"; ``low`` and ``high`` its ends as
    drawn at scale, ``built`` its length as built.  ``starts`` is where each datum was measured from,
    ``turned`` are those measured from the other end.
    """

    kind: str
    low: float
    high: float
    built: float
    of_sheet: tuple[tuple[float, float], ...]
    starts: Mapping[str, float]
    turned: frozenset[str]

    @property
    def of_metal(self) -> Knots:
        """The ends of the panel and of its faces: what the metal itself gives."""
        return dict(self.of_sheet) or {self.low: 0.0, self.high: self.built}

    def drawn_datums(self, panel: Panel, scale: Scale) -> dict[str, float]:
        """Return where the panel's datums along this axis are drawn, at scale."""
        own = ((n, getattr(d, self.kind)) for n, d in panel.datum.items())
        return {n: scale.to_model(p) for n, p in own if p is not None}

    def measured(self, name: str, at: float) -> float:
        """Return what one would measure for a datum at a place as built; and the other way about."""
        if name in self.turned:
            return self.built - self.starts[name] - at
        return at - self.starts[name]

    def placed(self, name: str, measured: float) -> float:
        """Return the place as built of a datum that was measured so."""
        at = self.starts[name] + measured
        return self.built - at if name in self.turned else at

    def knots(self, panel: Panel, scale: Scale) -> Knots:
        """Return the pairs that ends, faces and measured datums give."""
        knots = self.of_metal
        for name, drawn in self.drawn_datums(panel, scale).items():
            built = panel.datum[name].built
            if built is not None:
                knots[drawn] = self.placed(name, built.mm)
        return knots


def panel_axes(
    panel: Panel,
    sheet: DevelopedSheet,
    built: tuple[float, float],
    corner: Point,
    turned: Turned,
    *,
    way: float | None,
) -> tuple[PanelAxis, PanelAxis]:
    """Return a panel's axes across and up; ``built`` is how wide and high its metal is.

    ``way`` is how far stations run over it, if that is not from its left to its right.
    """
    box = bounds(sheet.outline)
    first, own = origins(corner, turned)
    from_x, from_y = (
        {name: here if name in turned.own else there for name in panel.datum}
        for there, here in zip(first, own, strict=True)
    )
    low, high, wide = (box.left, box.right, built[0]) if way is None else (0.0, way, way)
    across = PanelAxis(
        "station",
        low=low,
        high=high,
        built=wide,
        of_sheet=sheet.x_knots,
        starts=from_x,
        turned=turned.stations,
    )
    up = PanelAxis(
        "height",
        low=box.bottom,
        high=box.top,
        built=built[1],
        of_sheet=sheet.y_knots,
        starts=from_y,
        turned=turned.heights,
    )
    return across, up


def panel_fits(
    panel: Panel, axes: tuple[PanelAxis, PanelAxis], outline: Outline, scale: Scale, key: str
) -> tuple[PanelFit, PanelFit]:
    """Return how what is drawn is carried onto the metal, and where the metal itself lies.

    The first runs between ends and datums.  The second knows no datums, which are measured to
    paint by and move no bend and no axis: places that a sheet names itself follow it.
    """
    across, up = axes
    box = bounds(outline)
    x_marks = {"left": box.left, "centre": box.centre.x, "right": box.right}
    y_marks = {"bottom": box.bottom, "middle": box.centre.y, "top": box.top}
    drawn, metal = [], []
    for axis, marks, way in ((across, x_marks, "width"), (up, y_marks, "height")):
        marks |= axis.drawn_datums(panel, scale)
        take_up, own_key = getattr(panel.take_up, way), f"{key}.take_up.{way}"
        drawn.append(_axis(take_up, axis.knots(panel, scale), marks, scale, own_key))
        if panel.sheet is not None and panel.sheet.faces is None:
            take_up = "in proportion"  # a rolled sheet is as round everywhere
        metal.append(_axis(take_up, axis.of_metal, marks, scale, own_key))
    return PanelFit(*drawn), PanelFit(*metal)


def origins(corner: Point, turned: Turned) -> tuple[Point, Point]:
    """Return where sizes are counted from: on this hand, and as the first hand is seen."""
    return (ORIGIN, corner) if turned.outline else (corner, ORIGIN)


def _axis(
    take_up: str | tuple[Position, Position],
    pairs: Knots,
    marks: dict[str, float],
    scale: Scale,
    key: str,
) -> AxisFit:
    knots = sorted(pairs.items())
    if take_up == "in proportion":
        return take_in_proportion(knots)
    if take_up == "in the middle":
        return take_in_the_middle(knots)
    if len(knots) > 2:
        message = "datums with built sizes say already where the difference is taken"
        remedy = "Leave out take_up, or the built sizes of the datums."
        raise LiveryError([Finding("take-up", message, remedy, key=key)])
    start, end = sorted(_as_drawn(p, marks, scale) for p in take_up if isinstance(p, Position))
    return take_between(knots, start, end)


def _as_drawn(position: Position, marks: dict[str, float], scale: Scale) -> float:
    """Return where a position is on the drawing at scale, in mm."""
    if position.datum is not None and position.datum not in marks:
        raise not_found(position.datum)
    return scale.to_model(position.offset) + (marks[position.datum] if position.datum else 0.0)
