"""making.json followed from the written files alone gives the layout back."""

import json
import re
from types import SimpleNamespace

import pytest
import shapely
from fontTools.misc.transform import Transform
from svgelements import SVG

from livery.drawing import Drawing
from livery.geometry.flatten import to_shapely
from livery.geometry.measure import Bounds
from livery.geometry.outline import Contour, Outline
from livery.geometry.path_text import read_path
from livery.make.making import step_words
from livery.make.making_record import _stencil
from livery.pipeline import make_files


@pytest.fixture(scope="module")
def said():
    return []


@pytest.fixture(scope="module")
def made(wagon, said):
    files, _ = make_files(wagon, say=said.append)
    return files


@pytest.fixture(scope="module")
def panel(made):
    record = json.loads(made["record/making.json"])
    assert record["form"] == 3 and record["unit"] == "mm"
    (panel,) = record["panels"]
    return panel


def region(made, place):
    """The region of an element on the panel, straight from the text of its file."""
    text = made[place["file"]].decode()
    (tag,) = re.findall(rf'<path[^>]*\bid="{re.escape(place["element"])}"[^>]*>', text)
    path = re.search(r'\bd="([^"]*)"', tag)[1]
    contours = read_path(path, Transform(*place["to_panel"]))
    return to_shapely(Outline(tuple(Contour(c.segments) for c in contours)))


def test_every_step_is_in_order_and_clear_coats_come_last(panel):
    assert [s["step"] for s in panel["steps"]] == list(range(1, len(panel["steps"]) + 1))
    ways = [s["do"] for s in panel["steps"]]
    assert ways[0] == ways[1] == "spray" and ways[-1] == "spray"
    assert panel["steps"][-1]["paint"] == "varnish"
    # The light paint grins, so it goes on before the dark one.
    assert [s["paint"] for s in panel["steps"][:2]] == ["cream", "green"]
    levels = [s["level"] for s in panel["steps"] if "level" in s]
    assert levels == sorted(levels)


def test_each_step_of_a_build_is_said_with_how_many_there_are(made, said):
    steps = [re.match(r"step (\d+) of 8: \w", words) for words in said]
    assert list(dict.fromkeys(int(step[1]) for step in steps)) == list(range(1, 9))


def test_the_last_step_of_a_build_is_the_last_of_all() -> None:
    assert step_words(8, "plan of the works") == "step 8 of 8: plan of the works"


def test_numbers_of_the_record_are_as_fine_as_what_they_are_compared_with(panel, made):
    """Outlines as laid out, moves by a thousand times finer, words by what a rule is read to."""
    sizes = json.loads(made["record/making.json"])["sizes"]

    def decimals(part):
        numbers = re.findall(r"-?\d+(?:\.(\d+))?", json.dumps(part))
        return max(len(decimals) for decimals in numbers)

    moves = [step["to_panel"] for step in panel["steps"] if "to_panel" in step]
    words = [[x, y] for _, x, y in panel["setting_out"]]
    parts = (panel["unseen"], moves, words, sizes)
    assert [decimals(part) for part in parts] == [6, 9, 2, 9]


def test_following_the_record_paints_the_panel_as_laid_out(made, panel, wagon):
    sheet = to_shapely(Outline(read_path(panel["outline"])))
    for opening in panel["openings"]:
        sheet = sheet.difference(to_shapely(Outline(read_path(opening))))
    shows = {}
    for step in panel["steps"]:
        if step["do"] == "spray":
            if step["paint"] == "varnish":
                continue
            masks = [region(made, m) for m in step["masks"]]
            here = sheet.difference(shapely.union_all(masks))
        else:
            here = region(made, step)
        shows = {p: s.difference(here) for p, s in shows.items()}
        shows[step["paint"]] = shapely.union_all([shows.get(step["paint"], shapely.Point()), here])
    wanted = {}
    (plan,) = wagon.plan.panels
    for piece in plan.pieces:
        if piece.paint == "varnish":
            continue
        here = to_shapely(piece.outline)
        wanted = {p: s.difference(here) for p, s in wanted.items()}
        wanted[piece.paint] = shapely.union_all([wanted.get(piece.paint, shapely.Point()), here])
    assert set(shows) == set(wanted)
    for paint, area in wanted.items():
        # Files are written to 0.001 mm, so edges may be out by that along their length.
        assert shows[paint].symmetric_difference(area).area < 0.002 * area.length + 0.05, paint


def test_mirrored_letters_are_cut_backwards_and_turned_over_again(panel):
    figures = [s for s in panel["steps"] if s.get("mirrored")]
    assert figures
    a, b, c, d, _, _ = figures[0]["to_panel"]
    # From y-down to the panel's y-up is one turning over already; the second undoes it.
    assert a * d - b * c == pytest.approx(1.0)
    plain = next(s for s in panel["steps"] if s.get("mirrored") is False)
    a, b, c, d, _, _ = plain["to_panel"]
    assert a * d - b * c == pytest.approx(-1.0)


def test_a_stencil_names_the_step_of_its_layer_counted_from_1():
    steps = [{"do": "spray"}, {"level": 0}, {"level": 2}, {"level": 3}]
    sheet = SimpleNamespace(
        layer=SimpleNamespace(level=2),
        sheet=Bounds(1.0, 2.0, 3.0, 4.0),
        drawing=Drawing("stencil-side-1", "Trial", 20.0, 10.0, ()),
        from_panel=Transform(1, 0, 0, 1, 5, 6),
    )
    record = _stencil(sheet, steps)
    assert record["step"] == 3 and steps[record["step"] - 1]["level"] == 2
    # From units of SVG, which run down, on a page 10 mm high.
    assert record["to_panel"] == [1, 0, 0, -1, -5, 4]


def test_another_reader_finds_every_element(made, panel):
    for step in panel["steps"]:
        for place in step.get("masks", [step]):
            if "file" in place:
                from io import BytesIO

                svg = SVG.parse(BytesIO(made[place["file"]]))
                assert any(e.id == place["element"] for e in svg.elements())
