"""How far a thing reaches off its panel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.outline import Outline

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

LEAST_MM = 0.05
"""Less than this, in millimetres, is rounding (chosen: what a knife takes). Larger, and what lies
off the panel passes."""


@dataclass(frozen=True, slots=True)
class Overhang:
    """How far an outline reaches off its panel, where, and whether none of it is on."""

    by_mm: float
    where: tuple[float, float]
    is_whole: bool


def overhang(outline: Outline, panel: BaseGeometry) -> Overhang | None:
    """Return how far an outline reaches off a panel; None where it lies on it."""
    import shapely

    shape = to_shapely(outline)
    off = shape.difference(panel)
    if off.is_empty:
        return None
    places = [(float(x), float(y)) for x, y in shapely.get_coordinates(off)]
    far = [float(panel.distance(shapely.Point(p))) for p in places]
    by = max(far)
    if by <= LEAST_MM:
        return None
    return Overhang(by, places[far.index(by)], not shape.intersects(panel))


def overhang_findings(
    what: str, outlines: Sequence[Outline], panel: Outline, key: str
) -> Iterator[Finding]:
    """Warn of things that lie off their panel, and of others that hang off its edge.

    ``what`` is one of them in words, such as "keep-out".
    """
    ground = to_shapely(panel)
    found = [o for o in (overhang(outline, ground) for outline in outlines) if o is not None]
    off, hanging = [o for o in found if o.is_whole], [o for o in found if not o.is_whole]
    if off:
        lie = "lies" if len(off) == 1 else "lie"
        yield Finding(
            "off-panel",
            f"{_counted(what, len(off), len(outlines))} {lie} off the panel",
            "Check its place against the panel.",
            Severity.WARNING,
            key,
            where_mm=off[0].where,
        )
    if hanging:
        worst = max(hanging, key=lambda o: o.by_mm)
        hang = "hangs" if len(hanging) == 1 else "hang"
        counted = _counted(what, len(hanging), len(outlines))
        yield Finding(
            "off-panel",
            f"{counted} {hang} off the panel, by {worst.by_mm:.1f} mm at x {worst.where[0]:.1f}, "
            f"y {worst.where[1]:.1f} mm",
            "Check its place and size against the panel as built, if it is not meant.",
            Severity.WARNING,
            key,
            where_mm=worst.where,
        )


def _counted(what: str, count: int, of: int) -> str:
    if of == 1:
        return f"this {what}"
    return f"{count} of these {of} {what}s"
