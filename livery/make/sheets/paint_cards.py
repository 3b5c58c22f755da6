"""The colour cards of a job: one for every paint that has a colour of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from livery.describe.entries.description import DescriptionModel
from livery.drawing import Drawing
from livery.findings import Finding, Severity
from livery.layout.plan import Plan
from livery.paints.paint_colours import PaintColour
from livery.work_cache import kept

if TYPE_CHECKING:
    from livery.colour.mixing.recipe import Recipe

STANDARDS = 2
"""How many standards of each palette a card shows (chosen: the nearest and one to compare). More,
and a card takes a second page sooner."""


@dataclass(frozen=True, slots=True)
class PaintCard:
    """The pages of a paint's card, its recipe, and why it has none where one was asked for."""

    paint: str
    pages: tuple[Drawing, ...]
    missing: tuple[str, ...] = ()
    recipe: Recipe | None = None


def paints_used(plan: Plan, model: DescriptionModel) -> set[str]:
    """Return the paints that are put on anything, and those to be mixed from a shelf."""
    used = {piece.paint for panel in plan.panels for piece in panel.pieces}
    used |= {plate.paint for plate in plan.plates if plate.paint is not None}
    used |= {surface.paint for surface in model.surface.values()}
    return used | {name for name, paint in model.paint.items() if paint.shelf is not None}


def paint_cards(
    model: DescriptionModel,
    colours: Mapping[str, PaintColour],
    *,
    say: Callable[[str], None] = lambda _: None,
) -> Iterator[PaintCard]:
    """Yield the card of each paint that is mixed: not of the clear ones, nor of leaf."""
    for name, colour in colours.items():
        kind = model.paint[name].kind
        if kind in ("clear", "leaf"):
            continue
        say(f"colour card of {name}")
        if kind == "metallic":
            target = replace(colour.target, findings=(*colour.target.findings, _BY_EYE))
            colour = replace(colour, target=target, mixing=None)
        yield _card(name, colour, model.job.title, model.job.paper)


@kept
def _card(name: str, colour: PaintColour, title: str, paper: str) -> PaintCard:
    from livery.colour.matching import match_colour
    from livery.colour.palette_file import shipped_palettes
    from livery.make.sheets.colour_card import colour_card

    matched = match_colour(
        colour.target, shipped_palettes(), colour.mixing, STANDARDS, colour.parts
    )
    return PaintCard(
        name,
        colour_card(matched, title, paper),
        tuple(
            f"{name} has no recipe: {f.in_one_line()}"
            for f in matched.findings
            if f.severity is Severity.ERROR
        ),
        matched.advised,
    )


_BY_EYE = Finding(
    "paint-by-eye",
    "this is a metallic paint: it changes with the angle, so no patch shows it and no recipe is "
    "worked out",
    "Match it by eye, beside the original and turned to the light as it will stand: "
    '"livery finish --metallic" says which cards to make.',
    Severity.WARNING,
)
