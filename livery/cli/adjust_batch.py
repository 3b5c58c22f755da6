"""``livery adjust-batch``: what to add to a batch whose test card is off."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._amounts import amount_words
from livery.cli._observer import observer_option
from livery.cli._output import input_files
from livery.cli._recipes import (
    by_lamp,
    is_included,
    lamp_option,
    say_observer,
    specular_option,
    under_lamps,
    view_observer_option,
)
from livery.cli._say import echo, say_findings, say_json, say_progress

if TYPE_CHECKING:
    from livery.colour.mixing.batch import BatchAddition
    from livery.colour.mixing.mixing_setup import MixingSetup
    from livery.colour.mixing.record import Card

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("colour", required=False)
@click.option("--reading", type=_FILE, help="CSV of wavelength and reflectance to match instead.")
@click.option("--mixed", required=True, help='Grams in the can: "white 62.4 + blue 11.2".')
@click.option("--card", help='What the test card read: "L a b" (D65, 2 degrees).')
@observer_option("--card-observer", about="The observer of the card's L a b, in degrees.")
@click.option(
    "--card-specular",
    type=click.Choice(["included", "excluded"]),
    help="How the card was read, its gloss included or excluded; as the shelf if left out.",
)
@click.option("--card-reading", type=_FILE, help="CSV of the card's reflectance instead.")
@click.option(
    "--can", default="", help='What the can holds, "500 ml"; one and a half batches if left out.'
)
@click.option(
    "--shelf", required=True, help='Shelf of tints, a TOML file; "demo" for an invented one.'
)
@click.option("--model", type=_FILE, help='What "livery calibrate" made of your drawdowns.')
@click.option("--record", type=_FILE, help="Record of test cards: read first, this card added.")
@click.option(
    "--keep",
    is_flag=True,
    help="Add this card to the record that the shelf names, or to the shelf.",
)
@click.option("--note", default="", help="A few words for the record.")
@click.option("--scale", default="0.1 g", show_default=True, help="Finest step: g, ml or drops.")
@click.option(
    "--most", type=click.IntRange(1, 4), default=3, show_default=True, help="Most tints to add."
)
@specular_option
@lamp_option
@view_observer_option
@click.option("--without", multiple=True, metavar="TINT", help="Tint not to add. Repeatable.")
@click.option("--json", "as_json", is_flag=True, help="Print the correction as JSON.")
def command(
    *,
    colour: str | None,
    reading: Path | None,
    mixed: str,
    card: str | None,
    card_observer: str,
    card_specular: str | None,
    card_reading: Path | None,
    can: str,
    shelf: str,
    model: Path | None,
    record: Path | None,
    keep: bool,
    note: str,
    scale: str,
    most: int,
    specular: str | None,
    lamps: tuple[str, ...],
    observer: str,
    without: tuple[str, ...],
    as_json: bool,
) -> None:
    """Say what to add to a batch to bring it to COLOUR, from what its test card read.

    COLOUR is written as for "livery mix"; L a b is under the first lamp. The card's L a b is always
    under D65, as in the record.

    It only adds, within what the can holds. With --keep, or --record and a file, the card is kept,
    and every later recipe near it starts from the colour that was measured.
    """
    from livery.colour.mixing.amounts import parse_scale
    from livery.colour.mixing.batch import correct_batch
    from livery.colour.mixing.mixing_setup import load_setup
    from livery.colour.mixing.record import RECORD_HEAD, card_text
    from livery.write.file import append_text, is_same_file, require_apart

    reads = input_files("record", "note")
    if record is not None:
        require_apart(record, reads)
    if keep:
        record = record or _kept_in(shelf)
        reads = frozenset(file for file in reads if not is_same_file(file, record))
    measured = parse_scale(scale)
    with say_progress(quiet=as_json) as say:
        say("Reading the shelf")
        setup = load_setup(shelf, model, record, lamps, int(observer))
        target = setup.target(colour, reading, gloss_included=is_included(specular))
        sprayed = replace(
            _card(setup, mixed, card, card_reading, int(card_observer)),
            note=note,
            gloss_included=is_included(card_specular),
        )
        say("Trying what to add")
        correction = correct_batch(
            setup.model,
            setup.shelf,
            target,
            sprayed,
            can_ml=_can(setup, sprayed, can),
            view=setup.view,
            most=most,
            scale=measured,
            leave_out=without,
        )
    if record is not None:
        append_text(record, card_text(sprayed), head=RECORD_HEAD, reads=reads)
    if as_json:
        say_json(_data(correction, setup))
        return
    say_findings(correction.findings)
    echo(_words(correction))
    say_observer(setup.view.observer)
    echo("\n" + "\n".join(_cautions(correction, setup)))
    if record is not None:
        echo(f"The card was added to {record}.")


def _kept_in(shelf: str) -> Path:
    """Return the file that a card of a shelf is kept in: its record, or the shelf itself."""
    from livery.colour.mixing.mixing_setup import DEMO
    from livery.colour.mixing.shelf import read_shelf
    from livery.findings import fault

    if shelf == DEMO:
        raise fault(
            "batch-keep",
            "the invented shelf keeps no cards",
            "Name a file for them with --record, or write a shelf of your own.",
        )
    path = Path(shelf)
    return read_shelf(path, modelled=True).record or path


def _card(
    setup: MixingSetup, mixed: str, card: str | None, card_reading: Path | None, observer: int
) -> Card:
    from livery.colour.mixing.drawdowns import parse_mixture
    from livery.colour.mixing.record import Card
    from livery.colour.reading import read_colour
    from livery.findings import fault

    try:
        mixture = parse_mixture(mixed)
    except ValueError as error:
        raise fault("batch-mixed", str(error), "Write it as: white 62.4 + blue 11.2.") from None
    if (card is None) == (card_reading is None):
        raise fault(
            "batch-card",
            "the reading of the test card is needed, once",
            'Write --card "61.2 -4.4 -18" or name a file with --card-reading.',
        )
    if card_reading is not None:
        reading = tuple(float(v) for v in setup.spectrum(card_reading))
        return Card(mixture, reading=reading)
    lab = read_colour(card or "", observer=observer).under("D65", observer).lab
    return Card(mixture, lab=lab, observer=observer)


def _can(setup: MixingSetup, card: Card, can: str) -> float:
    from livery.colour.mixing.amounts import parse_millilitres

    if can:
        return parse_millilitres(can)
    batch = sum(grams / setup.shelf.tint(tint).density_g_per_ml for tint, grams in card.mixture)
    return 1.5 * batch


def _words(correction: BatchAddition) -> str:
    lamps = correction.lamps
    lines = [
        f"The card is DeltaE00 {under_lamps(lamps, correction.now)} from the target "
        f"(the model had expected {under_lamps(lamps, correction.predicted_before)}).",
        "By all its cards and the tints, the batch itself is about "
        f"{under_lamps(lamps, correction.estimated)} from it.",
    ]
    if correction.add:
        lines.append("Add:")
        lines += [f"  {i.tint:<16}{amount_words(i, correction.unit)}" for i in correction.add]
        lines.append(
            f"Predicted DeltaE00 after that {under_lamps(lamps, correction.after)}; "
            f"a card lies within {correction.expected_miss:.1f} of that 95 times in 100.  The can then holds "
            f"{correction.total_ml:.0f} ml, {correction.growth:.0%} more than now."
        )
    return "\n".join(lines)


def _cautions(correction: BatchAddition, setup: MixingSetup) -> list[str]:
    from livery.colour.mixing.cautions import cautions

    return list(cautions({i.tint for i in correction.add}, setup.shelf))


def _data(correction: BatchAddition, setup: MixingSetup) -> dict[str, object]:
    return {
        "DeltaE00_expected_before": by_lamp(correction.lamps, correction.predicted_before),
        "DeltaE00_now": by_lamp(correction.lamps, correction.now),
        "DeltaE00_estimated": by_lamp(correction.lamps, correction.estimated),
        "DeltaE00_after": by_lamp(correction.lamps, correction.after),
        "expected_miss": round(correction.expected_miss, 2),
        "add": [
            {
                "tint": i.tint,
                "amount": round(i.amount, 6),
                "unit": correction.unit,
                "grams": round(i.grams, 4),
                "millilitres": round(i.millilitres, 4),
                "drops": round(i.drops, 1),
            }
            for i in correction.add
        ],
        "total_ml": round(correction.total_ml, 1),
        "growth": round(correction.growth, 4),
        "cautions": _cautions(correction, setup),
        "findings": [f.as_data() for f in correction.findings],
    }
