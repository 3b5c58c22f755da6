"""PDF, measured in the points that stand in the file."""

from __future__ import annotations

import io
import math
import subprocess
import sys
from typing import NamedTuple

import numpy as np
import pikepdf
import pypdf
import pypdfium2
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.drawing import Area, Drawing, Label, Stroke
from livery.findings import LiveryError
from livery.geometry.flatten import to_line_string
from livery.geometry.outline import Contour, Point, chain
from livery.geometry.shapes import rectangle
from livery.paper_sizes import PAPERS_MM, Roll
from livery.write.label_face import label_width
from livery.write.pdf import pdf_bytes
from livery.write.tiled_pdf import tiled_pdf
from livery.write.tiles import NAME_MM, NamedLine, page_marks, plan_tiles

POINTS = 72.0 / 25.4


class Ruled(NamedTuple):
    """A straight line found in a page, in points from its lower left corner."""

    start: tuple[float, float]
    end: tuple[float, float]

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)


def ruled_lines(page: pikepdf.Page) -> list[Ruled]:
    """Return all single straight lines of a page's own content, carried by its matrices."""
    found, matrix, stack, at = [], pikepdf.Matrix(), [], (0.0, 0.0)
    for operands, operator in pikepdf.parse_content_stream(page):
        match str(operator):
            case "q":
                stack.append(matrix)
            case "Q":
                matrix = stack.pop()
            case "cm":
                matrix = pikepdf.Matrix(*(float(o) for o in operands)) @ matrix
            case "m":
                at = matrix.transform(tuple(float(o) for o in operands))
            case "l":
                found.append(Ruled(at, matrix.transform(tuple(float(o) for o in operands))))
    return found


def opened(data: bytes) -> pikepdf.Pdf:
    return pikepdf.open(io.BytesIO(data))


def shown(data: bytes, page: int, dots_per_mm: float) -> np.ndarray:
    document = pypdfium2.PdfDocument(data)
    return np.asarray(document[page].render(scale=dots_per_mm / POINTS).to_pil().convert("L"))


def board(width: float, height: float) -> Drawing:
    return Drawing("board", "Board", width, height, (Area(rectangle(width, height), "#000000"),))


def test_each_drawing_is_a_page_of_its_own_size(specimen: Drawing) -> None:
    pages = opened(pdf_bytes([specimen, board(210, 30)])).pages
    sizes = [[float(v) / POINTS for v in page.mediabox[2:]] for page in pages]
    assert sizes == [pytest.approx([603, 142], abs=1e-3), pytest.approx([210, 30], abs=1e-3)]


def test_a_line_of_a_drawing_has_its_true_length_in_points() -> None:
    line = Stroke(chain([Point(10, 10), Point(110, 10)], closed=False))
    document = opened(pdf_bytes([Drawing("a", "a", 200, 20, (line,))]))
    (ruled,) = ruled_lines(document.pages[0])
    assert ruled.length == pytest.approx(283.4646, abs=1e-3)
    assert ruled.start[0] == pytest.approx(10 * POINTS, abs=1e-4)


@pytest.mark.parametrize("paper", sorted(PAPERS_MM))
@pytest.mark.parametrize("size", [(603, 142), (50, 50), (300, 900)])
def test_every_page_has_both_bars_in_true_size(paper: str, size: tuple[float, float]) -> None:
    document = opened(tiled_pdf(board(*size), paper))
    for page in document.pages:
        level = [r.length for r in ruled_lines(page) if abs(r.start[1] - r.end[1]) < 1e-6]
        assert any(length == pytest.approx(283.4646, abs=2e-3) for length in level)  # 100 mm
        assert any(length == pytest.approx(288.0, abs=2e-3) for length in level)  # 4 in
    words = pypdf.PdfReader(io.BytesIO(tiled_pdf(board(*size), paper))).pages[0].extract_text()
    assert words.count("measure before use") == 2


def test_labels_can_be_searched(specimen: Drawing) -> None:
    words = pypdf.PdfReader(io.BytesIO(pdf_bytes([specimen]))).pages[0].extract_text()
    assert 'Datum: 4 ft 1½ in -> 3/8"' in words


