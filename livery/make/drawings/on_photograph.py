"""A livery laid over a photograph, of the model before it is painted or of the prototype: a panel, or a side.

Every piece is carried by the view that known points give, the bend of the lens included, and is
exact to a tenth of a pixel: it stays sharp however near it is looked at.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from livery.colour.photo.perspective import carry_points
from livery.colour.science import FloatArray
from livery.drawing import Area
from livery.findings import Finding, LiveryError, fault
from livery.geometry.flatten import flatten, numbers_of
from livery.geometry.measure import Bounds
from livery.geometry.outline import Outline
from livery.layout.fit import AxisFit
from livery.layout.frame import Frame
from livery.layout.plan import PanelPlan, PlatePlan
from livery.make.drawings.elevation import DAYLIGHT, INK
from livery.make.drawings.vehicle_elevation import extent_of, vehicle_marks
from livery.rounding import written
from livery.survey.known_points import KnownPoint, KnownPoints
from livery.survey.lens import Lens
from livery.survey.plane import Pick
from livery.vehicles.placed import PlacedVehicle
from livery.vehicles.view import View

CHORD_PX = 0.1
"""How far curves are from their chords, in pixels of the photograph (chosen: below what is seen).
Larger, and curves have corners."""

_BENT_STEP_PX = 24.0
"""The distance of points along edges where the lens bends straight lines, in pixels (chosen: a
bend between them is not seen). Larger, and edges leave the photograph's; smaller only takes
time."""

_MOST_NUMBERS = 4_000_000
"""Coordinates of one picture (chosen: some 32 MB); above it the job is refused. Larger, and a
damaged job fills memory."""

_LAYERS = {"edge": "edge", "keep-outs": "fitting"}


@dataclass(frozen=True)
class LaidPiece:
    """One region on a photograph: its paint, or nothing for keep-outs and edges, and its rings.

    ``rings`` are closed, in pixels from the photograph's top left corner, y down; holes are rings
    of the other turn.
    """

    name: str
    paint: str
    layer: str
    rings: tuple[FloatArray, ...]

    @property
    def path(self) -> str:
        """The rings as SVG path text, to a hundredth of a pixel."""
        return " ".join(map(_ring_text, self.rings))


@dataclass(frozen=True)
class VehicleSide:
    """A side of a vehicle to lay on a photograph: regions with the names of their paints.

    Places are those of the view: across from the front headstock, up from the rail, in millimetres.
    """

    areas: tuple[Area, ...]

    @property
    def extent(self) -> Bounds:
        """The rectangle round it, with the rail."""
        return extent_of(self.areas, on_rail=True)


def vehicle_side(
    vehicle: PlacedVehicle, side: View, paints: Iterable[str], plates: tuple[PlatePlan, ...] = ()
) -> VehicleSide:
    """Return a side of a vehicle, without bare metal, wheels and what else is not painted here."""
    names = {paint: paint for paint in paints}
    kept = [
        mark
        for mark in vehicle_marks(vehicle, side, names, plates)
        if mark.outline and (mark.fill in names or mark.layer in _LAYERS)
    ]
    if not kept:
        raise fault(
            "overlay-side",
            f"{vehicle.title} shows nothing from its {side.value}",
            "Choose another side.",
        )
    return VehicleSide(tuple(kept))


@dataclass(frozen=True)
class PanelView:
    """How a photograph shows a panel or a side: by points of it, in millimetres, seen through a lens.

    The points are those as built.  ``is_prototype`` says that it shows the prototype: the panel is then laid as drawn and not as
    built, so that its lines are where the drawing has them.
    """

    points: KnownPoints
    lens: Lens
    is_prototype: bool = False

    @property
    def straight(self) -> KnownPoints:
        """The points as a lens that bends nothing would have them."""
        return self.points.moved(self.lens.pick)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What to know of how well the points agree."""
        return self.straight.findings


def corner_points(box: Bounds, corners: Sequence[Pick]) -> tuple[KnownPoint, ...]:
    """Return four picks as the corners of the rectangle round a panel or a side, from the top left round."""
    if len(corners) != 4:
        raise fault(
            "overlay-corners",
            f"{len(corners)} corners are given; the rectangle round it has four",
            'Write them from the top left round: "120,90 820,150 780,560 150,640".',
        )
    places = (
        (box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)
    )  # fmt: skip
    return tuple(KnownPoint(pick, x, y) for pick, (x, y) in zip(corners, places, strict=True))


def laid_on_photograph(plan: PanelPlan, view: PanelView) -> tuple[LaidPiece, ...]:
    """Return the panel's pieces from the lowest level up, then its keep-outs, then its edge.

    Raises LiveryError where the view does not show the whole of the panel.
    """
    frame = plan.frame
    placed = _as_drawn(frame) if view.is_prototype and frame.runs_straight else np.asarray
    carried = _carrier(frame.extent, placed, view)
    found = [LaidPiece(p.name, p.paint, "livery", carried(p.outline)) for p in plan.pieces]
    for keep_out in plan.keep_outs:
        layer = "opening" if keep_out.is_opening else "fitting"
        found.append(LaidPiece(keep_out.name, "", layer, carried(keep_out.outline)))
    found.append(LaidPiece(plan.name, "", "edge", carried(plan.frame.outline)))
    return _bounded(found)


