"""The coats of a panel: what is sprayed when, what is masked for it and how seams are made good.

Each earlier paint is carried a lap under its later neighbours, so that no bare
seam shows; where lining will cover a seam, the ridge left at the mask's edge is
moved to the middle of the lining.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from livery.findings import list_in_words
from livery.geometry.boolean import difference, intersection, union
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area
from livery.geometry.offset import outset
from livery.geometry.outline import EMPTY, Outline, Point
from livery.make.coats.coat_order import (
    OrderCost,
    OrderRules,
    OrderWeights,
    PaintSeam,
    order_of_spraying,
)
from livery.make.coats.mask_regions import LEAST_MM2
from livery.make.coats.seams import FINE_MM, Seam, run_length, runs_between, seams_of
from livery.paints.nature import PaintKind, PaintNature

LEAST_SHIFT_MM = 0.05
"""A ridge nearer than this, in millimetres, to the middle of the lining is left where it is
(chosen). Larger, and a ridge stays at the edge of a narrow line."""


@dataclass(frozen=True, slots=True)
class Field:
    """A visible region of one paint on a panel; fields of different paints do not overlap.

    Clear coats lie over the others and may cover any of them.
    """

    name: str
    paint: str
    outline: Outline


@dataclass(frozen=True, slots=True)
class Mask:
    """What covers one earlier paint, and the runs of its edge that must be sharp.

    ``bare_mm`` is how much of the edge leaves a ridge that no lining covers.
    """

    over: str
    outline: Outline
    edges: tuple[tuple[Point, ...], ...]
    bare_mm: float


@dataclass(frozen=True, slots=True)
class Dry:
    """How long after another paint's coat this one may be begun, and why."""

    paint: str
    hours: float
    why: str


