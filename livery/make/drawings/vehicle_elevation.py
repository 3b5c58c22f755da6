"""Elevations of a whole vehicle: its panels seen from where they really are, in colour."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from fontTools.misc.transform import Identity, Offset, Transform

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point, chain
from livery.layout.plan import PanelPlan, PlatePlan
from livery.make.drawings.elevation import BARE_METAL, CAPTION_MM, DAYLIGHT, EDGE_MM, INK, MARGIN_MM
from livery.make.drawings.keep_out_ink import keep_out_inks
from livery.make.drawings.plate_look import marks_on_panel
from livery.make.drawings.running_gear import gear_before, gear_behind
from livery.vehicles.consist import InTrain
from livery.vehicles.crossing import hidden_parts, joined_regions, left_of
from livery.vehicles.facets import Facet, outline_of
from livery.vehicles.hiding import Shown, drawing_order
from livery.vehicles.placed import PlacedPanel, PlacedSurface, PlacedVehicle
from livery.vehicles.view import View
from livery.work_cache import Digested, kept

CHORD_MM = 0.02
"""How finely regions are followed to find what hides what, in millimetres (chosen; nothing is
drawn from it). Larger, and slivers of hidden paint show."""

CUT_GRID_MM = 0.001
"""What is cut where panels cross is set to this grid, in millimetres (by definition: the last place
that drawings write). Larger, and the cut is off; none, and lines of no width stick out of it."""

VIEW_WORDS = {
    View.LEFT: "left side",
    View.RIGHT: "right side",
    View.FRONT: "front",
    View.REAR: "rear",
    View.ABOVE: "from above",
}
_TURNED = {View.LEFT: View.RIGHT, View.RIGHT: View.LEFT}


CAPTION_SHARE = 400.0
"""A long picture has a caption this part of its length high (chosen: or nobody could read it).
Larger, and captions of trains are smaller."""

HIDES_ITSELF = 1e-3
"""A panel of which a larger share lies behind itself is drawn facet by facet (chosen: above what
flattening gives). Larger, and what lies behind is drawn over what lies before."""


@dataclass(frozen=True)
class SeenFacet:
    """A facet, or a panel, in a view: what settles its order, and what is drawn of it."""

    shown: Shown
    marks: tuple[Area, ...]


class VehicleViews:
    """What is drawn of vehicles in given colours; each view of each is worked out once.

    ``colours`` gives each paint's ``#rrggbb``; a paint without one, a clear one, is not drawn.
    Those of the ``plates`` that are fixed to a panel are shown on it.
    """

    def __init__(self, colours: Mapping[str, str], plates: Sequence[PlatePlan] = ()) -> None:
        self._colours = colours
        self._plates = tuple(plates)
        self._known: dict[str, Digested[PlacedVehicle]] = {}
        self._drawn: dict[tuple[str, View], tuple[Area, ...]] = {}

    def of(self, vehicle: PlacedVehicle, view: View) -> tuple[Area, ...]:
        """Return what a view shows of a vehicle, in the view's own coordinates."""
        key = (vehicle.name, view)
        if key not in self._drawn:
            known = self._known.setdefault(vehicle.name, Digested(vehicle))
            self._drawn[key] = _kept_marks(known, view, self._colours, self._plates)
        return self._drawn[key]


def vehicle_elevation(vehicle: PlacedVehicle, view: View, views: VehicleViews) -> Drawing | None:
    """Return the vehicle seen from one side at the model's own size; None where nothing shows."""
    marks = views.of(vehicle, view)
    if not marks:
        return None
    size = f"{vehicle.sizes.length:.1f} mm over headstocks as built, {vehicle.scale}"
    title = f"{vehicle.title}: {VIEW_WORDS[view]}"
    return _sheet(f"vehicle-{vehicle.name}-{view.value}", title, size, marks, view)


def train_elevation(
    train: Sequence[InTrain], view: View, views: VehicleViews, title: str
) -> Drawing | None:
    """Return a whole train from its left or its right at the model's own size."""
    marks = list(train_marks(train, view, views))
    if not marks:
        return None
    size = f"{train[-1].end - train[0].start:.0f} mm over headstocks as built"
    words = f"{title}: {VIEW_WORDS[view]}"
    return _sheet(f"train-{view.value}", words, size, marks, view)


def train_marks(train: Sequence[InTrain], view: View, views: VehicleViews) -> Iterator[Area]:
    """Yield what is drawn of every vehicle, each where it stands in the train."""
    for one, side, at in train_places(train, view):
        yield from moved(views.of(one.vehicle, side), Offset(at, 0.0))


