"""Where a panel stands on its vehicle, as a rigid move from the panel into the vehicle's space.

The vehicle's space is right-handed, in millimetres on the model: *station* runs from the
front headstock back, *right* to the vehicle's right hand looking the way it goes, and
*height* up from the rail.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from livery.surfaces.surface import RoundAxis
from livery.units import Length, Scale

if TYPE_CHECKING:
    from livery.describe.entries.vehicle import Face, PanelPlace, Vehicle


class Space(NamedTuple):
    """A place or a direction in a vehicle's space: station, right and height, in mm."""

    station: float
    right: float
    height: float

    def along(self, direction: Space, distance: float) -> Space:
        """Return the place ``distance`` mm from here in a direction of unit length."""
        return Space(*(a + distance * d for a, d in zip(self, direction, strict=True)))


@dataclass(frozen=True, slots=True)
class Standing:
    """The move from a panel to its vehicle.

    ``origin`` is where the panel's own origin stands; ``across``, ``up`` and ``outward``
    are the directions of the panel's x and y and of its face, each of unit length.
    """

    origin: Space
    across: Space
    up: Space
    outward: Space

    def place(self, x: float, y: float, out: float = 0.0) -> Space:
        """Return where a point of the panel is, ``out`` mm in front of its plane."""
        return self.origin.along(self.across, x).along(self.up, y).along(self.outward, out)

    def turned(self, x: float, y: float, out: float) -> Space:
        """Return a direction of the panel's own space in the vehicle's."""
        return Space(0.0, 0.0, 0.0).along(self.across, x).along(self.up, y).along(self.outward, out)


@dataclass(frozen=True, slots=True)
class VehicleSizes:
    """A vehicle's sizes as built, in mm on the model.

    ``coupling`` is how high its couplings are, ``reach`` how far its coupling plane stands out
    from its front and its rear headstock.  ``rises`` is how much higher its body stands than
    drawn, by its couplings; ``settles`` how much lower it will stand in working order.
    """

    length: float
    width: float | None
    coupling: float | None
    reach: tuple[float, float]
    settles: float
    rises: float


def vehicle_sizes(vehicle: Vehicle, scale: Scale) -> VehicleSizes:
    """Return a vehicle's sizes as built; one that was not measured is taken at scale."""

    def size(drawn: Length | None, built: Length | None) -> float | None:
        if built is not None:
            return built.mm
        return None if drawn is None else scale.to_model(drawn)

    length = size(vehicle.length, vehicle.built.length)
    assert length is not None
    return VehicleSizes(
        length,
        size(vehicle.width, vehicle.built.width),
        size(vehicle.coupling, vehicle.built.coupling),
        _reach(vehicle, scale),
        settles=0.0 if vehicle.settles is None else scale.to_model(vehicle.settles),
        rises=_rise(vehicle, scale),
    )


def _reach(vehicle: Vehicle, scale: Scale) -> tuple[float, float]:
    """Return how far the coupling plane stands out at the front and at the rear, as built."""
    built, drawn = vehicle.built.coupling_out, vehicle.coupling_out
    if built is not None:
        first, last = built if isinstance(built, tuple) else (built, built)
        return first.mm, last.mm
    if drawn is not None:
        first, last = drawn if isinstance(drawn, tuple) else (drawn, drawn)
        return scale.to_model(first), scale.to_model(last)
    return _stand_out(vehicle, "front", scale), _stand_out(vehicle, "rear", scale)


def _stand_out(vehicle: Vehicle, end: str, scale: Scale) -> float:
    """Return how far an end's buffers stand out, without them its gangway; 0 without either."""
    for fitted in (vehicle.buffers, vehicle.gangways):
        if fitted is not None and fitted.is_on(end):
            return scale.to_model(fitted.length)
    return 0.0


def _rise(vehicle: Vehicle, scale: Scale) -> float:
    """Return how much higher the couplings are than drawn, where both are known."""
    if vehicle.coupling is None or vehicle.built.coupling is None:
        return 0.0
    return vehicle.built.coupling.mm - scale.to_model(vehicle.coupling)


class Seen(NamedTuple):
    """What one sees of a panel as built, in mm: its width, height, and how deep it goes back.

    ``feet`` are how high its bottom edge is over the lowest of it, at its left and its right end.
    ``low`` and ``outmost`` are how far its lowest place comes over its origin, and its outermost
    in front of it, where a sheet that is not flat leans.
    """

    width: float
    height: float
    deep: float = 0.0
    feet: tuple[float, float] = (0.0, 0.0)
    low: float = 0.0
    outmost: float = 0.0