@dataclass(frozen=True, slots=True)
class Coat:
    """One paint's turn.

    ``ground`` is its visible region, its edges under lining moved to the middle of it;
    ``sprayed`` is that with the laps under later paints; ``masks``
    cover earlier paints with a sharp edge; ``loose`` need only be kept from
    overspray.
    """

    number: int
    paint: str
    ground: Outline
    sprayed: Outline
    masks: tuple[Mask, ...]
    loose: Outline
    needs: tuple[Dry, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CoatPlan:
    """The coats of a panel in order, what the order costs, and the seams as found."""

    coats: tuple[Coat, ...]
    cost: OrderCost
    seams: tuple[Seam, ...]


def plan_coats(
    fields: Sequence[Field],
    natures: Sequence[PaintNature],
    lap_mm: float,
    lining: Outline = EMPTY,
    rules: OrderRules | None = None,
    *,
    weights: OrderWeights | None = None,
) -> CoatPlan:
    """Return the coats in the order of least cost.

    ``natures`` gives those of every paint on the fields; equal orders keep its order.
    ``lining`` is all that will lie over the seams between the fields.

    Raises:
        LiveryError: rules that contradict, or more paints than can be put in order.
    """
    used = [n for n in natures if any(f.paint == n.name for f in fields)]
    nature = {n.name: n for n in used}
    visible = {n.name: union(*(f.outline for f in fields if f.paint == n.name)) for n in used}
    colours = {n: o for n, o in visible.items() if nature[n].kind is not PaintKind.CLEAR}
    seams = seams_of(colours, lining)
    order = order_of_spraying(
        used,
        {n: area(o) for n, o in visible.items()},
        [_paint_seam(s, lap_mm) for s in seams],
        rules,
        weights,
    )
    grounds = _ridges_under_lining(colours, seams, lining)
    coats: list[Coat] = []
    for number, name in enumerate(order.paints, start=1):
        later = [q for q in order.paints[number:] if q in grounds]
        if name in grounds:
            coat = _coat(
                number,
                nature,
                name,
                [c for c in coats if c.paint in grounds],
                later,
                grounds=grounds,
                lap_mm=lap_mm,
                lining=lining,
            )
        else:
            coat = _clear_coat(number, nature, name, [c.paint for c in coats], visible)
        coats.append(coat)
    return CoatPlan(tuple(coats), order.cost, seams)


def _paint_seam(seam: Seam, lap_mm: float) -> PaintSeam:
    """Say of a seam what the order must know: a lap wholly under lining does not show."""
    hidden = seam.covered_mm if seam.half_cover_mm >= lap_mm else 0.0
    return PaintSeam(
        seam.first, seam.second, seam.length_mm, max(0.0, seam.length_mm - hidden), len(seam.runs)
    )


def _ridges_under_lining(
    visible: Mapping[str, Outline], seams: Sequence[Seam], lining: Outline
) -> dict[str, Outline]:
    """Return the regions with their edges moved to the middle of the lining that covers them.

    Only what lies under lining changes hands, so nothing visible changes.
    """
    regions = dict(visible)
    for seam in seams:
        if abs(seam.shift_mm) < LEAST_SHIFT_MM:
            continue
        gains, gives = seam.first, seam.second
        if seam.shift_mm < 0:
            gains, gives = gives, gains
        reach = outset(visible[gains], abs(seam.shift_mm))
        moved = intersection(intersection(reach, regions[gives]), lining)
        regions[gains] = union(regions[gains], moved)
        regions[gives] = difference(regions[gives], moved)
    return regions


def _coat(
    number: int,
    nature: Mapping[str, PaintNature],
    name: str,
    earlier: Sequence[Coat],
    later: Sequence[str],
    *,
    grounds: Mapping[str, Outline],
    lap_mm: float,
    lining: Outline,
) -> Coat:
    own, paint = grounds[name], nature[name]
    sprayed = own
    lapped: list[str] = []
    if paint.kind is not PaintKind.LEAF and lap_mm > 0:
        near = outset(own, lap_mm, "round")
        for q in later:
            lap = intersection(near, grounds[q])
            if lap:
                sprayed, lapped = union(sprayed, lap), [*lapped, q]
    masks = tuple(_mask(e.paint, own, grounds[e.paint], lining) for e in earlier)
    unhidden = [q for q in later if not nature[q].hides(paint)]
    # What lies on laps alone cannot be covered.
    unhidden = [q for q in unhidden if area(difference(grounds[q], sprayed)) >= LEAST_MM2]
    loose = EMPTY
    if unhidden:
        loose = difference(union(*(grounds[q] for q in unhidden)), sprayed)
    under = [e.paint for e in earlier if area(difference(own, e.sprayed)) < LEAST_MM2]
    return Coat(
        number,
        name,
        own,
        sprayed,
        masks,
        loose=loose,
        needs=_waits(nature, masks),
        reasons=_reasons(nature, name, masks, (lapped, unhidden, under), lap_mm=lap_mm),
    )


def _mask(over: str, own: Outline, ground: Outline, lining: Outline) -> Mask:
    """Cover one earlier paint, with the edges along which the new paint begins."""
    import shapely

    edges = runs_between(to_shapely(ground, FINE_MM), to_shapely(own, FINE_MM))
    bare = 0.0
    if edges:
        lines = shapely.multilinestrings([shapely.LineString(run) for run in edges])
        bare = lines.difference(to_shapely(lining, FINE_MM).buffer(1e-6)).length
    return Mask(over, ground, edges, bare)


def _waits(nature: Mapping[str, PaintNature], masks: Sequence[Mask]) -> tuple[Dry, ...]:
    waits = []
    for mask in masks:
        paint = nature[mask.over]
        if mask.edges:
            hours, why = max(paint.tape_h, paint.recoat_h), "taped and sprayed over at the seam"
        else:
            hours, why = paint.touch_dry_h, "covered with paper, without tape"
        waits.append(Dry(mask.over, hours, f"{mask.over} is dry enough to be {why}"))
    return tuple(waits)


def _reasons(
    nature: Mapping[str, PaintNature],
    name: str,
    masks: Sequence[Mask],
    others: tuple[Sequence[str], Sequence[str], Sequence[str]],
    *,
    lap_mm: float,
) -> tuple[str, ...]:
    """Say in words why the coat stands where it does and what it needs.

    ``others`` are the later paints it is carried under, those its overspray shows through, and the
    earlier ones that lie under the whole of it.
    """
    lapped, unhidden, under = others
    why = []
    if not masks:
        why.append("No earlier colour meets it: no sharp mask is needed.")
    for mask in masks:
        if not mask.edges:
            continue
        edge = sum(run_length(run) for run in mask.edges)
        why.append(f"{edge:.0f} mm of mask edge on {mask.over}.")
        if mask.bare_mm >= 1.0:
            why.append(
                f"The ridge on {mask.over} is bare along {mask.bare_mm:.0f} mm: "
                "rub it down when hard."
            )
        else:
            why.append(f"The ridge on {mask.over} lies under lining.")
        if not nature[name].hides(nature[mask.over]):
            lies = (
                ", which lies under all of it: lay a light undercoat first."
                if mask.over in under
                else ": keep the lap short, or lay a light undercoat along the seam."
            )
            why.append(f"{name} does not hide {mask.over}{lies}")
    if lapped:
        why.append(f"Carried {lap_mm:g} mm under {list_in_words(lapped)}, so no bare seam shows.")
    if unhidden:
        why.append(f"Overspray would show through {list_in_words(unhidden)}: keep it covered.")
    if nature[name].kind is PaintKind.LEAF:
        why.append("Leaf is laid after all sprayed colours and is not taped over.")
    return tuple(why)


def _clear_coat(
    number: int,
    nature: Mapping[str, PaintNature],
    name: str,
    earlier: Sequence[str],
    visible: Mapping[str, Outline],
) -> Coat:
    """Lay a clear coat over what it covers; the rest is masked along its edge."""
    own = visible[name]
    under = [e for e in earlier if intersection(visible[e], own)]
    waits = tuple(Dry(e, nature[e].recoat_h, f"{e} is sprayed over with {name}") for e in under)
    masks = []
    for e in earlier:
        rest = difference(visible[e], own)
        if nature[e].kind is not PaintKind.CLEAR and rest:
            masks.append(_mask(e, own, rest, EMPTY))
    why = ("Clear coats come last, over the colours and leaf they protect.",)
    return Coat(number, name, own, own, tuple(masks), loose=EMPTY, needs=waits, reasons=why)
