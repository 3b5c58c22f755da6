"""A survey: sizes kept by name, put together, used in a description, their conflicts reported."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from livery.cli import livery
from livery.colour.conversion import encode
from livery.findings import LiveryError, Severity
from livery.pipeline import examine
from livery.survey.large_picture import TILE, levels_of, open_large
from livery.survey.named_sizes import Taken, _combined, calibrated_picture, measured, named_sizes
from livery.survey.plane import KnownLength, Pick
from livery.survey.stripe import find_stripe
from livery.survey.survey_file import PictureEntry, load_survey
from livery.survey.uneven_scale import UnevenScale

SURVEY = """\
# Invented for this test.
[picture.side]
file = "side.png"
size = [1000, 400]
lengths = ["100,300 900,300 = 16 ft", "100,300 100,100 = 4 ft"]

[picture.end]
file = "end.png"
size = [1000, 400]
lengths = ["100,300 500,300 = 8 ft"]
pick_error = 0.5

[[measure.waist]]
picture = "side"
height = "400,200 from 100,300 900,300"

[[measure.waist]]
picture = "end"
height = "300,200.5 from 100,300 500,300"

[[measure.slope]]
picture = "side"
angle = "100,300 900,300 and 100,300 300,100"
"""

JOB = """\
[job]
title = "Wagon"
scale = "1:8"
survey = "survey.toml"

[paint.red]
lab = [38, 45, 30]

[panel.side]
outline = { rectangle = ["16 ft", "4 ft"] }

[panel.side.datum]
waist = { height = { measured = "waist", round = "1/2 in" } }

