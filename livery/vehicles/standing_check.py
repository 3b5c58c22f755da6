"""Panels and wheels that stand where none of the vehicle can: a slip in a size, a place or a name."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

from livery.findings import Finding, Severity
from livery.geometry.flatten import flatten
from livery.geometry.measure import bounds
from livery.geometry.outline import Point
from livery.surfaces.surface import FLAT
from livery.vehicles.placed import PlacedPanel, PlacedVehicle
from livery.vehicles.standing import Space, Standing, VehicleSizes, is_by_axis

BEYOND_SHARE = 0.15
"""A panel that reaches further past a headstock than this part of the vehicle's length is a slip
(chosen: bowed ends, running plates and cow-catchers reach less). Larger, and a wrong station
passes."""

ASIDE_SHARE = 0.25
"""A panel that reaches further past a side than this part of the vehicle's width is a slip (chosen:
steps, eaves and cylinders reach less). Larger, and a wrong out passes."""

BELOW_MM = 0.5
"""A panel that reaches further below the rail, in millimetres on the model, is a slip (chosen:
nothing does but the flanges of wheels). Larger, and an axis a little low passes."""

SAME_PLANE_MM = 0.5
"""Panels nearer to each other, in millimetres, lie in one plane (chosen: less than the thinnest
sheet). Larger, and a fascia over a side is taken for the same metal."""

SHARED_SHARE = 0.5
"""Two panels in one plane that share more of the smaller one are taken for the same metal (chosen).
Larger, and a panel placed twice passes."""

BEYOND_WHEEL_MM = 1.0
"""A wheel whose axle is further past a headstock, in millimetres on the model, is a slip (chosen:
axles are between them; a length as built may be a little short). Larger, and a wrong station
passes."""

_STEPS = 64
"""In how many steps the width and height of a panel that is bent are followed (chosen: a barrel's
lowest is missed by a thousandth of its radius). Fewer, and more is missed; more only takes time."""

_CHORD_MM = 1.0
"""How far the outlines compared may lie from their curves, in millimetres (chosen). Smaller only
takes time."""


def standing_findings(vehicles: Sequence[PlacedVehicle]) -> Iterator[Finding]:
    """Yield a warning for each panel and wheel where none can be, for two in one place, for no width."""
    for vehicle in vehicles:
        yield from _without_width(vehicle)
        yield from _wheels_beyond(vehicle)
        edges = {panel.plan.name: _edges(panel) for panel in vehicle.panels}
        for name, edge in edges.items():
            yield from _beyond(name, edge, vehicle.sizes)
        for one, other in combinations(vehicle.panels, 2):
            if one.face == other.face and _is_in_one_place(
                one.standing, edges[one.plan.name], edges[other.plan.name]
            ):
                yield Finding(
                    "same-place",
                    f"{other.plan.name} is at the same place as {one.plan.name}, on the {one.face}",
                    "Only one of them is visible. Change the place of one, or give it a larger "
                    "out if it lies on the other.",
                    Severity.WARNING,
                    f"panel.{other.plan.name}",
                )


def _without_width(vehicle: PlacedVehicle) -> Iterator[Finding]:
    """Yield a warning where sides stand on the centre line because no width is given."""
    sides = [panel.plan.name for panel in vehicle.panels if _stands_at_half_width(panel)]
    is_alone = len({p.face for p in vehicle.panels}) == 1 and not vehicle.surfaces
    if vehicle.sizes.width is None and sides and not is_alone:
        yield Finding(
            "no-width",
            f"the width of {vehicle.name} is not given, so what is on its sides is on its "
            f"centre line: {', '.join(sides)}",
            f"Write the width over its sides in [vehicle.{vehicle.name}], such as "
            'width = "8 ft", or out in the place of each. Until then its solid is wrong.',
            Severity.WARNING,
            f"vehicle.{vehicle.name}",
        )


def _stands_at_half_width(panel: PlacedPanel) -> bool:
    """Return whether a panel stands as far out as half the vehicle's width."""
    place, surface = panel.plan.entry.place, panel.plan.frame.surface
    if place is None or place.face not in ("left", "right") or is_by_axis(place):
        return False
    return (
        place.out is None
        and place.built.out is None
        and not (surface.axis is not None and surface.axis.upright)
    )


Edges = tuple[tuple[Space, ...], ...]
"""The contours of a panel as it stands, each followed by chords."""