def stand(
    place: PanelPlace,
    sizes: VehicleSizes,
    seen: Seen,
    scale: Scale,
    axis: RoundAxis | None = None,
) -> Standing:
    """Return how a panel stands on its vehicle.

    The panel's origin is the bottom left corner of what one sees of it, at its nearest; a
    panel that is round about an ``axis`` may be placed by that.
    """
    width_mm = seen.width

    def at(name: str, otherwise: float) -> float:
        built, drawn = getattr(place.built, name), getattr(place, name)
        if built is not None:
            return float(built.mm)
        return otherwise if drawn is None else scale.to_model(drawn)

    left, right = (h - sizes.settles for h in _end_heights(place, sizes, scale))
    lean = math.radians(place.lean)
    feet = seen.feet if left != right and not is_by_axis(place) else (0.0, 0.0)
    tilt = _tilt(width_mm, feet[1] - feet[0], (right - left) / math.cos(lean))
    left -= feet[0] * math.cos(tilt) * math.cos(lean) + seen.low
    half = 0.0 if sizes.width is None else sizes.width / 2.0
    across = at("across", 0.0)
    match place.face:
        case "left":
            origin = Space(at("station", 0.0), -at("out", half), left)
            level, inwards = Space(1.0, 0.0, 0.0), Space(0.0, 1.0, 0.0)
        case "right":
            ran = width_mm * math.cos(tilt)
            origin = Space(at("station", 0.0) + ran, at("out", half), left)
            level, inwards = Space(-1.0, 0.0, 0.0), Space(0.0, -1.0, 0.0)
        case "front":
            origin = Space(at("station", 0.0), across + width_mm / 2.0, left)
            level, inwards = Space(0.0, -1.0, 0.0), Space(1.0, 0.0, 0.0)
        case "rear":
            origin = Space(at("station", sizes.length), across - width_mm / 2.0, left)
            level, inwards = Space(0.0, 1.0, 0.0), Space(-1.0, 0.0, 0.0)
        case "top":
            # Its height is that of its lowest, and what is nearest here is its highest.
            origin = Space(at("station", 0.0), across - seen.height / 2.0, left + seen.deep)
            level, inwards = Space(1.0, 0.0, 0.0), Space(0.0, 1.0, 0.0)
            lean = math.pi / 2.0
    upright = combined((math.sin(lean), inwards), (math.cos(lean), Space(0.0, 0.0, 1.0)))
    standing = _standing(
        origin.along(inwards, seen.outmost),
        combined((math.cos(tilt), level), (math.sin(tilt), upright)),
        combined((math.cos(tilt), upright), (-math.sin(tilt), level)),
    )
    if axis is None or not (axis.upright or is_by_axis(place)):
        return standing
    aside = {"left": -at("out", 0.0), "right": at("out", 0.0)}.get(place.face, across)
    station = at("station", sizes.length if place.face == "rear" else 0.0)
    return _about(axis, standing, Space(station, aside, left), place.face)


def _tilt(width: float, rise: float, higher: float) -> float:
    """Return how far a panel is turned so that its right end comes to stand so much higher.

    ``rise`` is how much higher that end of its bottom edge is on the panel itself.
    """
    share = higher / math.hypot(width, rise)
    return math.asin(max(-1.0, min(1.0, share))) - math.atan2(rise, width)


def is_by_axis(place: PanelPlace) -> bool:
    """Return whether a place gives the height of an axis."""
    return place.axis is not None or place.built.axis is not None


def _about(axis: RoundAxis, standing: Standing, to: Space, face: Face) -> Standing:
    """Return a standing moved so that a place on the panel's axis is where it is to be.

    An upright axis has a station and a place aside; one along the panel a height, and on a
    side or the top a place aside.
    """
    now = standing.place(*axis.at)
    station, aside, height = standing.origin
    if axis.upright:
        station += to.station - now.station
    else:
        height += to.height - now.height
    if axis.upright or face not in ("front", "rear"):
        aside += to.right - now.right
    return replace(standing, origin=Space(station, aside, height))


def _end_heights(place: PanelPlace, sizes: VehicleSizes, scale: Scale) -> tuple[float, float]:
    """Return a panel's height above rail, or its axis's, at its left and its right end, as built."""
    built = place.built.axis if is_by_axis(place) else place.built.height
    if built is None:
        size = place.axis if is_by_axis(place) else place.height
        level = sizes.rises + (0.0 if size is None else scale.to_model(size))
        return level, level
    if not isinstance(built, tuple):
        return built.mm, built.mm
    first, last = built[0].mm, built[1].mm
    return (last, first) if place.face == "right" else (first, last)


def combined(*parts: tuple[float, Space]) -> Space:
    """Return the sum of directions, each taken so many times."""
    return Space(*(sum(n * axis[i] for n, axis in parts) for i in range(3)))


def _standing(origin: Space, across: Space, up: Space) -> Standing:
    """Return a standing whose face looks out to where its across and up turn right-handed."""
    (a, b, c), (d, e, f) = across, up
    return Standing(origin, across, up, Space(b * f - c * e, c * d - a * f, a * e - b * d))
