"""The colour cards of a job: one for every paint that has a colour of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from livery.describe.entries.description import DescriptionModel
from livery.make.paint_colours import PaintColour
from livery.write.drawing import Drawing

STANDARDS = 2
"""How many standards of each palette a card shows."""


def paint_cards(
    model: DescriptionModel,
    colours: Mapping[str, PaintColour],
    *,
    say: Callable[[str], None] = lambda _: None,
) -> Iterator[Drawing]:
    """Yield the card of each paint but the clear ones."""
    from livery.colour.matching import match_colour
    from livery.colour.palette_file import shipped_palettes
    from livery.make.colour_card import colour_card

    for name, colour in colours.items():
        if model.paint[name].kind == "clear":
            continue
        say(f"colour card of {name}")
        matched = match_colour(
            colour.wanted, shipped_palettes(), colour.mixing, STANDARDS, colour.parts
        )
        yield colour_card(matched, model.job.title, model.job.paper)
