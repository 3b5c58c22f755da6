"""``livery overlay``: a job's livery laid over a photograph."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._output import input_files, replace_option
from livery.cli._say import echo, say_findings

if TYPE_CHECKING:
    from livery.describe.values import Position
    from livery.examined import Examined
    from livery.geometry.measure import Bounds
    from livery.make.drawings.on_photograph import LaidPiece, PanelView, VehicleSide
    from livery.survey.known_points import KnownPoint
    from livery.survey.lens import Lens


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("photo", type=click.Path(path_type=Path))
@click.argument("png", type=click.Path(path_type=Path))
@click.option(
    "--on",
    "places",
    multiple=True,
    required=True,
    help='Where a panel is on PHOTO: "side: x,y x,y x,y x,y", the corners of the rectangle round '
    'it, from the top left round; or four and more known points, "side: x,y = left, top; '
    'x,y = 3 ft, waist; ...". A whole vehicle by its side, "318 left: ...", the rectangle down to the '
    "rail. Repeatable.",
)
@click.option(
    "--strength",
    type=click.FloatRange(0, 100),
    default=100,
    show_default=True,
    help="How much it covers, in per cent: 50 lets the photograph show through by half.",
)
@click.option("--lines", is_flag=True, help="Draw only the edges of all pieces.")
@click.option(
    "--prototype",
    is_flag=True,
    help="PHOTO shows the prototype: lay the panel as drawn, not as built.",
)
@click.option(
    "--edge",
    "edges",
    multiple=True,
    help="Points along an edge that is straight in reality: the livery follows the bend that the "
    "lens adds. Repeatable.",
)
@replace_option
def command(
    *,
    job: Path,
    photo: Path,
    png: Path,
    places: tuple[str, ...],
    strength: float,
    lines: bool,
    prototype: bool,
    edges: tuple[str, ...],
    replace: bool,
) -> None:
    """Write PNG: PHOTO with the livery of JOB laid over it, to judge it before painting.

    Points are in pixels from the top left corner of the upright picture.  With --prototype
    and --lines, compare the lines of the livery with those on a photograph of the prototype.
    """
    from livery.make.drawings.on_photograph import overlay_svg
    from livery.pipeline import examine, require_sound
    from livery.survey.laid_picture import with_overlay
    from livery.survey.lens import fit_lens
    from livery.survey.photograph import load_photograph, upright_size
    from livery.survey.places import read_points, require_within, split_name
    from livery.write.file import require_free, write_file

    reads = input_files("png")
    require_free(png, reads=reads, replace=replace)
    examined = examine(job)
    require_sound(examined)
    size = upright_size(photo)
    require_within(size, (*places, *edges))
    lens, lens_findings = fit_lens(size, [read_points(split_name(text)[1]) for text in edges])
    pieces: list[LaidPiece] = []
    remarks = list(lens_findings)
    for text in places:
        laid, view = _laid(examined, text, lens, is_prototype=prototype)
        pieces += laid
        remarks += [f for f in view.findings if f not in remarks]
    svg = overlay_svg(
        size, pieces, examined.shown_colours, strength=strength / 100, lines_only=lines
    )
    write_file(png, with_overlay(load_photograph(photo).picture, svg), reads=reads, replace=replace)
    echo(f"{png}: {size[0]} x {size[1]} pixels")
    say_findings(remarks)


def _laid(
    examined: Examined, text: str, lens: Lens, *, is_prototype: bool
) -> tuple[Sequence[LaidPiece], PanelView]:
    """Return what a text lays on the photograph, a panel or a side, and how it is seen there."""
    from livery.make.drawings.on_photograph import (
        PanelView,
        laid_on_photograph,
        laid_side_on_photograph,
    )
    from livery.survey.known_points import KnownPoints
    from livery.survey.places import split_name

    name, body = split_name(text)
    plan = next((p for p in examined.plan.panels if p.name == name), None)
    if plan is not None:
        frame = plan.frame
        points = _points(body, frame.extent, frame.point)
        view = PanelView(KnownPoints(points), lens, is_prototype=is_prototype)
        return laid_on_photograph(plan, view), view
    side = _side(examined, name, is_prototype=is_prototype)
    box, scale = side.extent, examined.plan.panels[0].frame.scale
    edges = {"left": box.left, "right": box.right, "bottom": box.bottom, "top": box.top}

    def place(positions: tuple[Position, Position]) -> tuple[float, float]:
        x, y = (edges[p.datum] if p.datum else 0.0 for p in positions)
        across, up = (scale.to_model(p.offset) for p in positions)
        return x + across, y + up

    view = PanelView(KnownPoints(_points(body, box, place)), lens, is_prototype=is_prototype)
    return laid_side_on_photograph(side, view), view


def _side(examined: Examined, name: str, *, is_prototype: bool) -> VehicleSide:
    from livery.findings import fault
    from livery.make.drawings.on_photograph import vehicle_side
    from livery.vehicles.as_drawn import vehicles_as_drawn
    from livery.vehicles.view import View

    called, _, view = name.rpartition(" ")
    views = {v.value: v for v in View}
    built = examined.vehicles.placed
    vehicles = vehicles_as_drawn(examined.description) if is_prototype else built
    vehicle = next((v for v in vehicles if v.name == called), None)
    if vehicle is None or view not in views:
        sides = [f"{v.name} {view}" for v in built for view in ("left", "right")]
        known = ", ".join(f'"{n}"' for n in (*(p.name for p in examined.plan.panels), *sides))
        message = f'"{name}" is not a panel of this job or a side of a vehicle'
        raise fault("overlay-panel", message, f"Write one of {known}.")
    plates = () if is_prototype else examined.plan.plates
    return vehicle_side(vehicle, views[view], examined.shown_colours, plates)


def _points(
    body: str, box: Bounds, place: Callable[[tuple[Position, Position]], Iterable[float]]
) -> tuple[KnownPoint, ...]:
    """Return where points are on the photograph: the corners of a box, or each by its place."""
    from livery.make.drawings.on_photograph import corner_points
    from livery.survey.places import read_points

    if "=" not in body:
        return corner_points(box, read_points(body))
    return tuple(_known_point(place, one) for one in body.split(";") if one.strip())


def _known_point(
    place: Callable[[tuple[Position, Position]], Iterable[float]], text: str
) -> KnownPoint:
    from pydantic_core import PydanticCustomError

    from livery.describe.values import to_position
    from livery.findings import LiveryError, fault
    from livery.survey.known_points import KnownPoint
    from livery.survey.places import read_points

    pick, _, where = (part.strip() for part in text.partition("="))
    picks, parts = read_points(pick), where.split(",")
    try:
        if len(picks) != 1 or len(parts) != 2:
            raise ValueError
        x, y = place((to_position(parts[0].strip()), to_position(parts[1].strip())))
    except (ValueError, KeyError, PydanticCustomError, LiveryError):
        raise fault(
            "overlay-point",
            f'"{text.strip()}" does not say where a point is on the panel',
            'Write "x,y = ACROSS, UP", each as in the description: "812,440 = 3 ft, waist".',
        ) from None
    return KnownPoint(picks[0], x, y)
