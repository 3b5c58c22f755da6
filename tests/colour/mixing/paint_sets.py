"""Invented paint sets as rough as measured ones, with published moments.

``RoughSet`` is set so that the textbook's two constants, from masstone and a 10/90 tint, miss
the 50/50 mixture by a median DeltaE00 of about 2.5 and one constant by about 9, as they miss
measured artists' oils.  ``OilSet`` is a second kind with two variants: white that hardly
crowds, films that do not quite hide, more or less slips of the hand.  Nothing of Kubelka and
Munk is in either: every reading is worked by layers in many directions (see conftest).

``STEADY`` is set so that on mixtures left out in turn the textbook misses by about 2.1 and K and S
alone by about 1.8, as on 65 measured oil mixtures (2.10 and 1.90); ``SLIPPERY``, ``THIN`` and
``CROWDED`` are rougher than those (textbook 3.0 to 3.8).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.optimize import nnls

from livery.colour.mixing.drawdowns import Drawdowns
from livery.colour.mixing.kubelka_munk import ks_from_reflectance, reflectance_from_ks
from livery.colour.mixing.saunderson import GLOSS, internal_from_measured, measured_from_internal

NM = np.arange(400.0, 701.0, 10.0)
FLAT = np.ones_like(NM)


def edge(at: float, width: float) -> np.ndarray:
    return 1 / (1 + np.exp((NM - at) / width))


def band(at: float, width: float) -> np.ndarray:
    return np.exp(-(((NM - at) / width) ** 2))


def families(u):
    """Absorption and scattering of one paint of every family, drawn with ``u(low, high)``."""
    return {
        "white": (0.0008 + u(0.1, 0.4) * edge(u(395, 410), 7), 9 * (NM / 550) ** -u(0.3, 0.7)),
        "black": (u(15, 30) * (NM / 550) ** -u(0.1, 0.5), 0.5 * FLAT),
        "warm black": (u(6, 12) * (NM / 550) ** -u(0.2, 0.8), 0.2 * FLAT),
        "yellow": (u(8, 14) * edge(u(480, 515), 9), u(2, 3) * (1 - 0.4 * edge(510, 30))),
        "clear yellow": (u(8, 14) * edge(u(470, 505), 13), u(0.15, 0.6) * FLAT),
        "orange": (u(8, 13) * edge(u(535, 570), 10), u(0.6, 2) * (1 - 0.5 * edge(565, 25))),
        "red": (u(8, 13) * edge(u(575, 610), 10), u(1.2, 2.2) * (1 - 0.5 * edge(600, 25))),
        "clear red": (u(8, 14) * edge(u(575, 605), 14), u(0.15, 0.6) * FLAT),
        "crimson": (
            u(10, 18) * band(u(520, 545), u(45, 65)) + u(2, 5) * edge(450, 30),
            u(0.1, 0.3) * FLAT,
        ),
        "magenta": (
            u(10, 16) * band(u(535, 560), u(35, 50)) + u(1, 2) * edge(430, 20),
            u(0.1, 0.4) * FLAT,
        ),
        "violet": (u(12, 20) * band(u(560, 590), u(50, 70)) + 0.5, u(0.1, 0.3) * FLAT),
        "strong blue": (
            u(20, 32) * band(u(615, 640), u(60, 80)) + u(0.3, 0.9) * edge(420, 20) + 0.12,
            u(0.1, 0.35) * FLAT,
        ),
        "dark blue": (u(18, 26) * band(u(680, 720), 130) + u(0.5, 1.5), u(0.08, 0.2) * FLAT),
        "ultramarine": (u(7, 12) * band(u(585, 605), u(55, 75)), u(0.3, 0.6) * 550 / NM),
        "light blue": (u(4, 7) * (band(u(580, 600), 45) + 0.8 * band(640, 35)), u(0.6, 1.2) * FLAT),
        "turquoise": (u(5, 9) * band(u(640, 670), 60) + edge(420, 20), u(0.8, 1.8) * FLAT),
        "strong green": (
            u(16, 24) * band(u(645, 670), u(50, 65)) + u(10, 16) * band(430, 45) + 0.25,
            u(0.15, 0.4) * FLAT,
        ),
        "clear green": (
            u(5, 8) * band(u(610, 640), 60) + u(4, 6) * band(u(415, 435), 50) + 0.2,
            u(0.15, 0.35) * FLAT,
        ),
        "dark green": (
            u(10, 16) * band(u(660, 690), 70) + u(9, 14) * edge(u(470, 500), 20) + u(0.8, 2),
            u(0.1, 0.25) * FLAT,
        ),
        "dull green": (
            u(3, 5) * band(600, 45) + u(4, 6) * band(440, 60) + 0.5,
            u(2.2, 3) * FLAT,
        ),
        "ochre": (u(4, 6) * edge(u(510, 530), 28) + 0.35, u(1.8, 2.5) * (NM / 550) ** 0.3),
        "raw earth": (u(4, 7) * edge(u(520, 545), 30) + 0.4, u(0.4, 1) * FLAT),
        "burnt earth": (u(7, 11) * edge(u(570, 590), 25) + 0.6, u(0.3, 0.9) * FLAT),
        "umber": (u(6, 11) * (NM / 450) ** -u(2, 3.5) + 0.3, u(0.4, 1) * FLAT),
        "red oxide": (u(6, 9) * edge(u(560, 575), 20) + 0.5, u(2.5, 4) * (NM / 550) ** 0.5),
    }


@dataclass
class RoughSet:
    """A paint set of one seed, with the hand and the surfaces it is drawn down by."""

    seed: int
    paints: int = 25
    wrong_batches: float = 0.04
    weighing: float = 0.05
    tints: dict[str, tuple] = field(init=False)

    def __post_init__(self) -> None:
        self.rng = np.random.default_rng(self.seed)
        u, normal = self.rng.uniform, self.rng.normal
        self.tints = {}
        for name, (absorb, scatter) in list(families(u).items())[: self.paints]:
            weak = np.exp(normal(0, 0.35)) if name != "white" else 1.0
            grey = 0.03 * np.exp(u(-1, 1.5)) if name != "white" else 0.0
            # Absorption as this power of the share; scattering likewise; density.
            bends = (u(0.64, 1.09), normal(1, 0.3), u(1.1, 1.9)) if name != "white" else (1, 1, 1.9)
            self.tints[name] = (absorb * weak + grey, scatter * weak**0.5, u(0.45, 0.75), *bends)

    def ladder(self, *shares: float) -> list[dict[str, float]]:
        """Each tint at these shares with white, and the white."""
        return [{"white": 1.0}] + [
            {name: s, "white": 1 - s} for name in self.tints if name != "white" for s in shares
        ]

    def pairs(self, count: int) -> list[dict[str, float]]:
        """Two tints at random, with or without white."""
        found = []
        for _ in range(count):
            one, other = self.rng.choice(list(self.tints)[1:], 2, replace=False)
            white, split = self.rng.choice([0, 0.25, 0.5, 0.75]), self.rng.choice([0.25, 0.5, 0.75])
            found.append(
                {"white": white, one: (1 - white) * split, other: (1 - white) * (1 - split)}
            )
        return found

    def draw(self, many_flux, mixtures: list[dict[str, float]]) -> Drawdowns:
        names = tuple(self.tints)
        parts = np.array([[m.get(name, 0.0) for name in names] for m in mixtures])
        readings = np.array([self._read(many_flux, m) for m in mixtures])
        return Drawdowns(names, NM, tuple(map(str, range(len(parts)))), parts, readings)

    def _read(self, many_flux, mixture: dict[str, float]) -> np.ndarray:
        normal = self.rng.normal
        weighed = {
            name: p * np.exp(normal(0, self.weighing)) for name, p in mixture.items() if p > 0
        }
        if len(weighed) > 1 and self.rng.random() < self.wrong_batches:
            weighed[next(iter(weighed))] *= self.rng.choice([0.5, 2.0])
        volumes = {name: p / self.tints[name][5] for name, p in weighed.items()}
        absorb, scatter, forward = (np.zeros_like(NM) for _ in range(3))
        for name, volume in volumes.items():
            a, s, g, strength, spread, _ = self.tints[name]
            share = volume / sum(volumes.values())
            worth = share * (1 - 0.6 * share) if name == "white" else share**spread
            absorb += a * share**strength
            scatter += s * worth
            forward += g * s * worth
        depth = np.minimum((absorb + scatter) * 4.0 * np.exp(normal(0, 0.3)), 4096.0)
        inside = many_flux(absorb, scatter, forward / scatter, depth, 0.8)
        texture, gloss = np.exp(normal(0, 0.02)), normal(0, 0.005)
        reading = 0.04 + (inside - 0.04) * texture + gloss
        return np.clip(reading + normal(0, 0.001, NM.size) * (1 + 2 * reading), 0.0005, 1.0)


def textbook(given: Drawdowns, wanted: Drawdowns, constants: int) -> np.ndarray:
    """Readings by K and S (or K/S alone) of masstone and 10/90 tint in closed form."""
    ks = ks_from_reflectance(np.clip(internal_from_measured(given.readings, GLOSS), 1e-4, 1 - 1e-4))
    k, s = np.ones((2, len(given.tints), given.wavelengths_nm.size))
    k[0] = ks[0]
    for tint in range(1, len(given.tints)):
        masstone, tinted = ks[2 * tint - 1], ks[2 * tint]
        if constants == 2:
            with np.errstate(divide="ignore"):
                s[tint] = 9.0 * (tinted - ks[0]) / (masstone - tinted)
            s[tint] = np.where(s[tint] > 0, np.minimum(s[tint], 100.0), 1e-4)
        k[tint] = s[tint] * masstone
    return measured_from_internal(reflectance_from_ks(wanted.parts @ k / (wanted.parts @ s)), GLOSS)


@dataclass(frozen=True)
class Roughness:
    """Spreads of weighing (log), texture (log), gloss; white's crowding; strength exponents and
    the spread of scattering's; films' optical depth over K + S and its spread."""

    weighing: float
    texture: float
    gloss: float
    crowding: tuple[float, float]
    strength: tuple[float, float]
    spread: float
    depth: tuple[float, float]


SLIPPERY = Roughness(0.07, 0.03, 0.006, (0.0, 0.1), (0.64, 1.09), 0.3, (2.5, 0.5))
THIN = Roughness(0.05, 0.02, 0.004, (0.0, 0.0), (0.9, 1.05), 0.2, (1.5, 0.6))
STEADY = Roughness(0.03, 0.015, 0.003, (0.0, 0.0), (0.9, 1.05), 0.15, (2.0, 0.3))
CROWDED = Roughness(0.05, 0.02, 0.005, (0.6, 0.6), (0.64, 1.09), 0.3, (4.0, 0.3))


class OilSet(RoughSet):
    """A white and 18 paints of families drawn at random: 84 cards, 29 of them of two tints."""

    def __init__(self, seed: int, rough: Roughness, paints: int = 19) -> None:
        self.rough, self.seed, self.paints = rough, seed, paints
        self.rng = np.random.default_rng(seed)
        u, normal = self.rng.uniform, self.rng.normal
        made = families(u)
        others = sorted(self.rng.choice(list(made)[1:], paints - 1, replace=False))
        self.crowding = u(*rough.crowding)
        self.tints = {}
        for name in ["white", *others]:
            absorb, scatter = made[name]
            weak = np.exp(normal(0, 0.35)) if name != "white" else 1.0
            grey = 0.03 * np.exp(u(-1, 1.5)) if name != "white" else 0.0
            bends = (u(*rough.strength), normal(1, rough.spread), u(1.1, 1.9))
            bends = bends if name != "white" else (1.0, 1.0, 1.9)
            self.tints[name] = (absorb * weak + grey, scatter * weak**0.5, u(0.45, 0.75), *bends)

    def cards(self, many_flux: Callable[..., np.ndarray], redraws: int = 0) -> Drawdowns:
        """Masstones, a tenth and a half of each with white, and mixtures of two tints.

        ``redraws``: the same mixtures of the same tints, drawn down once more by another hand.
        """
        mixtures = self.ladder(1.0, 0.1, 0.5) + self.pairs(29)
        if redraws:
            self.rng = np.random.default_rng([self.seed, redraws])
        return self.draw(many_flux, mixtures)

    def _read(self, many_flux: Callable[..., np.ndarray], mixture: dict[str, float]) -> np.ndarray:
        normal, rough = self.rng.normal, self.rough
        weighed = {n: p * np.exp(normal(0, rough.weighing)) for n, p in mixture.items() if p > 0}
        volumes = {n: p / self.tints[n][5] for n, p in weighed.items()}
        absorb, scatter, forward = (np.zeros_like(NM) for _ in range(3))
        for name, volume in volumes.items():
            a, s, g, strength, spread, _ = self.tints[name]
            share = volume / sum(volumes.values())
            worth = share * (1 - self.crowding * share) if name == "white" else share**spread
            absorb += a * share**strength
            scatter += s * worth
            forward += g * s * worth
        depth = (absorb + scatter) * rough.depth[0] * np.exp(normal(0, rough.depth[1]))
        inside = many_flux(absorb, scatter, forward / scatter, np.minimum(depth, 4096.0), 0.8)
        texture, gloss = np.exp(normal(0, rough.texture)), normal(0, rough.gloss)
        reading = 0.04 + (inside - 0.04) * texture + gloss
        return np.clip(reading + normal(0, 0.001, NM.size) * (1 + 2 * reading), 0.0005, 1.0)


def first_two_each(cards: Drawdowns) -> tuple[Drawdowns, Drawdowns]:
    """Return the masstone and the tenth of each tint of an OilSet, and all its other cards."""
    others = range(len(cards.tints) - 1)
    few = [0] + [card for t in others for card in (1 + 3 * t, 2 + 3 * t)]
    return only(cards, few), only(cards, [i for i in range(len(cards.cards)) if i not in few])


def at_every_20_nm(many_flux: Callable[..., np.ndarray]) -> Callable[..., np.ndarray]:
    """Return it worked at every other wavelength only; each other one repeats its neighbour."""

    def worked(absorb: np.ndarray, scatter, g, depth, ground) -> np.ndarray:  # type: ignore[no-untyped-def]
        found = many_flux(absorb[::2], scatter[::2], g[::2], depth[::2], ground)
        return np.repeat(found, 2)[: absorb.size]

    return worked


def every_20_nm(cards: Drawdowns) -> Drawdowns:
    """Return the cards read at every other wavelength: half the work, nearly the same colours."""
    return replace(cards, wavelengths_nm=cards.wavelengths_nm[::2], readings=cards.readings[:, ::2])


def only(cards: Drawdowns, which: list[int]) -> Drawdowns:
    """Return some of the cards."""
    names = tuple(cards.cards[i] for i in which)
    return replace(cards, cards=names, parts=cards.parts[which], readings=cards.readings[which])


def plain_two_constants(given: Drawdowns, parts: np.ndarray) -> np.ndarray:
    """Readings of parts by the textbook: K and S by least squares in K/S, k1 0.04, k2 0.6.

    Walowit, McCarthy and Berns 1987, wavelength by wavelength, with nothing else in it.
    """
    inside = internal_from_measured(given.readings, GLOSS)
    ks = ks_from_reflectance(np.clip(inside, 1e-3, 1 - 1e-4))
    share = given.parts / given.parts.sum(axis=1, keepdims=True)
    n = share.shape[1]
    k, s = np.empty((n, ks.shape[1])), np.ones((n, ks.shape[1]))
    for w in range(ks.shape[1]):
        q = ks[:, w]
        rows = np.hstack([share, -q[:, None] * share[:, 1:]]) / (1 + q)[:, None]
        rows = np.vstack([rows, 1e-3 * np.eye(2 * n - 1)])
        right = np.append(q * share[:, 0] / (1 + q), np.full(2 * n - 1, 1e-4))
        found, _ = nnls(rows, right)
        k[:, w], s[1:, w] = found[:n], np.maximum(found[n:], 1e-4)
    return measured_from_internal(reflectance_from_ks(parts @ k / (parts @ s)), GLOSS)
