"""The option that lightens a colour for the scale effect, and its words in the output."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from livery.colour.haze import Haze


def _read(_context: click.Context, _option: click.Parameter, text: str | None) -> Haze | None:
    from livery.colour.haze import read_haze

    return None if text is None else read_haze(text)


haze_option = click.option(
    "--haze",
    metavar="SHARE|DISTANCE",
    callback=_read,
    help='Haze that lightens the colour, for the scale effect: a share, "3 %", or the distance '
    'from which the prototype is seen, "40 yd" or "30 m", in clear air (visual range 20 km). '
    "None if left out.",
)


def haze_data(haze: Haze | None) -> dict[str, object]:
    """Return the haze as plain data for JSON; without a distance if none was given."""
    data: dict[str, object] = {"haze_per_cent": haze.per_cent if haze else 0}
    return data | {"haze_distance": haze.distance} if haze and haze.distance else data
