"""``livery measure``: sizes off a drawing or a photograph."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from livery.cli._say import echo, say_findings, say_json

if TYPE_CHECKING:
    from livery.survey.lens import Lens
    from livery.survey.measure import Measure
    from livery.survey.plane import Pick, PlaneCalibration


@click.command()
@click.argument("picture", type=click.Path(path_type=Path))
@click.option(
    "--length",
    "lengths",
    multiple=True,
    help='A known length: "120,90 820,96 = 22 ft 6 in". Repeatable; more lengths check each other.',
)
@click.option(
    "--rectangle",
    help="A known rectangle seen at an angle, from its top left corner round: "
    '"120,90 820,150 780,560 150,640 = 8 ft x 6 ft 3 in".',
)
@click.option("--distance", "distances", multiple=True, help='"name: x,y x,y". Repeatable.')
@click.option(
    "--height",
    "heights",
    multiple=True,
    help='How far a point stands off a line: "name: x,y from x,y x,y". Repeatable.',
)
@click.option(
    "--radius", "radii", multiple=True, help='Of an arc: "name: x,y x,y x,y ...". Repeatable.'
)
@click.option(
    "--edge",
    "edges",
    multiple=True,
    help="Points along an edge that is straight on the thing itself: what the lens bends of it "
    "is taken out of every pick. Repeatable.",
)
@click.option(
    "--pick-error",
    type=click.FloatRange(0.01, 50),
    default=1.0,
    show_default=True,
    help="How well a point can be picked: its standard error in pixels.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the sizes as JSON.")
def command(
    *,
    picture: Path,
    lengths: tuple[str, ...],
    rectangle: str | None,
    distances: tuple[str, ...],
    heights: tuple[str, ...],
    radii: tuple[str, ...],
    edges: tuple[str, ...],
    pick_error: float,
    as_json: bool,
) -> None:
    """Measure PICTURE by known lengths, or by one known rectangle seen at an angle.

    Points are in pixels from the top left corner of the upright picture. Sizes come out as
    those of the known lengths: prototype sizes from prototype sizes.
    """
    from livery.survey.lens import fit_lens
    from livery.survey.photograph import upright_size
    from livery.survey.places import read_points, require_within, split_name

    size = upright_size(picture)
    require_within(size, (*lengths, rectangle or "", *distances, *heights, *radii, *edges))
    straight = [read_points(split_name(text)[1]) for text in edges]
    lens, lens_findings = fit_lens(size, straight, pick_error)
    asked = _asked(distances, heights, radii)
    as_picked = _calibration(lengths, rectangle, pick_error)
    calibration = as_picked.moved(lens.pick)
    found = _sizes(as_picked, asked, lens)
    remarks = [*calibration.findings, *lens_findings]
    if as_json:
        say_json(
            {
                "checks": _checks(calibration),
                "sizes": [
                    {"name": n, "mm": round(m.mm, 3), "within_95_mm": round(m.within_mm, 3)}
                    for n, m in found
                ],
                "findings": [f.as_data() for f in remarks],
            }
        )
        return
    for check in _checks(calibration):
        echo(f"known {check['known_mm']} mm reads {check['measured_mm']} mm")
    for name, measure in found:
        echo(f"{name}: {measure}")
    say_findings(remarks)


class _Asked(NamedTuple):
    """A size that is asked for: its name, its picks, and how it is taken off them."""

    name: str
    picks: tuple[Pick, ...]
    take: Callable[[PlaneCalibration, tuple[Pick, ...]], Measure]


def _asked(
    distances: tuple[str, ...], heights: tuple[str, ...], radii: tuple[str, ...]
) -> list[_Asked]:
    """Return each size asked for; unnamed, it is named by its points."""
    from livery.survey.measure import distance, height, radius
    from livery.survey.places import read_points, split_name

    found = []
    for text in distances:
        name, body = split_name(text)
        ends = _two(read_points(body), text)
        found.append(_Asked(name or text, ends, lambda c, p: distance(c, p[0], p[1])))
    for text in heights:
        name, body = split_name(text)
        point, base = _height_points(body)
        found.append(
            _Asked(name or text, (point, *base), lambda c, p: height(c, p[0], (p[1], p[2])))
        )
    for text in radii:
        name, body = split_name(text)
        found.append(_Asked(name or text, read_points(body), radius))
    return found


def _sizes(
    calibration: PlaneCalibration, asked: list[_Asked], lens: Lens
) -> list[tuple[str, Measure]]:
    """Return each size as the lens would have it that bends nothing, uncertain by the bend too."""

    def sizes(through: Lens) -> list[Measure]:
        known = calibration.moved(through.pick)
        return [one.take(known, through.picks(one.picks)) for one in asked]

    found = sizes(lens)
    if lens.error:
        less, more = (sizes(other) for other in lens.varied())
        found = [
            size.with_uncertainty((b.mm - a.mm) / 2.0)
            for size, a, b in zip(found, less, more, strict=True)
        ]
    return [(one.name, size) for one, size in zip(asked, found, strict=True)]


def _calibration(
    lengths: tuple[str, ...], rectangle: str | None, pick_error: float
) -> PlaneCalibration:
    from livery.findings import fault
    from livery.survey.places import read_known_length, read_known_rectangle
    from livery.survey.plane import ScaleByLengths

    if rectangle is None:
        return ScaleByLengths(tuple(read_known_length(text) for text in lengths), pick_error)
    if lengths:
        raise fault(
            "two-calibrations",
            "Both lengths and a rectangle are given.",
            "Keep one kind; measure the other with --distance to see how well it agrees.",
        )
    return read_known_rectangle(rectangle, pick_error)


def _two(points: tuple[Pick, ...], text: str) -> tuple[Pick, Pick]:
    from livery.findings import fault

    if len(points) != 2:
        raise fault(
            "place-two", f"{text!r} needs two points; it has {len(points)}.", 'Write "x,y x,y".'
        )
    return points[0], points[1]


def _height_points(body: str) -> tuple[Pick, tuple[Pick, Pick]]:
    from livery.findings import fault
    from livery.survey.places import read_points

    top, word, base = body.partition(" from ")
    points = read_points(top)
    if not word or len(points) != 1:
        raise fault(
            "place-height",
            f"{body!r} is not a height.",
            'Write the point and two points of the line below it: "400,90 from 100,600 900,604".',
        )
    return points[0], _two(read_points(base), base)


def _checks(calibration: PlaneCalibration) -> list[dict[str, float]]:
    from livery.survey.plane import ScaleByLengths

    if not isinstance(calibration, ScaleByLengths) or len(calibration.lengths) < 2:
        return []
    return [
        {"known_mm": round(check.known.mm, 2), "measured_mm": round(check.measured_mm, 2)}
        for check in calibration.checks
    ]
