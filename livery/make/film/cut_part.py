"""One part to cut and lay: where it lies on its panel, and how it is cut."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise, starmap
from typing import TYPE_CHECKING

from fontTools.misc.transform import Identity, Transform

from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.outline import Contour, Outline, Point, chain
from livery.layout.piece import Piece
from livery.make.film.film_kit import FilmKit
from livery.process import Process
from livery.rounding import on_grid
from livery.work_cache import kept

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

NARROW_MM = 40.0
"""A part that lies with its marks within so narrow a strip, in millimetres, is held by all of it
(chosen: a strip of carrier is cut straight). Larger, and more film lies within a part's bend."""


@dataclass(frozen=True, slots=True)
class CutPart:
    """One part to cut and lay.

    ``number`` is its place in the order of laying, counted through the job.  ``outline``
    is where it lies on its panel, past the edges of the metal where it is trimmed or wrapped;
    ``turn`` carries it from there to the way it is cut: mirrored for the back of glass, a
    slanting strip laid level.  ``register`` are marks cut with it, shared with the
    layers of one design or the strands beside it: it is laid to those laid before.  ``relief`` are slits in it, over rivets.
    ``vehicle`` is the one it is for, where the job has several.  ``past_edges_mm`` is how far
    it runs past the metal, 0 where it does not.
    """

    number: int
    piece: Piece
    name: str
    outline: Outline
    turn: Transform
    film: FilmKit
    register: tuple[Contour, ...] = ()
    vehicle: str = ""
    past_edges_mm: float = 0.0
    relief: tuple[Contour, ...] = ()
    run: int = 0
    """Which run of a word it is, from 1, where one paper does not take the whole word."""

    is_parted: bool = False
    """Whether its film does not take its design whole, and it is one of several parts of it."""

    @property
    def is_printed(self) -> bool:
        """Whether it is printed, and not cut of film."""
        return self.piece.process is Process.DECAL

    @property
    def shape(self) -> Outline:
        """The part as it is cut, not yet placed on the film."""
        return self.outline if self.turn == Identity else self.outline.transformed(self.turn)

    @property
    def footprint(self) -> Outline:
        """What it takes of the film: its shape, and all between it and its marks."""
        marks = tuple(c.transformed(self.turn) for c in self.register)
        return _carried(self.shape, marks) if marks else self.shape


@kept
def _carried(shape: Outline, marks: tuple[Contour, ...]) -> Outline:
    """Return a shape with the carrier that holds it and its marks together.

    A narrow one is held by all that is within them, a wide one by a bridge to each mark.
    """
    import shapely

    own = to_shapely(shape)
    lines = [to_line_string(mark) for mark in marks]
    every = shapely.GeometryCollection([own, *lines])
    held = every.convex_hull
    if _least_side(held) > NARROW_MM:
        held = own
        for line in lines:
            nearest = shapely.get_point(shapely.shortest_line(line, own), 1)
            about = nearest.buffer(2.0 * line.length, quad_segs=2)
            held |= shapely.union_all([line, own & about]).convex_hull
    held = shapely.union_all([shapely.Polygon(p.exterior) for p in shapely.get_parts(held)])
    whole = held if held.geom_type == "Polygon" else every.convex_hull
    outside = shapely.geometry.polygon.orient(shapely.Polygon(shapely.get_exterior_ring(whole)))
    ring = shapely.transform(outside.exterior, on_grid)
    return Outline((chain(starmap(Point, ring.coords[:-1])),))


def _least_side(shape: BaseGeometry) -> float:
    import shapely

    sides = shapely.get_coordinates(shapely.oriented_envelope(shape))[:3]
    return min(math.dist(a, b) for a, b in pairwise(sides))
