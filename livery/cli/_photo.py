"""The options that say where in a photograph the colours are, and what is known of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

Command = Callable[..., Any]


def photo_options(command: Command) -> Command:
    """Give a command the options of photographs.

    They are ``places``, ``knowns``, ``chart_corners``, ``chart_values``, ``faded`` and ``daylight``.
    """
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
        help='Middles of a chart\'s four corner patches, "x,y x,y x,y x,y", from the first '
        "patch of the first row along that row and round.",
    ),
    click.option(
        "--chart-values",
        type=click.Path(path_type=Path),
        help="CSV of the chart's own measured values: row,column,name,L,a,b,white; the published "
        "24 patches if left out.",
    ),
    click.option(
        "--faded", is_flag=True, help="PHOTO is an old print or slide that may have faded."
    ),
    click.option(
        "--daylight",
        is_flag=True,
        help="PHOTO was taken in daylight: without a chart, this makes its colours more certain.",
    ),
)
