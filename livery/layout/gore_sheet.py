"""A surface of revolution at scale: its gores side by side, and what they leave wrong."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

from fontTools.misc.transform import Identity, Transform

from livery.findings import Finding, LiveryError, Severity
from livery.geometry.measure import bounds
from livery.geometry.outline import Contour, Outline, Point, chain
from livery.geometry.path_text import read_path
from livery.geometry.smooth_path import smooth_path
from livery.layout.gored import Gored
from livery.layout.sheet import DevelopedSheet, Guide, SheetSize, straight_guide, wrong_sheet
from livery.surfaces.gore_surface import GoreSurface
from livery.surfaces.gores import GoreErrors, Gores, gores_within
from livery.surfaces.tracing import traced_segments
from livery.units import Scale, read_length

if TYPE_CHECKING:
    from livery.describe.entries.sheet import GoresEntry, Sheet

SPACING_MM = 2.0
"""The room between gores laid side by side where none is given, in millimetres (chosen: a knife or
a saw passes). Larger, and the sheet is longer."""


def develop_gores(entry: Sheet, scale: Scale, key: str) -> DevelopedSheet:
    """Return a surface of revolution as gores in a row, bases down."""
    described = entry.gores
    assert described is not None
    gores = _gores(described, _profile(described, scale, key), scale, key)
    box = bounds(gores.outline)
    spacing = SPACING_MM if described.spacing is None else scale.to_model(described.spacing)
    pitch = box.width + spacing
    places = [i * pitch - box.left for i in range(gores.count)]
    row = [gores.outline.transformed(Identity.translate(x, 0.0)) for x in places]
    heights = {}
    for name, level in entry.level.items():
        try:
            heights[name] = gores.level(scale.to_model(level.height))
        except ValueError as error:
            remedy = "Levels of gores are distances along the axis, as the profile has them."
            raise wrong_sheet(str(error), remedy, f"{key}.level.{name}") from None
    return DevelopedSheet(
        Outline(tuple(c for gore in row for c in gore)),
        heights=heights,
        guides=tuple(_guides(gores, places, heights)),
        sizes=(
            SheetSize(f"width of each of {gores.count} gores", box.width),
            SheetSize("length of a gore, along its middle", gores.height),
        ),
        gored=Gored(gores, tuple(places)),
        notes=(_stated(gores.count, gores.errors, key),),
        surface=GoreSurface(gores, tuple(places)),
    )


def _guides(gores: Gores, places: list[float], heights: dict[str, float]) -> Iterator[Guide]:
    """Yield each gore's middle line, and the named levels across it, given on the first."""
    half = gores.half_angle
    for i, x in enumerate(places, start=1):
        yield straight_guide(f"gore {i}", Point(x, 0.0), Point(x, gores.height), firm=False)
        for name, up in heights.items():
            line = traced_segments(partial(_on_gore, gores, up), -half, half)
            across = Contour(tuple(line), closed=False).transformed(Identity.translate(x, 0.0))
            yield Guide(name if i == 1 else "", across, firm=False)


def _on_gore(gores: Gores, up: float, turn: float) -> Point:
    return gores.on_gore(turn, up)


def _profile(entry: GoresEntry, scale: Scale, key: str) -> Contour:
    if entry.path is not None:
        unit = scale.to_model(read_length(f"1 {entry.unit}"))
        try:
            contours = read_path(entry.path, Transform(unit, 0, 0, unit, 0, 0))
        except LiveryError as error:
            words = error.findings[0].message
            remedy = "Write M, L, A and C with their numbers."
            raise wrong_sheet(words, remedy, f"{key}.gores.path") from None
        if len(contours) != 1 or contours[0].closed:
            remedy = "Draw it in one go from the base to the tip, without closing it."
            raise wrong_sheet("a profile is one open line", remedy, f"{key}.gores.path")
        return contours[0]
    points = [Point(scale.to_model(a), scale.to_model(r)) for a, r in entry.profile or ()]
    if any(a == b for a, b in pairwise(points)):
        remedy = "Delete one of them."
        raise wrong_sheet("two points of the profile are the same", remedy, f"{key}.gores.profile")
    smooth = entry.curve == "smooth" and len(points) > 2
    return smooth_path(points, None, None) if smooth else chain(points, closed=False)


def _gores(entry: GoresEntry, profile: Contour, scale: Scale, key: str) -> Gores:
    try:
        if entry.count is not None:
            return Gores(profile, entry.count)
        assert entry.within is not None
        return gores_within(profile, scale.to_model(entry.within))
    except ValueError as error:
        remedy = "Check the profile's radii, and the error asked for."
        raise wrong_sheet(str(error), remedy, f"{key}.gores") from None


def _stated(count: int, errors: GoreErrors, key: str) -> Finding:
    """Return the note that says how far flat gores are from the surface."""
    if errors.width:
        level = (
            f"half of one is {errors.width:.2f} mm too wide at most, as the profile has corners; "
            f"level lines stray {errors.sag:.2f} mm"
        )
    else:
        level = f"level lines are curved by {errors.sag:.2f} mm at most, to lie level"
    return Finding(
        "gore-error",
        f"{count} flat gores are not quite this surface: along an edge there is "
        f"{errors.edge:.2f} mm too much film; {level}; one not pressed down across stands off by "
        f"{errors.facet:.2f} mm",
        "More gores make all of these smaller; paint has none of them.",
        Severity.NOTE,
        f"{key}.gores",
    )
