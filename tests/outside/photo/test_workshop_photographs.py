"""Synthetic workshop photographs from published data: corrected colours against the truth.

Reflectances: the averaged 24-patch data, a second chart and the surfaces of CIE 224:2017;
lights: CIE; cameras: two sensors measured at a national laboratory and the CIE observer; all
as colour-science distributes them.  See conftest.py.  A part of each sweep is run by default;
LIVERY_WHOLE_SWEEPS=1 runs the whole of it.
"""

import os

import numpy as np
import pytest

from livery.colour.difference import delta_e_00
from livery.colour.photo.chart import Chart, published_chart, read_patches
from livery.colour.photo.chart_correction import correct_by_chart
from livery.colour.photo.correction import correct
from livery.colour.photo.known_correction import Known, PictureKind, correct_by_knowns
from livery.colour.photo.picture import Spot
from livery.colour.photo.sampling import sample
from livery.findings import LiveryError

WHOLE = "LIVERY_WHOLE_SWEEPS" in os.environ


def _of(whole, part):
    """How many photographs of a sweep to take, or the bound that holds for so many."""
    return whole if WHOLE else part


def _true_chart(workshop):
    found = workshop.chart_reflectances()
    labs = tuple(tuple(workshop.true_lab(r)) for r in found.values())
    return Chart(tuple(found), labs, 6, "averaged reflectances under D65")


def _shots(workshop, count, surfaces, lights, cameras):
    for seed in range(count):
        rng = np.random.default_rng(seed + 5000)
        names = [list(surfaces)[i] for i in rng.permutation(len(surfaces))[:14]]
        light, camera = lights[seed % len(lights)], cameras[seed % len(cameras)]
        shot = workshop.photograph(
            seed,
            light=light,
            camera=camera,
            cast=np.exp(rng.normal(0, 0.08, 3)),
            exposure=0.6 * np.exp(rng.normal(0, 0.1)),
            gradient=rng.normal(0, 0.15, 2),
            contrast=0.4 * rng.random(),
            noise=0.004 * np.exp(rng.normal(0, 0.5)),
            paints={name: surfaces[name] for name in names},
            cards=((0.88, 0.5),),
        )
        yield light, camera, names, shot


def _corrected(workshop, count, surfaces, lights, cameras=(0, 1), ways=("chart",)):
    """Miss and uncertainty of every surface in each of ``ways``, with the light and the camera."""
    chart, found, truths, labs = _true_chart(workshop), [], [], []
    for light, camera, names, shot in _shots(workshop, count, surfaces, lights, cameras):
        picture = shot.picture()
        grey = sample(picture, Spot(*shot.places["card 0"], 15))
        known = [Known("grey card", tuple(shot.truths["card 0"]), grey)]
        patches = read_patches(picture, chart, shot.chart_corners)
        by = {"chart": correct_by_chart(patches, picture.diagonal)}
        if "card" in ways:
            by["card"] = correct_by_knowns(known, picture.diagonal)
        if "none" in ways:
            by["none"] = correct_by_knowns([], picture.diagonal)
        if "day" in ways and light in workshop.daylights:
            by["day"] = correct_by_knowns(known, picture.diagonal, PictureKind.DAYLIGHT)
        for name in names:
            colour = sample(picture, Spot(*shot.places[name], 18))
            for way in by:
                reading = correct(colour, by[way])
                found.append((way, light, camera, name, reading.within))
                labs.append(reading.lab)
                truths.append(shot.truths[name])
    misses = delta_e_00(np.array(labs), np.array(truths))
    return [(*row[:4], miss, row[4]) for row, miss in zip(found, misses, strict=True)]


@pytest.fixture(scope="module")
def corrected(workshop):
    ways = ("chart", "card", "none")
    return _corrected(workshop, _of(25, 15), workshop.paints, workshop.lights, ways=ways)


def _published(workshop):
    return {**workshop.unseen_reflectances(), **workshop.colour_fidelity_reflectances()}


@pytest.fixture(scope="module")
def published(workshop):
    """Published surfaces in every light by every camera."""
    lights = (*workshop.daylights, *workshop.lamps)
    cameras, ways = (0, 1, workshop.eye), ("chart", "card", "day")
    return _corrected(workshop, _of(48, 24), _published(workshop), lights, cameras, ways)


@pytest.fixture(scope="module")
def by_eye(workshop):
    """Surfaces of every kind in daylight by a camera that sees as the eye does."""
    surfaces = {**_published(workshop), **workshop.paints}
    return _corrected(workshop, _of(18, 6), surfaces, workshop.daylights, (workshop.eye,))


def _misses(corrected, way, lights=None):
    return np.array(
        [row[4:] for row in corrected if row[0] == way and (lights is None or row[1] in lights)]
    ).T


