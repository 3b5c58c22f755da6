"""``livery overlay``: a job's livery laid over a photograph."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._output import input_files, replace_option
from livery.cli._say import echo, say_findings

if TYPE_CHECKING:
    from livery.layout.frame import Frame
    from livery.layout.plan import PanelPlan
    from livery.make.drawings.on_photograph import LaidPiece
    from livery.survey.known_points import KnownPoint


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
    'x,y = 3 ft, waist; ...". Repeatable.',
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
    help="Points along an edge that is straight on the thing itself: what the lens bends of it "
    "is followed. Repeatable.",
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
    from livery.make.drawings.on_photograph import PanelView, laid_on_photograph, overlay_svg
    from livery.pipeline import examine, require_sound
    from livery.survey.known_points import KnownPoints
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
        plan, points = _panel_points(examined.plan.panels, text)
        view = PanelView(KnownPoints(points), lens, is_prototype=prototype)
        pieces += laid_on_photograph(plan, view)
        remarks += [f for f in view.findings if f not in remarks]
    svg = overlay_svg(
        size, pieces, examined.shown_colours, strength=strength / 100, lines_only=lines
    )
    write_file(png, with_overlay(load_photograph(photo).picture, svg), reads=reads, replace=replace)
    echo(f"{png}: {size[0]} x {size[1]} pixels")
    say_findings(remarks)


def _panel_points(
    panels: Sequence[PanelPlan], text: str
) -> tuple[PanelPlan, tuple[KnownPoint, ...]]:
    """Return the panel that a text names, and where its points are on the photograph."""
    from livery.findings import fault
    from livery.make.drawings.on_photograph import corner_points
    from livery.survey.places import read_points, split_name

    name, body = split_name(text)
    plan = next((p for p in panels if p.name == name), None)
    if plan is None:
        known = ", ".join(f'"{p.name}"' for p in panels)
        raise fault("overlay-panel", f'"{name}" is no panel of this job', f"Write one of {known}.")
    if "=" not in body:
        return plan, corner_points(plan.frame, read_points(body))
    known_points = (_known_point(plan.frame, one) for one in body.split(";") if one.strip())
    return plan, tuple(known_points)


def _known_point(frame: Frame, text: str) -> KnownPoint:
    from pydantic_core import PydanticCustomError

    from livery.describe.values import to_position
    from livery.findings import LiveryError, fault
    from livery.survey.known_points import KnownPoint
    from livery.survey.places import read_points

    pick, _, place = (part.strip() for part in text.partition("="))
    picks, parts = read_points(pick), place.split(",")
    try:
        if len(picks) != 1 or len(parts) != 2:
            raise ValueError
        x, y = frame.point((to_position(parts[0].strip()), to_position(parts[1].strip())))
    except (ValueError, PydanticCustomError, LiveryError):
        raise fault(
            "overlay-point",
            f"{text.strip()!r} does not say where a point lies on the panel.",
            'Write "x,y = ACROSS, UP", each as in the description: "812,440 = 3 ft, waist".',
        ) from None
    return KnownPoint(picks[0], x, y)