def test_a_cap_has_the_height_asked_for() -> None:
    data = pdf_bytes([Drawing("a", "a", 40, 30, (Label("H", Point(10, 10), 10.0),))])
    rows = np.where(shown(data, 0, 20.0).min(axis=1) < 128)[0]
    assert (rows.max() + 1 - rows.min()) / 20.0 == pytest.approx(10.0, abs=0.1)
    assert 30 - (rows.max() + 1) / 20.0 == pytest.approx(10.0, abs=0.1)


def test_what_fits_is_one_page_without_joins() -> None:
    data = tiled_pdf(board(150, 200))
    assert len(opened(data).pages) == 1
    words = pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text()
    assert "joins" not in words and "1-1" not in words


def test_pages_lie_the_way_that_takes_fewest() -> None:
    sideways = plan_tiles(board(603, 142), "A4", 10, 10)
    assert sideways.page_mm == (297.0, 210.0) and sideways.count == 3
    upright = plan_tiles(board(180, 600), "A4", 10, 10)
    assert upright.page_mm == (210.0, 297.0) and upright.count == 3


def test_on_a_roll_a_template_is_one_long_sheet() -> None:
    across = plan_tiles(board(2600, 200), Roll(297.0), 10, 10)
    assert across.count == across.pages == 1 and across.page_mm == (2620.0, 297.0)
    turned = plan_tiles(board(250, 900), Roll(297.0), 10, 10)  # too tall to lie along the roll
    assert turned.count == 1 and turned.page_mm == (297.0, 948.0)
    shorter = plan_tiles(board(250, 220), Roll(420.0), 10, 10)  # either way fits
    assert shorter.count == 1 and shorter.page_mm == (420.0, 268.0)
    words = pypdf.PdfReader(io.BytesIO(tiled_pdf(board(600, 200), Roll(297.0)))).pages[0]
    assert "297 mm roll" in words.extract_text()


def test_what_a_roll_cannot_hold_in_one_sheet_is_tiled_with_its_plan_on_a4() -> None:
    wide = plan_tiles(board(2600, 500), Roll(297.0), 10, 10)
    assert (wide.rows, wide.columns) == (3, 1)
    long = plan_tiles(board(6000, 200), Roll(297.0), 10, 10)
    assert (long.rows, long.columns) == (1, 2)
    assert long.page_mm == (5000.0, 297.0)
    sizes = [p.mediabox[2:] for p in opened(tiled_pdf(board(2600, 500), Roll(297.0))).pages]
    assert [round(float(width) / POINTS) for width, _ in sizes] == [297, 2620, 2620, 2620]
    assert float(sizes[0][1]) / POINTS == pytest.approx(210.0, abs=1e-3)


def test_a_roll_narrower_than_the_words_at_its_foot_is_refused() -> None:
    assert plan_tiles(board(600, 100), Roll(210.0), 10, 10).count == 1
    with pytest.raises(LiveryError, match="use a roll of 210 mm or wider"):
        tiled_pdf(board(600, 100), Roll(209.9))


def test_tiles_are_named_and_name_their_neighbours() -> None:
    data = tiled_pdf(board(360, 360))
    reader = pypdf.PdfReader(io.BytesIO(data))
    words = {
        name: page.extract_text()
        for name, page in zip(["1-1", "1-2", "2-1", "2-2"], reader.pages[1:], strict=True)
    }
    assert "A joins 1-2" in words["1-1"] and "C joins 2-1" in words["1-1"]
    assert "D joins 1-2" in words["2-2"] and "B joins 2-1" in words["2-2"]
    assert all(name in text for name, text in words.items())


@settings(deadline=None)
@given(
    st.floats(1, 3000),
    st.floats(1, 3000),
    st.sampled_from(sorted(PAPERS_MM)),
    st.floats(5, 15),
    st.floats(0, 20),
)
def test_tiles_cover_the_drawing_and_share_the_overlap(
    width: float, height: float, paper: str, margin: float, overlap: float
) -> None:
    plan = plan_tiles(board(width, height), paper, margin, overlap)
    tiles = {(t.row, t.column): t for t in plan.tiles()}
    wide, high = plan.window_mm
    last = tiles[plan.rows - 1, plan.columns - 1]
    assert tiles[0, 0].left_mm <= 1e-6 and last.left_mm + wide >= width - 1e-6
    assert last.bottom_mm <= 1e-6 and tiles[0, 0].bottom_mm + high >= height - 1e-6
    for (row, column), tile in tiles.items():
        if (row, column + 1) in tiles:
            shared = tile.left_mm + wide - tiles[row, column + 1].left_mm
            assert shared == pytest.approx(overlap, abs=1e-6)
        if (row + 1, column) in tiles:
            shared = tiles[row + 1, column].bottom_mm + high - tile.bottom_mm
            assert shared == pytest.approx(overlap, abs=1e-6)
    assert len({t.name for t in tiles.values()}) == plan.count