@pytest.mark.parametrize("light", ["D65", "D55"])
def test_by_chart_in_even_daylight_nearly_every_colour_is_within_2(workshop, light):
    chart, misses = _true_chart(workshop), []
    for seed in range(_of(4, 2)):
        shot = workshop.photograph(seed + 900, light=light, cast=(1.1, 1.0, 0.93), exposure=0.8)
        picture = shot.picture()
        correction = correct_by_chart(
            read_patches(picture, chart, shot.chart_corners), picture.diagonal
        )
        for name in workshop.paints:
            reading = correct(sample(picture, Spot(*shot.places[name], 18)), correction)
            misses.append(float(delta_e_00(reading.lab, shot.truths[name])))
    assert np.median(misses) < 1.0
    assert np.mean(np.array(misses) < 2) > 0.93


def test_by_chart_in_uneven_daylight_most_colours_are_within_2(corrected):
    miss, _ = _misses(corrected, "chart", ("D65", "D55"))
    assert np.median(miss) < 1.1
    assert np.mean(miss < 2) > 0.8


@pytest.mark.parametrize("gradient", [(0.0, 0.0), (0.2, 0.15), (0.6, -0.4)])
def test_unseen_surfaces_by_chart_come_as_near_in_uneven_daylight_as_in_even(workshop, gradient):
    """The first camera: the second sees colours too unlike the eye for 95 in 100 in any light."""
    chart, misses, surfaces = _true_chart(workshop), [], workshop.unseen_reflectances()
    for seed in range(_of(6, 3)):
        picked = np.random.default_rng(seed).permutation(len(surfaces))[:14]
        paints = {name: surfaces[name] for name in (list(surfaces)[i] for i in picked)}
        light = ("D65", "D55")[seed % 2]
        shot = workshop.photograph(
            seed, light, exposure=0.6, gradient=gradient, contrast=0.2, paints=paints
        )
        picture = shot.picture()
        correction = correct_by_chart(
            read_patches(picture, chart, shot.chart_corners), picture.diagonal
        )
        slope, spread = correction.light.slope, np.sqrt(np.diag(correction.light.covariance))[:2]
        assert (np.abs(slope - gradient) < np.maximum(0.12, 3 * spread)).all()
        for name in paints:
            reading = correct(sample(picture, Spot(*shot.places[name], 18)), correction)
            misses.append(float(delta_e_00(reading.lab, shot.truths[name])))
    assert np.median(misses) < 1.0
    assert np.mean(np.array(misses) < 2) >= _of(0.95, 0.92)


def test_by_chart_in_any_light_most_colours_are_within_2(corrected):
    miss, _ = _misses(corrected, "chart")
    assert np.median(miss) < 1.25
    assert np.mean(miss < 2) > 0.75


@pytest.mark.parametrize("way", ["chart", "card", "none"])
def test_the_reported_uncertainty_covers_the_truth_95_times_in_100(corrected, way):
    miss, within = _misses(corrected, way)
    assert np.mean(miss <= within) >= 0.95


@pytest.mark.parametrize("way", ["chart", "card"])
def test_the_uncertainty_covers_published_surfaces_95_times_in_100(published, way):
    miss, within = _misses(published, way)
    assert np.mean(miss <= within) >= (0.95 if way == "chart" else _of(0.95, 0.93))


def test_one_grey_card_is_stated_as_near_as_it_is_and_nearer_by_known_daylight(published, workshop):
    """Miss held 95 times in 100: 9.8 in any light, 7.2 by daylight; before, 11.0 was said of both."""
    miss, within = _misses(published, "card")
    assert np.median(within) < 1.15 * np.quantile(miss, 0.95)
    miss, within = _misses(published, "day", workshop.daylights)
    assert np.mean(miss <= within) >= _of(0.95, 0.93)
    assert np.median(within) < 7.6


def test_what_the_camera_sees_as_the_eye_does_is_within_2_of_the_truth_95_times_in_100(by_eye):
    """Cast, gradient, contrast, noise and JPEG alone: nothing the chart cannot speak for."""
    miss, within = _misses(by_eye, "chart")
    assert np.median(miss) < 0.7
    assert np.mean(miss < 2) >= 0.95
    assert np.mean(miss <= within) >= 0.95
    assert np.median(within) < 2.6


@pytest.mark.parametrize("way", ["chart", "card"])
def test_the_reported_uncertainty_is_not_idly_wide(corrected, way):
    miss, within = _misses(corrected, way)
    assert np.median(within) < 2.5 * np.quantile(miss, 0.9)


def test_a_chart_beats_a_card_and_a_card_beats_nothing(corrected):
    chart, card, none = (np.median(_misses(corrected, way)[0]) for way in ("chart", "card", "none"))
    assert chart < 0.6 * card
    assert card < 0.8 * none


