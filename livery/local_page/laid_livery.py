"""The livery laid on a photograph: a panel of it, or a whole side of a vehicle."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from livery.findings import fault
from livery.layout.plan import PanelPlan
from livery.local_page.answer import shown_paints
from livery.local_page.open_job import OpenJob
from livery.local_page.picture_desk import findings_data
from livery.vehicles.view import View

if TYPE_CHECKING:
    from livery.make.drawings.on_photograph import LaidPiece, PanelView, VehicleSide

Place = tuple[float, float, float, float]
"""A pick in pixels, then its place on what is laid on, in millimetres."""


def laid_livery(
    job: OpenJob,
    size: tuple[int, int],
    figure: str,
    points: Sequence[Place],
    edges: Sequence[str],
    *,
    is_prototype: bool,
) -> dict[str, Any]:
    """Return the pieces of a panel or of a vehicle's side, by its figure's name, on a photograph of a size."""
    from livery.make.drawings.on_photograph import (
        PanelView,
        laid_on_photograph,
        laid_side_on_photograph,
    )
    from livery.survey.known_points import KnownPoint, KnownPoints
    from livery.survey.lens import fit_lens
    from livery.survey.places import read_points
    from livery.survey.plane import Pick

    lens, lens_findings = fit_lens(size, [read_points(text) for text in edges])
    known = tuple(KnownPoint(Pick(x, y), a, u) for x, y, a, u in points)
    view = PanelView(KnownPoints(known), lens, is_prototype=is_prototype)
    pieces: tuple[LaidPiece, ...]
    kind, _, called = figure.partition(" ")
    if kind == "vehicle":
        side, as_built = _sides(job, called, is_prototype=is_prototype)
        pieces = laid_side_on_photograph(side, _on_drawing(view, as_built, side))
    else:
        pieces = laid_on_photograph(_panel(job, called), view)
    return {
        "pieces": [
            {"name": p.name, "paint": p.paint, "layer": p.layer, "d": p.path} for p in pieces
        ],
        "residuals": [round(r, 2) for r in view.straight.residuals],
        "findings": findings_data((*view.findings, *lens_findings)),
    }


def _panel(job: OpenJob, name: str) -> PanelPlan:
    plan = job.panel(name)
    if plan is None:
        raise fault("overlay-panel", f'"{name}" is not a panel of this job', "Choose another.")
    return plan


def _sides(job: OpenJob, called: str, *, is_prototype: bool) -> tuple[VehicleSide, VehicleSide]:
    """Return the side to lay on, as drawn for the prototype, and the same side as built."""
    from livery.make.drawings.on_photograph import vehicle_side

    name, _, view = called.rpartition(" ")
    built = job.vehicle(name)
    drawn = job.vehicle(name, as_drawn=True) if is_prototype else built
    if built is None or drawn is None or view not in {v.value for v in View}:
        raise fault(
            "overlay-panel", f'"{called}" is not a side of a vehicle of this job', "Choose another."
        )
    paints, plates = shown_paints(job.examined), job.examined.plan.plates
    as_built = vehicle_side(built, View(view), paints, plates)
    if drawn is built:
        return as_built, as_built
    return vehicle_side(drawn, View(view), paints), as_built


def _on_drawing(view: PanelView, built: VehicleSide, drawn: VehicleSide) -> PanelView:
    """Return the view by points of the side as drawn: those as built, moved with its rectangle."""
    from dataclasses import replace

    if drawn is built:
        return view
    of, to = built.extent, drawn.extent
    moved = tuple(
        replace(
            p,
            across_mm=to.left + (p.across_mm - of.left) * to.width / of.width,
            up_mm=to.bottom + (p.up_mm - of.bottom) * to.height / of.height,
        )
        for p in view.points.points
    )
    return replace(view, points=replace(view.points, points=moved))
