"""How far the left and right halves of a panel differ in everything visible on it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.layout.frame import Frame
from livery.layout.piece import Piece, PieceKind
from livery.layout.plan import PlacedKeepOut

WORDS = (PieceKind.LETTERING, PieceKind.SHADE)


def halves_differ(
    frame: Frame, pieces: Sequence[Piece], keep_outs: Sequence[PlacedKeepOut]
) -> float:
    """Return how far, at most, anything on a panel is from the mirror image of its like, in mm.

    Words are no mirror images of each other: their middles stand for them.
    """
    about = frame.extent.centre.x
    groups: dict[tuple[str, str], list[Outline]] = {}
    for piece in pieces:
        if piece.kind not in WORDS:
            groups.setdefault((piece.kind.value, piece.paint), []).append(piece.outline)
    for keep_out in keep_outs:
        groups.setdefault((keep_out.kind.value, keep_out.name), []).append(keep_out.outline)
    shapes = (_shape_differs(outlines, about) for outlines in groups.values())
    return max((*shapes, _places_differ(list(_middles(pieces)), about)), default=0.0)


def _shape_differs(outlines: Iterable[Outline], about: float) -> float:
    import shapely
    from shapely.affinity import scale

    shape = shapely.union_all([to_shapely(o) for o in outlines if o])
    if shape.is_empty:
        return 0.0
    edge = shape.boundary
    turned = scale(edge, -1.0, 1.0, origin=(about, 0.0))
    return float(edge.hausdorff_distance(turned))


def _middles(pieces: Iterable[Piece]) -> Iterator[Point]:
    words: dict[str, list[Outline]] = {}
    for piece in pieces:
        if piece.kind is PieceKind.LETTERING:  # a shade falls to one side on purpose
            words.setdefault(piece.key, []).append(piece.outline)
    for outlines in words.values():
        yield bounds(Outline(tuple(c for o in outlines for c in o))).centre


def _places_differ(places: Sequence[Point], about: float) -> float:
    turned = [Point(2.0 * about - p.x, p.y) for p in places]
    return max((min(math.dist(p, t) for t in turned) for p in places), default=0.0)
