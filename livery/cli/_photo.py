"""The options that say where in a photograph the colours are, and what is known of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from livery.survey.colours import ChartPlace

Command = Callable[..., Any]


def photo_options(command: Command) -> Command:
    """Give a command ``places``, ``knowns``, ``chart_corners``, ``chart_values`` and ``faded``."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


_OPTIONS = (
    click.argument("photo", type=click.Path(path_type=Path)),
    click.option(
        "--at",
        "places",
        multiple=True,
        required=True,
        help='What to sample: "cab side: spot 812,440 30", "rectangle x,y x,y" or '
        '"polygon x,y x,y x,y ...". Repeatable.',
    ),
    click.option(
        "--known",
        "knowns",
        multiple=True,
        help='A card or surface of known colour: "grey card: spot 500,300 20 = 18 %" or '
        '"door: spot 90,80 12 = 38 -32 15". Repeatable.',
    ),
    click.option(
        "--chart",
        "chart_corners",
        help='Middles of a 24-patch chart\'s corner patches, "x,y x,y x,y x,y", from the first '
        "patch of the first row along that row and round.",
    ),
    click.option(
        "--chart-values",
        type=click.Path(path_type=Path),
        help="CSV of the chart's own measured values: row,column,name,L,a,b,white.",
    ),
    click.option(
        "--faded", is_flag=True, help="PHOTO is an old print or slide that may have faded."
    ),
)


def chart_place(corners: str | None, values: Path | None) -> ChartPlace | None:
    """Return the chart in the picture; None where there is none."""
    from livery.colour.photo.chart import published_chart, read_chart
    from livery.findings import fault
    from livery.survey.colours import ChartPlace
    from livery.survey.places import read_points

    if corners is None:
        if values is not None:
            raise fault(
                "chart-corners",
                "The chart's values are given but not where it is.",
                'Add --chart with the middles of its four corner patches: "x,y x,y x,y x,y".',
            )
        return None
    chart = published_chart() if values is None else read_chart(values)
    return ChartPlace(chart, read_points(corners))
