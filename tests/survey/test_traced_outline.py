"""Outlines and letters off drawings: traced, kept by name, used in a description."""

from __future__ import annotations

import json
import math
import shutil
from pathlib import Path

import numpy as np
import pytest
import shapely
from click.testing import CliRunner
from PIL import Image, ImageDraw

from livery.cli import livery
from livery.findings import LiveryError, Severity
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import area, bounds
from livery.geometry.outline import Cubic
from livery.pipeline import examine
from livery.survey.named_looks import named_looks
from livery.survey.survey_file import PictureEntry, load_survey
from livery.survey.traced_outline import traced
from tests.survey.traced_alphabet import SHARE, strays

OVER = 8
SIZE = (900, 500)
KNOWN = {"file": "d.png", "size": SIZE, "lengths": ("100,450 900,450 = 8 ft",)}
"""3.048 mm to the pixel."""
MM = 3.048


def light(tones, noise=0.0):
    """Return an sRGB picture of linear light, 0 to 1, with some noise."""
    from livery.colour.conversion import encode

    seen = encode(np.clip(tones, 0.0, 1.0)) + np.random.default_rng(4).normal(
        0.0, noise, tones.shape
    )
    return Image.fromarray(np.round(255 * np.clip(seen, 0, 1)).astype(np.uint8))


def drawn(draw, file, noise=0.0, ground=0.8):
    """Draw with ink of 0.03 on paper, each pixel as light as what lies within it."""
    whole = Image.new("L", (SIZE[0] * OVER, SIZE[1] * OVER), 0)
    draw(ImageDraw.Draw(whole))
    ink = np.asarray(whole.resize(SIZE, Image.Resampling.BOX), float) / 255.0
    light(ground + (0.03 - ground) * ink, noise).save(file)


def ellipse(pen):
    pen.ellipse([v * OVER for v in (100, 100, 400, 300)], fill=255)
    pen.ellipse([v * OVER for v in (180, 150, 320, 250)], fill=0)


def line_round(pen):
    """A side with a raking end, its line 4 pixels thick about the true edge; a window within."""
    ring = [(x * OVER, y * OVER) for x, y in SIDE]
    pen.line([*ring, ring[0], ring[1]], fill=255, width=4 * OVER, joint="curve")
    pen.rectangle([v * OVER for v in (300, 160, 380, 240)], outline=255, width=2 * OVER)


SIDE = [(100, 100), (700, 100), (760, 330), (100, 330)]


@pytest.mark.parametrize("noise", [0.0, 0.02])
def test_a_letter_is_its_ink_in_millimetres(tmp_path, noise):
    file = tmp_path / "d.png"
    drawn(ellipse, file, noise)
    found = traced(file, PictureEntry(**KNOWN), "letter", "80,80 420,320")
    box = bounds(found.outline)
    assert (box.left, box.bottom) == pytest.approx((0.0, 0.0), abs=1e-9)
    # 300 by 200 pixels; half a per cent of its height is 3 mm, a pixel.
    assert box.width == pytest.approx(300 * MM, abs=1.5)
    assert box.height == pytest.approx(200 * MM, abs=1.5)
    assert area(found.outline) == pytest.approx(
        math.pi / 4 * (300 * 200 - 140 * 100) * MM**2, rel=0.003
    )
    kinds = [type(s) for contour in found.outline for s in contour.segments]
    assert Cubic in kinds and len(kinds) <= 24
    assert found.edge_mm == pytest.approx(0.6 * MM) and "cubics" in str(found)
    # One known length of 800 pixels between two picks of a pixel each: 0.0018 of any size.
    # And the edge found, to 0.3 of one at either end.
    scale, ends = 2**0.5 / 800 * 360.6, 2**0.5 * 0.3
    assert found.within_mm == pytest.approx(1.96 * math.hypot(scale, ends) * MM, rel=0.05)


def test_an_outline_is_the_middle_of_its_drawn_line(tmp_path):
    file = tmp_path / "d.png"
    drawn(line_round, file)
    found = traced(file, PictureEntry(**KNOWN), "outline", "60,60 800,400")
    true = shapely.Polygon([((x - 100) * MM, (330 - y) * MM) for x, y in SIDE])
    made = to_shapely(found.outline)
    assert len(found.outline.contours) == 1 and found.outline.node_count <= 8
    assert made.hausdorff_distance(true) < 1.2 * MM
    assert made.symmetric_difference(true).area < 0.005 * true.area


def side_with_waist_and_door(pen, foot=4):
    """The same side, crossed by a waist line that meets it at both ends, and by a door."""
    ring = [(x * OVER, y * OVER) for x, y in SIDE]
    pen.line([*ring, ring[0], ring[1]], fill=255, width=4 * OVER, joint="curve")
    pen.line([ring[2], ring[3]], fill=255, width=foot * OVER)
    pen.line([v * OVER for v in (100, 210, 730, 210)], fill=255, width=2 * OVER)
    for x in (160, 220):
        pen.line([v * OVER for v in (x, 100, x, 330)], fill=255, width=2 * OVER)


