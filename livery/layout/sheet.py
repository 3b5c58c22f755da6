"""A sheet that is not flat, developed at scale: its outline and the places it names.

Folded sheets and cylinders unroll to a plane on which stations and heights run straight;
a cone does not, and brings the map that carries them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from livery.findings import Finding, LiveryError
from livery.geometry.outline import Contour, Line, Outline, Point
from livery.layout.fit import PanelFit
from livery.surfaces.surface import FLAT, Surface

if TYPE_CHECKING:
    from livery.layout.gored import Gored
    from livery.layout.rolled import Rolled


class Guide(NamedTuple):
    """A line to mark on a template, with what it is; a bend's centre line is not ``firm``."""

    label: str
    contour: Contour
    firm: bool = True

    def fitted(self, fit: PanelFit) -> Guide:
        """Return a guide of straight lines where it falls on the panel as built."""
        lines = (Line(fit(s.start), fit(s.end)) for s in self.contour.segments)
        return self._replace(contour=Contour(tuple(lines), self.contour.closed))


class SheetSize(NamedTuple):
    """A size of the developed sheet at scale, in mm, and the stretch of the drawing it grows with.

    ``across`` and ``up`` are where the stretch begins and ends; with neither the size stays.
    """

    what: str
    at_scale: float
    across: tuple[float, float] | None = None
    up: tuple[float, float] | None = None

    def fitted(self, fit: PanelFit) -> float:
        """Return the size on the metal, in mm: it grows by as much as its stretch does."""
        grown = 0.0
        for stretch, axis in ((self.across, fit.x), (self.up, fit.y)):
            if stretch is not None:
                start, end = stretch
                grown += axis(end) - axis(start) - (end - start)
        return self.at_scale + grown


@dataclass(frozen=True)
class DevelopedSheet:
    """A sheet laid flat at scale, in the drawing's coordinates.

    ``stations`` and ``heights`` are the places it names; ``x_knots`` and ``y_knots`` pairs
    of a place as drawn and as built; ``surface`` is where it is in space, at scale.
    """

    outline: Outline
    stations: Mapping[str, float] = field(default_factory=dict)
    heights: Mapping[str, float] = field(default_factory=dict)
    x_knots: tuple[tuple[float, float], ...] = ()
    y_knots: tuple[tuple[float, float], ...] = ()
    guides: tuple[Guide, ...] = ()
    sizes: tuple[SheetSize, ...] = ()
    rolled: Rolled | None = None
    gored: Gored | None = None
    notes: tuple[Finding, ...] = ()
    surface: Surface = FLAT


def wrong_sheet(message: str, remedy: str, key: str) -> LiveryError:
    """Return the error of a sheet that cannot be developed."""
    return LiveryError([Finding("sheet", message, remedy, key=key)])


def straight_guide(label: str, start: Point, end: Point, *, firm: bool = True) -> Guide:
    """Return a guide along a straight line."""
    return Guide(label, Contour((Line(start, end),), closed=False), firm)
