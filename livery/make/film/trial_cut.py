"""A test cut for each film: one letter, the finest line and a square, at the settings of the job.

Cut it on the edge of the film before the first sheet: the letter shows whether it weeds, the line
whether it holds, the square whether the knife's corners meet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fontTools.misc.transform import Identity

from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.parts import parts_of
from livery.geometry.shapes import rectangle
from livery.geometry.stripe_line import stripe_line
from livery.layout.piece import PieceKind
from livery.make.film.cut_part import CutPart
from livery.make.film.film_kit import FilmKit
from livery.make.film.film_sheets import film_sheets
from livery.make.film.laid_sheet import FilmSheet
from livery.rounding import rounded_value

LINE_MM, SQUARE_MM = 60.0, 10.0
"""The length of the line and the side of the square of a trial cut, in millimetres (chosen: long
enough to lay). Larger ones take more film."""
PLAIN_LINE_MM = 1.0
"""The width of the line where no lining is cut of the film, in millimetres (chosen). Larger is
easier to lay than what follows."""


def trial_cut_name(film: FilmKit) -> str:
    """Return the name of a film's test cut."""
    return f"test-cut-{film.name}".replace(" ", "-")


def trial_cuts(parts: Sequence[CutPart]) -> tuple[FilmSheet, ...]:
    """Return a sheet to try each film that parts are cut of."""
    films: dict[FilmKit, list[CutPart]] = {}
    for part in (p for p in parts if not p.is_printed):
        films.setdefault(part.film, []).append(part)
    return tuple(
        sheet
        for film, own in films.items()
        for sheet in film_sheets(_tried(own), base=trial_cut_name(film))
    )


def finest_line(parts: Sequence[CutPart]) -> float | None:
    """Return the width of the finest line that is cut, in mm; None where no line is."""
    lines = [stripe_line(p.outline) for p in parts if p.piece.kind is PieceKind.LINING]
    return min((line.width_mm for line in lines if line is not None), default=None)


def _tried(parts: Sequence[CutPart]) -> list[CutPart]:
    line = rectangle(LINE_MM, finest_line(parts) or PLAIN_LINE_MM)
    shapes = [("line", line), ("square", rectangle(SQUARE_MM, SQUARE_MM, Point(0.0, 5.0)))]
    letter = _letter(parts)
    if letter is not None:
        shapes.insert(0, ("letter", letter))
    film, piece = parts[0].film, replace(parts[0].piece, paint="test cut", mirrored=False)
    return [
        CutPart(i, replace(piece, name=name, outline=shape), name, shape, Identity, film=film)
        for i, (name, shape) in enumerate(shapes, start=1)
    ]


def _letter(parts: Sequence[CutPart]) -> Outline | None:
    """Return the letter hardest to cut: of the smallest lettering, that of the most nodes."""
    words = [p.outline for p in parts if p.piece.kind is PieceKind.LETTERING]
    if not words:
        return None
    letters = parts_of(min(words, key=lambda o: rounded_value(bounds(o).height, 3)))
    return max(letters, key=lambda o: (o.node_count, -rounded_value(bounds(o).left, 3)))