def train_places(train: Sequence[InTrain], view: View) -> Iterator[tuple[InTrain, View, float]]:
    """Yield every vehicle with the side of it that shows and how far right of its own place it is."""
    for one in train:
        side = _TURNED[view] if one.turned else view
        # Of a vehicle seen from its right the front headstock is at 0 and the rear at -length.
        reversed_out = side is View.RIGHT
        at = one.start if view is View.LEFT else -one.start
        if (view is View.LEFT) == reversed_out:
            at += one.vehicle.sizes.length if view is View.LEFT else -one.vehicle.sizes.length
        yield one, side, at


def vehicle_marks(
    vehicle: PlacedVehicle,
    view: View,
    colours: Mapping[str, str],
    plates: tuple[PlatePlan, ...] = (),
) -> tuple[Area, ...]:
    """Return what is drawn of a vehicle in a view's own coordinates; none where nothing shows."""
    return _kept_marks(Digested(vehicle), view, colours, plates)


@kept
def _kept_marks(
    known: Digested[PlacedVehicle],
    view: View,
    colours: Mapping[str, str],
    plates: tuple[PlatePlan, ...],
) -> tuple[Area, ...]:
    vehicle = known.value
    seen = [
        *(
            one
            for panel in vehicle.panels
            for one in _seen_panel(panel, view, tuple(_areas_on(panel.plan, colours, plates)))
        ),
        *(
            _seen_surface(surface, facets, colours.get(surface.paint), view)
            for surface in vehicle.surfaces
            for sheet in surface.sheets
            if (facets := [facet for facet in sheet if view.faces(facet)])
        ),
    ]
    if not seen:
        return ()
    on_end = (
        _arch_from_the_end(surface, colours.get(surface.paint), view)
        for surface in vehicle.surfaces
    )
    seen = _cut_where_crossing(seen)
    order = drawing_order([facet.shown for facet in seen])
    return (
        *(area for areas in on_end for area in areas),
        *gear_behind(vehicle, view),
        *(m for i in order for m in seen[i].marks),
        *gear_before(vehicle, view),
    )


def _seen_panel(panel: PlacedPanel, view: View, areas: Sequence[Area]) -> Iterator[SeenFacet]:
    """Yield what a panel shows: at once, or facet by facet where it hides part of itself."""
    facets = [facet for facet in panel.facets if view.faces(facet)]
    if len(panel.facets) == 1:
        yield from (_seen_flat(facet, view, areas) for facet in facets)
        return
    shown = [_shown(facet, view) for facet in facets]
    whole = joined_regions([one.region for one in shown])
    if sum(one.region.area for one in shown) > whole.area * (1.0 + HIDES_ITSELF):
        for facet, one in zip(facets, shown, strict=True):
            alone = Shown(one.region, one.plane)
            yield SeenFacet(alone, tuple(_seen_bent([facet], one.region, view, areas)))
    elif facets:
        bent = _seen_bent(facets, whole, view, areas)
        yield SeenFacet(Shown(whole, shown[0].plane, tuple(shown)), tuple(bent))


def _cut_where_crossing(seen: Sequence[SeenFacet]) -> list[SeenFacet]:
    """Return all that is seen, without what others hide of panels that cross them."""
    import shapely

    cut = list(seen)
    for i, hidden in hidden_parts([one.shown for one in seen]).items():
        one = seen[i]
        left = left_of(one.shown.region, hidden)
        # On a grid, so that no strip is left between two curves that are the same except for rounding.
        areas = (
            (
                mark,
                shapely.intersection(
                    to_shapely(mark.outline, CHORD_MM), left, grid_size=CUT_GRID_MM
                ),
            )
            for mark in one.marks
        )
        marks = (replace(mark, outline=outline_of(area)) for mark, area in areas)
        cut[i] = SeenFacet(
            one.shown._replace(region=left), tuple(mark for mark in marks if mark.outline)
        )
    return cut


def _areas_on(
    plan: PanelPlan, colours: Mapping[str, str], plates: Sequence[PlatePlan]
) -> Iterator[Area]:
    """Yield what a panel shows, in its own coordinates: metal, paint, openings, edge, plates."""
    yield Area(plan.frame.outline, BARE_METAL, layer="metal")
    for piece in plan.pieces:
        if piece.paint in colours:
            name, fill = f"{plan.name} {piece.name}", colours[piece.paint]
            yield Area(piece.outline, fill, layer="livery", name=name)
    inks = keep_out_inks(plan, colours, BARE_METAL)
    for keep_out, ink in zip(plan.keep_outs, inks, strict=True):
        fill_in = DAYLIGHT if keep_out.is_opening else None
        # One without a name would be taken for the panel's edge, which has the panel's own.
        name = f"{plan.name} {keep_out.name}" if keep_out.name else ""
        yield Area(keep_out.outline, fill_in, ink, EDGE_MM, "keep-outs", name=name)
    yield Area(plan.frame.outline, None, INK, EDGE_MM, "edge", name=plan.name)
    for mark in marks_on_panel(plates, plan.name, colours, Identity):
        yield replace(mark, name=f"{plan.name} {mark.name}")


