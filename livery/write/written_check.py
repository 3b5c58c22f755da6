"""A drawing's files read again and measured: every contour where it was drawn, whole and closed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from livery.drawing import Area, Drawing, Stroke
from livery.findings import fault
from livery.geometry.measure import area, bounds, length
from livery.geometry.outline import Contour
from livery.work_cache import kept
from livery.write.reread import Box, ReadEdge, dxf_edges, svg_edges

MOST_MM = 0.01
"""How far anything written may lie from where it was drawn, in millimetres (chosen: what the plan
of the house promises). Larger, and a wrong file passes."""

_NO_SIZE_MM = 0.002
"""What is smaller may vanish when it is rounded, in millimetres (chosen: two of the writer's last
figure). Larger, and a lost crumb is not seen."""


@kept
def check_written(drawing: Drawing, svg: bytes, dxf: bytes) -> None:
    """Raise LiveryError where a written file lacks a contour of a drawing, or has one too many.

    Each is known by its bounds, the area within it and whether it is closed.
    """
    drawn = [c for c in _contours(drawing) if _extent(Box(*bounds(c))) > _NO_SIZE_MM]
    for kind, edges in (("SVG", svg_edges(svg)), ("DXF", dxf_edges(dxf))):
        found = _first_unlike(drawn, [e for e in edges if _extent(e.box) > _NO_SIZE_MM])
        if found is not None:
            x, y = found.left, found.bottom
            raise fault(
                "self-check",
                f"the {kind} of {drawing.name}, read again, is wrong: what was drawn at "
                f"{x:.2f}, {y:.2f} mm is not there, or not as it was drawn",
                "Nothing was written. This is a fault of Livery's own: please report it with the job.",
                exit_status=1,
            )


def _contours(drawing: Drawing) -> Iterator[Contour]:
    for mark in drawing.marks:
        match mark:
            case Area():
                yield from mark.outline
            case Stroke():
                yield mark.contour


def _first_unlike(drawn: Iterable[Contour], edges: list[ReadEdge]) -> Box | None:
    """Return where the first contour is that has no edge like it, or edge that has no contour."""
    import numpy as np
    from scipy.spatial import cKDTree

    expected = [
        (ReadEdge(Box(*bounds(c)), area(c) if c.closed else 0.0, c.closed), c) for c in drawn
    ]
    if not expected or not edges:
        rest = [*(w for w, _ in expected), *edges]
        return rest[0].box if rest else None
    tree = cKDTree(np.array([edge.box for edge in edges]))
    near = tree.query_ball_point(np.array([w.box for w, _ in expected]), MOST_MM, p=np.inf)
    free = set(range(len(edges)))
    for (one, contour), found in zip(expected, near, strict=True):
        room = MOST_MM * max(length(contour), 1.0)
        like = (i for i in sorted(found) if i in free and _is_like(one, edges[i], room))
        match = next(like, None)
        if match is None:
            return one.box
        free.discard(match)
    return edges[min(free)].box if free else None


def _is_like(one: ReadEdge, other: ReadEdge, room: float) -> bool:
    return one.is_closed == other.is_closed and abs(one.area - other.area) <= room


def _extent(box: Box) -> float:
    return max(box.right - box.left, box.top - box.bottom)
