"""Shelf, model, record and lamps brought together, as a command names them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from livery.colour.difference import delta_e_00
from livery.colour.mixing.gloss_reading import gloss_words, lab_as, reading_as
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.model_file import read_model
from livery.colour.mixing.recipe import target_from_lab, target_from_reading
from livery.colour.mixing.record import apply_cards, read_card_record
from livery.colour.mixing.search import Target
from livery.colour.mixing.shelf import Shelf, at_strengths, model_of_drawdowns, read_shelf
from livery.colour.mixing.viewing import Viewing, viewing
from livery.colour.reading import is_reading, read_colour
from livery.colour.spectrum_file import read_spectrum
from livery.data_folder import data_folder
from livery.findings import Finding, Severity, fault
from livery.write.file import is_same_file

Floats = NDArray[np.float64]

DEMO = "demo"

MISSED_DE00 = 1.0
"""How far from one of its own cards a model may be before that is said, in DeltaE00 (chosen: just seen
side by side). Larger, and fewer misses are said."""


@dataclass(frozen=True, slots=True, eq=False)
class OpenedShelf:
    """The tints to mix with and their model, whatever lamps they are looked at under."""

    shelf: Shelf
    model: MixingModel
    drawn_down: MixingModel

    def under(self, lamps: tuple[str, ...], observer: int = 2) -> MixingSetup:
        """Return the setup for some lamps."""
        view = viewing(self.drawn_down.wavelengths_nm, lamps, observer)
        return MixingSetup(self.shelf, self.model, view, self.drawn_down)


@dataclass(frozen=True, slots=True, eq=False)
class MixingSetup:
    """The tints to mix with, and the lamps to look under.

    ``drawn_down`` is the model of the tins that were drawn down, before any test card.
    """

    shelf: Shelf
    model: MixingModel
    view: Viewing
    drawn_down: MixingModel

    def target(
        self, colour: str | None, reading: Path | None, *, gloss_included: bool | None = None
    ) -> Target:
        """Return the target of a colour given as text, or of a file of readings.

        ``gloss_included`` says how it was read; ``None`` as the tints of the shelf.
        """
        if (colour is None) == (reading is None):
            raise fault(
                "mix-target",
                "there is no colour to match" if colour is None else "there are two targets",
                "Write a colour or name a file with --reading, one of the two.",
            )
        if colour is not None and is_reading(colour):
            reading = Path(colour)
        if reading is not None:
            read = reading_as(self.spectrum(reading), gloss_included, self.model.surface)
            return target_from_reading(read, self.view)
        light = self.view.whites[0]
        lab = lab_as(self.lab(colour or ""), gloss_included, self.model.surface, white=light)
        return target_from_lab(lab, self.view)

    def lab(self, colour: str) -> tuple[float, float, float]:
        """Return Lab under the first lamp of a colour as text."""
        found = read_colour(colour, self.view.lamps[0], self.view.observer)
        return found.under(self.view.lamps[0], self.view.observer).lab

    def spectrum(self, path: Path) -> Floats:
        """Return a reading at the model's wavelengths, interpolated if the file's differ."""
        wavelengths, values = read_spectrum(path)
        own = self.model.wavelengths_nm
        if wavelengths[0] > own[0] + 20 or wavelengths[-1] < own[-1] - 20:
            raise fault(
                "spectrum-short",
                f"{path} runs from {wavelengths[0]:g} to {wavelengths[-1]:g} nm; "
                f"{own[0]:g} to {own[-1]:g} nm are needed",
                "Export the whole range.",
            )
        return np.interp(own, wavelengths, values)


def _against_model(tins: Shelf, model: MixingModel) -> list[Finding]:
    """Return a warning of each thing that a shelf and its model say differently."""
    found = []
    unknown = [tint.name for tint in tins.tints if tint.name not in model.tints]
    if unknown:
        found.append(
            Finding(
                "mixing-tint-not-in-model",
                f"the model has no data for {', '.join(unknown)}: recipes leave it out",
                f"Its tints are {', '.join(model.tints)}. Add drawdowns of a new tint to the "
                "table, and calibrate again.",
                Severity.WARNING,
            )
        )
    fitted = model.tints[model.white]
    if tins.white != fitted:
        found.append(
            Finding(
                "mixing-white-not-the-models",
                f"the white of the shelf is {tins.white}, that of its model is {fitted}: strengths "
                f"and the next card go by reductions with {fitted}",
                f'Write white = "{fitted}", or calibrate again with --white "{tins.white}".',
                Severity.WARNING,
            )
        )
    if tins.surface.specular_included != model.surface.specular_included:
        own, read = (gloss_words(s.specular_included) for s in (tins.surface, model.surface))
        found.append(
            Finding(
                "mixing-gloss-not-the-models",
                f"the shelf says that its readings have the gloss {own}, its model was fitted to "
                f"readings with the gloss {read}: every reading is taken as {read}",
                f'Write specular = "{read}" at the head of the shelf, and specular = "{own}" beside '
                f"each card that was read so; or calibrate again with --specular {own}.",
                Severity.WARNING,
            )
        )
    return found


def _missed_cards(tins: Shelf, model: MixingModel) -> list[Finding]:
    """Return a note of each of the shelf's own cards that the model made of them does not meet."""
    drawn = tins.drawdowns
    if not len(drawn.parts):
        return []
    view = viewing(model.wavelengths_nm)
    labs = view.lab(model.predict(drawn.parts))[:, 0]
    misses = delta_e_00(labs, view.lab(drawn.readings)[:, 0])
    return [
        Finding(
            "mixing-card-missed",
            f"{card} is predicted as Lab {lab[0]:.1f} {lab[1]:.1f} {lab[2]:.1f}, {miss:.1f} DeltaE00 "
            "from what is written on the shelf: no single absorption and scattering gives all its "
            "cards",
            "Mixtures rich in it are as uncertain: read its cards with a spectrophotometer, or draw "
            "them down again.",
            Severity.NOTE,
        )
        for card, lab, miss in zip(drawn.cards, labs, misses, strict=True)
        if miss > MISSED_DE00
    ]


