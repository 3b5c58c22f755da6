"""What is mixed for each session: by volume and, where densities are given, by weight."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from livery.describe.entries.description import DescriptionModel
from livery.describe.entries.paint import Paint
from livery.describe.systems import GROUNDS, find_system, undercoat_of
from livery.make.quantities.job_quantities import ASSUMED_FILM_UM, ASSUMED_SOLIDS
from livery.make.quantities.needs import spreading_rate_m2_per_l
from livery.works.coat_times import coat_times
from livery.works.layers import FILLING_MIN, bar_of, minutes
from livery.works.steps import Session, duration

if TYPE_CHECKING:
    from livery.describe.entries.system import SystemStep


@dataclass(frozen=True, slots=True)
class Product:
    """A paint as it is mixed: ``parts`` by volume of paint, hardener and thinner."""

    name: str
    solids_percent: float
    film_um: float
    parts: tuple[float, float, float]
    densities: tuple[float | None, float | None, float | None]
    hardener: str
    thinner: str
    pot_life_h: float | None
    induction_h: float | None
    is_assumed: bool
    by: str = "spray"
    recoat_min: int = 0
    """How long a coat is left at least before it is sprayed over."""
    latest_min: int | None = None
    """How long at most, unless it is keyed."""
    wrinkles_min: tuple[int, int] | None = None
    """Between which minutes after it nothing may be sprayed over it."""
    cure_min: int = 0
    """How long it is left before film lies on it."""

    @property
    def tool(self) -> str:
        """What it is put on with."""
        return "gun" if self.by == "spray" else self.by


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a mix: millilitres, and grams where its density is known."""

    what: str
    ml: float
    grams: float | None


@dataclass(frozen=True, slots=True)
class SessionMix:
    """What a session mixes, in ``pots`` equal lots so that none outlives its pot life.

    ``raised_for`` says why more is mixed than is sprayed; ``warning`` what to note.
    """

    product: Product
    area_m2: float
    parts: tuple[Part, ...]
    pots: int
    raised_for: str
    warning: str
    sprayed_share: float = 1.0
    """The part of it that the work takes; the rest is what the least mix leaves over."""
    left_ml: float = 0.0
    """What of it stays in the gun and its cup."""

    @property
    def ml(self) -> float:
        """Millilitres of all parts."""
        return math.fsum(p.ml for p in self.parts)


def products_of(model: DescriptionModel) -> dict[str, Product]:
    """Return every paint, primer and undercoat by its name."""
    found: dict[str, Product] = {}
    names = [model.spraying.system, *(p.system for p in model.panel.values())]
    names += [s.system for s in model.surface.values()]
    for name in dict.fromkeys(names):
        system = find_system(name, model)
        for step in system.steps if system else ():
            for product in _names(step):
                found.setdefault(product, _of_step(step, product))
    return found | {name: _of_paint(name, paint) for name, paint in model.paint.items()}


def _of_paint(name: str, paint: Paint) -> Product:
    return Product(
        name,
        (paint.volume_solids or ASSUMED_SOLIDS) * 100.0,
        paint.dry_film.mm * 1000.0 if paint.dry_film else ASSUMED_FILM_UM,
        paint.mix_by_volume,
        (paint.density, paint.hardener_density, paint.thinner_density),
        hardener=paint.hardener,
        thinner=paint.thinner,
        pot_life_h=paint.pot_life,
        induction_h=paint.induction,
        is_assumed=paint.volume_solids is None or paint.dry_film is None,
        by=paint.by,
        recoat_min=minutes(paint.recoat),
        latest_min=None if paint.latest is None else minutes(paint.latest),
        wrinkles_min=bar_of(paint),
        cure_min=minutes(max(paint.cure or 0.0, paint.tape_after)),
    )


def _names(step: SystemStep) -> tuple[str, ...]:
    """Return what a step's product goes by, an undercoat by each of its colours."""
    return tuple(dict.fromkeys(undercoat_of(step, g) for g in GROUNDS)) if step.product else ()


def _of_step(step: SystemStep, name: str) -> Product:
    parts = step.mix or (1.0, 0.0, 0.0)
    densities = (step.density, step.hardener_density, step.thinner_density)
    if step.mix_by == "weight":
        paint, hardener, thinner = (p / (d or 1.0) for p, d in zip(parts, densities, strict=True))
        parts = (1.0, hardener / paint, thinner / paint)
    return Product(
        name,
        (step.volume_solids or ASSUMED_SOLIDS) * 100.0,
        step.dry_film.mm * 1000.0 if step.dry_film else ASSUMED_FILM_UM,
        parts,
        densities,
        hardener=step.hardener or "",
        thinner=step.thinner or "",
        pot_life_h=step.pot_life,
        induction_h=step.induction,
        is_assumed=step.volume_solids is None or step.dry_film is None,
        by=step.by or "spray",
        recoat_min=minutes(step.recoat or 0.0),
        latest_min=None if step.latest is None else minutes(step.latest),
        wrinkles_min=bar_of(step),
    )


def session_mix(session: Session, product: Product, model: DescriptionModel) -> SessionMix:
    """Return what to mix for a session: the film over the area, loss, and the least that can be."""
    spraying = model.spraying
    area_m2 = math.fsum(s.area_m2 * s.coats for s in session.steps)
    rate = spreading_rate_m2_per_l(product.solids_percent, product.film_um)
    live_l = area_m2 / (rate * (1.0 - spraying.loss_by(product.by)))
    paint, hardener, thinner = product.parts
    one = live_l / (paint + hardener)
    pots = max(time.pot for time in coat_times(session.steps))
    is_sprayed = product.by == "spray"
    left_l = pots * spraying.left_in_gun if is_sprayed else 0.0
    work, one = one, one + left_l / (paint + hardener + thinner)
    least_mix = spraying.least_mix if is_sprayed else 0.0
    least = pots * max(
        least_mix / (paint + hardener + thinner),
        *(spraying.least_measured / p for p in product.parts if p > 0.0),
    )
    raised = ""
    if least > one:
        raised = (
            f"{one * (paint + hardener + thinner) * 1000:.1f} ml would do; "
            f"this is the least {_holder(product)} can handle"
        )
        one = least
    return SessionMix(
        product,
        area_m2,
        _parts(one, product),
        pots,
        raised,
        warning=_warning(pots, product),
        sprayed_share=work / one,
        left_ml=left_l * 1000.0,
    )


def _holder(product: Product) -> str:
    return "a gun and a measure" if product.by == "spray" else "a measure"


def _warning(pots: int, product: Product) -> str:
    if pots == 1:
        return ""
    return (
        f"the work is longer than the pot life of {duration(minutes(product.pot_life_h or 0.0))}, of "
        f"which {FILLING_MIN} min go to mixing and filling: mix {pots} pots, each when the one before "
        "is used up"
    )


def _parts(one_l: float, product: Product) -> tuple[Part, ...]:
    hardener = f"hardener: {product.hardener}" if product.hardener else "hardener"
    thinner = f"thinner: {product.thinner}" if product.thinner else "thinner"
    names = (product.name, hardener, thinner)
    return tuple(
        Part(name, one_l * p * 1000.0, None if d is None else one_l * p * d * 1000.0)
        for name, p, d in zip(names, product.parts, product.densities, strict=True)
        if p > 0.0
    )


def mixes(
    sessions: tuple[Session, ...], model: DescriptionModel
) -> Iterator[tuple[Session, SessionMix | None]]:
    """Yield every session with its mix, None for work by hand."""
    products = products_of(model)
    for session in sessions:
        if not session.paint:
            yield session, None
            continue
        yield session, session_mix(session, products[session.paint], model)