def test_join_lines_fall_on_the_same_place_of_the_drawing() -> None:
    plan = plan_tiles(board(603, 142), "A4", 10, 12)
    first, second, _ = plan.tiles()

    def crosses(tile: object, left: float) -> set[tuple[float, float]]:
        found = set()
        for mark in page_marks(plan, tile):  # type: ignore[arg-type]
            if isinstance(mark, Stroke) and len(mark.contour.segments) == 1:
                a, b = mark.contour.start, mark.contour.end
                if abs(a.x - b.x) == pytest.approx(3.0) and a.y > plan.window_at.y:
                    x = (a.x + b.x) / 2 - plan.window_at.x + left
                    found.add((round(x, 6), round(a.y, 6)))
        return found

    shared = crosses(first, first.left_mm) & crosses(second, second.left_mm)
    assert len(shared) >= 4
    assert {x for x, _ in shared} == {round(second.left_mm + 6.0, 6)}


def test_a_name_that_lines_run_through_everywhere_stands_where_the_fewest_do() -> None:
    upright = chain([Point(50.0, 0.0), Point(50.0, 100.0)], closed=False)
    levels = (-20.0, -10.0, 5.0, 6.0, 7.0, 8.0, 9.0, 50.0, 99.5, 100.5, 110.0, 120.0)
    across = [chain([Point(20.0, y), Point(80.0, y)], closed=False) for y in levels]
    marks = [Stroke(line, "#000000", 0.1) for line in (upright, *across)]
    name = "corner: 90 deg away, inside radius 31.49 mm"
    assert 45.0 < label_width(name, NAME_MM) < 84.0
    drawing = Drawing("panel", "panel", 100.0, 105.0, tuple(marks))
    plan = plan_tiles(drawing, "A4", 10, 10, (NamedLine(name, upright),))
    (tile,) = plan.tiles()
    (label,) = (m for m in page_marks(plan, tile) if isinstance(m, Label) and m.text == name)
    begin = label.at.y - plan.window_at.y + tile.bottom_mm
    end = begin + label_width(name, label.height_mm)
    assert [y for y in levels if begin < y < end] == [50.0]


def test_a_name_longer_than_its_line_stands_before_or_behind_it_rather_than_across_others() -> None:
    """A datum across one narrow gore of several."""
    gores = [Area(rectangle(7.0, 60.0, Point(9.0 * i, 20.0)), None, "#000000") for i in range(4)]
    line = chain([Point(0.0, 40.0), Point(7.0, 40.0)], closed=False)
    for named in (line, line.reversed()):
        marks = (*gores, Stroke(named, "#000000", 0.1))
        drawing = Drawing("panel", "panel", 40.0, 100.0, marks)
        plan = plan_tiles(drawing, "A4", 10, 10, (NamedLine("shoulder", named),))
        (tile,) = plan.tiles()
        (label,) = (m for m in page_marks(plan, tile) if getattr(m, "text", "") == "shoulder")
        begin = label.at.x - plan.window_at.x + tile.left_mm
        assert begin + label_width("shoulder", NAME_MM) == pytest.approx(-1.5)
        up = label.at.y - plan.window_at.y + tile.bottom_mm
        assert up == pytest.approx(40.0 - NAME_MM / 2.0) and label.angle == 0.0


