"""One part to cut and lay: where it lies on its panel, and how it is cut."""

from __future__ import annotations

from dataclasses import dataclass

from fontTools.misc.transform import Identity, Transform

from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Outline, Point
from livery.geometry.shapes import rectangle
from livery.layout.piece import Piece
from livery.make.film.film_kit import FilmKit
from livery.process import Process


@dataclass(frozen=True, slots=True)
class CutPart:
    """One part to cut and lay.

    ``number`` is its place in the order of laying, counted through the job.  ``outline``
    is where it lies on its panel, past the edges of the metal where it is trimmed or wrapped;
    ``turn`` carries it from there to the way it is cut: mirrored for the back of glass, a
    slanting strip laid level.  ``register`` are marks cut with it, the same for every layer of
    one design: it is laid to those laid before.  ``relief`` are slits in it, over rivets.
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
        """What it takes of the film: its shape, or the block that holds it and its marks."""
        if not self.register:
            return self.shape
        marks = Outline(tuple(c.transformed(self.turn) for c in self.register))
        ink, round_it = bounds(self.shape), bounds(marks)
        left, bottom = min(ink.left, round_it.left), min(ink.bottom, round_it.bottom)
        right, top = max(ink.right, round_it.right), max(ink.top, round_it.top)
        return rectangle(right - left, top - bottom, Point(left, bottom))
