import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter

from livery.colour.conversion import decode, encode, lab_from_srgb
from livery.colour.difference import delta_e_00
from livery.colour.photo.picture import Picture, Polygon, Rectangle, Spot, pixels_in
from livery.colour.photo.sampling import _block_means, sample
from livery.colour.photo.uncertainty import jacobian, lab_from_linear, metric_at, within_95
from livery.findings import LiveryError


def picture_of(encoded, unusable=None, levels=255):
    """A picture from encoded sRGB values (height, width, 3), kept to the steps of the file."""
    stepped = np.round(np.asarray(encoded) * levels) / levels
    if unusable is None:
        unusable = np.zeros(stepped.shape[:2], dtype=bool)
    cut = (stepped <= 2 / 255).any(axis=2)
    return Picture(decode(stepped).astype(np.float32), unusable, cut, levels)


def noisy(seed, colour=(0.4, 0.5, 0.3), size=64, sigma=0.02, grain=0.0):
    rng = np.random.default_rng(seed)
    noise = rng.normal(size=(size, size, 3))
    if grain:
        noise = gaussian_filter(noise, (grain, grain, 0)) * grain * np.sqrt(4 * np.pi)
    return picture_of(np.asarray(colour) + sigma * noise)


def codes(found):
    return {f.code for f in found.findings}


def test_the_middle_of_noise_is_the_colour():
    found = sample(noisy(1), Rectangle(4, 4, 60, 60))
    assert delta_e_00(found.lab, lab_from_srgb((0.4, 0.5, 0.3))) < 0.3
    assert found.kept + found.specks == 56 * 56
    assert not found.findings


@pytest.mark.parametrize("grain", [0.0, 1.5, 3.0])
def test_the_uncertainty_covers_the_truth_95_times_in_100(grain):
    truth = lab_from_srgb((0.4, 0.5, 0.3))
    covered = []
    for seed in range(120):
        found = sample(noisy(seed, grain=grain, size=72), Spot(36, 36, 32))
        covered.append(delta_e_00(found.lab, truth) <= found.uncertainty)
    assert np.mean(covered) >= 0.92


def test_a_very_large_region_is_thinned_and_reads_the_same():
    picture = noisy(5, size=700)
    large, part = (
        sample(picture, Rectangle(0, 0, 700, 700)),
        sample(picture, Rectangle(0, 0, 490, 490)),
    )
    assert large.kept < 250_000 < 700 * 700
    assert delta_e_00(large.lab, part.lab) < 0.1


def test_spread_holds_95_of_100_pixels():
    picture = noisy(3)
    region = Rectangle(0, 0, 64, 64)
    found = sample(picture, region)
    rows, columns = pixels_in(region, picture)
    labs = lab_from_linear(picture.linear[rows, columns].astype(float))
    inside = delta_e_00(np.array(found.lab), labs) <= found.spread
    assert 0.93 < inside.mean() < 0.97


def test_uneven_light_is_told_in_delta_e_across():
    ramp = np.linspace(0.40, 0.50, 80)
    values = np.repeat(np.repeat(ramp[None, :, None], 60, axis=0), 3, axis=2)
    values = values + np.random.default_rng(0).normal(size=values.shape) * 0.004
    found = sample(picture_of(values), Rectangle(0, 0, 80, 60))
    across = delta_e_00(lab_from_srgb((0.40,) * 3), lab_from_srgb((0.50,) * 3))
    assert found.gradient == pytest.approx(float(across), abs=0.3)
    assert codes(found) == {"region-uneven"}
    assert delta_e_00(found.lab, lab_from_srgb((0.45,) * 3)) < 0.2


