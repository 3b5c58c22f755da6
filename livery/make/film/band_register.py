"""Strands of one band cut to common register marks, so that they are laid true to each other.

Each strand is cut of a film of its own.  What lies side by side makes a block: its parts share
marks round all of them, are cut with them in the same place, and are laid in turn over them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour
from livery.layout.piece import PieceKind
from livery.make.film.cut_part import CutPart
from livery.make.film.register import marks_round

NEAR_MM = 10.0
"""Strands further apart than this, in millimetres, are set out by themselves (chosen: no eye
compares their gap). Larger, and more strands have marks to lay them by."""

CLEAR_MM = 3.0
"""How far register marks stand from what they are for, in millimetres (chosen). Larger, and parts
take more film."""
ARM_MM = 2.0
"""The arm of a register mark, in millimetres (chosen: seen without a glass). Larger, and parts take
more film."""


def in_register(parts: Sequence[CutPart]) -> list[CutPart]:
    """Return the parts of a panel, those of bands with the marks of their block.

    A block that its film cannot take with its marks is left as it is.
    """
    made = list(parts)
    bands: dict[str, list[int]] = {}
    for i, part in enumerate(parts):
        if part.piece.kind is PieceKind.LINING and part.film.has_marks and not part.is_printed:
            bands.setdefault(part.piece.key, []).append(i)
    for own in bands.values():
        for block in side_by_side(parts, own):
            marked = _marked([parts[i] for i in block])
            for i, part in zip(block, marked, strict=True):
                made[i] = part
    return made


def side_by_side(parts: Sequence[CutPart], own: Sequence[int]) -> list[list[int]]:
    """Return the parts of a band that lie side by side, those of its first strand leading."""
    import shapely

    levels = list(dict.fromkeys(parts[i].piece.level for i in own))
    if len(levels) < 2:
        return []
    leading = [i for i in own if parts[i].piece.level == levels[0]]
    shapes = [to_shapely(parts[i].outline) for i in leading]
    blocks = [[i] for i in leading]
    for i in own:
        if i in leading:
            continue
        shape = to_shapely(parts[i].outline)
        # Beside most of it: strips of the next strand end elsewhere, and touch two.
        beside = [shape.intersection(s.buffer(NEAR_MM)).area for s in shapes]
        best = max(range(len(leading)), key=lambda n: (round(beside[n], 3), -n))
        if beside[best] > 0.0 and shapely.dwithin(shape, shapes[best], NEAR_MM):
            blocks[best].append(i)
    return [block for block in blocks if len(block) > 1]


def _marked(block: Sequence[CutPart]) -> list[CutPart]:
    """Return the parts of a block, all turned as the first is, with its marks."""
    turn = block[0].turn
    laid = [part.outline.transformed(turn) for part in block]
    back = turn.inverse()
    marks = marks_round([laid], CLEAR_MM, ARM_MM)
    lines: tuple[Contour, ...] = tuple(
        line.transformed(back) for mark in marks for line in mark.lines
    )
    made = [replace(part, turn=turn, register=lines) for part in block]
    return made if all(_fits(part) for part in made) else list(block)


def _fits(part: CutPart) -> bool:
    box = bounds(part.footprint)
    return part.film.has_room_for(box.width, box.height)
