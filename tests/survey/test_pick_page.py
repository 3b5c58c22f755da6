"""The page to pick places with: its text is what every other command reads."""

from __future__ import annotations

import base64
import html
import io
import json
import re
import shlex
import tomllib
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from py_mini_racer import MiniRacer

from livery.cli import livery
from livery.colour.photo.picture import Polygon, Rectangle, Spot
from livery.describe.entries.paint_colour import PhotoSample
from livery.findings import LiveryError
from livery.survey import pick_page as page_module
from livery.survey.pick_page import PickedPlace, pick_page, region_place
from livery.survey.places import (
    read_known_colour,
    read_known_length,
    read_known_rectangle,
    read_region,
)

PHOTO = Path(__file__).resolve().parents[2] / "demo" / "colour" / "workshop.png"
PLACES_JS = Path(page_module.__file__).with_name("page") / "places.js"

CHART = {"kind": "chart", "points": [[403, 80], [587, 80], [587, 194], [403, 194]]}
SIDE = {"kind": "at", "shape": "rectangle", "points": [[90, 245], [270, 300]], "name": "cab side"}
CARD = {
    "kind": "known",
    "shape": "rectangle",
    "points": [[440, 280], [540, 350]],
    "name": "grey card",
    "value": "18 %",
}
SQUARE = {
    "kind": "rectangle",
    "points": [[30, 40], [331, 40], [331, 346], [30, 346]],
    "value": "6' x 6' 1\"",
}


@pytest.fixture(scope="module")
def script() -> MiniRacer:
    """What the page's own script says, run by another engine than a browser's page."""
    engine = MiniRacer()
    engine.eval(PLACES_JS.read_text(encoding="utf-8"))
    return engine


def text_of(script: MiniRacer, mark: dict[str, object]) -> str:
    return str(script.eval(f"Places.text({json.dumps(mark)})"))


def commands(script: MiniRacer, photo: str, *marks: dict[str, object]) -> dict[str, str]:
    found = script.eval(
        f"JSON.stringify(Places.commands({json.dumps(photo)}, {json.dumps(marks)}))"
    )
    return {one["title"]: one["text"] for one in json.loads(str(found))}


TENTHS = st.integers(0, 60000).map(lambda n: n / 10)
POINT = st.tuples(TENTHS, TENTHS)
REGIONS = (
    st.tuples(st.just("rectangle"), st.tuples(POINT, POINT))
    | st.tuples(st.just("spot"), st.tuples(POINT, POINT))
    | st.tuples(st.just("polygon"), st.lists(POINT, min_size=3, max_size=7).map(tuple))
)


@given(REGIONS, st.text())
def test_a_region_reads_back_as_it_was_clicked(script: MiniRacer, region, name: str) -> None:
    shape, points = region
    mark = {"kind": "at", "shape": shape, "points": points, "name": name}
    found = read_region(text_of(script, mark)).region
    match found:
        case Rectangle(x0, y0, x1, y1):
            assert ((x0, y0), (x1, y1)) == points
        case Polygon(corners):
            assert corners == points
        case Spot(x, y, radius):
            assert (x, y) == points[0]
            wide = float(np.hypot(points[1][0] - x, points[1][1] - y))
            assert radius == pytest.approx(max(1.0, wide), abs=0.051)


def test_what_is_known_reads_back(script: MiniRacer) -> None:
    assert read_known_colour(text_of(script, CARD)).name == "grey card"
    assert read_known_rectangle(text_of(script, SQUARE)).height_mm == pytest.approx(73 * 25.4)
    length = {"kind": "length", "points": [[1, 2], [31, 2]], "value": "2' 6\""}
    assert read_known_length(text_of(script, length)).mm == pytest.approx(30 * 25.4)


def test_the_commands_it_shows_do_what_they_say(script: MiniRacer) -> None:
    distance = {"kind": "distance", "points": [[92, 118], [250, 118]], "name": "window"}
    found = commands(script, PHOTO.as_posix(), SIDE, CARD, CHART, SQUARE, distance)
    outputs = {}
    for title in ("Sample the colours", "Measure"):
        words = shlex.split(found[title])
        assert words[0] == "livery"
        if title == "Sample the colours":
            # The chart on the demo's photograph is of its own layout.
            words += ["--chart-values", str(PHOTO.with_name("own-chart.csv"))]
        result = CliRunner().invoke(livery, [*words[1:], "--json"], catch_exceptions=False)
        assert result.exit_code == 0
        outputs[title] = json.loads(result.stdout)
    assert outputs["Sample the colours"]["colours"][0]["name"] == "cab side"
    assert "--known" not in found["Sample the colours"]  # the chart knows more
    assert outputs["Measure"]["sizes"][0]["name"] == "window"


