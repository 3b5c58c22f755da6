"""From drawdowns to a mixing model, with a check of what it is worth."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from livery.colour.difference import delta_e_00
from livery.colour.mixing.card_corrections import CardCorrections, fit_corrections
from livery.colour.mixing.drawdowns import Drawdowns
from livery.colour.mixing.fit import Freed, Problem, TintFit, fit, log_ks_of_reading
from livery.colour.mixing.gloss_reading import words_if_gloss_left_out
from livery.colour.mixing.kubelka_munk import reflectance_from_ks, shares
from livery.colour.mixing.model import MixingModel, StackedFit, mixed
from livery.colour.mixing.reliability import of_mixture, reliability
from livery.colour.mixing.saunderson import GLOSS, FilmSurface, measured_from_internal
from livery.colour.mixing.stacking import stack_weights, stacked_freed, surface_no_darker
from livery.colour.mixing.viewing import viewing
from livery.colour.mixing.white import white_of
from livery.findings import Finding, LiveryError, Severity

Floats = NDArray[np.float64]

_SUSPECT = 3.0
"""A card that the others miss by this DeltaE00 more than they expect is worth a second look
(chosen). Larger, and slips pass."""

_MOST_SCATTER = 2.0
"""The scattering, white's being 1, that no tint should pass (chosen: white scatters most). Larger,
and tints are trusted that hide too well."""

_PER_MISS, _PER_EXCESS = 0.7, 2.0
"""DeltaE00 of uncertainty for each that the fit misses a tint's own cards by, and for scattering e
times beyond the most (chosen). Larger, and more is said to be open."""

_NEARLY_BLACK = 0.02
"""A card no lighter says little about its tint, in reflectance above the surface's own (chosen).
Larger, and fewer cards count."""

_BACKWARD, _DARKER = 0.15, 0.02
"""So much further in log K/S a weaker card may lie from the white, by the noise of both, and so
much darker it may read, by the gloss of both (chosen: most of what very dark cards differ by).
Larger, and swapped cards pass."""

_STRENGTH_RANGE = np.log(5.0)
"""How far a strength may lie from what the table says, in its natural logarithm (chosen: five
times). Larger fits slips."""

_MOST_LEFT_OUT = 36
"""Cards left out for the weights of the fits where none is checked (chosen). More take longer."""

_WEIGHT_DIGITS = 6
"""Digits to which weights are compared (chosen). More would depend on the processor."""


@dataclass(frozen=True, slots=True)
class CardCheck:
    """How well a card is met: by the fit, and by a fit that never saw it.

    ``left_out`` and ``expected`` (the uncertainty stated beforehand, which
    should hold ``left_out`` 95 times in 100) are ``None`` for a
    card without which a tint would be unknown.
    """

    card: str
    mixture: tuple[tuple[str, float], ...]
    fitted: float
    left_out: float | None = None
    expected: float | None = None


@dataclass(frozen=True, slots=True)
class Calibration:
    """A model with a check of every card, and findings about the cards."""

    model: MixingModel
    cards: tuple[CardCheck, ...]
    findings: tuple[Finding, ...] = ()

    def median(self, left_out: bool = True) -> float | None:
        """Return the median DeltaE00 over the cards, left out of the fit or in it."""
        values = [c.left_out if left_out else c.fitted for c in self.cards]
        known = [v for v in values if v is not None]
        return float(np.median(known)) if known else None


def calibrate(
    drawdowns: Drawdowns,
    *,
    white: str = "",
    surface: FilmSurface = GLOSS,
    fit_surface: bool = True,
    check: bool = True,
    progress: Callable[[int, int], None] | None = None,
) -> Calibration:
    """Return the model that fits the drawdowns.

    Args:
        drawdowns: the cards; at the least a masstone of every tint and one reduction
            of each with white.
        white: the tint whose scattering is 1; found from the reductions if left out.
        surface: Saunderson's constants; the start of their fit unless they are held.
        fit_surface: stack fits with k2 free too, by what the cards left out support.
        check: predict each card by fits without it, which also shows how far each tint's
            mixtures are missed.  Otherwise the weights of the fits come from some of them.
        progress: called with how many of how many such cards are done.

    Raises:
        LiveryError: the cards do not determine a tint.
    """
    place, white_notes = white_of(drawdowns, white)
    _require_two_cards_each(drawdowns, place)
    surface_held = surface_no_darker(drawdowns.readings, surface)
    fitting = _Fitting(drawdowns, place, surface_held, stacked_freed(fit_surface))
    spare = [i for i in range(len(drawdowns.cards)) if _can_spare(drawdowns, i)]
    left_out: dict[int, tuple[float, float]] = {}
    fitting.leave_out(spare if check else _some(spare), progress)
    for i in spare if check else []:
        left_out[i] = fitting.check(i)
    model = fitting.model()
    fitted = delta_e_00(fitting.view.lab(model.predict(drawdowns.parts))[:, 0], fitting.seen)
    checks = []
    for i, card in enumerate(drawdowns.cards):
        missed = expected = None
        if i in left_out:
            missed = left_out[i][0]
            expected = fitting.stated(i)
        checks.append(CardCheck(card, _mixture(drawdowns, i), float(fitted[i]), missed, expected))
    findings = (
        *drawdowns.findings,
        *white_notes,
        *_disagreeing_cards(drawdowns, model),
        *_glowing(drawdowns),
        *_gloss_left_out(drawdowns, surface),
        *_suspects(checks),
    )
    return Calibration(model, tuple(checks), findings)


def _some(spare: list[int]) -> list[int]:
    """Return some of the cards that can be left out, evenly spread."""
    at = np.linspace(0, len(spare) - 1, min(len(spare), _MOST_LEFT_OUT)).round().astype(int)
    return [spare[i] for i in at]


class _Fitting:
    """A stack of fits of one set of cards, whole and with a card left out."""

    def __init__(
        self, drawdowns: Drawdowns, white: int, surface: FilmSurface, stack: tuple[Freed, ...]
    ) -> None:
        self.drawdowns, self.white, self.surface, self.stack = drawdowns, white, surface, stack
        self.view = viewing(drawdowns.wavelengths_nm)
        self.seen = self.view.lab(drawdowns.readings)[:, 0]
        self.uses = drawdowns.parts > 0.0
        self.uses[:, white] = False
        self.whole = [self._fit(drawdowns, freed) for freed in stack]
        self.without: dict[int, list[TintFit]] = {}
        self._missed_by: dict[int, Floats] = {}
        self._checked: dict[int, tuple[float, float]] = {}
        self._corrections: CardCorrections | None = None

    def leave_out(
        self, cards: list[int], progress: Callable[[int, int], None] | None = None
    ) -> None:
        """Fit without each card in turn."""
        for done, card in enumerate(cards, start=1):
            fewer, parts = self.drawdowns.without(card), self.drawdowns.parts[card]
            fits = [
                self._fit(fewer, freed, found)
                for freed, found in zip(self.stack, self.whole, strict=True)
            ]
            self.without[card] = fits
            readings = [_predicted(parts, found) for found in fits]
            self._missed_by[card] = self.view.lab(np.array(readings))[:, 0]
            if progress:
                progress(done, len(cards))

    def weights(self, but: int | None = None) -> Floats:
        """Return the weight of each fit, by the cards left out other than one."""
        cards = [card for card in self._missed_by if card != but]
        labs = np.array([self._missed_by[card] for card in cards]).reshape(-1, len(self.stack), 3)
        return stack_weights(labs.transpose(1, 0, 2), self.seen[cards])

    def model(self) -> MixingModel:
        """Return the model of all cards, as reliable as those left out have shown."""
        reliable = tuple(self._reliability(None))
        return replace(self._of_all(), reliability=reliable)

    def check(self, card: int) -> tuple[float, float]:
        """Return DeltaE00 of a card left out, and the sensitivity stated of it beforehand."""
        if card not in self._checked:
            fewer, parts = self.drawdowns.without(card), self.drawdowns.parts[card]
            like = self._of_all().corrections
            weights = self.weights(card)
            model = build_model(fewer, self.without[card], self.white, weights, like=like)
            stated = float(model.sensitivity(parts, self.view))
            missed = delta_e_00(self.view.lab(model.predict(parts))[0], self.seen[card])
            self._checked[card] = float(missed), stated
        return self._checked[card]

    def stated(self, card: int) -> float:
        """Return the uncertainty of a card that was left out, its own miss not looked at."""
        uses = self.uses[card].astype(float)
        return float(of_mixture(self._reliability(card), uses) * self._checked[card][1])

    def _reliability(self, but: int | None) -> Floats:
        """Return what the cards left out, all but one, say of each tint."""
        cards = {c: v for c, v in self._checked.items() if c != but}
        missed, stated = np.array(list(cards.values())).reshape(-1, 2).T
        return reliability(self.uses[list(cards)], missed, stated, len(self.drawdowns.tints))

    def _of_all(self) -> MixingModel:
        model = build_model(
            self.drawdowns, self.whole, self.white, self.weights(), like=self._corrections
        )
        self._corrections = model.corrections
        return model

    def _fit(self, cards: Drawdowns, freed: Freed, start: TintFit | None = None) -> TintFit:
        step = float(cards.wavelengths_nm[1] - cards.wavelengths_nm[0])
        problem = Problem(shares(cards.parts), cards.readings, self.white, step, freed)
        return fit(problem, self.surface, start)


def _predicted(parts: Floats, found: TintFit) -> Floats:
    optics = mixed(shares(parts), found.k, found.s, found.bends)
    return measured_from_internal(reflectance_from_ks(optics.k / optics.s), found.surface)


def model_of_few_cards(drawdowns: Drawdowns, white: int, surface: FilmSurface) -> MixingModel:
    """Return the model of all cards, without leaving any out: all fits count alike."""
    return _Fitting(drawdowns, white, surface, stacked_freed(True)).model()


def build_model(
    drawdowns: Drawdowns,
    fits: Sequence[TintFit],
    white: int,
    weights: Floats,
    *,
    scatter_per_micron: float | None = None,
    like: CardCorrections | None = None,
) -> MixingModel:
    """Return the model of fits by their weights, corrected by every card.

    The fit of the greatest weight leads.  ``scatter_per_micron`` stands where no film of known
    thickness was read; ``like`` are corrections of nearly the same cards.
    """
    leading = int(np.argmax(np.round(weights, _WEIGHT_DIGITS)))
    found = fits[leading]
    model = MixingModel(
        drawdowns.tints,
        drawdowns.wavelengths_nm,
        found.k,
        found.s,
        white,
        surface=found.surface,
        corrections=_none(drawdowns),
        bends=found.bends,
        tint_uncertainties=_tint_uncertainties(drawdowns, found, white),
        scatter_per_micron=_scatter_per_micron(drawdowns, found, white) or scatter_per_micron,
        fits=tuple(
            StackedFit(f.k, f.s, f.bends, f.surface, float(weight))
            for i, (f, weight) in enumerate(zip(fits, weights, strict=True))
            if i != leading
        ),
    )
    log_ks, variance = log_ks_of_reading(drawdowns.readings, found.surface)
    residuals = log_ks - model.log_ks(drawdowns.parts)
    work = model.work_shares(drawdowns.parts)
    return replace(model, corrections=fit_corrections(work, residuals, variance, like))


def _none(drawdowns: Drawdowns) -> CardCorrections:
    nothing = np.zeros((0, drawdowns.wavelengths_nm.size))
    return CardCorrections(np.zeros((0, len(drawdowns.tints))), nothing, nothing)


def _tint_uncertainties(drawdowns: Drawdowns, found: TintFit, white: int) -> tuple[float, ...]:
    """Return the DeltaE00 by which mixtures of each tint may miss beyond the usual uncertainty.

    It grows with what the optics miss the tint's own cards by, and where they meet them
    only by making it scatter beyond what any pigment beside white does.
    """
    view = viewing(drawdowns.wavelengths_nm)
    miss = delta_e_00(
        view.lab(_predicted(drawdowns.parts, found))[:, 0], view.lab(drawdowns.readings)[:, 0]
    )
    # A card that is nearly black shows its gloss more than its pigment.
    readable = drawdowns.readings.mean(axis=1) > found.surface.floor + _NEARLY_BLACK
    readable &= (drawdowns.parts > 0).sum(axis=1) <= 2
    uncertainties = []
    for i in range(len(drawdowns.tints)):
        own = (drawdowns.parts[:, i] > 0) & readable
        misfit = float(np.sqrt((miss[own] ** 2).mean())) if own.any() and i != white else 0.0
        excess = float(np.log(max(found.s[i].max() / _MOST_SCATTER, 1.0)))
        uncertainties.append(_PER_MISS * misfit + _PER_EXCESS * excess)
    return tuple(uncertainties)


def strength(model: MixingModel, tint: str, parts: Floats, reading: Floats) -> float:
    """Return how strong a new tin of a tint is against the one calibrated.

    ``reading`` is a card of ``parts`` (by weight, in the order of the model's tints);
    the factor on the tint's K and S, 0.2 to 5, whose prediction comes nearest the card
    by DeltaE00.
    """
    view = viewing(model.wavelengths_nm)
    seen = view.lab(reading)[0]

    def miss(log_factor: float) -> float:
        predicted = model.with_strength(tint, float(np.exp(log_factor))).predict(parts)
        return float(delta_e_00(view.lab(predicted)[0], seen))

    found = minimize_scalar(miss, bounds=(-_STRENGTH_RANGE, _STRENGTH_RANGE), method="bounded")
    return float(np.exp(found.x))


def _require_two_cards_each(drawdowns: Drawdowns, white: int) -> None:
    few = [
        Finding(
            "calibrate-too-few",
            f"{tint} is on one card only; its absorption and scattering cannot be found one by one",
            f"Add a drawdown of {tint} with white, about 1 part to 9, or leave its row out.",
        )
        for i, tint in enumerate(drawdowns.tints)
        if i != white and _compositions(drawdowns.parts[drawdowns.parts[:, i] > 0]) < 2
    ]
    if few:
        raise LiveryError(few)


def _compositions(parts: Floats) -> int:
    return len(np.unique(np.round(shares(parts), 6), axis=0)) if len(parts) else 0


def _can_spare(drawdowns: Drawdowns, card: int) -> bool:
    rest = drawdowns.without(card).parts
    used = np.flatnonzero(drawdowns.parts[card])
    if used.size == 1:
        return False
    return all(_compositions(rest[rest[:, i] > 0]) >= 2 for i in used)


def _mixture(drawdowns: Drawdowns, card: int) -> tuple[tuple[str, float], ...]:
    row = drawdowns.parts[card]
    return tuple((t, float(p)) for t, p in zip(drawdowns.tints, row, strict=True) if p > 0)


def _disagreeing_cards(drawdowns: Drawdowns, model: MixingModel) -> list[Finding]:
    """Return a warning of each tint whose stronger card reads nearer the white than a weaker."""
    return [
        Finding(
            "calibrate-disagreement",
            f"the cards of {tint} do not agree with each other: more of it with "
            f"{drawdowns.tints[model.white]} reads nearer to {drawdowns.tints[model.white]}",
            "Check that masstone and reduction are not swapped and that the parts are right.",
            Severity.WARNING,
        )
        for i, tint in enumerate(drawdowns.tints)
        if i != model.white and _backward(drawdowns, i, model)
    ]


def _backward(drawdowns: Drawdowns, tint: int, model: MixingModel) -> bool:
    """Return whether of two cards of a tint and white the stronger one is the nearer to white.

    Nearness is by log K/S where the stronger card differs most from white, as that is where
    the tint absorbs.
    """
    others = np.delete(drawdowns.parts, [tint, model.white], axis=1).sum(axis=1)
    own = np.flatnonzero((drawdowns.parts[:, tint] > 0) & (others == 0))
    white = np.flatnonzero(shares(drawdowns.parts)[:, model.white] == 1.0)
    if not white.size:
        return False
    log_ks, _ = log_ks_of_reading(drawdowns.readings, model.surface)
    away = log_ks[own] - log_ks[white].mean(axis=0)
    share = shares(drawdowns.parts[own])[:, tint]
    strongest = np.argsort(-np.abs(away).max(axis=0))[: max(3, away.shape[1] // 4)]
    size = away[:, strongest].mean(axis=1)
    read = drawdowns.readings[own][:, strongest].mean(axis=1)
    return any(
        share[i] > 1.5 * share[j]
        and size[j] - size[i] > _BACKWARD
        and abs(read[i] - read[j]) > _DARKER
        for i in range(own.size)
        for j in range(own.size)
    )


def _glowing(drawdowns: Drawdowns) -> list[Finding]:
    return [
        Finding(
            "calibrate-fluorescent",
            f"card {card} reflects more light at some wavelengths than falls on it",
            "A fluorescent tint cannot be predicted: leave it out, and match it by eye.",
            Severity.WARNING,
        )
        for card, reading in zip(drawdowns.cards, drawdowns.readings, strict=True)
        if reading.max() > 1.02
    ]


def _gloss_left_out(drawdowns: Drawdowns, surface: FilmSurface) -> list[Finding]:
    """Return a warning of cards said to have their gloss in them that read darker than any gloss."""
    words = words_if_gloss_left_out(drawdowns.readings, surface)
    if words is None:
        return []
    remedy = "If the instrument left the gloss out, as those of 45/0 do, say --specular excluded."
    return [Finding("calibrate-specular", words, remedy, Severity.WARNING)]


def _suspects(checks: list[CardCheck]) -> list[Finding]:
    """Return a warning for each card far off, and further than was expected of it or very far."""
    known = [c for c in checks if c.left_out is not None and c.expected is not None]
    if len(known) < 3:
        return []
    typical = float(np.median([c.left_out for c in known if c.left_out is not None]))
    return [
        Finding(
            "calibrate-suspect",
            f"card {c.card} is {c.left_out:.1f} DeltaE00 from what the other cards lead to "
            f"expect; {typical:.1f} is usual here",
            "Weigh it out, draw it down and read it again, or leave the row out.",
            Severity.WARNING,
        )
        for c in known
        if c.left_out is not None
        and c.expected is not None
        and c.left_out > max(_SUSPECT, 3.0 * typical, min(c.expected, 6.0 * typical))
    ]


def _scatter_per_micron(drawdowns: Drawdowns, found: TintFit, white: int) -> float | None:
    """Return the white's scattering per micron, the median over films and wavelengths."""
    ratios = []
    for film in drawdowns.films:
        optics = mixed(shares(film.parts), found.k, found.s, found.bends)
        ratios.append(film.per_micron.s / optics.s)
    values = np.concatenate(ratios) if ratios else np.array([])
    values = values[np.isfinite(values)]
    return float(np.median(values)) if values.size else None
