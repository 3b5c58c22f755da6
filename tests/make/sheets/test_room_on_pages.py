"""How large pictures are, what stands beside them, and when the rest of a page is too little."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from itertools import pairwise
from types import SimpleNamespace

import pytest
from fontTools.misc.transform import Identity
from PIL import Image

from livery.drawing import Area, Label, Mark, Stroke
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Outline, Point, chain
from livery.geometry.shapes import rectangle
from livery.layout.piece import PieceKind
from livery.layout.plan import Baseline
from livery.make.drawings.vehicle_elevation import VIEW_WORDS
from livery.make.making import Making
from livery.make.sheets import coat_sheet, colour_card, vehicle_sheet
from livery.make.sheets.film_page_search import PageOfSteps, pages_of_steps
from livery.make.sheets.film_pages import _fill
from livery.make.sheets.film_steps import SCALES, LayingStep, StepSetting, steps_of_panel
from livery.make.sheets.fold_numbers import number_marks
from livery.make.sheets.free_places import FreePlaces
from livery.make.sheets.front_page import _Entry, _file_row, _rows
from livery.make.sheets.guide_strips import CLEAR_MM, draw_strips
from livery.make.sheets.letter_places import lettered_lines
from livery.make.sheets.marked_sizes import MarkedSize, Sizes
from livery.make.sheets.page_flow import (
    LEADING,
    MARGIN_MM,
    TEXT_MM,
    PageFlow,
    with_no_short_page,
)
from livery.make.sheets.panel_pictures import panel_rows
from livery.make.sheets.running import DimensionRow, Figure, SheetSide, row_marks
from livery.make.sheets.setting_out import _Marked, _SheetLayout
from livery.make.sheets.setting_out_details import detail_sheets
from livery.make.sheets.title_block import TitleBlock
from livery.make.sheets.vehicle_sheet import SheetView
from livery.make.sheets.written_columns import written_columns
from livery.vehicles.view import View
from livery.write.label_face import LEAST_CAP_MM, label_width

ROOM_MM = 180.0


def words_of(marks: list[Mark] | tuple[Mark, ...]) -> list[str]:
    return [m.text for m in marks if isinstance(m, Label)]


def blank(wide: float, high: float) -> SimpleNamespace:
    """Return a panel with nothing on it."""
    frame = SimpleNamespace(
        extent=Bounds(0.0, 0.0, wide, high), outline=rectangle(wide, high), scale="1:8"
    )
    return SimpleNamespace(frame=frame, pieces=(), keep_outs=(), name="side", title="Side")


@pytest.mark.parametrize(("high", "drawn"), [(42.0, 42.0), (42.1, 21.05)])
def test_a_coats_picture_is_at_most_so_high(high: float, drawn: float) -> None:
    own = SimpleNamespace(panel=blank(50.0, high))
    assert coat_sheet._scale(own, ROOM_MM)[1] == pytest.approx(drawn)  # type: ignore[arg-type]


def test_words_stand_beside_a_picture_of_half_the_page_and_below_a_wider_one() -> None:
    widths = (ROOM_MM / 2.0, ROOM_MM / 2.0 + 0.1)
    owns = [SimpleNamespace(panel=blank(wide, 30.0)) for wide in widths]
    assert [coat_sheet._beside(own, ROOM_MM) for own in owns] == [True, False]  # type: ignore[arg-type]


@pytest.mark.parametrize(("high", "scale"), [(34.0, "full size"), (34.1, "1:2")])
def test_a_panel_in_the_job_book_and_on_the_front_page_is_at_most_so_high(
    high: float, scale: str
) -> None:
    panel = blank(50.0, high)
    making = SimpleNamespace(shown={}, plan=SimpleNamespace(plates=(), panels=(panel,)))
    flow = PageFlow("a", "A", "A4")
    panel_rows(flow, [panel, panel, panel], making)  # type: ignore[arg-type,list-item]
    assert any(scale in words for words in words_of(flow.pages[0]))
    lefts = {m.at.x for m in flow.pages[0] if isinstance(m, Label)}
    assert len(lefts) == 3  # side by side


@pytest.mark.parametrize(("rest", "pages"), [(11.4, 1), (11.3, 2)])
def test_a_section_of_a_card_begins_where_two_lines_have_room_under_its_heading(
    rest: float, pages: int
) -> None:
    card = colour_card._Card((210.0, 297.0), ("green", ""), colour_card.LEADING)
    card.y = colour_card.MARGIN_MM + 6.0 + rest
    card.section(colour_card._CardSection("Notes", ()))
    assert len(card.pages) == pages


@pytest.mark.parametrize(("spare", "pages"), [(0.01, 1), (-0.01, 2)])
def test_cautions_of_a_card_stand_on_one_page(spare: float, pages: int) -> None:
    card = colour_card._Card((210.0, 297.0), ("green", ""), colour_card.LEADING)
    rows = tuple((words,) for words in ("one", "two", "three"))
    high = 2.0 * colour_card.TEXT_MM + 3.0 * card.line
    card.y = colour_card.MARGIN_MM + 6.0 + high + spare
    card.section(colour_card._CardSection("Cautions", rows, on_one_page=True))
    assert len(card.pages) == pages


def test_words_under_a_patch_end_2_mm_before_the_next_and_the_first_two_are_black() -> None:
    card = colour_card._Card((210.0, 297.0), ("green", ""), colour_card.LEADING)
    room, high = 60.0 - 2.0, colour_card.TEXT_MM
    long = next(w for i in range(99) if label_width(w := "of " + "i" * i, high) > room)
    assert label_width(long, high) < 60.0
    card.patches((colour_card._Patch((50.0, 0.0, 0.0), ("Target", "Lab", "known", long)),), 46.0)
    labels = [m for m in card.marks if isinstance(m, Label)]
    assert [m.text for m in labels] == ["Target", "Lab", "known", *long.split()]
    assert [m.colour for m in labels] == [*["#000000"] * 2, *[colour_card.GREY] * 3]
    # The lines of a paragraph hang in, 6 mm less than the page between its margins.
    wide = max(label_width(line, high) for line in card._lines("word " * 99))
    assert ROOM_MM - 6.0 - label_width(" word", high) < wide <= ROOM_MM - 6.0


@pytest.mark.parametrize(
    ("lines", "pages", "tightness"), [(71, 1, 1.0), (74, 1, 0.95), (78, 1, 0.9), (81, 2, 1.0)]
)
def test_a_page_of_a_few_lines_is_saved_by_tighter_lines(
    lines: int, pages: int, tightness: float
) -> None:
    def filled(tightness: float) -> PageFlow:
        book = PageFlow("a", "A", "A4", tightness=tightness)
        for i in range(lines):
            book.text(f"line {i}")
        return book

    book = with_no_short_page(filled)
    assert (len(book.pages), book.tightness) == (pages, tightness)
    heights = [m.at.y for m in book.pages[0] if isinstance(m, Label)]
    assert heights[0] - heights[1] == pytest.approx(LEADING * TEXT_MM * tightness)


@pytest.mark.parametrize(("used", "short"), [(49.9, True), (50.1, False)])
def test_a_last_page_is_short_under_50_mm(used: float, short: bool) -> None:
    flow = PageFlow("a", "A", "A4")
    card = colour_card._Card((210.0, 297.0), ("green", ""), colour_card.LEADING)
    flow.start_page()
    assert not flow.is_last_page_short and not card.is_last_page_short
    flow.start_page()
    card.pages.append([])
    flow.gap(used)
    card.y = card.top - used
    assert flow.is_last_page_short is card.is_last_page_short is short


def test_details_end_just_above_the_title_block_of_their_sheet(wagon_making: Making) -> None:
    """Each heading more moves the lines by a fifth of their distance: one of five ends near the rest."""
    panel, block = wagon_making.plan.panels[0], TitleBlock("Trial", "Side")
    flow = PageFlow("a", "A", "A4", sideways=True)
    top = MARGIN_MM + 5.0 + block.height(flow.room)  # of the block, which stands over the bar
    rests = []
    for more in range(5):
        lists = {f"List {i}": ["at 1"] for i in range(more)} | {"Sizes": ["at 2" + " " * 40] * 600}
        marks = detail_sheets(panel, block, "A4", lists, {})[0].marks
        ends = min(m.at.y for m in marks if isinstance(m, Label) and m.text.startswith("at "))
        rests.append(ends - (LEADING - 1.0) * TEXT_MM - top)
    assert 3.0 - 1e-6 <= min(rests) < 3.8


@pytest.mark.parametrize(("more", "fits"), [(0.0, True), (0.1, False)])
def test_letters_have_a_strip_that_leaves_75_mm_of_the_pages_height(
    more: float, fits: bool
) -> None:
    flow = PageFlow("a", "A", "A4", sideways=True)
    high = flow.size[1] - 75.0 - 2.0 * CLEAR_MM + more
    letters = Outline(rectangle(60.0, high).contours)
    piece = SimpleNamespace(kind=PieceKind.LETTERING, key="a", outline=letters)
    base = Baseline("I", Point(0, 0), Point(60, 0), high, "a")
    (line,) = lettered_lines(SimpleNamespace(pieces=(piece,), baselines=(base,)))  # type: ignore[arg-type]
    draw_strips(flow, line)
    said = [w for page in flow.pages for w in words_of(page)]
    assert any("Guide strip" in w for w in said) is fits
    assert any("Too high for a strip" in w for w in said) is not fits


def test_words_in_a_crowd_are_led_away_as_far_as_38_mm() -> None:
    at = Point(0.0, 0.0)
    grid = [Stroke(chain([(x, -90.0), (x, 90.0)], closed=False)) for x in range(-90, 36)]
    places = FreePlaces(grid, Bounds(-90.0, -90.0, 90.0, 90.0))
    box, off = places.beside("A", 2.0, at, 0.0)
    assert off == 38.0 and places.is_free(box) and (box.left + box.right) / 2.0 == 38.0


def step_of(
    *whole: tuple[float, float], half: Sequence[tuple[float, float]] = (), wide: float = 100.0
) -> LayingStep:
    """Return a step that may be set so: scale and height of each way, over the page and over half."""
    panel = SimpleNamespace(frame=SimpleNamespace(extent=Bounds(0.0, 0.0, wide, 50.0)))
    ways = [
        tuple(StepSetting(scale, False, high, None) for scale, high in own)  # type: ignore[arg-type]
        for own in (whole, half)
    ]
    return LayingStep(panel, (), *ways, max(scale for scale, _ in whole))  # type: ignore[arg-type]


def filled_with(*steps: LayingStep, end_mm: float = 0.0) -> list[list[int]]:
    """Return how many steps stand in each row of each page of A4, which has 174 mm for them."""
    book = PageFlow("film", "Film", "A4", sideways=True)
    book.start_page()
    return [[len(row) for row in page.rows] for page in pages_of_steps(book, steps, end_mm)]


@pytest.mark.parametrize(
    ("steps", "rows"),
    [
        ([step_of((0.2, 85.5))] * 2, [[1, 1]]),  # 3 mm apart
        ([step_of((0.2, 85.6))] * 2, [[1], [1]]),
        ([step_of((0.2, 100.0), half=[(0.2, 150.0)])] * 2, [[2]]),
        ([step_of((0.2, 100.0), half=[(0.131, 150.0)])] * 2, [[2]]),
        ([step_of((0.2, 100.0), half=[(0.129, 150.0)])] * 2, [[1], [1]]),  # too small
        ([step_of((0.2, 100.0), half=[(0.1, 150.0)], wide=1150.0)] * 2, [[2]]),  # 115 mm on paper
        ([step_of((0.2, 100.0), half=[(0.1, 150.0)], wide=1149.0)] * 2, [[1], [1]]),
        ([step_of((0.2, 20.0))] * 7, [[1], [1] * 6]),  # six at most
    ],
)
def test_as_many_steps_of_film_stand_on_a_page_as_have_room(
    steps: list[LayingStep], rows: list[list[int]]
) -> None:
    assert filled_with(*steps) == rows


def test_pictures_of_film_are_as_large_as_the_page_has_room_for() -> None:
    book = PageFlow("film", "Film", "A4", sideways=True)
    book.start_page()
    grows = step_of((0.2, 60.0), (0.25, 90.0), (0.3, 174.0))

    def scales(*steps: LayingStep, end_mm: float = 0.0) -> list[list[float]]:
        return [
            [one.scale for one in page.settings] for page in pages_of_steps(book, steps, end_mm)
        ]

    assert scales(grows) == [[0.3]]
    assert scales(grows, end_mm=1.0) == [[0.25]]
    other = grows._replace(panel=step_of((0.2, 1.0), wide=98.0).panel)
    assert scales(grows, other) == [[0.25, 0.2]]
    assert scales(grows, grows) == [[0.2, 0.2]]  # two hands of a panel alike
    assert scales(*[step_of((0.2, 60.0), (0.25, 80.0))] * 2) == [[0.25, 0.25]]
    assert scales(step_of((0.2, 100.0), (0.01, 10.0)), end_mm=80.0) == [[0.01]]  # alone: any size
    assert pages_of_steps(book, [step_of((0.2, 100.0))], 80.0) == ()


def test_steps_side_by_side_are_read_one_after_the_other_in_their_halves(
    wagon_making: Making,
) -> None:
    book = PageFlow("film", "Film", "A4", sideways=True)
    book.start_page()
    step, *_ = steps_of_panel(book, wagon_making.plan.panels[0], wagon_making.sheets)
    half = min(step.half, key=lambda way: way.height)
    _fill(book, PageOfSteps(((step, step),), (half, half), 2.0), wagon_making.colours)
    labels = [m for m in book.pages[0] if isinstance(m, Label)]
    middle = book.size[0] / 2.0
    is_right = [label.at.x > middle for label in labels]
    assert is_right == sorted(is_right) and is_right.count(True) == len(labels) / 2
    begins = [label.at.x for label in labels if label.text == step.panel.title]
    assert begins == pytest.approx([15.0, middle + 4.0])
    rules = [m for m in book.pages[0] if isinstance(m, Stroke) and m.width_mm == 0.25]
    ends = [bounds(Outline((m.contour,))).right for m in rules]
    assert ends == pytest.approx([middle - 4.0, book.size[0] - 15.0])


@pytest.mark.parametrize("reduction", [2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 40.0, 80.0])
def test_pictures_of_film_have_round_scales_and_halves_of_them(reduction: float) -> None:
    assert 1.0 / reduction in SCALES and 1.0 / 3.0 not in SCALES


def test_a_table_over_two_pages_is_read_column_by_column_on_each() -> None:
    flow = PageFlow("a", "A", "A4", sideways=True)
    flow.repeats_heading = True
    flow.heading("Offsets")
    flow.gap(flow.y - 60.0)
    lines = [f"{i:03d} and some words to fill it" for i in range(90)]
    written_columns(flow, lines)
    read = []
    for page in flow.pages:
        rows = [m for m in page if isinstance(m, Label) and m.text in lines]
        read += [m.text for m in sorted(rows, key=lambda m: (m.at.x, -m.at.y))]
    assert len(flow.pages) == 2 and read == lines


@pytest.mark.parametrize(("count", "is_crowded"), [(47, False), (48, True)])
def test_a_row_of_figures_runs_little_further_than_its_side(
    count: int, *, is_crowded: bool
) -> None:
    """At 1:1, 1.15 times 100 mm and 20 mm more, with a figure every 2.85 mm."""
    assert bool(crowded_on(100.0, count)) is is_crowded


@pytest.mark.parametrize(("wide", "is_crowded"), [(236.5, False), (237.5, True)])
def test_a_panel_that_rows_of_figures_leave_no_room_for_is_drawn_reduced(
    wide: float, *, is_crowded: bool
) -> None:
    """Of A4 sideways, 277 mm between margins, figures take 40: 60 of them have no room at 1:2."""
    assert bool(crowded_on(wide, 60)) is is_crowded


def crowded_on(wide: float, count: int) -> dict[str, tuple[str, ...]]:
    """Return what has no room beside a panel so wide with so many sizes across."""
    across = tuple(MarkedSize(wide * i / count, "", 0.0) for i in range(count))
    marked = _Marked(Sizes(across, (), (), (), ()), (), ())
    panel, block = blank(wide, 10.0), TitleBlock("Trial", "Side")
    return _SheetLayout(panel, block, "A4", page=(297.0, 210.0), marked=marked).crowded  # type: ignore[arg-type]


def test_files_stand_in_two_columns_8_mm_apart_each_picture_in_a_fine_frame() -> None:
    out = BytesIO()
    Image.new("RGB", (26, 18)).save(out, "PNG")
    flow = PageFlow("a", "A", "A4")
    flow.start_page()
    entries = [_Entry(f"{name} (svg): a file", out.getvalue()) for name in "ab"]
    (row,) = _rows(entries, flow.room)
    first, second = _file_row(flow, row)
    assert second.corner.x - first.corner.x == pytest.approx((ROOM_MM - 8.0) / 2.0 + 8.0)
    assert [m.stroke_mm for m in flow.pages[0] if isinstance(m, Area)] == [0.1, 0.1]
    assert (
        first.corner.y + first.height_mm == second.corner.y + second.height_mm == 297.0 - MARGIN_MM
    )
    words = [m.at.x for m in flow.pages[0] if isinstance(m, Label)]
    assert words == pytest.approx([MARGIN_MM + 30.0, second.corner.x + 30.0])


@pytest.mark.parametrize(("more", "beside"), [(-1.0, True), (1.0, False)])
def test_a_file_whose_name_is_too_long_for_half_the_page_has_a_row_of_its_own(
    more: float, *, beside: bool
) -> None:
    """Half of the page is 86 mm, of which a picture takes 26, and 4 are clear of it."""
    room = 86.0 - 26.0 - 4.0 + more
    name = next(n for i in range(99) if label_width(n := "i" * i, LEAST_CAP_MM) > room - 1.0)
    assert label_width(name, LEAST_CAP_MM) < room
    rows = list(_rows([_Entry(f"{name} (svg): a file", None)] * 2, ROOM_MM))
    assert [len(row) for row in rows] == ([2] if beside else [1, 1])


@pytest.mark.parametrize(("rest", "pages"), [(20.1, 1), (19.9, 2)])
def test_a_row_of_files_has_2_mm_below_its_pictures_on_their_page(rest: float, pages: int) -> None:
    out = BytesIO()
    Image.new("RGB", (26, 18)).save(out, "PNG")
    flow = PageFlow("a", "A", "A4")
    flow.start_page()
    flow.y = MARGIN_MM + flow.foot_mm + rest
    _file_row(flow, next(_rows([_Entry("a (svg): a file", out.getvalue())], flow.room)))
    assert len(flow.pages) == pages


def test_panels_stand_side_by_side_where_their_pictures_and_captions_have_room() -> None:
    """Each takes the wider of both, 8 mm from the next; as many as fit from margin to margin."""
    for wide in (20.0, 53.0, 55.0, 84.0, 86.5):
        panels = tuple(blank(wide, 20.0) for _ in range(5))
        making = SimpleNamespace(shown={}, plan=SimpleNamespace(plates=(), panels=panels))
        flow = PageFlow("a", "A", "A4")
        flow.start_page()
        panel_rows(flow, panels, making)  # type: ignore[arg-type]
        pictures = [bounds(m.outline) for m in flow.pages[0] if isinstance(m, Area)]
        captions = [m for m in flow.pages[0] if isinstance(m, Label)]
        each = max(wide, *(label_width(m.text, m.height_mm) for m in captions))
        in_row = int((flow.room + 8.0 + 1e-9) // (each + 8.0))
        lefts = [MARGIN_MM + (i % in_row) * (each + 8.0) for i in range(5)]
        assert sorted({round(b.left, 6) for b in pictures}) == pytest.approx(sorted(set(lefts)))
        tops = sorted({round(b.top, 6) for b in pictures}, reverse=True)
        assert len(tops) == -(-5 // in_row)
        # Two lines of words under a picture, and 6 mm to the next row.
        line, foot = LEAST_CAP_MM * LEADING, tops[0] - 20.0
        below = sorted({round(m.at.y, 6) for m in captions}, reverse=True)[:2]
        assert below == pytest.approx([foot - line, foot - 2.0 * line])
        assert [a - b for a, b in pairwise(tops)] == pytest.approx(
            [20.0 + 2.0 * line + 6.0] * (len(tops) - 1)
        )


def test_a_card_of_a_few_lines_too_many_is_set_a_tenth_tighter_and_its_patches_lower(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tried = []

    def filled(
        matched: object, title: str, paper: str, leading: float, patch: float
    ) -> colour_card._Card:
        card = colour_card._Card((210.0, 297.0), ("green", ""), leading)
        card.need(300.0)
        tried.append((card.line, patch))
        return card

    monkeypatch.setattr(colour_card, "_filled", filled)
    matched = SimpleNamespace(target=SimpleNamespace(name="green"))
    assert len(colour_card.colour_card(matched)) == 2  # type: ignore[arg-type]
    tight = pytest.approx(1.6 * 1.9)
    assert tried == [(pytest.approx(1.75 * 1.9), 46.0), (tight, 46.0), (tight, 35.0), (tight, 24.0)]


def test_a_gores_number_stands_at_the_lowest_of_24_places_up_its_middle() -> None:
    frame = SimpleNamespace(parts_alike=True, outline=rectangle(20.0, 240.0))
    free = FreePlaces([], Bounds(-50.0, -50.0, 50.0, 300.0))
    (number,) = number_marks(SimpleNamespace(frame=frame), Identity, free)  # type: ignore[arg-type]
    assert isinstance(number, Label)
    assert number.at == pytest.approx((10.0, 5.0 - LEAST_CAP_MM / 2.0))


def test_the_number_of_a_gore_full_of_lines_stands_under_its_foot() -> None:
    frame = SimpleNamespace(parts_alike=True, outline=rectangle(20.0, 240.0))
    full = [Stroke(chain([(x, 0.0), (x, 240.0)], closed=False)) for x in range(-5, 26)]
    free = FreePlaces(full, Bounds(-50.0, -50.0, 50.0, 300.0))
    (number,) = number_marks(SimpleNamespace(frame=frame), Identity, free)  # type: ignore[arg-type]
    assert isinstance(number, Label)
    assert number.at == pytest.approx((10.0, -3.0 - LEAST_CAP_MM / 2.0))


def test_views_stand_in_columns_8_mm_apart_lined_up_over_each_other() -> None:
    """Reduced 1:1.5; each lies off the page's origin, and lines up by a place of its own."""

    def view(which: View, box: Bounds, aligned: float) -> SheetView:
        area = Area(rectangle(box.width, box.height, Point(box.left, box.bottom)), "#ffffff")
        return SheetView(which, (area,), box, aligned)

    rows = [
        [view(View.LEFT, Bounds(-10.0, 5.0, 190.0, 65.0), 40.0), view(View.FRONT, Bounds(-30.0, 0.0, 30.0, 70.0), 0.0)],
        [view(View.ABOVE, Bounds(-40.0, -25.0, 160.0, 25.0), 20.0), view(View.REAR, Bounds(-50.0, 0.0, 10.0, 70.0), -10.0)],
    ]  # fmt: skip
    sheet = vehicle_sheet._sheet("van", "Van", rows, "A4")
    assert sheet is not None and sheet.title == "Van"
    boxes = [bounds(m.outline) for m in sheet.marks if isinstance(m, Area)]
    left, front, above, rear = boxes[:4]
    scale = left.width / 200.0
    assert scale == pytest.approx(1.0 / 1.5)
    assert above.left + 60.0 * scale == pytest.approx(left.left + 50.0 * scale)
    assert rear.left + 40.0 * scale == pytest.approx(front.left + 30.0 * scale)
    # The columns reach 60 and 40 to the left, 150 and 30 to the right of where they line up.
    begins = left.left + 50.0 * scale - 60.0 * scale
    assert front.left + 30.0 * scale - begins == pytest.approx((60.0 + 150.0 + 40.0) * scale + 8.0)
    wide = (60.0 + 150.0 + 40.0 + 30.0) * scale + 8.0
    assert begins == pytest.approx((297.0 - wide) / 2.0)
    assert left.bottom == pytest.approx(front.bottom) and above.bottom == pytest.approx(rear.bottom)


