"""Plain outlines of what carries a vehicle: frame, wheels, buffers, couplings and gangways.

They are drawn for scale only, as far as the description gives their sizes.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from livery.drawing import Area
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import circle, rectangle
from livery.make.drawings.elevation import EDGE_MM, INK
from livery.vehicles.placed import PlacedVehicle
from livery.vehicles.view import View

if TYPE_CHECKING:
    from livery.describe.entries.vehicle import BufferEntry, GangwayEntry

TINT, TYRE = "#d9dcdd", "#c3c8ca"
"""The tints of what is drawn for scale only, and of the tyres of wheels."""

HEAD = 0.18
"""The share of a buffer's length that its head is drawn thick (chosen: by the look of common
buffers). Larger only draws a thicker head."""

TREAD = 0.87
"""The share of a wheel's diameter that is within its tyre (common practice: tyres of 2 1/2 to 3 in
on wheels of 3 to 4 ft). Larger only draws a thinner tyre."""

TYRE_SHARE = 0.1
"""How wide a tyre is, as a share of the gauge (common practice: about 5 1/2 in at 4 ft 8 1/2 in).
Larger only draws a wider tyre."""

AXLE_SHARE = 0.16
"""How thick an axle is, as a share of its wheels' diameter (common practice: about 6 in at 3 ft 1
in). Larger only draws a thicker axle."""

SIDES = (View.LEFT, View.RIGHT)


def gear_behind(vehicle: PlacedVehicle, view: View) -> Iterator[Area]:
    """Yield the parts behind the panels of a side or an end: frame, wheels, buffers, gangways."""
    if view in (View.FRONT, View.REAR):
        yield from _wheels_from_the_end(vehicle, view)
        buffers = vehicle.entry.buffers
        if buffers is not None and buffers.is_on(view.value) and buffers.centres is not None:
            wide, deep = (vehicle.scale.to_model(n) for n in (buffers.centres, buffers.diameter))
            at = Point(-(wide + deep) / 2.0, _height(vehicle, buffers) - deep / 2.0)
            yield _gear("frame", rectangle(wide + deep, deep, at))
    if view not in SIDES:
        return
    sizes, entry = vehicle.sizes, vehicle.entry
    if entry.buffers is not None:
        height = _height(vehicle, entry.buffers)
        deep = vehicle.scale.to_model(entry.buffers.diameter)
        at = Point(min(_across(view, 0.0), _across(view, sizes.length)), height - deep / 2.0)
        yield _gear("frame", rectangle(sizes.length, deep, at))
    if sizes.coupling is not None:
        deep = sizes.coupling / 12.0
        for start, out in ((-sizes.reach[0], sizes.reach[0]), (sizes.length, sizes.reach[1])):
            if out > 0.0:
                foot = sizes.coupling - sizes.settles - deep / 2.0
                yield _gear("coupling", _beyond(view, start, out, (foot, deep)))
    for wheel in entry.wheels:
        radius = vehicle.scale.to_model(wheel.diameter) / 2.0
        at = Point(_across(view, vehicle.scale.to_model(wheel.station)), radius)
        yield _gear("wheel", circle(at, radius), TYRE)
        yield _gear("wheel", circle(at, radius * TREAD))
    yield from _on_ends_from_the_side(vehicle, view)


def _wheels_from_the_end(vehicle: PlacedVehicle, view: View) -> Iterator[Area]:
    """Yield every pair of wheels on its axle, the farthest first, where the gauge is known."""
    scale, entry = vehicle.scale, vehicle.entry
    if entry.gauge is None:
        return
    half = scale.to_model(entry.gauge) / 2.0
    wide = 2.0 * half * TYRE_SHARE
    towards = -1.0 if view is View.FRONT else 1.0
    for wheel in sorted(entry.wheels, key=lambda w: towards * scale.to_model(w.station)):
        size = scale.to_model(wheel.diameter)
        thick = size * AXLE_SHARE
        foot = Point(-half, (size - thick) / 2.0)
        yield _gear("axle", rectangle(2.0 * half, thick, foot))
        for left in (-half - wide, half):
            yield _gear("wheel", rectangle(wide, size, Point(left, 0.0)), TYRE)


def gear_before(vehicle: PlacedVehicle, view: View) -> Iterator[Area]:
    """Yield what stands before the panels of an end, or out from both ends as seen from above."""
    if view in SIDES:
        return
    for end in ("front", "rear"):
        if view not in (View(end), View.ABOVE):
            continue
        gangway, buffers = vehicle.entry.gangways, vehicle.entry.buffers
        if gangway is not None and gangway.is_on(end):
            yield _gangway(vehicle, gangway, end, view)
        if buffers is not None and buffers.is_on(end) and buffers.centres is not None:
            yield from _buffers(vehicle, buffers, end, view)


def _on_ends_from_the_side(vehicle: PlacedVehicle, view: View) -> Iterator[Area]:
    scale, entry = vehicle.scale, vehicle.entry
    for end in ("front", "rear"):
        if entry.gangways is not None and entry.gangways.is_on(end):
            out, foot, tall = (
                scale.to_model(n)
                for n in (entry.gangways.length, entry.gangways.height, entry.gangways.tall)
            )
            foot += vehicle.sizes.rises - vehicle.sizes.settles
            start = -out if end == "front" else vehicle.sizes.length
            yield _gear("gangway", _beyond(view, start, out, (foot, tall)))
        if entry.buffers is not None and entry.buffers.is_on(end):
            out, size = scale.to_model(entry.buffers.length), scale.to_model(entry.buffers.diameter)
            height = _height(vehicle, entry.buffers)
            head = out * HEAD
            start = -out if end == "front" else vehicle.sizes.length
            shank = start + head if end == "front" else start
            face = start if end == "front" else start + out - head
            yield _gear(
                "buffers", _beyond(view, shank, out - head, (height - size / 4.0, size / 2.0))
            )
            yield _gear("buffers", _beyond(view, face, head, (height - size / 2.0, size)))


def _gangway(vehicle: PlacedVehicle, gangway: GangwayEntry, end: str, view: View) -> Area:
    scale, sizes = vehicle.scale, vehicle.sizes
    width, out = scale.to_model(gangway.width), scale.to_model(gangway.length)
    if view is View.ABOVE:
        start = -out if end == "front" else sizes.length
        return _gear("gangway", rectangle(out, width, Point(start, -width / 2.0)))
    foot = scale.to_model(gangway.height) + sizes.rises - sizes.settles
    return _gear(
        "gangway", rectangle(width, scale.to_model(gangway.tall), Point(-width / 2.0, foot))
    )


def _buffers(vehicle: PlacedVehicle, buffers: BufferEntry, end: str, view: View) -> Iterator[Area]:
    assert buffers.centres is not None
    scale = vehicle.scale
    size, out = scale.to_model(buffers.diameter), scale.to_model(buffers.length)
    for side in (-1.0, 1.0):
        middle = side * scale.to_model(buffers.centres) / 2.0
        if view is View.ABOVE:
            start = -out if end == "front" else vehicle.sizes.length
            yield _gear("buffers", rectangle(out, size, Point(start, middle - size / 2.0)))
        else:
            yield _gear("buffers", circle(Point(middle, _height(vehicle, buffers)), size / 2.0))


def _height(vehicle: PlacedVehicle, buffers: BufferEntry) -> float:
    """Return how high the buffers' centres stand: they go up and down with the body."""
    return vehicle.scale.to_model(buffers.height) + vehicle.sizes.rises - vehicle.sizes.settles


def _beyond(view: View, start: float, out: float, upright: tuple[float, float]) -> Outline:
    """Return a rectangle from a station on, its foot and its height as given."""
    foot, tall = upright
    left = min(_across(view, start), _across(view, start + out))
    return rectangle(out, tall, Point(left, foot))


def _across(view: View, station: float) -> float:
    """Return where a station is in the view of a side."""
    return station if view is View.LEFT else -station


def _gear(name: str, outline: Outline, tint: str = TINT) -> Area:
    return Area(outline, tint, INK, EDGE_MM, "running gear", name=name)
