"""The record of test cards: what was mixed, what it read, kept in TOML for the next time.

::

    [[card]]
    mixture = "white 62.4 + blue 11.2 + ochre 3.1"     # grams as mixed
    lab = [61.2, -4.4, -18.0]                          # or reading = [...]
    observer = 10                                      # of the lab, if not 2 degrees
    specular = "excluded"                              # where the shelf says otherwise
    note = "tender side, second coat"

The model is corrected by every card, so that the next prediction near it starts from what
really came out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from livery.colour.conversion import white, xyz_from_lab
from livery.colour.difference import delta_e_00
from livery.colour.mixing.card import Card as Card
from livery.colour.mixing.card import CardEntry
from livery.colour.mixing.card import card_text as card_text
from livery.colour.mixing.card_corrections import (
    CARD_SLIP_VARIANCE,
    PRIOR_AMPLITUDE,
    CardCorrections,
)
from livery.colour.mixing.fit import log_ks_of_reading
from livery.colour.mixing.gloss_reading import lab_as, reading_as
from livery.colour.mixing.kubelka_munk import reflectance_from_ks
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.saunderson import FilmSurface, measured_from_internal, measured_slope
from livery.colour.mixing.shelf import unknown_tint
from livery.colour.mixing.smoothest import smoothest
from livery.colour.mixing.strengths import fitted_strengths
from livery.colour.mixing.viewing import viewing
from livery.colour.value import triple
from livery.findings import LiveryError, fault
from livery.toml.entry import Entry
from livery.toml.read import FileKind, read_toml

Floats = NDArray[np.float64]

_NEAR_FLOOR = 1.2
"""A tristimulus value within so many times the mirror reflection needs a body that is black there
(chosen). Larger refuses darker cards sooner."""

_LESS_GLOSS = (0.0, 0.004, 0.008, 0.012)
"""A card's gloss may read so much less than that of the tints, in reflectance, which a dark card shows
(chosen: up to three times the spread of cards). Larger, and cards read without their gloss pass."""

_STILL_NEAR = 4.5
"""Only a card within this DeltaE00 of what is expected is taken to have less gloss (chosen: one read
without its gloss is further off). Larger, and such cards pass."""

RECORD_HEAD = (
    "# Test cards of mixtures, grams as mixed; Lab is D65, 2 degrees unless observer = 10.\n\n"
)


class _Record(Entry):
    card: tuple[CardEntry, ...] = ()


_RECORD = FileKind(
    "record of test cards", _Record, 'Write [[card]], then mixture = "white 9 + blue 1" and lab.'
)


def read_card_record(path: Path) -> tuple[Card, ...]:
    """Return the cards of a record; none if there is no such file yet.

    Raises:
        LiveryError: the file is no record.
    """
    if not path.exists():
        return ()
    record = read_toml(path, _RECORD).require(_RECORD)
    return tuple(entry.card() for entry in record.card)


def apply_cards(model: MixingModel, cards: Sequence[Card]) -> MixingModel:
    """Return the model corrected by the cards; cards of tints it lacks are a fault."""
    if not cards:
        return model
    cards = [as_model_reads(card, model) for card in cards]
    mixtures = [tint_parts(model, card.mixture) for card in cards]
    model = _at_fitted_strengths(model, cards, mixtures)
    places, residuals, variances = [], [], []
    for card, parts in zip(cards, mixtures, strict=True):
        residual, variance = _correction_of_card(model, parts, card)
        places.append(model.work_shares(parts))
        residuals.append(residual)
        variances.append(variance)
    old = model.corrections
    size = float(np.sqrt((np.array(residuals) ** 2).mean()))
    corrections = CardCorrections(
        np.vstack([old.places, *places]),
        np.vstack([old.residuals, *residuals]),
        np.vstack([old.variances, *variances]),
        max(old.amplitude, min(size, 1.0))
        if len(old.places)
        else max(PRIOR_AMPLITUDE, min(size, 1.0)),
        old.length,
        slip=old.slip,
    )
    return replace(model, corrections=corrections)


def as_model_reads(card: Card, model: MixingModel) -> Card:
    """Return a card as if its gloss had been included or excluded as the tints' was, for 2 degrees.

    A Lab for 10 degrees becomes that of the reflectance which meets it, as near as can be in shape
    to what the model expects of the mixture.
    """
    surface = model.surface
    if card.gloss_included not in (None, surface.specular_included):
        if card.reading is not None:
            reading = reading_as(card.reading, card.gloss_included, surface)
            card = replace(card, reading=tuple(map(float, reading)), gloss_included=None)
        else:
            own = white(observer=card.observer)
            lab = lab_as(card.lab or (), card.gloss_included, surface, white=own)
            card = replace(card, lab=triple(lab), gloss_included=None)
    if card.observer == 2 or card.lab is None:
        return replace(card, observer=2)
    bent = _bent_to(_expected(model, tint_parts(model, card.mixture)), card, model)
    inside = reflectance_from_ks(np.exp(bent))
    reading = measured_from_internal(inside, surface)
    return replace(card, lab=triple(viewing(model.wavelengths_nm).lab(reading)[0]), observer=2)


def _at_fitted_strengths(
    model: MixingModel, cards: Sequence[Card], mixtures: Sequence[Floats]
) -> MixingModel:
    """Return the model with its tints as strong as the cards together show them to be."""
    view = viewing(model.wavelengths_nm)
    labs = [
        np.array(card.lab) if card.reading is None else view.lab(np.array(card.reading))[0]
        for card in cards
        if card.lab is not None or len(card.reading or ()) == model.wavelengths_nm.size
    ]
    if len(labs) < len(cards):
        return model  # A card that cannot be used is refused where its correction is worked out.
    return model.with_strengths(fitted_strengths(model, view, mixtures, labs))


def tint_parts(model: MixingModel, mixture: tuple[tuple[str, float], ...]) -> Floats:
    """Return parts by the model's tints, whose names may be written in capitals or not."""
    names = [name.casefold() for name in model.tints]
    found = np.zeros(len(names))
    for tint, parts in mixture:
        if tint.casefold() not in names:
            raise unknown_tint(tint, model.tints)
        found[names.index(tint.casefold())] += parts
    return found


