import numpy as np
import pytest

from livery.colour.conversion import linear_rgb_from_xyz, xyz_from_lab
from livery.colour.difference import delta_e_00
from livery.colour.photo.chart import ChartReading, PatchReading, published_chart
from livery.colour.photo.chart_correction import correct_by_chart
from livery.colour.photo.correction import correct
from livery.colour.photo.forms import FORMS, aims, best_fit, fitted_form
from livery.colour.photo.known_correction import Known, PictureKind, correct_by_knowns
from livery.colour.photo.picture import Picture
from livery.colour.photo.sampling import Sample
from livery.colour.photo.uncertainty import lab_from_linear
from livery.findings import LiveryError

GREY, WHITE, DARK = (49.5, 0.0, 0.0), (94.0, 0.0, 3.0), (22.0, 0.5, 1.0)
GREEN, BROWN, BUFF = (38.0, -32.0, 15.0), (32.0, 14.0, 16.0), (72.0, 4.0, 22.0)
DIAGONAL = 1000.0
NOISE = 1e-4


def light_of(lab):
    return linear_rgb_from_xyz(xyz_from_lab(lab))


def seen_as(linear, where=(500.0, 400.0)):
    """A sample with hardly any noise of its own."""
    linear = np.asarray(linear)
    covariance = tuple(tuple(row) for row in np.eye(3) * NOISE**2)
    return Sample(
        tuple(linear),
        covariance,
        tuple(lab_from_linear(linear)),
        1.0,
        0.1,
        0.0,
        where,
        900,
        0,
        0,
        0,
    )


def known(name, lab, change, where=(500.0, 400.0)):
    return Known(name, lab, seen_as(change(light_of(lab)), where))


def off(lab, change, correction, where=(500.0, 400.0)):
    reading = correct(seen_as(change(light_of(lab)), where), correction)
    return float(delta_e_00(reading.lab, lab)), reading


def cast(linear):
    return linear * (0.8, 0.62, 0.5)


def faded(linear):
    """An old print: the dyes have lost contrast unequally, and the paper is stained."""
    ratio = np.maximum(np.asarray(linear), 1e-4) / 0.18
    return 0.18 * ratio ** (0.72, 0.84, 0.88) * (1.25, 0.95, 0.8) + (0.02, 0.015, 0.008)


def codes(reading):
    return {f.code for f in reading.findings}


def test_grey_places_show_how_the_corners_darken_and_one_leaves_it_open():
    middle, corner = np.array([400.0, 300.0]), np.array([0.0, 0.0])
    places = [(400.0, 300.0), (40.0, 30.0), (760.0, 570.0)]

    def dimmed(linear, where):
        lack = 0.55 * ((np.array(where) - middle) ** 2).sum() / 500.0**2
        return np.asarray(linear) * np.exp(-lack)

    def by(count):
        cards = [
            Known(f"card {i}", GREY, seen_as(dimmed(light_of(GREY), where), where))
            for i, where in enumerate(places[:count])
        ]
        return correct_by_knowns(cards, DIAGONAL, middle=tuple(middle))

    three, one = by(3), by(1)
    seen = seen_as(dimmed(light_of(BUFF), corner), tuple(corner))
    near, far = correct(seen, three), correct(seen, one)
    assert delta_e_00(near.lab, BUFF) < 1.0 < delta_e_00(far.lab, BUFF) <= far.within
    assert 2 * near.causes["unevenness of the light"] < far.causes["unevenness of the light"]
    assert "photo-vignetting" in codes(near) - codes(far)
    assert three.numbers[-1] == pytest.approx(0.55, abs=0.05)


def test_a_grey_card_takes_out_exposure_and_cast():
    correction = correct_by_knowns([known("grey card", GREY, cast)], DIAGONAL)
    for lab in (GREEN, BROWN, BUFF, DARK):
        miss, reading = off(lab, cast, correction)
        assert miss < 0.7
        assert miss < reading.within
        assert "photo-few-knowns" in codes(reading)
    assert correction.residual is not None
    assert not correction.residual.left_out


def test_without_a_known_the_colour_stays_and_the_uncertainty_is_large():
    correction = correct_by_knowns([], DIAGONAL)
    miss, reading = off(GREEN, lambda x: x, correction)
    assert miss < 1e-6
    assert reading.within > 10
    assert {"photo-uncorrected", "photo-colour-loose"} <= codes(reading)
    assert reading.residual is None


