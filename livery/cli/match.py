"""``livery match``: from colours on a photograph to standards and recipes in one go."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from livery.cli._cards import write_cards
from livery.cli._haze import haze_data, haze_option
from livery.cli._output import input_files, replace_option
from livery.cli._photo import photo_options
from livery.cli._recipes import (
    mixing_options,
    open_mixing,
    recipe_cautions,
    recipe_data,
    recipe_words,
    say_observer,
)
from livery.cli._say import echo, say_findings, say_json, say_progress, styled
from livery.cli._standards import chip, chosen_palettes, standard_data, standard_line

if TYPE_CHECKING:
    from livery.colour.haze import Haze
    from livery.colour.matching import Matched
    from livery.findings import Finding


@click.command()
@photo_options
@click.option(
    "--palette",
    "palettes",
    multiple=True,
    help="Palette to search: its name, or a file (TOML, CSV or CxF). Repeatable.",
)
@click.option(
    "--standards",
    type=click.IntRange(0, 100),
    default=2,
    show_default=True,
    help="How many standards of each palette to show.",
)
@click.option(
    "--shelf", help='Shelf of tints to mix from, a TOML file; "demo" for an invented one.'
)
@mixing_options
@click.option(
    "--recipes",
    type=click.IntRange(1, 20),
    default=2,
    show_default=True,
    help="How many recipes to show.",
)
@haze_option
@click.option(
    "--cards",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for a colour card of each, as SVG and PDF.",
)
@replace_option
@click.option("--json", "as_json", is_flag=True, help="Print everything as JSON.")
def command(
    *,
    photo: Path,
    places: tuple[str, ...],
    knowns: tuple[str, ...],
    chart_corners: str | None,
    chart_values: Path | None,
    faded: bool,
    daylight: bool,
    palettes: tuple[str, ...],
    standards: int,
    shelf: str | None,
    recipes: int,
    haze: Haze | None,
    cards: Path | None,
    replace: bool,
    as_json: bool,
    **mix: Any,
) -> None:
    """Match colours on PHOTO, corrected, to standards and recipes, and show their uncertainty.

    \b
    livery match cab.jpg --at "cab side: spot 812,440 30" \\
        --known "grey card: spot 500,300 20 = 18 %" --shelf tints.toml

    Places are in pixels from the top left corner of the upright picture. Each colour is shown with
    its uncertainty; a standard or recipe that is nearer than that is marked.
    """  # noqa: D301
    from livery.colour.photo.known_correction import picture_kind
    from livery.survey.colours import chart_place
    from livery.survey.match import match_photograph
    from livery.survey.places import read_known_colour, read_region

    with say_progress(quiet=as_json) as say:
        say("Reading the shelf")
        mixing = open_mixing(shelf, recipes, **mix) if shelf else None
        say("Matching")
        found = match_photograph(
            photo,
            [read_region(text) for text in places],
            knowns=[read_known_colour(text) for text in knowns],
            chart=chart_place(chart_corners, chart_values),
            kind=picture_kind(faded=faded, daylight=daylight),
            haze=haze,
            palettes=chosen_palettes(palettes) if standards else (),
            mixing=mixing,
            count=max(standards, 1),
        )
    written = []
    if cards is not None:
        written = write_cards(cards, found, reads=input_files("cards"), replace=replace)
    if as_json:
        say_json(
            {
                "photo": photo.name,
                **haze_data(haze),
                "colours": [match_data(m) for m in found],
                "cards": written,
            }
        )
    else:
        echo("\n\n".join(match_words(matched) for matched in found))
        if mixing is not None:
            say_observer(mixing.setup.view.observer)
        echo("".join(f"\n{caution}" for caution in _cautions(found)))
        say_findings(_findings(found))
        for name in written:
            echo(f"Written: {cards}/{name}")
    sys.exit(int(any(m.mixing and m.answer is None for m in found)))


def match_words(matched: Matched) -> str:
    """Return a match as a person reads it: the colour, the standards, the recipes."""
    from livery.colour.matching import uncertainty_in_words
    from livery.colour.value import Colour

    target = matched.target
    shown = Colour(target.lab).screen()
    lightness, a, b = target.lab
    near = "" if shown.in_gamut else " at nearest"
    lines = [
        styled(target.name, bold=True),
        f"  {chip(target.lab)}Lab {lightness:.1f} {a:.1f} {b:.1f} (D65, 2 degrees), "
        f"on a screen {shown.hex}{near}",
    ]
    if target.within:
        lines.append(f"  the paint lies within {target.within:.1f} DeltaE00 of it, 95 times in 100")
    lines += [f"  {line}" for line in target.origin]
    for palette, matches in matched.standards:
        lines.append(f"\n{palette.title} ({palette.basis.value})")
        lines += [
            standard_line(m, uncertainty_in_words(m.delta_e_00, target.within)) for m in matches
        ]
    if matched.answer is not None and matched.mixing is not None:
        shelf = matched.mixing.setup.shelf
        lines.append(f"\nFrom {shelf.title or 'the shelf'}, {matched.mixing.volume_ml:g} ml")
        for number, recipe in enumerate(matched.answer.recipes, start=1):
            uncertainty = uncertainty_in_words(recipe.worst, target.within)
            lines.append(
                recipe_words(number, recipe, matched.answer.lamps, uncertainty).lstrip("\n")
            )
    return "\n".join(lines)


def match_data(matched: Matched) -> dict[str, object]:
    """Return a match as plain data for JSON."""
    from livery.colour.matching import uncertainty_in_words
    from livery.colour.value import Colour

    target, answer, mixing = matched.target, matched.answer, matched.mixing

    def judged(data: dict[str, object], delta_e_00: float) -> dict[str, object]:
        return data | {"nearer_than_known": bool(uncertainty_in_words(delta_e_00, target.within))}

    recipes, cautions = [], []
    if answer is not None and mixing is not None:
        recipes = [judged(recipe_data(r, answer.lamps), r.worst) for r in answer.recipes]
        cautions = recipe_cautions(answer.recipes, mixing.setup.shelf)
    return {
        "name": target.name,
        "lab": [round(v, 3) + 0.0 for v in target.lab],
        "hex": Colour(target.lab).screen().hex,
        "within_95": round(target.within, 3),
        "origin": list(target.origin),
        "standards": [
            judged(standard_data(m), m.delta_e_00) for _, found in matched.standards for m in found
        ],
        "recipes": recipes,
        "cautions": cautions,
        "findings": [f.as_data() for f in matched.findings],
    }


def _cautions(found: tuple[Matched, ...]) -> list[str]:
    """Return the cautions of all the recipes, each once."""
    recipes = tuple(r for m in found if m.answer is not None for r in m.answer.recipes)
    mixing = found[0].mixing
    return recipe_cautions(recipes, mixing.setup.shelf) if recipes and mixing else []


def _findings(found: tuple[Matched, ...]) -> list[Finding]:
    """Return the findings of all the matches, each once, those of the shelf first."""
    remarks: list[Finding] = []
    if found[0].mixing is not None:
        remarks += found[0].mixing.setup.shelf.findings
    for matched in found:
        own = matched.target
        remarks += own.findings
        remarks += [
            replace(f, message=f"{own.name}: {f.message}") if len(found) > 1 else f
            for f in matched.findings
            if f not in own.findings
        ]
    return list(dict.fromkeys(remarks))
