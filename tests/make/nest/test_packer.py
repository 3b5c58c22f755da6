import pytest

from livery.findings import LiveryError
from livery.geometry.outline import Point
from livery.geometry.shapes import polygon, rectangle, ring
from livery.make.nest.nest_store import nest_key, store_nest, stored_nest
from livery.make.nest.packer import _laid, shorter_nest
from livery.make.nest.packing import (
    ALONG_GRAIN,
    Media,
    NestPiece,
    NestSettings,
    bodies_of,
    nest,
)

from .test_packing import assert_sound

MEDIA = Media("film", 100, margin_mm=4)
SETTINGS = NestSettings(2, tries=0)
WEDGE = polygon([Point(10, 5), Point(60, 5), Point(10, 30)])


def pieces():
    return [
        NestPiece("wedge", WEDGE, 6),
        NestPiece("ring", ring(Point(0, 0), 16, 10), 3),
        NestPiece("strip", rectangle(70, 5), 2, ALONG_GRAIN),
        NestPiece("m", rectangle(8, 12, Point(50, 9)), group="word"),
        NestPiece("c", rectangle(6, 12, Point(61, 9)), group="word"),
    ]


def test_search_is_kept_only_if_shorter_and_is_sound():
    made = nest(pieces(), MEDIA, SETTINGS)
    better = shorter_nest(made, pieces(), SETTINGS, seconds=1)
    assert better.measure <= made.measure
    assert_sound(pieces(), better, SETTINGS.spacing_mm)


@pytest.mark.parametrize(("more", "up"), [(0.9, 12.0), (1.1, 12.1)])
def test_what_the_packer_leaves_apart_is_slid_together_by_no_more_than_a_millimetre(more, up):
    """Two plates 10 mm high, the spacing of 2 mm and more between them."""
    plates = [NestPiece("plate", rectangle(30, 10), 2, (0,))]
    bodies = {turned[0].names[0]: turned for turned, _ in bodies_of(plates, SETTINGS)}
    answer = {"laid": [["plate", 0.0, 2.0, 2.0], ["plate", 0.0, 2.0, 14.0 + more]]}
    laid = _laid(answer, bodies, MEDIA, 2.0)
    assert [place for *_, place in laid] == [(0.0, 0.0), pytest.approx((0.0, up))]


def test_search_leaves_a_nest_that_cannot_be_shorter():
    full = [NestPiece("plate", rectangle(50, 92), 2, (0,))]
    made = nest(full, MEDIA, NestSettings(2))
    assert shorter_nest(made, full, NestSettings(2), seconds=1) is made


def test_search_keeps_sheets_apart():
    sheet = Media("mat", 100, 80, 4)
    many = [NestPiece("wedge", WEDGE, 9)]
    made = nest(many, sheet, SETTINGS)
    assert len(made.lengths_mm) > 1
    better = shorter_nest(made, many, SETTINGS, seconds=1)
    assert_sound(many, better, SETTINGS.spacing_mm)


def test_missing_packer_is_told(monkeypatch):
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    made = nest(pieces(), MEDIA, SETTINGS)
    with pytest.raises(LiveryError, match="pip install"):
        shorter_nest(made, pieces(), SETTINGS, seconds=1)


def test_a_failure_of_the_packer_is_told(monkeypatch, tmp_path):
    broken = tmp_path / "broken.py"
    broken.write_text("raise SystemExit('out of memory')")
    monkeypatch.setattr("livery.make.nest.pack_search.__file__", str(broken))
    made = nest(pieces(), MEDIA, SETTINGS)
    with pytest.raises(LiveryError, match="search for a nest failed: out of memory"):
        shorter_nest(made, pieces(), SETTINGS, seconds=1)


def test_a_stored_nest_comes_back_and_gives_the_same_bytes(tmp_path):
    made = nest(pieces(), MEDIA, SETTINGS)
    key = nest_key(pieces(), MEDIA, SETTINGS)
    first, second = tmp_path / "a.json", tmp_path / "b.json"
    store_nest(first, key, made)
    back = stored_nest(first, key, MEDIA)
    assert back is not None
    assert_sound(pieces(), back, SETTINGS.spacing_mm)
    store_nest(second, key, back)
    assert second.read_bytes() == first.read_bytes()
    store_nest(first, "another", made)
    assert stored_nest(first, key, MEDIA) == back


def test_any_change_of_the_pieces_asks_for_a_new_nest(tmp_path):
    key = nest_key(pieces(), MEDIA, SETTINGS)
    changed = pieces()
    changed[0] = NestPiece("wedge", polygon([Point(10, 5), Point(60.01, 5), Point(10, 30)]), 6)
    assert nest_key(changed, MEDIA, SETTINGS) != key
    assert nest_key(pieces(), MEDIA, NestSettings(3)) != key
    assert nest_key(pieces(), Media("film", 101), SETTINGS) != key
    assert stored_nest(tmp_path / "none.json", key, MEDIA) is None


@pytest.mark.parametrize("text", ["", "[]", '{"form": 1}', '{"form": 1, "nests": {"k": {}}}'])
def test_a_spoiled_file_is_told(tmp_path, text):
    path = tmp_path / "nests.json"
    path.write_text(text)
    with pytest.raises(LiveryError, match=r"nests\.json is not a file of stored nests"):
        stored_nest(path, "k", MEDIA)


def test_a_spoiled_line_is_shown(tmp_path):
    path = tmp_path / "nests.json"
    path.write_text('{"form": 1, "nests": {\n spoiled\n}}')
    with pytest.raises(LiveryError) as refused:
        stored_nest(path, "k", MEDIA)
    place = refused.value.findings[0].place
    assert (place.line, place.text) == (2, " spoiled")