[[panel.side.field]]
paint = "red"
"""


def run(*arguments):
    return CliRunner().invoke(livery, [str(a) for a in arguments])


@pytest.fixture
def survey(tmp_path):
    file = tmp_path / "survey.toml"
    file.write_text(SURVEY)
    return file


def test_a_size_measured_twice_is_the_weighted_best(survey):
    sizes, findings = named_sizes(load_survey(survey))
    waist = sizes["waist"]
    one, other = waist.taken
    # 100 pixels of 800 to 16 ft, and 99.5 of 400 to 8 ft.
    assert one.value == pytest.approx(100 * 4876.8 / 800, rel=1e-6)
    assert other.value == pytest.approx(99.5 * 2438.4 / 400, rel=1e-6)
    weights = [1 / one.within**2, 1 / other.within**2]
    best = (weights[0] * one.value + weights[1] * other.value) / sum(weights)
    assert waist.value == pytest.approx(best) and other.within < one.within
    assert waist.within == pytest.approx(sum(weights) ** -0.5)
    assert str(sizes["slope"]).startswith("45.00° ± ") and sizes["slope"].text == "45.00 deg"
    assert [f for f in findings if f.severity is not Severity.NOTE] == []


def test_drawings_that_do_not_agree_are_reported_at_the_size(survey):
    survey.write_text(SURVEY.replace("300,200.5 from", "300,180 from"))
    sizes, findings = named_sizes(load_survey(survey))
    (conflict,) = [f for f in findings if f.code == "measure-conflict"]
    assert conflict.place is not None and conflict.place.line == 13
    assert "on side" in conflict.message and "on end" in conflict.message
    one, other = sizes["waist"].taken
    assert sizes["waist"].within > max(one.within, other.within)
    assert conflict.severity is Severity.ERROR and "weighted best" not in conflict.message
    shown = run("survey", survey)
    assert shown.exit_code == 2 and "waist: its measurements contradict each other" in shown.output


@pytest.mark.parametrize(
    ("apart", "within", "severity"),
    [
        # 1.96 / root 2 times the difference over the uncertainty: beyond 2.5 is said, beyond 5 and
        # 3 % of the size is a fault.
        (3.2, 1.80, None),
        (3.2, 1.75, Severity.WARNING),
        (3.2, 0.90, Severity.WARNING),
        (3.2, 0.87, Severity.ERROR),
        (2.9, 0.10, Severity.WARNING),
    ],
)
def test_measurements_that_contradict_each_other_are_no_size(apart, within, severity):
    each = [Taken(name, 100.0 + s * apart / 2, within) for name, s in (("side", -1), ("end", 1))]
    findings = _combined("waist", each, is_angle=False, on_model=False).findings
    assert [f.severity for f in findings] == ([severity] if severity else [])


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ('picture = "end"\n', 'picture = "ends"\n', 18, "not a picture of this survey"),
        ("400,200 from", "400,2000 from", 15, "outside the picture"),
        ("400,200 from 100,300 900,300", "400,200", 15, "not a height"),
        (" = 8 ft", "", 7, "not a known length"),
    ],
)
def test_a_fault_of_a_survey_stands_at_its_place(survey, old, new, line, words):
    survey.write_text(SURVEY.replace(old, new))
    _, findings = named_sizes(load_survey(survey))
    assert [f.place.line for f in findings if words in f.message] == [line]


def test_a_survey_is_closed_to_what_it_does_not_know(survey):
    survey.write_text(SURVEY + '\n[[measure.waist]]\npicture = "side"\n\n[picture.x]\nfyle = "a"\n')
    with pytest.raises(LiveryError) as caught:
        load_survey(survey)
    words = " ".join(f.message for f in caught.value.findings)
    assert "has one of distance, height" in words and '"fyle" is not a key' in words


def test_a_description_uses_a_size_by_its_name(survey):
    job = survey.with_name("job.toml")
    job.write_text(JOB)
    found = examine(job)
    assert not found.exit_status, found.findings
    (plan,) = found.plan.panels
    # 606 mm or so, to the nearest half inch: 24 in, at 1:8.
    assert plan.frame.heights["waist"] == pytest.approx(24 * 25.4 / 8)
    assert found.description.data["panel"]["side"]["datum"]["waist"] == {"height": "2 ft"}
    job.write_text(JOB.replace(', round = "1/2 in"', ""))
    exact = examine(job).plan.panels[0].frame.heights["waist"]
    waist = named_sizes(load_survey(survey))[0]["waist"].value
    assert exact == pytest.approx(waist / 8, abs=0.005 / 8 + 1e-9)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('measured = "waist"', 'measured = "wast"', 'Did you mean "waist"?'),
        ('survey = "survey.toml"', 'survey = "other.toml"', 'there is no file "other.toml"'),
        ('survey = "survey.toml"', 'survey = "other.toml"', "the survey has faults"),
        ('survey = "survey.toml"\n', "", "no survey has a size"),
        ('"1/2 in"', '"half"', "cannot be rounded to this step"),
        ('measured = "waist", round = "1/2 in"', 'measured = "slope"', "length"),
        ("waist = { height = {", 'waist = { height = "2 ft", built = {', "measured on the model"),
    ],
)
def test_a_size_that_is_not_there_is_a_fault_at_its_place(survey, old, new, words):
    job = survey.with_name("job.toml")
    job.write_text(JOB.replace(old, new))
    found = examine(job)
    assert found.exit_status == 2
    errors = [f for f in found.findings if f.severity is Severity.ERROR]
    assert any(words in f"{f.message} {f.remedy}" for f in errors)
    assert all(f.place is not None and f.place.line in (4, 12, 13) for f in errors)
    assert len({f.place for f in errors if f.place.line > 4}) <= 1


def test_a_size_of_the_model_stands_where_the_metal_is_measured(survey):
    text = re.sub(r"(\[picture\.\w+\]\n)", r"\1on_model = true\n", survey.read_text())
    for drawn, model in {"= 16 ft": "= 2 ft", "= 4 ft": "= 6 in", "= 8 ft": "= 1 ft"}.items():
        text = text.replace(drawn, model)  # at 1:8
    survey.write_text(text)
    job = survey.with_name("job.toml")
    job.write_text(JOB.replace("height = { measured", 'height = "2 ft", built = { measured'))
    (plan,) = examine(job).plan.panels
    waist = named_sizes(load_survey(survey))[0]["waist"].value
    assert plan.frame.heights["waist"] == pytest.approx(waist, abs=12.7 / 2)


def test_rounding_beyond_what_is_known_is_a_warning(survey):
    job = survey.with_name("job.toml")
    job.write_text(JOB.replace("1/2 in", "1 ft 3 in"))
    warned = [f for f in examine(job).findings if f.code == "measured"]
    assert len(warned) == 1 and warned[0].severity is Severity.WARNING
    assert "more than its uncertainty" in warned[0].message


def test_the_command_prints_every_size_and_where_it_is_from(survey):
    done = run("survey", survey)
    assert done.exit_code == 0
    assert "waist: 60" in done.output and "from side, end" in done.output
    data = json.loads(run("survey", survey, "--json").output)
    assert [s["name"] for s in data["sizes"]] == ["waist", "slope"]
    assert len(data["sizes"][0]["taken"]) == 2


def test_sizes_are_kept_by_the_command_and_nothing_else_changes(tmp_path):
    picture = tmp_path / "side.png"
    Image.new("L", (1000, 400), 255).save(picture)
    survey = tmp_path / "survey.toml"
    known = ["--length", "100,300 900,300 = 16 ft"]
    one = ["--height", "waist: 400,200 from 100,300 900,300"]
    assert run("measure", picture, *known, *one, "--keep", survey).exit_code == 0
    first = survey.read_text()
    assert 'file = "side.png"' in first and "[[measure.waist]]" in first
    # The same picture, calibrated alike, is named; what stands there stays.
    assert run("measure", picture, *known, *one, "--keep", survey).exit_code == 0
    second = survey.read_text()
    assert second.startswith(first) and second.count("[picture.") == 1
    sizes, _ = named_sizes(load_survey(survey))
    assert len(sizes["waist"].taken) == 2
    other = ["--length", "100,300 900,300 = 17 ft"]
    again = ("--keep", tmp_path / "again.toml")
    run("measure", picture, *known, "--distance", "waist: 1,1 9,9", *again)
    far = run("measure", picture, *known, "--distance", "waist: 1,1 59,9", *again)
    assert '"waist" was kept before: 2 measurements' in far.output
    assert "give one of them another name" in far.output
    refused = run("measure", picture, *other, *one, "--keep", survey)
    assert isinstance(refused.exception, LiveryError) and "otherwise" in str(refused.exception)
    names = (
        "--distance",
        "1,1 9,9",
        "--distance",
        "my size: 1,1 9,9",
        "--distance",
        "far: 1,1 9999,9",
    )
    unnamed = run("measure", picture, *known, *names, "--keep", survey)
    assert isinstance(unnamed.exception, LiveryError)
    assert len(unnamed.exception.findings) == 2  # before anything is measured
    for words in ('"1,1 9,9" has no name', '"my size" cannot be a name'):
        assert words in str(unnamed.exception)
    assert "No size was asked for" in run("measure", picture, *known).output
    assert "lies within ± 95 times in 100" in run("measure", picture, *known, *one).output
    assert survey.read_text() == second


# -- rendered truth


def striped(size=(400, 300), *, turned=0.0, width=11.3, at=150.0, blur=1.0, noise=0.0, seed=1):
    """A light picture with a dark stripe of known width through its middle, turned by degrees."""
    from scipy.ndimage import gaussian_filter

    fine = 6
    y, x = (np.mgrid[: size[1] * fine, : size[0] * fine] + 0.5) / fine
    c, s = np.cos(np.radians(turned)), np.sin(np.radians(turned))
    off = (y - at) * c - (x - size[0] / 2) * s
    light = np.where(np.abs(off) <= width / 2, 0.08, 0.7)
    light = light.reshape(size[1], fine, size[0], fine).mean(axis=(1, 3))
    light = gaussian_filter(light, blur)
    shown = 255 * encode(light) + np.random.default_rng(seed).normal(0, noise, light.shape)
    return Image.fromarray(np.clip(np.round(shown), 0, 255).astype(np.uint8))


SIDE = PictureEntry(file="x.png", size=(400, 300), lengths=("50,150 350,150 = 300 mm",))


@pytest.mark.parametrize("turned", [0.7, 12.5])
def test_the_edges_of_a_stripe_are_found_to_a_fraction_of_a_pixel(tmp_path, turned):
    file = tmp_path / "stripe.png"
    striped(turned=turned, noise=3.0).save(file)
    stripe = find_stripe(open_large(file), Pick(200, 125), Pick(206, 176))
    assert 0.02 < stripe.pick_error < 0.2
    found = measured("height", stripe.places, calibrated_picture(SIDE), stripe.pick_error)
    assert found.mm == pytest.approx(11.3, abs=max(found.within_mm, 0.06))
    assert found.within_mm < 0.6


@pytest.mark.parametrize("turned", [0.0, 0.7, 3.0, 12.5])
def test_a_stripe_in_black_and_white_alone_is_as_uncertain_as_whole_pixels(tmp_path, turned):
    file = tmp_path / "stripe.png"
    missed = []
    for width in (5.4, 11.3, 25.7):
        picture = striped(turned=turned, width=width, blur=0.5).point(lambda v: 255 * (v > 167))
        picture.convert("1").save(file)
        stripe = find_stripe(open_large(file), Pick(200, 120), Pick(202, 181))
        found = measured("height", stripe.places, calibrated_picture(SIDE), stripe.pick_error)
        missed.append(abs(found.mm - width) / found.within_mm)
        # What an even spread over a pixel is worth, at both edges; less where rows are crossed.
        assert stripe.pick_error == pytest.approx(0.2887, abs=1e-3) or turned > 0.5
        assert 0.03 <= stripe.pick_error < 0.3
    assert max(missed) < 1.0


CREAM, GOLD, GREEN = (230, 220, 190), (200, 160, 40), (40, 80, 60)


def lined(order, width=11.3, at=150.0, blur=0.7, noise=4.0):
    """A stripe between two grounds, all of other colours, sloping by 1.5 degrees; sRGB of 8 bits."""
    from scipy.ndimage import gaussian_filter

    from livery.colour.conversion import decode

    fine, size = 4, (400, 300)
    y, x = (np.mgrid[: size[1] * fine, : size[0] * fine] + 0.5) / fine
    off = (y - at) - np.tan(np.radians(1.5)) * (x - size[0] / 2)
    off *= np.cos(np.radians(1.5))
    which = (off > -width / 2).astype(int) + (off > width / 2)
    light = decode(np.array(order) / 255.0)[which]
    light = light.reshape(size[1], fine, size[0], fine, 3).mean(axis=(1, 3))
    shown = 255 * encode(gaussian_filter(light, (blur, blur, 0)))
    shown += np.random.default_rng(3).normal(0, noise, shown.shape)
    return Image.fromarray(np.clip(np.round(shown), 0, 255).astype(np.uint8))


@pytest.mark.parametrize(
    ("width", "blur", "end"), [(11.3, 0.3, 180.65), (4.3, 1.2, 159.15)], ids=["sharp", "narrow"]
)
def test_a_stripe_between_two_colours_has_its_width(tmp_path, width, blur, end):
    """Three colours seldom lie on one line: no single measure of them shows both edges alike."""
    file = tmp_path / "stripe.png"
    lined((GREEN, GOLD, CREAM), width=width, blur=blur).save(file)
    stripe = find_stripe(open_large(file), Pick(200, 135), Pick(201, end))
    found = measured("height", stripe.places, calibrated_picture(SIDE), stripe.pick_error)
    assert found.mm == pytest.approx(width, abs=0.1)


def test_where_no_stripe_is_plain_none_is_invented(tmp_path):
    file = tmp_path / "blank.png"
    striped(width=0.0, noise=3.0).save(file)
    with pytest.raises(LiveryError) as caught:
        find_stripe(open_large(file), Pick(200, 120), Pick(200, 180))
    assert caught.value.findings[0].code in ("stripe-none", "stripe-many")


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        ((150, 145), (250, 147), "runs along an edge"),
        ((200, 150), (200, 190), "only one edge"),
        ((200, 60), (200, 150), "only one edge"),
        ((200, 30), (200, 60), "does not have two clear edges"),
    ],
)
def test_a_line_that_does_not_cross_a_stripe_is_told_how_to_run(tmp_path, start, end, words):
    file = tmp_path / "stripe.png"
    striped(width=16.0, noise=2.0).save(file)
    with pytest.raises(LiveryError, match=words):
        find_stripe(open_large(file), Pick(*start), Pick(*end))


def test_a_drawing_that_stretched_unevenly_is_measured_by_two_scales():
    rng = np.random.default_rng(5)
    within = total = 0
    for _ in range(60):
        ends = [((100, 800), (1900, 812)), ((100, 800), (92, 80)), ((300, 150), (1500, 700))]
        lengths = []
        for a, b in ends:
            mm = float(np.hypot(2.0 * (b[0] - a[0]), 2.03 * (b[1] - a[1])))
            picks = [Pick(*(np.array(p) + rng.normal(0, 1, 2))) for p in (a, b)]
            lengths.append(KnownLength(picks[0], picks[1], mm))
        plane = UnevenScale(tuple(lengths))
        from livery.survey.measure import pick_distance

        a, b = (Pick(*(np.array(p) + rng.normal(0, 1, 2))) for p in ((400, 600), (900, 200)))
        found = pick_distance(plane, a, b)
        within += abs(found.mm - float(np.hypot(1000, 2.03 * 400))) <= found.within_mm
        total += 1
    assert within >= 0.88 * total
    with pytest.raises(LiveryError):
        UnevenScale(tuple(lengths[:1]))


@pytest.mark.parametrize(("share", "is_refused"), [(0.049, False), (0.051, True), (-0.051, True)])
def test_what_no_paper_stretches_by_is_taken_for_a_view_at_an_angle(share, is_refused):
    across = KnownLength(Pick(0, 0), Pick(1000, 0), 1000.0 * (1.0 + share))
    up = KnownLength(Pick(0, 0), Pick(0, 500), 500.0)
    if not is_refused:
        UnevenScale((across, up))
        return
    with pytest.raises(LiveryError, match=r"5\.1 % (larger|smaller) to the pixel") as caught:
        UnevenScale((across, up))
    assert "--rectangle" in caught.value.findings[0].remedy


def test_circles_are_fitted_as_another_library_fits_them():
    from skimage.measure import CircleModel

    from livery.survey.measure import radius
    from livery.survey.plane import ScaleByLengths

    rng = np.random.default_rng(3)
    turn = np.linspace(0.2, 2.4, 12)
    points = np.column_stack([300 + 120 * np.cos(turn), 200 + 120 * np.sin(turn)])
    points += rng.normal(0, 0.4, points.shape)
    plane = ScaleByLengths((KnownLength(Pick(0, 0), Pick(100, 0), 100.0),))
    ours = radius(plane, [Pick(*map(float, p)) for p in points])
    other = CircleModel.from_estimate(points)
    # Theirs is the geometric fit, ours the algebraic one of Kasa: apart by less than the noise.
    assert ours.mm == pytest.approx(other.radius, abs=0.5)
    assert abs(ours.mm - 120) <= ours.within_mm


# -- pictures of any size


def test_tiles_show_the_picture_at_halving_sizes(tmp_path):
    import io

    file = tmp_path / "scan.png"
    y, x = np.mgrid[:900, :1300]
    Image.fromarray((((x // 100 + y // 100) % 2) * 200 + 20).astype(np.uint8)).save(file)
    picture = open_large(file)
    assert picture.size == (1300, 900) and levels_of(picture.size) == 3
    tile = np.asarray(Image.open(io.BytesIO(picture.tile(0, 1, 1))).convert("L")).astype(int)
    assert tile.shape == (900 - TILE, TILE)
    assert tile[40, 40] == pytest.approx(220 if (552 // 100 + 552 // 100) % 2 else 20, abs=6)
    whole = Image.open(io.BytesIO(picture.tile(2, 0, 0)))
    assert whole.size == (325, 225)
    assert picture.tile(0, 3, 0) is None and picture.tile(3, 0, 0) is None
    light = picture.light(95, 5, 105, 8)
    assert light.shape == (3, 10, 3) and light[0, 0, 0] < 0.02 and light[0, 9, 1] > 0.6


def test_a_turned_photograph_stands_upright_in_its_tiles_and_its_light(tmp_path):
    import io

    file = tmp_path / "turned.jpg"
    pixels = np.full((40, 60, 3), 220, dtype=np.uint8)
    pixels[:10, :10] = 20
    turned = Image.Exif()
    turned[0x0112] = 6  # the camera was held upright: its left is the top right corner
    Image.fromarray(pixels).save(file, exif=turned, quality=95)
    picture = open_large(file)
    assert picture.size == (40, 60)
    tile = np.asarray(Image.open(io.BytesIO(picture.tile(0, 0, 0))).convert("L"))
    assert tile.shape == (60, 40) and tile[4, 35] < 50 and tile[4, 4] > 200
    light = picture.light(0, 0, 40, 60)
    assert light[4, 35, 0] < 0.05 and light[55, 35, 0] > 0.6


def test_the_command_straightens_by_points_as_by_a_rectangle(tmp_path):
    photo = tmp_path / "view.png"
    striped(size=(300, 200), at=100).save(photo)
    corners = ("40,30", "260,45", "250,170", "50,160")
    places = ("0 ft, 2 ft", "4 ft, 2 ft", "4 ft, 0 ft", "0 ft, 0 ft")
    rectangle = f"{' '.join(corners)} = 4 ft x 2 ft"
    points = [w for c, p in zip(corners, places, strict=True) for w in ("--point", f"{c} = {p}")]
    one, other = tmp_path / "one.png", tmp_path / "other.png"
    assert run("straighten", photo, one, "--rectangle", rectangle).exit_code == 0
    assert run("straighten", photo, other, *points).exit_code == 0
    first, second = (np.asarray(Image.open(f)).astype(int) for f in (one, other))
    assert first.shape == second.shape and np.abs(first - second).max() <= 1
    neither = run("straighten", photo, tmp_path / "no.png")
    assert isinstance(neither.exception, LiveryError)


def test_a_page_of_a_pdf_is_looked_at_and_measured_like_a_scan(tmp_path):
    import io

    from reportlab.pdfgen.canvas import Canvas

    file = tmp_path / "drawing.pdf"
    canvas = Canvas(str(file), pagesize=(720, 360))
    canvas.showPage()
    canvas.rect(72, 72, 288, 14.4, fill=1)
    canvas.save()
    picture = open_large(file, page=2, dots_per_inch=100)
    assert picture.size == (1000, 500)
    tile = np.asarray(Image.open(io.BytesIO(picture.tile(0, 0, 0))).convert("L"))
    # 1 in from the left and, from the top, 360 - 72 pt: dark there and light just outside.
    assert tile[395, 110] < 40 and tile[395, 90] > 220 and tile[410, 110] > 220
    stripe = find_stripe(picture, Pick(300, 360), Pick(300, 420))
    entry = PictureEntry(file="drawing.pdf", size=(1000, 500), lengths=("0,100 1000,100 = 10 in",))
    found = measured("height", stripe.places, calibrated_picture(entry), stripe.pick_error)
    assert found.mm == pytest.approx((14.4 + 1.0) / 72 * 25.4, abs=0.04)  # its line is 1 pt wide
    with pytest.raises(LiveryError):
        open_large(file, page=3)