def _seen_flat(facet: Facet, view: View, areas: Sequence[Area]) -> SeenFacet:
    """Return what a flat panel shows, its curves as they are."""
    return SeenFacet(_shown(facet, view), tuple(moved(areas, view.projected(facet))))


def _seen_bent(
    facets: Sequence[Facet], whole: Any, view: View, areas: Sequence[Area]
) -> Iterator[Area]:
    """Yield what facets that meet show of a panel, without the joints between them.

    ``whole`` is their region in the view; its edge is the panel's own, or where it turns away.
    """
    import shapely
    from shapely.affinity import affine_transform

    regions = [to_shapely(facet.region, CHORD_MM) for facet in facets]
    moves = [view.projected(facet) for facet in facets]

    def seen(outline: Outline) -> Outline:
        parts = shapely.intersection(to_shapely(outline, CHORD_MM), regions)
        return outline_of(
            joined_regions(
                [
                    affine_transform(part, [m.xx, m.yx, m.xy, m.yy, m.dx, m.dy])
                    for part, m in zip(parts, moves, strict=True)
                    if part.area > 0.0
                ]
            )
        )

    for mark in areas:
        is_whole = mark.layer in ("metal", "edge")
        if outline := outline_of(whole) if is_whole else seen(mark.outline):
            yield replace(mark, outline=outline)


def _seen_surface(
    surface: PlacedSurface, facets: Sequence[Facet], fill: str | None, view: View
) -> SeenFacet:
    """Return what a bare surface shows in one piece; an arch never hides part of itself."""
    shown = [_shown(facet, view) for facet in facets]
    if len(shown) == 1:
        whole, outline = shown[0], facets[0].region.transformed(view.projected(facets[0]))
    else:
        region = joined_regions([one.region for one in shown])
        whole, outline = Shown(region, shown[0].plane, tuple(shown)), outline_of(region)
    area = Area(outline, fill or BARE_METAL, INK, EDGE_MM, "bare surfaces", name=surface.name)
    return SeenFacet(whole, (area,))


def _arch_from_the_end(surface: PlacedSurface, fill: str | None, view: View) -> Iterator[Area]:
    """Yield the end of each arched sheet that is seen on edge: from its arc down to its edges.

    It is drawn behind all else: what stands at the end closes it, wholly or in part.
    """
    import shapely

    for sheet in surface.sheets:
        if len(sheet) == 1 or view not in (View.FRONT, View.REAR):
            continue
        if any(view.faces(facet) for facet in sheet):
            continue
        places = [
            view.seen(facet.place(*segment.start))[:2]
            for facet in sheet
            for contour in facet.region
            for segment in contour.segments
        ]
        end = outline_of(shapely.MultiPoint(places).convex_hull)
        if end:
            yield Area(end, fill or BARE_METAL, INK, EDGE_MM, "bare surfaces", name=surface.name)


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


def _sheet(name: str, title: str, size: str, marks: Sequence[Area], view: View) -> Drawing:
    """Return the marks on a page of their own, with the rail and a caption."""
    on_rail = view is not View.ABOVE
    extent = extent_of(marks, on_rail=on_rail)
    words_mm = max(CAPTION_MM, extent.width / CAPTION_SHARE)
    foot = MARGIN_MM + 3.0 * words_mm
    move = Offset(MARGIN_MM - extent.left, foot - extent.bottom)
    width = extent.width + 2 * MARGIN_MM
    placed: list[Mark] = list(on_one_layer(moved(marks, move)))
    if on_rail:
        rail = chain((Point(0.0, move.dy), Point(width, move.dy)), closed=False)
        placed.append(Stroke(rail, INK, 2 * EDGE_MM, layer="rail"))
    at = Point(MARGIN_MM, MARGIN_MM + words_mm)
    below = Point(MARGIN_MM, MARGIN_MM - 0.5 * words_mm)
    placed.append(Label(title, at, words_mm, colour=INK))
    placed.append(Label(size, below, words_mm * 0.7, colour=INK))
    return Drawing(name, title, width, extent.height + foot + MARGIN_MM, tuple(placed))


def on_one_layer(marks: Iterable[Area]) -> Iterator[Area]:
    """Yield marks on one layer: writers keep layers apart, and what is hidden would show again."""
    for mark in marks:
        yield replace(mark, layer="vehicles")


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
