"""The option for the CIE standard observer of a colour."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

Command = Callable[..., Any]


def observer_option(
    *names: str, about: str, default: str | None = "2"
) -> Callable[[Command], Command]:
    """Return the option of these names for an observer of 2 or 10 degrees; ``about`` is its help."""
    return click.option(
        *names,
        type=click.Choice(["2", "10"]),
        default=default,
        show_default=default is not None,
        help=about,
    )


colour_observer_option = observer_option("--observer", about="Observer of COLOUR, in degrees.")
