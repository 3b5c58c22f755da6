"""``livery predict``: what a mixture will look like, and how well a model predicts cards."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from livery.cli._recipes import film_option, say_observer, view_observer_option
from livery.cli._say import echo, say_findings, say_json

if TYPE_CHECKING:
    from livery.colour.mixing.model import MixingModel
    from livery.colour.mixing.predict import CardPrediction, Prediction

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command()
@click.argument("mixture", required=False)
@click.option(
    "--cards", type=_FILE, help='CSV of cards that were read, as "livery calibrate" takes it.'
)
@click.option("--shelf", help='Shelf of tints, a TOML file; "demo" for an invented one.')
@click.option("--model", type=_FILE, help='What "livery calibrate" made of your drawdowns.')
@click.option("--record", type=_FILE, help="Record of test cards to learn from.")
@click.option(
    "--lamp",
    "lamps",
    multiple=True,
    default=("D65", "A", "LED-B3"),
    show_default=True,
    help="Lamp to see it under. Repeatable.",
)
@view_observer_option
@film_option
@click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON.")
def command(
    *,
    mixture: str | None,
    cards: Path | None,
    shelf: str | None,
    model: Path | None,
    record: Path | None,
    lamps: tuple[str, ...],
    observer: str,
    film: float,
    as_json: bool,
) -> None:
    """Show what MIXTURE, "white 62.4 + blue 11.2" by weight, will look like before you mix it.

    With --cards, show instead how far the predictions are from cards that were read, and the error
    that was expected.
    """
    from livery.colour.mixing.drawdowns import parse_mixture, read_drawdowns
    from livery.colour.mixing.predict import predict, predict_cards
    from livery.colour.mixing.viewing import viewing
    from livery.findings import fault

    if (mixture is None) == (cards is None):
        raise fault(
            "predict-what",
            "give a mixture or a table of cards, not both",
            'Write "white 62.4 + blue 11.2", or name a CSV file with --cards.',
        )
    known = _model(shelf, model, record)
    if cards is not None:
        read = read_drawdowns(cards, known.surface)
        say_findings(read.findings)
        checked = predict_cards(known, read)
        if as_json:
            say_json(_cards_data(checked))
        else:
            echo(_cards_words(checked))
        return
    try:
        parts = parse_mixture(mixture or "")
    except ValueError as error:
        raise fault("predict-mixture", str(error), "Write it as: white 62.4 + blue 11.2.") from None
    found = predict(known, viewing(known.wavelengths_nm, lamps, int(observer)), parts, film)
    if as_json:
        say_json(_data(found, lamps, film))
    else:
        echo(_words(found, lamps, film))
        say_observer(int(observer))


def _model(shelf: str | None, model: Path | None, record: Path | None) -> MixingModel:
    """Return the model of a shelf, of a file, or of the file at the strengths of the shelf."""
    from livery.colour.mixing.mixing_setup import load_setup
    from livery.colour.mixing.model_file import read_model
    from livery.colour.mixing.record import apply_cards, read_card_record
    from livery.findings import fault

    if shelf is not None:
        setup = load_setup(shelf, model, record, ("D65",))
        say_findings(f for f in setup.shelf.findings if f.code == "mixing-card-missed")
        return setup.model
    if model is None:
        raise fault(
            "predict-from",
            "a prediction needs a shelf or a model",
            "Add --shelf with your tints, or --model with the file that livery calibrate wrote.",
        )
    found = read_model(model)
    return found if record is None else apply_cards(found, read_card_record(record))


def _words(found: Prediction, lamps: tuple[str, ...], film: float) -> str:
    lines = [
        "Lab {:6.2f} {:6.2f} {:6.2f}".format(*lab) + f" under {lamp}"
        for lab, lamp in zip(found.labs, lamps, strict=True)
    ]
    lines.append(f"A card lies within {found.expected_miss:.1f} DeltaE00 of that 95 times in 100.")
    if found.over_black and found.over_white and found.contrast_ratio is not None:
        lines += [
            f"{film:g} microns dry, under {lamps[0]}: contrast ratio {found.contrast_ratio:.3f}",
            "  over black Lab {:6.2f} {:6.2f} {:6.2f}".format(*found.over_black),
            "  over white Lab {:6.2f} {:6.2f} {:6.2f}".format(*found.over_white),
        ]
    return "\n".join(lines)


def _data(found: Prediction, lamps: tuple[str, ...], film: float) -> dict[str, object]:
    def rounded(lab: tuple[float, ...] | None) -> list[float] | None:
        return None if lab is None else [round(v, 3) + 0.0 for v in lab]

    ratio = found.contrast_ratio
    return {
        "mixture": dict(found.mixture),
        "lab": {lamp: rounded(lab) for lamp, lab in zip(lamps, found.labs, strict=True)},
        "expected_miss": round(found.expected_miss, 2),
        "film_um": film,
        "contrast_ratio": None if ratio is None else round(ratio, 4),
        "over_black": rounded(found.over_black),
        "over_white": rounded(found.over_white),
        "reading": [round(v, 5) for v in found.reading],
    }


def _cards_words(checked: tuple[CardPrediction, ...]) -> str:
    lines = ["DeltaE00   missed  expected  card"]
    for card in checked:
        caution = "  uncertain beforehand" if card.uncertain else ""
        mixture = " + ".join(f"{tint} {parts:g}" for tint, parts in card.mixture)
        lines.append(
            f"{card.delta_e_00:17.2f}{card.expected_miss:10.2f}  {card.card}: {mixture}{caution}"
        )
    if not checked:
        return "The table has no card of a mixture."
    median, worst, within = _summary(checked)
    lines.append(
        f"{len(checked)} cards: DeltaE00 {median:.2f} in the median, {worst:.2f} at worst; "
        f"{within} lie within the stated uncertainty."
    )
    return "\n".join(lines)


def _cards_data(checked: tuple[CardPrediction, ...]) -> dict[str, object]:
    median, worst, within = _summary(checked) if checked else (None, None, 0)
    return {
        "median": None if median is None else round(median, 4),
        "worst": None if worst is None else round(worst, 4),
        "within_expected": within,
        "cards": [
            {
                "card": card.card,
                "mixture": dict(card.mixture),
                "DeltaE00": round(card.delta_e_00, 4),
                "expected_miss": round(card.expected_miss, 4),
                "uncertain": card.uncertain,
            }
            for card in checked
        ],
    }


def _summary(checked: tuple[CardPrediction, ...]) -> tuple[float, float, int]:
    from statistics import median

    missed = [card.delta_e_00 for card in checked]
    within = sum(card.delta_e_00 <= card.expected_miss for card in checked)
    return median(missed), max(missed), within
