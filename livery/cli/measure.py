"""``livery measure``: sizes from a drawing or a photograph."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from livery.cli._output import input_files
from livery.cli._say import echo, say_findings, say_json
from livery.cli._survey import WITHIN_WORDS, known_options, picture_entry

if TYPE_CHECKING:
    from livery.survey.measure import Measure
    from livery.survey.named_sizes import Calibrated
    from livery.survey.survey_file import PictureEntry


NOTHING_ASKED = "No size was asked for: add --distance, --height, --radius, --angle or --stripe with its points."
"""Said where only the known sizes were given."""


@click.command()
@click.argument("picture", type=click.Path(path_type=Path))
@known_options
@click.option("--distance", "distances", multiple=True, help='"name: x,y x,y". Repeatable.')
@click.option(
    "--height",
    "heights",
    multiple=True,
    help='Distance of a point from a line: "name: x,y from x,y x,y". Repeatable.',
)
@click.option(
    "--radius",
    "radii",
    multiple=True,
    help='Radius of an arc: "name: x,y x,y x,y ...". Repeatable.',
)
@click.option(
    "--angle",
    "angles",
    multiple=True,
    help='Angle between two lines: "name: x,y x,y and x,y x,y". Repeatable.',
)
@click.option(
    "--stripe",
    "stripes",
    multiple=True,
    help="Width of a stripe, whose edges are found: "
    '"name: x,y x,y", a line across it with both ends outside. Repeatable.',
)
@click.option(
    "--keep",
    type=click.Path(path_type=Path),
    help="Add PICTURE and every named size to this survey, a TOML file; a description uses them "
    "by name.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the sizes as JSON.")
def command(
    *,
    picture: Path,
    distances: tuple[str, ...],
    heights: tuple[str, ...],
    radii: tuple[str, ...],
    angles: tuple[str, ...],
    stripes: tuple[str, ...],
    keep: Path | None,
    as_json: bool,
    **known: Any,
) -> None:
    """Measure PICTURE by known lengths, a known rectangle seen at an angle, or known points.

    Points are in pixels from the top left corner of the upright picture. The results are sizes of
    the same thing as the known lengths: of the prototype, if those are prototype sizes.
    """
    from livery.survey.keeping import require_named
    from livery.survey.named_sizes import calibrated_picture, measured
    from livery.survey.places import split_name

    every = (*distances, *heights, *radii, *angles, *stripes)
    if keep is not None:
        require_named((split_name(text)[0], text) for text in every)
    entry = picture_entry(picture, **known)
    calibrated = calibrated_picture(entry)
    asked = [
        *_asked("distance", distances),
        *_asked("height", heights),
        *_asked("radius", radii),
        *_asked("angle", angles),
        *_found_stripes(picture, entry, stripes),
    ]
    _require_within(entry, asked)
    sizes = [(a, measured(a.way, a.places, calibrated, a.pick_error)) for a in asked]
    if as_json:
        say_json(
            {
                "checks": _checks(calibrated),
                "sizes": [_size_data(one, size) for one, size in sizes],
                "findings": [f.as_data() for f in calibrated.findings],
            }
        )
    else:
        for check in _checks(calibrated):
            echo(f"known {check['known_mm']} mm reads {check['measured_mm']} mm")
        for one, size in sizes:
            echo(f"{one.name}: {size.in_degrees if one.way == 'angle' else size}")
        echo(WITHIN_WORDS if every else NOTHING_ASKED)
        say_findings(calibrated.findings)
    if keep is not None:
        _keep(keep, entry, asked)


class _Asked(NamedTuple):
    """A size that is asked for: its name, how it is taken, its places, and their error."""

    name: str
    way: str
    places: str
    pick_error: float | None = None


def _asked(way: str, texts: Sequence[str]) -> list[_Asked]:
    """Return each size asked for; unnamed, it is named by its points."""
    from livery.survey.places import split_name

    found = []
    for text in texts:
        name, body = split_name(text)
        found.append(_Asked(name or text, way, body))
    return found


def _found_stripes(picture: Path, entry: PictureEntry, texts: Sequence[str]) -> list[_Asked]:
    from livery.survey.large_picture import open_large
    from livery.survey.places import read_pair
    from livery.survey.stripe import find_stripe

    if not texts:
        return []
    opened = open_large(picture, entry.page, entry.dots_per_inch)
    found = []
    for one in _asked("height", texts):
        _require_within(entry, [one])
        stripe = find_stripe(opened, *read_pair(one.places))
        found.append(one._replace(places=stripe.places, pick_error=round(stripe.pick_error, 3)))
    return found


def _require_within(entry: PictureEntry, asked: Sequence[_Asked]) -> None:
    from livery.survey.places import require_within

    require_within(entry.size, [one.places for one in asked])


def _size_data(one: _Asked, size: Measure) -> dict[str, object]:
    unit = "degrees" if one.way == "angle" else "mm"
    return {
        "name": one.name,
        unit: round(size.mm, 3),
        f"within_95_{unit}": round(size.within_mm, 3),
    }


def _checks(calibrated: Calibrated) -> list[dict[str, float]]:
    return [
        {"known_mm": round(check.known.mm, 2), "measured_mm": round(check.measured_mm, 2)}
        for check in calibrated.checks
    ]


def _keep(survey: Path, entry: PictureEntry, asked: Sequence[_Asked]) -> None:
    from livery.survey.keeping import NewMeasure, keep_in_survey

    measures = [NewMeasure(o.name, o.way, o.places, o.pick_error) for o in asked]
    keep_in_survey(survey, entry, measures, reads=input_files("keep"))
    echo(f"{survey}: kept {len(measures)} {'size' if len(measures) == 1 else 'sizes'}")
    _say_together(survey, {one.name for one in measures})


def _say_together(survey: Path, names: set[str]) -> None:
    """Say what a name comes to that was kept before, and whether the measurements agree."""
    from dataclasses import replace

    from livery.findings import Severity
    from livery.survey.named_sizes import named_sizes
    from livery.survey.survey_file import load_survey

    for name, size in named_sizes(load_survey(survey))[0].items():
        if name in names and len(size.taken) > 1:
            pictures = ", ".join(dict.fromkeys(t.picture for t in size.taken))
            together = "" if size.findings else f", together {size}"
            echo(
                f'"{name}" was kept before: {len(size.taken)} measurements, on {pictures}{together}'
            )
            say_findings([replace(f, severity=Severity.WARNING) for f in size.findings])