def test_lines_that_meet_the_line_round_a_shape_do_not_move_its_middle(tmp_path):
    file = tmp_path / "d.png"
    drawn(side_with_waist_and_door, file)
    found = traced(file, PictureEntry(**KNOWN), "outline", "60,60 800,400")
    true = shapely.Polygon([((x - 100) * MM, (330 - y) * MM) for x, y in SIDE])
    made = to_shapely(found.outline)
    assert made.hausdorff_distance(true) < 1.2 * MM
    assert made.symmetric_difference(true).area < 0.005 * true.area
    assert found.edge_mm < 1.0 * MM
    assert [f.code for f in found.findings] == ["one-scale"]


def test_a_line_of_two_thicknesses_gives_a_warning_with_its_size(tmp_path):
    """The foot is 8 pixels thick, all else 4: the middle of the foot is traced 2 pixels too low."""
    file = tmp_path / "d.png"
    drawn(lambda pen: side_with_waist_and_door(pen, foot=8), file)
    found = traced(file, PictureEntry(**KNOWN), "outline", "60,60 800,400")
    assert bounds(found.outline).height == pytest.approx((230 + 2) * MM, abs=0.5 * MM)
    (uneven,) = [f for f in found.findings if f.code == "trace-uneven"]
    assert uneven.severity is Severity.WARNING and uneven.message.endswith("off by 6.1 mm")
    assert found.edge_mm == pytest.approx((0.6 + 2) * MM, abs=0.1)


@pytest.mark.parametrize(
    ("degrees", "noted"), [(0.02, False), (0.7, True), (2.8, True), (4, False)]
)
def test_a_picture_that_lies_askew_is_noted(tmp_path, degrees, noted):
    slope = math.tan(math.radians(degrees))
    ring = [(100, 100), (700, 100 - 600 * slope), (700, 330 - 600 * slope), (100, 330)]
    file = tmp_path / "d.png"
    drawn(lambda pen: pen.polygon([(x * OVER, y * OVER) for x, y in ring], fill=255), file)
    found = traced(file, PictureEntry(**KNOWN), "outline", "60,30 800,400")
    assert ["trace-askew" in [f.code for f in found.findings]] == [noted]
    assert [f.code for f in found.remarks] == ["trace-askew"] * noted
    survey = tmp_path / "survey.toml"
    lengths = "".join(f'"{text}", ' for text in KNOWN["lengths"])
    survey.write_text(
        f'[picture.d]\nfile = "d.png"\nsize = {list(KNOWN["size"])}\nlengths = [{lengths}]\n'
        '[trace.side]\npicture = "d"\noutline = "60,30 800,400"\n'
    )
    said = [f for f in named_looks(load_survey(survey))[2] if f.code == "trace-askew"]
    assert [f.place.line for f in said] == [5] * noted
    if noted:
        assert f"{600 * slope * MM:.0f}." in found.findings[-1].message
        flat = {
            **KNOWN,
            "lengths": (),
            "rectangle": "100,100 700,100 700,330 100,330 = 6 ft x 2 ft",
        }
        level = traced(file, PictureEntry(**flat), "outline", "60,30 800,400")
        assert "trace-askew" not in [f.code for f in level.findings]


@pytest.mark.parametrize(
    ("font", "letters"), [("egyptian", "S"), ("condensed-block", "M"), ("roman", "u")]
)
def test_a_traced_letter_is_within_half_a_per_cent_of_its_height(tmp_path, font, letters):
    """A round letter, sharp notches, thin serifs; the module traces whole alphabets."""
    for _, off, _ in strays(letters, f"{font}.otf", tmp_path):
        assert off < SHARE


JOB = """\
[job]
title = "Wagon"
scale = "1:8"
survey = "survey.toml"

[paint.green]
sample = { measured = "cab-green" }

[alphabet.own]
drawn = "plain block"
cap_height = "2 ft"
letters = { O = { measured = "oh", foot = "-1 in", beside = ["1 in", "1 in"] } }

[panel.side]
outline = { measured = "side" }

[[panel.side.field]]
paint = "green"

[[panel.side.lettering]]
text = "O"
alphabet = "own"
cap_height = "1 ft"
paint = "green"
at = ["2 ft", "8 in"]
"""


def run(*arguments):
    return CliRunner().invoke(livery, [str(a) for a in arguments])


@pytest.fixture(scope="module")
def kept_job(tmp_path_factory):
    """A job whose outline, letter and colour stand in a survey, kept there by the commands."""
    tmp_path = tmp_path_factory.mktemp("kept")
    drawn(line_round, tmp_path / "d.png")
    drawn(ellipse, tmp_path / "e.png")
    tones = np.full((300, 400, 3), 0.5)
    tones[20:120, 20:120] = 0.18
    tones[150:280, 150:380] = (0.03, 0.09, 0.04)
    light(tones, 0.004).save(tmp_path / "cab.png")
    survey = tmp_path / "survey.toml"
    known = ("--length", KNOWN["lengths"][0], "--keep", survey)
    for arguments in (
        ("trace", tmp_path / "d.png", "--outline", "side: 60,60 800,400", *known),
        ("trace", tmp_path / "e.png", "--letter", "oh: 80,80 420,320", *known),
        ("sample", tmp_path / "cab.png", "--at", "cab-green: rectangle 160,160 370,270",
         "--known", "card: rectangle 30,30 110,110 = 18 %", "--keep", survey),
    ):  # fmt: skip
        result = run(*arguments)
        assert result.exit_code == 0, result.output
    (tmp_path / "job.toml").write_text(JOB)
    return tmp_path


