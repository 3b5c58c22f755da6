"""A rolled sheet at scale: a cylinder laid out to a rectangle, a cone to a sector."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fontTools.misc.transform import Identity

from livery.describe.entries.sheet import ROUND_NAMES, ConeEntry, CylinderEntry, Sheet
from livery.geometry.measure import bounds, length
from livery.layout.rolled import Level, Rolled
from livery.layout.sheet import DevelopedSheet, Guide, SheetSize, straight_guide, wrong_sheet
from livery.surfaces.bend_allowance import neutral_factor
from livery.surfaces.cone import Barrel, OnBarrel
from livery.surfaces.cone_surface import ConeSurface
from livery.surfaces.surface import cylinder_surface
from livery.units import Scale


def develop_rolled(entry: Sheet, scale: Scale, key: str) -> DevelopedSheet:
    """Return a cylinder or a cone developed, over the outside, which the livery lies on."""
    barrel, depth = _barrel(entry, scale, key)
    box = bounds(barrel.outline)
    move = Identity.translate(-box.left, -box.bottom)
    levels = {n: Level(scale.to_model(x.height), x.far) for n, x in entry.level.items()}
    reach = max(barrel.left, barrel.right)
    for name, level in levels.items():
        if abs(level.height) > reach:
            words = f'level "{name}" is off this barrel, which reaches {reach:.1f} mm from its axis'
            raise wrong_sheet(words, "Heights are above the axis.", f"{key}.level.{name}")
    lines = {n: math.radians(ROUND_NAMES[n]) for n in entry.height_names if n in ROUND_NAMES}
    rolled = Rolled(barrel, move, scale, lines, levels)
    outline = barrel.outline.transformed(move)
    sizes = tuple(_sizes(barrel, depth, -box.bottom))
    if entry.cone is not None:
        guides = tuple(_guides(rolled))
        cone = ConeSurface(barrel, move)
        return DevelopedSheet(outline, guides=guides, sizes=sizes, rolled=rolled, surface=cone)
    angles = lines | {n: barrel.level_angle(0.0, v.height, far=v.far) for n, v in levels.items()}
    heights = {n: rolled.at(OnBarrel(0.0, a)).y for n, a in angles.items()}
    first, last = barrel.first + min(barrel.slope, 0.0), barrel.last + max(barrel.slope, 0.0)
    surface = cylinder_surface(0.0, box.height, first, last)
    return DevelopedSheet(outline, heights=heights, sizes=sizes, surface=surface)


def _barrel(entry: Sheet, scale: Scale, key: str) -> tuple[Barrel, float]:
    """Return the outside of a rolled sheet, and how deep within it its neutral surface lies."""
    rolled = entry.cylinder or entry.cone
    assert rolled is not None
    if isinstance(rolled, CylinderEntry):
        ends = (rolled.diameter, rolled.diameter)
    else:
        assert isinstance(rolled, ConeEntry)
        ends = (rolled.left, rolled.right)
    left, right = (scale.to_model(d) / 2.0 for d in ends)
    thickness = 0.0 if entry.thickness is None else scale.to_model(entry.thickness)
    share = entry.neutral
    if share is None:
        share = neutral_factor(min(left, right) - thickness, thickness)
    depth = (1.0 - share) * thickness
    first, last, slope = (math.radians(a) for a in (rolled.start, rolled.end, rolled.seam_slope))
    outwards = {"outside": 0.0, "neutral": depth, "inside": thickness}[rolled.diameters_of]
    try:
        drawn = Barrel(left, right, scale.to_model(rolled.length), first, last, slope=slope)
        outside = drawn.within(-outwards)
        outside.within(depth)  # the blank, which must have a radius left as well
        return outside, depth
    except ValueError as error:
        raise wrong_sheet(
            str(error), "Check its diameters, its length and its thickness.", key
        ) from None


def _guides(rolled: Rolled) -> Iterator[Guide]:
    """Yield the named lines along a cone, as they fall on its development."""
    barrel = rolled.barrel
    for name, angle in rolled.lines.items():
        ends = [rolled.at(OnBarrel(s, angle)) for s in (0.0, barrel.length)]
        yield straight_guide(name, *ends, firm=False)
    for name, level in rolled.levels.items():
        reached = [s for s in (0.0, barrel.length) if abs(level.height) <= barrel.radius_at(s)]
        if len(reached) == 2:
            line = barrel.level(level.height, 0.0, barrel.length, far=level.far)
            yield Guide(name, line.transformed(rolled.move), firm=False)


def _sizes(barrel: Barrel, depth: float, down: float) -> Iterator[SheetSize]:
    """Yield the sizes to set the sheet out by: girths, and a cone's radii, angle and chords.

    The sheet lies ``down`` below where the barrel is developed.
    """
    blank = barrel.within(depth)
    for end, station in (("left", 0.0), ("right", barrel.length)):
        ring = barrel.ring(station)
        box = bounds(ring)
        girth = (box.bottom + down, box.top + down)
        yield SheetSize(f"girth at the {end}, outside", length(ring), up=girth)
        yield SheetSize(f"girth at the {end}, of the blank", length(blank.ring(station)), up=girth)
        if barrel.k:
            radius = barrel.radius_at(station) / abs(barrel.k)
            yield SheetSize(f"radius of the {end} edge, developed", radius)
            chord = math.dist(ring.start, ring.end)
            yield SheetSize(f"chord of the {end} edge, developed", chord)
    if barrel.k:
        yield SheetSize("length along the surface", barrel.slant)
