"""Plates on their panels: the place of each, and the livery that would lie under it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from livery.findings import Finding, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import bounds
from livery.geometry.outline import translated
from livery.layout.opening_drift import Opening, Thing, drifted
from livery.layout.piece import PieceKind, entry_title
from livery.layout.plan import PanelPlan, PlatePlan, PlateStanding, SizeRow

if TYPE_CHECKING:
    from livery.describe.entries.plate import PlateEntry

_OVER_MM2 = 0.05
"""Less than this of a plate off its panel or over a keep-out, in square millimetres, is rounding
(chosen: a chord along a side of some millimetres). Larger, and a plate that rides on a rivet
passes."""
_CHORD_MM = 0.02
"""How far the outlines compared may lie from their curves, in millimetres (chosen: less than a
plate can be fixed to). Smaller only takes time; larger, and plates that lie flush are called off
the panel."""


def fixed_to_panel(
    plate: PlatePlan, entry: PlateEntry, panels: Sequence[PanelPlan]
) -> tuple[PlatePlan, tuple[Finding, ...]]:
    """Return the plate with its place on its panel and the sizes of it, and the findings.

    A plate without a panel, or whose panel could not be laid out, is returned as it is.
    """
    panel = next((p for p in panels if p.name == entry.panel), None)
    if panel is None or entry.at is None:
        return plate, ()
    at = panel.frame.point(entry.at)
    fixed = replace(
        plate,
        stands=PlateStanding(panel.name, at, _is_flat(panel)),
        sizes=(*plate.sizes, *_place_rows(plate, panel, at.x, at.y)),
    )
    return fixed, tuple(_findings(fixed, panel))


def _is_flat(panel: PanelPlan) -> bool:
    return len(panel.frame.surface.patches(panel.frame.outline, _CHORD_MM)) == 1


def _place_rows(plate: PlatePlan, panel: PanelPlan, x: float, y: float) -> Iterator[SizeRow]:
    for way, size in (("left", x), ("bottom", y)):
        prototype = panel.frame.prototype(size)
        what = f"middle from the {way} of {panel.name}"
        yield SizeRow(plate.name, what, prototype, size, size, key=f"{plate.key}.at")


def _findings(plate: PlatePlan, panel: PanelPlan) -> Iterator[Finding]:
    """Yield where the plate reaches over the panel or a keep-out, or covers lining or lettering."""
    assert plate.stands is not None
    box, at = bounds(plate.plate.outline), plate.stands.at
    moved = translated(plate.plate.outline, at.x - box.centre.x, at.y - box.centre.y)
    region = to_shapely(moved, _CHORD_MM)
    over = region.difference(to_shapely(panel.frame.outline, _CHORD_MM))
    if over.area > _OVER_MM2:
        yield _finding(plate, panel, "reaches over the edge", over)
    for keep_out in panel.keep_outs:
        under = region.intersection(to_shapely(keep_out.outline, _CHORD_MM))
        if under.area > _OVER_MM2 and keep_out.name != f"plate {plate.name}":
            yield _finding(plate, panel, f'lies over the keep-out "{keep_out.name}"', under)
    covered: dict[str, Any] = {}
    for piece in panel.pieces:
        if piece.kind is not PieceKind.FIELD:
            under = region.intersection(to_shapely(piece.outline, _CHORD_MM))
            if under.area > _OVER_MM2:
                covered.setdefault(piece.key, under)
    thing = Thing(f'plate "{plate.name}"', f"{plate.key}.at", at, at)
    own = [k for k in panel.keep_outs if not k.is_slight and k.name != f"plate {plate.name}"]
    yield from drifted(thing, [Opening(k, k.fitted or bounds(k.outline)) for k in own])
    for key, under in covered.items():
        yield _finding(plate, panel, f"covers part of {entry_title(key)}", under)


def _finding(plate: PlatePlan, panel: PanelPlan, what: str, place: Any) -> Finding:
    at = place.representative_point()
    return Finding(
        "plate-place",
        f'plate "{plate.name}" {what} on {panel.name}, at x {at.x:.1f}, y {at.y:.1f} mm',
        "Move the plate, or what it covers; a keep_out of its size on the panel keeps lining clear.",
        Severity.WARNING,
        key=f"{plate.key}.at",
        where_mm=(at.x, at.y),
    )
