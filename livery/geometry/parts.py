"""The parts of a region that do not touch, each an outer contour with its holes."""

from __future__ import annotations

from functools import lru_cache

from livery.geometry.measure import area, bounds, contains
from livery.geometry.outline import Outline


@lru_cache(maxsize=512)
def parts_of(outline: Outline) -> tuple[Outline, ...]:
    """Return the connected parts of a proper outline, in the order of their outer contours."""
    outers = [c for c in outline if area(c) > 0.0]
    holes: dict[int, list[int]] = {i: [] for i in range(len(outers))}
    every = tuple(outline)
    sizes = [area(c) for c in outers]
    boxes = [bounds(c) for c in outers]
    regions = [Outline((c,)) for c in outers]
    for j, contour in enumerate(every):
        if area(contour) > 0.0:
            continue
        box = bounds(contour)
        around = [
            i
            for i, b in enumerate(boxes)
            if b.left <= box.left + 1e-6
            and b.right >= box.right - 1e-6
            and b.bottom <= box.bottom + 1e-6
            and b.top >= box.top - 1e-6
            and contains(regions[i], contour.start)
        ]
        # The smallest outer contour round a hole is the one it is cut in.
        owner = min(around, key=sizes.__getitem__, default=None)
        if owner is not None:
            holes[owner].append(j)
    return tuple(Outline((c, *(every[j] for j in holes[i]))) for i, c in enumerate(outers))
