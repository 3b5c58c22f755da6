"""An invented set of paints with richer physics than the model that has to predict it.

Every reading is worked by adding and doubling layers in many directions (H. C. van de
Hulst, "Multiple Light Scattering", 1980): forward-scattering particles, Fresnel
reflection at an interface of index 1.5 direction by direction, a white that scatters
less the more crowded it is, tints whose strength is not proportional to their share, and
an instrument's noise.  Nothing of Kubelka and Munk or Saunderson is in it.  The paints
are synthetic: no real pigment was measured.
"""

from __future__ import annotations

import importlib.util
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from livery.colour.mixing.drawdowns import Drawdowns
from livery.colour.mixing.model import MixingModel
from livery.colour.mixing.shelf import Shelf, model_from_shelf, read_shelf
from livery.data_folder import data_folder

_spec = importlib.util.spec_from_file_location(
    "paint_sets", Path(__file__).parent / "paint_sets.py"
)
_paint_sets = importlib.util.module_from_spec(_spec)
sys.modules["paint_sets"] = _paint_sets
_spec.loader.exec_module(_paint_sets)

WAVELENGTHS = np.arange(400.0, 701.0, 10.0)
INDEX = 1.5


def _directions() -> tuple[np.ndarray, np.ndarray]:
    """Gauss nodes above and below the critical angle, and the one looked at (weight 0)."""
    critical = np.sqrt(1 - 1 / INDEX**2)
    x, w = np.polynomial.legendre.leggauss(4)
    low, high = critical * (x + 1) / 2, critical + (1 - critical) * (x + 1) / 2
    view = np.sqrt(1 - (np.sin(np.radians(8)) / INDEX) ** 2)
    mu = np.concatenate([low, high, [view]])
    return mu, np.concatenate([w * critical / 2, w * (1 - critical) / 2, [0.0]])


def _fresnel(mu: np.ndarray) -> np.ndarray:
    """Reflectance of unpolarised light meeting the surface from inside."""
    sine = INDEX * np.sqrt(1 - mu**2)
    outside = np.sqrt(np.maximum(1 - sine**2, 0.0))
    s = (INDEX * mu - outside) / (INDEX * mu + outside)
    p = (mu - INDEX * outside) / (mu + INDEX * outside)
    return np.where(sine >= 1, 1.0, (s**2 + p**2) / 2)


def _phase(mu: np.ndarray, g: np.ndarray, terms: int = 8) -> tuple[np.ndarray, np.ndarray]:
    """Azimuthal mean of a Henyey-Greenstein phase function, forward and back, (m, n, n)."""
    legendre = np.polynomial.legendre.legvander(mu, terms - 1)
    order = np.arange(terms)
    moments = (2 * order + 1) * g[:, None] ** order
    forward = np.einsum("ml,il,jl->mij", moments, legendre, legendre)
    back = np.einsum("ml,il,jl->mij", moments * (-1.0) ** order, legendre, legendre)
    return forward, back


def many_flux_reading(
    absorb: np.ndarray,
    scatter: np.ndarray,
    g: np.ndarray,
    depth: np.ndarray | float = 4096.0,
    ground: float = 0.0,
) -> np.ndarray:
    """Reading, mirror reflection included, of a film with these coefficients.

    ``depth`` is its optical depth, by default opaque; ``ground`` the reflectance, the same
    in all directions, of what lies below.
    """
    mu, weight = _directions()
    n = mu.size
    albedo = scatter / (absorb + scatter)
    forward, back = _phase(mu, g)
    step = 2.0**-26 * np.broadcast_to(np.asarray(depth), albedo.shape)[:, None, None]
    rate = step * albedo[:, None, None] / 2 * weight[None, None, :] / mu[None, :, None]
    r = rate * back
    t = np.eye(n) * (1 - step / mu) + rate * forward
    for _ in range(26):
        bounce = np.linalg.solve(np.eye(n) - r @ r, t)
        r, t = r + t @ r @ bounce, t @ bounce
    below = np.broadcast_to(2 * ground * weight * mu, (n, n))
    r = r + t @ np.linalg.solve(np.eye(n) - below @ r, below @ t)
    mirror = _fresnel(mu)
    entering = INDEX**2 * (1 - mirror)
    down = np.linalg.solve(
        np.eye(n) - mirror[:, None] * r, np.broadcast_to(entering[:, None], (absorb.size, n, 1))
    )
    up = (r @ down)[:, -1, 0]
    return mirror[-1] + up * (1 - mirror[-1]) / INDEX**2


def _edge(at: float, width: float) -> np.ndarray:
    return 1 / (1 + np.exp((WAVELENGTHS - at) / width))


def _band(at: float, width: float) -> np.ndarray:
    return np.exp(-(((WAVELENGTHS - at) / width) ** 2))