@pytest.fixture
def job(kept_job, tmp_path):
    """The same in a folder of its own."""
    return Path(shutil.copytree(kept_job, tmp_path / "job")) / "job.toml"


def test_a_description_uses_what_was_traced_and_sampled_by_name(job):
    found = examine(job)
    assert not [f for f in found.findings if f.severity is Severity.ERROR]
    (plan,) = found.plan.panels
    assert bounds(plan.frame.outline).width == pytest.approx(660 * MM / 8, abs=0.3)
    letter = next(p for p in plan.pieces if p.kind.value != "field")
    # 200 pixels high where capitals are 2 ft, an inch of them under the baseline: half of that.
    assert bounds(letter.outline).height == pytest.approx(200 * MM / 16, abs=0.2)
    assert bounds(letter.outline).bottom == pytest.approx((8 - 0.5) * 25.4 / 8, abs=0.2)
    (target,) = [c.target for c in found.colours.values()]
    from skimage.color import xyz2lab

    linear = np.array([0.03, 0.09, 0.04])
    to_xyz = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    assert target.lab == pytest.approx(xyz2lab(np.array(to_xyz) @ linear), abs=1.5)
    assert target.within > 1.0
    listed = json.loads(run("survey", job.with_name("survey.toml"), "--json").stdout)
    assert [c["name"] for c in listed["colours"]] == ["cab-green"]
    assert listed["colours"][0]["lab"] == pytest.approx(list(target.lab), abs=1e-3)
    assert [o["name"] for o in listed["outlines"]] == ["side", "oh"]
    words = run("survey", job.with_name("survey.toml")).stdout
    assert "side: " in words and "cab-green: Lab" in words


def test_a_picture_from_elsewhere_is_noted(job, tmp_path_factory):
    elsewhere = tmp_path_factory.mktemp("elsewhere") / "d.png"
    job.with_name("d.png").rename(elsewhere)
    survey = job.with_name("survey.toml")
    survey.write_text(survey.read_text().replace('file = "d.png"', f'file = "{elsewhere}"'))
    (note,) = [f for f in examine(job).findings if f.code == "file-outside"]
    assert str(elsewhere) in note.message and note.place.line > 5


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('{ measured = "cab-green" }', '{ measured = "side" }', "is an outline; sample takes a colour"),
        ('outline = { measured = "side" }', 'outline = { measured = "cab-green" }', "is a colour"),
        ('outline = { measured = "side" }', 'outline = { measured = "sid" }', 'Did you mean "side"?'),
        ('foot = "-1 in"', 'foot = "low"', "this is not a length"),
    ],
)  # fmt: skip
def test_a_name_of_another_kind_is_refused_at_its_line(job, old, new, words):
    job.write_text(JOB.replace(old, new))
    found = examine(job)
    (wrong,) = [f for f in found.findings if words in f"{f.message} {f.remedy}"]
    assert found.exit_status == 2 and wrong.place is not None
    assert wrong.place.line == JOB[: JOB.index(old)].count("\n") + 1


@pytest.mark.parametrize(
    ("way", "box", "words"),
    [
        ("letter", "150,80 420,320", "reaches the rim"),
        ("letter", "410,80 440,320", "nothing that stands out"),
        ("letter", "80,80 80,320", "has no size"),
        ("letter", "80,80 420,3200", "outside the picture"),
    ],
)
def test_what_cannot_be_traced_says_why(tmp_path, way, box, words):
    drawn(ellipse, tmp_path / "d.png")
    with pytest.raises(LiveryError) as caught:
        traced(tmp_path / "d.png", PictureEntry(**KNOWN), way, box)
    assert words in caught.value.findings[0].message


def test_a_name_is_kept_once_and_what_is_there_stays(job):
    survey = job.with_name("survey.toml")
    before = survey.read_bytes()
    again = ("--length", KNOWN["lengths"][0], "--keep", survey)
    result = run("trace", job.with_name("d.png"), "--letter", "side: 60,60 800,400", *again)
    assert result.exit_code and 'has "side" already' in str(result.exception)
    result = run("trace", job.with_name("d.png"), "--letter", "60,60 800,400", *again)
    assert result.exit_code in (1, 2) and "has no name to keep it under" in str(result.exception)
    assert survey.read_bytes() == before
    out = job.with_name("o.svg")
    result = run(
        "trace", job.with_name("d.png"), "--outline", "x: 60,60 800,400", *again, "--svg", out
    )
    assert result.exit_code == 0 and survey.read_bytes().startswith(before)
    assert b"mm" in out.read_bytes()[:300]
