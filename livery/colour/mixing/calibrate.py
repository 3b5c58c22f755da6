"""From drawdowns to a mixing model, with a check of what it is worth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from livery.colour.difference import delta_e_00
from livery.colour.mixing.drawdowns import Drawdowns
from livery.colour.mixing.fit import CROWDING, SURFACE, Problem, TintFit, fit, log_ks_of_reading
from livery.colour.mixing.kubelka_munk import reflectance_from_ks, shares
from livery.colour.mixing.lessons import Lessons, learn
from livery.colour.mixing.model import MixingModel, mixed
from livery.colour.mixing.saunderson import GLOSS, Surface, measured_from_internal
from livery.colour.mixing.viewing import viewing
from livery.findings import Finding, LiveryError, Severity, fault

Floats = NDArray[np.float64]

# A card that the others miss by this much more than they expect is worth a second look.
_SUSPECT = 3.0
# The scattering, white's being 1, that no tint should pass.
_MOST_SCATTER = 2.0
# DeltaE00 of doubt for each that the fit misses a tint's own cards by, and for scattering
# e times beyond the most.
_PER_MISS, _PER_EXCESS = 0.7, 2.0
_NEARLY_BLACK = 0.02
_DOUBTFUL = 1.4
_STRENGTH_RANGE = np.log(5.0)


@dataclass(frozen=True, slots=True)
class CardCheck:
    """How well a card is met: by the fit, and by a fit that never saw it.

    ``left_out`` and ``expected`` (the uncertainty said beforehand) are ``None`` for a
    card without which a tint would be unknown.
    """

    card: str
    mixture: tuple[tuple[str, float], ...]
    fitted: float
    left_out: float | None = None
    expected: float | None = None


@dataclass(frozen=True, slots=True)
class Calibration:
    """A model with a check of every card and what there is to say about them."""

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
    surface: Surface = GLOSS,
    fit_surface: bool = True,
    check: bool = True,
    progress: Callable[[int, int], None] | None = None,
) -> Calibration:
    """Return the model that fits the drawdowns.

    Args:
        drawdowns: the cards; at the least a masstone of every tint and one reduction
            of each with white.
        white: the tint whose scattering is 1; the lightest masstone if left out.
        surface: Saunderson's constants; the start of their fit unless they are held.
        fit_surface: fit k1 and k2 too.
        check: fit once more without each card in turn.
        progress: told how many of how many such fits are done.

    Raises:
        LiveryError: a tint cannot be told from the cards there are.
    """
    place = _white(drawdowns, white)
    _demand_enough(drawdowns, place)
    free = free_constants(drawdowns, fit_surface)
    found = _fit(drawdowns, place, surface, free)
    model = build_model(drawdowns, found, place)
    view = viewing(drawdowns.wavelengths_nm)
    seen = view.lab(drawdowns.readings)[:, 0]
    fitted = delta_e_00(view.lab(model.predict(drawdowns.parts))[:, 0], seen)
    checks = []
    for i, card in enumerate(drawdowns.cards):
        left_out = expected = None
        if check and _can_spare(drawdowns, i):
            fewer = drawdowns.without(i)
            again = _fit(fewer, place, surface, free, found)
            other = build_model(fewer, again, place, like=model.lessons)
            parts = drawdowns.parts[i]
            left_out = float(delta_e_00(view.lab(other.predict(parts))[0], seen[i]))
            expected = float(other.uncertainty(parts, view))
        if progress:
            progress(i + 1, len(drawdowns.cards))
        checks.append(CardCheck(card, _mixture(drawdowns, i), float(fitted[i]), left_out, expected))
    findings = (*drawdowns.findings, *_doubtful(model), *_glowing(drawdowns), *_suspects(checks))
    return Calibration(model, tuple(checks), findings)


def free_constants(drawdowns: Drawdowns, fit_surface: bool) -> tuple[int, ...]:
    """Return which constants of the set are fitted.

    Masstones and one reduction of each tint fix every K and S and no more; only further
    mixtures can tell how the white's crowding bends them.
    """
    bent = _compositions(drawdowns.parts) > 2 * len(drawdowns.tints) - 1
    return (CROWDING if bent else ()) + (SURFACE if fit_surface else ())


def build_model(
    drawdowns: Drawdowns,
    found: TintFit,
    white: int,
    scatter_per_micron: float | None = None,
    like: Lessons | None = None,
) -> MixingModel:
    """Return the model of a fit, with every card as a lesson.

    ``scatter_per_micron`` stands where no film of known thickness was read; ``like``
    are lessons of nearly the same cards.
    """
    parts = drawdowns.parts
    optics = mixed(shares(parts), found.k, found.s, white, found.crowding)
    log_ks, variance = log_ks_of_reading(drawdowns.readings, found.surface)
    work = shares(parts * (found.k + found.s).mean(axis=1))
    return MixingModel(
        drawdowns.tints,
        drawdowns.wavelengths_nm,
        found.k,
        found.s,
        white,
        found.surface,
        learn(work, log_ks - np.log(optics.k / optics.s), variance, like),
        found.crowding,
        _doubts(drawdowns, found, white),
        _scatter_per_micron(drawdowns, found, white) or scatter_per_micron,
    )


def _doubts(drawdowns: Drawdowns, found: TintFit, white: int) -> tuple[float, ...]:
    """Return the DeltaE00 by which mixtures of each tint may miss beyond the usual doubt.

    It grows with what the optics miss the tint's own cards by, and where they meet them
    only by making it scatter beyond what any pigment beside white does.
    """
    optics = mixed(shares(drawdowns.parts), found.k, found.s, white, found.crowding)
    predicted = measured_from_internal(reflectance_from_ks(optics.k / optics.s), found.surface)
    view = viewing(drawdowns.wavelengths_nm)
    miss = delta_e_00(view.lab(predicted)[:, 0], view.lab(drawdowns.readings)[:, 0])
    # A card that is nearly black shows its gloss more than its pigment.
    telling = drawdowns.readings.mean(axis=1) > found.surface.floor + _NEARLY_BLACK
    telling &= (drawdowns.parts > 0).sum(axis=1) <= 2
    doubts = []
    for i in range(len(drawdowns.tints)):
        own = (drawdowns.parts[:, i] > 0) & telling
        misfit = float(np.sqrt((miss[own] ** 2).mean())) if own.any() and i != white else 0.0
        excess = float(np.log(max(found.s[i].max() / _MOST_SCATTER, 1.0)))
        doubts.append(_PER_MISS * misfit + _PER_EXCESS * excess)
    return tuple(doubts)


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


def _fit(
    drawdowns: Drawdowns,
    white: int,
    surface: Surface,
    free: tuple[int, ...],
    start: TintFit | None = None,
) -> TintFit:
    step = float(drawdowns.wavelengths_nm[1] - drawdowns.wavelengths_nm[0])
    problem = Problem(shares(drawdowns.parts), drawdowns.readings, white, step, free)
    return fit(problem, surface, start)


def _white(drawdowns: Drawdowns, name: str) -> int:
    if name:
        names = [tint.casefold() for tint in drawdowns.tints]
        if name.casefold() in names:
            return names.index(name.casefold())
        raise fault(
            "calibrate-white",
            f"There is no tint {name!r} in the drawdowns.",
            f"Write one of: {', '.join(drawdowns.tints)}.",
        )
    used = drawdowns.parts > 0
    alone = used.sum(axis=1) == 1
    common = int(np.argmax(used.sum(axis=0)))
    if not used[alone, common].any():
        raise fault(
            "calibrate-white",
            f"{drawdowns.tints[common]} is on most cards and on none by itself; if it is the "
            "white, its scattering cannot be told.",
            f"Add a drawdown of {drawdowns.tints[common]} alone, or name the white with --white.",
        )
    lightest = int(np.argmax(np.where(alone, drawdowns.readings.mean(axis=1), -1.0)))
    return int(np.argmax(drawdowns.parts[lightest]))


def _demand_enough(drawdowns: Drawdowns, white: int) -> None:
    few = [
        Finding(
            "calibrate-too-few",
            f"{tint} is on one card only; its absorption and scattering cannot be told apart.",
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


def _doubtful(model: MixingModel) -> list[Finding]:
    return [
        Finding(
            "calibrate-doubtful",
            f"The cards of {tint} do not agree with each other: no mixture of absorption and "
            "scattering gives them all.",
            "Check that masstone and reduction are not swapped and that the parts are right.",
            Severity.WARNING,
        )
        for tint, doubt in zip(model.tints, model.doubts, strict=True)
        if doubt > _DOUBTFUL
    ]


def _glowing(drawdowns: Drawdowns) -> list[Finding]:
    return [
        Finding(
            "calibrate-fluorescent",
            f"Card {card} returns more light at some wavelengths than falls on it.",
            "A fluorescent tint cannot be predicted: leave it out, and match it by eye.",
            Severity.WARNING,
        )
        for card, reading in zip(drawdowns.cards, drawdowns.readings, strict=True)
        if reading.max() > 1.02
    ]


def _suspects(checks: list[CardCheck]) -> list[Finding]:
    known = [c for c in checks if c.left_out is not None and c.expected is not None]
    if len(known) < 3:
        return []
    typical = float(np.median([c.left_out for c in known if c.left_out is not None]))
    return [
        Finding(
            "calibrate-suspect",
            f"Card {c.card} is {c.left_out:.1f} DeltaE00 from what the other cards lead to "
            f"expect; {typical:.1f} is usual here.",
            "Weigh it out, draw it down and read it again, or leave the row out.",
            Severity.WARNING,
        )
        for c in known
        if c.left_out is not None and c.left_out > max(_SUSPECT, 3.0 * typical)
    ]


def _scatter_per_micron(drawdowns: Drawdowns, found: TintFit, white: int) -> float | None:
    """Return the white's scattering per micron, the median over films and wavelengths."""
    ratios = []
    for film in drawdowns.films:
        optics = mixed(shares(film.parts), found.k, found.s, white, found.crowding)
        ratios.append(film.per_micron.s / optics.s)
    values = np.concatenate(ratios) if ratios else np.array([])
    values = values[np.isfinite(values)]
    return float(np.median(values)) if values.size else None
