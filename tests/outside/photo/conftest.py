"""A workshop that does not exist, photographed: reflectances, a lamp, a camera and a file.

Everything measured comes from colour-science's data sets: the averaged 24-patch
reflectances, a second chart, the 99 surfaces by which CIE 224:2017 judges lamps, CIE
illuminants and the sensitivities of two cameras measured at a national laboratory; a third
camera sees as the CIE 1931 observer does.  The paints are smooth invented reflectances.  What the camera makes of them is
reckoned here from first principles and shares no code with the package.
"""

from dataclasses import dataclass, field
from functools import cache
from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import gaussian_filter

from livery.colour.science import colour_science

colour = colour_science()

WAVES = np.arange(380, 731, 10)
SHAPE = colour.SpectralShape(380, 730, 10)
DAYLIGHTS = ("D65", "D55", "D50")
LAMPS = ("LED-B3", "LED-B5", "FL2", "FL10", "A")
LIGHTS = ("D65", "D55", "LED-B3", "FL10", "A")
EYE = 2


def _sigmoid(edge, width):
    return 1 / (1 + np.exp(-(WAVES - edge) / width))


def _bump(centre, width):
    return np.exp(-(((WAVES - centre) / width) ** 2))


PAINTS = {
    "estuary green": 0.035 + 0.13 * _bump(525, 45) + 0.05 * _sigmoid(700, 12),
    "crimson lake": 0.03 + 0.28 * _sigmoid(625, 18),
    "vermilion": 0.05 + 0.58 * _sigmoid(592, 10),
    "oyster": 0.42 + 0.30 * _sigmoid(470, 45),
    "umber": 0.04 + 0.11 * _sigmoid(590, 40),
    "deep blue": 0.03 + 0.16 * _bump(455, 38) + 0.03 * _sigmoid(690, 12),
    "chrome yellow": 0.06 + 0.68 * _sigmoid(510, 14),
    "slate": 0.13 + 0.03 * _bump(470, 80),
    "stone": 0.30 + 0.14 * _sigmoid(540, 60),
    "black": 0.035 + 0.004 * _sigmoid(600, 60),
    "apple green": 0.06 + 0.30 * _bump(545, 48) + 0.10 * _sigmoid(700, 14),
    "sky": 0.20 + 0.22 * _bump(470, 60) + 0.05 * _sigmoid(690, 20),
}


@cache
def chart_reflectances():
    found = colour.SDS_COLOURCHECKERS["BabelColor Average"]
    return {name: sd.copy().align(SHAPE).values for name, sd in found.items()}


@cache
def _light(name):
    return colour.SDS_ILLUMINANTS[name].copy().align(SHAPE).values


@cache
def _observer():
    return colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(SHAPE).values


@cache
def _sensitivities(camera):
    if camera == EYE:
        return _observer()
    found = list(colour.MSDS_CAMERA_SENSITIVITIES.values())[camera]
    return np.stack(
        [np.interp(WAVES, found.wavelengths, v, left=0, right=0) for v in found.values.T], 1
    )


@cache
def unseen_reflectances():
    """A second published set of 30 patches."""
    found = colour.SDS_COLOURCHECKERS["PMC"]
    return {n: np.interp(WAVES, sd.wavelengths, sd.values) for n, sd in found.items()}


@cache
def colour_fidelity_reflectances():
    """The 99 samples of CIE 224:2017: paints, prints, cloth, plastics, plants and skin."""
    from colour.quality.cfi2017 import load_TCS_CIE2017

    every_5 = np.asarray(load_TCS_CIE2017(colour.SpectralShape(380, 780, 5)).values)
    return {f"sample {i + 1}": values[::2][: len(WAVES)] for i, values in enumerate(every_5.T)}


def true_lab(reflectance):
    """CIELAB under D65, 2 degrees, by summing at 10 nm."""
    weights = _observer() * _light("D65")[:, None]
    white = weights.sum(0)
    return colour.XYZ_to_Lab(np.asarray(reflectance) @ weights / white[1], colour.XYZ_to_xy(white))


def _linear_srgb(reflectance):
    weights = _observer() * _light("D65")[:, None]
    xyz = np.asarray(reflectance) @ weights / weights[:, 1].sum()
    return xyz @ colour.RGB_COLOURSPACES["sRGB"].matrix_XYZ_to_RGB.T


@cache
def _camera_matrix(camera, light):
    """What the maker built in for daylight or for lamplight: raw to sRGB, greys kept grey."""
    if camera == EYE:
        white = (_observer() * _light(light)[:, None]).sum(0)
        matrix = (white / white[1])[:, None] * colour.RGB_COLOURSPACES["sRGB"].matrix_XYZ_to_RGB.T
        return matrix / matrix.sum(0)
    built_for = "A" if light in ("A", "LED-B3") else "D55"
    raw = np.array(list(chart_reflectances().values())) @ (
        _sensitivities(camera) * _light(built_for)[:, None]
    )
    raw /= (_sensitivities(camera) * _light(built_for)[:, None]).sum(0)
    matrix = np.linalg.lstsq(raw, _linear_srgb(list(chart_reflectances().values())), rcond=None)[0]
    return matrix / matrix.sum(0)


