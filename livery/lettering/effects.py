"""What a signwriter does to plain letters: outlines, inlines, shades and highlights.

Every effect is a region of one paint.  They come as layers from the bottom up;
what lies lower either goes right through beneath what covers it (a full underlay)
or is knocked out, going only a stated distance beneath its edge (a trap).
Angles are degrees anticlockwise from the right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from fontTools.misc.transform import Identity

from livery.findings import fault
from livery.geometry.boolean import difference, union
from livery.geometry.measure import area
from livery.geometry.offset import Join, band, inset, outset
from livery.geometry.outline import Outline, Point
from livery.geometry.swept_region import sweep
from livery.lettering.faces import lower_faces


class Role(Enum):
    """The kinds of layers of lettering, in their order from the bottom up."""

    CAST_SHADE = "cast shade"
    BLOCK_SHADE = "block shade"
    SIDE_SHADE = "side shade"
    LOWER_SHADE = "lower shade"
    DROP_SHADE = "drop shade"
    OUTLINE = "outline"
    LETTER = "word"
    INNER_OUTLINE = "inner outline"
    INLINE = "inline"
    HIGHLIGHT = "highlight"


@dataclass(frozen=True, slots=True)
class OutlineEffect:
    """A contour of ``width_mm`` round the letters, ``gap_mm`` off their edge; or inside them.

    ``under_mm`` is how far it goes beneath the letters; None is right through.
    """

    width_mm: float
    inside: bool = False
    gap_mm: float = 0.0
    join: Join = "mitre"
    under_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Inline:
    """A line of ``width_mm`` within the strokes, ``inset_mm`` in from their edges.

    A stroke no wider than twice both together has a single line down its middle, so a
    line w wide in strokes s wide is inset by (s - w) / 2.
    """

    width_mm: float
    inset_mm: float


@dataclass(frozen=True, slots=True)
class DropShade:
    """A copy of the letters moved ``distance_mm`` towards ``towards_deg``."""

    towards_deg: float
    distance_mm: float
    under_mm: float | None = None


@dataclass(frozen=True, slots=True)
class BlockShade:
    """The letters made solid: swept ``depth_mm`` towards ``towards_deg``.

    ``split`` parts the side faces from the lower ones, to be painted apart; the side
    shade then goes beneath the lower one as it does beneath the letters, and the lower
    one ``lower_under_mm`` beneath the letters.
    """

    towards_deg: float
    depth_mm: float
    split: bool = False
    under_mm: float | None = None
    lower_under_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class CastShade:
    """A block shade that stands off the letters by a gap of ``gap_mm`` all along."""

    towards_deg: float
    depth_mm: float
    gap_mm: float


@dataclass(frozen=True, slots=True)
class Highlight:
    """The lit edges: as far into the letters as ``width_mm`` away from the light.

    ``light_deg`` is where the light comes from; ``inset_mm`` keeps the highlight off the
    letters' edge.
    """

    light_deg: float
    width_mm: float
    inset_mm: float = 0.0


Effect = OutlineEffect | Inline | DropShade | BlockShade | CastShade | Highlight


class Layer(NamedTuple):
    """The region that one paint of the lettering covers."""

    role: Role
    outline: Outline


class _Solid(NamedTuple):
    """A layer before anything is knocked out of it."""

    role: Role
    outline: Outline
    under_mm: float | None


def lettered(
    letters: Outline, effects: Sequence[Effect] = (), *, under_mm: float | None = None
) -> tuple[Layer, ...]:
    """Return letters with their effects, as layers from the bottom up.

    Shades are those of the letters with any outline round them.  ``under_mm`` is how
    far the letters themselves go beneath what lies on them; None is right through.
    Letters that overlap are joined first.
    """
    letters = union(letters) if effects else letters
    body = letters
    for effect in effects:
        if isinstance(effect, OutlineEffect) and not effect.inside:
            body = outset(letters, effect.gap_mm + effect.width_mm, effect.join)
    solids = [_Solid(Role.LETTER, letters, under_mm)]
    for effect in effects:
        solids += _solids(letters, body, effect)
    order = list(Role)
    solids.sort(key=lambda s: order.index(s.role))
    return tuple(
        Layer(s.role, _knocked_out(s, [c.outline for c in solids[i + 1 :]]))
        for i, s in enumerate(solids)
    )


def _knocked_out(solid: _Solid, covers: Sequence[Outline]) -> Outline:
    if solid.under_mm is None or not covers:
        return solid.outline
    cover = union(*covers)
    return difference(solid.outline, inset(cover, solid.under_mm) if solid.under_mm else cover)


def _solids(letters: Outline, body: Outline, effect: Effect) -> list[_Solid]:
    """Return the layers of one effect, whole."""
    _check(effect)
    match effect:
        case OutlineEffect():
            return [_outline(letters, body, effect)]
        case Inline(width, inset_mm):
            lines = band(letters, inset_mm, inset_mm + width)
            return [_Solid(Role.INLINE, _without_specks(lines, width), None)]
        case DropShade(towards, distance, under):
            copy = body.transformed(Identity.translate(*shift(towards, distance)))
            return [_Solid(Role.DROP_SHADE, copy, under)]
        case BlockShade():
            return _block(body, effect)
        case CastShade(towards, depth, gap):
            shade = difference(sweep(body, shift(towards, depth)), outset(body, gap))
            return [_Solid(Role.CAST_SHADE, shade, None)]
        case Highlight(light, width, inset_mm):
            lit = inset(letters, inset_mm) if inset_mm else letters
            unlit = lit.transformed(Identity.translate(*shift(light + 180.0, width)))
            lights = _without_specks(difference(lit, unlit), width)
            return [_Solid(Role.HIGHLIGHT, lights, None)]


def _outline(letters: Outline, body: Outline, effect: OutlineEffect) -> _Solid:
    near, far = effect.gap_mm, effect.gap_mm + effect.width_mm
    if effect.inside:
        return _Solid(Role.INNER_OUTLINE, band(letters, near, far, effect.join), None)
    around = difference(body, outset(letters, near, effect.join)) if near else body
    return _Solid(Role.OUTLINE, around, effect.under_mm)


def _block(body: Outline, effect: BlockShade) -> list[_Solid]:
    move = shift(effect.towards_deg, effect.depth_mm)
    whole = sweep(body, move)
    if not effect.split:
        return [_Solid(Role.BLOCK_SHADE, whole, effect.under_mm)]
    lower = lower_faces(body, move, effect.lower_under_mm)
    return [
        _Solid(Role.SIDE_SHADE, whole, effect.under_mm),
        _Solid(Role.LOWER_SHADE, lower, None),
    ]


def _without_specks(lines: Outline, width_mm: float) -> Outline:
    """Return lines less the parts too small to be drawn as one: shorter than they are wide."""
    return Outline(tuple(c for c in lines if not 0.0 < area(c) < width_mm * width_mm))


def shift(towards_deg: float, distance_mm: float) -> Point:
    """Return the step of a distance towards an angle, exact along the axes."""
    angle = math.radians(towards_deg)
    x, y = distance_mm * math.cos(angle), distance_mm * math.sin(angle)
    small = 1e-12 * abs(distance_mm)
    return Point(x if abs(x) > small else 0.0, y if abs(y) > small else 0.0)


def _check(effect: Effect) -> None:
    """Refuse an effect of no size."""
    match effect:
        case OutlineEffect() | Inline() | Highlight():
            name, size = "width", effect.width_mm
        case DropShade():
            name, size = "distance", effect.distance_mm
        case _:
            name, size = "depth", effect.depth_mm
    if not size > 0.0:
        raise fault(
            "effect-without-size",
            f"the {name} of the {type(effect).__name__} is {size:g} mm",
            f"Give a {name} above 0 mm, or leave the effect out.",
        )
