"""Elevations of a whole vehicle: its panels seen from where they really are, in colour."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fontTools.misc.transform import Offset, Transform

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.boolean import intersection
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import EMPTY, Outline, Point, chain
from livery.geometry.shapes import circle, rectangle
from livery.layout.plan import PanelPlan
from livery.make.drawings.elevation import BARE_METAL, CAPTION_MM, DAYLIGHT, EDGE_MM, INK, MARGIN_MM
from livery.vehicles.consist import InTrain
from livery.vehicles.facets import Facet
from livery.vehicles.hiding import Shown, drawing_order
from livery.vehicles.placed import PlacedVehicle
from livery.vehicles.view import View

RUNNING_GEAR = "#d9dcdd"
"""The tint of wheels and buffers, which are drawn for scale only."""

CHORD_MM = 0.02
"""How finely regions are followed to find what hides what; nothing is drawn from it."""


VIEW_WORDS = {
    View.LEFT: "left side",
    View.RIGHT: "right side",
    View.FRONT: "front",
    View.REAR: "rear",
    View.ABOVE: "from above",
}
_TURNED = {View.LEFT: View.RIGHT, View.RIGHT: View.LEFT}


@dataclass(frozen=True)
class SeenFacet:
    """A facet in a view: what settles its order, and what is drawn of it."""

    shown: Shown
    marks: tuple[Area, ...]


def vehicle_elevation(
    vehicle: PlacedVehicle, view: View, colours: Mapping[str, str]
) -> Drawing | None:
    """Return the vehicle seen from one side at the model's own size; None where nothing shows.

    ``colours`` gives each paint's ``#rrggbb``; a paint without one, a clear one, is not drawn.
    """
    marks = vehicle_marks(vehicle, view, colours)
    if not marks:
        return None
    size = f"{vehicle.sizes.length:.1f} mm over headstocks as built, {vehicle.scale}"
    title = f"{vehicle.title}: {VIEW_WORDS[view]}"
    return _sheet(f"vehicle-{vehicle.name}-{view.value}", title, size, marks, view)


def train_elevation(
    train: Sequence[InTrain], view: View, colours: Mapping[str, str], title: str
) -> Drawing | None:
    """Return a whole train from its left or its right at the model's own size."""
    marks = list(train_marks(train, view, colours))
    if not marks:
        return None
    size = f"{train[-1].end - train[0].start:.0f} mm over headstocks as built"
    words = f"{title}: {VIEW_WORDS[view]}"
    return _sheet(f"train-{view.value}", words, size, marks, view)


def train_marks(train: Sequence[InTrain], view: View, colours: Mapping[str, str]) -> Iterator[Area]:
    """Yield what is drawn of every vehicle, each where it stands in the train."""
    for one in train:
        side = _TURNED[view] if one.turned else view
        marks = vehicle_marks(one.vehicle, side, colours)
        # Of a vehicle seen from its right the front headstock is at 0 and the rear at -length.
        reversed_out = side is View.RIGHT
        at = one.start if view is View.LEFT else -one.start
        if (view is View.LEFT) == reversed_out:
            at += one.vehicle.sizes.length if view is View.LEFT else -one.vehicle.sizes.length
        yield from moved(marks, Offset(at, 0.0))


def vehicle_marks(
    vehicle: PlacedVehicle, view: View, colours: Mapping[str, str]
) -> tuple[Area, ...]:
    """Return what is drawn of a vehicle in a view's own coordinates; none where nothing shows."""
    seen = [
        *(
            _seen_panel(panel.plan, facet, view, colours)
            for panel in vehicle.panels
            for facet in panel.facets
            if view.faces(facet)
        ),
        *(
            _seen_surface(surface.name, colours.get(surface.paint), surface.facet, view)
            for surface in vehicle.surfaces
            if view.faces(surface.facet)
        ),
    ]
    if not seen:
        return ()
    order = drawing_order([facet.shown for facet in seen])
    return (*_running_gear(vehicle, view), *(m for i in order for m in seen[i].marks))


def _seen_panel(plan: PanelPlan, facet: Facet, view: View, colours: Mapping[str, str]) -> SeenFacet:
    """Return what a facet of a panel shows; only what is flat has edges drawn.

    On a curved panel an edge would be drawn round every facet.
    """
    is_whole = facet.region is plan.frame.outline
    move = view.projected(facet)
    marks = [Area(facet.region.transformed(move), BARE_METAL, layer="metal")]
    for piece in plan.pieces:
        outline = piece.outline if is_whole else _on_facet(piece.outline, facet)
        if piece.paint in colours and outline:
            name = f"{plan.name} {piece.name}"
            fill = colours[piece.paint]
            marks.append(Area(outline.transformed(move), fill, layer="livery", name=name))
    for keep_out in plan.keep_outs:
        name = f"{plan.name} {keep_out.name}"
        if is_whole:
            fill_in = DAYLIGHT if keep_out.is_opening else None
            outline = keep_out.outline.transformed(move)
            marks.append(Area(outline, fill_in, INK, EDGE_MM, "keep-outs", name))
        elif keep_out.is_opening and (cut := _on_facet(keep_out.outline, facet)):
            marks.append(Area(cut.transformed(move), DAYLIGHT, layer="keep-outs", name=name))
    if is_whole:
        marks.append(Area(facet.region.transformed(move), None, INK, EDGE_MM, "edge", plan.name))
    return SeenFacet(_shown(facet, view), tuple(marks))


