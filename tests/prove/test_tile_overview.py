"""The plan of the tiles, a template's first page: every fault of it is found."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely import box

from livery.drawing import Area, Drawing, Label
from livery.geometry.outline import Point
from livery.geometry.shapes import rectangle
from livery.prove.contour import ReadContour
from livery.prove.pdf_file import PdfPage, PdfWords, read_pdf, read_words
from livery.prove.templates import template_faults
from livery.write.label_face import label_width
from livery.write.tile_overview import REDUCTIONS, TileOverview, tile_overview
from livery.write.tiled_pdf import tiled_pdf
from livery.write.tiles import plan_tiles

BOARD = Drawing("board", "Board", 380, 300, (Area(rectangle(360, 280, Point(10, 10)), "#000000"),))
DRAWN = [ReadContour(np.array([(0.0, 0.0), (360.0, 0.0), (360.0, 280.0), (0.0, 280.0)]), True)]
Read = tuple[list[PdfPage], list[PdfWords]]


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> Read:
    file: Path = tmp_path_factory.mktemp("tiles") / "template.pdf"
    file.write_bytes(tiled_pdf(BOARD))
    return list(read_pdf(file)), list(read_words(file))


def told(pages: list[PdfPage], words: list[PdfWords]) -> str:
    return "\n".join(template_faults(pages, words, DRAWN))


def renamed(words: PdfWords, names: dict[str, str]) -> PdfWords:
    return PdfWords(tuple(w._replace(words=names.get(w.words, w.words)) for w in words.placed))


def test_the_plan_of_the_tiles_is_the_first_page_and_holds(read: Read) -> None:
    pages, words = read
    assert len(pages) == plan_tiles(BOARD, "A4", 10, 10).pages == 5
    assert told(pages, words) == ""
    said = words[0].text.splitlines()
    assert {"plan of the tiles", "1-1", "1-2", "2-1", "2-2", *"ABCD"} <= set(said)
    assert "scale 1:2: only the bars are full size" in said


def test_each_join_has_the_letter_that_its_pages_carry(read: Read) -> None:
    _, words = read
    at = {w.words: w.at for w in words[0].placed}
    middle = {n: at[n] for n in ("1-1", "1-2", "2-1", "2-2")}
    assert middle["1-1"][0] < at["A"][0] < middle["1-2"][0] and "A joins 1-2" in words[1].text
    assert middle["2-1"][1] < at["C"][1] < middle["1-1"][1] and "C joins 2-1" in words[1].text


def test_two_numbers_that_change_places_are_found(read: Read) -> None:
    pages, words = read
    swapped = renamed(words[0], {"1-1": "2-2", "2-2": "1-1"})
    said = told(pages, [swapped, *words[1:]])
    assert "page 1 does not say 1-1 on that tile" in said
    assert "page 1 does not say 2-2 on that tile" in said


def test_a_tile_that_is_not_where_its_page_shows_it_is_found(read: Read) -> None:
    pages, words = read
    shown = {id(c.points) for c in pages[0].shown}
    moved = tuple(
        c if id(c.points) in shown else ReadContour(c.points + np.array((0.5, 0.0)), c.closed)
        for c in pages[0].contours
    )
    said = told([replace(pages[0], contours=moved), *pages[1:]], words)
    assert said.count("does not have tile") == 4


def test_another_scale_or_none_is_found(read: Read) -> None:
    pages, words = read
    line = "scale 1:2: only the bars are full size"
    wrong = renamed(words[0], {line: "scale 1:5: only the bars are full size"})
    assert told(pages, [wrong, *words[1:]]) == "page 1 does not show the panel at 1:5"
    none = renamed(words[0], {line: "not to scale"})
    assert "does not say the scale" in told(pages, [none, *words[1:]])


@pytest.mark.parametrize(("size", "reduction"), [((500, 160), 2), ((900, 700), 5), ((5e4, 9), 200)])
def test_the_scale_is_the_largest_round_one_that_fits(
    size: tuple[float, float], reduction: int
) -> None:
    plan = plan_tiles(Drawing("a", "a", *size, ()), "A4", 10, 10)
    overview = tile_overview(plan)
    assert overview.reduction == reduction and reduction in REDUCTIONS
    left, bottom = overview.origin
    assert left >= plan.window_at.x and bottom >= plan.window_at.y
    assert left + size[0] / reduction <= plan.window_at.x + plan.window_mm[0]
    assert bottom + size[1] / reduction <= plan.window_at.y + plan.window_mm[1]


def _labels(overview: TileOverview) -> dict[str, Label]:
    return {m.text: m for m in overview.marks if isinstance(m, Label)}


def test_numbers_and_letters_stand_clear_of_the_drawing_where_there_is_room() -> None:
    bare = tile_overview(plan_tiles(BOARD, "A4", 10, 10))
    first = _labels(bare)
    hidden = ("2-2", "B", "D")
    places = [
        Point(*((v - o) * bare.reduction for v, o in zip(first[n].at, bare.origin, strict=True)))
        for n in hidden
    ]
    crests = [Area(rectangle(4, 4, Point(p.x - 2, p.y + 2)), "#000000") for p in places]
    plan = plan_tiles(replace(BOARD, marks=(*BOARD.marks, *crests)), "A4", 10, 10)
    shown = tile_overview(plan)
    words = _labels(shown)
    for name in ("1-1", "1-2", "2-1", "2-2", *"ABCD"):
        label = words[name]
        x, y = ((v - o) * shown.reduction for v, o in zip(label.at, shown.origin, strict=True))
        sizes = (label_width(name, label.height_mm) / 2.0, label.height_mm)
        half, high = (v * shown.reduction for v in sizes)
        inside = box(x - half, y, x + half, y + high)
        assert not any(line.intersects(inside) for line in plan.drawn), name
        assert (label.at != first[name].at) is (name in hidden)
