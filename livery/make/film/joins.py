"""Where a long stripe is joined, so that it fits the film and the joins show least.

Every place along a stripe has a cost: little under a handrail or at a panel
joint, much in the open, none allowed over a rivet.  The joins of least total cost
are found exactly by dynamic programming over the places; among equals the pieces
come out as even in length as they can.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from livery.findings import fault

HIDDEN_BESIDE_COST = 3.0
"""What a join costs, beside 10 in the open, that is hidden but lies beside another, which makes one
thick place (chosen: it goes further along the fitting, or under another one, but not into the
open). Larger, and joins come out from under a short fitting."""


@dataclass(frozen=True, slots=True)
class JoinPlace:
    """A stretch of the stripe, by its stations from the start, and what a join in it costs.

    A point has equal ``start_mm`` and ``end_mm``.  An infinite cost forbids a join.
    Where stretches overlap, one that forbids counts first, then one that hides the join
    (cheaper than in the open), then the dearest.
    """

    start_mm: float
    end_mm: float
    cost: float
    why: str


@dataclass(frozen=True, slots=True)
class JoinRules:
    """How long a piece may be, its lap over the next, and what a join in the open costs.

    ``step_mm`` is how finely places in the open are tried; the ends of every
    stretch given are always tried.
    """

    longest_mm: float
    lap_mm: float
    open_cost: float = 10.0
    step_mm: float = 5.0


@dataclass(frozen=True, slots=True)
class Join:
    """A join at a station, what it costs and what hides it."""

    station_mm: float
    cost: float
    why: str


@dataclass(frozen=True, slots=True)
class SplitStripe:
    """The pieces of a stripe as (start, end) stations, laps included, and the joins between."""

    pieces: tuple[tuple[float, float], ...]
    joins: tuple[Join, ...]

    @property
    def cost(self) -> float:
        """What all joins cost together."""
        return sum(j.cost for j in self.joins)


def split_stripe(
    length_mm: float, rules: JoinRules, places: Sequence[JoinPlace] = ()
) -> SplitStripe:
    """Return the pieces of a stripe; each but the last runs on under the next by the lap.

    Raises:
        LiveryError: no joins are allowed that leave pieces short enough.
    """
    reach = rules.longest_mm - rules.lap_mm
    if reach <= 0.0:
        raise fault(
            "join-lap",
            f"a lap of {rules.lap_mm:g} mm leaves nothing of a piece of {rules.longest_mm:g} mm",
            "Give a shorter lap or longer film.",
        )
    stations = candidate_stations(length_mm, rules, places)
    joins = [join_at(s, rules, places) for s in stations]
    chosen = _cheapest(length_mm, stations, [j.cost for j in joins], rules)
    if chosen is None:
        raise fault(
            "join-nowhere",
            f"a stripe {length_mm:.0f} mm long cannot be joined anywhere allowed so that "
            f"pieces stay within {rules.longest_mm:g} mm",
            "Allow a join in more places, or use longer film.",
            exit_status=1,
        )
    ends = [0.0, *(stations[i] for i in chosen), length_mm]
    pieces = [(a, b if b == length_mm else b + rules.lap_mm) for a, b in itertools.pairwise(ends)]
    return SplitStripe(tuple(pieces), tuple(joins[i] for i in chosen))


def candidate_stations(
    length_mm: float, rules: JoinRules, places: Sequence[JoinPlace]
) -> list[float]:
    """Return the stations at which a join is tried, in order, both ends left out."""
    count = max(1, math.ceil(length_mm / rules.step_mm - 1e-9))
    tried = [length_mm * i / count for i in range(1, count)]
    for place in places:
        tried += [place.start_mm, place.end_mm, (place.start_mm + place.end_mm) / 2.0]
    return sorted({round(s, 6) for s in tried if 1e-6 < s < length_mm - 1e-6})


def join_at(station: float, rules: JoinRules, places: Sequence[JoinPlace]) -> Join:
    """Return what a join at a station costs and why."""
    here = [p for p in places if p.start_mm - 1e-6 <= station <= p.end_mm + 1e-6]
    if not here:
        return Join(station, rules.open_cost, "in the open")
    dearest = max(here, key=lambda p: p.cost)
    hiding = min(here, key=lambda p: p.cost)
    if math.isfinite(dearest.cost) and hiding.cost < rules.open_cost:
        beside = HIDDEN_BESIDE_COST if dearest.cost > rules.open_cost else 0.0
        return Join(station, hiding.cost + beside, hiding.why)
    return Join(station, dearest.cost, dearest.why)


def _cheapest(
    length: float, stations: Sequence[float], costs: Sequence[float], rules: JoinRules
) -> list[int] | None:
    """Return the chosen stations by index; None when nothing allowed will do.

    ``best[k]`` is the least (cost, sum of squared lengths) of a stripe joined last at
    station k, if it can be, and the station before; -1 stands for the start.
    """
    reach = rules.longest_mm - rules.lap_mm + 1e-9
    best: dict[int, tuple[tuple[float, float], int]] = {}

    def arrive(at: float, cost: float, longest: float) -> tuple[tuple[float, float], int] | None:
        options = [((cost, at * at), -1)] if at <= longest else []
        for k in reversed(best):
            piece = at - stations[k]
            if piece > longest:
                break
            (paid, uneven), _ = best[k]
            options.append(((round(paid + cost, 9), uneven + piece * piece), k))
        return min(options, default=None)

    for k, (at, cost) in enumerate(zip(stations, costs, strict=True)):
        arrived = arrive(at, cost, reach) if math.isfinite(cost) else None
        if arrived is not None:
            best[k] = arrived
    last = arrive(length, 0.0, rules.longest_mm + 1e-9)
    if last is None:
        return None
    chosen = []
    k = last[1]
    while k >= 0:
        chosen.append(k)
        k = best[k][1]
    return chosen[::-1]
