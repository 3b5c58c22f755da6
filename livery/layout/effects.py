"""The effects of lettering, brought to scale, each with its own paint and process."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from livery.lettering.effects import (
    BlockShade,
    CastShade,
    DropShade,
    Effect,
    Highlight,
    Inline,
    OutlineEffect,
    Role,
)
from livery.process import Process
from livery.units import Length, Scale

if TYPE_CHECKING:
    from livery.describe.entries.lettering import Lettering, Shade


@dataclass(frozen=True, slots=True)
class Dressing:
    """An effect, and the paint and process of the layers it gives.

    A second dressing of one effect, for its lower faces, has no effect of its own.
    """

    effect: Effect | None
    roles: tuple[Role, ...]
    paint: str
    process: Process


def dressings(entry: Lettering, scale: Scale) -> tuple[Dressing, ...]:
    """Return the effects an entry of lettering asks for."""
    found: list[Dressing] = []
    if entry.outline is not None:
        of = entry.outline
        effect = OutlineEffect(
            scale.to_model(of.width),
            of.inside,
            _size(of.gap, scale) or 0.0,
            "round" if of.rounded else "mitre",
            _size(of.under, scale),
        )
        role = Role.INNER_OUTLINE if of.inside else Role.OUTLINE
        found.append(Dressing(effect, (role,), of.paint, of.process or entry.process))
    if entry.inline is not None:
        line = entry.inline
        inline = Inline(scale.to_model(line.width), scale.to_model(line.inset))
        found.append(Dressing(inline, (Role.INLINE,), line.paint, line.process or entry.process))
    if entry.shade is not None:
        found += _shade(entry.shade, entry.shade.process or entry.process, scale)
    if entry.highlight is not None:
        lit = entry.highlight
        highlight = Highlight(lit.light, scale.to_model(lit.width), _size(lit.inset, scale) or 0.0)
        found.append(
            Dressing(highlight, (Role.HIGHLIGHT,), lit.paint, lit.process or entry.process)
        )
    return tuple(found)


def _shade(shade: Shade, process: Process, scale: Scale) -> list[Dressing]:
    depth, under = scale.to_model(shade.depth), _size(shade.under, scale)
    if shade.kind == "drop":
        drop = DropShade(shade.direction, depth, under)
        return [Dressing(drop, (Role.DROP_SHADE,), shade.paint, process)]
    if shade.kind == "cast":
        assert shade.gap is not None
        cast = CastShade(shade.direction, depth, scale.to_model(shade.gap))
        return [Dressing(cast, (Role.CAST_SHADE,), shade.paint, process)]
    split = shade.lower_paint is not None
    lower_under = _size(shade.lower_under, scale)
    if lower_under is None:
        lower_under = under or 0.0
    block = BlockShade(shade.direction, depth, split, under, lower_under)
    found = [Dressing(block, (Role.BLOCK_SHADE, Role.SIDE_SHADE), shade.paint, process)]
    if shade.lower_paint is not None:
        lower = shade.lower_process or process
        found.append(Dressing(None, (Role.LOWER_SHADE,), shade.lower_paint, lower))
    return found


def _size(length: Length | None, scale: Scale) -> float | None:
    return None if length is None else scale.to_model(length)
