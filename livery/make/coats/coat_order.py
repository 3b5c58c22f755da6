"""The order of spraying: which paint first, so that least is masked and least is spoiled.

The paints of a panel meet along seams.  Whatever is already painted must be
covered when the next paint is sprayed, and the sharp edge of that mask is laid
on the earlier paint.  The cost of spraying paint *p* after a set of others is

* the tape edge laid on each earlier neighbour, times that paint's tape risk;
* the area to be covered: every earlier paint, and every later paint that could
  not hide an overspray of *p*;
* the seams along which a darker earlier paint would show through *p*;
* the tapes laid on the paint sprayed just before, which is still fresh.

Only the set already sprayed and the last of it matter, so dynamic programming
over subsets (Held and Karp, 1962) finds the best order exactly.
"""

from __future__ import annotations

import graphlib
import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from livery.findings import fault
from livery.paints.nature import PaintKind, PaintNature

MOST_PAINTS = 16
"""Most paints ordered exactly (chosen: 65,536 subsets). Larger takes longer and more memory;
smaller, and such a panel is refused."""


@dataclass(frozen=True, slots=True)
class PaintSeam:
    """Where two paints meet: total length, what of it no lining hides, and in how many runs."""

    first: str
    second: str
    length_mm: float
    bare_mm: float
    runs: int = 1


@dataclass(frozen=True, slots=True)
class OrderRules:
    """The user's own rules: ``before`` pairs (earlier, later) and paints never to be taped over.

    ``lifting`` pairs a paint with one beside it that it would lift, and so comes before.
    """

    before: tuple[tuple[str, str], ...] = ()
    never_tape: tuple[str, ...] = ()
    lifting: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class OrderWeights:
    """What each trouble counts, in millimetres of plain tape edge (common practice).

    ``edge`` per mm of tape edge; ``area`` per square mm covered (a 500 x 150 mm side
    counts as 150 mm of tape); ``show`` per mm of seam where a darker paint shows
    through; ``fresh`` for every run of tape laid on the paint sprayed just before.
    """

    edge: float = 1.0
    area: float = 0.002
    show: float = 20.0
    fresh: float = 150.0


@dataclass(frozen=True, slots=True)
class OrderCost:
    """The cost of an order, by its causes, all in millimetres of plain tape edge."""

    edge: float
    area: float
    show: float
    fresh: float

    @property
    def total(self) -> float:
        """All of it."""
        return self.edge + self.area + self.show + self.fresh


@dataclass(frozen=True, slots=True)
class SprayOrder:
    """The paints in the order of spraying, and what that order costs."""

    paints: tuple[str, ...]
    cost: OrderCost


def order_of_spraying(
    paints: Sequence[PaintNature],
    areas_mm2: Mapping[str, float],
    seams: Sequence[PaintSeam],
    rules: OrderRules | None = None,
    weights: OrderWeights | None = None,
) -> SprayOrder:
    """Return the order of least cost; among equals the one that keeps the given order longest.

    Leaf follows every sprayed colour and is never taped over; clear coats come
    last, in the given order, and carry no mask cost of their own.

    Raises:
        LiveryError: more paints than can be ordered exactly, or rules that contradict.
    """
    rules, weights = rules or OrderRules(), weights or OrderWeights()
    colours = [p for p in paints if p.kind is not PaintKind.CLEAR]
    clears = tuple(p.name for p in paints if p.kind is PaintKind.CLEAR)
    if len(colours) > MOST_PAINTS:
        raise fault(
            "too-many-paints",
            f"one panel has {len(colours)} paints; up to {MOST_PAINTS} can be put in order",
            "Plan parts of the panel that do not touch separately.",
            exit_status=1,
        )
    _refuse_unknown(paints, seams, rules)
    earlier = _precedence(colours, seams, rules)
    order = _cheapest(colours, _tables(colours, areas_mm2, seams, weights), earlier)
    names = tuple(colours[i].name for i in order)
    return SprayOrder(names + clears, cost_of_order(names, colours, areas_mm2, seams, weights))


def cost_of_order(
    order: Sequence[str],
    paints: Sequence[PaintNature],
    areas_mm2: Mapping[str, float],
    seams: Sequence[PaintSeam],
    weights: OrderWeights | None = None,
) -> OrderCost:
    """Return what spraying ``order`` costs, straight from the definition; clear coats cost nothing."""
    weights = weights or OrderWeights()
    nature = {p.name: p for p in paints}
    colours = [name for name in order if nature[name].kind is not PaintKind.CLEAR]
    place = {name: i for i, name in enumerate(colours)}
    edge = area = show = fresh = 0.0
    for seam in seams:
        if seam.first not in place or seam.second not in place:
            continue
        under, over = sorted((seam.first, seam.second), key=place.__getitem__)
        edge += weights.edge * seam.length_mm * nature[under].tape_risk
        if not nature[over].hides(nature[under]):
            show += weights.show * seam.bare_mm
        if place[over] == place[under] + 1:
            fresh += weights.fresh * seam.runs
    for i, name in enumerate(colours):
        covered = sum(areas_mm2[e] for e in colours[:i])
        covered += sum(areas_mm2[q] for q in colours[i + 1 :] if not nature[q].hides(nature[name]))
        area += weights.area * covered
    return OrderCost(edge, area, show, fresh)


