"""What the works take beyond paint, tape, leaf and film: primers, hardeners, thinners, abrasives."""

from __future__ import annotations

import math
from collections.abc import Iterator

from livery.make.making import Making
from livery.make.quantities.job_quantities import Quantity
from livery.works.works_plan import Works

CLEANER_ML = 100.0
"""Gun cleaner for a session (common practice for a small gun)."""

ABRASIVE_M2 = 0.05
"""What one sheet of wet-or-dry paper rubs down (common practice)."""

CLOTH_M2 = 0.5
"""What a tack cloth wipes before it is full (common practice)."""


def shopping(works: Works, making: Making) -> tuple[Quantity, ...]:
    """Return what to buy for the sessions, each with how it was reckoned."""
    return (*_mixed(works, making), *_cleaner(works), *_abrasives(works), *_cloths(works))


def _mixed(works: Works, making: Making) -> Iterator[Quantity]:
    """Yield what every session mixes; a paint's line above knows nothing of the least a gun holds."""
    reserve = making.model.spraying.reserve
    need: dict[tuple[str, str], list[float]] = {}
    for one in works.sessions:
        if one.mix is None:
            continue
        for i, part in enumerate(one.mix.parts):
            name = one.mix.product.name
            kind = part.what.split(":")[0]
            if i == 0:
                kind = "paint" if name in making.model.paint else "primer"
            own = part.what.partition(": ")[2]
            shown = f"{name}, as mixed" if kind == "paint" else name
            item = shown if i == 0 else f"for {name}" + (f": {own}" if own else "")
            need.setdefault((kind, item), []).append(part.ml)
    for (kind, item), sessions in need.items():
        total = math.fsum(sessions) * (1.0 + reserve)
        count = "1 session" if len(sessions) == 1 else f"{len(sessions)} sessions"
        instead = "in place of its line above: " if kind == "paint" else ""
        how = f"{instead}as mixed in {count}, and {reserve:.0%} for touching up"
        yield Quantity(kind, item, total, "ml", _rounded_up(total, 50.0, "ml"), None, (how,))


def _cleaner(works: Works) -> Iterator[Quantity]:
    count = sum(one.mix is not None for one in works.sessions)
    if count:
        need = count * CLEANER_ML
        how = f"{count} sessions, {CLEANER_ML:g} ml each (common practice)"
        buy = _rounded_up(need, 500.0, "ml")
        yield Quantity("cleaner", "gun cleaner", need, "ml", buy, None, (how,))


def _abrasives(works: Works) -> Iterator[Quantity]:
    area = _areas(works)
    rubbed: dict[str, float] = {}
    for one in works.sessions:
        if one.session.keys:
            continue
        for step in one.session.steps:
            for grit in (w for w in step.with_ if w.startswith("grit ")):
                rubbed[grit] = rubbed.get(grit, 0.0) + sum(area.get(n, 0.0) for n in step.on)
    for grit, m2 in sorted(rubbed.items(), key=lambda g: int(g[0].split()[1])):
        sheets = max(1, math.ceil(m2 / ABRASIVE_M2 - 1e-9))
        how = f"{m2 * 1e4:.0f} cm² rubbed, {ABRASIVE_M2 * 1e4:g} cm² a sheet (common practice)"
        yield Quantity(
            "abrasive", grit, m2 / ABRASIVE_M2, "pieces", f"{sheets} sheets", None, (how,)
        )


def _cloths(works: Works) -> Iterator[Quantity]:
    wiped = math.fsum(
        step.area_m2 for one in works.sessions if one.mix for step in one.session.steps
    )
    if wiped:
        count = max(1, math.ceil(wiped / CLOTH_M2 - 1e-9))
        how = f"{wiped:.2f} m² wiped before spraying, {CLOTH_M2:g} m² a cloth (common practice)"
        yield Quantity("cloth", "tack cloth", wiped / CLOTH_M2, "pieces", str(count), None, (how,))


def _areas(works: Works) -> dict[str, float]:
    """Return the largest area sprayed of each panel or surface, alike ones sharing theirs."""
    found: dict[str, float] = {}
    for one in works.sessions:
        for step in one.session.steps if one.mix else ():
            for name in step.on:
                found[name] = max(found.get(name, 0.0), step.area_m2 / len(step.on))
    return found


def _rounded_up(need: float, to: float, unit: str) -> str:
    return f"{math.ceil(need / to - 1e-9) * to:g} {unit}"
