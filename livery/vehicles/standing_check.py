"""Panels that stand where no panel of the vehicle can: a slip in a length, a station or a name."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from livery.findings import Finding, Severity
from livery.geometry.flatten import flatten
from livery.geometry.outline import Point
from livery.vehicles.placed import PlacedPanel, PlacedVehicle
from livery.vehicles.standing import Space, Standing, is_by_axis

BEYOND_SHARE = 0.25
"""A panel that reaches further past a headstock than this part of the vehicle's length is a slip
(chosen: bowed ends, running plates and cow-catchers reach less). Larger, and a wrong station
passes."""

SAME_PLANE_MM = 0.5
"""Panels nearer to each other, in millimetres, lie in one plane (chosen: less than the thinnest
sheet). Larger, and a fascia over a side is taken for the same metal."""

SHARED_SHARE = 0.5
"""Two panels in one plane that share more of the smaller one are taken for the same metal (chosen).
Larger, and a panel placed twice passes."""

_CHORD_MM = 1.0
"""How far the outlines compared may lie from their curves, in millimetres (chosen). Smaller only
takes time."""


def standing_findings(vehicles: Sequence[PlacedVehicle]) -> Iterator[Finding]:
    """Yield a warning for each panel far beyond the headstocks, for two in one place, for no width."""
    for vehicle in vehicles:
        yield from _without_width(vehicle)
        edges = {panel.plan.name: _edges(panel) for panel in vehicle.panels}
        for name, edge in edges.items():
            yield from _beyond(name, edge, vehicle.sizes.length)
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
    outline = panel.plan.frame.outline
    return tuple(
        tuple(panel.in_space(Point(*at)) for at in flatten(contour, _CHORD_MM))
        for contour in outline
    )


def _beyond(name: str, edges: Edges, length: float) -> Iterator[Finding]:
    stations = [at.station for edge in edges for at in edge]
    for end, past in (("front", -min(stations)), ("rear", max(stations) - length)):
        if past > BEYOND_SHARE * length:
            yield Finding(
                "beyond-headstock",
                f"{name} reaches {past:.1f} mm past the {end} headstock of a vehicle "
                f"{length:.1f} mm long",
                "Check the vehicle's length over headstocks and the panel's station.",
                Severity.WARNING,
                f"panel.{name}.place",
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
