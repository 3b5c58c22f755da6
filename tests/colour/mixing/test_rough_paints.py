"""Invented paint sets as rough as measured ones, and the bars that hold on them.

No measured set is at hand that may be kept here.  What is known of one (artists' oil
paints, 10 and 50 per cent of each with white): the textbook's two constants, from the
masstone and the 10/90 tint, predict the 50/50 mixture at a median DeltaE00 of about 2.5,
one constant at about 9, and single mixtures miss by 16 and 34.  The imperfections below
(weighing, gloss and texture of each card, films that do not quite hide, strengths not in
proportion, a batch weighed wrong here and there) were set so that the textbook predictors
miss these paints by as much, which the first test asserts.  The paints themselves are drawn
at random: nobody has tuned the model to any one of them.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pytest

from livery.colour.difference import delta_e_00
from livery.colour.mixing.calibrate import calibrate
from livery.colour.mixing.drawdowns import Drawdowns
from livery.colour.mixing.kubelka_munk import ks_from_reflectance, reflectance_from_ks
from livery.colour.mixing.predict import DOUBTFUL
from livery.colour.mixing.saunderson import GLOSS, internal_from_measured, measured_from_internal
from livery.colour.mixing.viewing import viewing

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
        weighed = {name: p * np.exp(normal(0, 0.05)) for name, p in mixture.items() if p > 0}
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
    k, s = np.ones((2, len(given.tints), NM.size))
    k[0] = ks[0]
    for tint in range(1, len(given.tints)):
        masstone, tinted = ks[2 * tint - 1], ks[2 * tint]
        if constants == 2:
            with np.errstate(divide="ignore"):
                s[tint] = 9.0 * (tinted - ks[0]) / (masstone - tinted)
            s[tint] = np.where(s[tint] > 0, np.minimum(s[tint], 100.0), 1e-4)
        k[tint] = s[tint] * masstone
    return measured_from_internal(reflectance_from_ks(wanted.parts @ k / (wanted.parts @ s)), GLOSS)


def misses(readings: np.ndarray, cards: Drawdowns) -> np.ndarray:
    view = viewing(NM)
    return delta_e_00(view.lab(readings)[:, 0], view.lab(cards.readings)[:, 0])


@pytest.fixture(scope="module")
def sets(many_flux):
    """Four sets: two drawdowns of each tint, halves with white, and mixtures weighed well."""
    found = []
    for seed in (101, 102, 103, 104):
        paints = RoughSet(seed)
        given = paints.draw(many_flux, paints.ladder(1.0, 0.1))
        half = paints.draw(many_flux, paints.ladder(0.5)[1:])
        paints.wrong_batches = 0.0
        others = paints.draw(many_flux, paints.ladder(0.25, 0.75)[1:] + paints.pairs(70))
        found.append((calibrate(given, check=False).model, given, half, others))
    return found


def test_the_textbook_misses_these_paints_as_it_misses_measured_ones(sets):
    two = np.concatenate([misses(textbook(g, half, 2), half) for _, g, half, _ in sets])
    one = np.concatenate([misses(textbook(g, half, 1), half) for _, g, half, _ in sets])
    assert np.median(two) == pytest.approx(2.5, abs=0.4)
    assert np.median(one) == pytest.approx(9.0, abs=1.5)
    assert 12 < two.max() < 50


def test_from_two_drawdowns_each(sets):
    """The bar of 2.5 in the median, set by set, for mixtures with white and without."""
    for model, given, half, others in sets:
        found = misses(model.predict(half.parts), half)
        assert np.median(found) < 2.3
        assert np.median(found) < np.median(misses(textbook(given, half, 2), half))
        assert found.max() < 12
        assert np.median(misses(model.predict(others.parts), others)) < 2.5


def test_what_misses_badly_was_doubted_beforehand(sets):
    missed = np.concatenate([misses(m.predict(o.parts), o) for m, _, _, o in sets])
    expected = np.concatenate([m.uncertainty(o.parts, viewing(NM)) for m, _, _, o in sets])
    bad, doubted = missed > 4, expected > DOUBTFUL
    assert bad.sum() >= 8
    assert np.mean(doubted[bad]) > 2 * np.mean(doubted[~bad])
    assert np.mean(doubted[bad]) > 0.4
    assert 0.6 < np.mean(missed < expected) < 0.85
    assert np.mean(missed < 2 * expected) > 0.95


@pytest.mark.parametrize("paints", [9, pytest.param(25, marks=pytest.mark.slow)])
def test_given_all_mixtures_but_one(many_flux, paints):
    """The bar of 1.5 in the median for each card left out of a full set of mixtures."""
    rough = RoughSet(105, paints)
    mixtures = rough.ladder(1.0, 0.75, 0.5, 0.25, 0.1) + rough.pairs(paints)
    found = calibrate(rough.draw(many_flux, mixtures))
    known = [(c.left_out, c.expected) for c in found.cards if c.left_out is not None]
    missed, expected = np.array(known).T
    assert len(missed) >= 4 * (paints - 1)
    assert np.median(missed) < 1.5
    assert 0.6 < np.mean(missed < expected) < 0.95