def test_the_published_values_serve_as_well_as_the_charts_own(workshop):
    """D50 values brought to D65 by Bradford against reflectances summed under D65."""
    shot = workshop.photograph(1, cards=())
    picture = shot.picture()
    correction = correct_by_chart(
        read_patches(picture, published_chart(), shot.chart_corners), picture.diagonal
    )
    misses = []
    for name in ("estuary green", "umber", "oyster", "slate", "stone", "sky"):
        reading = correct(sample(picture, Spot(*shot.places[name], 18)), correction)
        misses.append(float(delta_e_00(reading.lab, shot.truths[name])))
    assert max(misses) < 3


def _through_a_lens(workshop, seeds, by="chart", **spoilt):
    """Miss and uncertainty of each surface, with the falls fitted, in photographs spoilt so."""
    chart, surfaces = _true_chart(workshop), _published(workshop)
    missed, fitted = [], []
    for seed in seeds:
        rng = np.random.default_rng(seed + 700)
        names = [list(surfaces)[i] for i in rng.permutation(len(surfaces))[:14]]
        taken = {
            "light": ("D65", "D55", "LED-B3")[seed % 3],
            "camera": seed % 2,
            "cast": np.exp(rng.normal(0, 0.08, 3)),
            "exposure": 0.7,
            "gradient": rng.normal(0, 0.1, 2),
            "contrast": 0.3 * rng.random(),
            "cards": ((0.88, 0.5),) if by == "card" else (),
        }
        paints = {name: surfaces[name] for name in names}
        shot = workshop.photograph(seed, paints=paints, **taken | spoilt)
        picture = shot.picture()
        samples = {name: _sampled(picture, shot.places[name]) for name in names}
        samples = {name: found for name, found in samples.items() if found is not None}
        lens = {
            "middle": (picture.width / 2, picture.height / 2),
            "surfaces": list(samples.values()),
        }
        if by == "card":
            grey = sample(picture, Spot(*shot.places["card 0"], 15))
            known = [Known("grey card", tuple(shot.truths["card 0"]), grey)]
            correction = correct_by_knowns(known, picture.diagonal, **lens)
            fitted.append(correction.numbers[-1])
        else:
            patches = read_patches(picture, chart, shot.chart_corners)
            correction = correct_by_chart(patches, picture.diagonal, **lens)
            fitted.append(correction.light.numbers[2])
        for name, found in samples.items():
            reading = correct(found, correction)
            missed.append((float(delta_e_00(reading.lab, shot.truths[name])), reading.within))
    return (*np.array(missed).T, np.mean(fitted))


def _sampled(picture, place):
    """A sample; none where the place is refused, being mostly clipped."""
    try:
        return sample(picture, Spot(*place, 18))
    except LiveryError as refused:
        assert {f.code for f in refused.findings} <= {"region-clipped"}
        return None


@pytest.mark.parametrize("stops", [0.0, 0.25, 0.5, 0.8])
def test_a_lens_that_darkens_the_corners_spoils_neither_colour_nor_uncertainty(workshop, stops):
    """Cosine-law fall, of which the model knows only the first term, with a plane and a cast."""
    miss, within, fitted = _through_a_lens(workshop, range(_of(5, 3)), vignette=stops)
    assert np.median(miss) < 2.0
    assert np.mean(miss <= within) >= _of(0.92, 0.9)
    assert fitted == pytest.approx(stops * np.log(2), abs=0.06)


@pytest.mark.parametrize("stops", [0.0, 0.8])
def test_by_one_grey_card_darker_corners_are_evened_out_or_stated(workshop, stops):
    """On 18 photographs each 3.3 and 3.5 in the median, 96 in 100 held; 3.6 and 4.0 without the lens."""
    miss, within, fitted = _through_a_lens(workshop, range(_of(18, 3)), "card", vignette=stops)
    assert np.median(miss) < 3.7
    assert np.mean(miss <= within) >= 0.95
    assert fitted == pytest.approx(stops * np.log(2), abs=0.06)


SPOILT = {
    "cast": {"cast": (1.35, 1.0, 0.75)},
    "mixed light": {"light": "D65", "second": ("A", 0.3)},
    "flare": {"flare": 0.05},
    "clipped": {"exposure": 1.25},
    "compressed": {"quality": 30},
    "all": {
        "vignette": 0.5,
        "cast": (1.2, 1.0, 0.85),
        "second": ("A", 0.15),
        "flare": 0.03,
        "exposure": 1.0,
        "quality": 50,
    },
}


@pytest.mark.parametrize("way", SPOILT)
def test_what_else_spoils_a_photograph_is_corrected_or_stated(workshop, way):
    miss, within, _ = _through_a_lens(workshop, range(2), **SPOILT[way])
    assert np.median(miss) < 2.5
    assert np.mean(miss <= within) >= 0.9
