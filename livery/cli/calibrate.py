"""``livery calibrate``: a mixing model from drawdowns."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._output import input_files, replace_option
from livery.cli._say import echo, say_findings, say_json, say_progress

if TYPE_CHECKING:
    from livery.colour.mixing.calibrate import Calibration, CardCheck
    from livery.colour.mixing.model import StackedFit

_FILE = click.Path(path_type=Path, dir_okay=False)
_LEAST_SHOWN = 0.005
"""The least weight, from 0 to 1, of a fit that is printed; chosen, as less is 0 % in print.  Larger:
fewer fits are printed."""


@click.command()
@click.argument("table", type=_FILE)
@click.option("--out", type=_FILE, required=True, help="File to write the model to.")
@click.option(
    "--white", default="", help="The white tint; the one most others are reduced with if left out."
)
@click.option(
    "--specular",
    type=click.Choice(["included", "excluded"]),
    help="Whether readings include the mirror reflection; if left out, as TABLE says, or included.",
)
@click.option(
    "--k1",
    type=click.FloatRange(0, 0.2, max_open=True),
    default=0.04,
    show_default=True,
    help="Reflection at the surface from outside.",
)
@click.option(
    "--k2",
    type=click.FloatRange(0, 0.9, max_open=True),
    default=0.6,
    show_default=True,
    help="Reflection at the surface from inside.",
)
@click.option("--hold-surface", is_flag=True, help="Use k2 as given; do not fit it.")
@click.option("--quick", is_flag=True, help="Skip the check of each card by the others.")
@replace_option
@click.option("--json", "as_json", is_flag=True, help="Print the checks as JSON.")
def command(
    *,
    table: Path,
    out: Path,
    white: str,
    specular: str | None,
    k1: float,
    k2: float,
    hold_surface: bool,
    quick: bool,
    replace: bool,
    as_json: bool,
) -> None:
    """Fit absorption and scattering of every tint to the drawdowns in TABLE, a CSV file.

    \b
    One row a card:
      card, mixture,            ground, film_um, 400,   410,   ... 700
      1,    white 100,          opaque, ,        0.364, 0.712, ...
      2,    blue 10 + white 90, opaque, ,        0.295, 0.402, ...

    It needs at least the masstone of every tint and one reduction of each with white; every further
    card improves the model. Per cent, grams, semicolons, "R400" or "400 nm", and a column for each
    tint are read too. Where cards were read both ways, a column "specular" says included or
    excluded.
    """  # noqa: D301
    from livery.colour.mixing.calibrate import calibrate
    from livery.colour.mixing.drawdowns import read_drawdowns
    from livery.colour.mixing.model_file import model_text
    from livery.colour.mixing.saunderson import FilmSurface
    from livery.write.file import require_free, write_file

    reads = input_files("out")
    require_free(out, reads=reads, replace=replace)
    surface = FilmSurface(k1, k2, specular != "excluded")
    cards = read_drawdowns(table, surface, own_geometry=specular is None)
    with say_progress(quiet=as_json) as say:
        found = calibrate(
            cards,
            white=white,
            surface=cards.surface,
            fit_surface=not hold_surface,
            check=not quick,
            progress=lambda done, of: say(f"Checking card {done} of {of}"),
        )
    write_file(out, model_text(found.model), reads=reads, replace=replace)
    if as_json:
        say_json(_data(found))
        return
    say_findings(found.findings)
    echo(_words(found))
    echo(f"{out}: model of {len(found.model.tints)} tints written")


def _words(found: Calibration) -> str:
    lines = ["DeltaE00   fitted  left out  expected  card"]
    lines += [_line(card) for card in found.cards]
    lines.append(f"White, the unit of all scattering: {found.model.tints[found.model.white]}")
    fits = sorted(found.model.every_fit, key=lambda fit: -fit.weight)
    lines += [_fit_line(found.model.tints, fit) for fit in fits if fit.weight >= _LEAST_SHOWN]
    median = found.median()
    if median is None:
        lines.append("There are too few cards to check the model; draw down another mixture.")
    else:
        lines.append(f"A mixture that was not drawn down: DeltaE00 {median:.2f} in the median.")
    return "\n".join(lines)


def _fit_line(tints: tuple[str, ...], fit: StackedFit) -> str:
    bent = [f"{t} {b:+.2f}" for t, b in zip(tints, fit.bends, strict=True) if b]
    return (
        f"Fit that counts {100 * fit.weight:.0f} %: surface k1 {fit.surface.k1:.4f}, "
        f"k2 {fit.surface.k2:.3f}; stronger when thinned out: {', '.join(bent) or 'not fitted'}"
    )


def _line(card: CardCheck) -> str:
    columns = "".join(
        " " * 10 if value is None else f"{value:10.2f}" for value in (card.left_out, card.expected)
    )
    return f"{card.fitted:17.2f}{columns}  {card.card}: {_mixture(card)}"


def _mixture(card: CardCheck) -> str:
    return " + ".join(f"{tint} {parts:g}" for tint, parts in card.mixture)


def _data(found: Calibration) -> dict[str, object]:
    model = found.model
    return {
        "tints": list(model.tints),
        "white": model.tints[model.white],
        "fits": [
            {
                "weight": round(fit.weight, 4) + 0.0,
                "k1": round(fit.surface.k1, 5),
                "k2": round(fit.surface.k2, 4),
                "bends": [round(float(b), 4) + 0.0 for b in fit.bends],
            }
            for fit in model.every_fit
        ],
        "scatter_per_micron": _rounded(model.scatter_per_micron, 5),
        "median_fitted": _rounded(found.median(left_out=False)),
        "median_left_out": _rounded(found.median()),
        "cards": [
            {
                "card": c.card,
                "mixture": _mixture(c),
                "fitted": round(c.fitted, 3),
                "left_out": _rounded(c.left_out),
                "expected": _rounded(c.expected),
            }
            for c in found.cards
        ],
        "findings": [f.as_data() for f in found.findings],
    }


def _rounded(value: float | None, places: int = 3) -> float | None:
    return None if value is None else round(value, places)
