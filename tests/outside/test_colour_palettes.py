"""The shipped palettes against their sources.

Munsell renotation: S. M. Newhall, D. Nickerson and D. B. Judd, Journal of the Optical
Society of America 33 (1943) 385-418, as colour-science 0.4.7 carries it; converted here
a second time by coloraide.  Y of the table is relative to magnesium oxide, 0.975 of the
perfect diffuser (ASTM D1535).
"""

import numpy as np
import pytest
from coloraide.cat import Bradford
from coloraide.spaces.lab import xyz_to_lab

from livery.colour.palette import Basis
from livery.colour.palette_file import shipped_palettes
from livery.colour.reading import read_colour
from livery.colour.science import colour_science

# CIE 15:2004, table T.3.
C, D65 = (0.31006, 0.31616), (0.3127, 0.3290)


def _xyz(x, y, luminance):
    return [x * luminance / y, luminance, (1 - x - y) * luminance / y]


@pytest.fixture(scope="module")
def palettes():
    return {palette.name: palette for palette in shipped_palettes()}


def test_every_renotation_colour(palettes):
    table = colour_science().MUNSELL_COLOURS["Munsell Colours Real"]
    palette = palettes["munsell"]
    assert len(palette.swatches) == len(table) == 2734
    labs, canonical = [], []
    cat = Bradford()
    for _, (x, y, luminance) in table:
        xyz = _xyz(float(x), float(y), float(luminance) * 0.975 / 100)
        labs.append(xyz_to_lab(xyz, _xyz(*C, 1.0)))
        canonical.append(xyz_to_lab(cat.adapt(C, D65, xyz), _xyz(*D65, 1.0)))
    keys = [f"{hue} {value:g}/{chroma:g}" for (hue, value, chroma), _ in table]
    assert [swatch.key for swatch in palette.swatches] == keys
    assert np.abs(np.array([s.lab for s in palette.swatches]) - labs).max() < 0.00501
    assert np.abs(palette.labs - canonical).max() < 0.03


@pytest.mark.parametrize(
    ("value", "luminance"), [(1, 1.210), (3, 6.555), (5, 19.77), (7, 43.06), (9, 78.66)]
)
def test_lightness_by_the_published_value_scale(value, luminance):
    """Y of a Munsell value, per cent of magnesium oxide (ASTM D1535; Newhall et al., table II)."""
    grey = read_colour(f"N {value}")
    assert grey.illuminant == "C"
    assert grey.xyz()[1] * 100 == pytest.approx(luminance * 0.975, abs=0.02)


def test_reading_a_notation_gives_the_tables_colour(palettes):
    for swatch in palettes["munsell"].swatches[100:2700:173]:
        assert read_colour(swatch.key).lab == pytest.approx(swatch.lab, abs=0.12)


def test_screen_approximations_say_so(palettes):
    for name, count in (("bs381c", 141), ("as2700", 206)):
        assert len(palettes[name].swatches) == count
        assert palettes[name].basis is Basis.SCREEN
        assert palettes[name].uncertainty >= 4
        assert "MIT" in palettes[name].licence
