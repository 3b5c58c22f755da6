from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.colour.mixing.smoothest import reflectance_from_lab
from livery.colour.mixing.viewing import viewing
from livery.findings import LiveryError

VIEW = viewing(np.arange(400.0, 701.0, 10.0))


@settings(max_examples=60)
@given(st.floats(5, 97), st.floats(0, 1), st.floats(0, 2 * np.pi))
def test_a_curve_of_any_moderate_colour_has_that_colour(
    lightness: float, saturation: float, hue: float
) -> None:
    chroma = saturation * 0.45 * min(lightness, 100 - lightness)
    lab = np.array([lightness, chroma * np.cos(hue), chroma * np.sin(hue)])
    reflectance = reflectance_from_lab(lab, VIEW)
    assert np.all((reflectance > 0) & (reflectance < 1))
    assert VIEW.lab(reflectance)[0] == pytest.approx(lab, abs=1e-4)


def test_a_grey_comes_back_flat() -> None:
    assert np.ptp(reflectance_from_lab([50, 0, 0], VIEW)) < 1e-3


def test_a_colour_no_surface_has() -> None:
    with pytest.raises(LiveryError, match="no paint can have the colour Lab 50 150 0"):
        reflectance_from_lab([50, 150, 0], VIEW)
