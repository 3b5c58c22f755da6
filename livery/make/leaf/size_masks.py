"""Masks for gold size: film with the letters cut out of it, to lay size and leaf within.

Each entry has a mask of its own, a rectangle with its letters as openings, carried over in one so
that what stands within a letter keeps its place.  A design larger than the film is cut letter by
letter; one of which a letter is larger has no mask.  Lines have none: they are sized along tape, or by a striping brush.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from fontTools.misc.transform import Identity, Transform

from livery.describe.entries.description import DescriptionModel
from livery.geometry.boolean import difference, union
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.parts import parts_of
from livery.geometry.shapes import rectangle
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import Plan
from livery.make.film.cut_part import CutPart
from livery.make.film.film_kit import FilmKit, film_for, mask_film_kit
from livery.process import Process

ROUND_MM = 10.0
"""How far a mask runs past its letters, in millimetres (chosen: room for the brush to run over on
to it). Larger takes more film."""

MASKED = (PieceKind.LETTERING, PieceKind.SHADE, PieceKind.ARTWORK)


def size_mask_parts(plan: Plan, model: DescriptionModel) -> tuple[CutPart, ...]:
    """Return the masks to cut for all lettering and artwork in leaf, numbered from 1."""
    found: list[CutPart] = []
    for panel in plan.panels:
        groups: dict[str, list[Piece]] = {}
        for piece in panel.pieces:
            if piece.process is Process.LEAF and piece.kind in MASKED and piece.outline:
                groups.setdefault(piece.key, []).append(piece)
        for group in groups.values():
            found += _masks(group, model, len(found))
    return tuple(found)


def mask_film(paint: str, model: DescriptionModel) -> FilmKit:
    """Return the film that a leaf's masks are cut of: its own, or the mask film of the job."""
    name, film = model.film_of(paint)
    if name and paint in film.paints:
        return film_for(paint, model)
    return mask_film_kit(model)


def _masks(group: Sequence[Piece], model: DescriptionModel, before: int) -> Iterator[CutPart]:
    """Yield a mask of each leaf of a design, all of one size, or of each letter by itself."""
    film = mask_film(group[0].paint, model)
    whole = _block(union(*(piece.outline for piece in group)))
    group = _by_leaf(group)
    if _fits(whole, film):
        for i, piece in enumerate(group, start=before + 1):
            yield _mask(piece, piece.name, difference(whole, piece.outline), film, number=i)
        return
    number = before
    for piece in group:
        letters = sorted(parts_of(piece.outline), key=lambda part: round(bounds(part).left, 3))
        blocks = [_block(letter) for letter in letters]
        if not all(_fits(block, film) for block in blocks):
            continue
        for i, (letter, block) in enumerate(zip(letters, blocks, strict=True), start=1):
            number += 1
            name = f"{piece.name}, no. {i}"
            yield _mask(piece, name, difference(block, letter), film, number=number)


def _by_leaf(group: Sequence[Piece]) -> list[Piece]:
    """Return pieces of one design, those of one leaf as one."""
    leaves: dict[str, list[Piece]] = {}
    for piece in group:
        leaves.setdefault(piece.paint, []).append(piece)
    return [
        replace(own[0], outline=union(*(piece.outline for piece in own)))
        if len(own) > 1
        else own[0]
        for own in leaves.values()
    ]


def _block(outline: Outline) -> Outline:
    box = bounds(outline)
    at = Point(box.left - ROUND_MM, box.bottom - ROUND_MM)
    return rectangle(box.width + 2.0 * ROUND_MM, box.height + 2.0 * ROUND_MM, at)


def _fits(block: Outline, film: FilmKit) -> bool:
    box = bounds(block)
    return film.has_room_for(box.width, box.height)


def _mask(piece: Piece, name: str, outline: Outline, film: FilmKit, *, number: int) -> CutPart:
    turn = Transform(-1, 0, 0, 1, 0, 0) if piece.mirrored else Identity
    return CutPart(number, piece, name, outline, turn, film=film)
