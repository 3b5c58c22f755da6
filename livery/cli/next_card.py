"""``livery next-card``: which card to draw down next."""

from __future__ import annotations

from pathlib import Path

import click

from livery.cli._recipes import lamp_option, view_observer_option
from livery.cli._say import echo, say_json, say_progress

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("colours", nargs=-1, required=True, metavar="COLOUR...")
@click.option(
    "--shelf", required=True, help='Shelf of tints, a TOML file; "demo" for an invented one.'
)
@click.option("--model", type=_FILE, help='What "livery calibrate" made of your drawdowns.')
@click.option("--record", type=_FILE, help="Record of test cards to learn from.")
@lamp_option
@view_observer_option
@click.option(
    "--count", type=click.IntRange(1, 50), default=5, show_default=True, help="How many to show."
)
@click.option("--json", "as_json", is_flag=True, help="Print the cards as JSON.")
def command(
    *,
    colours: tuple[str, ...],
    shelf: str,
    model: Path | None,
    record: Path | None,
    lamps: tuple[str, ...],
    observer: str,
    count: int,
    as_json: bool,
) -> None:
    """Show which card to draw down next: the one that lowers the uncertainty of each COLOUR most.

    Each COLOUR gets the recipe that "livery mix" advises; for several colours the mean counts. A
    test card of the recipe itself says most about it; masstones and reductions help other colours
    too.
    """
    from livery.colour.mixing.mixing_setup import load_setup
    from livery.colour.mixing.next_card import next_cards, uncertainty_of
    from livery.colour.mixing.recipe import find_recipes
    from livery.colour.mixing.record import tint_parts

    with say_progress(quiet=as_json) as say:
        say("Reading the shelf")
        setup = load_setup(shelf, model, record, lamps, int(observer))
        mixtures = []
        for colour in colours:
            say(f"Trying the tints for {colour}")
            answer = find_recipes(
                setup.model,
                setup.shelf,
                setup.target(colour, None),
                view=setup.view,
                alternatives=1,
            )
            mixtures.append(tint_parts(setup.model, tuple(answer.recipes[0].parts().items())))
        now = uncertainty_of(setup.model, mixtures, setup.view)
        found = next_cards(setup.model, mixtures, setup.view, count)
    if as_json:
        cards = [
            {
                "mixture": {tint: round(part, 3) for tint, part in gain.mixture},
                "uncertainty_after": round(gain.uncertainty, 3),
                "is_recipe": gain.is_recipe,
            }
            for gain in found
        ]
        say_json({"uncertainty_now": round(now, 3), "cards": cards})
        return
    echo(f"Now a card lies within {now:.1f} DeltaE00 of its prediction, 95 times in 100.")
    for gain in found:
        words = " + ".join(f"{tint} {part:.3g}" for tint, part in gain.mixture)
        own = "  (the recipe's own test card)" if gain.is_recipe else ""
        echo(f"  {gain.uncertainty:4.1f} after {words}{own}")
    if not found:
        echo(
            "No further card would help: the rest comes from mixing by hand and from the "
            "instrument."
        )