@pytest.mark.parametrize(
    ("rows", "other", "is_refused"),
    [(20, 0.30, True), (5, 0.30, True), (3, 0.30, False), (20, 0.44, True), (20, 0.46, False)],
)
def test_two_colours_in_one_region_are_refused(rows, other, is_refused):
    # 3 rows of 40 are a line at the rim; 0.46 beside 0.54 is less than 8 DeltaE00.
    values = np.full((40, 40, 3), 0.54)
    values[:rows] = other
    values += np.random.default_rng(0).normal(size=values.shape) * 0.01
    if not is_refused:
        sample(picture_of(values), Rectangle(0, 0, 40, 40))
        return
    with pytest.raises(LiveryError, match="two colours in one region"):
        sample(picture_of(values), Rectangle(0, 0, 40, 40))


def test_a_strong_run_of_light_is_not_two_colours():
    ramp = np.linspace(0.30, 0.70, 80)[None, :, None] * np.ones((60, 1, 3))
    found = sample(picture_of(ramp), Rectangle(0, 0, 80, 60))
    assert found.gradient > 20.0 and "region-uneven" in codes(found)


def test_specks_are_left_out_and_counted():
    values = np.full((40, 40, 3), 0.5)
    values += np.random.default_rng(0).normal(size=values.shape) * 0.01
    values[10:13, 10:13] = 0.9
    values[20:22, 25:30] = 0.05
    found = sample(picture_of(values), Rectangle(0, 0, 40, 40))
    assert 19 <= found.specks <= 22
    assert delta_e_00(found.lab, lab_from_srgb((0.5,) * 3)) < 0.15


def test_clipped_pixels_are_left_out_counted_and_warned_of():
    unusable = np.zeros((30, 30), dtype=bool)
    unusable[:10] = True
    values = np.random.default_rng(0).normal(0.5, 0.01, (30, 30, 3))
    found = sample(picture_of(values, unusable), Rectangle(0, 0, 30, 30))
    assert found.clipped == 300
    assert "region-part-clipped" in codes(found)


def test_a_region_that_is_mostly_clipped_is_a_fault():
    with pytest.raises(LiveryError, match="500 of the 900 pixels are burnt out"):
        unusable = np.zeros((30, 30), dtype=bool)
        unusable.ravel()[:500] = True
        sample(picture_of(np.full((30, 30, 3), 0.5), unusable), Rectangle(0, 0, 30, 30))


def test_a_channel_at_the_bottom_is_used_warned_of_and_doubted():
    """Vermilion whose blue the file cannot hold."""
    noise = np.random.default_rng(0).normal(0, 0.004, (30, 30, 3))
    strong = sample(
        picture_of(np.clip(noise + np.array([0.7, 0.25, 0.0]), 0, 1)), Rectangle(0, 0, 30, 30)
    )
    weak = sample(picture_of(noise + np.array([0.7, 0.25, 0.2])), Rectangle(0, 0, 30, 30))
    assert strong.cut > 600
    assert strong.clipped == weak.cut == 0
    assert codes(strong) == {"region-cut"}
    assert strong.uncertainty > 3 > 10 * weak.uncertainty


def test_a_picture_all_of_one_colour_says_so_and_is_uncertain_by_its_steps_alone():
    found = sample(picture_of(np.full((30, 30, 3), 0.5)), Rectangle(0, 0, 30, 30))
    assert "region-flat" in codes(found)
    assert found.spread == 0
    step = delta_e_00(lab_from_srgb((0.5,) * 3), lab_from_srgb((0.5 + 1 / 255,) * 3))
    assert 0 < found.uncertainty < 2 * float(step)


def test_more_bits_leave_less_uncertainty():
    eight, sixteen = (
        sample(picture_of(np.full((9, 9, 3), 0.5), levels=n), Rectangle(0, 0, 9, 9)).uncertainty
        for n in (255, 65535)
    )
    assert sixteen < eight / 100


