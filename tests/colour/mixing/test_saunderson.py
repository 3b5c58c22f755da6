from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.colour.mixing.saunderson import (
    FilmSurface,
    internal_from_measured,
    measured_from_internal,
    measured_slope,
)

surfaces = st.builds(FilmSurface, st.floats(0, 0.1), st.floats(0, 0.8), st.booleans())


@given(st.floats(0, 1), surfaces)
def test_there_and_back(reflectance: float, surface: FilmSurface) -> None:
    read = measured_from_internal(reflectance, surface)
    assert internal_from_measured(read, surface) == pytest.approx(reflectance, abs=1e-9)


@given(st.floats(0, 1), surfaces)
def test_no_more_light_comes_out_than_goes_in(reflectance: float, surface: FilmSurface) -> None:
    assert surface.floor <= measured_from_internal(reflectance, surface) <= 1 + 1e-12


@given(st.floats(0.01, 0.99), surfaces)
def test_slope(reflectance: float, surface: FilmSurface) -> None:
    rise = measured_from_internal(reflectance + 1e-6, surface) - measured_from_internal(
        reflectance - 1e-6, surface
    )
    assert measured_slope(reflectance, surface) == pytest.approx(rise / 2e-6, rel=1e-5)


def test_impossible_surface() -> None:
    with pytest.raises(ValueError, match="k1 and k2"):
        FilmSurface(k2=1.0)
