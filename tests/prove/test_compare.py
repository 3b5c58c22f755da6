"""What the comparison must find and what it must let pass, on regions drawn here."""

from __future__ import annotations

import math

import numpy as np
import pytest
from fontTools.misc.transform import Identity
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.prove.colours import NOTHING, colours_of
from livery.prove.compare import FINEST_MM, PITCH_MM, SHOWS_MM, differences, pitch_for
from livery.prove.contour import BoundingBox
from livery.prove.raster import Region, Window, covered

PANEL = BoundingBox(0.0, 0.0, 24.0, 16.0)
PATH = "M0 0 H24 V16 H0 Z"


def found(path: str, size: BoundingBox = PANEL, pitch: float = PITCH_MM):
    """Return the differences between a bare panel and one with a region painted."""

    def sampled(window: Window):
        made = covered(window, (Region(path, Identity),)).astype(np.uint8)
        return made, np.zeros_like(made)

    def on_sheet(window: Window):
        return covered(window, (Region(f"M0 0 H{size.right} V{size.top} H0 Z", Identity),))

    return differences(size, sampled, on_sheet, pitch)


def bar(x: float, y: float, length: float, width: float, angle: float) -> str:
    """Return a bar about a point, turned by an angle in radians."""
    u, v = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))
    corners = [
        (
            x + a * length / 2 * u[0] + b * width / 2 * v[0],
            y + a * length / 2 * u[1] + b * width / 2 * v[1],
        )
        for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]
    return "M" + " L".join(f"{px:.6f} {py:.6f}" for px, py in corners) + " Z"


@settings(deadline=None, max_examples=60)
@given(st.floats(5, 19), st.floats(5, 11), st.floats(SHOWS_MM, 2.0), st.floats(0.0, math.pi))
def test_a_bar_as_wide_as_promised_shows_at_any_place_and_slope(
    x: float, y: float, width: float, angle: float
) -> None:
    unlike = found(bar(x, y, 4.0, width, angle))
    assert unlike
    reach = 2.0 + width
    for one in unlike:
        assert math.dist(one.where, (x, y)) < reach
        assert one.box.left > x - reach and one.box.right < x + reach


@settings(deadline=None, max_examples=60)
@given(st.floats(5, 19), st.floats(5, 11), st.floats(0.001, 0.09), st.floats(0.0, math.pi))
def test_what_is_narrower_than_the_sampling_passes(
    x: float, y: float, width: float, angle: float
) -> None:
    assert not found(bar(x, y, 4.0, width, angle))


def test_a_difference_over_several_tiles_is_one_and_measured() -> None:
    size = BoundingBox(0.0, 0.0, 250.0, 120.0)
    (one,) = found("M20 98 H240 V102 H20 Z", size)
    assert np.allclose(one.box, (20, 98, 240, 102), atol=PITCH_MM + 1e-9)
    assert math.isclose(one.area_mm2, 220 * 4, rel_tol=0.05)
    assert 20 < one.where[0] < 240 and 98 < one.where[1] < 102


def test_two_places_apart_are_two_the_larger_first() -> None:
    first, second = found("M2 2 H4 V4 H2 Z M10 10 H15 V14 H10 Z")
    assert first.area_mm2 > second.area_mm2
    assert np.allclose(second.box, (2, 2, 4, 4), atol=PITCH_MM + 1e-9)


@given(st.floats(0.001, 5.0))
def test_a_panel_with_fine_lines_is_sampled_more_closely(narrowest: float) -> None:
    pitch = pitch_for(narrowest)
    assert FINEST_MM <= pitch <= PITCH_MM
    assert narrowest >= 2.5 * pitch - 1e-9 or pitch == FINEST_MM


@pytest.mark.parametrize("angle", [0.0, 0.4, math.pi / 4, 1.3])
def test_a_hairline_shows_at_the_pitch_chosen_for_it(angle: float) -> None:
    hairline = bar(12.0, 8.0, 4.0, 0.1, angle)
    assert found(hairline, pitch=pitch_for(0.1))


def test_nothing_beyond_the_panel_counts() -> None:
    assert not found("M-5 -5 H-1 V20 H-5 Z")


def test_a_colour_no_paint_has_is_told_with_the_nearest_paint() -> None:
    colours = colours_of({"green": "#1f4e3d", "cream": "#e8d5b3"}, ["#204d3c", "#1F4E3D"])
    assert colours.names[colours.code("#204D3C")] == "#204d3c (nearest paint: green)"
    assert colours.names[colours.code("#1f4e3d")] == "green"


def test_two_paints_of_one_colour_are_told_together() -> None:
    colours = colours_of({"a": "#102030", "b": "#102030"}, [])
    assert colours.names[colours.code("#102030")] == "a or b"


def test_samples_of_no_known_colour_are_nothing() -> None:
    colours = colours_of({"a": "#102030"}, [])
    paint = colours.code("#102030")
    rows = [
        [[16, 32, 48, 255], [16, 32, 48, 255], [16, 32, 49, 255], [16, 32, 48, 0]],
        [[16, 32, 48, 128], [16, 32, 48, 127], [0, 0, 9, 255], [16, 32, 48, 255]],
    ]
    found = colours.codes(np.array(rows, np.uint8), {"#000009": 7})
    assert found.tolist() == [[paint, paint, NOTHING, NOTHING], [paint, NOTHING, 7, paint]]