def _correction_of_card(model: MixingModel, parts: Floats, card: Card) -> tuple[Floats, Floats]:
    """Return by how much log K/S came out above the optics alone, and its variance."""
    plain = model.log_ks(parts)
    if card.reading is not None:
        reading = np.array(card.reading, float)
        if reading.size != model.wavelengths_nm.size:
            raise fault(
                "record-wavelengths",
                f"a card has {reading.size} values for {model.wavelengths_nm.size} wavelengths",
                "Write one for each wavelength of the model.",
            )
        log_ks, variance = log_ks_of_reading(reading, model.surface)
        return log_ks - plain, variance + CARD_SLIP_VARIANCE
    if card.lab is None:
        raise fault("record-card", "a card has no lab and no reading", "Write one of the two.")
    after = _bent_to(_expected(model, parts), card, model)
    return after - plain, np.full(plain.size, CARD_SLIP_VARIANCE)


def _expected(model: MixingModel, parts: Floats) -> Floats:
    """Return log K/S of parts with the corrections of all cards so far."""
    return model.log_ks(parts) + model.corrections.correction(model.work_shares(parts))


def _bent_to(log_ks: Floats, card: Card, model: MixingModel) -> Floats:
    """Return log K/S changed as smoothly as can be to the Lab of the card."""
    assert card.lab is not None
    lab = card.lab
    view = viewing(model.wavelengths_nm, observer=card.observer)
    surface: FilmSurface = model.surface

    def curve(z: Floats) -> tuple[Floats, Floats]:
        ks = np.exp(z)
        inside = reflectance_from_ks(ks)
        slope = -ks * inside / np.sqrt(ks * (ks + 2.0)) * measured_slope(inside, surface)
        return measured_from_internal(inside, surface), slope

    target = xyz_from_lab(np.array(lab, float), view.whites[0])
    expected = view.lab(curve(log_ks)[0])[0]
    near = float(delta_e_00(expected, np.array(lab))) <= _STILL_NEAR
    for less_gloss in _LESS_GLOSS if near else _LESS_GLOSS[:1]:
        found = smoothest(curve, log_ks, target + less_gloss * view.whites[0], view.table[0])
        if found is not None:
            return found
    raise _impossible(lab, target / view.whites[0], surface)


def _impossible(
    lab: tuple[float, float, float], of_white: Floats, surface: FilmSurface
) -> LiveryError:
    """Return the error for a Lab that no mixture can read; ``of_white`` is its XYZ over white's."""
    reading = f"Lab {lab[0]:g} {lab[1]:g} {lab[2]:g}"
    if float(of_white.min()) < _NEAR_FLOOR * surface.floor:
        return fault(
            "record-lab",
            f"{reading} is deeper than any gloss surface reads with its mirror reflection, "
            f"{100 * surface.floor:.1f} %, taken in",
            'Say specular = "excluded" of the card if it was read so; or check what was typed.',
        )
    return fault(
        "record-lab",
        f"no mixture of these tints can read {reading}",
        "Check the reading and the mixture it belongs to.",
    )
