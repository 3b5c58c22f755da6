"""``livery again``: a paint had again, for the next vehicle or to touch up."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from livery.cli._observer import observer_option
from livery.cli._say import echo, say_findings, say_json, say_progress

if TYPE_CHECKING:
    from livery.describe.entries.book import BookEntry
    from livery.paints.mix_again import Again
    from livery.paints.paint_colours import PaintColour
    from livery.pipeline import Coloured


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("paint")
@click.option("--panel", help="The panel to meet, where panels had different batches.")
@click.option("--volume", default="", help='How much, "20 ml"; as described if left out.')
@click.option("--now", help='What the paint on the vehicle reads today, "L a b" (D65, 2 degrees).')
@observer_option("--now-observer", about="The observer of --now, in degrees.")
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def command(
    *,
    job: Path,
    paint: str,
    panel: str | None,
    volume: str,
    now: str | None,
    now_observer: str,
    as_json: bool,
) -> None:
    """Show what was used for PAINT on JOB, and how to mix the same again.

    For the next vehicle of a rake, or to touch up. The target is the last card in the job book, or
    with --now the paint as it has weathered. Where panels had different batches, --panel says which
    one is to be met.
    """
    from livery.colour.mixing.amounts import parse_millilitres
    from livery.colour.reading import read_colour
    from livery.findings import LiveryError, Severity
    from livery.paints.mix_again import mix_again
    from livery.pipeline import coloured

    volume_ml = parse_millilitres(volume) if volume else None
    today = read_colour(now, "D65", int(now_observer)).canonical().lab if now else None
    with say_progress(quiet=as_json) as say:
        say("Reading the description")
        start = coloured(job).require_sound()
        colour = _colour(start, paint)
        entries = _entries(start, paint, panel)
        say("Trying the tints")
        found = mix_again(colour, entries, panel=panel, volume_ml=volume_ml, now=today)
    if any(f.severity is Severity.ERROR for f in found.findings):
        raise LiveryError(found.findings, exit_status=1)
    if as_json:
        say_json(_data(found, start.colours))
        return
    say_findings((*start.book.findings, *found.findings))
    echo(_words(found, start.colours))


def _colour(start: Coloured, paint: str) -> PaintColour:
    from livery.describe.undeclared import undeclared
    from livery.findings import LiveryError, fault

    assert start.description.model is not None
    known = start.description.model.paint
    if paint not in known:
        raise LiveryError([undeclared("again-paint", "", "paint", paint, tuple(known))])
    if paint not in start.colours:
        message = f'"{paint}" is a clear coat without a colour: there is none to match'
        raise fault("again-clear", message, 'Read what was used of it with "livery book".')
    return start.colours[paint]


def _entries(start: Coloured, paint: str, panel: str | None) -> tuple[BookEntry, ...]:
    """Return the entries of a paint on a panel; on all, if none is given and they had the same.

    Those of other jobs of the book count where this one has none.
    """
    from livery.describe.undeclared import undeclared
    from livery.findings import LiveryError
    from livery.paints.panel_batches import entries_on, require_one_batch
    from livery.vehicles.placed import vehicles_of_panels

    assert start.description.model is not None
    entries = start.book.of_paint(paint)
    vehicles = vehicles_of_panels(start.description.model)
    entries = tuple(e for e in entries if not e.job) or entries
    if panel is None:
        require_one_batch(paint, entries, vehicles)
        return entries
    known = dict.fromkeys([*vehicles, *(name for e in entries for name in e.panels)])
    if panel not in known:
        raise LiveryError([undeclared("again-panel", "", "panel", panel, known)])
    return entries_on(entries, panel, vehicles.get(panel))


def _words(found: Again, colours: Mapping[str, PaintColour]) -> str:
    from livery.cli._recipes import measures_words, recipe_cautions
    from livery.paints.job_book_lines import entry_heading, entry_lines

    lines = []
    for entry in found.entries:
        lines += [entry_heading(entry), *(f"  {line}" for line in entry_lines(entry, colours))]
    lab = "Lab {:.1f} {:.1f} {:.1f}".format(*found.target.lab)
    lines.append(f"Target: {lab}, {'; '.join(found.target.origin) or 'as described'}.")
    if found.moved is not None:
        lines.append(
            "Since it was painted, its colour has changed by DeltaE00 "
            f"{found.moved:.1f}, {found.way}."
        )
    if found.matched is not None and found.matched.answer is not None:
        answer, mixing = found.matched.answer, found.matched.mixing
        assert mixing is not None
        recipe = answer.recipes[0]
        mixed = "The same mixture" if found.is_same else "A new mixture"
        lines += ["", f"{mixed}, {mixing.volume_ml:g} ml:", measures_words(recipe, answer.lamps)]
        lines += ["", *recipe_cautions((recipe,), mixing.setup.shelf)]
    return "\n".join(lines)


def _data(found: Again, colours: Mapping[str, PaintColour]) -> dict[str, Any]:
    from livery.cli._recipes import recipe_data
    from livery.paints.job_book_lines import book_data

    answer = None if found.matched is None else found.matched.answer
    return {
        "entries": book_data(found.entries, colours),
        "lab": [round(v, 3) for v in found.target.lab],
        "origin": list(found.target.origin),
        "moved_DeltaE00": None if found.moved is None else round(found.moved, 3),
        "moved": found.way,
        "same_mixture": found.is_same,
        "recipe": None if answer is None else recipe_data(answer.recipes[0], answer.lamps),
        "findings": [f.as_data() for f in found.findings],
    }