def test_views_larger_than_any_scale_takes_are_drawn_at_the_smallest() -> None:
    huge = SheetView(View.LEFT, (), Bounds(0.0, 0.0, 1e6, 100.0), 0.0)
    assert vehicle_sheet._reduction([[huge]], (277.0, 170.0)) == 500.0


def test_a_long_train_is_tried_in_up_to_four_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    tried = []

    def in_rows(train: list[str], views: object, count: int) -> list[list[SheetView]]:
        tried.append(count)
        view = SheetView(View.LEFT, (), Bounds(0.0, 0.0, 9000.0 / count, 100.0), 0.0)
        return [[view]] * 2 * count

    monkeypatch.setattr(vehicle_sheet, "_in_rows", in_rows)
    for train, rows in ((["van"] * 6, 4), (["van"] * 3, 3)):
        tried.clear()
        sheet = vehicle_sheet.train_sheet(train, None, "Train", "A4")  # type: ignore[arg-type]
        assert tried == list(range(1, rows + 1))
        assert sheet is not None
        names = [w for w in words_of(sheet.marks) if w == VIEW_WORDS[View.LEFT]]
        assert len(names) == 2 * rows


def test_figures_side_by_side_stand_one_and_a_half_of_their_height_apart() -> None:
    figures = tuple(Figure(at, words, 0.0) for at, words in ((30.0, "30"), (31.0, "31")))
    row = DimensionRow(SheetSide.TOP, 0.0, 20.0, figures, 0.0, 100.0)
    marks = list(row_marks(row, 2.0))
    first, second = (m.at.x for m in marks if isinstance(m, Label))
    assert second - first == pytest.approx(3.0)
    boxes = [bounds(m.outline) for m in marks if isinstance(m, Area) and m.fill == "#000000"]
    assert [box.width for box in boxes if box.left > 30.0] == pytest.approx([0.6])  # a dot
