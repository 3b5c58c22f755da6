"""How much to buy and to mix: paint, hardener, thinner, leaf, film and tape.

The spreading rate of a paint is what one litre covers at a stated dry film:
a film of 1 micrometre over 1 square metre is 1 millilitre of solids, so

    m2 per litre = 10 x volume solids (%) / dry film thickness (um)

the form in which paint makers' technical literature and ISO 12944-5 users state
it (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from livery.findings import fault


def spreading_rate_m2_per_l(volume_solids_percent: float, dry_film_um: float) -> float:
    """Return the theoretical spreading rate, square metres a litre of unthinned paint."""
    _positive("volume solids", volume_solids_percent, most=100.0)
    _positive("dry film thickness", dry_film_um)
    return 10.0 * volume_solids_percent / dry_film_um


def wet_film_um(
    volume_solids_percent: float, dry_film_um: float, thinner_part: float = 0.0
) -> float:
    """Return the wet film to lay, micrometres, for a dry one.

    ``thinner_part`` is thinner by volume to one volume of paint (with its hardener).
    """
    _positive("volume solids", volume_solids_percent, most=100.0)
    return dry_film_um * 100.0 * (1.0 + thinner_part) / volume_solids_percent


@dataclass(frozen=True, slots=True)
class MixRatio:
    """Parts by volume of paint, hardener and thinner, such as 4 : 1 : 1."""

    paint: float = 1.0
    hardener: float = 0.0
    thinner: float = 0.0


@dataclass(frozen=True, slots=True)
class PaintSheet:
    """What a paint's data sheet says.

    ``volume_solids_percent`` is that of the paint with its hardener, before
    thinning; ``dry_film_um`` is the dry film of one coat; ``pot_life_h`` is None
    for a paint that does not set in the pot.
    """

    name: str
    volume_solids_percent: float
    dry_film_um: float
    mix: MixRatio = MixRatio()
    pot_life_h: float | None = None


@dataclass(frozen=True, slots=True)
class Mixed:
    """Litres of each part, and of all together as it goes into the gun."""

    paint_l: float
    hardener_l: float
    thinner_l: float


@dataclass(frozen=True, slots=True)
class PaintNeed:
    """What one paint needs: for the whole job, and how it is mixed from sitting to sitting.

    ``pots_a_coat`` is how many times a coat's paint must be mixed so that none
    stands longer than its pot life.
    """

    sheet: PaintSheet
    area_m2: float
    coats: int
    whole: Mixed
    one_coat: Mixed
    pots_a_coat: int
    wet_film_um: float

    @property
    def one_pot(self) -> Mixed:
        """What to mix at a time."""
        n, c = self.pots_a_coat, self.one_coat
        return Mixed(c.paint_l / n, c.hardener_l / n, c.thinner_l / n)


def paint_need(
    sheet: PaintSheet, area_m2: float, coats: int, loss: float, coat_takes_h: float = 0.0
) -> PaintNeed:
    """Return the paint for ``coats`` over ``area_m2``.

    ``loss`` is the part that never reaches the work, 0 to below 1 (overspray, the
    gun's cup; a small gun on small work loses half: common practice).
    ``coat_takes_h`` is how long one coat takes from mixing to cleaning.
    """
    if not 0.0 <= loss < 1.0:
        raise fault(
            "loss-range",
            f"a loss of {loss:g} is not a part of the paint",
            "Write it as a part from 0 to below 1, such as 0.4 for 40 %.",
        )
    rate = spreading_rate_m2_per_l(sheet.volume_solids_percent, sheet.dry_film_um)
    one = area_m2 / (rate * (1.0 - loss))
    live = sheet.mix.paint + sheet.mix.hardener
    pots = 1
    if sheet.pot_life_h is not None:
        _positive("pot life", sheet.pot_life_h)
        pots = max(1, math.ceil(coat_takes_h / sheet.pot_life_h - 1e-9))
    return PaintNeed(
        sheet,
        area_m2,
        coats,
        _mixed(one * coats, sheet.mix),
        _mixed(one, sheet.mix),
        pots_a_coat=pots,
        wet_film_um=wet_film_um(
            sheet.volume_solids_percent, sheet.dry_film_um, sheet.mix.thinner / live
        ),
    )


def _mixed(unthinned_l: float, mix: MixRatio) -> Mixed:
    """Split litres of unthinned paint with hardener into parts; thinner comes on top."""
    part = unthinned_l / (mix.paint + mix.hardener)
    return Mixed(part * mix.paint, part * mix.hardener, part * mix.thinner)


@dataclass(frozen=True, slots=True)
class LeafBook:
    """A book of leaf: 25 leaves 80 mm square is common practice in Europe."""

    leaves: int = 25
    side_mm: float = 80.0


LEAF_OVERLAP_MM = 3.0
"""How far leaf laps over leaf and over the edge of its run, in millimetres (common practice). More
takes more leaf."""

TORN_LEAF = 0.1
"""The part of all leaf that is added for leaves torn (common practice: a tenth). More takes more
leaf."""


def leaves_for(
    runs: Sequence[tuple[float, float]],
    book: LeafBook,
    overlap_mm: float = LEAF_OVERLAP_MM,
    spare: float = TORN_LEAF,
) -> int:
    """Return how many leaves cover runs of (length, width) in millimetres.

    Each leaf is cut into strips as wide as the run and an overlap on both sides;
    strips follow each other with an overlap.  A run wider than a leaf takes several
    rows.  ``spare`` is the part added for leaves torn.
    """
    side = book.side_mm
    if not 0.0 <= 2.0 * overlap_mm < side:
        raise fault(
            "leaf-overlap",
            f"an overlap of {overlap_mm:g} mm leaves nothing of a leaf of {side:g} mm",
            "Give an overlap below half the leaf.",
        )
    used = 0.0
    for length, width in runs:
        _, a_leaf, count = leaf_strips(length, width, book, overlap_mm)
        used += count / a_leaf
    return math.ceil(used * (1.0 + spare) - 1e-9)


def leaf_strips(
    length_mm: float, width_mm: float, book: LeafBook, overlap_mm: float = LEAF_OVERLAP_MM
) -> tuple[float, int, int]:
    """Return how wide strips are cut for a run, how many from a leaf, and how many the run takes.

    Strips are as wide as the run with an overlap on both sides, and the shortest run takes one; a
    run wider than a leaf takes whole leaves in rows.
    """
    side = book.side_mm
    step = side - overlap_mm
    along = max(1, math.ceil((length_mm - overlap_mm) / step - 1e-9))
    strip = width_mm + 2.0 * overlap_mm
    if strip <= side:
        return strip, math.floor(side / strip + 1e-9), along
    rows = math.ceil((width_mm + overlap_mm) / step - 1e-9)
    return side, 1, along * rows


def books_for(leaves: int, book: LeafBook) -> int:
    """Return whole books."""
    return math.ceil(leaves / book.leaves)


@dataclass(frozen=True, slots=True)
class Pack:
    """A size in which a thing is sold, in the unit of the need; ``price`` in the user's money."""

    name: str
    amount: float
    price: float | None = None


@dataclass(frozen=True, slots=True)
class Purchase:
    """What to buy: how many of which pack, what that comes to, and the price if all are priced."""

    item: str
    need: float
    unit: str
    packs: tuple[tuple[Pack, int], ...]

    @property
    def amount(self) -> float:
        """What is bought, in the need's unit."""
        return sum(p.amount * n for p, n in self.packs)

    @property
    def price(self) -> float | None:
        """What it costs, or None when a pack has no price."""
        total = 0.0
        for pack, count in self.packs:
            if pack.price is None:
                return None
            total += pack.price * count
        return total


def purchase(item: str, need: float, unit: str, packs: Sequence[Pack]) -> Purchase:
    """Return the packs that cover a need: cheapest if all are priced, else least over, then fewest.

    Exact for every mixture of packs (dynamic programming over their common measure).
    """
    if not packs:
        raise fault(
            "no-pack", f"nothing says in what sizes {item} is sold", "Give at least one size."
        )
    for pack in packs:
        _positive(f'pack "{pack.name}" of {item}', pack.amount)
    thousandths = [max(1, round(p.amount * 1000)) for p in packs]
    grain = math.gcd(*thousandths)
    sizes = [t // grain for t in thousandths]
    steps = max(0, math.ceil(need * 1000 / grain - 1e-9))
    priced = all(p.price is not None for p in packs)
    # best[n] covers n steps: (what it costs, packs used), and the pack taken last.
    best: list[tuple[tuple[float, float, int], int]] = [((0.0, 0.0, 0), 0)]
    for n in range(1, steps + 1):
        choices = []
        for i, size in enumerate(sizes):
            money, amount, count = best[max(0, n - size)][0]
            money += (packs[i].price or 0.0) if priced else 0.0
            choices.append(((round(money, 6), amount + size, count + 1), i))
        best.append(min(choices))
    counts = [0] * len(packs)
    n = steps
    while n > 0:
        i = best[n][1]
        counts[i] += 1
        n -= sizes[i]
    return Purchase(
        item, need, unit, tuple((p, c) for p, c in zip(packs, counts, strict=True) if c)
    )


def _positive(what: str, value: float, most: float = math.inf) -> None:
    if not 0.0 < value <= most:
        limit = "more than 0" if most == math.inf else f"more than 0 and at most {most:g}"
        raise fault("quantity-range", f"the {what} is {value:g}", f"Write a number {limit}.")
