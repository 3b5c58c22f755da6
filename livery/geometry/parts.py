"""The parts of a region that do not touch, each an outer contour with its holes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from livery.geometry.measure import area, bounds, contains
from livery.geometry.outline import Contour, Outline

BOX_WITHIN_MM = 1e-6
"""How far a hole's box may stand out of the one that holds it, in millimetres, when both are
rounded (chosen). Larger, and only more is compared."""


@lru_cache(maxsize=512)
def parts_of(outline: Outline) -> tuple[Outline, ...]:
    """Return the connected parts of a proper outline, in the order of their outer contours."""
    areas = [area(c) for c in outline]
    outers = [c for c, own in zip(outline, areas, strict=True) if own > 0.0]
    inner = [c for c, own in zip(outline, areas, strict=True) if not own > 0.0]
    holes: list[list[Contour]] = [[] for _ in outers]
    regions = [Outline((c,)) for c in outers]
    sizes = [own for own in areas if own > 0.0]
    for hole, around in zip(inner, _boxes_around(inner, outers), strict=True):
        owners = [i for i in around if contains(regions[i], hole.start)]
        # The smallest outer contour round a hole is the one it is cut in.
        owner = min(owners, key=sizes.__getitem__, default=None)
        if owner is not None:
            holes[owner].append(hole)
    return tuple(Outline((c, *own)) for c, own in zip(outers, holes, strict=True))


def _boxes_around(inner: Sequence[Contour], outers: Sequence[Contour]) -> Iterator[list[int]]:
    """Yield for each contour the numbers of those whose boxes hold its own."""
    if not inner or not outers:
        return
    import numpy as np

    boxes = np.array([bounds(c) for c in outers])
    for contour in inner:
        # A box is left, bottom, right, top.
        out = (boxes - np.array(bounds(contour))) * np.array([1.0, 1.0, -1.0, -1.0])
        yield np.flatnonzero((out <= BOX_WITHIN_MM).all(axis=1)).tolist()
