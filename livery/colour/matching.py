"""From a target colour to paint: the nearest standards and the recipes, judged by its uncertainty.

A colour from a photograph is known only so far.  What comes nearer to it than that is as good
as any other that does, and is said to be so: a smaller figure would promise what the
photograph cannot show.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from livery.colour.mixing.mixing_setup import MixingSetup
from livery.colour.mixing.recipe import (
    PLAIN,
    Answer,
    Recipe,
    Wish,
    find_recipes,
    measure_out,
    target_from_lab,
)
from livery.colour.mixing.record import tint_parts
from livery.colour.mixing.search import Target
from livery.colour.mixing.viewing import viewing
from livery.colour.mixing.weighing import TENTHS, WeighingScale
from livery.colour.palette import Palette, PaletteKind
from livery.colour.search import Match, nearest_by_palette
from livery.colour.target_colour import TargetColour
from livery.colour.value import Colour, triple
from livery.findings import Finding, LiveryError

Parts = tuple[tuple[str, float], ...]
"""Tints with their parts by weight."""


@dataclass(frozen=True, slots=True)
class Mixing:
    """The tints to mix with, the volume, and the scale it is measured with."""

    setup: MixingSetup
    volume_ml: float = 100.0
    scale: WeighingScale = TENTHS
    most: int = 4
    wish: Wish = PLAIN
    count: int = 3
    film_um: float = 30.0
    leave_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Matched:
    """A colour with the standards nearest to it, palette by palette, and recipes for it.

    ``answer`` is None where there was no shelf to mix from, or where no recipe is to be had;
    ``findings`` then say why.
    """

    target: TargetColour
    standards: tuple[tuple[Palette, tuple[Match, ...]], ...]
    mixing: Mixing | None = None
    answer: Answer | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def nearest(self) -> Match | None:
        """The nearest standard of all the palettes; a colour system's places are none."""
        found = [
            match
            for palette, matches in self.standards
            if palette.kind is PaletteKind.STANDARD
            for match in matches
        ]
        return min(found, key=lambda match: match.delta_e_00, default=None)

    @property
    def advised(self) -> Recipe | None:
        """The recipe advised."""
        return None if self.answer is None else self.answer.recipes[0]


def target_of_recipe(name: str, parts: Parts, mixing: Mixing) -> TargetColour:
    """Return the colour a recipe is predicted to have, uncertain by what a card may miss."""
    model, view = mixing.setup.model, viewing(mixing.setup.model.wavelengths_nm)
    weights = tint_parts(model, parts)
    words = " + ".join(f"{tint} {amount:g}" for tint, amount in parts)
    return TargetColour(
        name,
        triple(view.lab(model.predict(weights))[0]),
        float(model.uncertainty(weights, view)),
        (f"predicted of the recipe {words}",),
    )


def match_colour(
    target: TargetColour,
    palettes: Sequence[Palette] = (),
    mixing: Mixing | None = None,
    count: int = 3,
    parts: Parts = (),
) -> Matched:
    """Return the ``count`` nearest standards of each palette, and recipes if there is a shelf.

    ``parts`` by weight are a recipe that stands already: it is measured out and judged, and
    no other is searched for.
    That no recipe is to be had does not lose the standards: it is a finding.
    """
    colour = Colour(target.lab)
    standards = nearest_by_palette(colour, palettes, count)
    if mixing is None:
        return Matched(target, standards, findings=target.findings)
    try:
        view = mixing.setup.view
        seen = colour.under(view.lamps[0], view.observer).lab
        answer = recipes_for(target_from_lab(seen, view), mixing, target.within, parts)
    except LiveryError as error:
        return Matched(target, standards, mixing, findings=(*target.findings, *error.findings))
    return Matched(target, standards, mixing, answer, (*target.findings, *answer.findings))


def recipes_for(target: Target, mixing: Mixing, within: float = 0.0, parts: Parts = ()) -> Answer:
    """Return recipes for a target known within so many DeltaE00, 95 times in 100.

    With ``parts`` by weight, only these are measured out.
    """
    setup = mixing.setup
    if parts:
        return measure_out(
            setup.model,
            setup.shelf,
            target,
            tint_parts(setup.model, parts),
            view=setup.view,
            volume_ml=mixing.volume_ml,
            scale=mixing.scale,
            film_um=mixing.film_um,
            hiding=mixing.wish.hiding,
        )
    return find_recipes(
        setup.model,
        setup.shelf,
        target,
        view=setup.view,
        volume_ml=mixing.volume_ml,
        most=mixing.most,
        scale=mixing.scale,
        wish=mixing.wish,
        alternatives=mixing.count,
        target_spread=within,
        film_um=mixing.film_um,
        leave_out=mixing.leave_out,
    )


def uncertainty_in_words(delta_e_00: float, within: float) -> str:
    """Return that a difference is less than the uncertainty of the colour; empty if it is more."""
    if within <= 0.0 or delta_e_00 > within:
        return ""
    return f"within the colour's own uncertainty of {within:.1f}"