# Absorption, scattering, forwardness, strength exponent and density, all invented.
INVENTED = {
    "white": (0.0008 + 0.25 * _edge(408, 7), 9.0 * (WAVELENGTHS / 550) ** -0.5, 0.5, 1.0, 1.9),
    "black": (22.0 * (WAVELENGTHS / 550) ** -0.3, 0.5 + 0 * WAVELENGTHS, 0.6, 0.96, 1.2),
    "yellow": (11 * _edge(492, 9) + 0.02, 2.5 * (0.6 + 0.4 * (1 - _edge(500, 30))), 0.5, 1.0, 1.3),
    "ochre": (5 * _edge(520, 28) + 0.35, 2.2 * (WAVELENGTHS / 550) ** 0.3, 0.6, 1.03, 1.6),
    "red": (10 * _edge(580, 9) + 0.03, 1.8 * (0.5 + 0.5 * (1 - _edge(590, 25))), 0.5, 0.97, 1.3),
    "crimson": (
        14 * _band(530, 55) + 3 * _edge(450, 30) + 0.05,
        0.25 + 0 * WAVELENGTHS,
        0.7,
        0.92,
        1.1,
    ),
    "red-oxide": (7 * _edge(565, 20) + 0.5, 3.5 * (WAVELENGTHS / 550) ** 0.5, 0.6, 1.0, 1.8),
    "blue": (
        26 * _band(630, 75) + 0.6 * _edge(420, 20) + 0.12,
        0.3 + 0 * WAVELENGTHS,
        0.7,
        0.9,
        1.1,
    ),
    "ultramarine": (9 * _band(595, 65) + 0.05, 0.5 * (WAVELENGTHS / 550) ** -1, 0.6, 1.0, 1.3),
    "green": (
        20 * _band(660, 55) + 14 * _band(430, 45) + 0.25,
        0.35 + 0 * WAVELENGTHS,
        0.7,
        0.93,
        1.1,
    ),
    "green-oxide": (
        4 * _band(600, 45) + 5 * _band(440, 60) + 0.5,
        2.8 + 0 * WAVELENGTHS,
        0.6,
        1.0,
        1.7,
    ),
}


@dataclass(frozen=True)
class Workshop:
    """Sprays a card of a mixture by weight and reads it.

    ``weighing`` is the relative slip of each weighing, ``gloss`` how much the surface's
    reflection varies from card to card, ``noise`` the instrument's.
    """

    names: tuple[str, ...] = tuple(INVENTED)
    noise: float = 0.0008
    crowding: float = 0.35
    weighing: float = 0.02
    gloss: float = 0.0015

    def read(self, parts: dict[str, float], seed: int | None = None) -> np.ndarray:
        """Reading of a mixture in parts by weight; a perfect hand if no seed is given."""
        if seed is None:
            return many_flux_reading(*self._film(parts))
        rng = np.random.default_rng(seed)
        slipped = {name: p * np.exp(rng.normal(0, self.weighing)) for name, p in parts.items()}
        reading = many_flux_reading(*self._film(slipped))
        noise = rng.normal(0, self.noise, reading.size) * (1 + 2 * reading)
        return np.clip(reading + noise + rng.normal(0, self.gloss), 0.0, 1.0)

    def _film(self, parts: dict[str, float]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Absorption, scattering and forwardness of the wet paints' volumes together."""
        volume = {name: p / INVENTED[name][4] for name, p in parts.items() if p > 0}
        total = sum(volume.values())
        absorb, scatter, forward = (np.zeros_like(WAVELENGTHS) for _ in range(3))
        for name, v in volume.items():
            a, s, g, exponent, _ = INVENTED[name]
            share = v / total
            efficiency = 1 - self.crowding * share if name == "white" else 1.0
            absorb += a * share**exponent
            scatter += s * share * efficiency
            forward += g * s * share * efficiency
        return absorb, scatter, forward / scatter


def cards_of(workshop: Workshop, mixtures: list[dict[str, float]], seed: int) -> Drawdowns:
    """Return mixtures as sprayed and read, each with its own slip."""
    names = tuple(workshop.names)
    parts = np.array([[mixture.get(name, 0.0) for name in names] for mixture in mixtures])
    readings = [workshop.read(m, seed * 1000 + i) for i, m in enumerate(mixtures)]
    labels = tuple(f"{i + 1}" for i in range(len(mixtures)))
    return Drawdowns(names, WAVELENGTHS, labels, parts, np.array(readings))


def ladder(workshop: Workshop, shares: tuple[float, ...]) -> list[dict[str, float]]:
    """Return every tint at these shares with white, and the white alone."""
    found: list[dict[str, float]] = [{"white": 1.0}]
    for name in workshop.names:
        if name != "white":
            found += [{name: s} if s == 1 else {name: s, "white": 1 - s} for s in shares]
    return found


@pytest.fixture(scope="session")
def workshop() -> Workshop:
    return Workshop()


@pytest.fixture(scope="session")
def many_flux():
    """What a film reads by layers and directions."""
    return many_flux_reading


@pytest.fixture(scope="session")
def spray():
    """The workshop's cards of mixtures, as drawdowns."""
    return cards_of


@pytest.fixture(scope="session")
def steps():
    """Every tint at some shares with white."""
    return ladder


@pytest.fixture(scope="session")
def demo_shelf() -> Shelf:
    return read_shelf(data_folder("palettes") / "shelves" / "tints-demo.toml")


@pytest.fixture(scope="session")
def demo_model(demo_shelf: Shelf) -> MixingModel:
    return model_from_shelf(demo_shelf)


@pytest.fixture(scope="session")
def paint_sets():
    """The module of invented paint sets with published moments."""
    return _paint_sets