def test_two_cards_apart_even_out_the_light_between_them():
    def lit(place):
        return lambda linear: cast(linear) * np.exp(0.3 * place[0] / DIAGONAL)

    places = [(100.0, 400.0), (900.0, 400.0)]
    cards = [known(f"card {p[0]:.0f}", GREY, lit(p), p) for p in places]
    both, one = correct_by_knowns(cards, DIAGONAL), correct_by_knowns(cards[:1], DIAGONAL)
    there = (700.0, 400.0)
    miss_both, with_both = off(BUFF, lit(there), both, there)
    miss_one, with_one = off(BUFF, lit(there), one, there)
    assert miss_both < 0.8
    assert miss_one > 4
    assert miss_one < with_one.within
    cause = "unevenness of the light"
    assert with_both.causes[cause] < with_one.causes[cause] / 2


def test_uncertainty_of_the_light_grows_with_the_distance_from_the_card():
    correction = correct_by_knowns([known("grey card", GREY, cast)], DIAGONAL)
    near, far = (
        off(BUFF, cast, correction, where)[1].causes["unevenness of the light"]
        for where in ((510.0, 400.0), (900.0, 400.0))
    )
    assert far > 10 * near


def test_a_known_surface_close_to_the_colour_leaves_less_uncertainty_than_a_grey_card():
    near_green = (40.0, -28.0, 12.0)
    by_grey = correct_by_knowns([known("grey card", GREY, cast)], DIAGONAL)
    by_green = correct_by_knowns([known("restored panel", near_green, cast)], DIAGONAL)
    miss, reading = off(GREEN, cast, by_green)
    assert miss < 1.0
    assert reading.within < 0.75 * off(GREEN, cast, by_grey)[1].within


def test_each_known_in_a_faded_print_brings_the_others_nearer():
    knowns = [known(n, lab, faded) for n, lab in (("paint", WHITE), ("wood", BUFF), ("tyre", DARK))]
    misses, uncertainties = [], []
    for count in range(4):
        correction = correct_by_knowns(knowns[:count], DIAGONAL, PictureKind.FADED)
        found = [off(lab, faded, correction) for lab in (GREEN, BROWN, GREY)]
        misses.append(max(miss for miss, _ in found))
        uncertainties.append(max(reading.within for _, reading in found))
        assert all(miss < reading.within for miss, reading in found)
    assert misses[3] < 2.5 < misses[0] / 2
    assert uncertainties == sorted(uncertainties, reverse=True)


def test_one_known_in_a_faded_print_cannot_tell_fading_from_cast_and_says_so():
    correction = correct_by_knowns([known("paint", WHITE, faded)], DIAGONAL, PictureKind.FADED)
    light, dark = (off(lab, faded, correction)[1] for lab in (BUFF, DARK))
    cause = "exposure, cast and contrast"
    assert "photo-fading-open" in codes(light)
    assert dark.causes[cause] > light.causes[cause]


def test_knowns_of_one_lightness_are_warned_of():
    alike = [known("a", GREY, cast), known("b", (52.0, 3.0, 3.0), cast)]
    assert "photo-knowns-alike" in {f.code for f in correct_by_knowns(alike, DIAGONAL).findings}


CHART = published_chart()
MATRIX = np.array([[0.75, 0.15, 0.02], [0.1, 0.62, 0.1], [0.02, 0.14, 0.5]])


def mixed(linear):
    """A camera whose channels are mixtures; exposure and cast are in the matrix too."""
    return linear @ MATRIX.T


def contrasty(linear):
    """The same after a curve on the encoded values, as picture styles put on."""
    encoded = np.clip(mixed(linear), 0, 1) ** (1 / 2.2)
    return (encoded + 0.4 * (encoded**2 * (3 - 2 * encoded) - encoded)) ** 2.2


