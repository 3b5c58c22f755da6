"""CIEDE2000 against the published test pairs and against two other libraries.

Data: G. Sharma, W. Wu and E. N. Dalal, "The CIEDE2000 color-difference formula:
implementation notes, supplementary test data, and mathematical observations", Color
Research and Application 30 (2005) 21-30, table 1, as the file
``skimage/color/tests/ciede2000_test_data.txt`` of scikit-image 0.24.0's source
distribution (BSD-3-Clause) has it, byte for byte.
"""

import hashlib
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from coloraide import Color
from colormath import color_diff_matrix

from livery.colour.difference import delta_e_00, delta_e_76, delta_e_94, delta_e_cmc, parts

DATA = Path(__file__).parent / "data" / "ciede2000_sharma_2005.txt"
SHA256 = "2e005c6f76ddfb7bbcc8f68490f1f7b4b4a2a4b06b36a80c985677a2799c0e40"


class Pairs(NamedTuple):
    first: np.ndarray
    second: np.ndarray
    delta: np.ndarray
    weights: np.ndarray  # SL, SC, SH, RT
    primed: np.ndarray  # C'1, h'1, C'2, h'2


@pytest.fixture(scope="module")
def pairs() -> Pairs:
    rows = np.loadtxt(DATA)
    assert rows.shape == (34, 23)
    return Pairs(rows[:, 2:5], rows[:, 17:20], rows[:, 15], rows[:, 11:15], rows[:, [6, 7, 21, 22]])


def test_the_table_is_as_published():
    assert hashlib.sha256(DATA.read_bytes()).hexdigest() == SHA256


def test_the_34_pairs(pairs):
    assert np.abs(delta_e_00(pairs.first, pairs.second) - pairs.delta).max() < 5e-5


def test_the_34_pairs_the_other_way_round(pairs):
    assert np.abs(delta_e_00(pairs.second, pairs.first) - pairs.delta).max() < 5e-5


def test_pair_14_on_the_hue_discontinuity(pairs):
    """Its hues are exactly 180 degrees apart; some libraries' own tests carry it mistyped."""
    assert pairs.first[13].tolist() == [50.0, -0.001, 2.49]
    assert pairs.second[13].tolist() == [50.0, 0.001, -2.49]
    assert float(delta_e_00(pairs.first[13], pairs.second[13])) == pytest.approx(4.8045, abs=5e-5)


def test_parts_against_the_published_intermediates(pairs):
    """The terms from the table's own SL, SC, SH, C' and h', which are given to 4 decimals."""
    found = parts(pairs.first, pairs.second)
    sl, sc, sh, rt = pairs.weights.T
    c1, h1, c2, h2 = pairs.primed.T
    turn = (h2 - h1 + 180) % 360 - 180
    # On the discontinuity the table's rounded hues do not tell which way round is meant.
    clear = np.abs(np.abs(turn) - 180) > 0.01
    hue = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2)) / sh
    assert np.abs(found.lightness - (pairs.second - pairs.first)[:, 0] / sl).max() < 5e-4
    assert np.abs(found.chroma - (c2 - c1) / sc).max() < 5e-4
    assert np.abs(found.hue - hue)[clear].max() < 1e-3
    assert np.abs(np.abs(found.hue) - np.abs(hue)).max() < 1e-3
    assert np.all(
        np.abs(found.rotation - rt * found.chroma * found.hue)
        < 1e-4 * np.abs(found.chroma * found.hue) + 1e-6
    )
    assert np.abs(found.total - pairs.delta).max() < 5e-5


def test_coloraide_and_colormath_agree_on_the_pairs(pairs):
    ours = delta_e_00(pairs.first, pairs.second)
    aided = [
        Color("lab-d65", a).delta_e(Color("lab-d65", b), method="2000", space="lab-d65")
        for a, b in zip(pairs.first.tolist(), pairs.second.tolist(), strict=True)
    ]
    matrix = [
        color_diff_matrix.delta_e_cie2000(a, b[None, :])[0]
        for a, b in zip(pairs.first, pairs.second, strict=True)
    ]
    assert np.abs(np.array(aided) - pairs.delta).max() < 5e-5
    assert np.abs(np.array(matrix) - pairs.delta).max() < 5e-5
    assert np.abs(ours - np.array(aided)).max() < 1e-9
    assert np.abs(ours - np.array(matrix)).max() < 1e-9


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        (delta_e_00, color_diff_matrix.delta_e_cie2000),
        (delta_e_76, color_diff_matrix.delta_e_cie1976),
        (delta_e_94, color_diff_matrix.delta_e_cie1994),
        (delta_e_cmc, color_diff_matrix.delta_e_cmc),
    ],
)
def test_every_formula_against_colormath(ours, theirs):
    rng = np.random.default_rng(20050101)
    first = rng.uniform([0, -90, -90], [100, 90, 90], (300, 3))
    second = first + rng.normal(0, 6, (300, 3))
    expected = [theirs(a, b[None, :])[0] for a, b in zip(first, second, strict=True)]
    assert np.allclose(ours(first, second), expected, atol=1e-9)


@pytest.mark.parametrize(
    ("ours", "method"),
    [(delta_e_00, "2000"), (delta_e_76, "76"), (delta_e_94, "94"), (delta_e_cmc, "cmc")],
)
def test_every_formula_against_coloraide(ours, method):
    rng = np.random.default_rng(1976)
    first = rng.uniform([1, -60, -60], [99, 60, 60], (100, 3))
    second = first + rng.normal(0, 5, (100, 3))
    expected = [
        Color("lab-d65", a).delta_e(Color("lab-d65", b), method=method, space="lab-d65")
        for a, b in zip(first.tolist(), second.tolist(), strict=True)
    ]
    assert np.allclose(ours(first, second), expected, atol=1e-6)