def _refuse_unknown(
    paints: Sequence[PaintNature], seams: Sequence[PaintSeam], rules: OrderRules
) -> None:
    known = [p.name for p in paints]
    named = [n for pair in rules.before for n in pair] + list(rules.never_tape)
    named += [n for s in seams for n in (s.first, s.second)]
    for name in named:
        if name not in known:
            raise fault(
                "unknown-paint",
                f'the order of coats names "{name}", which is on no field of this panel',
                f"Name one of: {', '.join(known)}.",
            )


def _precedence(
    paints: Sequence[PaintNature], seams: Sequence[PaintSeam], rules: OrderRules
) -> list[int]:
    """Return for each paint the bit set of those that must come before it; every rule is such a pair."""
    index = {p.name: i for i, p in enumerate(paints)}
    why: dict[tuple[str, str], str] = {}
    for a, b in rules.before:
        why.setdefault((a, b), f"your own order has {a} before {b}")
    for a, b in rules.lifting:
        why.setdefault((a, b), f"{a} lifts {b} beside it by their systems, so {a} before {b}")
    never = [p.name for p in paints if p.kind is PaintKind.LEAF or p.name in rules.never_tape]
    for seam in seams:
        for a, b in ((seam.first, seam.second), (seam.second, seam.first)):
            if b in never:
                why.setdefault((a, b), f"{b} is never taped over, so {a} beside it before {b}")
    for leaf in (p for p in paints if p.kind is PaintKind.LEAF):
        for other in paints:
            if other.kind is not PaintKind.LEAF:
                why.setdefault(
                    (other.name, leaf.name), f"{leaf.name} is leaf, laid after {other.name}"
                )
    earlier = [0] * len(paints)
    sorter: graphlib.TopologicalSorter[str] = graphlib.TopologicalSorter()
    for a, b in why:
        if a in index and b in index:
            earlier[index[b]] |= 1 << index[a]
            sorter.add(b, a)
    try:
        sorter.prepare()
    except graphlib.CycleError as error:
        cycle: list[str] = error.args[1]
        links = "; ".join(why[a, b] for a, b in itertools.pairwise(cycle))
        raise fault(
            "coat-order-contradicts",
            f"no order of coats can hold all of: {links}",
            "Give up one of your own rules, or give the paints other systems.",
            exit_status=1,
        ) from None
    return earlier


@dataclass(frozen=True, slots=True)
class _Tables:
    """Costs between paints by index: [a][p] when a is earlier, when a is later, when a is last."""

    when_earlier: list[list[float]]
    when_later: list[list[float]]
    when_last: list[list[float]]


def _tables(
    paints: Sequence[PaintNature],
    areas_mm2: Mapping[str, float],
    seams: Sequence[PaintSeam],
    weights: OrderWeights,
) -> _Tables:
    count = len(paints)
    index = {p.name: i for i, p in enumerate(paints)}
    earlier = [[weights.area * areas_mm2[a.name] for _ in paints] for a in paints]
    later = [
        [0.0 if a is p or a.hides(p) else weights.area * areas_mm2[a.name] for p in paints]
        for a in paints
    ]
    last = [[0.0] * count for _ in paints]
    for seam in seams:
        if seam.first not in index or seam.second not in index:
            continue
        i, j = index[seam.first], index[seam.second]
        for a, p in ((i, j), (j, i)):
            earlier[a][p] += weights.edge * seam.length_mm * paints[a].tape_risk
            if not paints[p].hides(paints[a]):
                earlier[a][p] += weights.show * seam.bare_mm
            last[a][p] += weights.fresh * seam.runs
    return _Tables(earlier, later, last)


def _cheapest(paints: Sequence[PaintNature], tables: _Tables, earlier: list[int]) -> list[int]:
    """Return the indices in the best order, by the cost still to come from every (set, last)."""
    import numpy as np

    count = len(paints)
    if count == 0:
        return []
    sets = np.arange(1 << count)
    member = (sets[:, None] >> np.arange(count)) & 1
    step = member @ np.array(tables.when_earlier) + (1 - member) @ np.array(tables.when_later)
    needs = np.array(earlier)
    step[(member == 1) | ((sets[:, None] & needs) != needs)] = np.inf
    last = np.array(tables.when_last)
    full = (1 << count) - 1
    to_come = np.full((1 << count, count), np.inf)
    to_come[full] = 0.0
    bits, columns = 1 << np.arange(count), np.arange(count)
    for s in range(full - 1, 0, -1):
        onward = step[s] + to_come[s | bits, columns]
        to_come[s] = (last + onward).min(axis=1)
    order: list[int] = []
    done, fresh = 0, np.zeros(count)
    while done != full:
        onward = fresh + step[done] + to_come[done | bits, columns]
        best = onward.min()
        # The first within rounding of the best: equal orders must not hang on the last bit.
        pick = int(np.argmax(onward <= best + 1e-9 * max(1.0, abs(best))))
        order.append(pick)
        done, fresh = done | 1 << pick, last[pick]
    return order
