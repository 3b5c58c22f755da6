"""Correcting a batch: what to add to the can once its test card has been read.

Nothing can be taken out again, so the correction only ever adds, and only what the can
still holds.  The card is updated to the model first: the correction is worked from the
colour that came out, not from the one that was expected.  Under several lamps the worst
counts, as it does for recipes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.colour.difference import delta_e_00
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.recipe import Ingredient, usable_tints
from livery.colour.mixing.record import Card, apply_cards, as_model_reads, tint_parts
from livery.colour.mixing.search import Base, Found, Target, find_mixtures
from livery.colour.mixing.shelf import Shelf
from livery.colour.mixing.viewing import Viewing, viewing
from livery.colour.mixing.weighing import TENTHS, WeighingScale, round_amounts
from livery.findings import Finding, Severity, fault

Floats = NDArray[np.float64]

CARD_LAMP = "D65"
"""The lamp the Lab of every test card is for."""

_PER_TINT, _PER_CAN = 0.1, 0.5
"""What adding one tint more, and a can's worth of paint, must gain, in DeltaE00 (chosen: the work
of it). Larger, and fewer tints are added."""

_SMALL_MISS = 0.5
"""A smaller miss needs no addition, in DeltaE00 (common practice: not seen side by side). Larger,
and more is left as it is."""

_UNLIKELY = 1.25
"""A card so many times further from the prediction than was expected may be a slip (chosen).
Larger, and slips pass."""

_CARD_SPREAD, _CARD_GLOSS, _CARD_FILM = 0.4, 0.0035, 0.5
"""To this DeltaE00 a card repeats, to this reflectance its gloss, which shows most on dark paint,
and to this part of what drawdowns do the thickness of its film (measured on invented sets as rough
as measured oils: cards of one batch differ by 0.6 to 1.2). Larger, and more is said to be open."""

_MOVE_SPREAD = 0.25
"""What each tint that is added does is this share more or less than predicted (chosen: how far
additions to measured paints came out). Larger, and more is said to be open."""

_PER_95 = 2.6
"""Standard deviations of a miss that hold 95 in 100 (measured on 142 additions to cans of invented
paints; a normal law along one axis would give 1.96, along three 2.8). Larger, and more is said to
be open."""

_FAR_OFF, _HELD_BACK, _KNOWN = 1.5, 0.8, 0.3
"""The first addition to a batch this far off, in DeltaE00, is held back to a part, as a shop does;
a mixture is known where cards near it leave less than the third open (common practice; the figures
chosen). Larger, and more is added at once."""

_TRACE = 1e-5
"""So small a share of the batch is none (chosen: below any scale's step). Larger, and weak
additions vanish."""

_FULL = 0.95
"""A can filled to this share leaves no room for more (chosen: it must be stirred). Larger, and it
spills."""


@dataclass(frozen=True, slots=True)
class BatchAddition:
    """What to add, and DeltaE00 to the target under each of ``lamps``.

    ``now`` is the batch as its card reads, ``estimated`` as all its cards together and the model
    say, ``predicted_before`` what the model had expected of it, ``after`` what is expected once
    ``add`` is in.  The next card lies within ``expected_miss`` of that 95 times in 100.  ``growth``
    is by what share the batch grows.
    """

    add: tuple[Ingredient, ...]
    unit: str
    lamps: tuple[str, ...]
    predicted_before: tuple[float, ...]
    now: tuple[float, ...]
    estimated: tuple[float, ...]
    after: tuple[float, ...]
    expected_miss: float
    total_ml: float
    growth: float
    model: MixingModel
    findings: tuple[Finding, ...]


def correct_batch(
    model: MixingModel,
    shelf: Shelf,
    target: Target,
    card: Card,
    *,
    can_ml: float,
    view: Viewing | None = None,
    most: int = 3,
    scale: WeighingScale = TENTHS,
    leave_out: tuple[str, ...] = (),
) -> BatchAddition:
    """Return what to add to a batch.

    Args:
        model: the model the batch was mixed by.
        shelf: the tins.
        target: the colour wanted.
        card: the batch as mixed, in grams, and what its card read.
        can_ml: what the can holds in all.
        view: the lamps the target is for; D65 if left out.
        most: the most tints to add.
        scale: what it is measured out with.
        leave_out: tints not to add.

    Raises:
        LiveryError: the can is smaller than the batch in it, or a tint is not known.
    """
    seen = view or viewing(model.wavelengths_nm)
    card = as_model_reads(card, model)
    grams = tint_parts(model, card.mixture)
    densities = np.array([shelf.tint(name).density_g_per_ml for name in model.tints])
    room_ml = _room(can_ml, float((grams / densities).sum()))
    updated = apply_cards(model, [card])
    before = _miss(model, grams, seen, target)
    now = _seen_miss(card, updated, grams, seen, target)
    estimated = _miss(updated, grams, seen, target)
    usable = usable_tints(model, shelf, leave_out) if room_ml > 0.0 else ()
    needed = np.zeros_like(grams)
    if usable:
        found = _search(
            updated, seen, target, grams, densities, room_ml=room_ml, usable=usable, most=most
        )
        needed = np.where(found.parts > _TRACE, found.parts, 0.0) * grams.sum()
    amounts = _measured_out(
        needed, updated, seen, target, grams, densities=densities, scale=scale, room_ml=room_ml
    )
    first = float(model.corrections.ignorance(model.work_shares(grams))) > _KNOWN
    held_back = first and estimated.max() > _FAR_OFF
    if held_back:
        amounts = np.floor(_HELD_BACK * amounts / scale.step + 1e-6) * scale.step
    weights = amounts * scale.grams_per_unit(densities)
    after = _miss(updated, grams + weights, seen, target)
    worth = not amounts.any() or _is_worth(
        float(estimated.max()), float(after.max()), _Open.of(updated, grams, weights, seen)
    )
    if not worth:
        amounts, weights, after = np.zeros_like(grams), np.zeros_like(grams), estimated
    total_ml = float(((grams + weights) / densities).sum())
    return BatchAddition(
        _ingredients(updated, amounts, weights, densities, scale),
        scale.unit,
        seen.lamps,
        _each(before),
        _each(now),
        estimated=_each(estimated),
        after=_each(after),
        expected_miss=_Open.of(updated, grams, weights, seen).of_next_card,
        total_ml=total_ml,
        growth=total_ml / float((grams / densities).sum()) - 1.0,
        model=updated,
        findings=(
            *_unlike(card, model, grams),
            *_unread_lamps(card, seen),
            *(
                _added(after.max(), total_ml > _FULL * can_ml, held_back)
                if amounts.any()
                else _left(now.max(), bool(needed.any()) and worth, scale)
            ),
        ),
    )


def _measured_out(
    needed: Floats,
    model: MixingModel,
    seen: Viewing,
    target: Target,
    grams: Floats,
    *,
    densities: Floats,
    scale: WeighingScale,
    room_ml: float,
) -> Floats:
    """Return what to add, in grams of each tint, in the steps that it is measured out by."""
    if not needed.any():
        return np.zeros_like(grams)
    return round_amounts(
        needed,
        densities,
        scale,
        model,
        seen,
        target=target,
        base_grams=grams,
        most_grams=room_ml * float(densities[needed > 0].min()),
    )


@dataclass(frozen=True, slots=True)
class _Open:
    """What stays open of a batch, as standard deviations in DeltaE00.

    ``card``: how a card strays from its batch, which counts for the last card and for the next;
    ``move``: how what is added may do more or less than predicted.
    """

    card: float
    move: float

    @classmethod
    def of(cls, model: MixingModel, grams: Floats, weights: Floats, view: Viewing) -> _Open:
        """Return what is open of a batch that has been read, once ``weights`` (tints) are added."""
        read = model.predict(grams)
        middle = view.lab(read)

        def apart(reading: Floats) -> float:
            return float(np.max(delta_e_00(middle, view.lab(reading))))

        gloss = (apart(read + _CARD_GLOSS) + apart(read - _CARD_GLOSS)) / 2.0
        film = _CARD_FILM * float(model.thickness_sensitivity(grams, view))
        card = float(np.linalg.norm([_CARD_SPREAD, gloss, film]))
        each = np.eye(grams.size)[weights > 0.0] * weights
        moves = [apart(model.predict(grams + added)) for added in each]
        return cls(card, _MOVE_SPREAD * float(np.linalg.norm(moves)))

    @property
    def of_next_card(self) -> float:
        """The DeltaE00 about the prediction that holds the next card 95 times in 100."""
        return _PER_95 * float(np.linalg.norm([self.card, self.card, self.move]))


def _is_worth(before: float, after: float, left: _Open) -> bool:
    """Return whether adding betters a batch by more than what is open of it."""
    return after**2 + left.card**2 + left.move**2 < before**2


def _room(can_ml: float, batch_ml: float) -> float:
    if batch_ml > can_ml:
        raise fault(
            "batch-can",
            f"the batch is {batch_ml:.0f} ml and the can holds {can_ml:g} ml",
            "Write the size of the can the batch is in, or the grams that are left of it.",
        )
    return can_ml - batch_ml


def _search(
    model: MixingModel,
    view: Viewing,
    target: Target,
    grams: Floats,
    densities: Floats,
    *,
    room_ml: float,
    usable: tuple[int, ...],
    most: int,
) -> Found:
    """Return the addition worth making, in shares of the batch's weight."""
    total = float(grams.sum())
    room = room_ml * float(densities[list(usable)].min()) / total
    base = Base(grams / total, room)
    nothing = Found(np.zeros_like(grams), delta_e_00(view.lab(model.predict(grams)), target.lab), 0)
    found = [nothing, *find_mixtures(model, view, target, usable, most, base=base)]

    def score(mixture: Found) -> float:
        added = float((mixture.parts > _TRACE).sum())
        return (
            float(mixture.delta_e.max())
            + _PER_TINT * added
            + _PER_CAN * float(mixture.parts.sum()) / max(room, 1e-9)
        )

    return min(found, key=score)


def _miss(model: MixingModel, grams: Floats, view: Viewing, target: Target) -> Floats:
    """Return DeltaE00 under each lamp of what the model expects."""
    return np.asarray(delta_e_00(view.lab(model.predict(grams)), target.lab))


def _seen_miss(
    card: Card, updated: MixingModel, grams: Floats, view: Viewing, target: Target
) -> Floats:
    """Return DeltaE00 of the card as read; by the model under lamps it was not read under."""
    if card.reading is not None:
        return np.asarray(delta_e_00(view.lab(np.array(card.reading)), target.lab))
    misses = _miss(updated, grams, view, target)
    if card.lab is not None:
        read = np.array([lamp == CARD_LAMP for lamp in view.lamps])
        misses[read] = delta_e_00(np.array(card.lab), target.lab[read])
    return misses


def _each(misses: Floats) -> tuple[float, ...]:
    return tuple(float(miss) for miss in misses)


def _unread_lamps(card: Card, view: Viewing) -> list[Finding]:
    """Return what must be said of lamps for which a card's Lab says nothing."""
    unread = [lamp for lamp in view.lamps if lamp != CARD_LAMP]
    if card.reading is not None or not unread:
        return []
    return [
        Finding(
            "batch-lamps",
            f"the card's Lab is for {CARD_LAMP}; under {' and '.join(unread)} the batch is worked out "
            "by the model",
            "Measure the card's reflectance to know it under every lamp.",
            Severity.NOTE,
        )
    ]


def _ingredients(
    model: MixingModel, amounts: Floats, weights: Floats, densities: Floats, scale: WeighingScale
) -> tuple[Ingredient, ...]:
    total = max(float(weights.sum()), 1e-12)
    return tuple(
        Ingredient(
            model.tints[i],
            float(weights[i] / total),
            float(amounts[i]),
            float(weights[i]),
            float(weights[i] / densities[i]),
            drops=float(weights[i] / densities[i] / scale.drop_ml),
        )
        for i in np.argsort(-weights, kind="stable")
        if amounts[i] > 0.0
    )


def _unlike(card: Card, model: MixingModel, grams: Floats) -> list[Finding]:
    """Return a warning where the card is far from what the model thought possible."""
    daylight = viewing(model.wavelengths_nm, (CARD_LAMP,))
    read = card.lab if card.reading is None else daylight.lab(np.array(card.reading))[0]
    if read is None:
        return []
    off = float(delta_e_00(daylight.lab(model.predict(grams))[0], np.array(read)))
    usual = float(model.uncertainty(grams, daylight))
    if off <= _UNLIKELY * usual:
        return []
    return [
        Finding(
            "batch-unlike",
            f"the card is {off:.1f} DeltaE00 from what this mixture should read, where about "
            f"{usual:.1f} is usual",
            "Check the grams and the reading; if one was wrong, delete the card from the record.",
            Severity.WARNING,
        )
    ]


def _left(now: float, needed: bool, scale: WeighingScale) -> list[Finding]:
    """Return why nothing is added."""
    if needed:
        return [
            Finding(
                "batch-scale",
                f"what would help is less than the scale's {scale.step:g} {scale.unit}",
                "Use a scale with a finer step, or drops.",
                Severity.NOTE,
            )
        ]
    reason = (
        "the batch is as close as additions can safely bring it"
        if now > _SMALL_MISS
        else "the batch is near enough; leave it"
    )
    return [Finding("batch-leave", reason, "", Severity.NOTE)]


def _added(after: float, full: bool, held_back: bool) -> list[Finding]:
    """Return what to note in adding."""
    remarks = [
        Finding(
            "batch-test-card",
            f"this is {_HELD_BACK:.0%} of what the card asks for, as it is the first addition: stir, "
            "and spray another card before the rest"
            if held_back
            else "stir, and spray another card before adding more",
            "What is in the can cannot be taken out again.",
            Severity.NOTE,
        )
    ]
    if after > 2.0:
        remarks.append(
            Finding(
                "batch-far",
                f"even corrected the batch is expected {after:.1f} DeltaE00 from the target",
                f"{'A bigger can leaves more room' if full else 'Spray another card after it'}; "
                "or mix again from the recipe the cards now give.",
                Severity.WARNING,
            )
        )
    return remarks
