"""Recipes: which tints, how much of each, and how near the colour comes."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass
from math import ceil, hypot
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour.difference import delta_e_00
from livery.colour.mixing.kubelka_munk import Coefficients, shares
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.opacity import FULL_HIDING, contrast_ratio, thickness_to_hide
from livery.colour.mixing.reliability import UNCERTAIN_ABOVE
from livery.colour.mixing.search import Found, Target, find_mixtures
from livery.colour.mixing.shelf import Shelf
from livery.colour.mixing.short_tints import ShortRecipe, short_finding
from livery.colour.mixing.smoothest import reflectance_from_lab
from livery.colour.mixing.viewing import Viewing, viewing
from livery.colour.mixing.weighing import TENTHS, WeighingScale, round_amounts
from livery.findings import Finding, Severity, fault

Floats = NDArray[np.float64]

_UNSEEN = 0.5
"""Below this DeltaE00 the eye sees no difference between cards side by side (common practice).
Larger, and rounding that shows is kept."""

_FAR = 3.0
"""Beyond this DeltaE00 a recipe is called far from its target (chosen: seen at once side by side).
Larger, and fewer are."""

_SPECTRAL_COUNTS, _UNCERTAINTY_COUNTS = 0.02, 0.15
"""What a spectral miss the size of the noise and an uncertainty of 1 count in DeltaE00 between
recipes (chosen). Larger, and surer recipes come before nearer ones."""

_IDENTICAL, _IDENTITY_COUNTS = 0.3, 1.5
"""A reading met at every wavelength to this share of its noise is no accident, and is worth so
much DeltaE00: the target was mixed from these tints (chosen). Larger, and chance recipes of many
tints come first."""

_NOTHING = 1e-4
"""A smaller share is none (chosen: below any scale's step). Larger, and weak tints vanish."""

_SHORT_COUNTS = 20.0
"""DeltaE00 that a contrast ratio short by 1 counts (chosen: a film that lets a tenth through shows
it). Larger, and hiding recipes come before nearer ones."""

MOST_COATS = 6
"""More coats than this over one another nobody sprays (common practice)."""
_DRAFTS = 3
"""How many times as many recipes are measured out as are shown (chosen). More take time."""

_TYPICAL = 0.62
"""Root mean square of a normal scatter in three dimensions over the radius that holds 95 % (by
definition: 1.732 / 2.795). Larger, and uncertain recipes are put off."""

_LARGER = (1.5, 2, 3, 4, 6, 8, 12, 16, 24, 32)
"""How many times as much is tried where rounding shows (chosen). More only take time."""

MOST_TINTS = 5
"""The most tints that are searched (chosen: common practice mixes no more). More take long."""

MOST_MEASURED = 8
"""The most tints that are measured out (chosen: whole steps of each are tried). More take long."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What a recipe is chosen by, other than its DeltaE00.

    ``per_tint`` is the DeltaE00 that one tint fewer is worth, ``per_cost`` the DeltaE00
    that one unit of money on a litre is worth.  ``hiding`` is the contrast ratio that a film
    should reach; 0 to ask for none.
    """

    per_tint: float = 0.15
    per_cost: float = 0.0
    hiding: float = FULL_HIDING


PLAIN = Wish()


@dataclass(frozen=True, slots=True)
class Ingredient:
    """How much of a tint: ``amount`` in the scale's unit; ``share`` is by weight."""

    tint: str
    share: float
    amount: float
    grams: float
    millilitres: float
    drops: float


@dataclass(frozen=True, slots=True)
class Recipe:
    """A mixture as measured out, and what is expected of it.

    ``delta_e_exact`` and ``delta_e`` are DeltaE00 under each lamp before and after
    rounding to the scale; ``expected_miss`` is the DeltaE00 from
    the prediction within which a card lies 95 times in 100.  ``contrast_ratio`` is that of ``film_um`` of dry paint and
    ``hiding_um`` the film that reaches the ratio wished for (``hiding_floor``); both ``None``
    where the shelf does not say how strongly its white scatters.
    """

    ingredients: tuple[Ingredient, ...]
    unit: str
    delta_e_exact: tuple[float, ...]
    delta_e: tuple[float, ...]
    expected_miss: float
    lab: tuple[float, float, float]
    reading: tuple[float, ...]
    cost: float | None
    film_um: float
    contrast_ratio: float | None
    hiding_um: float | None
    hiding_floor: float = FULL_HIDING

    @property
    def hides(self) -> bool | None:
        """Whether the film reaches the contrast ratio wished for; ``None`` if it is not known."""
        if self.contrast_ratio is None:
            return None
        return self.contrast_ratio >= self.hiding_floor

    @property
    def coats_to_hide(self) -> int | None:
        """How many such films reach that ratio; ``None`` if not known, or more than any job has."""
        if self.hiding_um is None or self.hiding_um > MOST_COATS * self.film_um:
            return None
        return max(1, ceil(self.hiding_um / self.film_um - 1e-9))

    @property
    def worst(self) -> float:
        """The greatest DeltaE00 over the lamps, as measured out."""
        return max(self.delta_e)

    def parts(self) -> dict[str, float]:
        """Return grams by tint."""
        return {i.tint: i.grams for i in self.ingredients}


@dataclass(frozen=True, slots=True)
class Answer:
    """Recipes, the best first, and findings about them."""

    recipes: tuple[Recipe, ...]
    lamps: tuple[str, ...]
    findings: tuple[Finding, ...]


def target_from_lab(lab: ArrayLike, view: Viewing) -> Target:
    """Return the target of a Lab under the first lamp.

    Under further lamps a surface with the smoothest reflectance of that Lab stands in.
    """
    start = reflectance_from_lab(lab, view)
    seen = view.lab(start)
    seen[0] = np.asarray(lab, float)
    return Target(seen, None, start)


def target_from_reading(reading: ArrayLike, view: Viewing) -> Target:
    """Return the target of a reading at the view's wavelengths."""
    r = np.asarray(reading, float)
    return Target(view.lab(r), r, r)


def find_recipes(
    model: MixingModel,
    shelf: Shelf,
    target: Target,
    *,
    view: Viewing | None = None,
    volume_ml: float = 100.0,
    most: int = 4,
    scale: WeighingScale = TENTHS,
    wish: Wish = PLAIN,
    alternatives: int = 4,
    target_spread: float = 0.0,
    film_um: float = 30.0,
    leave_out: tuple[str, ...] = (),
) -> Answer:
    """Return the best recipes for a target from the tints in stock.

    Args:
        model: the mixing model, whose tints are on the shelf.
        shelf: the tins: stock, prices, densities.
        target: the colour, as :func:`target_from_lab` or :func:`target_from_reading` give it.
        view: the lamps (the greatest DeltaE00 over them counts); D65 if left out.
        volume_ml: how much paint is needed.
        most: the most tints in a recipe, 1 to 5.
        scale: what it is measured out with.
        wish: what fewer tints and less money are worth.
        alternatives: how many recipes to return.
        target_spread: DeltaE00 from the target that holds the truth 95 times in 100.
        film_um: dry film for the contrast ratio, microns.
        leave_out: tints not to use.

    Raises:
        LiveryError: no tint can be used, or the batch is too small for the scale.
    """
    seen = view or viewing(model.wavelengths_nm)
    _check(volume_ml, most)
    usable = usable_tints(model, shelf, leave_out)
    maker = _RecipeMaker(
        model, shelf, seen, target, scale, volume_ml=volume_ml, film_um=film_um, hiding=wish.hiding
    )
    found = find_mixtures(model, seen, target, usable, most)
    chosen, short = _choose(found, maker, wish, target_spread)
    drafts = _measured_out(chosen, maker, alternatives)
    recipes = tuple(draft.recipe for draft in drafts)
    remarks = _remarks(drafts[0], maker, target_spread)
    if short is not None and short.miss < recipes[0].worst - _UNSEEN:
        # What the tins lack is why the recipe is far, not the colour of the tints.
        remarks = [f for f in remarks if f.code != "recipe-far" or short.miss > _FAR]
        remarks.append(short_finding(short, recipes[0].worst, is_found=True))
    return Answer(recipes, seen.lamps, tuple(remarks))


def measure_out(
    model: MixingModel,
    shelf: Shelf,
    target: Target,
    parts: ArrayLike,
    *,
    view: Viewing | None = None,
    volume_ml: float = 100.0,
    scale: WeighingScale = TENTHS,
    film_um: float = 30.0,
    hiding: float = FULL_HIDING,
) -> Answer:
    """Return the recipe of these parts by weight (tints), with its distance from the target."""
    seen = view or viewing(model.wavelengths_nm)
    _check(volume_ml, MOST_TINTS)
    if np.count_nonzero(parts) > MOST_MEASURED:
        raise fault(
            "recipe-long",
            f"a recipe of {np.count_nonzero(parts)} tints cannot be measured out",
            f"Write at most {MOST_MEASURED}; leave out the smallest parts.",
        )
    maker = _RecipeMaker(
        model, shelf, seen, target, scale, volume_ml=volume_ml, film_um=film_um, hiding=hiding
    )
    draft = _Draft(maker.recipe(shares(parts)), shares(parts))
    remarks = _remarks(draft, maker, 0.0)
    if not maker.in_stock(draft.parts):
        short = maker.short_recipe(draft.parts, max(draft.recipe.delta_e_exact))
        remarks.append(short_finding(short, None, is_found=False))
    return Answer((draft.recipe,), seen.lamps, tuple(remarks))


def _check(volume_ml: float, most: int) -> None:
    if volume_ml <= 0.0:
        raise fault("recipe-volume", f"{volume_ml:g} ml is not a batch", "Write a volume above 0.")
    if not 1 <= most <= MOST_TINTS:
        raise fault(
            "recipe-most",
            f"a recipe of {most} tints cannot be searched",
            f"Write 1 to {MOST_TINTS}.",
        )


def usable_tints(model: MixingModel, shelf: Shelf, leave_out: tuple[str, ...]) -> tuple[int, ...]:
    """Return the places of the model's tints that are in stock and not left out."""
    for name in leave_out:
        shelf.tint(name)
    found = []
    for i, name in enumerate(model.tints):
        tint = shelf.tint(name)
        if tint.in_stock and tint.nature != "metallic" and name not in leave_out:
            found.append(i)
    if not found:
        raise fault(
            "recipe-no-tint",
            "no tint on the shelf can be used",
            "Correct the stock figures, or leave fewer tints out.",
            exit_status=1,
        )
    return tuple(found)


class _Scored(NamedTuple):
    """A mixture with its score, the least being best, and the tints it uses."""

    score: float
    miss: float
    used: tuple[int, ...]
    parts: Floats


class _Draft(NamedTuple):
    """A recipe as measured out, and the parts it was rounded from."""

    recipe: Recipe
    parts: Floats

    @property
    def rounding_loss(self) -> float:
        """What rounding to the scale costs, in DeltaE00."""
        return self.recipe.worst - max(self.recipe.delta_e_exact)


class _RecipeMaker:
    """Measures mixtures out and says what to expect of them."""

    def __init__(
        self,
        model: MixingModel,
        shelf: Shelf,
        view: Viewing,
        target: Target,
        scale: WeighingScale,
        *,
        volume_ml: float,
        film_um: float,
        hiding: float,
    ) -> None:
        self.model, self.view, self.target, self.scale = model, view, target, scale
        self.volume_ml, self.film_um, self.hiding = volume_ml, film_um, hiding
        tins = [shelf.tint(name) for name in model.tints]
        self.densities = np.array([t.density_g_per_ml for t in tins])
        self.prices = np.array(
            [np.nan if t.price_per_litre is None else t.price_per_litre for t in tins]
        )
        self.stock_ml = np.array([np.inf if t.stock_ml is None else t.stock_ml for t in tins])

    def grams(self, parts: Floats) -> Floats:
        """Return grams of each tint for the volume asked for; volumes are taken to add."""
        millilitres = parts / self.densities
        return np.asarray(parts * (self.volume_ml / millilitres.sum()))

    def in_stock(self, parts: Floats) -> bool:
        """Whether the shelf holds enough of every tint."""
        return bool(np.all(self.grams(parts) / self.densities <= self.stock_ml * 1.001))

    def short_recipe(self, parts: Floats, miss: float) -> ShortRecipe:
        """Return a recipe for which the shelf does not hold enough, with what it needs."""
        need_ml = self.grams(parts) / self.densities
        stock = self.stock_ml
        return ShortRecipe(
            self.model.tints, parts, need_ml, stock, volume_ml=self.volume_ml, miss=miss
        )

    def cost_per_litre(self, parts: Floats) -> float | None:
        """Return the cost of a litre; ``None`` if the price of a tint is not known."""
        millilitres = parts / self.densities
        used = parts > 0.0
        cost = float((millilitres[used] * self.prices[used]).sum() / millilitres.sum())
        return cost if np.isfinite(cost) else None

    def recipe(self, parts: Floats) -> Recipe:
        amounts = round_amounts(
            self.grams(parts), self.densities, self.scale, self.model, self.view, target=self.target
        )
        weights = amounts * self.scale.grams_per_unit(self.densities)
        reading = self.model.predict(weights)
        lab = self.view.lab(reading)
        exact = delta_e_00(self.view.lab(self.model.predict(parts)), self.target.lab)
        cost = self.cost_per_litre(weights)
        volume = float((weights / self.densities).sum())
        ratio, hiding = self._hiding(weights)
        return Recipe(
            self._ingredients(amounts, weights),
            self.scale.unit,
            tuple(float(v) for v in exact),
            tuple(float(v) for v in delta_e_00(lab, self.target.lab)),
            float(self.model.uncertainty(weights, self.view)),
            lab=(float(lab[0, 0]), float(lab[0, 1]), float(lab[0, 2])),
            reading=tuple(float(v) for v in reading),
            cost=None if cost is None else cost * volume / 1000.0,
            film_um=self.film_um,
            contrast_ratio=ratio,
            hiding_um=hiding,
            hiding_floor=self.hiding,
        )

    def volume_unseen(self, parts: Floats) -> float | None:
        """Return the least volume of these tried at which rounding does not show, and beyond."""
        unseen_ml = None
        for times in reversed(_LARGER):
            more = copy(self)
            more.volume_ml = self.volume_ml * times
            if _Draft(more.recipe(parts), parts).rounding_loss > _UNSEEN:
                break
            unseen_ml = more.volume_ml
        return unseen_ml

    def _ingredients(self, amounts: Floats, weights: Floats) -> tuple[Ingredient, ...]:
        order = [i for i in np.argsort(-weights, kind="stable") if amounts[i] > 0.0]
        share = shares(weights)
        found = []
        for i in order:
            millilitres = float(weights[i] / self.densities[i])
            found.append(
                Ingredient(
                    self.model.tints[i],
                    float(share[i]),
                    float(amounts[i]),
                    float(weights[i]),
                    millilitres,
                    drops=millilitres / self.scale.drop_ml,
                )
            )
        return tuple(found)

    def contrast_ratio(self, parts: Floats) -> float | None:
        """Return the contrast ratio of the film; ``None`` where the scatter is not known."""
        optics = self._per_micron(parts)
        if optics is None:
            return None
        luminance, surface = self.view.luminance, self.model.surface
        return contrast_ratio(*optics, self.film_um, luminance, surface=surface)

    def _hiding(self, weights: Floats) -> tuple[float | None, float | None]:
        optics = self._per_micron(weights)
        if optics is None:
            return None, None
        luminance, surface = self.view.luminance, self.model.surface
        floor = self.hiding or FULL_HIDING
        hiding_um = thickness_to_hide(*optics, luminance, ratio=floor, surface=surface)
        return self.contrast_ratio(weights), hiding_um

    def _per_micron(self, weights: Floats) -> Coefficients | None:
        """Return K and S of a mixture per micron."""
        scatter = self.model.scatter_per_micron
        if scatter is None:
            return None
        k, s = self.model.coefficients(weights)
        return Coefficients(k * scatter, s * scatter)


def _choose(
    found: list[Found], maker: _RecipeMaker, wish: Wish, spread: float
) -> tuple[list[_Scored], ShortRecipe | None]:
    """Return mixtures by score, best first, no two of them of the same tints.

    With them comes the best of those for which the shelf does not hold enough, if it is better.
    """
    scored: list[_Scored] = []
    beyond: list[_Scored] = []
    kept = [np.where(mixture.parts > _NOTHING, mixture.parts, 0.0) for mixture in found]
    expected = maker.model.uncertainty(np.array(kept), maker.view)
    for mixture, parts, uncertainty in zip(found, kept, expected, strict=True):
        miss = float(mixture.delta_e.max())
        # By how much further it is from where the target may be than an exact match would be.
        score = hypot(miss, _TYPICAL * spread) - _TYPICAL * spread
        score += _SPECTRAL_COUNTS * mixture.spectral + _UNCERTAINTY_COUNTS * float(uncertainty)
        if maker.target.reading is not None:
            score -= _IDENTITY_COUNTS * max(1.0 - mixture.spectral / _IDENTICAL, 0.0)
        if wish.hiding and (ratio := maker.contrast_ratio(parts)) is not None:
            score += _SHORT_COUNTS * max(wish.hiding - ratio, 0.0)
        score += wish.per_tint * float((parts > 0.0).sum() - 1)
        score += wish.per_cost * (maker.cost_per_litre(parts) or 0.0)
        one = _Scored(score, miss, tuple(np.flatnonzero(parts).tolist()), parts)
        (scored if maker.in_stock(parts) else beyond).append(one)
    nearest = min(beyond, key=lambda s: (s.score, s.used), default=None)
    short = None if nearest is None else maker.short_recipe(nearest.parts, nearest.miss)
    if not scored:
        assert short is not None  # every mixture is in one of the two lists
        finding = short_finding(short, None, is_found=True)
        raise fault("recipe-stock", finding.message, finding.remedy, exit_status=1)
    best: dict[tuple[int, ...], _Scored] = {}
    for candidate in sorted(scored, key=lambda s: (s.score, s.used)):
        best.setdefault(candidate.used, candidate)
    return list(best.values()), short


def _measured_out(
    chosen: list[_Scored], maker: _RecipeMaker, alternatives: int
) -> tuple[_Draft, ...]:
    """Return recipes in the order of their scores with their rounding loss counted."""
    drafts = []
    for candidate in chosen[: _DRAFTS * alternatives]:
        recipe = maker.recipe(candidate.parts)
        rounding_loss = max(recipe.worst - candidate.miss, 0.0)
        tints = tuple(sorted(i.tint for i in recipe.ingredients))
        drafts.append((candidate.score + rounding_loss, tints, _Draft(recipe, candidate.parts)))
    best: dict[tuple[str, ...], _Draft] = {}
    for _, tints, draft in sorted(drafts, key=lambda d: d[:2]):
        best.setdefault(tints, draft)
    return tuple(best.values())[:alternatives]


def _remarks(draft: _Draft, maker: _RecipeMaker, spread: float) -> list[Finding]:
    """Return what there is to say about the recipe advised."""
    best, rounding_loss = draft.recipe, draft.rounding_loss
    larger = maker.volume_unseen(draft.parts) if rounding_loss > _UNSEEN else None
    mix_more = "Mix more at once" if larger is None else f"Mix {larger:g} ml at once"
    cases = (
        (
            best.worst > _FAR,
            "recipe-far",
            f"the nearest recipe is {best.worst:.1f} DeltaE00 from the target",
            "The colour may be beyond these tints: add a cleaner tint of that hue, or allow more.",
        ),
        (
            best.expected_miss > UNCERTAIN_ABOVE,
            "recipe-uncertain",
            "no card near this mixture has been read, so its prediction is rough",
            "Mix a little first, spray a card and record it with livery adjust-batch.",
        ),
        (
            spread > _UNSEEN,
            "recipe-target-spread",
            f"the target itself is only known to about {spread:.1f} DeltaE00; recipes nearer "
            "than that differ very little, so one of fewer tints may come first",
            "Measure the target again, or several places of it, for a closer match.",
        ),
        (
            rounding_loss > _UNSEEN,
            "recipe-rounding",
            f"rounding to the scale costs {rounding_loss:.1f} DeltaE00",
            f"{mix_more}, or use a scale with a finer step.",
        ),
    )
    short = _shows_through(best) if maker.hiding else None
    proof = Finding(
        "recipe-test-card",
        "a prediction is not a proof: spray a test card, let it dry, and judge that",
        f"Its card lies within {best.expected_miss:.1f} DeltaE00 of its prediction 95 times in 100.",
        Severity.NOTE,
    )
    warnings = [Finding(c, m, r, Severity.WARNING) for true, c, m, r in cases if true]
    return [proof, *([short] if short else []), *warnings]


def _shows_through(recipe: Recipe) -> Finding | None:
    """Return what to say of a film through which the ground shows, or may."""
    if recipe.hides is None:
        return Finding(
            "recipe-hiding-open",
            "whether one film of this hides is not known: no film of known thickness was read",
            "Read one mixture over black and white with its film_um, or write scatter_per_micron "
            "on the shelf.",
            Severity.NOTE,
        )
    if recipe.hides:
        return None
    coats = recipe.coats_to_hide
    lightness, a, b = recipe.lab
    undercoat = f"an undercoat near its own colour (Lab {lightness:.0f} {a:.0f} {b:.0f})"
    return Finding(
        "recipe-shows-through",
        f"{recipe.film_um:g} microns of this recipe let the ground show through: contrast ratio "
        f"{100 * (recipe.contrast_ratio or 0.0):.1f} %, where {100 * recipe.hiding_floor:g} % is "
        "needed",
        f"Spray {coats} such coats, or one over {undercoat}."
        if coats
        else f"Spray it over {undercoat}, or choose a recipe with more of an opaque tint.",
        Severity.WARNING,
    )
