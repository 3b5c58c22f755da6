"""Tints of a shelf that do not suffice for the recipe of a paint, said before anything is mixed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from livery.describe.entries.description import DescriptionModel
from livery.findings import Finding
from livery.paints.paint_colours import PaintColour
from livery.work_cache import kept


def short_of_tints(
    model: DescriptionModel, colours: Mapping[str, PaintColour]
) -> Iterator[Finding]:
    """Yield a warning at the shelf of each paint whose recipe needs more of a tint than there is.

    A recipe is searched only where a tin holds less than the whole volume.
    """
    for name, colour in colours.items():
        mixing = colour.mixing
        if mixing is None or model.paint[name].kind in ("metallic", "leaf", "clear"):
            continue
        stocks = [t.stock_ml for t in mixing.setup.shelf.tints if t.stock_ml is not None]
        if min(stocks, default=mixing.volume_ml) < mixing.volume_ml:
            for finding in _of_paint(colour):
                yield replace(
                    finding, message=f"{name}: {finding.message}", key=f"paint.{name}.shelf"
                )


@kept
def _of_paint(colour: PaintColour) -> tuple[Finding, ...]:
    from livery.colour.matching import match_colour

    matched = match_colour(colour.target, (), colour.mixing, 1, colour.parts)
    return tuple(f for f in matched.findings if f.code in ("recipe-short", "recipe-stock"))
