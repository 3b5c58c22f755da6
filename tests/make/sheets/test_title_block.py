"""A title block says every word given, none smaller than can be read, each within its cell."""

from __future__ import annotations

from itertools import pairwise

import pytest

from livery.drawing import Drawing, Label, Stroke
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline, Point
from livery.make.sheets.title_block import COLUMNS, TitleBlock
from livery.write.label_face import LEAST_CAP_MM
from livery.write.pdf import pdf_bytes
from tests.page_text import text_faults, words_over_lines

WIDE_MM = 190.0
LONG_JOB = "A model of the goods and passenger engine of the Marram Coast Railway as it ran in 1911"
ONE_WORD = "left-hand-cab-side-sheet-of-the-engine-and-of-its-tender"


@pytest.mark.parametrize(
    ("block", "lines"),
    [
        (TitleBlock("Test", "side"), (1, 1)),
        (TitleBlock(LONG_JOB, ONE_WORD), (2, 1)),
        (TitleBlock("Test", "side", LONG_JOB, f"other hand of {ONE_WORD}"), (3, 3)),
    ],
    ids=["short", "long job", "long hand"],
)
def test_long_words_take_more_lines_and_none_is_cut(block, lines):
    drawn = list(block.marks(Point(10.0, 20.0), WIDE_MM, document="plan", scale="1:2", sheet="1"))
    words = [m for m in drawn if isinstance(m, Label)]
    together = "".join(m.text for m in words).replace(" ", "")
    for said in (block.job, block.panel, block.vehicle, block.hand):
        assert said.replace(" ", "") in together
    assert min(m.height_mm for m in words) >= LEAST_CAP_MM
    lie = [m.contour for m in drawn if isinstance(m, Stroke)]
    heights = sorted({bounds(Outline((c,))).top for c in lie if bounds(Outline((c,))).height == 0})
    rows = [upper - lower for lower, upper in pairwise(heights)][::-1]
    assert rows == pytest.approx([7.6 + (n - 1) * 3.2 for n in lines])
    assert heights[0] == 20.0 and sum(rows) == pytest.approx(block.height(WIDE_MM))
    page = pdf_bytes([Drawing("block", "block", WIDE_MM + 20.0, 80.0, tuple(drawn))])
    assert [*text_faults(page), *words_over_lines(page)] == []


def test_the_columns_fill_the_block() -> None:
    assert sum(COLUMNS) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("panel", "vehicle", "hand", "said"),
    [
        ("Third No. 27, front end", "Third No. 27", "front", "Third No. 27, front end"),
        ("Tender side, left", "Tender of No. 1", "left", "Tender of No. 1, Tender side, left"),
        ("Side", "Van", "left", "Van, Side, left hand"),
        ("Side", "Job", "left", "Side, left hand"),
        ("Side", "", "right, other hand of side", "Side, right, other hand of side"),
        ("Other hand of Side", "", "right, other hand of side", "Other hand of Side, right hand"),
    ],
)
def test_a_line_says_nothing_of_the_panel_twice(panel, vehicle, hand, said):
    assert TitleBlock("Job", panel, vehicle, hand).in_a_line == f"Job, {said}"