def _on_facet(outline: Outline, facet: Facet) -> Outline:
    one, other = bounds(outline), bounds(facet.region)
    apart = (
        one.right <= other.left
        or one.left >= other.right
        or one.top <= other.bottom
        or one.bottom >= other.top
    )
    return EMPTY if apart else intersection(outline, facet.region)


def _seen_surface(name: str, fill: str | None, facet: Facet, view: View) -> SeenFacet:
    outline = facet.region.transformed(view.projected(facet))
    return SeenFacet(
        _shown(facet, view),
        (Area(outline, fill or BARE_METAL, INK, EDGE_MM, "bare surfaces", name),),
    )


def _shown(facet: Facet, view: View) -> Shown:
    """Return a facet's region in the view, and the plane of its nearness over the view."""
    move = view.projected(facet)
    region = to_shapely(facet.region.transformed(move), CHORD_MM)
    (_, _, across), (_, _, up) = view.seen(facet.across), view.seen(facet.up)
    near = view.seen(facet.origin)[2]
    # Nearness runs straight over the panel; carried back from the view to the panel it is a plane.
    xx, xy, yx, yy, dx, dy = move.inverse()
    return Shown(
        region,
        (across * xx + up * xy, across * yx + up * yy, near + across * dx + up * dy),
    )


def _running_gear(vehicle: PlacedVehicle, view: View) -> Iterator[Area]:
    """Yield plain outlines of wheels and buffers, where the view shows them square on."""
    entry, scale = vehicle.entry, vehicle.scale

    def gear(outline: Outline) -> Area:
        return Area(outline, RUNNING_GEAR, INK, EDGE_MM, "running gear")

    if view in (View.LEFT, View.RIGHT):
        forward = 1.0 if view is View.LEFT else -1.0
        for wheel in entry.wheels:
            radius = scale.to_model(wheel.diameter) / 2.0
            yield gear(circle(Point(forward * scale.to_model(wheel.station), radius), radius))
        if entry.buffers is not None:
            height, size, out = (
                scale.to_model(n)
                for n in (entry.buffers.height, entry.buffers.diameter, entry.buffers.length)
            )
            for start in (-out, vehicle.sizes.length):
                left = start if view is View.LEFT else -start - out
                yield gear(rectangle(out, size, Point(left, height - size / 2.0)))


def _sheet(name: str, title: str, size: str, marks: Sequence[Area], view: View) -> Drawing:
    """Return the marks on a page of their own, with the rail and a caption."""
    on_rail = view is not View.ABOVE
    extent = extent_of(marks, on_rail=on_rail)
    move = Offset(MARGIN_MM - extent.left, 2 * MARGIN_MM - extent.bottom)
    width = extent.width + 2 * MARGIN_MM
    placed: list[Mark] = list(moved(marks, move))
    if on_rail:
        rail = chain((Point(0.0, move.dy), Point(width, move.dy)), closed=False)
        placed.append(Stroke(rail, INK, 2 * EDGE_MM, layer="rail"))
    at = Point(MARGIN_MM, MARGIN_MM)
    below = Point(MARGIN_MM, MARGIN_MM - 1.8 * CAPTION_MM)
    placed.append(Label(title, at, CAPTION_MM, colour=INK))
    placed.append(Label(size, below, CAPTION_MM * 0.7, colour=INK))
    return Drawing(name, title, width, extent.height + 3 * MARGIN_MM, tuple(placed))


def moved(marks: Sequence[Area], move: Transform) -> Iterator[Area]:
    """Yield marks carried by a transform."""
    for mark in marks:
        yield replace(mark, outline=mark.outline.transformed(move))


def extent_of(marks: Sequence[Area], *, on_rail: bool) -> Bounds:
    """Return the rectangle round all that is drawn, with the rail where it shows."""
    boxes = [bounds(mark.outline) for mark in marks if mark.outline]
    bottoms = [box.bottom for box in boxes] + ([0.0] if on_rail else [])
    return Bounds(
        min(box.left for box in boxes),
        min(bottoms),
        max(box.right for box in boxes),
        max(box.top for box in boxes),
    )
