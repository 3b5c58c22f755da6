"""What is gilded: each design or line with its strips of leaf, in lots laid within the size's time."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from livery.geometry.measure import area, bounds, length
from livery.geometry.outline import Point
from livery.geometry.parts import parts_of
from livery.geometry.stripe_line import stripe_line
from livery.layout.piece import Piece
from livery.layout.plan import PanelPlan
from livery.make.leaf.tracing import place_on_metal
from livery.make.making import Making
from livery.make.quantities.needs import LeafBook, leaf_strips
from livery.process import Process


@dataclass(frozen=True, slots=True)
class GildedArea:
    """One piece of leaf: where it is, how large, and how its leaf is cut."""

    panel: str
    name: str
    paint: str
    area_mm2: float
    words: str


def gilded_areas(making: Making) -> tuple[GildedArea, ...]:
    """Return all that is gilded, panel by panel, in the order in which it is laid."""
    leaf = making.model.leaf
    book = LeafBook(leaf.leaves, leaf.side.mm)
    return tuple(
        _gilded(panel, piece, book)
        for panel in making.plan.panels
        for piece in panel.pieces
        if piece.process is Process.LEAF and piece.outline
    )


def _gilded(panel: PanelPlan, piece: Piece, book: LeafBook) -> GildedArea:
    box = bounds(piece.outline)
    mm2 = area(piece.outline)
    words = (
        f"{panel.name}, {piece.name}: {box.width:.0f} x {box.height:.0f} mm over all, its lower left "
        f"{place_on_metal(panel, Point(box.left, box.bottom))}; "
        f"{mm2 / 100:.1f} cm²; {_strip_words(piece, book)}"
    )
    return GildedArea(panel.name, piece.name, piece.paint, mm2, words)


def _strip_words(piece: Piece, book: LeafBook) -> str:
    """Return how leaf is cut for a piece: whole leaves, and strips with their widths."""
    cut = [leaf_strips(long, wide, book) for long, wide in _runs(piece)]
    whole = sum(count for _, a_leaf, count in cut if a_leaf == 1)
    strips = [(math.ceil(width), count) for width, a_leaf, count in cut if a_leaf > 1]
    words = []
    if strips:
        widths = sorted({width for width, _ in strips})
        wide = f"{widths[0]}" if len(widths) == 1 else f"{widths[0]} to {widths[-1]}"
        many = sum(count for _, count in strips)
        each = "1 strip" if many == 1 else f"{many} strips"
        words.append(f"{each} of leaf {wide} mm wide, {book.side_mm:g} mm long")
    if whole:
        words.append("1 whole leaf" if whole == 1 else f"{whole} whole leaves")
    return " and ".join(words)


def _runs(piece: Piece) -> Iterator[tuple[float, float]]:
    """Yield the length and the width of each run of leaf: each letter, or along each line."""
    for part in parts_of(piece.outline):
        stripe = stripe_line(part)
        if stripe is not None:
            yield length(stripe.centre), stripe.width_mm
            continue
        box = bounds(part)
        yield max(box.width, box.height), min(box.width, box.height)


def size_lots(
    areas: Sequence[GildedArea], open_h: float, mm2_an_hour: float
) -> tuple[tuple[GildedArea, ...], ...]:
    """Return what is sized together, in order: no more than is laid while the size takes leaf.

    What is larger by itself is a lot of its own.
    """
    most = open_h * mm2_an_hour
    lots: list[list[GildedArea]] = []
    held = 0.0
    for one in areas:
        if not lots or held + one.area_mm2 > most * (1.0 + 1e-9):
            lots.append([])
            held = 0.0
        lots[-1].append(one)
        held += one.area_mm2
    return tuple(map(tuple, lots))
