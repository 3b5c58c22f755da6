"""``livery pick``: a page to pick places on a photograph with."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._output import input_files, replace_option
from livery.cli._say import echo

if TYPE_CHECKING:
    from livery.survey.pick_page import PickedPlace


@click.command()
@click.argument("photo", type=click.Path(path_type=Path))
@click.argument("page", type=click.Path(path_type=Path), required=False)
@click.option("--at", "places", multiple=True, help="A place to show, as sampled. Repeatable.")
@click.option("--known", "knowns", multiple=True, help="A known colour to show. Repeatable.")
@click.option("--chart", help="Corner patches of a chart to show.")
@click.option("--rectangle", help="A known rectangle to show.")
@click.option("--length", "lengths", multiple=True, help="A known length to show. Repeatable.")
@replace_option
def command(
    *,
    photo: Path,
    page: Path | None,
    places: tuple[str, ...],
    knowns: tuple[str, ...],
    chart: str | None,
    rectangle: str | None,
    lengths: tuple[str, ...],
    replace: bool,
) -> None:
    """Write PAGE, on which you pick places on PHOTO by clicking in a browser.

    The page shows the commands, and the lines of a description, that use the places you pick. The
    options, written as for "livery sample" and "livery measure", show places on the page. If PAGE
    is left out, it is PHOTO's name with "-places.html", in this folder.
    """
    from livery.survey.pick_page import pick_page
    from livery.write.file import write_file

    marks = [
        *(_region("at", text) for text in places),
        *(_region("known", text) for text in knowns),
        *(_points("chart", text) for text in ([chart] if chart else [])),
        *(_points("rectangle", text) for text in ([rectangle] if rectangle else [])),
        *(_points("length", text) for text in lengths),
    ]
    out = page or Path(f"{photo.stem}-places.html")
    write_file(out, pick_page(photo, marks), reads=input_files("page"), replace=replace)
    echo(f"{out}: open it in a browser")


def _region(kind: str, text: str) -> PickedPlace:
    """Return a region as it is picked, what is known of it kept as it is written."""
    from livery.survey.pick_page import region_place
    from livery.survey.places import read_known_colour, read_region

    place, _, value = (part.strip() for part in text.partition("="))
    if kind == "known":
        read_known_colour(text)  # for its faults
    found = read_region(place)
    return region_place(kind, found.region, "" if found.name == place else found.name, value)


def _points(kind: str, text: str) -> PickedPlace:
    from livery.findings import fault
    from livery.survey.pick_page import PickedPlace
    from livery.survey.places import read_points

    place, _, value = (part.strip() for part in text.partition("="))
    points = read_points(place)
    count = 2 if kind == "length" else 4
    if len(points) != count:
        raise fault(
            "place-count",
            f'"{place}" has {len(points)} points; a {kind} has {count}',
            'Write each point as "x,y" and separate the points with spaces.',
        )
    return PickedPlace(kind, tuple((p.x, p.y) for p in points), value=value)