def laid_side_on_photograph(side: VehicleSide, view: PanelView) -> tuple[LaidPiece, ...]:
    """Return what a side of a vehicle shows, the farthest first, each region by its paint.

    All of it is laid in one plane: what stands nearer the camera or further away than the points picked
    comes out smaller or larger than it is seen, by its distance in hundredths of the camera's.
    Raises LiveryError where the view does not show the whole of the side.
    """
    carried = _carrier(side.extent, np.asarray, view)
    found = []
    for mark in side.areas:
        layer = _LAYERS.get(mark.layer, "livery")
        if mark.fill == DAYLIGHT:
            layer = "opening"
        paint = mark.fill or "" if layer == "livery" else ""
        found.append(LaidPiece(mark.name, paint, layer, carried(mark.outline)))
    return _bounded(found)


def _bounded(found: list[LaidPiece]) -> tuple[LaidPiece, ...]:
    if sum(ring.size for piece in found for ring in piece.rings) > _MOST_NUMBERS:
        raise fault(
            "overlay-large",
            "on a photograph of this size the livery has too many points to draw",
            "Use a smaller photograph.",
            exit_status=1,
        )
    return tuple(found)


def _carrier(
    box: Bounds, placed: Callable[[FloatArray], FloatArray], view: PanelView
) -> Callable[[Outline], tuple[FloatArray, ...]]:
    """Return what carries outlines within a box onto a photograph, as rings of pixels.

    ``placed`` says where places as built lie on what the photograph shows.
    """
    known = view.straight
    places = placed(np.array([(p.across_mm, p.up_mm) for p in known.points]))
    moved = [
        replace(p, across_mm=float(x), up_mm=float(y))
        for p, (x, y) in zip(known.points, places, strict=True)
    ]
    to_picture = replace(known, points=tuple(moved)).to_picture
    around = np.array(
        [(box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)]
    )
    _require_in_view(to_picture, placed(around))
    span = np.ptp(carry_points(to_picture, placed(around)), axis=0).max()
    pixels_per_mm = float(span) / max(box.width, box.height)
    bends = view.lens.bend != 0.0 or view.is_prototype

    def carried(outline: Outline) -> tuple[FloatArray, ...]:
        rings = []
        for contour in outline:
            points = flatten(contour, CHORD_PX / pixels_per_mm)
            if len(points) < 3:
                continue
            ring = numbers_of(points)
            if bends:
                ring = _with_points_between(ring, _BENT_STEP_PX / pixels_per_mm)
            rings.append(view.lens.bent(carry_points(to_picture, placed(ring))))
        if any(not np.isfinite(ring).all() for ring in rings):
            raise _beyond_view()
        return tuple(rings)

    return carried


def _as_drawn(frame: Frame) -> Callable[[FloatArray], FloatArray]:
    """Return what carries places (n, 2) as built back to where the drawing has them, at scale."""

    def drawn(places: FloatArray) -> FloatArray:
        axes = (frame.fit.x, frame.fit.y)
        return np.column_stack([_drawn(fit, places[:, i]) for i, fit in enumerate(axes)])

    return drawn


def _drawn(fit: AxisFit, built: FloatArray) -> FloatArray:
    """Return drawn places of places as built along one axis; outside the knots at scale."""
    to, of = np.array(fit.knots).T
    outside = np.minimum(built - of[0], 0.0) + np.maximum(built - of[-1], 0.0)
    return np.asarray(np.interp(built, of, to) + outside)


def _with_points_between(ring: FloatArray, step: float) -> FloatArray:
    """Return a ring with points along its sides, none further from the next than ``step``."""
    sides = np.roll(ring, -1, axis=0) - ring
    counts = np.maximum(1, np.ceil(np.hypot(sides[:, 0], sides[:, 1]) / step)).astype(int)
    which = np.repeat(np.arange(len(ring)), counts)
    share = (np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[which]
    return np.asarray(ring[which] + sides[which] * share[:, None])


def _require_in_view(to_picture: FloatArray, corners: FloatArray) -> None:
    depths = corners @ to_picture[2, :2] + to_picture[2, 2]
    if depths.min() * depths.max() <= 0.0:
        raise _beyond_view()


def _beyond_view() -> LiveryError:
    return fault(
        "overlay-view",
        "with these points, part of the panel lies behind the camera",
        "Check that each point is picked where it is said to lie, in order round the panel.",
        exit_status=1,
    )


def overlay_svg(
    size: tuple[int, int],
    pieces: Iterable[LaidPiece],
    colours: Mapping[str, str],
    *,
    strength: float,
    lines_only: bool = False,
) -> str:
    """Return what is laid on, without the photograph, as SVG text of ``size`` in pixels.

    ``colours`` gives each paint's ``#rrggbb``; a paint without one is not drawn.  ``strength`` is
    0 to 1; with ``lines_only`` only the edges of the pieces are drawn, to compare lines by.
    """
    import svgwrite

    width, height = size
    svg = svgwrite.Drawing(size=(width, height), viewBox=f"0 0 {width} {height}", debug=False)
    group = svg.g(opacity=f"{strength:.3f}", fill_rule="nonzero")
    line = max(1.0, math.hypot(width, height) / 1200.0)
    for piece in pieces:
        colour = colours.get(piece.paint) if piece.layer == "livery" else None
        if piece.layer == "livery" and colour is None:
            continue
        path = svg.path(d=piece.path)
        if lines_only or colour is None:
            stroke = colour if lines_only and colour else INK
            path.update({"fill": "none", "stroke": stroke, "stroke-width": f"{line:.2f}"})
        else:
            path["fill"] = colour
        group.add(path)
    svg.add(group)
    return str(svg.tostring())


def _ring_text(ring: FloatArray) -> str:
    points = (f"{written(float(x), 2)} {written(float(y), 2)}" for x, y in ring)
    return f"M{' '.join(points)}Z"
