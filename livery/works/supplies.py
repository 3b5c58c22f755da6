"""The shopping list made final: what stands on the shelf taken off, rounded to what is sold."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from livery.describe.entries.supply import COUNTED, Supply
from livery.make.quantities.job_quantities import Quantity
from livery.make.quantities.needs import Pack, purchase

TINS_ML = (125.0, 250.0, 500.0, 1000.0)
"""The tins that paint, primer, hardener and thinner are sold in, in millilitres, where none are
said (common practice). Larger ones leave more over."""


def with_supplies(
    rows: Sequence[Quantity], supplies: Mapping[str, Supply], *, is_whole: bool = True
) -> tuple[Quantity, ...]:
    """Return the list with the user's own stock, packs and prices; liquids in whole tins.

    A supply that nothing on a whole list is called by ends the list, and says so.
    """
    listed = {r.item for r in rows} | (set() if is_whole else set(supplies))
    spare = tuple(_not_needed(name) for name in supplies if name not in listed)
    return (*(_bought(row, supplies.get(row.item)) for row in rows), *spare)


def _not_needed(name: str) -> Quantity:
    how = ("no step of this job takes it: check its name against this list",)
    return Quantity(
        kind="not needed", item=name, need=0.0, unit="pieces", buy="nothing", price=None, how=how
    )


def _bought(row: Quantity, supply: Supply | None) -> Quantity:
    if supply is None:
        return _in_tins(row)
    unit = row.unit if row.unit not in COUNTED else "pieces"
    given = {p.holds[1] for p in supply.packs} | ({supply.have[1]} if supply.have else set())
    if given - {unit}:
        unlike = f"your supply is measured in {' and '.join(given)}, not in {row.unit}: not counted"
        return replace(row, how=(*row.how, unlike))
    have = supply.have[0] if supply.have else 0.0
    left = max(0.0, row.need - have)
    shelf = (f"{have:g} {row.unit} on the shelf",) if have else ()
    how = (*row.how, *shelf)
    if left <= 1e-9:
        return replace(row, buy="nothing: it is on the shelf", price=None, how=how)
    if not supply.packs:
        return _in_tins(replace(row, how=how), left)
    packs = [Pack(f"{p.holds[0]:g} {row.unit}", p.holds[0], p.price) for p in supply.packs]
    bought = purchase(row.item, left, row.unit, packs)
    words = " and ".join(f"{n} x {pack.name}" for pack, n in bought.packs)
    return replace(row, buy=words, price=bought.price, how=how)


def _in_tins(row: Quantity, left: float | None = None) -> Quantity:
    """Return a row rounded to common tins where nothing says how it is sold."""
    need = row.need if left is None else left
    if left is None and row.buy:
        return row
    if row.unit == "ml":
        packs = [Pack(f"{ml:g} ml", ml) for ml in TINS_ML]
        bought = purchase(row.item, need, "ml", packs)
        return replace(row, buy=" and ".join(f"{n} x {p.name}" for p, n in bought.packs))
    return replace(row, buy=f"{math.ceil(need - 1e-9)} {row.unit}", price=None)
