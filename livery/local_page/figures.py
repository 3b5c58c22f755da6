"""The figures of the page, as plain data: flat panels, vehicles from their sides, the train.

A figure is in millimetres on the model, x right and y down from its top left corner, as a screen
has it.  It names paints and not their colours, so that another colour draws nothing again.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fontTools.misc.transform import Transform

from livery.drawing import Area
from livery.geometry.measure import Bounds, area, bounds
from livery.geometry.path_text import write_path
from livery.layout.piece import Piece
from livery.layout.plan import PanelPlan, PlatePlan, SizeRow
from livery.make.drawings.elevation import BARE_METAL, DAYLIGHT
from livery.make.drawings.vehicle_elevation import (
    VIEW_WORDS,
    extent_of,
    train_places,
    vehicle_marks,
)
from livery.make.film.cut_part import CutPart
from livery.rounding import rounded_value
from livery.vehicles.consist import InTrain
from livery.vehicles.placed import PlacedVehicle
from livery.vehicles.view import View

DECIMALS = 3
"""Decimals of a millimetre in a figure (chosen: as in SVG files). Fewer, and zoomed lines are
uneven; more, and answers are longer."""

PAINT = "paint:"
"""Stands before a paint's name where a colour may stand."""


@dataclass(frozen=True)
class DrawnFigure:
    """One thing to see: its name on the page, what group it is in, and its data with their digest."""

    name: str
    group: str
    digest: str
    content: Mapping[str, Any]

    @property
    def head(self) -> dict[str, Any]:
        """The data that the page needs before it draws the figure."""
        kept = ("kind", "title", "width", "height")
        return {
            "name": self.name,
            "group": self.group,
            "digest": self.digest,
            **{key: self.content[key] for key in kept},
        }


def panel_figure(plan: PanelPlan, moves: tuple[int, int]) -> DrawnFigure:
    """Return a panel laid flat as built, with its pieces, sizes and marks.

    ``moves`` says which way a piece goes for a larger place across and up as written: 1 right or
    up, -1 left or down, as on the other hand.
    """
    frame = plan.frame
    box = bounds(frame.outline)
    flip = Transform(1, 0, 0, -1, -box.left, box.top)
    content = {
        "kind": "panel",
        "title": plan.title,
        "panel": plan.name,
        **_extent(box),
        "scale": str(frame.scale),
        "outline": write_path(frame.outline, DECIMALS, flip),
        "pieces": [_piece(piece, flip) for piece in plan.pieces],
        "keepOuts": [
            {
                "name": k.name,
                "kind": k.kind.value,
                "opening": k.is_opening,
                "key": k.key,
                "d": write_path(k.outline, DECIMALS, flip),
            }
            for k in plan.keep_outs
        ],
        "stations": _marks(frame.upright_stations, ("left", "centre", "right")),
        "heights": _marks(frame.level_heights, ("bottom", "middle", "top")),
        "guides": [
            {"label": g.label, "firm": g.firm, "d": write_path(g.contour, DECIMALS, flip)}
            for g in frame.guides
        ],
        "sizes": [_size(row) for row in plan.sizes],
        # Where a place as built lies on the drawing at scale, by straight stretches; a cone and
        # gores have no such axes.
        "drawn": {
            axis: [[round(b, 4), round(d, 4)] for d, b in fit.knots]
            for axis, fit in (("x", frame.fit.x), ("y", frame.fit.y))
        }
        if frame.runs_straight
        else None,
        "moves": moves,
    }
    return _figure(f"panel {plan.name}", "Panels", content)


def film_parts(plan: PanelPlan, parts: Sequence[CutPart]) -> list[dict[str, Any]]:
    """Return the parts of film that lie on a panel, each with its number: they meet at the joins."""
    box = bounds(plan.frame.outline)
    flip = Transform(1, 0, 0, -1, -box.left, box.top)
    return [
        {"number": part.number, "d": write_path(part.outline, DECIMALS, flip)}
        for part in parts
        if part.piece.panel == plan.name
    ]


def plate_figure(plan: PlatePlan) -> DrawnFigure:
    """Return a plate's face as plain areas."""
    from livery.make.drawings.plate_files import plate_picture

    drawing = plate_picture(plan, {plan.paint: PAINT + plan.paint} if plan.paint else {})
    marks = [mark for mark in drawing.marks if isinstance(mark, Area)]
    box = extent_of(marks, on_rail=False)
    flip = Transform(1, 0, 0, -1, -box.left, box.top)
    content = {
        "kind": "plate",
        "title": plan.title,
        **_extent(box),
        "marks": [_mark(mark, flip, {}) for mark in marks],
        "sizes": [_size(row) for row in plan.sizes],
        "key": plan.key,
    }
    return _figure(f"plate {plan.name}", "Plates", content)


