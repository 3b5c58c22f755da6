"""The options that say what is known of sizes in a picture, and the entry of a survey they make."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from livery.survey.survey_file import PictureEntry


Command = Callable[..., Any]

WITHIN_WORDS = "The true size lies within ± 95 times in 100."
"""Said once below sizes."""


def known_options(command: Command) -> Command:
    """Give a command the options of what is known in a picture; :func:`picture_entry` takes them."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def picture_entry(file: Path, *, page: int = 1, dots_per_inch: float = 300.0, **known: Any) -> PictureEntry:  # fmt: skip
    """Return a picture with what is known in it, as a survey would have it.

    Raises LiveryError where it is known in two ways at once.
    """
    from pydantic import ValidationError

    from livery.findings import fault
    from livery.survey.large_picture import large_size
    from livery.survey.survey_file import PictureEntry

    size = large_size(file, page, dots_per_inch)
    try:
        return PictureEntry(
            file=file.as_posix(),
            page=page,
            dots_per_inch=dots_per_inch,
            size=size,
            **{name: value for name, value in known.items() if value is not None},
        )
    except ValidationError as error:
        context = error.errors()[0].get("ctx", {})
        raise fault(
            context.get("code", "value"), str(context.get("message")), context.get("remedy", "")
        ) from None


_OPTIONS = (
    click.option(
        "--length",
        "lengths",
        multiple=True,
        help='A known length: "120,90 820,96 = 22 ft 6 in". Repeatable; more lengths check each other.',
    ),
    click.option(
        "--uneven",
        is_flag=True,
        help="The scale across differs from the scale up: give known lengths both ways.",
    ),
    click.option(
        "--rectangle",
        help="A known rectangle seen at an angle, from its top left corner round: "
        '"120,90 820,150 780,560 150,640 = 8 ft x 6 ft 3 in".',
    ),
    click.option(
        "--point",
        "points",
        multiple=True,
        help='One of four or more known points: "120,90 = 0 ft, 6 ft 3 in", across and up. Repeatable.',
    ),
    click.option(
        "--edge",
        "edges",
        multiple=True,
        help="Points along an edge that is straight in reality: the bend that the lens adds is "
        "removed from every point. Repeatable.",
    ),
    click.option(
        "--pick-error",
        type=click.FloatRange(0.01, 50),
        default=1.0,
        show_default=True,
        help="How well a point can be picked: its standard error in pixels.",
    ),
    click.option(
        "--page", type=click.IntRange(1), default=1, show_default=True, help="Which page of a PDF."
    ),
    click.option(
        "--dots-per-inch",
        type=click.FloatRange(10, 1200),
        default=300,
        show_default=True,
        help="The resolution at which a PDF's page is drawn, in dots per inch.",
    ),
    click.option(
        "--on-model",
        is_flag=True,
        help="The known sizes are the model's: the sizes that are kept are then model sizes.",
    ),
)
