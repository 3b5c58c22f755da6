"""What lines of letters take on the sheets of details: their tables, words and guide strips."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from livery.drawing import Area, Label
from livery.geometry.measure import Bounds, bounds
from livery.make.sheets.guide_strips import _draw, _height, _Strip, _strips, first_strip_height
from livery.make.sheets.page_flow import HEADING_MM, LEADING, MARGIN_MM, TEXT_MM, PageFlow
from livery.make.sheets.setting_out_details import _height_of_text, _letters
from livery.make.sheets.written_columns import INDENT_MM, height_of_columns, written_columns
from livery.write.label_face import label_width
from tests.make.sheets.test_setting_out_details import AB_CD, line_of

FRAME = SimpleNamespace(level_heights={}, upright_stations={}, extent=Bounds(0, 0, 600, 150))
PANEL = SimpleNamespace(frame=FRAME)


def begun() -> PageFlow:
    flow = PageFlow("details", "Details", "A4", sideways=True)
    flow.start_page()
    return flow


def words_for_two_lines(room: float) -> str:
    """Return words a little wider than a line that stands in on both the margin's sides has room for."""
    words = "lay"
    while label_width(words, TEXT_MM) <= room:
        words += " it"
    return words


def test_words_stand_in_from_the_margin_within_the_page() -> None:
    flow = begun()
    room = flow.room - INDENT_MM
    words = words_for_two_lines(room)
    assert label_width(words, TEXT_MM) < room + 2.0 * INDENT_MM
    assert _height_of_text(flow, [words, "short"]) == pytest.approx(3 * TEXT_MM * LEADING)
    strip = _Strip(Bounds(0.0, 0.0, 80.0, 30.0), words, {})
    top = flow.y
    _draw(flow, line_of("AB CD", AB_CD), strip)
    labels = [m for m in flow.pages[0] if isinstance(m, Label)]
    assert len(labels) == 2
    assert top - (labels[0].at.y + TEXT_MM) == pytest.approx(2.0)
    low = min(bounds(m.outline).bottom for m in flow.pages[0] if isinstance(m, Area) and m.outline)
    assert low - flow.y == pytest.approx(2.0)
    assert _height(flow, strip) == pytest.approx(top - flow.y)


@pytest.mark.parametrize(("spare", "is_whole"), [(0.1, True), (-0.1, False)])
def test_letters_begin_where_their_table_and_first_strip_have_room_on_some_page(
    spare: float, *, is_whole: bool
) -> None:
    """A page too low for both keeps room for the table alone."""
    line, flow = line_of("AB CD", AB_CD), begun()
    own = _letters(flow, PANEL, line)  # type: ignore[arg-type]
    table = _height_of_text(flow, own.words) + height_of_columns(flow, own.edges)
    both = table + first_strip_height(flow, line)
    assert own.follows == pytest.approx(both)
    # Over the foot, the margins and a heading with what is kept clear round it.
    flow.foot_mm = flow.size[1] - 2.0 * MARGIN_MM - 2.5 * HEADING_MM - both - spare
    kept = _letters(flow, PANEL, line).follows  # type: ignore[arg-type]
    assert kept == pytest.approx(both if is_whole else table)


def test_joined_letters_are_numbered_from_the_left() -> None:
    line = line_of("joined up", AB_CD)
    assert [place.letter for place in line.letters] == ["1", "2", "3", "4"]


def test_a_strip_between_two_others_names_both_its_lap_marks() -> None:
    flow = begun()
    boxes = [(60.0 * i, 60.0 * i + 50.0) for i in range(12)]
    *_, words = (strip.words for strip in _strips(flow, line_of("ABCDEFGHIJKL", boxes))[:2])
    assert words.endswith("lay strips on each other at lap marks A and B.")
    first, *_ = _strips(flow, line_of("ABCDEFGHIJKL", boxes))
    assert first.words.endswith("at lap mark A.")


@pytest.mark.parametrize("count", [1, 7, 8, 40])
def test_what_is_kept_for_a_table_in_columns_is_what_it_takes(count: int) -> None:
    lines = [f"{i}  12.34 to 56.78" for i in range(count)]
    flow = begun()
    top = flow.y
    written_columns(flow, lines)
    assert len({m.at.y for m in flow.pages[0] if isinstance(m, Label)}) < max(count, 2)
    assert height_of_columns(flow, lines) == pytest.approx(top - flow.y)


def test_strips_are_numbered_of_as_many_as_there_are() -> None:
    boxes = [(60.0 * i, 60.0 * i + 50.0) for i in range(12)]
    strips = _strips(begun(), line_of("ABCDEFGHIJKL", boxes))
    count = len(strips)
    said = [strip.words.partition(",")[0] for strip in strips]
    assert count > 2 and said == [f"Guide strip {i} of {count}" for i in range(1, count + 1)]