@dataclass
class Shot:
    """A photograph: what was in it and where."""

    data: bytes
    chart_corners: np.ndarray
    places: dict = field(default_factory=dict)
    truths: dict = field(default_factory=dict)

    def picture(self):
        from livery.colour.photo.picture import Picture

        stored = np.asarray(Image.open(BytesIO(self.data)))
        linear = colour.models.eotf_sRGB(np.arange(256) / 255).astype(np.float32)[stored]
        return Picture(linear, (stored >= 254).any(axis=2), (stored <= 2).any(axis=2), 255)


def photograph(
    seed,
    light="D55",
    camera=0,
    cast=(1.0, 1.0, 1.0),
    exposure=0.9,
    gradient=(0.0, 0.0),
    vignette=0.0,
    contrast=0.0,
    noise=0.004,
    quality=90,
    flare=0.0,
    second=("D65", 0.0),
    paints=PAINTS,
    cards=(),
):
    """Photograph the chart, the paints about it and any grey cards.

    The first camera balances its white before its matrix and the second, whose layers see
    nearly the same light, after it.

    gradient: change of the log of the light per diagonal, across and down; contrast: strength
    of an S-shaped curve on the encoded values; vignette: stops that the corners lack; flare: share
    of the mean light that lies over everything; second: another light, and its share at the right
    edge, none at the left; paints: reflectances by name; cards: places
    (0 to 1 across and down) of 18 % cards.
    """
    rng = np.random.default_rng(seed)
    width, height, cell = 520, 400, 40
    labels = np.zeros((height, width), dtype=int)
    spectra, names = [np.full(len(WAVES), 0.25)], ["wall"]
    shot = Shot(b"", np.zeros((4, 2)))

    def put(name, spectrum, x, y, half):
        spectra.append(np.asarray(spectrum))
        names.append(name)
        labels[int(y - half) : int(y + half), int(x - half) : int(x + half)] = len(spectra) - 1
        shot.places[name] = (x, y)
        shot.truths[name] = true_lab(spectrum)

    for i, (name, spectrum) in enumerate(chart_reflectances().items()):
        put(name, spectrum, 160 + cell * (i % 6), 140 + cell * (i // 6), 0.4 * cell)
    shot.chart_corners = np.array([(160, 140), (360, 140), (360, 260), (160, 260)], dtype=float)
    spots = [(40 + 62 * i, 50) for i in range(8)] + [(40 + 62 * i, 350) for i in range(8)]
    spots += [(50, y) for y in (130, 200, 270)] + [(470, y) for y in (130, 200, 270)]
    for (name, spectrum), (x, y) in zip(paints.items(), spots, strict=False):
        put(name, spectrum, x, y, 22)
    for i, (x, y) in enumerate(cards):
        put(f"card {i}", np.full(len(WAVES), 0.18), x * width, y * height, 18)

    seen = _sensitivities(camera) * _light(light)[:, None]
    rgb = (np.array(spectra) @ seen / seen.sum(0)) * (1 if camera == 1 else np.asarray(cast))
    rgb = rgb @ _camera_matrix(camera, light) * (np.asarray(cast) if camera == 1 else 1)
    other = np.array(spectra) @ (_sensitivities(camera) * _light(second[0])[:, None]) / seen.sum(0)
    other = (other * (1 if camera == 1 else np.asarray(cast))) @ _camera_matrix(camera, light)
    other = other * (np.asarray(cast) if camera == 1 else 1)
    y, x = np.mgrid[:height, :width] + 0.5
    diagonal = np.hypot(width, height)
    lit = exposure * np.exp(
        (gradient[0] * (x - width / 2) + gradient[1] * (y - height / 2)) / diagonal
    )
    outward = ((x - width / 2) ** 2 + (y - height / 2) ** 2) / (diagonal / 2) ** 2
    # The cosine law: light falls as 1 / (1 + tan^2)^2 about the optical axis.
    lit = lit / (1 + (2.0 ** (vignette / 2) - 1) * outward) ** 2
    scene = (
        (rgb[labels] + (other - rgb)[labels] * (second[1] * x / width)[..., None])
        * lit[..., None]
        * (1 + 0.01 * gaussian_filter(rng.normal(size=(height, width)), 2)[..., None])
    )
    scene = scene + flare * scene.mean(axis=(0, 1))
    scene = scene + rng.normal(size=scene.shape) * noise * np.sqrt(np.maximum(scene, 0) + 0.01)
    scene = gaussian_filter(scene, (0.7, 0.7, 0))
    encoded = np.clip(colour.models.eotf_inverse_sRGB(scene), 0, 1)
    encoded = encoded + contrast * (encoded**2 * (3 - 2 * encoded) - encoded)
    file = BytesIO()
    Image.fromarray(np.round(encoded * 255).astype(np.uint8)).save(file, "JPEG", quality=quality)
    shot.data = file.getvalue()
    return shot


@pytest.fixture(scope="session")
def workshop():
    """The module's own means: photograph, true_lab, PAINTS, LIGHTS and the reflectances."""
    from types import SimpleNamespace

    return SimpleNamespace(
        photograph=photograph,
        true_lab=true_lab,
        paints=PAINTS,
        lights=LIGHTS,
        daylights=DAYLIGHTS,
        lamps=LAMPS,
        eye=EYE,
        chart_reflectances=chart_reflectances,
        unseen_reflectances=unseen_reflectances,
        colour_fidelity_reflectances=colour_fidelity_reflectances,
    )