@pytest.mark.parametrize(
    ("region", "message"),
    [
        (Rectangle(0, 0, 3, 3), "holds 9 pixels; a colour needs at least 16"),
        (Spot(5, 5, 0.6), "holds 4 pixels|holds 0 pixels|holds 1 pixel"),
        (Spot(1, 20, 10), "leaves the picture, which is 64 x 64 pixels"),
        (Rectangle(50, 50, 70, 60), "leaves the picture"),
        (Polygon(((5, 5), (40, 40), (40, 5), (5, 40))), "sides of the region cross"),
    ],
)
def test_regions_that_cannot_serve_are_faults(region, message):
    with pytest.raises(LiveryError, match=message):
        sample(noisy(1), region)


@settings(max_examples=30, deadline=None)
@given(
    x=st.integers(0, 30), y=st.integers(0, 30), width=st.integers(5, 30), height=st.integers(5, 30)
)
def test_a_rectangle_and_the_polygon_of_its_corners_hold_the_same_pixels(x, y, width, height):
    picture = noisy(1)
    rectangle = Rectangle(x + width, y + height, x, y)
    one = pixels_in(rectangle, picture)
    other = pixels_in(Polygon(rectangle.corners), picture)
    assert len(one[0]) == width * height
    np.testing.assert_array_equal(one, other)


def test_a_spot_holds_the_area_of_its_circle():
    assert len(pixels_in(Spot(32, 32, 30), noisy(1))[0]) == pytest.approx(np.pi * 900, rel=0.01)


@settings(max_examples=50, deadline=None)
@given(st.tuples(*[st.floats(5, 95), st.floats(-60, 60), st.floats(-60, 60)]), st.integers(0, 99))
def test_the_metric_gives_small_differences(lab, seed):
    step = np.random.default_rng(seed).normal(size=3) * 0.05
    start, end = np.array(lab) - step / 2, np.array(lab) + step / 2
    expected = float(delta_e_00(start, end))
    assert np.linalg.norm(metric_at(lab) @ step) == pytest.approx(expected, rel=0.05, abs=0.003)


def test_within_95_of_an_uncertainty_in_lightness_alone():
    """At L* 50 a step of one in L* is DeltaE00 of one (S_L = 1), so it is the normal's 1.96."""
    assert within_95((50, 0, 0), np.diag([0.25, 0, 0])) == pytest.approx(0.98, abs=0.02)


def test_jacobian_of_a_linear_map_is_its_matrix():
    matrix = np.arange(6.0).reshape(2, 3)
    np.testing.assert_allclose(jacobian(lambda x: x @ matrix.T, [1.0, 0.0, -2.0]), matrix)


def test_encode_is_undone_by_the_linear_light():
    values = np.random.default_rng(0).uniform(0.05, 0.95, (10, 10, 3))
    np.testing.assert_allclose(encode(picture_of(values).linear), values, atol=0.5 / 255 + 1e-6)


@pytest.mark.parametrize("region", ["whole", "thinned", "askew"])
def test_blocks_are_those_that_have_a_row_and_a_column_in_common(region):
    chance = np.random.default_rng(3)
    step = 900 if region == "thinned" else 1
    rows, columns = (step * grid.ravel() + 7 for grid in np.mgrid[0:40, 0:30])
    if region == "askew":  # so narrow that most places of its box are empty
        rows = columns = np.arange(2000)
    kept = chance.random(len(rows)) < 0.9
    rows, columns = rows[kept], columns[kept]
    values = chance.normal(size=(len(rows), 3))
    sizes, means = _block_means(values, rows // 4, columns // 4)
    blocks: dict[tuple[int, int], list[int]] = {}
    for i, place in enumerate(zip((rows // 4).tolist(), (columns // 4).tolist(), strict=True)):
        blocks.setdefault(place, []).append(i)
    most = max(map(len, blocks.values()))
    whole = [own for _, own in sorted(blocks.items()) if 2 * len(own) >= most]
    assert sizes.tolist() == [len(own) for own in whole]
    assert means == pytest.approx(np.array([values[own].mean(axis=0) for own in whole]), abs=1e-12)
