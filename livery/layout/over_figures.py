"""Words and ornaments that run over other words or ornaments of their panel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds, boxes_overlap
from livery.layout.piece import Piece, entry_kind

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

OVER_MM2 = 0.01
"""Less of one figure over another, in square millimetres, is rounding (chosen: a speck of
0.1 mm). Larger, and letters that run into each other pass."""


def over_figures(figures: Sequence[Piece], below: Sequence[Piece]) -> Iterator[Finding]:
    """Warn of the first entry laid before that the pieces of an entry run over.

    What lies wholly on one colour that shows, as words on a ribbon do, is meant to lie there.
    """
    import shapely

    boxes = [bounds(piece.outline) for piece in figures]
    ink: BaseGeometry | None = None
    laid = [piece for piece in below if entry_kind(piece.key) in ("lettering", "ornament")]
    for _, own in groupby(laid, lambda piece: piece.key):
        pieces = list(own)
        if not any(boxes_overlap(box, bounds(piece.outline)) for box in boxes for piece in pieces):
            continue
        if ink is None:
            ink = shapely.union_all([to_shapely(piece.outline) for piece in figures])
        shapes = [to_shapely(piece.outline) for piece in pieces]
        covered = [ink.intersection(shape) for shape in shapes]
        over = next((i for i, region in enumerate(covered) if region.area > OVER_MM2), None)
        if over is None or _is_on_one_colour(ink, shapes):
            continue
        place = covered[over].representative_point()
        yield Finding(
            "over-figures",
            f"it runs over {pieces[over].name}",
            "Move or reduce one or the other, if it is not meant.",
            Severity.WARNING,
            figures[0].key,
            where_mm=(place.x, place.y),
        )
        return


def _is_on_one_colour(ink: BaseGeometry, shapes: Sequence[BaseGeometry]) -> bool:
    """Return whether all ink lies on what shows of one of an entry's shapes, the lowest first."""
    import shapely

    for i, shape in enumerate(shapes):
        shown = shape.difference(shapely.union_all(shapes[i + 1 :]))
        if ink.difference(shown).area <= OVER_MM2:
            return True
    return False