def test_the_name_of_a_line_stands_clear_of_the_lines_of_the_drawing() -> None:
    """Edges lie where each name would begin, and a line runs just over one of those named."""
    edge = Area(rectangle(120.0, 60.0, Point(20.0, 20.0)), None, "#000000", 0.25)

    def across(y: float) -> Contour:
        return chain([Point(15.0, y), Point(145.0, y)], closed=False)

    upright = chain([Point(80.0, 15.0), Point(80.0, 85.0)], closed=False)
    named = {"middle": across(50.0), "waist": across(30.0), "centre": upright}
    lines = [*named.values(), across(31.0)]
    marks = (edge, *(Stroke(line, "#000000", 0.1) for line in lines))
    drawing = Drawing("panel", "panel", 160.0, 100.0, marks)
    plan = plan_tiles(
        drawing, "A4", 10, 10, tuple(NamedLine(name, line) for name, line in named.items())
    )
    (tile,) = plan.tiles()
    move = (plan.window_at.x - tile.left_mm, plan.window_at.y - tile.bottom_mm)
    drawn = [to_line_string(line) for line in (*lines, *edge.outline)]
    placed = {m.text: m for m in page_marks(plan, tile) if isinstance(m, Label)}
    for name, line in named.items():
        label = placed[name]
        box = shapely.box(0.0, 0.0, label_width(name, label.height_mm), label.height_mm)
        turned = shapely.affinity.rotate(box, label.angle, origin=(0.0, 0.0))
        box = shapely.affinity.translate(turned, label.at.x - move[0], label.at.y - move[1])
        assert not any(box.intersects(other) for other in drawn), name
        assert box.distance(to_line_string(line)) == pytest.approx(0.8)
    assert placed["middle"].at.y - move[1] > 50.0 and placed["waist"].at.y - move[1] < 30.0


def test_the_windows_put_together_show_the_whole_drawing() -> None:
    """A line drawn across all tiles is found on every page where the plan says."""
    line = Stroke(chain([Point(0, 30), Point(603, 112)], closed=False), width_mm=0.4)
    drawing = Drawing("a", "a", 603, 142, (line,))
    plan = plan_tiles(drawing, "A4", 10, 10)
    data = tiled_pdf(drawing)
    for page, tile in enumerate(plan.tiles(), start=1):  # page 0 is the plan of the tiles
        x_mm = plan.window_mm[0] / 2
        on_drawing = tile.left_mm + x_mm
        y_mm = plan.window_at.y + (30 + on_drawing * 82 / 603) - tile.bottom_mm
        picture = shown(data, page, 20.0)
        top = plan.page_mm[1] - plan.window_at.y - plan.window_mm[1]
        column = picture[
            int(top * 20) : int((plan.page_mm[1] - plan.window_at.y) * 20),
            int((plan.window_at.x + x_mm) * 20),
        ]
        rows = np.where(column < 128)[0]
        assert plan.page_mm[1] - (top + rows.mean() / 20) == pytest.approx(y_mm, abs=0.1)


def test_the_drawing_is_stored_once() -> None:
    marks = tuple(
        Area(rectangle(1, 1, Point(i % 60 * 10, i // 60 * 10)), "#000000") for i in range(3600)
    )
    drawing = Drawing("a", "a", 600, 600, marks)
    assert plan_tiles(drawing, "A4", 10, 10).count == 12
    assert len(tiled_pdf(drawing)) < 3 * len(pdf_bytes([drawing]))


def test_the_same_drawing_gives_the_same_bytes_in_any_process(specimen: Drawing) -> None:
    script = (
        "import hashlib;from livery.drawing import *;from livery.geometry.outline import Point;"
        "from livery.write.tiled_pdf import tiled_pdf;"
        "d=Drawing('a','A',603,142,(Label('No 318',Point(9,9)),));"
        "print(hashlib.sha256(tiled_pdf(d)).hexdigest())"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", script],
            capture_output=True,
            text=True,
            check=True,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(sys.path)},
        ).stdout
        for seed in ("1", "2")
    }
    assert len(runs) == 1
    assert pdf_bytes([specimen]) == pdf_bytes([specimen])


def test_an_unknown_paper_or_no_room_is_a_clear_fault() -> None:
    with pytest.raises(LiveryError, match="write one of A4, A3, A2, A1, Letter, Tabloid"):
        tiled_pdf(board(10, 10), "foolscap")
    with pytest.raises(LiveryError, match="margin or the overlap smaller"):
        tiled_pdf(board(10, 10), "A4", margin_mm=80)
