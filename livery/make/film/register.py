"""Register marks: cut in every layer at the same places, so that layers lie true to each other.

Three marks, two crosses and a corner tick, stand at three corners only: a layer
turned round or over cannot be laid to them by mistake.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Contour, Line, Outline, Point


class MarkKind(Enum):
    """The shape of a register mark."""

    CROSS = "cross"
    TICK = "corner tick"


@dataclass(frozen=True, slots=True)
class RegisterMark:
    """A mark at a place on the panel, its arms ``arm_mm`` long.

    A cross has four arms; a tick has two, to the right and upward.
    """

    kind: MarkKind
    at: Point
    arm_mm: float

    @property
    def lines(self) -> tuple[Contour, ...]:
        """The mark as lines to cut or print."""
        x, y, a = *self.at, self.arm_mm
        back = a if self.kind is MarkKind.CROSS else 0.0
        across = Line(Point(x - back, y), Point(x + a, y))
        upward = Line(Point(x, y - back), Point(x, y + a))
        return Contour((across,), closed=False), Contour((upward,), closed=False)


def marks_round(
    layers: Sequence[Sequence[Outline]], clear_mm: float, arm_mm: float
) -> tuple[RegisterMark, ...]:
    """Return the marks that all layers of one design share, outside everything in any layer.

    Crosses stand lower left and lower right, a tick upper left.
    """
    import shapely

    shapes = [to_shapely(o) for layer in layers for o in layer if o]
    if not shapes:
        return ()
    x0, y0, x1, y1 = shapely.union_all(shapes).bounds
    off = clear_mm + arm_mm
    return (
        RegisterMark(MarkKind.CROSS, Point(x0 - off, y0 - off), arm_mm),
        RegisterMark(MarkKind.CROSS, Point(x1 + off, y0 - off), arm_mm),
        RegisterMark(MarkKind.TICK, Point(x0 - off, y1 + clear_mm), arm_mm),
    )


def marks_on(features: Sequence[Point], arm_mm: float) -> tuple[RegisterMark, ...]:
    """Return crosses on features of the panel itself (corners, rivets), for masks laid to them."""
    return tuple(RegisterMark(MarkKind.CROSS, p, arm_mm) for p in features)
