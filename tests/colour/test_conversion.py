import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.colour import conversion as c
from livery.findings import LiveryError

channel = st.floats(-0.3, 1.3)
triples = st.tuples(channel, channel, channel)
labs = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120))
whites = st.sampled_from([("D65", 2), ("D65", 10), ("C", 2), ("D50", 2), ("A", 2)])


@settings(deadline=None)
@given(triples, st.sampled_from(sorted(c.RGB_SPACES)))
def test_rgb_there_and_back_even_out_of_gamut(rgb, space):
    # A pure power curve is infinitely steep at 0: rounding of 1e-17 comes back as 1e-8.
    close = 1e-6 if space == "Adobe RGB" else 1e-9
    assert c.rgb_from_xyz(c.xyz_from_rgb(rgb, space), space) == pytest.approx(rgb, abs=close)


@settings(deadline=None)
@given(labs, whites)
def test_lab_there_and_back_under_any_white(lab, light):
    own = c.white(*light)
    assert c.lab_from_xyz(c.xyz_from_lab(lab, own), own) == pytest.approx(lab, abs=1e-7)


@settings(deadline=None)
@given(labs)
def test_lch_there_and_back(lab):
    lch = c.lch_from_lab(lab)
    assert lch[1] >= 0
    assert 0 <= lch[2] <= 360
    assert c.lab_from_lch(lch) == pytest.approx(lab, abs=1e-9)


@settings(deadline=None)
@given(triples, whites, whites, st.sampled_from(["Bradford", "CAT02", "CAT16", "Von Kries"]))
def test_adaptation_there_and_back(xyz, first, second, method):
    one, other = c.white(*first), c.white(*second)
    there = c.adapt(xyz, one, other, method)
    assert c.adapt(there, other, one, method) == pytest.approx(xyz, abs=1e-6)


def test_every_adaptation_takes_white_to_white():
    for method in c.adaptation_methods():
        found = c.adapt(c.white("A"), c.white("A"), c.white(), method)
        assert found == pytest.approx(c.white(), abs=1e-9)


def test_arrays_keep_their_shape():
    image = np.random.default_rng(0).random((4, 5, 3))
    assert c.lab_from_srgb(image).shape == image.shape
    assert c.adapt(image, c.white("D50"), c.white()).shape == image.shape
    assert c.rgb_from_xyz(c.xyz_from_lab(c.lab_from_srgb(image))) == pytest.approx(image, abs=1e-9)


def test_black_has_a_chromaticity():
    assert c.xyy_from_xyz([0, 0, 0]).tolist() == [0, 0, 0]


def test_white_cannot_be_changed_by_a_caller():
    with pytest.raises(ValueError, match="read-only"):
        c.white()[0] = 1


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: c.white("D66"), 'no illuminant "D66"'),
        (lambda: c.white("D65", 4), "no 4 degree observer"),
        (lambda: c.rgb_matrix("sRBG"), 'no RGB space "sRBG"'),
        (
            lambda: c.adapt([1, 1, 1], c.white(), c.white(), "Bradfort"),
            'chromatic adaptation is called "Bradfort"',
        ),
    ],
)
def test_unknown_names_are_told_with_the_known_ones(call, message):
    with pytest.raises(LiveryError, match=message) as caught:
        call()
    assert caught.value.findings[0].remedy.startswith("Write")
    assert caught.value.exit_status == 2


def test_importing_the_library_leaves_numpy_printing_alone():
    c.white()
    assert np.get_printoptions()["legacy"] is False