def _edges(panel: PlacedPanel) -> Edges:
    frame = panel.plan.frame
    box = bounds(frame.outline)
    step = math.inf if frame.surface is FLAT else max(box.width, box.height) / _STEPS
    return tuple(
        tuple(panel.in_space(at) for at in _in_steps(flatten(contour, _CHORD_MM), step))
        for contour in frame.outline
    )


def _in_steps(ring: Sequence[Point], step: float) -> Iterator[Point]:
    """Yield the places of a closed ring and those between, no two further apart than a step."""
    for p, q in pairwise([*ring, ring[0]]):
        count = max(math.ceil(math.dist(p, q) / step), 1)
        for i in range(count):
            yield Point(p.x + (q.x - p.x) * i / count, p.y + (q.y - p.y) * i / count)


def _beyond(name: str, edges: Edges, sizes: VehicleSizes) -> Iterator[Finding]:
    """Yield a warning where a panel is far past a headstock or a side, or below the rail."""
    places = [at for edge in edges for at in edge]
    stations = [at.station for at in places]
    for end, past in (("front", -min(stations)), ("rear", max(stations) - sizes.length)):
        if past > BEYOND_SHARE * sizes.length:
            words = (
                f"reaches {past:.1f} mm past the {end} headstock of a vehicle "
                f"{sizes.length:.1f} mm long"
            )
            remedy = "Check the vehicle's length over headstocks and the panel's station."
            yield _misplaced("beyond-headstock", name, words, remedy)
    low = -min(at.height for at in places) - sizes.settles
    if low > BELOW_MM:
        words = f"reaches {low:.1f} mm below the rail"
        remedy = (
            "Check its height above rail, or that of its axis, which is half its diameter or more."
        )
        yield _misplaced("below-rail", name, words, remedy)
    if sizes.width is not None:
        past = max(abs(at.right) for at in places) - sizes.width / 2.0
        if past > ASIDE_SHARE * sizes.width:
            words = f"reaches {past:.1f} mm past the side of a vehicle {sizes.width:.1f} mm wide"
            remedy = (
                "Check the vehicle's width over its sides and where the panel's place is aside."
            )
            yield _misplaced("beyond-side", name, words, remedy)


def _misplaced(code: str, panel: str, words: str, remedy: str) -> Finding:
    return Finding(code, f"{panel} {words}", remedy, Severity.WARNING, f"panel.{panel}.place")


def _wheels_beyond(vehicle: PlacedVehicle) -> Iterator[Finding]:
    """Yield a warning for each wheel whose axle is past a headstock."""
    length = vehicle.sizes.length
    for i, wheel in enumerate(vehicle.entry.wheels):
        at = vehicle.scale.to_model(wheel.station)
        for end, past in (("front", -at), ("rear", at - length)):
            if past > BEYOND_WHEEL_MM:
                yield Finding(
                    "wheel-place",
                    f"the axle of wheel {i + 1} of {vehicle.name} is {past:.1f} mm past the {end} "
                    f"headstock of a vehicle {length:.1f} mm long",
                    "Check the vehicle's length over headstocks and the wheel's station.",
                    Severity.WARNING,
                    f"vehicle.{vehicle.name}.wheels.{i}",
                )


def _is_in_one_place(standing: Standing, one: Edges, other: Edges) -> bool:
    """Return whether two panels lie in the plane of the first, one largely over the other."""
    import shapely

    regions = []
    for edges in (one, other):
        seen = [[_within(standing, at) for at in edge] for edge in edges]
        if any(abs(out) > SAME_PLANE_MM for edge in seen for _, _, out in edge):
            return False  # bent, or in front of the other or behind it
        rings = [shapely.Polygon([(x, y) for x, y, _ in edge]).buffer(0.0) for edge in seen]
        regions.append(shapely.union_all(rings))
    shared = regions[0].intersection(regions[1]).area
    return bool(shared > SHARED_SHARE * min(region.area for region in regions))


def _within(standing: Standing, at: Space) -> tuple[float, float, float]:
    """Return a place in a panel's own space: across, up and in front of it."""
    away = [a - o for a, o in zip(at, standing.origin, strict=True)]
    across, up, out = (
        sum(d * n for d, n in zip(away, axis, strict=True))
        for axis in (standing.across, standing.up, standing.outward)
    )
    return across, up, out
