"""The placing and coat sheets: numbers led to their parts, readable, in the order of laying."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.drawing import Area, Drawing, Label, Mark, Stroke
from livery.geometry.flatten import to_line_string, to_shapely
from livery.geometry.measure import Bounds
from livery.geometry.outline import Outline, Point
from livery.geometry.shapes import rectangle, ring
from livery.layout.part_place import place_words
from livery.make.coats.coat_schedule import coat_schedule
from livery.make.sheets import film_pages as film_pages_module
from livery.make.sheets import film_steps, film_tables
from livery.make.sheets.coat_sheet import coat_data, coat_pages, coat_text
from livery.make.sheets.film_pages import film_pages
from livery.make.sheets.film_tables import TableRow, _halves, step_tables, written_rows
from livery.make.sheets.hatching import hatching
from livery.make.sheets.laying_steps import Numbered, laying_steps
from livery.make.sheets.page_flow import FAINT
from livery.make.sheets.pointed_numbers import NUMBER_MM, _ends, _starts, pointed_numbers
from livery.write.label_face import label_width

LEAST_CONTRAST = 4.5
"""WCAG 2.2, 1.4.3."""


@pytest.fixture(scope="module")
def pages(wagon_making) -> dict[str, tuple[Drawing, ...]]:
    schedule = coat_schedule(wagon_making.coats, wagon_making.model)
    return {
        "film": film_pages(
            wagon_making.sheets, wagon_making.plan, wagon_making.colours, "T", "A4", advice=()
        ),
        "coats": coat_pages(
            schedule, wagon_making.coats, wagon_making.colours, "T", "A4", cautions=()
        ),
    }


def box_of(label: Label) -> shapely.Polygon:
    wide = label_width(label.text, label.height_mm)
    left = label.at.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor.value] * wide
    return shapely.box(left, label.at.y, left + wide, label.at.y + label.height_mm)


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    red, green, blue = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def poor_labels(page: Drawing) -> Iterator[str]:
    """Yield every label that lies on a fill from which it does not stand out."""
    for i, mark in enumerate(page.marks):
        if not isinstance(mark, Label):
            continue
        left = box_of(mark)
        for under in reversed(page.marks[:i]):
            if isinstance(under, Area) and under.fill and not left.is_empty:
                shape = to_shapely(under.outline, 0.1)
                if left.intersects(shape) and contrast(mark.colour, under.fill) < LEAST_CONTRAST:
                    yield f"{mark.text}: {mark.colour} on {under.fill}"
                left = left.difference(shape)
        if not left.is_empty and contrast(mark.colour, "#ffffff") < LEAST_CONTRAST:
            yield f"{mark.text}: {mark.colour} on paper"


def test_contrast_is_measured_as_published() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)
    words = Label("7", Point(0.0, 0.0), 2.0, colour="#000000")
    ground = Area(rectangle(9.0, 9.0, Point(-1.0, -1.0)), "#102030")
    assert list(poor_labels(Drawing("d", "d", 9.0, 9.0, (ground, words))))
    assert not list(poor_labels(Drawing("d", "d", 9.0, 9.0, (words, ground))))


def test_every_word_stands_out_from_what_it_is_on(pages) -> None:
    for drawings in pages.values():
        assert drawings and [w for page in drawings for w in poor_labels(page)] == []


def test_the_table_says_of_every_part_what_it_is_and_where_it_goes(pages, wagon_making) -> None:
    shown = [m.text for page in pages["film"] for m in page.marks if isinstance(m, Label)]
    parts = [one.part for s in wagon_making.sheets for one in s.parts if not one.is_spare]
    assert parts
    for part in parts:
        assert part.name in shown and shown.count(str(part.number)) == 2
    # M.C.R. stands 10 in up a side 3 ft high, 27 beyond 5 ft of its 6 ft and over 2 ft up.
    assert {"middle", "top, right"} <= set(shown)


def test_a_step_stands_on_one_page(pages) -> None:
    for page in pages["film"]:
        words = [m.text for m in page.marks if isinstance(m, Label)]
        headed = [w for w in words if w.startswith(("Part ", "Parts "))]
        assert headed and sum(w.startswith("from cut/cut-") for w in words) >= len(headed)


def test_parts_are_laid_in_the_order_of_their_numbers_whatever_their_sheet(wagon_making) -> None:
    steps = laying_steps("side", wagon_making.sheets, 24)
    numbers = [one.part.number for step in steps for one in step]
    assert numbers == sorted(numbers) and len(numbers) == len(set(numbers)) > 5
    assert [len(s) for s in laying_steps("side", wagon_making.sheets, 3) if len(s) > 3] == []
    assert laying_steps("elsewhere", wagon_making.sheets, 24) == []


STACK = (
    ("1", rectangle(60.0, 30.0, Point(10.0, 5.0))),
    ("2", ring(Point(40.0, 20.0), 12.0, 10.0)),
    ("3", rectangle(4.0, 4.0, Point(38.0, 18.0))),
)


@pytest.mark.parametrize(
    ("line_mm", "headed"),
    [
        (18.0, ["Part 1", "Parts 2 to 9", "Part 10"]),
        (26.0, ["Part 1", "Parts 2 to 5", "Parts 6 to 9", "Part 10"]),
    ],
)
def test_a_step_has_no_more_parts_than_have_room_round_a_picture_above_a_tall_table(
    line_mm, headed, wagon_making, monkeypatch
) -> None:
    """A tall table leaves so small a picture that fewer numbers have room round it."""
    for module in (film_pages_module, film_steps, film_tables):
        monkeypatch.setattr(module, "LINE_MM", line_mm)
    wagon = wagon_making
    drawn = film_pages(wagon.sheets, wagon.plan, wagon.colours, "T", "A4", advice=())
    words = [m.text for page in drawn for m in page.marks if isinstance(m, Label)]
    # Four fewer at a time: 24, 20 and 16 have no room, and at the last height 12 and 8 neither.
    assert [w.split(":")[0] for w in words if w.startswith("Part")] == headed
    assert not [w for w in words if "-" in w and w.startswith("Part")]
    for sheet in wagon.sheets:
        for one in sheet.parts:
            # Once in the table and once at its line.
            assert one.is_spare or words.count(str(one.part.number)) == 2


def test_where_sheets_change_from_part_to_part_each_part_has_its_sheet_beside_it(
    wagon_making,
) -> None:
    (panel, *_) = wagon_making.plan.panels
    (step, *_) = laying_steps(panel.name, wagon_making.sheets, 24)
    step = [one for one in step for _ in range(2)]
    same = [Numbered(one.part, "cut-red-cut-film") for one in step]
    assert len(list(step_tables(panel, same))) == 1
    changing = [Numbered(one.part, f"cut-{'ab'[i % 2]}-cut-film") for i, one in enumerate(step)]
    plain, headed = step_tables(panel, changing)
    assert len(headed.rows) == 2 * len(plain.rows) == 2 * len(step)
    assert [row.sheet for row in plain.rows] == [f"cut/{one.sheet}" for one in changing]
    assert headed.height > plain.height and headed.width < plain.width
    for table in (headed, plain):
        labels = list(written_rows(table.rows, table.stops, 0.0, 0.0))
        ends = [m.at.x + label_width(m.text, m.height_mm) for m in labels]
        assert max(ends) == pytest.approx(table.width)
        for one, end in zip(labels, ends, strict=True):
            beside = [m.at.x for m in labels if m.at.y == one.at.y and m.at.x > one.at.x]
            assert min(beside, default=end + 4.0) >= end + 3.99
    assert plain.columns(2.0 * plain.width + 5.0)[1]
    assert not plain.columns(2.0 * plain.width + 4.9)[1]


def leaders(marks: tuple[Mark, ...]) -> list[shapely.LineString]:
    lines = [m for m in marks if isinstance(m, Stroke) and m.colour != "#ffffff"]
    return [to_line_string(m.contour) for m in lines]


def test_a_number_leads_to_what_is_seen_of_its_part() -> None:
    marks = pointed_numbers(STACK, (0.0, 0.0, 80.0, 40.0))
    shapes = [to_shapely(outline, 0.01) for _, outline in STACK]
    for i, line in enumerate(leaders(marks)):
        seen = shapes[i].difference(shapely.union_all(shapes[i + 1 :]))
        assert seen.contains(shapely.Point(line.coords[-1]))
    labels = [m for m in marks if isinstance(m, Label)]
    assert [m.text for m in labels] == ["1", "2", "3"]
    for label, line in zip(labels, leaders(marks), strict=True):
        assert box_of(label).distance(shapely.Point(line.coords[0])) < 0.6


@settings(max_examples=12)
@given(
    st.lists(
        st.tuples(st.integers(0, 37), st.integers(0, 17)), min_size=2, max_size=16, unique=True
    )
)
def test_no_line_crosses_another_and_no_number_lies_over_one(at) -> None:
    parts = tuple(
        (str(100 + i), rectangle(1.5, 1.5, Point(4.0 * x, 4.0 * y))) for i, (x, y) in enumerate(at)
    )
    box = (0.0, 0.0, 150.0, 70.0)
    marks = pointed_numbers(parts, box)
    for one, other in combinations(leaders(marks), 2):
        assert not one.crosses(other)
    labels = [box_of(m) for m in marks if isinstance(m, Label)]
    assert all(not a.intersects(b) for a, b in combinations(labels, 2))
    assert all(not label.intersects(shapely.box(*box)) for label in labels)


def test_numbers_may_stand_evenly_all_round_a_picture() -> None:
    """As many as have room on each side, half a pitch from its ends, their lines beginning 3 mm off."""
    starts = list(_starts((10.0, 20.0, 22.0, 27.0), 2.6))
    assert [(round(s.at.x, 6), round(s.at.y, 6)) for s in starts] == [
        *((x, y) for x in (12.0, 16.0, 20.0) for y in (30.0, 17.0)),
        *((x, y) for y in (21.75, 25.25) for x in (7.0, 25.0)),
    ]
    above, below, left, right = (starts[i].label for i in (0, 1, 6, 7))
    assert above == pytest.approx((12.0, 30.5)) and below == pytest.approx((12.0, 16.5 - NUMBER_MM))
    assert left == pytest.approx((6.5, 21.75 - NUMBER_MM / 2.0))
    assert right == pytest.approx((25.5, 21.75 - NUMBER_MM / 2.0))


def test_a_line_ends_midway_across_its_part() -> None:
    ends = _ends(shapely.box(2.0, 3.0, 12.0, 4.5))
    assert len(ends) > 2
    assert all(abs(x - 7.0) < 1e-5 or abs(y - 3.75) < 1e-5 for x, y in ends)


def test_numbers_without_room_are_refused() -> None:
    with pytest.raises(ValueError, match="have no room"):
        pointed_numbers(STACK * 3, (0.0, 0.0, 5.0, 3.0))


@pytest.mark.parametrize(
    ("part", "words"),
    [
        (Bounds(0, 0, 100, 60), "whole panel"),
        (Bounds(0, 50, 79.9, 60), "top, left of centre"),
        (Bounds(0, 50, 80, 60), "top, full width"),
        (Bounds(90, 0, 95, 48), "full height, right"),
        (Bounds(45, 25, 55, 35), "middle"),
        (Bounds(30, 52, 34, 55), "top, left of centre"),
        (Bounds(15, 0, 25, 40), "bottom, left"),  # on the limit of both, by its centre
        (Bounds(75, 20, 85, 60), "middle, right of centre"),
    ],
)
def test_a_place_in_words(part: Bounds, words: str) -> None:
    assert place_words(part, Bounds(0, 0, 100, 60)) == words
    moved = Bounds(part.left - 7, part.bottom + 3, part.right - 7, part.top + 3)
    assert place_words(moved, Bounds(-7, 3, 93, 63)) == words


def test_what_is_covered_is_hatched_as_well_as_coloured(pages, wagon_making) -> None:
    lines = [
        m
        for page in pages["coats"]
        for m in page.marks
        if isinstance(m, Stroke) and m.colour == FAINT
    ]
    rising = [
        m
        for m in lines
        if (m.contour.end.x - m.contour.start.x) * (m.contour.end.y - m.contour.start.y) > 0
    ]
    assert any(coat.over for one in wagon_making.coats for coat in one.coats)
    assert len(rising) > 10 and len(lines) > len(rising)  # the key shows paper too


@pytest.mark.parametrize(("count", "beside"), [(1, True), (30, False)])
def test_what_goes_over_the_colours_stands_beside_the_last_picture_where_it_has_room(
    count, beside, wagon_making
) -> None:
    schedule = coat_schedule(wagon_making.coats, wagon_making.model)
    over = tuple(f"bow pen: red {i} (print/artwork.svg)" for i in range(count))
    one = schedule.panels[0].steps[0]
    steps = tuple(
        replace(one, number=number, reasons=("it dries",) * 9 * (number == 2), after=())
        for number in (1, 2, 3)
    )
    first = replace(schedule.panels[0], steps=steps, over=over, colour_steps=3)
    coats = [replace(wagon_making.coats[0], coats=wagon_making.coats[0].coats[:1] * 3)]
    pages = coat_pages(
        replace(schedule, panels=(first,)), coats, wagon_making.colours, "T", "A4", cautions=()
    )
    labels = [m for page in pages for m in page.marks if isinstance(m, Label)]
    (head,) = (m for m in labels if m.text.startswith("Over the colours"))
    assert head.text.endswith(":") is beside is (head.at.x > 60.0)
    assert {*over} <= {m.text for m in labels}
    *_, picture = (m for m in pages[0].marks if isinstance(m, Area) and m.stroke == "#000000")
    assert (head.at.y > to_shapely(picture.outline).bounds[1]) is beside
    (last,) = (m for m in labels if m.text.startswith("3. "))
    assert head.at.y < last.at.y


@pytest.mark.parametrize(("colours", "count"), [(0, 1), (1, 1), (1, 30), (2, 1), (2, 30), (3, 1)])
def test_what_goes_over_the_colours_comes_before_the_first_clear_coat(
    colours, count, wagon_making
) -> None:
    schedule = coat_schedule(wagon_making.coats, wagon_making.model)
    steps = tuple(replace(schedule.panels[0].steps[0], number=number) for number in (1, 2, 3))
    over = tuple(f"bow pen: red {i} (print/artwork.svg)" for i in range(count))
    panel = replace(schedule.panels[0], steps=steps, over=over, colour_steps=colours)
    one = replace(schedule, panels=(panel,))
    coats = [replace(wagon_making.coats[0], coats=wagon_making.coats[0].coats[:1] * 3)]
    pages = coat_pages(one, coats, wagon_making.colours, "T", "A4", cautions=())
    printed = [m.text for page in pages for m in page.marks if isinstance(m, Label)]
    for texts in (printed, [line.strip() for line in coat_text(one, "T", ()).splitlines()]):
        begins = [t[:3] for t in texts if t.startswith(("1. ", "2. ", "3. ", "Over the colours"))]
        assert begins.index("Ove") == colours
        heads = [i for i, t in enumerate(texts) if t.startswith(("1. ", "2. ", "3. "))]
        said = [texts.index(t) for t in over]
        assert all(said[-1] < i for i in heads[colours:]) and all(
            said[0] > i for i in heads[:colours]
        )
    assert coat_data(one)["panels"][0]["over_after"] == colours


def test_hatching_fills_a_region_and_stays_in_it() -> None:
    outline: Outline = ring(Point(3.0, 4.0), 9.0, 3.0)
    shape = to_shapely(outline, 0.01)
    for falling in (False, True):
        lines = [to_line_string(m.contour) for m in hatching(outline, 2.0, FAINT, falling=falling)]
        assert all(shape.buffer(0.06).covers(line) for line in lines)
        # Lines 2 mm apart: their length times 2 mm is the area.
        assert sum(line.length for line in lines) * 2.0 == pytest.approx(shape.area, rel=0.03)
        (a, b), (c, d) = lines[0].coords
        assert abs(d - b) == pytest.approx(abs(c - a)) and ((d - b) * (c - a) < 0) is falling


def test_one_part_has_one_column_with_its_sheet_over_it():
    rows = [TableRow("", ("from sheet:",), ()), TableRow("1", ("letter",), ("top",))]
    assert _halves(rows) == (rows, [])