def _with_scatter(model: MixingModel, tins: Shelf) -> MixingModel:
    """Return a model that lacks it with the scattering per micron that the shelf gives its white."""
    known = tins.scatter_per_micron
    if model.scatter_per_micron is not None or known is None or tins.white not in model.tints:
        return model
    relative = float(model.s[model.tints.index(tins.white)].mean())
    return replace(model, scatter_per_micron=known / relative)


def load_setup(
    shelf: str,
    model: Path | None,
    record: Path | None,
    lamps: tuple[str, ...],
    observer: int = 2,
) -> MixingSetup:
    """Return the setup of a shelf, as :func:`open_shelf` takes it, under some lamps."""
    return open_shelf(shelf, model, record).under(lamps, observer)


def open_shelf(shelf: str, model: Path | None, record: Path | None) -> OpenedShelf:
    """Return a shelf with its model; ``shelf`` is a file or ``demo`` for the invented one.

    ``model`` and ``record`` stand before those that the shelf names.  Test cards in the
    shelf's own file count as well.
    """
    path = data_folder("palettes") / "shelves" / "tints-demo.toml" if shelf == DEMO else Path(shelf)
    tins = read_shelf(path, modelled=model is not None)
    model, record = model or tins.model, record or tins.record
    drawn_down = read_model(model) if model else model_of_drawdowns(tins)
    found = _with_scatter(at_strengths(drawn_down, tins), tins)
    missed = [] if model else _missed_cards(tins, drawn_down)
    tins = replace(tins, findings=(*tins.findings, *_against_model(tins, found), *missed))
    cards = tins.cards
    if record is not None and not is_same_file(record, path):
        cards = (*cards, *read_card_record(record))
    return OpenedShelf(tins, apply_cards(found, cards), found)