def vehicle_figure(
    vehicle: PlacedVehicle, view: View, paints: Sequence[str], plates: tuple[PlatePlan, ...]
) -> DrawnFigure | None:
    """Return a vehicle with its plates seen from one side; None where nothing of it shows."""
    marks = vehicle_marks(vehicle, view, {paint: PAINT + paint for paint in paints}, plates)
    if not marks:
        return None
    on_rail = view is not View.ABOVE
    box = extent_of(marks, on_rail=on_rail)
    flip = Transform(1, 0, 0, -1, -box.left, box.top)
    named = {
        f"{panel.plan.name} {piece.name}": (panel.plan.name, i)
        for panel in vehicle.panels
        for i, piece in enumerate(panel.plan.pieces)
    }
    content = {
        "kind": "vehicle",
        "title": f"{vehicle.title}: {VIEW_WORDS[view]}",
        "vehicle": vehicle.name,
        "view": view.value,
        **_extent(box),
        "onRail": on_rail,
        "marks": [_mark(mark, flip, named) for mark in marks],
    }
    return _figure(f"vehicle {vehicle.name} {view.value}", vehicle.title, content)


def train_figure(
    train: Sequence[InTrain], view: View, title: str, sides: Mapping[str, DrawnFigure]
) -> DrawnFigure | None:
    """Return a train as the sides of its vehicles, each by its figure's digest where it stands."""
    parts = []
    boxes = []
    for one, side, at in train_places(train, view):
        figure = sides.get(f"vehicle {one.vehicle.name} {side.value}")
        if figure is None:
            continue
        c = figure.content
        box = Bounds(c["left"] + at, c["top"] - c["height"], c["left"] + c["width"] + at, c["top"])
        boxes.append(box)
        parts.append((figure, box))
    if not parts:
        return None
    whole = Bounds(
        min(b.left for b in boxes),
        min(b.bottom for b in boxes),
        max(b.right for b in boxes),
        max(b.top for b in boxes),
    )
    content = {
        "kind": "train",
        "title": f"{title}: {VIEW_WORDS[view]}",
        "view": view.value,
        **_extent(whole),
        "onRail": True,
        "parts": [
            {
                "digest": figure.digest,
                "x": round(box.left - whole.left, DECIMALS),
                "y": round(whole.top - box.top, DECIMALS),
            }
            for figure, box in parts
        ],
    }
    return _figure(f"train {view.value}", "Train", content)


def _figure(name: str, group: str, content: Mapping[str, Any]) -> DrawnFigure:
    text = json.dumps(content, sort_keys=True, ensure_ascii=True)
    return DrawnFigure(name, group, hashlib.sha256(text.encode()).hexdigest()[:32], content)


def _extent(box: Bounds) -> dict[str, float]:
    """Return a figure's size, and where its top left corner lies in its own coordinates, y up."""
    sides = {"width": box.width, "height": box.height, "left": box.left, "top": box.top}
    return {name: rounded_value(value, DECIMALS) for name, value in sides.items()}


def _piece(piece: Piece, flip: Transform) -> dict[str, Any]:
    return {
        "name": piece.name,
        "kind": piece.kind.value,
        "paint": piece.paint,
        "process": piece.process.value,
        "key": piece.key,
        "level": piece.level,
        "area": rounded_value(area(piece.outline), 1),
        "d": write_path(piece.outline, DECIMALS, flip),
    }


def _mark(mark: Area, flip: Transform, named: Mapping[str, tuple[str, int]]) -> dict[str, Any]:
    panel, piece = named.get(mark.name, (None, None))
    return {
        "d": write_path(mark.outline, DECIMALS, flip),
        "fill": _shown(mark.fill),
        "stroke": mark.stroke,
        "layer": mark.layer,
        "name": mark.name,
        **({} if panel is None else {"panel": panel, "piece": piece}),
    }


def _shown(fill: str | None) -> str | None:
    """Return a fill; bare metal and the light through openings by name, as the page shows them."""
    return {BARE_METAL: "metal", DAYLIGHT: "opening"}.get(fill or "", fill)


def _marks(places: Mapping[str, float], edges: Sequence[str]) -> list[dict[str, Any]]:
    return [
        {"name": name, "at": rounded_value(at, DECIMALS)}
        for name, at in places.items()
        if name not in edges
    ]


def _size(row: SizeRow) -> dict[str, Any]:
    return {
        "what": row.what,
        "prototype": row.prototype,
        "atScale": rounded_value(row.at_scale, 2),
        "asFitted": rounded_value(row.as_fitted, 2),
        "key": row.key,
    }


def sides_of(
    vehicle: PlacedVehicle, paints: Sequence[str], plates: tuple[PlatePlan, ...]
) -> Iterator[DrawnFigure]:
    """Yield every side of a vehicle on which anything shows."""
    for view in View:
        figure = vehicle_figure(vehicle, view, paints, plates)
        if figure is not None:
            yield figure