def reading_of(change, fall=(0.0, 0.0)):
    """The chart in the middle of a picture, in light that falls off evenly."""
    patches = []
    for i, (name, lab) in enumerate(zip(CHART.names, CHART.labs, strict=True)):
        where = (300.0 + 60 * (i % 6), 300.0 + 60 * (i // 6))
        dim = np.exp(np.dot(where, fall) / DIAGONAL)
        patches.append(PatchReading(name, lab, seen_as(change(light_of(lab)) * dim, where)))
    return ChartReading(tuple(patches), ())


def test_a_matrix_camera_is_undone_by_a_matrix():
    correction = correct_by_chart(reading_of(mixed), DIAGONAL)
    assert correction.fit.form.name == "3 x 3 matrix"
    assert correction.residual.left_out
    assert correction.residual.worst < 0.05
    for lab in (GREEN, BROWN, BUFF, DARK, WHITE):
        assert off(lab, mixed, correction)[0] < 0.05


def test_contrast_is_undone_by_a_curve_through_the_greys():
    correction = correct_by_chart(reading_of(contrasty), DIAGONAL)
    assert "curve through the greys" in correction.method
    for lab in (GREEN, BROWN, BUFF, DARK):
        miss, reading = off(lab, contrasty, correction)
        assert miss < 1.5
        assert miss < reading.within


def test_the_fall_of_the_light_is_found_from_the_chart():
    fall = np.array([0.5, -0.3])
    correction = correct_by_chart(reading_of(mixed, fall), DIAGONAL)
    spread = np.sqrt(np.diag(correction.light.covariance))[:2]
    assert (np.abs(correction.light.slope - fall) < 2.5 * spread).all()
    assert "photo-light-falls" in {f.code for f in correction.findings}


def test_a_card_elsewhere_tells_the_light_there():
    fall, place = np.array([0.4, 0.0]), (900.0, 400.0)
    card = known("card", GREY, lambda x: mixed(x) * np.exp(np.dot(place, fall) / DIAGONAL), place)
    alone = correct_by_chart(reading_of(mixed, fall), DIAGONAL)
    helped = correct_by_chart(reading_of(mixed, fall), DIAGONAL, [card])
    assert helped.light.covariance[0, 0] < alone.light.covariance[0, 0]
    assert helped.light.slope[0] == pytest.approx(0.4, abs=0.05)


@pytest.mark.parametrize("form", [f for f in FORMS if f.kind in ("matrix", "root") and not f.curve])
def test_matrix_and_root_forms_hold_at_any_exposure(form):
    """Finlayson, Mackiewicz and Hurlbert 2015: scaling the light scales the result."""
    labs = np.array(CHART.labs)
    seen = mixed(light_of(labs))
    fit = fitted_form(form, seen, aims(labs))
    np.testing.assert_allclose(fit(seen * 0.4), fit(seen) * 0.4, rtol=1e-6, atol=1e-9)


def test_a_form_is_chosen_by_patches_it_has_not_seen():
    """Pure noise is best predicted by the form with the fewest terms."""
    rng = np.random.default_rng(0)
    labs = np.array(CHART.labs)
    seen = mixed(light_of(labs)) * np.exp(rng.normal(0, 0.08, (24, 3)))
    fit, misses = best_fit(seen, labs)
    assert fit.form.kind == "matrix"
    assert np.median(misses) > 2


def test_a_poor_chart_and_clipped_patches_are_warned_of():
    rng = np.random.default_rng(0)
    reading = reading_of(lambda x: mixed(x) * np.exp(rng.normal(0, 0.2, 3)))
    found = correct_by_chart(ChartReading(reading.patches, ("a", "b")), DIAGONAL).findings
    assert {"photo-chart-poor", "photo-chart-clipped", "photo-chart"} <= {f.code for f in found}


def test_too_few_patches_are_a_fault():
    with pytest.raises(LiveryError, match=r"7 patches .* are too few"):
        correct_by_chart(ChartReading(reading_of(mixed).patches[:7], ()), DIAGONAL)


def test_the_uncertainties_add_up_and_are_never_less_than_any_of_them():
    correction = correct_by_chart(reading_of(contrasty), DIAGONAL)
    reading = off(BUFF, contrasty, correction, (700.0, 500.0))[1]
    assert set(reading.causes) == {
        "noise of the sample", "fit of the chart", "unevenness of the light",
    }  # fmt: skip
    assert max(reading.causes.values()) <= reading.within <= sum(reading.causes.values()) + 1e-9


def test_a_picture_knows_its_diagonal():
    picture = Picture(np.zeros((300, 400, 3), np.float32), *np.zeros((2, 300, 400), bool), 255)
    assert (picture.width, picture.height, picture.diagonal) == (400, 300, 500.0)


def test_each_patch_left_out_is_predicted_by_a_fit_to_all_the_others():
    """A chart photographed with low contrast, so that the curve through the greys is chosen."""
    labs = np.array(published_chart().labs)
    seen = 0.7 * np.clip(light_of(labs), 1e-4, None) ** 0.8 + (0.004, 0.002, 0.003)
    fit, misses = best_fit(seen, labs)
    assert fit.curve is not None
    for i in (0, 5, 18, 19, 23):
        rest = np.arange(len(labs)) != i
        other = fitted_form(fit.form, seen[rest], aims(labs[rest]))
        found = delta_e_00(lab_from_linear(other(seen[i : i + 1])[0]), labs[i])
        assert misses[i] == pytest.approx(float(found), abs=1e-6)
