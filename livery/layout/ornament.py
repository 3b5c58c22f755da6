"""Corner ornaments and closed figures: a path set at corners, turned over to suit, or at a place."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from fontTools.misc.transform import Identity, Transform

from livery.describe.entries.lining import Ornament
from livery.describe.entries.names import CornerName
from livery.describe.values import Position
from livery.findings import Finding, LiveryError
from livery.geometry.boolean import intersection, union
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.path_text import orient, read_path
from livery.layout.drawn_shape import refuse_faulty_outline
from livery.layout.ground import Ground
from livery.layout.lining import LaidLining
from livery.layout.piece import Piece, PieceKind, entry_title
from livery.units import read_length


def lay_ornament(
    entry: Ornament, key: str, ground: Ground, laid: Mapping[str, LaidLining], level: int
) -> Piece:
    """Return the piece of an ornament at all its places; raise LiveryError where its path is faulty."""
    frame = ground.frame
    unit = frame.scale.to_model(read_length(f"1 {entry.unit}"))
    contours = read_path(entry.path, Transform(unit, 0, 0, unit, 0, 0))
    refuse_faulty_outline(contours, f"{key}.path", frame.scale)
    figure = orient(Outline(contours))
    placed = [figure.transformed(t) for t in _places(entry, key, ground, laid, figure)]
    outline = intersection(union(*placed), frame.outline)
    if not outline:
        message, remedy = "nothing of this ornament is on the panel", "Check its place and path."
        raise LiveryError([Finding("off-panel", message, remedy, key=key)], exit_status=1)
    name = entry_title(key)
    return Piece(
        frame.name, name, PieceKind.LINING, entry.paint, entry.process, level, outline, key
    )


def _places(
    entry: Ornament, key: str, ground: Ground, laid: Mapping[str, LaidLining], figure: Outline
) -> Iterator[Transform]:
    if entry.at is not None:
        yield _at_place(entry, entry.at, ground, figure)
        return
    inset = 0.0 if entry.inset is None else ground.frame.scale.to_model(entry.inset)
    around = (laid[entry.round].inner_edge,) if entry.round in laid else ground.named(entry.round)
    if not any(around):
        message = f'"{entry.round}" does not close on itself, so it has no corners inside'
        remedy = "Name a lining that runs all the way round, or write at = [ … ]."
        raise LiveryError([Finding("ornament", message, remedy, key=f"{key}.round")])
    for outline in around:
        for name in entry.corners:
            yield _at_corner(name, bounds(outline), inset)


def _at_place(
    entry: Ornament, at: tuple[Position, Position], ground: Ground, figure: Outline
) -> Transform:
    """Return the move of a figure to its place: its origin, or the edge that the place names."""
    place = ground.frame.point(at)
    turn = Identity.rotate(math.radians(entry.turned))
    box = bounds(figure.transformed(turn))
    across, up = (position.share for position in at)
    x = 0.0 if across is None else box.left + across * box.width
    y = 0.0 if up is None else box.bottom + up * box.height
    return Identity.translate(place.x - x, place.y - y).transform(turn)


def _at_corner(name: CornerName, box: Bounds, inset: float) -> Transform:
    right, top = name.endswith("right"), name.startswith("top")
    at = Point(
        box.right - inset if right else box.left + inset,
        box.top - inset if top else box.bottom + inset,
    )
    return Identity.translate(at.x, at.y).scale(-1 if right else 1, -1 if top else 1)