def test_the_line_for_a_description_is_sound(script: MiniRacer) -> None:
    for known, key in ((CHART, "chart"), (CARD, "card")):
        found = commands(script, "work shop.png", SIDE, known)
        entry = tomllib.loads(found["In a description, for cab side"])["sample"]
        sample = PhotoSample.model_validate(entry)
        assert sample.photo == "work shop.png"
        assert sample.region == "rectangle 90,245 270,300"
        assert getattr(sample, key)


@given(st.text(), st.text(min_size=1))
def test_no_name_or_value_gets_out_of_its_quotes(script: MiniRacer, name: str, value: str) -> None:
    mark = {**CARD, "name": name, "value": value}
    for command in commands(script, "a.png", SIDE, mark).values():
        if command.startswith("livery"):
            words = shlex.split(command)
            assert len([w for w in words if w.startswith("--")]) == (len(words) - 3) / 2


def test_what_is_not_whole_gives_no_command(script: MiniRacer) -> None:
    assert commands(script, "a.png", {**SQUARE, "value": " "}) == {}
    assert commands(script, "a.png", CHART) == {}


def picture_in(page: str) -> Image.Image:
    found = re.search(r'href="data:image/jpeg;base64,([^"]+)"', page)
    assert found
    return Image.open(io.BytesIO(base64.b64decode(found[1])))


def test_the_picture_in_the_page_is_the_photograph() -> None:
    shown = picture_in(pick_page(PHOTO))
    own = Image.open(PHOTO).convert("RGB")
    assert shown.size == own.size
    assert np.abs(np.asarray(shown, float) - np.asarray(own, float)).mean() < 2.0


def test_a_photograph_on_its_side_stands_upright(tmp_path: Path) -> None:
    image = Image.new("RGB", (40, 30), "white")
    image.paste("red", (0, 0, 10, 30))
    exif = image.getexif()
    exif[0x0112] = 6  # turned a quarter clockwise to stand upright
    image.save(tmp_path / "a.jpg", exif=exif, quality=95)
    page = pick_page(tmp_path / "a.jpg")
    shown = np.asarray(picture_in(page), float)
    assert shown.shape == (40, 30, 3)
    assert shown[3, 15, 1] < 60 and shown[35, 15, 1] > 220  # the red side is on top
    assert 'width="30" height="40"' in page


def test_nothing_is_fetched_and_no_name_breaks_the_page(tmp_path: Path) -> None:
    name = "<b>&{{page}}.png"
    Image.open(PHOTO).save(tmp_path / name)
    place = PickedPlace("known", ((1.0, 2.0), (3.0, 4.0)), "spot", "</script>", "18 %")
    page = pick_page(tmp_path / name, [place])
    addresses = set(re.findall(r"https?://[^\s\"']+", page))
    assert addresses == {"http://www.w3.org/2000/svg"}  # a name, which nothing fetches
    assert page.count("</script>") == 2
    assert f"<title>Places on {html.escape(name)}</title>" in page
    data = re.search(r"const PHOTO = (.*);\n", page)
    assert data
    assert json.loads(data[1])["marks"][0]["name"] == "</script>"


def test_a_region_is_shown_as_it_would_be_picked(script: MiniRacer) -> None:
    for text in ("a: spot 812,440 30", "b: rectangle 1,2 3,4.5", "c: polygon 1,2 3,4 5,1"):
        name, region = read_region(text)
        place = region_place("at", region, name)
        mark = {"kind": "at", "shape": place.shape, "points": place.points, "name": place.name}
        assert text_of(script, mark) == text


def test_the_command_writes_the_page_and_refuses_slips(tmp_path: Path) -> None:
    out = tmp_path / "page.html"
    words = ["pick", str(PHOTO), str(out), "--at", "cab side: spot 90,245 10"]
    result = CliRunner().invoke(livery, words, catch_exceptions=False)
    assert result.exit_code == 0
    assert '"name": "cab side"' in out.read_text(encoding="utf-8")
    for slip, reported in (
        (["--chart", "1,2 3,4"], "has 2 points"),
        (["--at", "circle 1,2"], "is not a region"),
        (["--known", "card: spot 1,2 3"], "does not say what colour"),
    ):
        with pytest.raises(LiveryError, match=reported):
            CliRunner().invoke(livery, [*words[:3], *slip], catch_exceptions=False)
